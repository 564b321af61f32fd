"""A basin's water from the day its balance starts until now: day by day up to yesterday, and today so far.

Each local day uses the basin's description in force at that day's end; the deficit is carried in litres.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import lru_cache
from typing import NamedTuple

from gwlog.clock import local_day
from gwlog.journal.facts import Basin
from gwlog.reference.soils import SOILS, TEXTURES
from gwlog.state import Delivery
from gwlog.water.basin import BasinSpec, day_step, wetted_area
from gwlog.water.rest import DRY_ENOUGH, TINY_L, Morning, Ponding, Rest, follow
from gwlog.water.rootzone import raw_mm
from gwlog.water.weather import Climate, Sky

SLOWEST_SOIL = min(SOILS.values(), key=lambda soil: soil.allowance_gal_per_ft2.value)
"""Stands in for a soil that is not in the table: the one that absorbs least."""

REST_HORIZON_DAYS = 400
"""How far the balance is run forward to find the end of a rest: a year and a little more."""

LONGEST_DAYS = 7305
"""A balance that is said to have started longer ago (20 years) starts then: it forgets its start in a year."""

SAME_SHARE, MOST_YEARS = 1e-5, 50
"""Two years' ends are the same within this share of the TAW; they are with far fewer years than that many."""

_ONE = timedelta(days=1)


class LedgerDay(NamedTuple):
    """One closed local day: the deficit at its end, what percolated, plants used and asked for [L]; weather."""

    day: date
    deficit_l: float
    percolated_l: float
    used_l: float
    demand_l: float
    rain_mm: float
    graywater_l: float
    eto_mm: float
    ks: float


@dataclass(frozen=True, slots=True)
class Ledger:
    """A basin's closed days and where it stands now.

    `deficit_l`: the last closed day's end, `deficit_now_l`: less the day's rain and graywater so far [L].
    `surplus_today_l`: what came beyond the deficit so far; the evening's use may still take some of it.
    `filled_at`: the last filling or ponding, whether or not the rest is over. `not_before`: the rest's hours.
    `rested_today`: a rest ended in the course of today.
    """

    days: tuple[LedgerDay, ...]
    today: date
    deficit_l: float
    deficit_now_l: float
    used_today_l: float
    surplus_today_l: float
    filled_at: datetime | None
    resting: bool
    rest_reason: str | None
    not_before: datetime | None
    starts: date
    rested_today: bool = False

    @property
    def started(self) -> bool:
        """Whether the balance has started; before, the ledger is empty and only today's graywater counts."""
        return self.starts <= self.today

    def percolated_over(self, days: int) -> float:
        """What percolated over the last `days` closed days [L]."""
        first = self.today - timedelta(days=days)
        return sum(one.percolated_l for one in self.days[-days:] if one.day >= first) if days > 0 else 0.0


@lru_cache(maxsize=256)
def spec_of(basin: Basin) -> BasinSpec:
    """Return a basin's description in SI units.

    TAW = available water of the texture (middle of FAO-56 table 19's range) x root depth. A texture that is
    not in the table gives way to the soil's default; a soil that is not, to the slowest of the code's six.
    """
    soil = SOILS.get(basin.soil, SLOWEST_SOIL)
    texture = TEXTURES.get(basin.texture) or TEXTURES[soil.default_texture.value]
    area, canopy = basin.area_cm2 / 1e4, basin.canopy_cm2 / 1e4
    taw = texture.available * basin.root_depth_mm
    return BasinSpec(
        name=basin.name,
        area_m2=area,
        canopy_m2=canopy,
        wetted_m2=wetted_area(area, canopy) if basin.wetted_cm2 is None else basin.wetted_cm2 / 1e4,
        mulch_mm=float(basin.mulch_mm),
        taw_mm=taw,
        raw_mm=raw_mm(basin.depletion_milli / 1000.0, taw),
        plant_factor=basin.plant_factor_milli / 1000.0,
        allowance_l_per_m2=soil.allowance_l_per_m2,
    )


