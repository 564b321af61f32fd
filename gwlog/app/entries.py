"""From what a person says to entries ready to append: names found, quantities read, times checked.

Every face that logs goes through here, so that a key on the screen and a command make the same entry.
Nothing is written here; `append` does that. Refusals are BadInput and leave no trace.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING, Any

from gwlog import clock, text, units
from gwlog.actions import Action, Argument, Hint
from gwlog.decisions.entry_limits import (
    FORECAST_DAYS,
    MAX_LOAD_L,
    MAX_MULCH_MM,
    check_time,
)
from gwlog.errors import BadInput
from gwlog.household import Household
from gwlog.journal.facts import (
    CONTENTS,
    OBSERVATIONS,
    Fact,
    Mulch,
    Observation,
    OutletMove,
    Resolution,
    UpkeepDone,
    ValveSwitch,
    WashLoad,
    Withdrawal,
)
from gwlog.values import dataclass, replace

if TYPE_CHECKING:
    from gwlog.decisions.answer import Answer
    from gwlog.decisions.load_rules import LoadQuery

ONE_RUN = timedelta(seconds=59)

SETUP, LOG = Action("setup apply", file="SITE.toml"), Action("entries")


@dataclass(frozen=True, slots=True)
class Author:
    """Who writes, when it happened, and a note: what every entry has.

    `correcting`: it corrects an entry, so the same words may stand twice.
    """

    happened_at: datetime
    by: str | None = None
    note: str | None = None
    correcting: bool = False


def read_author(home: Household, *, at: str | datetime | None = None, by: str | None = None,
                note: str | None = None) -> Author:
    """Read `--at`, `--by` and `--note`. The moment may not be in the future, nor before the setup begins."""
    when = home.now if at is None else at if isinstance(at, datetime) else clock.moment(at, home.now, home.zone)
    person = None if by is None else text.pick("person", by, [n for n, p in home.state.people.items() if p.active]) \
        if home.state.people else text.clean_name(by, "person")
    author = Author(when.replace(microsecond=0), person, text.clean_note(note))
    check_time(author.happened_at, home.now, home.zone, home.begins)
    return author


def common(home: Household, author: Author) -> dict[str, Any]:
    return {"happened_at": author.happened_at, "zone": home.zone, "recorded_by": author.by, "note": author.note}


def noted_once(facts: Sequence[Fact], note: str | None) -> list[Fact]:
    """Entries of one action with the note that was given for it: at the first, so that its words stand once."""
    return [replace(fact, note=None if count else note) for count, fact in enumerate(facts)]


def _then(home: Household, author: Author) -> Household:
    """The household as it stood when the entry happened."""
    return home if author.happened_at >= home.now else home.at(author.happened_at)


def refuse_double(home: Household, draft: Fact, author: Author) -> None:
    """Refuse what the log says already in the same words and of the same moment; a correction may say it again.

    No machine runs twice within a minute, so of a load it is the same minute.
    """
    if author.correcting:
        return
    apart = ONE_RUN if isinstance(draft, WashLoad) else timedelta(0)
    for fact in home.since(draft.happened_at - apart):
        if type(fact) is type(draft) and abs(fact.happened_at - draft.happened_at) <= apart and \
                replace(fact, id=0, happened_at=draft.happened_at, recorded_at=draft.recorded_at, recorded_by=None,
                        note=None, corrects_id=None) == replace(draft, recorded_by=None, note=None):
            raise BadInput(
                f"The same entry is already in the log at {clock.echo(fact.happened_at, home.zone)}: {fact.id}.",
                hint=Hint("If it really happened twice, give the second one another minute with ", Argument("at"),
                          "."))


@dataclass(frozen=True, slots=True)
class LoadDraft:
    """A load ready to append: valve switch and outlet move that go with it, the load, and what was advised."""

    facts: tuple[Fact, ...]
    answer: Answer
    went_to: str


def usual_load_names(home: Household) -> list[str]:
    """The household's usual loads in use, in the order they were described."""
    return [name for name, load in home.state.usual_loads.items() if load.active]


