"""The weather that the balance runs on: measured days win, the climate's normals stand in for the others.

A forecast counts until its day is over, for what is not measured yet; from then on the day takes what was measured,
else the normals. A site described anew is in force from its local day on; the days before keep the climate they had.
"""

from __future__ import annotations

from bisect import bisect_right
from calendar import monthrange
from collections.abc import Callable, Mapping, Sequence
from datetime import date, timedelta
from functools import lru_cache

from gwlog.clock import local_day
from gwlog.history import Lookup, known, older_of
from gwlog.journal.facts import RAIN_AS_LOGGED, Site
from gwlog.reference.climate import ETO_ZONES, monthly_eto_mm
from gwlog.state import Gauge, State, Weather
from gwlog.values import NamedTuple, dataclass
from gwlog.water.evapotranspiration import hargreaves, ra_mm

NO_SITE_LATITUDE = 37.0
"""Latitude taken before a site was described [degrees]; no basin can exist then. Working assumption."""

ASSUMED_ETO_PER_RA = 0.0023 * (15.0 + 17.8) * 12.0**0.5
"""ETo / Ra where a site states no climate: Hargreaves (FAO-56 eq. 52) for a mean of 15 degC and a daily range
of 12 degC. Working assumption; it comes within a tenth of California's middle zones over the year."""


READING_MM = 0.5
"""How far a gauge's total and the days it covers may differ before it is told [mm]. Working assumption: a reading."""


@dataclass(frozen=True, slots=True)
class Climate:
    """Monthly normals, January first: ETo [mm/month], rain [mm/month], mean temperature [degC], if stated.

    `eto_given` and `rain_given`: whether the site states them. Unstated rain counts as none, so that rain
    has to be noted; unstated ETo is estimated from the latitude.
    """

    monthly_eto_mm: tuple[float, ...]
    monthly_rain_mm: tuple[float, ...]
    eto_given: bool = True
    rain_given: bool = True
    monthly_tmean_c: tuple[float, ...] | None = None


class Era(NamedTuple):
    """What the weather takes from a site's description in force from the local day `first` on.

    `as_logged`: a day that is over and has no entry had no rain.
    """

    first: date
    climate: Climate
    latitude_deg: float
    as_logged: bool = False


class Uncounted(NamedTuple):
    """A gauge whose total does not agree with what its days hold by themselves [mm]."""

    gauge: Gauge
    held_mm: float


class DayWeather(NamedTuple):
    """One local day as the balance takes it [mm], and whether each part was measured."""

    eto_mm: float
    rain_mm: float
    eto_measured: bool
    rain_measured: bool


def climate_of(site: Site | None) -> Climate:
    """Return the climate of a site: its own months, else its ETo zone's, else estimated from the latitude."""
    if site is None:
        return Climate(_eto_by_latitude(NO_SITE_LATITUDE), (0.0,) * 12, False, False)
    eto, rain = _months(site.monthly_eto_um), _months(site.monthly_rain_um)
    if eto is None and site.eto_zone in ETO_ZONES:
        eto = monthly_eto_mm(site.eto_zone)
    return Climate(
        eto or _eto_by_latitude(site.latitude_udeg / 1e6), rain or (0.0,) * 12,
        eto_given=eto is not None, rain_given=rain is not None, monthly_tmean_c=_months(site.monthly_tmean_mdegc),
    )


def _months(small: tuple[int, ...] | None) -> tuple[float, ...] | None:
    return tuple(one / 1000.0 for one in small) if small is not None and len(small) == 12 else None


@lru_cache(maxsize=8)
def _eto_by_latitude(latitude_deg: float) -> tuple[float, ...]:
    months = []
    for month in range(1, 13):
        middle = date(2001, month, 15).timetuple().tm_yday
        months.append(ASSUMED_ETO_PER_RA * ra_mm(latitude_deg, middle) * monthrange(2001, month)[1])
    return tuple(months)


