"""Which loads are to be expected over the coming days: planned ones, and the household's own habit.

Planned loads follow their recurrence rules on wall time; what was run near a planned load fulfils it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from datetime import date, datetime, time, timedelta
from typing import TYPE_CHECKING

from gwlog.actions import Action, Hint
from gwlog.clock import attach, local
from gwlog.decisions.recurrence import occurrences
from gwlog.decisions.recurrence_rule import parse
from gwlog.errors import BadInput
from gwlog.history import newest_first
from gwlog.state import LoadRun, Problem
from gwlog.units import LITRES_PER_GALLON
from gwlog.values import NamedTuple, dataclass

if TYPE_CHECKING:
    from gwlog.journal.facts import PlannedLoad
    from gwlog.state import State

NEAR = timedelta(hours=36)
"""How far from its time a run still fulfils a planned load. Working assumption."""

LOOK_BACK_DAYS = 14
"""How long a planned load that was not run is told as missed."""

HABIT_DAYS = 56
"""The household's habit is read from its last eight weeks."""

SOON_DAYS = 14
BETWEEN_LOADS = timedelta(hours=1)
LAST_START = time(22)
UNNAMED = "a load"
UNKNOWN_LOAD_L = 15 * LITRES_PER_GALLON
"""A run whose washer nobody described: a front-loader's 15 gal (UC ANR, read)."""


@dataclass(frozen=True, slots=True)
class ExpectedLoad:
    """A load to expect: its moment (UTC), the local day it counts for, its name, its water [L].

    `usual_load` None: loads without a usual name. A planned load that is late counts for today.
    """

    when: datetime
    day: date
    name: str
    litres: float
    planned: bool
    usual_load: str | None = None


@dataclass(frozen=True, slots=True)
class MissedLoad:
    """A planned load that was not run within 36 hours of its moment (UTC)."""

    when: datetime
    day: date
    name: str
    plan: str


class _Due(NamedTuple):
    when: datetime
    day: date
    load: str
    plan: str
    since: datetime


class _Run(NamedTuple):
    load: str | None
    when: datetime
    day: date


def expected(state: State, now: datetime, days: int, *, ran: str | None = None,
             ) -> tuple[tuple[ExpectedLoad, ...], tuple[MissedLoad, ...]]:
    """The loads to expect from today through `days` local days, in order of time, and the planned ones missed.

    `ran`: as if a run of that usual load had just been logged; UNNAMED for a load without a usual name.

    Usual loads that no planned load names follow the habit: the mean number on each weekday of the last eight
    weeks. Whole loads are made of the means week by week: the week's total is rounded, and the weekdays with
    the largest remainders get what is left over, so that the same weekday is always expected alike.
    """
    if days < 1:
        raise BadInput(f"“{days}” is not a number of days to look ahead; 1 or more is accepted.")
    here = local(now, state.zone)
    today = here.date()
    end = today + timedelta(days=days)
    dues = _dues(state, today, end)
    runs = [_Run(run.fact.usual_load, run.fact.happened_at, run.day) for run in _recent(state, now, today)]
    if ran is not None:
        runs.append(_Run(None if ran == UNNAMED else ran, now, today))
    fulfilled = _fulfilled(dues, runs)
    found: list[ExpectedLoad] = []
    missed: list[MissedLoad] = []
    for number, due in enumerate(dues):
        if number in fulfilled or due.day >= end:
            continue
        if due.when < now - NEAR:
            if due.when >= due.since:
                missed.append(MissedLoad(due.when, due.day, due.load, due.plan))
        elif due.when >= now or due.when >= due.since:
            day = max(due.day, today)
            found.append(ExpectedLoad(due.when, day, due.load, usual_litres(state, due.load), True, due.load))
    planned = {due.load for due in dues}
    found.extend(_habit(state, runs, planned, today, end))
    found.sort(key=lambda load: (load.day, load.when, not load.planned, load.name))
    return tuple(found), tuple(missed)


def usual_litres(state: State, name: str | None) -> float:
    """The water of one run of a usual load [L]: its own figure, else its washer's, else a front-loader's."""
    usual = state.usual_loads.get(name) if name is not None else None
    if usual is not None and usual.volume_ml is not None:
        return usual.volume_ml / 1000.0
    washer = state.washers.get(usual.washer) if usual is not None else None
    if washer is None:
        washer = next((one for one in state.washers.values() if one.active), None)
    return washer.volume_ml / 1000.0 if washer is not None else UNKNOWN_LOAD_L


def rule_problems(state: State, now: datetime) -> tuple[Problem, ...]:
    """Planned loads whose moment or rule cannot be used; they are left out of what is expected."""
    here = local(now, state.zone).replace(tzinfo=None)
    problems = []
    for planned in _active(state):
        try:
            _walls(planned, state.zone, here, here + timedelta(days=SOON_DAYS))
        except (BadInput, ValueError) as fault:
            problems.append(Problem(
                planned.id, f"The planned load “{planned.name}” cannot be followed: {fault}",
                Hint("Plan it again with a rule that holds, or drop it: ",
                     Action("plan-load", load=planned.load, drop="")),
            ))
    return tuple(problems)


def _active(state: State) -> Iterable[PlannedLoad]:
    return (planned for planned in state.planned_loads.values() if planned.active)


def _walls(planned: PlannedLoad, zone: str, first: datetime, last: datetime) -> list[datetime]:
    """The wall times of a planned load in a window, skipped days left out. Raises BadInput or ValueError."""
    starts = datetime.fromisoformat(planned.starts)
    if starts.tzinfo is not None:
        starts = local(starts, zone).replace(tzinfo=None)
    rule = parse(planned.every, zone) if planned.every else None
    skips = frozenset(planned.skips)
    return [wall for wall in occurrences(rule, starts, first, last) if wall.date().isoformat() not in skips]