def read_query(home: Household, load: str, volume: str | None, products: Sequence[str],
               contents: Sequence[str]) -> tuple[str, LoadQuery]:
    """Find the load, its products and contents; returns its name and the query for its answer."""
    name = text.pick("usual load", load, usual_load_names(home))
    litres = None
    if volume is not None:
        litres = units.quantity(volume, "volume", home.system, what="volume", high=MAX_LOAD_L)
    found = tuple(text.pick("product", p, [n for n, q in home.state.products.items() if q.active]) for p in products)
    inside = tuple(text.pick("kind of contents", c, CONTENTS) for c in contents)
    return name, home.query(name, volume_l=litres, products=found, contents=inside)


def load(home: Household, name: str, author: Author, *, volume: str | None = None, products: Sequence[str] = (),
         contents: Sequence[str] = (), to: str | None = None) -> LoadDraft:
    """A wash load. `to`: garden, sewer or a basin; default: where the valve stands.

    Where the valve or an outlet must have stood differently for that, their entries come along; the note stands at the
    load alone.
    """
    then = _then(home, author)
    found, query = read_query(then, name, volume, products, contents)
    shared = common(then, replace(author, note=None))
    facts: list[Fact] = []
    valve = went_to = then.state.valve
    if to is None and valve is None:
        raise BadInput(f"Nobody has logged where the valve is turned, so where the water of {found} went is "
                               "not known.",
                       hint=Hint("Say it with ", Argument("to", "garden"), " or ", Argument("to", "sewer"), "."))
    if to is not None:
        target = text.pick("place for the water", to, ["garden", "sewer", *then.state.active_basins()])
        went_to = "sewer" if target == "sewer" else "garden"
        if target not in ("garden", "sewer") and all(p.basin != target for p in then.state.outlet_at.values()):
            outlet = _only_outlet(then, target, query, late=then is not home)
            facts.append(OutletMove(**shared, outlet=outlet, basin=target))
    if went_to == "garden" and not then.state.active_outlets():
        raise BadInput("No outlet is described, so no load can go to the garden.",
                       hint=Hint("Describe one with: ", SETUP))
    # judged where the water went: with the outlet at the basin that was named
    answer = (with_facts(then, facts) if facts else then).answer(query)
    assert went_to is not None
    if went_to != valve:
        facts.append(ValveSwitch(**shared, position=went_to))
    usual = then.state.usual_loads[found]
    run = WashLoad(**common(then, author), usual_load=found, washer=usual.washer,
                   volume_ml=round(query.volume_l * 1000), products=tuple(p.name for p in query.products),
                   contents=tuple(query.contents), went_to=went_to)
    refuse_double(home, run, author)
    facts.append(run)
    return LoadDraft(tuple(facts), answer, went_to)


def judged(home: Household, name: str, author: Author, *, volume: str | None = None, products: Sequence[str] = (),
           contents: Sequence[str] = ()) -> tuple[Household, Answer]:
    """The household as it stood when the load ran, and the answer to it: for whoever asks, and for what is logged."""
    then = _then(home, author)
    _, query = read_query(then, name, volume, products, contents)
    return then, then.answer(query)


def load_as_advised(home: Household, name: str, author: Author, **described: Any) -> LoadDraft:
    """The load, after the outlet moves and the turn of the valve that its answer asks for.

    `described`: volume, products, contents as for `load`. The draft's answer is the one after the moves.
    """
    _, answer = judged(home, name, author, **described)
    aside = replace(author, note=None)
    moves: list[Fact] = [move(home, one.outlet, one.basin, aside) for one in answer.moves]
    moved = with_facts(home, moves) if moves else home
    draft = load(moved, name, author, to=answer.verdict, **described)
    return LoadDraft((*moves, *draft.facts), draft.answer, draft.went_to)


def with_facts(home: Household, facts: Sequence[Fact]) -> Household:
    """The household as it would be with some entries more, which nobody has written."""
    return home.after([replace(fact, id=home.head + count, recorded_at=home.now)
                       for count, fact in enumerate(facts, 1)])