def normals(climate: Climate, day: date) -> tuple[float, float]:
    """Return the day's normal (ETo, rain) [mm]: the month's total over the days of that very month."""
    days = monthrange(day.year, day.month)[1]
    return climate.monthly_eto_mm[day.month - 1] / days, climate.monthly_rain_mm[day.month - 1] / days


def eras(sites: Sequence[Site]) -> tuple[Era, ...]:
    """Return the eras of the descriptions of a site, in order; the first also covers the days before it."""
    if not sites:
        return (Era(date.min, climate_of(None), NO_SITE_LATITUDE),)
    began = local_day(sites[0].happened_at, sites[0].zone)
    found: list[Era] = []
    for site in sites:
        first = local_day(site.happened_at, site.zone)
        if first <= began:
            found.clear()
        while found and found[-1].first >= first:
            found.pop()
        era = Era(first if found else date.min, climate_of(site), site.latitude_udeg / 1e6, site.rain == RAIN_AS_LOGGED)
        if not found or found[-1][1:] != era[1:]:
            found.append(era)
    return tuple(found)


def differ_from(one: Sequence[Era], other: Sequence[Era]) -> date | None:
    """Return the first local day on which two histories of a site differ, None where they never do."""
    for mine, theirs in zip(one, other, strict=False):
        if mine != theirs:
            return min(mine.first, theirs.first)
    longer = one if len(one) > len(other) else other
    return longer[min(len(one), len(other))].first if len(one) != len(other) else None


def spread(
    gauges: Sequence[Gauge], own: Callable[[date], float | None], usual: Callable[[date], float],
) -> tuple[dict[date, float], list[Uncounted]]:
    """Spread each gauge's total over the days of its span that have no rain of their own, by their usual rain [mm].

    Days that the climate has no rain for share evenly. Returns the rain by day, and the gauges whose days hold more
    than the total, or all of it and less. A day of two gauges keeps what the first gives it.
    """
    rain: dict[date, float] = {}
    odd: list[Uncounted] = []
    for gauge in gauges:
        held, days = 0.0, []
        for number in range((gauge.last - gauge.first).days + 1):
            day = gauge.first + timedelta(days=number)
            known = own(day)
            if known is None:
                known = rain.get(day)
            if known is None:
                days.append(day)
            else:
                held += known
        rest = gauge.rain_mm - held
        if rest < -READING_MM or (not days and rest > READING_MM):
            odd.append(Uncounted(gauge, held))
        weights = [usual(day) for day in days]
        whole = sum(weights)
        for day, weight in zip(days, weights, strict=True):
            rain[day] = max(0.0, rest) * (weight / whole if whole > 0.0 else 1.0 / len(days))
    return rain, odd


def sky_of(state: State, today: date) -> Sky:
    """Return the weather over the state's site, which on `today` stands in its past or its present."""
    history = eras(state.sites)
    last = today if state.seen_at is None else max(today, local_day(state.seen_at, state.zone))
    ahead = {day: one.weather for day, one in state.forecasts.items() if day >= last}
    return Sky(history[-1].climate, state.weather, history[-1].latitude_deg, history=history, gauges=state.gauges,
               today=today, ahead=ahead)


