"""The demo household's routine: when it washes what, and on which days upkeep is done.

The mistakes and the events are in story.py.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from random import Random

from gwlog.reference.upkeep import (
    CHECK_VENT,
    CLEAR_OUTLETS,
    FLUSH_LINE,
    FLUSH_SOIL,
    LOOK,
    READ_LABELS,
    THROW_VALVE,
    YEARLY_RECORD,
)

FIRST_WEDNESDAY = date(2025, 1, 1)
"""The first day as the site file writes it."""

BEDDING_SUNDAY = date(2025, 1, 5)
LINT = "sweep lint from the hose ends"

MON, TUE, WED, THU, FRI, SAT, SUN = range(7)


@dataclass(frozen=True, slots=True)
class Wash:
    """A load that somebody is going to run, at a local wall time. `sewer`: it never goes to the garden."""

    load: str
    at: time
    who: str
    sewer: bool = False


WEEK: dict[int, tuple[Wash, ...]] = {
    MON: (Wash("diapers", time(20, 0), "Ruben", True),),
    TUE: (Wash("colors", time(19, 10), "Pia"),),
    WED: (Wash("work clothes", time(18, 30), "Ruben"),),
    THU: (Wash("diapers", time(20, 0), "Ruben", True),),
    FRI: (Wash("colors", time(17, 20), "Pia"),),
    SAT: (Wash("towels", time(9, 30), "Ilse"),),
    SUN: (Wash("whites", time(10, 0), "Ilse", True),),
}
BEDDING = Wash("bedding", time(12, 30), "Ilse")
BLANKETS = Wash("blankets", time(15, 0), "Ruben", True)
SHIRTS = Wash("shirts", time(7, 30), "Yusra")
EXTRA = Wash("colors", time(14, 40), "Pia")

SKIPPED, EXTRAS = 0.07, 0.09
RUN = timedelta(minutes=65)
RAINLESS_FLUSHES, FLUSH_FROM_MONTH, FLUSH_EVERY = 5, 5, 41

NOTES = (
    "beach towels too", "half a drum only", "two runs' worth in one", "muddy from the community garden",
    "guests' things",
    "ran it late so as not to wake anyone", "second rinse",
)


def washes(day: date, first: date, shirts_from: date, chance: Random) -> list[Wash]:
    """The loads of one day in order of time, with the minutes a household is early or late."""
    usual = list(WEEK[day.weekday()])
    if day.weekday() == SUN and (day - first - (BEDDING_SUNDAY - FIRST_WEDNESDAY)).days % 14 == 0:
        usual.append(BEDDING)
    if day.weekday() == SAT and day.day <= 7:
        usual.append(BLANKETS)
    if day.weekday() == THU and day >= shirts_from:
        usual.append(SHIRTS)
    kept = [wash for wash in usual if chance.random() >= SKIPPED]
    if chance.random() < EXTRAS:
        kept.append(EXTRA)
    moved = sorted(((_about(wash.at, chance), wash) for wash in kept), key=lambda pair: pair[0])
    timed: list[Wash] = []
    free = datetime.combine(FIRST_WEDNESDAY, time())
    for wanted_at, wash in moved:
        at = max(wanted_at, free)   # one machine: a load waits for the one before
        timed.append(Wash(wash.load, at.time(), wash.who, wash.sewer))
        free = at + RUN
    return timed


def _about(at: time, chance: Random) -> datetime:
    return datetime.combine(FIRST_WEDNESDAY, at) + timedelta(minutes=chance.randint(-18, 22))


def upkeep_days(first: date, today: date) -> dict[date, list[str]]:
    """On which days which task is done: mostly in time, some of it late, and a few waiting today.

    Counted back from `today`, so that today's page has something to do whatever the date.
    """
    done: dict[date, list[str]] = {}
    for task, days in _rounds(today):
        for ago in days:
            day = today - timedelta(days=ago)
            if day < first + timedelta(days=6):
                break
            done.setdefault(day, []).append(task)
    for year in range(first.year, today.year + 1):
        for number in range(RAINLESS_FLUSHES):
            day = date(year, FLUSH_FROM_MONTH, 3) + timedelta(days=FLUSH_EVERY * number)
            if first + timedelta(days=6) <= day < today:
                done.setdefault(day, []).append(FLUSH_SOIL.name)
    return done


def _rounds(today: date) -> Iterator[tuple[str, Iterator[int]]]:
    # the label was last read a year and three weeks ago; everything yearly else was done, once rather late
    yield READ_LABELS.name, _every(386, 365)
    yield THROW_VALVE.name, _every(12, 389)
    yield CHECK_VENT.name, _every(48, 360)
    yield FLUSH_LINE.name, _every(47, 362)
    yield CLEAR_OUTLETS.name, _every(130, 366)
    yield YEARLY_RECORD.name, _every(361, 365)
    yield LOOK.name, _every(33, 30, late=41)
    yield LINT, _every(20, 43)


def _every(last: int, step: int, late: int | None = None) -> Iterator[int]:
    ago, number = last, 0
    while True:
        yield ago
        number += 1
        ago += late if late is not None and number % 5 == 0 else step
