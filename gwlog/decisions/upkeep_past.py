"""How upkeep went: every round of every task, whether it was done in time, late or missed.

A round is one due day. Doing a task serves the last round that was due by then; the ones before it were missed.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import TYPE_CHECKING, Literal

from gwlog.clock import local_day
from gwlog.decisions.upkeep import Task, in_season, interval, tasks_of, window_days, window_of
from gwlog.errors import BadInput

if TYPE_CHECKING:
    from gwlog.state import State

RoundState = Literal["in time", "late", "missed", "open", "clock behind"]


@dataclass(frozen=True, slots=True)
class Round:
    """One due day of a task and what became of it (local days). `done` None: nobody has noted it."""

    task: str
    every: str
    due: date
    done: date | None
    state: RoundState

    @property
    def day(self) -> date:
        """The day under which the round is told: when it was done, else when it was due."""
        return self.done or self.due


def rounds(state: State, until: date, behind: Collection[int] = ()) -> tuple[Round, ...]:
    """Return every round of the tasks in force up to the local day `until`, oldest first.

    Judged by the intervals as they are now. “in time” is up to the task's window after the due day; “open” is
    due and still within it. `behind`: entries written under a clock that was behind; what would be in time by such a
    one alone is “clock behind”, since nobody knows when it was written.
    """
    if not state.sites:
        return ()
    done = _done_days(state, until)
    unsure = _unsure_days(state, frozenset(behind)) if behind else set()
    found = [replace(one, state="clock behind")
             if one.state == "in time" and (one.task.casefold(), one.done) in unsure else one
             for task in tasks_of(state) for one in _rounds(task, done.get(task.name.casefold(), []), until)]
    return tuple(sorted(found, key=lambda one: (one.day, one.task)))


def done_besides(state: State, until: date) -> tuple[tuple[str, date], ...]:
    """What was done that is not, or no longer, among the tasks with an interval: (name, local day)."""
    known = {task.name.casefold() for task in tasks_of(state) if _interval(task) is not None} if state.sites else set()
    return tuple(sorted(
        ((name, local_day(entry.happened_at, entry.zone))
         for name, entries in state.upkeep_done.items() if name.casefold() not in known
         for entry in entries if local_day(entry.happened_at, entry.zone) <= until),
        key=lambda one: (one[1], one[0]),
    ))


def _done_days(state: State, until: date) -> dict[str, list[date]]:
    days: dict[str, set[date]] = {}
    for name, entries in state.upkeep_done.items():
        for entry in entries:
            day = local_day(entry.happened_at, entry.zone)
            if day <= until:
                days.setdefault(name.casefold(), set()).add(day)
    return {name: sorted(found) for name, found in days.items()}


def _unsure_days(state: State, behind: frozenset[int]) -> set[tuple[str, date | None]]:
    """Task and day of what was done by the word of entries alone that were written under a clock behind."""
    sure: set[tuple[str, date | None]] = set()
    unsure: set[tuple[str, date | None]] = set()
    for name, entries in state.upkeep_done.items():
        for entry in entries:
            (unsure if entry.id in behind else sure).add((name.casefold(), local_day(entry.happened_at, entry.zone)))
    return unsure - sure


def _interval(task: Task) -> object | None:
    if task.once:
        return task.every
    try:
        return interval(task.every)
    except BadInput:
        return None


def _only_round(task: Task, done: list[date], until: date) -> Iterator[Round]:
    """The one round of a task that comes once; done before its day, it was done in time."""
    last = task.since + timedelta(days=window_of(task))
    if done:
        yield Round(task.name, task.every, task.since, done[0], "late" if done[0] > last else "in time")
    elif task.since <= until:
        yield Round(task.name, task.every, task.since, None, "missed" if until > last else "open")


def _rounds(task: Task, done: list[date], until: date) -> Iterator[Round]:
    if task.once:
        yield from _only_round(task, done, until)
        return
    try:
        every = interval(task.every)
    except BadInput:
        return
    if every is None:
        return
    window = timedelta(days=window_days(every))
    months = task.months or ()

    def following(day: date) -> date:
        return in_season(every.after(day), months, day)

    last = task.since
    for day in done:
        due, passed = following(last), []
        while due <= day:
            passed.append(due)
            due = following(due)
        for missed in passed[:-1]:
            yield Round(task.name, task.every, missed, None, "missed")
        served = passed[-1] if passed else due
        yield Round(task.name, task.every, served, day, "late" if day > served + window else "in time")
        last = day
    due = following(last)
    while due <= until and due != date.max:
        yield Round(task.name, task.every, due, None, "missed" if until > due + window else "open")
        due = following(due)
