"""What every reminder is made of: a stable key, when it is due, how pressing it is, and what settles it.

The key is kind, subject and local due day, so that acknowledging and delivering twice does no harm.
"""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING, Literal

from gwlog.actions import Action
from gwlog.clock import day_start, local_day
from gwlog.decisions.follow_up import COVER_WET_MULCH, keep_off_words, not_followed_up
from gwlog.text import one_line
from gwlog.units import Reader
from gwlog.values import dataclass

if TYPE_CHECKING:
    from gwlog.decisions.advice import Advice
    from gwlog.decisions.exceptions import LoadException
    from gwlog.state import State
    from gwlog.water.garden import Garden

Stage = Literal["soon", "due", "overdue"]
Timing = Literal["at once", "that morning", "the evening before", "ahead of a load"]

KINDS = (
    "valve to sewer", "valve to garden", "garden shut for weather", "next load will not fit", "move outlet",
    "other water", "basin ready again", "mulch due", "leaching owed", "upkeep", "follow up", "label to check",
    "yearly record",
)

FORMER_KINDS = {
    "rain or frost hold": "garden shut for weather", "valve back": "valve to garden",
    "room gone": "next load will not fit", "rest over": "basin ready again", "product to assess": "label to check",
}
"""What a kind was called before: answers in logbooks and settings of people still say it."""


def also_former(key: str) -> list[str]:
    """A key that begins with a kind, and what it was while that kind had another name."""
    kind, bar, rest = key.partition("|")
    return [key, *(f"{former}{bar}{rest}" for former, present in FORMER_KINDS.items() if present == kind)]


@dataclass(frozen=True, slots=True)
class Reminder:
    """Something a person should do by a time. `due` UTC; `action`: what settles it, if an entry does.

    `timing`: when people are told of it, see notification_times. `pressing`: it is about people's or the plants'
    health, and goes before what is only late.
    """

    key: str
    kind: str
    subject: str
    due: datetime
    state: Stage
    text: str
    action: Action | None
    timing: Timing = "at once"
    pressing: bool = False
    prepare: Action | None = None

    @property
    def actions(self) -> tuple[Action, ...]:
        """What to do in order: what has to be made first, if anything, and what settles it."""
        return tuple(one for one in (self.prepare, self.action) if one is not None)


@dataclass(frozen=True, slots=True)
class Look:
    """What the modules of reminders look at. `exceptions`: the loads that went against a rule."""

    state: State
    garden: Garden
    now: datetime
    read: Reader
    advice: Advice
    exceptions: tuple[LoadException, ...]

    @property
    def today(self) -> date:
        return local_day(self.now, self.state.zone)

    def start_of(self, day: date) -> datetime:
        """The first moment of a local day, UTC."""
        return day_start(day, self.state.zone)

    def keep_off(self, *basins: str) -> str:
        """The words about basins that got a load against a rule, to stand behind a reminder; empty for others."""
        unsettled = not_followed_up(self.exceptions)
        names = [name for name in basins if name in unsettled]
        return f" {keep_off_words(names)} {COVER_WET_MULCH}" if names else ""

    def stage(self, due: datetime, patience: timedelta) -> Stage:
        """Soon before it is due, overdue when `patience` has passed since."""
        if self.now < due:
            return "soon"
        return "overdue" if self.now > due + patience else "due"

    def reminder(self, kind: str, subject: str, due: datetime, stage: Stage, words: str,
                 action: Action | None = None, *, timing: Timing = "at once", pressing: bool = False,
                 prepare: Action | None = None) -> Reminder:
        """Put one together; `action`: None where no entry settles it."""
        name = one_line(subject).replace("|", "/")
        day = local_day(due, self.state.zone)
        return Reminder(f"{kind}|{name}|{day.isoformat()}", kind, subject, due, stage, words, action,
                        timing, pressing, prepare)