@lru_cache(maxsize=256)
def steady_deficit(spec: BasinSpec, climate: Climate, day: date) -> float:
    """Return the deficit [L] with which `day` opens in a usual year without graywater.

    The year of normals before `day` is run from field capacity until it ends as it began, so that nothing of that
    first filling is left; a deep root zone of a thrifty plant without rain takes years to dry out.
    """
    year, sky = _Stretch(spec, day - timedelta(days=365), day - _ONE, None), _usual_sky(climate)
    deficit = 0.0
    for _ in range(MOST_YEARS):
        before, deficit = deficit, _close_days(year, deficit, year.last, sky, {}, [])
        if deficit - before <= SAME_SHARE * spec.taw_l:
            break
    return deficit


@lru_cache(maxsize=8)
def _usual_sky(climate: Climate) -> Sky:
    return Sky(climate, {}, 0.0)  # without temperatures the latitude does not matter


class _Stretch(NamedTuple):
    """Days first..last (included) under one description; `opening_l` set where the balance starts over."""

    spec: BasinSpec
    first: date
    last: date
    opening_l: float | None


def run(
    history: Sequence[Basin],
    deliveries: Iterable[Delivery],
    sky: Sky,
    ponding: Sequence[Ponding],
    zone: str,
    now: datetime,
    known: Ledger | None = None,
    same_before: date = date.min,
) -> Ledger:
    """Run one basin's balance from the day it starts up to `now`.

    `history`: the basin's descriptions in the order in which they came into force, one at least.
    `deliveries`: to this basin, in order of time; those after `now` or before the balance starts are left
    out. `ponding`: the ponding seen at this basin. `known`: the same basin's ledger at another moment, whose days
    before `same_before` came about by the same entries; they are taken over instead of reckoned again.
    """
    today = local_day(now, zone)
    stretches = _stretches(history, sky, zone, today)
    first = stretches[0].first
    poured = [one for one in deliveries if one.at <= now and one.day <= today]
    used_today = sum(one.litres for one in poured if one.day == today)
    if first > today:
        opening = stretches[0].opening_l or 0.0
        return Ledger((), today, opening, opening, used_today, 0.0, None, False, None, None, first)
    poured = [one for one in poured if one.day >= first]
    graywater: dict[date, float] = {}
    for one in poured:
        graywater[one.day] = graywater.get(one.day, 0.0) + one.litres
    days: list[LedgerDay] = []
    deficit = 0.0
    if known is not None and known.starts == first:
        days.extend(known.days[:max(0, min((same_before - first).days, (today - first).days))])
    taken = first + len(days) * _ONE
    for stretch in stretches:
        if stretch.first < taken:
            deficit = days[min(len(days), (min(stretch.last, today) - first).days + 1) - 1].deficit_l
            if stretch.last < taken:
                continue
            stretch = stretch._replace(first=taken, opening_l=None)
        opening = deficit if stretch.opening_l is None else stretch.opening_l
        deficit = _close_days(stretch, min(opening, stretch.spec.taw_l), min(stretch.last, today - _ONE),
                              sky, graywater, days)

    latest = stretches[-1]

    def morning(day: date) -> Morning:
        stretch = latest if latest.first <= day else next(one for one in reversed(stretches) if one.first <= day)
        spec = stretch.spec
        if day == stretch.first and stretch.opening_l is not None:
            before = stretch.opening_l
        else:
            before = days[(day - first).days - 1].deficit_l
        rain_l = sky.day(day).rain_mm * spec.wetted_m2
        return Morning(min(before, spec.taw_l) - rain_l, spec.raw_l, spec.allowance_l)

    rest = follow(first, today, morning, poured, ponding, zone, now)
    return _ledger(days, first, today, deficit, morning(today), used_today, rest)


def _ledger(
    days: list[LedgerDay], starts: date, today: date, deficit: float, opening: Morning, used_today: float,
    rest: Rest,
) -> Ledger:
    balance = opening.deficit_l - used_today
    return Ledger(
        tuple(days), today, deficit, max(0.0, balance), used_today, max(0.0, -balance), rest.filled_at,
        rest.resting, rest.reason if rest.resting else None, rest.not_before if rest.resting else None, starts,
        not rest.resting and rest.ended_on == today,
    )


