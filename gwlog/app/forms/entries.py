"""The forms that log: which fields each has and which entries they make, all through `app.entries`.

No rule lives here; what is refused is refused by the entries themselves.
"""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace

from gwlog import clock
from gwlog.actions import Action, Hint, Words
from gwlog.app import attested, entries, water_and_soil
from gwlog.app.forms.model import Field, FormSpec, Option, Values, options_of, word, words
from gwlog.app.rain import rain
from gwlog.decisions.answer import Answer
from gwlog.decisions.caution_words import other_water_caution
from gwlog.errors import BadInput
from gwlog.household import Household
from gwlog.journal.facts import CONTENTS, EXTRACTS, MULCH_ACTIONS, OBSERVATIONS, OTHER_WATERS, VALVE, Fact, Observation
from gwlog.views import answers, consequences
from gwlog.views.log import sentence

NOBODY = Option("", "nobody named")
EXTRACT_WORDS = {"saturation": "a saturated paste", "1:5": "one part of soil in five of water"}
WAYS = {"can": "can", "drip": "drip line", "hose": "drinking-water hose", "flush": "flush, to wash salt down"}
IN_SETUP = Hint("Describe one in the setup: ", Action("setup"))


def _basins(home: Household, _values: Values) -> list[Option]:
    return options_of(list(home.state.active_basins()))


def _within_reach(home: Household, values: Values) -> list[Option]:
    outlet = word(values, "outlet")
    if outlet not in home.state.outlets:
        return []
    lies = home.state.outlet_at[outlet].basin
    # where it lies already comes last: a move is to somewhere else
    return options_of(sorted(home.state.reach(outlet), key=lambda name: name == lies))


def _people(home: Household, _values: Values) -> list[Option]:
    return [NOBODY, *options_of([name for name, person in home.state.people.items() if person.active])]


def to_settle(home: Household, _values: Values) -> list[Option]:
    """Open observations, and exceptions that nobody followed up: entry number and words."""
    waiting: list[tuple[Fact, str]] = [(seen, "") for seen in home.state.open_observations()]
    waiting += [(e.load.fact, f": {e.reasons[0].text}") for e in home.exceptions if not e.followed_up]
    return [Option(str(fact.id), f"{fact.id} {sentence(home, fact)}, "
                                 f"{clock.echo_day(clock.local_day(fact.happened_at, home.zone), home.system)}{why}")
            for fact, why in waiting]


def author_of(home: Household, values: Values) -> entries.Author:
    """Who writes, when it happened and the note, as every form asks for them. Raises BadInput."""
    return entries.read_author(home, at=word(values, "at") or None, by=word(values, "by") or None,
                          note=word(values, "note") or None)


AT = Field("at", "When", hint="now; or like: yesterday 18:30, tue 7pm, 2 hours ago")
BY = Field("by", "Who", options=_people)
NOTE = Field("note", "Note")
REASON = Field("note", "Why", hint="like: typed twice")
COMMON = (AT, BY, NOTE)


def _valve(home: Household, values: Values) -> Sequence[Fact]:
    return [entries.valve(home, word(values, "to"), author_of(home, values))]


def _move(home: Household, values: Values) -> Sequence[Fact]:
    if not home.state.active_outlets():
        raise BadInput("No outlet is described.", hint=IN_SETUP)
    if not word(values, "basin"):
        raise BadInput("This outlet reaches no basin.")
    return [entries.move(home, word(values, "outlet"), word(values, "basin"), author_of(home, values))]


def _mulch(home: Household, values: Values) -> Sequence[Fact]:
    if not word(values, "basin"):
        raise BadInput("No basin is described.", hint=IN_SETUP)
    depth = word(values, "depth")
    if word(values, "action") == "added":
        return [entries.mulch(home, word(values, "basin"), author_of(home, values), added=depth)]
    return [entries.mulch(home, word(values, "basin"), author_of(home, values), measured=depth)]


def _rain(home: Household, values: Values) -> Sequence[Fact]:
    return [rain(home, word(values, "amount"), author_of(home, values),
                 day=entries.day_of(home, word(values, "day") or None), since=word(values, "since") or None)]


def _other_water(home: Household, values: Values) -> Sequence[Fact]:
    if not word(values, "basin"):
        raise BadInput("No basin is described.", hint=IN_SETUP)
    said = {name: word(values, name) or None for name in ("amount", "minutes", "flow")}
    return [water_and_soil.other_water(home, word(values, "basin"), author_of(home, values), way=word(values, "way"),
                                       **said)]


