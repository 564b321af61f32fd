"""Leaching owed: how much water must sink through a root zone, and by when, so that its plants can bear the salt.

Trend: the last year's rise, straight on. What is owed is asked of the ledger itself: so much drinking water through
the layers until they are back well below the limit. Rain that percolates pays; the ledger then owes less.
"""

from __future__ import annotations

from copy import deepcopy
from datetime import date, timedelta
from itertools import islice

from gwlog.history import newest_first
from gwlog.journal.facts import Basin
from gwlog.reference.plants import find_plant
from gwlog.reference.salinity import SOIL_SAR_LIMITS, relative_yield
from gwlog.reference.salt_ratings import salt_limit
from gwlog.reference.source import Sourced, assumed
from gwlog.values import NamedTuple
from gwlog.water.ahead import days_ahead
from gwlog.water.growth import Growth
from gwlog.water.ledger import Ledger
from gwlog.water.soil_salt import PARTS, Soil, SoilSalt, masses_of, soil_of, texture_of
from gwlog.water.weather import Climate, Sky

HORIZON_DAYS = 365
"""Leaching is owed when the limit is passed within a year."""

LEAST_TREND_DAYS, MOST_TREND_DAYS = 60, 366 + 31
"""A shorter history tells no trend, an older one is not looked at."""

RELIEF = assumed(0.2, "a fifth below the limit, or a year's rise where that is more, at most half of it")
"""How far below the limit a leaching is to bring the soil, as a share of the limit."""

MOST_OF_A_LOAD = 0.9
"""Share of a load beyond which it is a flush and no watering."""

STEPS, MOST_PORES = 40, 4.0
"""Steps of a pore volume (water at field capacity), and pore volumes after which leaching is no help."""


class Trend(NamedTuple):
    """One measure of the soil against what is borne: now, a year's rise (None: not known yet), the limit.

    `days`: over how many days the rise was seen; it is trusted for as many days to come.
    """

    what: str
    now: float
    per_year: float | None
    limit: Sourced[float]
    days: int = HORIZON_DAYS

    def passes_on(self, today: date) -> date | None:
        """The day on which the limit is passed as things go; None where it is not in sight."""
        if self.now >= self.limit.value:
            return today
        if self.per_year is None or self.per_year <= 0.0:
            return None
        days = (self.limit.value - self.now) / self.per_year * 365.0
        return today + timedelta(days=int(days)) if days < 36_500 else None


class Owed(NamedTuple):
    """How a basin stands. `litres` that must percolate by `by`, 0 where nothing is owed; `passes`: the first limit to
    be passed and when, None where none is in sight. `helps`: whether drinking water could bring it below the limit.
    `yield_percent`: what the plant grows of what it would without salt, None without a published slope.
    """

    basin: str
    soil: Soil
    trends: tuple[Trend, ...]
    passes: tuple[Trend, date] | None
    litres: float
    by: date | None
    helps: bool
    yield_percent: float | None

    def share_of_a_load(self, deficit_l: float) -> float:
        """The share of a load that may percolate while leaching is owed: all that passes the deficit, up to what is
        owed. So the plan may pay with a full load, and pays nothing for it.
        """
        if self.litres <= 0.0 or not self.helps:
            return 0.0
        return min(MOST_OF_A_LOAD, self.litres / (self.litres + max(0.0, deficit_l)))


def owed(salt: SoilSalt, basin: Basin, today: date) -> Owed:
    """Return how a basin stands with its salts on a day, and what leaching it is owed."""
    trends = trends_of(salt, basin)
    dated = [(trend, day) for trend in trends if (day := trend.passes_on(today)) is not None]
    passes = min(dated, key=lambda one: one[1]) if dated else None
    litres, helps = 0.0, True
    by = None
    near = [(trend, day) for trend, day in dated if (day - today).days <= min(HORIZON_DAYS, trend.days)]
    if near:
        passes = min(near, key=lambda one: one[1])
        by = passes[1]
        litres, helps = needed(salt, [trend for trend, _ in near])
    plant = find_plant(basin.plants)
    grows = None
    if plant is not None and plant.salt_threshold is not None and plant.salt_slope is not None:
        grows = relative_yield(salt.now.ece.middle, plant.salt_threshold.value, plant.salt_slope.value)
    return Owed(salt.basin, salt.now, trends, passes, litres, by, helps, grows)


