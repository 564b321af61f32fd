"""The weather that the balance runs on: measured days win, the climate's normals stand in for the others.

A day typed ahead of time is a forecast until it has passed; from then on it counts as measured.
"""

from __future__ import annotations

from calendar import monthrange
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from typing import NamedTuple

from gwlog.journal.facts import Site
from gwlog.reference.climate import ETO_ZONES, monthly_eto_mm
from gwlog.state import Weather
from gwlog.water.evapotranspiration import hargreaves, ra_mm

NO_SITE_LATITUDE = 37.0
"""Latitude taken before a site was described [degrees]; no basin can exist then. Working assumption."""

ASSUMED_ETO_PER_RA = 0.0023 * (15.0 + 17.8) * 12.0**0.5
"""ETo / Ra where a site states no climate: Hargreaves (FAO-56 eq. 52) for a mean of 15 degC and a daily range
of 12 degC. Working assumption; it comes within a tenth of California's middle zones over the year."""


@dataclass(frozen=True, slots=True)
class Climate:
    """Monthly normals, January first: ETo [mm/month], rain [mm/month].

    `eto_given` and `rain_given`: whether the site states them. Unstated rain counts as none, so that rain
    has to be noted; unstated ETo is estimated from the latitude.
    """

    monthly_eto_mm: tuple[float, ...]
    monthly_rain_mm: tuple[float, ...]
    eto_given: bool = True
    rain_given: bool = True


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
        eto_given=eto is not None, rain_given=rain is not None,
    )


def _months(um: tuple[int, ...] | None) -> tuple[float, ...] | None:
    return tuple(one / 1000.0 for one in um) if um is not None and len(um) == 12 else None


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


class Sky:
    """The weather of every day, past and coming: what was measured or typed ahead, else the normals."""

    def __init__(self, climate: Climate, weather: Mapping[date, Weather], latitude_deg: float) -> None:
        self.climate = climate
        self.latitude_deg = latitude_deg
        self._weather = weather
        self._days: dict[date, DayWeather] = {}
        self._normals: dict[tuple[int, int], tuple[float, float]] = {}

    def day(self, day: date) -> DayWeather:
        """Return one local day's weather. Temperatures that contradict each other give the normal ETo."""
        known = self._days.get(day)
        if known is None:
            known = self._days[day] = self._look(day)
        return known

    def _look(self, day: date) -> DayWeather:
        month = (day.year, day.month)
        usual = self._normals.get(month)
        if usual is None:
            usual = self._normals[month] = normals(self.climate, day)
        eto, rain = usual
        measured = self._weather.get(day)
        if measured is None:
            return DayWeather(eto, rain, False, False)
        eto_measured = False
        low, high = measured.tmin_c, measured.tmax_c
        if low is not None and high is not None and low <= high:
            eto = hargreaves(low, high, self.latitude_deg, day.timetuple().tm_yday)
            eto_measured = True
        if measured.rain_mm is None:
            return DayWeather(eto, rain, eto_measured, False)
        return DayWeather(eto, measured.rain_mm, eto_measured, True)