def _soil(home: Household, values: Values) -> Sequence[Fact]:
    if not word(values, "basin"):
        raise BadInput("No basin is described.", hint=IN_SETUP)
    said = {name: word(values, name) or None for name in ("ec", "sar", "esp", "boron", "ph")}
    return [water_and_soil.soil_reading(home, word(values, "basin"), author_of(home, values),
                                        extract=word(values, "extract"), **said)]


def _soil_logged(home: Household, values: Values, written: Sequence[Fact]) -> list[Words]:
    return [*logged(home, values, written), *consequences.soil_against_reckoning(home, written)]


def _mind(_home: Household, values: Values) -> Sequence[str]:
    caution = other_water_caution(word(values, "way"))
    return [f"Careful: {caution}"] if caution else []


def _thirstiest(home: Household) -> str:
    """The basin that the plan leaves short first, else the one that lacks most of what its plants readily use; “”
    where there is none.
    """
    basins = home.garden.basins.values()
    with suppress(BadInput):
        if short := home.plan.short:
            return min(short, key=lambda one: one.first).basin
    return max(basins, key=lambda one: one.deficit_l / max(one.raw_l, 1.0)).name if basins else ""


def _observe(home: Household, values: Values) -> Sequence[Fact]:
    return [entries.observe(home, word(values, "kind"), word(values, "basin") or None, author_of(home, values))]


def _resolve(home: Household, values: Values) -> Sequence[Fact]:
    if not word(values, "number"):
        raise BadInput("Nothing to resolve: no observation is open and no load waits for a follow-up.")
    return [entries.resolve(home, int(word(values, "number")), author_of(home, values))]


def _done(home: Household, values: Values) -> Sequence[Fact]:
    return [entries.done(home, word(values, "task"), author_of(home, values))]


def _attest(home: Household, values: Values) -> Sequence[Fact]:
    what, who = word(values, "what"), word(values, "who") or None
    author = attested.author_of(home, word(values, "at") or None, word(values, "by") or None,
                                word(values, "note") or None)
    side = attested.LOGGED[what][0]
    return [attested.attest(home, what, author, **{side: who}, file=word(values, "file") or None)]


def logged(home: Household, _values: Values, written: Sequence[Fact]) -> list[Words]:
    """The lines to show once entries are written, and what they changed in what came later."""
    lines: list[Words] = []
    for fact in written:
        told = f"Logged {fact.id}: {sentence(home, fact)}."
        if isinstance(fact, Observation):
            lines.append(Hint(f"{told} When it is over: ", Action("resolve", number=fact.id)))
        else:
            lines.append(f"{told} {consequences.already(home, fact)}".rstrip())
    return [*lines, *consequences.missing_now(home, written), *consequences.late(home, written)]


def corrected(home: Household, _values: Values, written: Sequence[Fact]) -> list[Words]:
    """The lines to show once a correction or a withdrawal is written, and what no longer fits together since."""
    return [*(f"Logged {fact.id}: {sentence(home, fact)}." for fact in written),
            *consequences.odd_now(home, written)]


def withdrawal_of(home: Household, number: int) -> FormSpec:
    """The form that withdraws one entry, which must say why."""
    words_of_it = sentence(home, entries.find_entry(home, number))
    return FormSpec(
        f"withdraw {number}", f"Withdraw {number}: {words_of_it}", (REASON, AT, BY),
        lambda then, values: [entries.withdraw(then, number, author_of(then, values))], wrote=corrected)


ADVISED, STANDING = Option("advised", "as advised"), Option("stands", "no steps")


def _draft(home: Household, values: Values) -> entries.LoadDraft:
    author = author_of(home, values)
    name, volume = word(values, "load"), word(values, "volume") or None
    if not name:
        raise BadInput("No usual load is described.", hint=IN_SETUP)
    products, contents = words(values, "products"), words(values, "contents")
    to = word(values, "to")
    if to == "advised":
        return entries.load_as_advised(home, name, author, volume=volume, products=products, contents=contents)
    return entries.load(home, name, author, volume=volume, products=products, contents=contents,
                        to=None if to == "stands" else to)


def _advice(home: Household, values: Values) -> Sequence[str]:
    if not word(values, "load"):
        return []
    return answers.lines(*_judged(home, values))


def _judged(home: Household, values: Values) -> tuple[Household, Answer]:
    return entries.judged(home, word(values, "load"), author_of(home, values), volume=word(values, "volume") or None,
                          products=words(values, "products"), contents=words(values, "contents"))


def _ways(home: Household, values: Values) -> list[Option]:
    """Where the water went. Of a load that ran before, as it stood is what is known; of one to run, what is advised."""
    usual = [STANDING, ADVISED] if word(values, "at").strip() else [ADVISED, STANDING]
    return [*usual, *options_of(["garden", "sewer", *home.state.active_basins()])]


