"""A basin's balance carried on from today, day by day, on typed-ahead weather and the normals."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from itertools import chain, islice, repeat

from gwlog.clock import local_day
from gwlog.values import NamedTuple
from gwlog.water.basin import DayNumbers, DayResult, close_day, day_numbers
from gwlog.water.growth import Growth
from gwlog.water.ledger import Ledger
from gwlog.water.rest import DRY_ENOUGH, TINY_L
from gwlog.water.weather import Sky

REST_HORIZON_DAYS = 400
"""How far the balance is run forward to find the end of a rest: a year and a little more."""


class DayAhead(NamedTuple):
    """One day: the deficit as it opens and the water that comes, graywater and other [L]; its numbers and its end."""

    day: date
    opens_l: float
    water_l: float
    numbers: DayNumbers
    end: DayResult


def days_ahead(ledger: Ledger, growth: Growth, sky: Sky,
               graywater: Sequence[float] | None = None) -> Iterator[DayAhead]:
    """Carry a balance on from today, without end. Today's other water counts too.

    `graywater`: of today and the days after it [L], none beyond them; None: what came today so far.
    """
    coming = chain((ledger.used_today_l,) if graywater is None else graywater, repeat(0.0))
    deficit, outer, other, day = ledger.deficit_l, ledger.outer_l, ledger.other_today_l, ledger.today
    for litres in coming:
        weather = sky.day(day)
        numbers = day_numbers(growth.on(day), outer, weather.eto_mm, weather.rain_mm)
        end = close_day(numbers, deficit, litres + other)
        yield DayAhead(day, deficit, litres + other, numbers, end)
        deficit, outer, other = end.deficit_l, end.outer_l, 0.0
        day += timedelta(days=1)


def rest_until(ledger: Ledger, growth: Growth, sky: Sky, zone: str) -> date | None:
    """Return the local day on which the basin's rest will end, None when it does not rest or never ends.

    The balance is carried on without graywater for up to 400 days. Ponding that is still open is taken to be resolved
    in time: the day is then the earliest one.
    """
    if not ledger.resting or ledger.not_before is None:
        return None
    hours_end = local_day(ledger.not_before, zone)
    for one in islice(days_ahead(ledger, growth, sky), REST_HORIZON_DAYS):
        morning = max(0.0, one.opens_l - one.numbers.rain_l - one.water_l * one.numbers.share)
        if one.day >= hours_end and morning >= DRY_ENOUGH * one.numbers.raw_l - TINY_L:
            return one.day
    return None
