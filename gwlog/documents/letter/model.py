"""The letter as data: everything that its two pages tell, and nothing else.

Quantities in litres, days local; people's words have passed through privacy.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Literal

from gwlog import clock
from gwlog.units import System

if TYPE_CHECKING:
    from gwlog.documents.record.model import Seal, Week
    from gwlog.reference.codes import Profile

Finding = Literal["yes", "not always", "no", "not shown"]


@dataclass(frozen=True, slots=True)
class Wrong:
    """A load that had to go to the sewer and went to the garden. `followed`: when somebody saw to it, None while
    nobody has; `done`: what was done, in the household's words, where the reader is shown them.
    """

    id: int
    day: date
    litres: float
    basins: tuple[str, ...]
    reasons: tuple[str, ...]
    followed: date | None
    done: str


@dataclass(frozen=True, slots=True)
class Seen:
    """Something seen in the garden: what, when, and when it was resolved."""

    what: str
    day: date
    resolved: date | None


@dataclass(frozen=True, slots=True)
class Kept:
    """A rule, whether it was kept, and what shows that."""

    rule: str
    finding: Finding
    shown: str


@dataclass(frozen=True, slots=True)
class Task:
    """A task of upkeep in the period: rounds in time, late, missed and still open, and when it was last done."""

    name: str
    every: str
    in_time: int
    late: int
    missed: int
    open: int
    last: date | None


@dataclass(frozen=True, slots=True)
class Earlier:
    """What is told of a household before: its days, the loads that had to go to the sewer, those that did, the others
    by whether they were followed up, and the rounds of upkeep that were missed.
    """

    first: date
    last: date
    due: int
    went: int
    followed: int
    missed: int

    @property
    def wrong(self) -> int:
        """How many loads went to the garden that had to go to the sewer."""
        return self.due - self.went


@dataclass(frozen=True, slots=True)
class Letter:
    """What is told of `first`..`last`; `last` before `first`: no whole week is over yet.

    `due`: loads that had to go to the sewer; `over`: days on which a basin got more than its soil can absorb;
    `mended`: entries logged late, corrected or withdrawn, by that word; `wrong_clock`: the numbers of those that were
    written under a wrong clock, in the whole log, since nobody knows when that was.
    """

    reader: str
    by_week: bool
    site: str
    zone: str
    system: System
    profile: Profile
    first: date
    last: date
    made: date
    version: str
    seal: Seal
    witness: str
    loads: int
    litres: float
    garden_loads: int
    garden_l: float
    due: int
    wrong: tuple[Wrong, ...]
    over: int
    seen: tuple[Seen, ...]
    kept: tuple[Kept, ...]
    not_shown: tuple[str, ...]
    conditions: tuple[Kept, ...]
    tasks: tuple[Task, ...]
    weeks: tuple[Week, ...]
    earlier: tuple[Earlier, ...]
    problems: int
    mended: dict[str, int]
    wrong_clock: tuple[int, ...]

    @property
    def went(self) -> int:
        """Of the loads that had to go to the sewer, those that did."""
        return self.due - len(self.wrong)

    @property
    def basin_names(self) -> tuple[str, ...]:
        """Every basin that had an allowance or got water, in the order of description."""
        return tuple(dict.fromkeys(name for week in self.weeks for name in week.basins))

    @property
    def period(self) -> str:
        """The days of which it tells, in words."""
        return f"{clock.long_date(self.first, self.system)} to {clock.long_date(self.last, self.system)}"

    def when(self, day: date) -> str:
        """A day as the reader is told of it."""
        return clock.week_of(day, self.system) if self.by_week else clock.short_date(day, self.system)


def share(part: int, whole: int) -> str:
    """A share in words, never rounded up: “98 %”, and 100 % only where nothing is missing."""
    percent = 100 * part // whole
    return "under 1 %" if part and not percent else f"{percent} %"