def load_form(name: str) -> FormSpec:
    """The form for one usual load, which keeps what was typed for it apart from other loads."""
    return replace(LOAD, key=f"load {name}".strip())


LOAD = FormSpec(
    "load", "A load, with what was different this time",
    (
        Field("load", "Load", options=lambda home, _: options_of(entries.usual_load_names(home))),
        Field("volume", "Water", hint="as usual; or like 20gal, 75 L"),
        Field("products", "Also put in", many=True, options=lambda home, _: options_of(
            [name for name, product in home.state.products.items() if product.active])),
        Field("contents", "Also contained", many=True, options=lambda *_: options_of(CONTENTS)),
        Field("to", "Water went", options=_ways),
        *COMMON,
    ),
    lambda home, values: _draft(home, values).facts,
    advise=_advice,
    wrote=lambda home, values, written: [
        *answers.logged_lines(home, _draft(home, values).answer, written),
        *consequences.late(home, written)],
    answer=_judged,
)

FORMS: dict[str, FormSpec] = {"load": LOAD} | {spec.key: spec for spec in (
    FormSpec("valve", "The valve was turned", (
        Field("to", "Now on", options=lambda *_: options_of(VALVE),
              start=lambda home: "sewer" if home.state.valve == "garden" else "garden"), *COMMON), _valve,
        wrote=logged),
    FormSpec("move", "An outlet was moved", (
        Field("outlet", "Outlet", options=lambda home, _: options_of(list(home.state.active_outlets()))),
        Field("basin", "Now at", options=_within_reach), *COMMON), _move, wrote=logged),
    FormSpec("mulch", "Mulch added or measured", (
        Field("basin", "Basin", options=_basins),
        Field("action", "Depth was", options=lambda *_: options_of(MULCH_ACTIONS)),
        Field("depth", "Depth", hint="like 2in or 50 mm"), *COMMON), _mulch),
    FormSpec("rain", "Rain of a whole day (a coming day: the forecast), or a gauge's total", (
        Field("amount", "Rain", hint="like 0.5in or 12 mm; 0 for a dry day"),
        Field("day", "Day", hint="today; or like: yesterday, tue, tomorrow, 2026-05-03"),
        Field("since", "Since", hint="that day alone; of a gauge: last (reading), or like: sunday"), BY, NOTE), _rain,
        wrote=logged),
    FormSpec("water", "Water that did not come from the washing machine", (
        Field("basin", "Basin", options=_basins, start=_thirstiest),
        Field("way", "Came by", options=lambda *_: [Option(way, WAYS[way]) for way in OTHER_WATERS]),
        Field("amount", "Amount", hint="like 3gal or 12 L; or minutes and flow"),
        Field("minutes", "Minutes", hint="how long it ran, like 20"),
        Field("flow", "Flow", hint="what came, like 2 gal/min or 6 L/min"), *COMMON), _other_water,
        advise=_mind,
        wrote=logged),
    FormSpec("soil", "A soil test, or a meter's reading of the soil", (
        Field("basin", "Basin", options=_basins),
        Field("extract", "Extract", options=lambda *_: [Option(one, EXTRACT_WORDS[one]) for one in EXTRACTS]),
        Field("ec", "Conductivity", hint="like 2.4 dS/m or 2400 uS/cm"),
        Field("sar", "SAR", hint="sodium adsorption ratio; or ESP"),
        Field("esp", "ESP", hint="exchangeable sodium, percent"),
        Field("boron", "Boron", hint="like 0.6 mg/L"), Field("ph", "pH"), *COMMON), _soil, wrote=_soil_logged),
    FormSpec("observe", "Something was seen", (
        Field("kind", "What", options=lambda *_: options_of(OBSERVATIONS)),
        Field("basin", "At basin", options=lambda home, _: [Option("", "no basin in particular"), *_basins(home, {})]),
        *COMMON), _observe, wrote=logged),
    FormSpec("resolve", "Resolve something seen, or follow up a load", (
        Field("number", "Entry", options=to_settle), *COMMON), _resolve),
    FormSpec("attest", "A paper or a visit: evidence for the code", (
        Field("what", "What", options=lambda *_: options_of(list(attested.LOGGED))),
        Field("who", "By or to", hint="the office, the inspector, who got the manual"),
        Field("file", "File", hint="if there is one; it stays where it is, its digest is logged", endings=("",)),
        Field("at", "When", hint="now; or like: march 3, also before the logbook begins"), BY, NOTE), _attest,
        wrote=logged),
    FormSpec("done", "Upkeep done", (
        Field("task", "Task", options=lambda home, _: options_of([one.name for one in home.upkeep])), *COMMON), _done),
)}
