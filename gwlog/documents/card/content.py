"""What the card says: until when it is true, the valve, where the outlets are, where each usual load goes now.

Read by whoever stands at the machine, from two metres and with wet hands: short lines, must and better told apart by
words and sign.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING, Literal

from gwlog import clock
from gwlog.decisions.answers_stand import Stand, stand
from gwlog.decisions.load_rules import is_unassessed
from gwlog.decisions.rotation import DAYS
from gwlog.decisions.told import first_word
from gwlog.errors import BadInput
from gwlog.reference.laundry import LABEL_EVERY_FT
from gwlog.reference.source import CHECK_LOCAL
from gwlog.text import listed
from gwlog.units import MM_PER_FOOT
from gwlog.views import answers

if TYPE_CHECKING:
    from gwlog.decisions.answer import Answer, Walk
    from gwlog.decisions.load_rules import LoadQuery
    from gwlog.household import Household

Way = Literal["garden", "must", "better", "sewer"]

SIGNS: dict[Way, str] = {"garden": "▶", "must": "▼", "better": "▽", "sewer": "▽"}
"""Filled where there is no choice; the words say the same."""

SEWER_WORDS: dict[Way, str] = {"must": "MUST go to the sewer", "better": "better to the sewer", "sewer": "to the sewer"}

CAUTIONS = (
    "Keep people and pets off the water and the wet soil.",
    "Gloves at the basin. Wash your hands afterward.",
    "Nobody drinks it. Never join it to a tap or a water pipe.",
    "Somebody ill, ground soaked or frozen, water standing: all to SEWER.",
    "Trouble: pause the machine, valve to SEWER, then let it finish.",
)
"""Five lines, each short enough to be read at a glance: contact, gloves and hands, drinking water, when nothing goes to
the garden, what to do first."""

OUTLETS_TITLES = ("Outlet", "is now at")
LOADS_TITLES = ("Load", "goes now to")
WITH_A_PHONE = "With a phone"
GOES_ON = "There is more on the next page."
DOUBT = "When in doubt: SEWER"
GARDEN_MEANS = "The water runs to the outlets, under the mulch."
SEWER_MEANS = "Always: diapers, soiled things, bleach, solvent, paint, oil, pesticide, drum cleaning. Then back " \
              "to GARDEN."
PIPE_LABEL = "CAUTION: NONPOTABLE WATER, DO NOT DRINK"
VALVE_LABEL = "▶ GARDEN     ▼ SEWER"
BY_HAND = "Write here by hand; type it into the logbook later (screens: t)"
PENCIL = ("day, time", "load", "went to", "outlet moved to", "who", "note")
NO_LOADS = "No usual load is described. Ask before each load: gwlog where."
MOST_TURNS = 14


@dataclass(frozen=True, slots=True)
class Line:
    """A usual load: where it goes now, and what comes first, “” where nothing does."""

    load: str
    way: Way
    says: str
    first: str

    @property
    def sign(self) -> str:
        """The sign in front of the answer."""
        return SIGNS[self.way]


@dataclass(frozen=True, slots=True)
class Place:
    """Where an outlet is; `first`: where it goes before any load to the garden, where all of them ask for the same."""

    outlet: str
    basin: str
    first: str


@dataclass(frozen=True, slots=True)
class Card:
    """Everything on the card, in the household's words and units; `turns`: the days and what is where; `phone`: the
    address of the pages for phones, “” where there is none.
    """

    site: str
    until: str
    more: str
    first: str
    outlets: tuple[Place, ...]
    lines: tuple[Line, ...]
    turns: tuple[tuple[str, str], ...]
    turns_title: str
    remark: str
    labels: tuple[tuple[str, str], ...]
    labels_note: str
    foot: str
    phone: str = ""


def content(home: Household, phone: str = "") -> Card:
    """The card of a household that is described. `phone`: the address of its pages for phones."""
    state, site, system = home.state, home.state.site, home.system
    assert site is not None
    today = clock.local_day(home.now, home.zone)
    queries = {name: home.query(name) for name, load in state.usual_loads.items() if load.active}
    told = {name: home.answer(query) for name, query in queries.items()}
    stands = stand(told, home.advice.loads, today, home.zone)
    shared = _shared(list(told.values()))
    turns, remark = schedule(home)
    feet = LABEL_EVERY_FT.value
    every = f"{feet:g} ft" if system == "us" else f"{feet * MM_PER_FOOT / 1000:.1f} m"
    last = clock.echo_day(today + timedelta(days=DAYS - 1), system)
    return Card(
        site=site.name,
        until=clock.echo_day(stands.until, system),
        more=_after(stands),
        first=first_word(site) or "",
        outlets=tuple(Place(name, state.outlet_at[name].basin, _before_any(name, shared))
                      for name in state.active_outlets()),
        lines=tuple(line(queries[name], answer, shared) for name, answer in told.items()),
        turns=tuple(turns[:MOST_TURNS]) + (((f"and {len(turns) - MOST_TURNS} turns more", "gwlog plan"),)
                                           if len(turns) > MOST_TURNS else ()),
        turns_title=f"The outlets until {last}", remark=remark or "",
        labels=((PIPE_LABEL, "laundry graywater to the garden"),
                (VALVE_LABEL, "turn before the start; when in doubt: SEWER")),
        labels_note=f"Labels to cut out: the first on the pipe, every {every} where it shows; the second at the valve.",
        foot=f"{site.name} · made {clock.long_date(today, system)}, "
             f"{clock.echo_hour(clock.local(home.now, home.zone), system)} · {CHECK_LOCAL}",
        phone=phone,
    )


def _after(stands: Stand) -> str:
    """What ends the card, and what to go by then."""
    then = "see the last page or the logbook, or print a new card."
    if stands.load is None:
        return f"After that, {then}"
    if stands.through:
        return f"Up to that day's {stands.load}, for which an outlet is moved. After it, {then}"
    return f"Only before {stands.load}. Then {then}"


def _shared(told: Sequence[Answer]) -> tuple[Walk, ...]:
    """The moves that come first whatever goes to the garden: told once, beside the outlets."""
    garden = [answer.moves for answer in told if answer.verdict == "garden"]
    return garden[0] if len(garden) > 1 and all(moves == garden[0] for moves in garden) else ()


def _before_any(outlet: str, shared: Sequence[Walk]) -> str:
    basin = next((one.basin for one in shared if one.outlet == outlet), None)
    return f"Before any load to the garden: move it to {basin}." if basin is not None else ""


def line(query: LoadQuery, answer: Answer, shared: Sequence[Walk] = ()) -> Line:
    """A usual load's line: its answer is the one that `where` gives; `shared`: moves that are told elsewhere."""
    if answer.verdict == "sewer":
        way: Way = {"must": "must", "should": "better", None: "sewer"}[answer.strength]  # type: ignore[assignment]
        return Line(answer.load, way, SEWER_WORDS[way], "")
    unread = tuple(one.name for one in query.products if is_unassessed(one))
    steps = [f"check the label of {listed([f'“{name}”' for name in unread])}"] if unread else []
    steps += [f"move {one.outlet} to {one.basin}" for one in answer.moves if one not in shared]
    return Line(answer.load, "garden", " and ".join(answers.basins(answer)),
                f"First {listed(steps)}." if steps else "")


def schedule(home: Household) -> tuple[list[tuple[str, str]], str | None]:
    """The turns of two weeks as (days, what is where), and a remark; without a plan, where the outlets are now."""
    state = home.state
    places = [("now", f"{name} at {state.outlet_at[name].basin}") for name in state.active_outlets()]
    try:
        plan = home.plan
    except BadInput:
        return places, None
    if not plan.turns:
        return places, plan.note
    rows = [(_days(turn.first, turn.last, home.system), f"{turn.outlet} at {turn.basin}") for turn in plan.turns]
    return rows, plan.note


def _days(first: date, last: date, system: str) -> str:
    if first == last:
        return clock.echo_day(first, system)
    return f"{clock.echo_day(first, system)} to {clock.echo_day(last, system)}"
