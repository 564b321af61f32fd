"""The record of a period as data: everything that the forms of the report show, and nothing else.

Quantities in litres and mm, days local, moments UTC; people's words have passed through privacy.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import TYPE_CHECKING

from gwlog.journal.disclosure import EVERYTHING
from gwlog.units import System

if TYPE_CHECKING:
    from gwlog.decisions.compliance import Evidence
    from gwlog.decisions.upkeep_past import Round
    from gwlog.reference.codes import Profile
    from gwlog.state import Problem

HEAD_DIGITS = 16


@dataclass(frozen=True, slots=True)
class Seal:
    """The seal's number, and whether the chain held when the record was made.

    `broken`: the first entry that does not hold.
    """

    seq: int
    digits: str
    recorded_at: datetime | None
    holds: bool
    levels: tuple[tuple[str, bool, str], ...]
    broken: str | None

    @property
    def number(self) -> str | None:
        """What to note down, like 412:9f3a6c0b12d4e877; None in an empty logbook."""
        return f"{self.seq}:{self.digits}" if self.seq else None


@dataclass(frozen=True, slots=True)
class BasinWeek:
    """One basin in one week [L]. `allowance_l`: what its soil can absorb over the week's days in the period.

    `days_over`: days on which it got more than that day's allowance. `used_l`, `percolated_l`: by the daily
    balance; None where the balance does not reach.
    """

    loads: int
    litres: float
    allowance_l: float
    days_over: int
    used_l: float | None
    percolated_l: float | None


@dataclass(frozen=True, slots=True)
class Week:
    """A week from Monday, cut to the period: all loads, those to the sewer, and each basin by name."""

    first: date
    last: date
    loads: int
    litres: float
    sewer_loads: int
    sewer_l: float
    basins: dict[str, BasinWeek]


@dataclass(frozen=True, slots=True)
class LoadLine:
    """A load that had to go to the sewer. `diverted`: it did; `followed_up`: settled where it did not."""

    id: int
    at: datetime
    load: str
    litres: float
    reasons: tuple[str, ...]
    diverted: bool
    followed_up: bool
    by: str
    note: str
    followed: str


@dataclass(frozen=True, slots=True)
class EventLine:
    """A turn of the valve, a move of an outlet: when, what, who. `as_set_up`: it stood so when it was described."""

    id: int
    at: datetime
    what: str
    by: str
    note: str
    as_set_up: bool


@dataclass(frozen=True, slots=True)
class OtherWaterLine:
    """Other water of one basin in one month (its first day) [L], `times` it was given, and by which ways."""

    month: date
    basin: str
    times: int
    litres: float
    ways: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class GaveLine:
    """A month (its first day) of all basins together: what graywater gave, what was needed still, other water [L].

    `saved`: in the currency of the household; None without a price.
    """

    month: date
    graywater_l: float
    gave_l: float
    unmet_l: float
    other_l: float
    saved: float | None


@dataclass(frozen=True, slots=True)
class SaltLine:
    """A basin's salt: how long its plants can bear it in words, and the months as cells of a table."""

    basin: str
    outlook: str
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class SaltPage:
    """The annex on salt. `readings`: day, basin, what was measured, what was reckoned until then."""

    basins: tuple[SaltLine, ...]
    readings: tuple[tuple[date, str, str, str], ...]
    load_head: tuple[str, ...]
    loads: tuple[tuple[str, ...], ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CoverLine:
    """A measurement or top-up of the mulch [mm]."""

    id: int
    at: datetime
    basin: str
    action: str
    depth_mm: float
    by: str
    note: str


@dataclass(frozen=True, slots=True)
class BasinLine:
    """A basin in use at the end of the period, with the figures of `gwlog basins --json` [L, mm]."""

    name: str
    plants: str
    soil: str
    area_m2: float
    standing: str
    allowance_l_per_day: float
    need_l_per_week: float
    percolated_30d_l: float
    cover_mm: float
    cover_due: date | None


@dataclass(frozen=True, slots=True)
class ObservationLine:
    """What was seen, and how it ended."""

    id: int
    at: datetime
    what: str
    by: str
    note: str
    resolved_at: datetime | None
    resolved_by: str
    resolution: str


@dataclass(frozen=True, slots=True)
class CorrectionLine:
    """An entry made late, corrected or withdrawn: what it said before and what it says since."""

    id: int
    what: str
    happened_at: datetime
    recorded_at: datetime
    before: str
    since: str
    by: str
    note: str


@dataclass(frozen=True, slots=True)
class EarlierLoad:
    """A load of a household before that had to go to the sewer and did not: whose (1 for the first, with its days),
    when, how much [L], to which basins, and when it was followed up.
    """

    household: int
    first: date
    last: date
    day: date
    litres: float
    basins: tuple[str, ...]
    followed: date | None


@dataclass(frozen=True, slots=True)
class Totals:
    """The period in numbers [L]."""

    entries: int
    loads: int
    litres: float
    garden_loads: int
    garden_l: float
    sewer_loads: int
    sewer_l: float


@dataclass(frozen=True, slots=True)
class Record:
    """Everything in the report of `first`..`last` (local days), as known at `made_at`.

    `code_said`: what has to be known of the code, label and sentence; `gate`: what was asked of the system itself,
    answered, and how the code has it.
    """

    site: str
    zone: str
    system: System
    occupants: int
    profile: Profile
    people: tuple[str, ...]
    first: date
    last: date
    made_at: datetime
    version: str
    seal: Seal
    totals: Totals
    weeks: tuple[Week, ...]
    other_water: tuple[OtherWaterLine, ...]
    gave: tuple[GaveLine, ...]
    gave_notes: tuple[tuple[str, str], ...]
    salt: SaltPage | None
    currency: str
    sewer: tuple[LoadLine, ...]
    valve: tuple[EventLine, ...]
    moves: tuple[EventLine, ...]
    cover: tuple[CoverLine, ...]
    basins: tuple[BasinLine, ...]
    upkeep: tuple[Round, ...]
    besides: tuple[tuple[str, date], ...]
    observations: tuple[ObservationLine, ...]
    corrections: tuple[CorrectionLine, ...]
    evidence: tuple[Evidence, ...]
    problems: tuple[Problem, ...]
    cautions: tuple[tuple[str, str], ...]
    code_said: tuple[tuple[str, str], ...]
    gate: tuple[tuple[str, str, str], ...]
    notes_withheld: int
    roles: bool
    short: tuple[str, ...] = ()
    """What is said of basins short of water, where the period ends today."""
    reader: str = EVERYTHING
    names: bool = True
    """Whether the reader is told who did what, at which hour, and what the household called it."""
    notes: bool = True
    """Whether the reader is shown notes."""
    earlier: tuple[EarlierLoad, ...] = ()
    full: bool = True
    """Whether every entry is listed, or only what is remarkable."""

    @property
    def wrong(self) -> tuple[LoadLine, ...]:
        """The exceptions: loads that had to go to the sewer and went to the garden."""
        return tuple(one for one in self.sewer if not one.diverted)

    @property
    def basin_names(self) -> tuple[str, ...]:
        """Every basin that had an allowance or got water in the period, in the order of description."""
        return tuple(dict.fromkeys(name for week in self.weeks for name in week.basins))
