"""What every reminder is made of: a stable key, when it is due, how pressing it is, and what settles it.

The key is kind, subject and local due day, so that acknowledging and delivering twice does no harm.
"""

from __future__ import annotations

import shlex
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING, Literal

from gwlog.clock import day_start, local_day
from gwlog.text import one_line
from gwlog.units import Reader

if TYPE_CHECKING:
    from gwlog.decisions.exceptions import LoadException
    from gwlog.decisions.rotation import Plan
    from gwlog.state import State
    from gwlog.water.garden import Garden

Stage = Literal["soon", "due", "overdue"]
Timing = Literal["at once", "that morning", "the evening before", "ahead of a load"]
Expected = Sequence[tuple[datetime, str]]

KINDS = (
    "valve to sewer", "valve back", "rain or frost hold", "room gone", "move outlet", "rest over", "mulch due",
    "upkeep", "follow up", "product to assess", "yearly record",
)


@dataclass(frozen=True, slots=True)
class Reminder:
    """Something a person should do by a time. `due` UTC; `action`: the command that settles it, if one does.

    `timing`: when people are told of it, see tellings.py.
    """

    key: str
    kind: str
    subject: str
    due: datetime
    state: Stage
    text: str
    action: str | None
    timing: Timing = "at once"


@dataclass(frozen=True, slots=True)
class Look:
    """What the rooms of reminders look at. `expected`: loads to come as (moment UTC, usual load's name).

    `exceptions`: the loads run against a must, where they are known already; None: they are looked for.
    """

    state: State
    garden: Garden
    now: datetime
    read: Reader
    expected: tuple[tuple[datetime, str], ...]
    plan: Plan | None
    exceptions: tuple[LoadException, ...] | None = None

    @property
    def today(self) -> date:
        return local_day(self.now, self.state.zone)

    def start_of(self, day: date) -> datetime:
        """The first moment of a local day, UTC."""
        return day_start(day, self.state.zone)

    def stage(self, due: datetime, patience: timedelta) -> Stage:
        """Soon before it is due, overdue when `patience` has passed since."""
        if self.now < due:
            return "soon"
        return "overdue" if self.now > due + patience else "due"

    def reminder(self, kind: str, subject: str, due: datetime, stage: Stage, words: str,
                 *command: str, timing: Timing = "at once") -> Reminder:
        """Put one together; `command`: the gwlog command's words, none where no entry settles it."""
        name = one_line(subject).replace("|", "/")
        day = local_day(due, self.state.zone)
        action = shlex.join(("gwlog", *command)) if command else None
        return Reminder(f"{kind}|{name}|{day.isoformat()}", kind, subject, due, stage, words, action,
                        timing)