def trends_of(salt: SoilSalt, basin: Basin) -> tuple[Trend, ...]:
    """Return the soil's conductivity and sodium ratio against what its plants and its texture bear."""
    now = salt.now
    trends = [Trend("salt", now.ece.middle, *_per_year(salt, "ece", salt_limit(find_plant(basin.plants))))]
    if now.sar is not None:
        trends.append(Trend("sodium", now.sar.middle, *_per_year(salt, "sar", sar_limit(basin))))
    return tuple(trends)


def sar_limit(basin: Basin) -> Sourced[float]:
    """Return the sodium ratio of the extract that a basin's texture bears."""
    return SOIL_SAR_LIMITS[texture_of(basin)]


def _per_year(salt: SoilSalt, part: str, limit: Sourced[float]) -> tuple[float | None, Sourced[float], int]:
    """The rise of a year, the limit, and the days over which the rise was seen: from about a year ago, or from the
    start or the last reading where that is later.
    """
    last = salt.now
    since = salt.compared[-1].day if salt.compared else date.min
    late = max(since, last.day - timedelta(days=MOST_TREND_DAYS))
    within = [one for one in newest_first(salt.history, late) if one.day >= late and one is not last][::-1]
    if not within:
        return None, limit, 0
    first = min(within, key=lambda one: abs((last.day - one.day).days - 365))
    then, now, days = getattr(first, part), getattr(last, part), (last.day - first.day).days
    if days < LEAST_TREND_DAYS or then is None or now is None:
        return None, limit, days
    return float((now.middle - then.middle) * 365.0 / days), limit, days


def needed(salt: SoilSalt, trends: list[Trend]) -> tuple[float, bool]:
    """Return how much drinking water must percolate [L] until every trend is well below its limit, and whether that
    can be reached at all.
    """
    layers = deepcopy(salt.layers)
    layers.settle(0.0)
    step = layers.zone.field_capacity_l / STEPS
    brings = masses_of(salt.tap, step, len(layers.drained) == PARTS)
    targets = {trend.what: target(trend) for trend in trends}
    passed = 0.0
    for _ in range(int(STEPS * MOST_PORES)):
        soil = soil_of(layers, salt.now.day)
        reached = {"salt": soil.ece.middle, "sodium": soil.sar.middle if soil.sar is not None else 0.0}
        if all(reached[what] <= aim for what, aim in targets.items()):
            return passed, True
        layers.water(step, brings, 0.0)
        passed += step
    return passed, False


def target(trend: Trend) -> float:
    """Return how low a leaching is to bring a measure: a fifth below its limit, for a year's rise, not below half."""
    limit = trend.limit.value
    below = max(RELIEF.value * limit, trend.per_year or 0.0)
    return limit - min(below, limit / 2.0)


def cool_months(climate: Climate) -> tuple[int, ...]:
    """Return the months in which plants and sun take less water than in the year's mean."""
    mean = sum(climate.monthly_eto_mm) / 12.0
    return tuple(month for month, eto in enumerate(climate.monthly_eto_mm, 1) if eto < mean)


def usual_rain_pays(stands: Owed, ledger: Ledger, growth: Growth, sky: Sky) -> bool:
    """Return whether the weather to come, typed ahead or the climate's normals, carries down what is owed in time.

    The balance is carried on without another load. Normals spread a month's rain over all its days, so that less of it
    sinks than of the same rain in storms: the safe side.
    """
    if stands.by is None or not stands.helps:
        return False
    days = max(0, (stands.by - ledger.today).days)
    return sum(one.end.percolated_l for one in islice(days_ahead(ledger, growth, sky), days)) >= stands.litres


def flush_on(today: date, by: date, climate: Climate) -> date:
    """Return the day for a flush: in the cool season, today or the first day of it up to `by`; else the last day."""
    cool = cool_months(climate)
    if today.month in cool or not cool:
        return today
    day = today
    while day < by:
        day = (day.replace(day=1) + timedelta(days=32)).replace(day=1)
        if day.month in cool:
            return min(day, by)
    return max(today, by)
