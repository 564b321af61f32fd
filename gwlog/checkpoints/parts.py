"""Which entries of a logbook lie behind a moment, and whether later ones leave what was before it as it is.

Nothing here knows the file: entries come and go as facts and numbers.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, datetime, timedelta

from gwlog.clock import day_start, local_day
from gwlog.journal.facts import Fact, Site, Standing, WeatherDay, Withdrawal

Ranges = list[tuple[int, int]]


def day_it_speaks_of(fact: WeatherDay) -> date:
    """The first local day of which a weather entry says something."""
    return fact.day if fact.rain_from is None else min(fact.day, fact.rain_from)


def clean_day(facts: Sequence[Fact], latest: date, earliest: date) -> tuple[date, datetime, str] | None:
    """The latest local day from `earliest` to `latest` at which the facts can be parted: none that happened later
    speaks of days before it, no gauge gathered over it, and the household keeps its time zone from the day before on.

    Returns the day, its first moment, and the zone; None where there is no such day.
    """
    sites = [fact for fact in facts if isinstance(fact, Site)]
    if not sites or any(site.zone != sites[-1].zone for site in sites):
        return None
    zone = sites[-1].zone
    earliest = max(earliest, local_day(sites[0].happened_at, zone) + timedelta(days=2))
    crossed: set[date] = set()
    for fact in facts:
        if not isinstance(fact, WeatherDay):
            continue
        first, last = day_it_speaks_of(fact), local_day(fact.happened_at, zone)
        if fact.rain_from is not None:
            last = max(last, fact.day)
        for number in range(1, (last - first).days + 1):
            crossed.add(first + timedelta(days=number))
    day = latest
    while day >= earliest:
        if day not in crossed:
            return day, day_start(day, zone), zone
        day -= timedelta(days=1)
    return None


def raw_numbers(standing: Standing, moment: datetime) -> list[int]:
    """The numbers of every wording of the standing facts that happened at `moment` or later, in order."""
    wordings: dict[int, list[int]] = {}
    for number, first in standing.root.items():
        wordings.setdefault(first, []).append(number)
    found: list[int] = []
    for fact in standing.facts:
        if fact.happened_at >= moment:
            found += (fact.id, *wordings.get(fact.id, ()))
    return sorted(found)


def ranges(numbers: Iterable[int]) -> Ranges:
    """Rising numbers as stretches, both ends included."""
    made: Ranges = []
    for number in numbers:
        if made and made[-1][1] == number - 1:
            made[-1] = (made[-1][0], number)
        else:
            made.append((number, number))
    return made


def joins(facts: Iterable[Fact], known: set[int], moment: datetime, day: date, zone: str) -> bool:
    """Whether entries leave everything before `moment`, the first of the local `day`, as it is.

    `known`: the numbers of the entries behind the moment; those of `facts` are added.
    """
    for fact in facts:
        if fact.happened_at < moment and not isinstance(fact, Withdrawal):
            return False
        if isinstance(fact, Withdrawal):
            if fact.withdraws_id not in known:
                return False
        elif fact.corrects_id is not None and fact.corrects_id not in known:
            return False
        if isinstance(fact, WeatherDay) and day_it_speaks_of(fact) < day:
            return False
        if isinstance(fact, Site) and fact.zone != zone:
            return False
        known.add(fact.id)
    return True