def _only_outlet(home: Household, basin: str, query: LoadQuery, *, late: bool) -> str:
    able = [name for name in home.state.active_outlets() if basin in home.state.reach(name)]
    if not able:
        raise BadInput(f"No outlet reaches “{basin}”.")
    if len(able) > 1:
        # Which one was carried there is not ours to guess; the one that would be advised is named first.
        advised = next((one.outlet for one in home.answer(query).moves if one.basin == basin), able[0])
        at = {"at": f"{clock.local(home.now, home.zone):%Y-%m-%d %H:%M}"} if late else {}
        raise BadInput(f"Several outlets reach “{basin}”: {text.listed(able, 'or')}. Which one was moved there?",
                       hint=Hint("Log its move first, like: ", Action("move", outlet=advised, basin=basin, **at)))
    return able[0]


def valve(home: Household, position: str, author: Author) -> ValveSwitch:
    """The valve was turned."""
    draft = ValveSwitch(**common(home, author), position=text.pick("valve position", position, ["garden", "sewer"]))
    refuse_double(home, draft, author)
    return draft


def move(home: Household, outlet: str, basin: str, author: Author) -> OutletMove:
    """An outlet was put at another basin, within its reach as described then."""
    state = _then(home, author).state
    name = text.pick("outlet", outlet, list(state.active_outlets()))
    place = basin_then(home, basin, author)
    if place not in state.reach(name):
        raise BadInput(f"The outlet “{name}” does not reach “{place}”; it reaches {text.listed(state.reach(name))}.",
                       hint=Hint("If it does, change its reach in the setup: ", Action("setup show"), ", ",
                                 Action("setup apply")))
    draft = OutletMove(**common(home, author), outlet=name, basin=place)
    refuse_double(home, draft, author)
    return draft


def basin_then(home: Household, basin: str, author: Author) -> str:
    """The basin that somebody names, as one that was in use when the entry happened."""
    state = _then(home, author).state
    known_now = list(home.state.active_basins())
    if basin not in state.active_basins():
        name = text.pick("basin", basin, list(dict.fromkeys((*state.active_basins(), *known_now))))
        if name not in state.active_basins():
            first = home.state.basin_history[name][0].happened_at
            raise BadInput(f"The basin “{name}” was not there yet at {clock.echo(author.happened_at, home.zone)}; "
                           f"it is described from {clock.echo(first, home.zone)} on.")
        return name
    return basin


def mulch(home: Household, basin: str, author: Author, *, added: str | None = None,
          measured: str | None = None) -> Mulch:
    """Mulch topped up by a depth, or the cover measured: exactly one of the two."""
    if (added is None) == (measured is None):
        raise BadInput("Say either how much mulch was added or how deep it is.",
                       hint=Hint("For example: ", Action("mulch", basin="BASIN", added="2in"), "   or   ",
                                 Action("mulch", basin="BASIN", measured="3in")))
    place = basin_then(home, basin, author)
    depth = units.quantity(added if added is not None else str(measured), "length", home.system, what="depth of mulch",
                           high=MAX_MULCH_MM, low_included=measured is not None)
    draft = Mulch(**common(home, author), basin=place, action="added" if added is not None else "measured",
                  depth_mm=round(depth))
    if draft.action == "added" and draft.depth_mm == 0:
        raise BadInput(f"The depth of mulch “{added}” is less than half a millimetre; use more.")
    refuse_double(home, draft, author)
    return draft


def day_of(home: Household, typed: str | None) -> date:
    """The local day that somebody typed; a weekday alone means the nearest past one unless they say “next”."""
    if typed is None:
        return clock.local_day(home.now, home.zone)
    day = clock.local_day(clock.moment(typed, home.now, home.zone), home.zone)
    if day > clock.local_day(home.now, home.zone) + timedelta(days=FORECAST_DAYS):
        raise BadInput(f"{clock.echo_date(day, home.system)} is more than {FORECAST_DAYS} days ahead; "
                       "no forecast reaches that far.")
    return day