class Sky:
    """The weather of every day, past and coming: what was measured or is forecast, else the normals.

    `climate`, `latitude_deg`: in force now. `history`: every era up to it; left out, it was always so. `today`: the
    last day that has none where rain counts as logged; the coming days take the normals. `ahead`: forecasts of today
    and of days to come. `uncounted`: of the gauges at hand.
    """

    def __init__(
        self, climate: Climate, weather: Mapping[date, Weather], latitude_deg: float, *,
        history: Sequence[Era] = (), gauges: Sequence[Gauge] = (), today: date = date.min,
        ahead: Mapping[date, Weather] | None = None,
    ) -> None:
        self.climate = climate
        self.latitude_deg = latitude_deg
        self.history = tuple(history) or (Era(date.min, climate, latitude_deg),)
        self.today = today
        self._gauges = gauges
        self._firsts = [era.first for era in self.history]
        self._weather: Mapping[date, Weather] = \
            weather.added if isinstance(weather, Lookup) and weather.older is None else weather
        self._ahead = ahead or {}
        self._days: dict[date, DayWeather] = {}
        self._normals: dict[tuple[date, int, int], tuple[float, float]] = {}
        self._older = older_of(gauges)
        self._gauged, self.uncounted = self._spread(known(gauges))

    def _spread(self, gauges: Sequence[Gauge]) -> tuple[dict[date, float], list[Uncounted]]:
        return spread(gauges, self._own_rain, lambda day: self.usual(day)[1])

    def _gathered(self, day: date) -> float | None:
        """What gauges had of a day's rain; a day before those at hand asks for all of them."""
        if self._older is not None and not self._older.ended_before(day):
            self._older = None
            self._gauged = self._spread(list(self._gauges))[0]
        return self._gauged.get(day)

    def day(self, day: date) -> DayWeather:
        """Return one local day's weather. Temperatures that contradict each other give the normal ETo."""
        known = self._days.get(day)
        if known is None:
            known = self._days[day] = self._look(day)
        return known

    def era_on(self, day: date) -> Era:
        """Return what the site's description in force on a day says."""
        history = self.history
        return history[0] if len(history) == 1 else history[bisect_right(self._firsts, day) - 1]

    def climate_on(self, day: date) -> Climate:
        """Return the climate in force on a day."""
        return self.era_on(day).climate

    def latitudes(self, first: date, last: date) -> list[tuple[date, float]]:
        """Return the days from `first` to `last` on which another latitude comes into force, `first` with its own."""
        found = [(first, self.era_on(first).latitude_deg)]
        for era in self.history:
            if first < era.first <= last and era.latitude_deg != found[-1][1]:
                found.append((era.first, era.latitude_deg))
        return found

    def mean_c(self, day: date) -> tuple[float | None, bool]:
        """Return a day's mean temperature [degC], None where nobody knows it, and whether it was measured."""
        known = self._known(day)
        if known is not None:
            low, high = known.tmin_c, known.tmax_c
            if low is not None and high is not None and low <= high:
                return (low + high) / 2.0, day not in self._ahead
        means = self.era_on(day).climate.monthly_tmean_c
        return (None if means is None else means[day.month - 1]), False

    def usual(self, day: date) -> tuple[float, float]:
        """Return the day's normal (ETo, rain) [mm] by the climate in force on it."""
        era = self.era_on(day)
        month = (era.first, day.year, day.month)
        usual = self._normals.get(month)
        if usual is None:
            usual = self._normals[month] = normals(era.climate, day)
        return usual

    def _known(self, day: date) -> Weather | None:
        """What was measured of a day, and what is forecast of what was not."""
        measured, ahead = self._weather.get(day), self._ahead.get(day)
        return measured if ahead is None else (measured or ahead).over(ahead)

    def _own_rain(self, day: date) -> float | None:
        measured = self._weather.get(day)
        return None if measured is None else measured.rain_mm

    def _look(self, day: date) -> DayWeather:
        eto, rain = self.usual(day)
        eto_measured = rain_measured = False
        measured, ahead = self._known(day), self._ahead.get(day)
        if measured is not None:
            low, high = measured.tmin_c, measured.tmax_c
            if low is not None and high is not None and low <= high:
                eto = hargreaves(low, high, self.era_on(day).latitude_deg, day.timetuple().tm_yday)
                eto_measured = ahead is None
        own = self._own_rain(day)
        if own is not None:
            rain, rain_measured = own, True
        elif ahead is not None and ahead.rain_mm is not None:
            rain = ahead.rain_mm
        elif (gathered := self._gathered(day)) is not None:
            rain, rain_measured = gathered, True
        elif day <= self.today and self.era_on(day).as_logged:
            rain, rain_measured = 0.0, True
        return DayWeather(eto, rain, eto_measured, rain_measured)
