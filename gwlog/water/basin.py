"""One basin: its geometry and soil, what one day does to its root zone, and what it can take.

Volumes in litres, depths in mm (L/m2), areas in m2, per local calendar day.
Balance: FAO Irrigation and Drainage Paper 56 (Allen et al. 1998), eq. 82-88, with the canopy allowed to be
larger than the wetted root zone; with canopy == wetted zone it is FAO-56 exactly.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from gwlog.water.rootzone import stress_coefficient

DRAINABLE_POROSITY = 0.5
"""Share of the mulch's volume that fills while a machine drains. Working assumption, on the safe side of
the 0.66-0.78 measured for wood chips (Christianson et al. 2010, Appl. Eng. Agric. 26(5):849-854)."""

SPREAD_M = 0.3
"""How far water spreads sideways beyond the basin's edge [m]. Working assumption, no source."""

LEACHING_SHARE = 0.15
"""Share of a load that may percolate, to carry salt down (after FAO-29 rev. 1, ch. 2)."""


@dataclass(frozen=True, slots=True)
class BasinSpec:
    """A basin in SI units.

    area, canopy and wetted root zone [m2]; mulch depth [mm]; taw and raw [mm]; allowance [L/m2/day].
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

    @property
    def taw_l(self) -> float:
        """Total available water of the wetted root zone [L]."""
        return self.taw_mm * self.wetted_m2

    @property
    def raw_l(self) -> float:
        """Readily available water of the wetted root zone [L]."""
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
        return litres > self.raw_l


@dataclass(frozen=True, slots=True)
class DayResult:
    """One day's end: deficit, percolated, use by plants and demand [L]; the stress coefficient Ks."""

    deficit_l: float
    percolated_l: float
    used_l: float
    demand_l: float
    ks: float


def wetted_area(area_m2: float, canopy_m2: float) -> float:
    """Default wetted root-zone area [m2]: min(max(canopy, area), (sqrt(area) + 2 x 0.3 m)^2)."""
    return min(max(canopy_m2, area_m2), (math.sqrt(area_m2) + 2 * SPREAD_M) ** 2)


def day_step(
    basin: BasinSpec, deficit_l: float, eto_mm: float, rain_mm: float, graywater_l: float,
) -> DayResult:
    """Take one day (FAO-56 eq. 84-88): `deficit_l` is yesterday's end; rain [mm], graywater [L], ETo [mm].

    Within a day eq. 88 drains after the day's ET; Ks is taken from yesterday's deficit.
    """
    taw, raw, wetted = basin.taw_l, basin.raw_l, basin.wetted_m2
    et = eto_mm * basin.plant_factor
    outer = basin.canopy_m2 - wetted
    demand = et * min(basin.canopy_m2, wetted)
    if outer > 0.0 and et > rain_mm:
        demand += (et - rain_mm) * outer
    ks = stress_coefficient(deficit_l, taw, raw)
    used = ks * demand
    end = deficit_l - rain_mm * wetted - graywater_l + used
    percolated = 0.0
    if end < 0.0:
        percolated, end = -end, 0.0
    elif end > taw:
        used -= end - taw
        end = taw
    return DayResult(end, percolated, used, demand, ks)


def root_zone_room(deficit_l: float, leaching_share: float = LEACHING_SHARE) -> float:
    """What the root zone takes now [L], letting `leaching_share` of the load percolate: D / (1 - LF)."""
    return deficit_l / (1.0 - leaching_share)
