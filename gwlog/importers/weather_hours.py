"""Rows of hours and minutes made into the household's local days; a day counts from twenty hours with a figure on.

Rain at a moment fell before it, so that of midnight belongs to the day before.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import groupby, pairwise

from gwlog import clock

ENOUGH_HOURS = 20
STAYS = 6
"""So many equal amounts of rain one after the other look like a total that does not grow. Working assumption."""
_AN_INSTANT = timedelta(seconds=1)
_LONGEST_SPAN = timedelta(hours=24)


@dataclass(frozen=True, slots=True)
class Reading:
    """A figure of a moment (UTC): what it is, its value in mm, degC or tips, and its line in the file."""

    line: int
    moment: datetime
    what: str
    value: float


def _hour(moment: datetime) -> datetime:
    return moment.replace(minute=0, second=0, microsecond=0)


def to_days(readings: Sequence[Reading], zone: str, *, running: str = ""
            ) -> tuple[dict[date, dict[str, float]], list[date]]:
    """Each day's rain, low and high where it has hours enough, and the days that have too few.

    `running`: rain is the total so far, of its “hour” or of its “day”. Local days of 23 and 25 hours are whole.
    """
    hours: dict[tuple[date, str], set[datetime]] = defaultdict(set)
    values: dict[tuple[date, str], dict[datetime, list[float]]] = defaultdict(lambda: defaultdict(list))
    for one in readings:
        told = one.moment - _AN_INSTANT if one.what == "rain" and running != "hour" else one.moment
        key = clock.local_day(told, zone), one.what
        hours[key].add(_hour(told))
        values[key][_hour(told)].append(one.value)
    made: dict[date, dict[str, float]] = defaultdict(dict)
    few: set[date] = set()
    for (day, what), found in values.items():
        if len(hours[day, what]) < ENOUGH_HOURS:
            few.add(day)
            continue
        every = [value for one_hour in found.values() for value in one_hour]
        if what == "rain":
            made[day]["rain"] = {"hour": sum(max(one_hour) for one_hour in found.values()),
                                 "day": max(every)}.get(running, sum(every))
        if what in ("temp", "low"):
            made[day]["low"] = min(every)
        if what in ("temp", "high"):
            made[day]["high"] = max(every)
    return dict(made), sorted(few - set(made))


def looks_running(readings: Sequence[Reading], zone: str) -> bool:
    """Whether the rain of every wet day only ever grows, or stays at a figure for long, as a total so far does."""
    days: dict[date, list[float]] = defaultdict(list)
    for one in sorted((one for one in readings if one.what == "rain"), key=lambda one: one.moment):
        days[clock.local_day(one.moment - _AN_INSTANT, zone)].append(one.value)
    wet = [amounts for amounts in days.values() if sum(amount > 0 for amount in amounts) >= 4]
    return bool(wet) and (all(sorted(amounts) == amounts for amounts in wet) or any(
        len(list(same)) >= STAYS for amounts in wet for amount, same in groupby(amounts) if amount > 0))


def tips(readings: Sequence[Reading], zone: str) -> dict[date, float]:
    """How many tips each local day had."""
    made: dict[date, float] = defaultdict(float)
    for one in readings:
        made[clock.local_day(one.moment - _AN_INSTANT, zone)] += one.value
    return dict(made)


def counted(readings: Sequence[Reading], zone: str) -> tuple[dict[date, float], list[date]]:
    """Tips of each local day by a counter that runs on, and the days whose tips cannot be told apart.

    A reading below the one before means that the counter began again at 0.
    """
    made: dict[date, float] = defaultdict(float)
    unclear: set[date] = set()
    ordered = sorted(readings, key=lambda one: one.moment)
    for before, after in pairwise(ordered):
        rise = after.value - before.value if after.value >= before.value else after.value
        last = clock.local_day(after.moment - _AN_INSTANT, zone)
        first = clock.local_day(before.moment, zone)
        if after.moment - before.moment > _LONGEST_SPAN and rise > 0:
            unclear |= {first + timedelta(days=n) for n in range((last - first).days + 1)}
        else:
            made[last] += rise
    return {day: count for day, count in made.items() if day not in unclear}, sorted(unclear)
