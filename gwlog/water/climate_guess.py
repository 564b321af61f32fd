"""A place's monthly reference evapotranspiration guessed: from mean temperatures and rain, or from four temperatures.

Neither replaces a table of the place; how far they are off is stated beside them and tested against station records.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from gwlog.water.evapotranspiration import LATENT_HEAT, extraterrestrial_radiation
from gwlog.water.monthly import DAYS, middle_day, monthly_eto_mm

DRY_RANGE_C, WET_RANGE_C = 16.0, 8.0
"""Usual difference of a day's highest and lowest temperature [degC] in a month without rain, and in one whose rain
is as much as evaporates. Working assumption, tried against station records."""

OUDIN_WARMER_C, OUDIN_DIVISOR = 5.0, 100.0
"""Oudin et al. 2005, Journal of Hydrology 303: evaporation = Ra / latent heat x (T + 5) / 100."""

WITHIN_SHARE = 0.25
"""How far a guess from the climate's means is usually off, as a share of the year: see tests/water."""


def eto_from_means(tmean_c: Sequence[float], rain_mm: Sequence[float], latitude_deg: float) -> tuple[float, ...]:
    """Return ETo [mm/month], January first, by Hargreaves (FAO-56 eq. 52).

    `tmean_c`: mean temperature of each month [degC]; `rain_mm`: its rain [mm], which tells how far the days' highest
    and lowest temperatures lie apart.
    """
    lows, highs = [], []
    for month, (mean, rain) in enumerate(zip(tmean_c, rain_mm, strict=True), 1):
        warm = max(0.0, mean + OUDIN_WARMER_C) / OUDIN_DIVISOR
        evaporates = extraterrestrial_radiation(latitude_deg, middle_day(month)) / LATENT_HEAT * warm * DAYS[month - 1]
        wet = min(1.0, rain / evaporates) if evaporates > 0.0 else 1.0
        half = (DRY_RANGE_C - (DRY_RANGE_C - WET_RANGE_C) * wet) / 2
        lows.append(mean - half)
        highs.append(mean + half)
    return monthly_eto_mm(lows, highs, latitude_deg)


def year_from_four(cold_low: float, cold_high: float, hot_low: float, hot_high: float,
                   latitude_deg: float) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Return the months' mean lowest and mean highest temperatures [degC], January first.

    From those of the coldest and of the hottest month, which are taken as January and July, south of the equator as
    July and January; the months between follow a cosine.
    """
    shift = 0 if latitude_deg >= 0 else 6

    def months(cold: float, hot: float) -> tuple[float, ...]:
        return tuple((cold + hot) / 2 - (hot - cold) / 2 * math.cos(math.tau * (month - shift) / 12)
                     for month in range(12))

    return months(cold_low, hot_low), months(cold_high, hot_high)
