"""A climate's monthly reference evapotranspiration from its mean temperatures, where no table of it is at hand.

Source: FAO Irrigation and Drainage Paper 56 (Allen et al. 1998), eq. 52, for the middle day of each month.
"""

from __future__ import annotations

from collections.abc import Sequence

from gwlog.water.evapotranspiration import hargreaves

DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


def middle_day(month: int) -> int:
    """Return the day of the year that stands for a month 1..12: J = integer(30.4 M - 15) (FAO-56 annex 2)."""
    return int(30.4 * month - 15)


def monthly_eto_mm(tmin_c: Sequence[float], tmax_c: Sequence[float], latitude_deg: float) -> tuple[float, ...]:
    """Return ETo [mm/month], January first, from each month's mean lowest and highest temperature [degC].

    Raises ValueError unless there are twelve of each, none of the lowest above the highest.
    """
    if len(tmin_c) != 12 or len(tmax_c) != 12:
        raise ValueError("twelve lowest and twelve highest temperatures are needed")
    return tuple(
        hargreaves(low, high, latitude_deg, middle_day(month)) * DAYS[month - 1]
        for month, (low, high) in enumerate(zip(tmin_c, tmax_c, strict=True), 1)
    )
