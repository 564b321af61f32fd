"""Recurring maintenance: the code profile's tasks and the household's own, each with the day it is due.

An interval runs from the last time a task was done, else from the day the system was set up. A system that was
described as new has tasks that come once: before its first load, and after its first week and month.
"""

from __future__ import annotations

import re
from calendar import monthrange
from collections.abc import Sequence
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING, Literal

from gwlog.clock import local_day
from gwlog.decisions.query import profile_of
from gwlog.errors import BadInput
from gwlog.values import dataclass

if TYPE_CHECKING:
    from gwlog.journal.facts import UpkeepTask
    from gwlog.state import State

WINDOW_DAYS = 7
"""From this many days before it is due a task is told as coming; as many after, it is overdue. A task that
comes round faster has a quarter of its interval instead. Working assumption."""

ONCE_WINDOW_DAYS = 3
"""The same for a task that comes once, after the first week or month. Working assumption."""

NEVER = "never"
ONCE = "once"
"""What stands for the interval of a task that comes once, on its day."""

ACCEPTED = "“10 days”, “6 weeks”, “12 months”, “2 years” or “never”"
MOST = {"day": 3_650, "week": 520, "month": 120, "year": 10}

_EVERY = re.compile(r"(?:every\s+)?(?:(\d{1,4})\s*)?(day|week|month|year)s?", re.I)

UpkeepState = Literal["soon", "due", "overdue", "later"]


@dataclass(frozen=True, slots=True)
class Interval:
    """A count of calendar units, counted as people count them: a month from 31 January is 28 February."""

    count: int
    unit: Literal["day", "week", "month", "year"]

    def after(self, day: date) -> date:
        """The day one interval after `day`; past the calendar's end, its last day."""
        try:
            if self.unit in ("day", "week"):
                return day + timedelta(days=self.count * (7 if self.unit == "week" else 1))
            months = day.month - 1 + self.count * (12 if self.unit == "year" else 1)
            year, month = day.year + months // 12, months % 12 + 1
            return date(year, month, min(day.day, monthrange(year, month)[1]))
        except (ValueError, OverflowError):
            return date.max

    @property
    def about_days(self) -> int:
        """Roughly how long it is [days]."""
        return self.count * {"day": 1, "week": 7, "month": 30, "year": 365}[self.unit]


@dataclass(frozen=True, slots=True)
class UpkeepItem:
    """A task, when it was last done and when it is due again (local days)."""

    name: str
    every: str
    last_done: date | None
    due: date
    state: UpkeepState
    source: str | None

    @property
    def often(self) -> str:
        """How often in words: “every 12 months”, “every month” or “once”."""
        return often(self.every)


def often(every: str) -> str:
    """An interval in words: “every 12 months”, or “once”."""
    return every if every == ONCE else f"every {every.removeprefix('1 ')}"


def interval(every: str) -> Interval | None:
    """Read “6 weeks”, “12 months”, “every year”; None means never. Raises BadInput naming what is accepted."""
    words = " ".join(every.split()).casefold()
    if words == NEVER:
        return None
    match = _EVERY.fullmatch(words)
    if match is None:
        raise BadInput(f"“{every[:40]}” is not an interval I can read; write it like {ACCEPTED}.")
    count = int(match[1]) if match[1] else 1
    for unit in ("day", "week", "month", "year"):
        if match[2].casefold() == unit:
            if not 1 <= count <= MOST[unit]:
                raise BadInput(f"“{every[:40]}” is out of range; 1 to {MOST[unit]:,} {unit}s are accepted.")
            return Interval(count, unit)
    raise AssertionError(match[2])


@dataclass(frozen=True, slots=True)
class Task:
    """A task in force: how often, in which months (None: all year), and the day its first interval runs from.

    One that comes once is due on `since` itself; `before`: it comes before the first load.
    """

    name: str
    every: str
    months: tuple[int, ...] | None
    source: str | None
    since: date
    before: bool = False

    @property
    def once(self) -> bool:
        """Whether it comes once."""
        return self.every == ONCE


