"""One basin: its geometry and soil, what one day does to its root zone, and what it can take.

Volumes in litres, depths in mm (L/m2), areas in m2, per local calendar day.
Balance: FAO Irrigation and Drainage Paper 56 (Allen et al. 1998), eq. 82-88. A canopy wider than the wetted zone has
roots beyond it, a second store that gets rain alone; roots of a young plant fill only a share of the wetted zone.
With canopy == wetted zone and grown-up roots it is FAO-56 exactly.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date, datetime
from typing import TypeVar

from gwlog.values import NamedTuple, dataclass
from gwlog.water.rootzone import depletion_fraction, stress_coefficient

_When = TypeVar("_When", date, datetime)

DRAINABLE_POROSITY = 0.5
"""Share of the mulch's volume that fills while a machine drains. Working assumption, on the safe side of
the 0.66-0.78 measured for wood chips (Christianson et al. 2010, Appl. Eng. Agric. 26(5):849-854)."""

SPREAD_M = 0.3
"""How far water spreads sideways beyond the basin's edge [m]. Working assumption, no source."""

LEACHING_SHARE = 0.15
"""Share of a load that may percolate, to carry salt down (after FAO-29 rev. 1, ch. 2)."""


@dataclass(frozen=True, slots=True)
class BasinSpec:
    """A basin in SI units, as it is on one day.

    area, canopy and wetted root zone [m2]; mulch depth [mm]; taw and raw [mm], the latter by the depletion fraction of
    FAO-56 table 22 before the day's ETc; plant factor of the day; allowance [L/m2/day]. `share`: how much of the
    wetted zone the roots have reached (0..1).
    """

    name: str
    area_m2: float
    canopy_m2: float
    wetted_m2: float
    mulch_mm: float
    taw_mm: float
    raw_mm: float
    plant_factor: float
    allowance_l_per_m2: float
    share: float = 1.0

    @property
    def taw_l(self) -> float:
        """Total available water of the roots in the wetted zone [L]."""
        return self.taw_mm * self.wetted_m2 * self.share

    @property
    def raw_l(self) -> float:
        """Readily available water of the roots in the wetted zone [L], before the day's ETc."""
        return self.raw_mm * self.wetted_m2 * self.share

    @property
    def outer_m2(self) -> float:
        """The part of the canopy beyond the wetted zone [m2]."""
        return max(0.0, self.canopy_m2 - self.wetted_m2)

    @property
    def outer_taw_l(self) -> float:
        """Total available water of the roots beyond the wetted zone [L]."""
        return self.taw_mm * self.outer_m2

    @property
    def most_l(self) -> float:
        """What may come at once [L], so that the roots get no more than they can readily use."""
        return self.raw_mm * self.wetted_m2

    @property
    def allowance_l(self) -> float:
        """Absorption allowance [L/day]."""
        return self.allowance_l_per_m2 * self.area_m2

    @property
    def surge_room_l(self) -> float:
        """Volume that fits between the chips while a machine drains [L/load]."""
        return self.area_m2 * self.mulch_mm * DRAINABLE_POROSITY

    def too_small_for(self, litres: float) -> bool:
        """Whether one load of `litres` passes the readily available water of the whole root zone."""
        return litres > self.most_l


class DayNumbers(NamedTuple):
    """What one day brings a basin, whatever is poured [L].

    `taw_l`, `raw_l`: of the roots in the wetted zone; `demand_l`: what the plants ask of them. Of what falls or is
    poured on the wetted zone the roots get `share`: `rain_l` of the day's rain, `beside_l` of it passes beside them.
    `outer_l`: the deficit of the zone beyond the wetted one at the day's end, `outer_used_l` what plants took there.
    """

    taw_l: float
    raw_l: float
    demand_l: float
    rain_l: float
    beside_l: float
    share: float
    outer_l: float
    outer_used_l: float


class DayResult(NamedTuple):
    """One day's end: deficit, percolated, use by plants and demand [L]; the stress coefficient Ks.

    `beside_l`: what passed beside the roots of a young plant [L]; `outer_l`: see DayNumbers.
    """

    deficit_l: float
    percolated_l: float
    used_l: float
    demand_l: float
    ks: float
    beside_l: float
    outer_l: float