def observe(home: Household, observed: str, basin: str | None, author: Author) -> Observation:
    """What somebody saw; the basin may be left out where there is only one or it is about the household."""
    kind = text.pick("observation", observed, OBSERVATIONS)
    place = None if basin is None else basin_then(home, basin, author)
    if place is None and kind in ("ponding", "runoff", "stressed plant", "animals digging"):
        lying = sorted({p.basin for name, p in home.state.outlet_at.items() if home.state.outlets[name].active})
        if len(lying) != 1:
            raise BadInput(f"At which basin was the {kind}?",
                           hint=Hint(Action("observe", kind=kind, basin="BASIN"), "; basins: ",
                                     f"{text.listed(list(home.state.active_basins()))}."))
        place = lying[0]
    draft = Observation(**common(home, author), observed=kind, basin=place)
    refuse_double(home, draft, author)
    return draft


def find_entry(home: Household, number: int) -> Fact:
    """The standing wording of an entry by any of its numbers. Raises BadInput when there is none."""
    first = home.standing.root.get(number, number)
    for fact in home.standing.facts:
        if fact.id == first:
            return fact
    if number in home.standing.withdrawn:
        raise BadInput(f"Entry {number} was withdrawn by entry {home.standing.withdrawn[number]}.")
    highest = max((entry.id for entry in home.entries), default=0)
    if 1 <= number <= highest:
        entry = next((entry for entry in home.entries if entry.id == number), None)
        if isinstance(entry, Withdrawal):
            raise BadInput(f"Entry {number} is a withdrawal, and stays.",
                           hint=f"If entry {entry.withdraws_id} was right after all, log it again.")
        raise BadInput(f"Entry {number} cannot be changed.", hint=Hint("See them with: ", LOG))
    raise BadInput(f"There is no entry {number}; the numbers go from 1 to {highest}.",
                   hint=Hint("See them with: ", LOG))


def resolve(home: Household, number: int, author: Author) -> Resolution:
    """An observation is over, or a load against a must was followed up."""
    entry = find_entry(home, number)
    if not isinstance(entry, (Observation, WashLoad)):
        raise BadInput(f"Entry {number} is a {entry.KIND.replace('_', ' ')}; observations and loads can be resolved.")
    if entry.id in home.state.resolved:
        raise BadInput(f"Entry {number} was already resolved by entry {home.state.resolved[entry.id].id}.")
    if author.happened_at < entry.happened_at:
        raise BadInput(f"Entry {number} happened at {clock.echo(entry.happened_at, home.zone)}; "
                       "it cannot be resolved before that.")
    return Resolution(**common(home, author), resolves_id=entry.id)


def done(home: Household, task: str, author: Author) -> UpkeepDone:
    """A task of upkeep was done."""
    known = [item.name for item in home.upkeep]
    draft = UpkeepDone(**common(home, author), task=text.pick("upkeep task", task, known))
    refuse_double(home, draft, author)
    return draft


def withdraw(home: Household, number: int, author: Author) -> Withdrawal:
    """Strike out an entry; the reason is the note and is required."""
    entry = find_entry(home, number)
    if author.note is None:
        raise BadInput(f"Why is entry {number} withdrawn? A withdrawal needs a reason.",
                       hint=Hint(Action("withdraw", number=number, note="typed twice")))
    return Withdrawal(**common(home, author), withdraws_id=home_last(home, entry.id))


def take_back(home: Household, batch: Sequence[Fact], by: str | None, where: str) -> list[Withdrawal]:
    """Withdraw what was logged together, the last first; `where`: “screen” or “phone”, on which it was logged."""
    author = read_author(home, by=by, note=f"taken back on the {where} it was logged on")
    return [withdraw(home, fact.id, author) for fact in reversed(batch)]


def home_last(home: Household, first: int) -> int:
    """The number of the last wording of an entry."""
    number = first
    while number in home.standing.replaced_by:
        number = home.standing.replaced_by[number]
    return number