def _dues(state: State, today: date, end: date) -> list[_Due]:
    """Every planned moment from two weeks back to two weeks beyond the days asked for, in order."""
    first = datetime.combine(today - timedelta(days=LOOK_BACK_DAYS), time())
    last = datetime.combine(end + timedelta(days=SOON_DAYS), time())
    dues = []
    for planned in _active(state):
        try:
            walls = _walls(planned, state.zone, first, last)
        except (BadInput, ValueError):
            continue  # told by rule_problems
        dues += [_Due(attach(wall, state.zone), wall.date(), planned.load, planned.name, planned.happened_at)
                 for wall in walls]
    return sorted(dues, key=lambda due: (due.when, due.plan))


def _recent(state: State, now: datetime, today: date) -> list[LoadRun]:
    """The runs up to `now` that habit and planned loads may be read from, oldest first."""
    first = today - timedelta(days=HABIT_DAYS + 2)
    found = []
    for run in newest_first(state.loads, first):
        if run.day < first:
            break
        if run.fact.happened_at <= now:
            found.append(run)
    found.reverse()
    return found


def _fulfilled(dues: Sequence[_Due], runs: Sequence[_Run]) -> set[int]:
    """Numbers of the planned moments that a run of the same usual load fulfils: nearest first, one to one."""
    pairs = []
    by_load: dict[str, list[tuple[int, _Run]]] = {}
    for entry, run in enumerate(runs):
        if run.load is not None:
            by_load.setdefault(run.load, []).append((entry, run))
    for number, due in enumerate(dues):
        for entry, run in by_load.get(due.load, ()):
            apart = abs(run.when - due.when)
            if apart <= NEAR:
                pairs.append((apart, number, entry))
    taken: set[int] = set()
    used: set[int] = set()
    for _, number, entry in sorted(pairs):
        if number not in taken and entry not in used:
            taken.add(number)
            used.add(entry)
    return taken


def _habit(state: State, runs: Sequence[_Run], planned: set[str], today: date, end: date) -> list[ExpectedLoad]:
    free = [run for run in runs if run.load not in planned]
    if not free:
        return []
    first = max(min(run.day for run in free), today - timedelta(days=HABIT_DAYS))
    past = [run for run in free if first <= run.day < today]
    counts = weekday_loads(past, first, today)
    done_today = Counter(run.load for run in free if run.day == today)
    found: list[ExpectedLoad] = []
    day = today
    while day < end:
        number = counts[day.weekday()]
        if number:
            same = [run for run in past if run.day.weekday() == day.weekday()]
            names = _names(same, number)
            if day == today:
                names = _still_to_come(names, done_today)
            minutes = int(_median([_minutes(run, state.zone) for run in same]))
            start = datetime.combine(day, time(minutes // 60, minutes % 60))
            for place, name in enumerate(names):
                wall = min(start + place * BETWEEN_LOADS, datetime.combine(day, LAST_START))
                found.append(ExpectedLoad(attach(max(wall, start), state.zone), day, name or UNNAMED,
                                          usual_litres(state, name), False, name))
        day += timedelta(days=1)
    return found


def weekday_loads(past: Sequence[_Run], first: date, today: date) -> tuple[int, ...]:
    """Whole loads to expect on each weekday, Monday first, from runs on `first` <= day < `today`."""
    if not past:
        return (0,) * 7
    span = max(1, (today - first).days)
    days = Counter((first + timedelta(days=n)).weekday() for n in range(span))
    counted = Counter(run.day.weekday() for run in past)
    means = [counted[weekday] / max(1, days[weekday]) for weekday in range(7)]
    return whole_loads(means)


def whole_loads(means: Sequence[float]) -> tuple[int, ...]:
    """Round a week of mean loads to whole ones: total rounded, largest remainders first, earlier days first."""
    total = int(sum(means) + 0.5)
    loads = [int(mean + 1e-9) for mean in means]
    by_remainder = sorted(range(len(means)), key=lambda n: (loads[n] - means[n], n))
    for number in by_remainder[:max(0, total - sum(loads))]:
        loads[number] += 1
    return tuple(loads)


def _names(same: Sequence[_Run], number: int) -> list[str | None]:
    """`number` names in the proportion in which they were run on that weekday, the commonest first."""
    counted = Counter(run.load for run in same)
    order = sorted(counted, key=lambda name: (-counted[name], name or ""))
    given: Counter[str | None] = Counter()
    for _ in range(number):
        best = max(order, key=lambda name: (counted[name] * number / len(same) - given[name], -order.index(name)))
        given[best] += 1
    return [name for name in order for _ in range(given[name])]


def _still_to_come(names: list[str | None], done: Counter[str | None]) -> list[str | None]:
    """Today's usual loads less those already run: the same name first, then any other."""
    left, others = list(names), 0
    for name, count in done.items():
        for _ in range(count):
            if name in left:
                left.remove(name)
            else:
                others += 1
    return left[:max(0, len(left) - others)]


def _minutes(run: _Run, zone: str) -> int:
    here = local(run.when, zone)
    return here.hour * 60 + here.minute


def _median(numbers: list[int]) -> float:
    # the statistics module would cost a light command 10 ms of imports
    ordered = sorted(numbers)
    half = len(ordered) // 2
    return float(ordered[half]) if len(ordered) % 2 else (ordered[half - 1] + ordered[half]) / 2.0
