"""Reference evapotranspiration from sun and temperature.

Source: FAO Irrigation and Drainage Paper 56 (Allen et al. 1998), chapter 3, all read; equation numbers below.
"""

from __future__ import annotations

from functools import lru_cache
from math import acos, cos, pi, radians, sin, sqrt, tan

SOLAR_CONSTANT = 0.0820
"""[MJ/m2/min], FAO-56 eq. 21."""

LATENT_HEAT = 2.45
"""[MJ/kg], FAO-56 chapter 1; the printed 0.408 of eq. 20 is its reciprocal, rounded down by 0.04 %."""


@lru_cache(maxsize=2048)
def extraterrestrial_radiation(latitude_deg: float, day_of_year: int) -> float:
    """Return Ra, the sun's radiation above the air [MJ/m2/day] (eq. 21-25).

    `latitude_deg`: -90..90 [degrees], south negative; `day_of_year`: 1..366, over 365 in leap years too.
    Beyond the polar circles the sunset angle is held at 0 (polar night) or pi (midnight sun).
    """
    phi = radians(latitude_deg)
    year_angle = 2.0 * pi * day_of_year / 365.0
    distance = 1.0 + 0.033 * cos(year_angle)
    declination = 0.409 * sin(year_angle - 1.39)
    sunset = acos(max(-1.0, min(1.0, -tan(phi) * tan(declination))))
    return (24.0 * 60.0 / pi) * SOLAR_CONSTANT * distance * (
        sunset * sin(phi) * sin(declination) + cos(phi) * cos(declination) * sin(sunset)
    )


def ra_mm(latitude_deg: float, day_of_year: int) -> float:
    """Return Ra as the depth of water it could evaporate [mm/day]: Ra / 2.45."""
    return extraterrestrial_radiation(latitude_deg, day_of_year) / LATENT_HEAT


def hargreaves(tmin_c: float, tmax_c: float, latitude_deg: float, day_of_year: int) -> float:
    """Return ETo [mm/day] from the day's lowest and highest temperature [degC] (eq. 52), never below 0.

    Raises ValueError when tmin is above tmax: the caller decides what stands in for such a day.
    """
    if tmin_c > tmax_c:
        raise ValueError(f"tmin {tmin_c} is above tmax {tmax_c}")
    mean = (tmin_c + tmax_c) / 2.0
    return max(0.0, 0.0023 * (mean + 17.8) * sqrt(tmax_c - tmin_c) * ra_mm(latitude_deg, day_of_year))