def _close_days(
    stretch: _Stretch, deficit: float, last: date, sky: Sky, graywater: Mapping[date, float],
    days: list[LedgerDay],
) -> float:
    """Append the stretch's days up to `last` to `days` and return the deficit at its end.

    This is day_step written out in the loop, in the same order of operations: ten years of six basins are
    22,000 days, and the calls alone would take longer than the sums.
    """
    spec = stretch.spec
    taw, raw, wetted, plant_factor = spec.taw_l, spec.raw_l, spec.wetted_m2, spec.plant_factor
    inner, outer, beyond_raw = min(spec.canopy_m2, wetted), spec.canopy_m2 - wetted, taw - raw
    look, poured, close, day_of = sky.day, graywater.get, days.append, date.fromordinal
    for ordinal in range(stretch.first.toordinal(), last.toordinal() + 1):
        day = day_of(ordinal)
        eto, rain, _, _ = look(day)
        et = eto * plant_factor
        demand = et * inner
        if outer > 0.0 and et > rain:
            demand += (et - rain) * outer
        ks = 1.0
        if deficit > raw:
            ks = max(0.0, (taw - deficit) / beyond_raw) if beyond_raw > 0.0 else 0.0
        used = ks * demand
        water = poured(day, 0.0)
        deficit = deficit - rain * wetted - water + used
        percolated = 0.0
        if deficit < 0.0:
            percolated, deficit = -deficit, 0.0
        elif deficit > taw:
            used -= deficit - taw
            deficit = taw
        close(LedgerDay(day, deficit, percolated, used, demand, rain, water, eto, ks))
    return deficit


def _stretches(history: Sequence[Basin], sky: Sky, zone: str, today: date) -> list[_Stretch]:
    """Cut the time from the basin's start into stretches under one description each; the last is open-ended.

    The first description also covers the days before it was written. One that comes into force before the
    balance has started replaces it. A later one with a new `started`, not before its own first day, starts
    the balance over on that day (a new planting in the old place); otherwise the deficit carries on.
    """
    cuts: list[tuple[date, BasinSpec, Basin | None]] = []
    started: date | None = None
    for basin in history:
        day = local_day(basin.happened_at, zone)
        if cuts and day > today:
            break
        spec = spec_of(basin)
        if not cuts or day <= cuts[0][0]:
            cuts = [(max(basin.started, today - timedelta(days=LONGEST_DAYS)), spec, basin)]
        else:
            # the day's end counts: what an earlier description said of this day or later ones is void, but
            # for a start that this one repeats
            pending = set()
            while cuts[-1][0] >= day:
                pending.add(cuts.pop()[0])
            starts_over = basin.started >= day and (basin.started != started or basin.started in pending)
            if not starts_over or basin.started > day:
                cuts.append((day, spec, None))
            if starts_over:
                cuts.append((basin.started, spec, basin))
        started = basin.started
    cuts = [cut for number, cut in enumerate(cuts) if number == 0 or cut[0] <= today]
    ends = [cut[0] - _ONE for cut in cuts[1:]] + [date.max]
    return [
        _Stretch(spec, day, end, None if restart is None else _opening(restart, day, sky.climate_on(day)))
        for (day, spec, restart), end in zip(cuts, ends, strict=True)
    ]


def _opening(basin: Basin, day: date, climate: Climate) -> float:
    spec = spec_of(basin)
    if basin.start_deficit_ml is not None:
        return min(basin.start_deficit_ml / 1000.0, spec.taw_l)
    return steady_deficit(spec, climate, day)


def rest_until(ledger: Ledger, spec: BasinSpec, sky: Sky, zone: str) -> date | None:
    """Return the local day on which the basin's rest will end, None when it does not rest or never ends.

    The balance is run forward without graywater, on typed-ahead weather and the normals, for up to 400 days.
    Ponding that is still open is taken to be resolved in time: the day is then the earliest one.
    """
    if not ledger.resting or ledger.not_before is None:
        return None
    hours_end = local_day(ledger.not_before, zone)
    deficit, day, graywater = ledger.deficit_l, ledger.today, ledger.used_today_l
    for _ in range(REST_HORIZON_DAYS):
        weather = sky.day(day)
        morning = max(0.0, deficit - weather.rain_mm * spec.wetted_m2 - graywater)
        if day >= hours_end and morning >= DRY_ENOUGH * spec.raw_l - TINY_L:
            return day
        deficit = day_step(spec, deficit, weather.eto_mm, weather.rain_mm, graywater).deficit_l
        graywater = 0.0
        day += _ONE
    return None