def upkeep(state: State, now: datetime) -> tuple[UpkeepItem, ...]:
    """Return the household's tasks with their due days, the most pressing first; empty without a site.

    A task of the household replaces the profile's of the same name (case does not matter); retired or
    “never”, it drops it. A task limited to some months waits for the next of them.
    """
    if not state.sites:
        return ()
    today = local_day(now, state.zone)
    done: dict[str, date] = {}
    for name, entries in state.upkeep_done.items():
        for entry in entries.known:   # the last time is among them
            day = local_day(entry.happened_at, entry.zone)
            key = name.casefold()
            done[key] = max(day, done.get(key, day))
    items = [_item(task, done.get(task.name.casefold()), today) for task in tasks_of(state)]
    return tuple(sorted((one for one in items if one is not None), key=lambda one: (one.due, one.name)))


def tasks_of(state: State) -> list[Task]:
    """The profile's tasks and the household's own, as upkeep() takes them; the site must be described."""
    from gwlog.reference.source import citation

    start = local_day(state.sites[0].happened_at, state.zone)
    tasks: dict[str, Task] = {}
    for default in profile_of(state).upkeep:
        tasks[default.name.casefold()] = Task(default.name, default.every, default.months, citation(default), start)
    tasks |= {task.name.casefold(): task for task in new_system_tasks(state)}
    for name, own in state.upkeep_tasks.items():
        known = tasks.pop(name.casefold(), None)
        if own.active:
            tasks[name.casefold()] = _own(own, known, start, state.zone)
    return list(tasks.values())


def new_system_tasks(state: State) -> list[Task]:
    """What a system that was described as new asks for once; nothing of any other.

    Before the first load: from the day it was described so. Later: after the first load to the garden, else after
    that day.
    """
    from gwlog.reference.codes.system import NEW, answers_of
    from gwlog.reference.source import citation
    from gwlog.reference.upkeep import NEW_SYSTEM

    if state.site is None or answers_of(state.site.system_answers).get(NEW) != "yes":
        return []
    told = next(site for site in state.sites if answers_of(site.system_answers).get(NEW) == "yes")
    start = local_day(told.happened_at, state.zone)
    first = min((run.day for run in state.loads if run.to_garden), default=start)
    found = []
    for one in NEW_SYSTEM:
        after = interval(one.after) if one.after is not None else None
        due = after.after(max(start, first)) if after is not None else start
        found.append(Task(one.name, ONCE, None, citation(one), due, before=after is None))
    return found


def _own(own: UpkeepTask, known: Task | None, start: date, zone: str) -> Task:
    # A task that the household invents later starts then, not years overdue.
    since = start if known is not None else max(start, local_day(own.happened_at, zone))
    source = own.source or (known.source if known is not None else None)
    return Task(own.name, own.every, own.months, source, since)


def _item(task: Task, last: date | None, today: date) -> UpkeepItem | None:
    if task.once:
        return None if last is not None else UpkeepItem(
            task.name, task.every, None, task.since, _state(task.since, today, window_of(task)), task.source)
    try:
        every = interval(task.every)
    except BadInput as fault:
        # Odd data must be seen, and must not take the other tasks with it.
        return UpkeepItem(task.name, task.every, last, today, "due", str(fault))
    if every is None:
        return None
    due = in_season(every.after(last or task.since), task.months or (), today)
    return UpkeepItem(task.name, task.every, last, due, _state(due, today, window_days(every)), task.source)


def _state(due: date, today: date, window: int) -> UpkeepState:
    if today > due + timedelta(days=window):
        return "overdue"
    if today >= due:
        return "due"
    return "soon" if (due - today).days <= window else "later"


def window_of(task: Task) -> int:
    """How many days around its day a task that comes once counts as done in time."""
    return WINDOW_DAYS if task.before else ONCE_WINDOW_DAYS


def window_days(every: Interval) -> int:
    """How many days around its due day a task counts as done in time."""
    return min(WINDOW_DAYS, max(1, every.about_days // 4))


def in_season(due: date, months: Sequence[int], today: date) -> date:
    """Move a due day into the task's months; one that a whole season passed by waits for the next season."""
    season = {month for month in months if 1 <= month <= 12}
    if not season or len(season) == 12 or due.year == date.max.year:
        return due
    while True:
        while due.month not in season:
            due = _next_month(due)
        end = due
        while end.month in season:
            end = _next_month(end)
        if end > today:
            return due
        due = end


def _next_month(day: date) -> date:
    return Interval(1, "month").after(day.replace(day=1))