def wetted_area(area_m2: float, canopy_m2: float) -> float:
    """Default wetted root-zone area [m2]: min(max(canopy, area), (sqrt(area) + 2 x 0.3 m)^2)."""
    return min(max(canopy_m2, area_m2), (math.sqrt(area_m2) + 2 * SPREAD_M) ** 2)


def day_numbers(basin: BasinSpec, outer_l: float, eto_mm: float, rain_mm: float) -> DayNumbers:
    """Return what a day brings: `outer_l` is yesterday's deficit beyond the wetted zone [L]; ETo and rain [mm].

    The roots beyond the wetted zone get rain alone; what they cannot give of their plants' demand is asked of the
    wetted zone. What the whole day asks of either zone is known before anything is poured.
    """
    et = eto_mm * basin.plant_factor
    wetted, share = basin.wetted_m2, basin.share
    taw_mm = basin.taw_mm
    p = depletion_fraction(basin.raw_mm / taw_mm, et) if taw_mm > 0.0 else 0.0
    taw = taw_mm * wetted * share
    demand = et * min(basin.canopy_m2, wetted)
    rain_l = rain_mm * wetted
    outer_m2, used = basin.canopy_m2 - wetted, 0.0
    if outer_m2 > 0.0:
        outer_taw, asked = taw_mm * outer_m2, et * outer_m2
        used, outer_l = outer_day(min(outer_l, outer_taw), outer_taw, p * outer_taw, asked, rain_mm * outer_m2)
        demand += asked - used
    else:
        outer_l = 0.0
    return DayNumbers(taw, p * taw, demand, rain_l * share, rain_l - rain_l * share, share, outer_l, used)


def outer_day(deficit: float, taw: float, raw: float, asked: float, rain: float) -> tuple[float, float]:
    """Take the zone beyond the wetted one through a day: what plants took there, and its deficit after [L]."""
    used = stress_coefficient(deficit, taw, raw) * asked
    end = deficit - rain + used
    if end < 0.0:
        return used, 0.0
    if end > taw:
        return used - (end - taw), taw
    return used, end


def close_day(day: DayNumbers, deficit_l: float, water_l: float) -> DayResult:
    """End a day (FAO-56 eq. 84-88): `deficit_l` is yesterday's end, `water_l` all that was poured [L].

    Within a day eq. 88 drains after the day's ET; Ks is taken from yesterday's deficit.
    """
    taw, demand, share = day.taw_l, day.demand_l, day.share
    ks = stress_coefficient(deficit_l, taw, day.raw_l)
    used = ks * demand
    end = deficit_l - day.rain_l - water_l * share + used
    percolated = 0.0
    if end < 0.0:
        percolated, end = -end, 0.0
    elif end > taw:
        used -= end - taw
        end = taw
    return DayResult(end, percolated, used, demand, ks, day.beside_l + (water_l - water_l * share), day.outer_l)


def day_step(
    basin: BasinSpec, deficit_l: float, eto_mm: float, rain_mm: float, water_l: float, outer_l: float = 0.0,
) -> DayResult:
    """Take one day of a basin described as it is on that day (see day_numbers and close_day)."""
    return close_day(day_numbers(basin, outer_l, eto_mm, rain_mm), deficit_l, water_l)


def root_zone_room(deficit_l: float, leaching_share: float = LEACHING_SHARE, share: float = 1.0) -> float:
    """What may be poured now [L], letting a leaching share LF of what reaches the roots percolate:
    D / (share (1 - LF)).
    """
    return deficit_l / (share * (1.0 - leaching_share))


def in_use(changes: Sequence[tuple[_When, bool]], at: _When) -> bool:
    """Return whether a basin was in use at a moment or on a day, by its descriptions: since when, and in use or not.

    The first description also covers what was before it.
    """
    return next((active for since, active in reversed(changes) if since <= at), changes[0][1])
