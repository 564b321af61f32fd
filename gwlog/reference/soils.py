"""Soils: what the plumbing code lets a soil absorb, and how much water a soil texture holds for plants.

The first is an upper limit (does it soak in), the second feeds the root-zone balance. Both apply.
"""

from __future__ import annotations

from gwlog.reference.source import Sourced, Sure, assumed
from gwlog.units import LITRES_PER_GALLON, M2_PER_FT2
from gwlog.values import dataclass

L_PER_M2_PER_GAL_PER_FT2 = LITRES_PER_GALLON / M2_PER_FT2
"""1 gal/ft2 = 40.746 L/m2, from the definitions of the gallon and the foot."""

CPC = "California Plumbing Code / Uniform Plumbing Code, graywater chapter, design of six typical soils"
UTAH = "Utah Administrative Code R317-401-6, table 4"
FAO_19 = "FAO Irrigation and Drainage Paper 56, table 19"

Range = tuple[float, float]


@dataclass(frozen=True, slots=True, eq=False)
class Soil:
    """One of the plumbing code's six soils.

    `ft2_per_100gal` [ft2 per 100 gal/day] and `allowance_gal_per_ft2` [gal/ft2/day] are the code's two
    columns, which differ by rounding: the second is used. `utah_gal_per_ft2` is the independent table.
    `default_texture` is a name in TEXTURES.
    """

    name: str
    ft2_per_100gal: Sourced[float]
    allowance_gal_per_ft2: Sourced[float]
    utah_gal_per_ft2: Sourced[float]
    default_texture: Sourced[str]

    @property
    def allowance_l_per_m2(self) -> float:
        """What the soil may absorb [L/m2/day], that is [mm/day]."""
        return self.allowance_gal_per_ft2.value * L_PER_M2_PER_GAL_PER_FT2


@dataclass(frozen=True, slots=True, eq=False)
class Texture:
    """A soil texture with the published ranges [m3/m3] of its water content.

    The middle of each range is used. `available` is the middle of the published available range, not the
    difference of the other two middles.
    """

    name: str
    field_capacity_range: Sourced[Range]
    wilting_point_range: Sourced[Range]
    available_range: Sourced[Range]

    @property
    def field_capacity(self) -> float:
        """Water content after free drainage [m3/m3]."""
        return _middle(self.field_capacity_range)

    @property
    def wilting_point(self) -> float:
        """Water content at which plants wilt for good [m3/m3]."""
        return _middle(self.wilting_point_range)

    @property
    def available(self) -> float:
        """Water that plants can take up [m3/m3]: theta_FC - theta_WP of FAO-56 eq. 82."""
        return _middle(self.available_range)


def _middle(published: Sourced[Range]) -> float:
    low, high = published.value
    return (low + high) / 2.0


def _soil(name: str, ft2: float, gal: float, utah: float, texture: str) -> Soil:
    memory: Sure = "memory"
    return Soil(
        name,
        Sourced(ft2, CPC, "", memory),
        Sourced(gal, CPC, "", memory),
        Sourced(utah, UTAH, "2024", "read"),
        assumed(texture, "the nearest row of FAO-56 table 19, where two are near the one that holds less"),
    )


def _texture(name: str, field_capacity: Range, wilting_point: Range, available: Range) -> Texture:
    return Texture(
        name,
        Sourced(field_capacity, FAO_19, "1998", "read"),
        Sourced(wilting_point, FAO_19, "1998", "read"),
        Sourced(available, FAO_19, "1998", "read"),
    )


SOILS: dict[str, Soil] = {
    soil.name: soil
    for soil in (
        _soil("coarse sand or gravel", 20, 5.0, 5.0, "sand"),
        _soil("fine sand", 25, 4.0, 4.0, "sand"),
        _soil("sandy loam", 40, 2.5, 2.5, "sandy loam"),
        _soil("sandy clay", 60, 1.7, 1.6, "clay"),
        _soil("clay with considerable sand or gravel", 90, 1.1, 1.1, "clay"),
        _soil("clay with a small amount of sand or gravel", 120, 0.8, 0.8, "clay"),
    )
}
"""The code's soils by the names used in the site file."""

TEXTURES: dict[str, Texture] = {
    texture.name: texture
    for texture in (
        _texture("sand", (0.07, 0.17), (0.02, 0.07), (0.05, 0.11)),
        _texture("loamy sand", (0.11, 0.19), (0.03, 0.10), (0.06, 0.12)),
        _texture("sandy loam", (0.18, 0.28), (0.06, 0.16), (0.11, 0.15)),
        _texture("loam", (0.20, 0.30), (0.07, 0.17), (0.13, 0.18)),
        _texture("silt loam", (0.22, 0.36), (0.09, 0.21), (0.13, 0.19)),
        _texture("silt", (0.28, 0.36), (0.12, 0.22), (0.16, 0.20)),
        _texture("silt clay loam", (0.30, 0.37), (0.17, 0.24), (0.13, 0.18)),
        _texture("silty clay", (0.30, 0.42), (0.17, 0.29), (0.13, 0.19)),
        _texture("clay", (0.32, 0.40), (0.20, 0.24), (0.12, 0.20)),
    )
}
"""The soil textures of FAO-56 table 19."""
