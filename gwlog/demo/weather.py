"""The demo's weather: mild winters with rain, dry summers; a day's weather does not depend on later days.

Readings are what its people would write down: whole degrees Fahrenheit, hundredths of an inch.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from math import cos, pi
from random import Random

from gwlog.units import MM_PER_INCH

WET_DAY_MM = 9.0
"""Mean rain of a day on which it rains at all; with the climate's normals it gives the number of wet days."""

MOST_MM = 60.0
STAYS_WET = 0.45

MEAN_F, SWING_F, WARMEST_DAY = 58.5, 7.0, 225
DRY_RANGE_F, WET_RANGE_F = 22.0, 12.0
COLDEST_F = 31

DRY_SPELL_DAYS = 45
"""The days before the last one stay dry, so that on any date of the year the garden has something to decide."""


@dataclass(frozen=True, slots=True)
class Reading:
    """One day's weather: rain [mm], lowest and highest temperature [degC]."""

    rain_mm: float
    tmin_c: float
    tmax_c: float


def readings(first: date, last: date, monthly_rain_mm: Sequence[float], seed: int) -> dict[date, Reading]:
    """Invent the weather of the days `first`..`last`, included, on the climate's monthly rain [mm]."""
    found: dict[date, Reading] = {}
    wet, drift = False, 0.0
    for number in range((last - first).days + 1):
        day = first + timedelta(days=number)
        chance = Random(f"gwlog demo weather {seed} {day.isoformat()}")
        often = min(0.6, monthly_rain_mm[day.month - 1] / 30.4 / WET_DAY_MM)
        stays = max(often, STAYS_WET) if often > 0.02 else 0.0
        starts = often * (1.0 - stays) / (1.0 - often)
        wet = chance.random() < (stays if wet else starts) and (last - day).days > DRY_SPELL_DAYS
        rain_in = round(min(MOST_MM, chance.expovariate(1.0 / WET_DAY_MM)) / MM_PER_INCH, 2) if wet else 0.0
        drift = 0.7 * drift + chance.gauss(0.0, 2.5)
        middle = MEAN_F + SWING_F * cos(2.0 * pi * (day.timetuple().tm_yday - WARMEST_DAY) / 365.0) + drift
        half = max(3.0, (WET_RANGE_F if wet else DRY_RANGE_F) / 2.0 + chance.gauss(0.0, 1.5))
        low = max(COLDEST_F, round(middle - half))
        high = max(low + 4, round(middle + half))
        found[day] = Reading(rain_in * MM_PER_INCH, (low - 32) / 1.8, (high - 32) / 1.8)
    return found
