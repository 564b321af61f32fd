"""The formulas of salty water and salty soil: sodium ratios, leaching, yield, and what a soil test means.

Ions in [me/L], conductivity in [dS/m]. FAO-29 is Irrigation and Drainage Paper 29 rev. 1 (Ayers and Westcot 1985),
FAO-61 Paper 61 (Tanji and Kielen 2002), FAO-56 Paper 56 (Allen and others 1998).
"""

from __future__ import annotations

from bisect import bisect_right
from math import sqrt

from gwlog.reference.source import Sourced, assumed

FAO_29 = "FAO Irrigation and Drainage Paper 29 rev. 1"
HANDBOOK_60 = "USDA Agriculture Handbook 60"
SLAVICH = "Slavich and Petterson 1993, texture factors of the 1:5 extract"

ME_PER_L_PER_DS_M = 10.0
"""A water's cations [me/L] are about ten times its conductivity [dS/m] (FAO-29 table 2, read second hand)."""

MG_PER_L_PER_DS_M = Sourced(640.0, f"{FAO_29}, table 1 (450 mg/L at 0.7 dS/m)", "1985", "memory")
"""Dissolved salts [mg/L] of a water of 1 dS/m."""

MG_PER_L_PER_DS_M_RANGE = Sourced((550.0, 800.0), f"{FAO_29}, by the ions that are in it", "1985", "memory")

CAX_OF_EC: tuple[tuple[float, float], ...] = (
    (0.1, 1.791), (0.2, 1.847), (0.3, 1.889), (0.5, 1.954), (0.7, 2.007), (1.0, 2.072), (1.5, 2.159), (2.0, 2.230),
    (3.0, 2.346), (4.0, 2.439), (6.0, 2.588), (8.0, 2.706),
)
"""ECw [dS/m] -> the calcium that stays dissolved where there is as much bicarbonate as calcium [me/L].

Fitted to FAO-29 rev. 1, table 11: every cell but one within 0.0125."""

EXTRACT_FACTORS: dict[str, Sourced[float]] = {
    texture: Sourced(factor, SLAVICH, "1993", "memory")
    for texture, factor in (
        ("sand", 22.7), ("loamy sand", 22.7), ("sandy loam", 13.8), ("loam", 9.5), ("silt loam", 9.5), ("silt", 9.5),
        ("silt clay loam", 8.6), ("silty clay", 7.5), ("clay", 7.5),
    )
}
"""Texture -> ECe over the conductivity of one part of soil stirred into five parts of water."""

SOIL_SAR_LIMITS: dict[str, Sourced[float]] = {
    texture: limit
    for textures, limit in (
        (("sand", "loamy sand"), Sourced(13.0, f"{HANDBOOK_60}, sodic soil (ESP 15)", "1954", "memory")),
        (("sandy loam", "loam", "silt loam", "silt"),
         assumed(9.0, "FAO-29's severe sodium hazard of water, for soil that closes sooner than sand")),
        (("silt clay loam", "silty clay", "clay"),
         assumed(6.0, "clay closes at about ESP 6-7, long before Handbook 60's 15")),
    )
    for texture in textures
}
"""Texture -> the SAR of its saturation extract that it bears before it closes to water."""


def sar(sodium: float, calcium: float, magnesium: float) -> float:
    """Return the sodium adsorption ratio; all three [me/L] (FAO-29 ch. 3).

    Raises ValueError without any calcium and magnesium: the ratio has no end there.
    """
    if calcium + magnesium <= 0.0:
        raise ValueError("SAR needs some calcium or magnesium")
    return sodium / sqrt((calcium + magnesium) / 2.0)


def dissolved_calcium(bicarbonate: float, calcium: float, ecw: float) -> float:
    """Return the calcium that stays dissolved near the surface, Cax [me/L] (FAO-29 table 11, after Suarez 1981).

    Table 11 obeys Cax = A(ECw) x (HCO3/Ca)^(-2/3), calcite in equilibrium with 0.0007 atm of carbon dioxide; A is
    taken straight between the table's columns and held at its ends. Without bicarbonate no calcium is lost.
    """
    if bicarbonate <= 0.0 or calcium <= 0.0:
        return calcium
    salts = [ec for ec, _ in CAX_OF_EC]
    place = bisect_right(salts, ecw)
    if place in (0, len(salts)):
        factor = CAX_OF_EC[min(place, len(salts) - 1)][1]
    else:
        (below, low), (above, high) = CAX_OF_EC[place - 1], CAX_OF_EC[place]
        factor = low + (high - low) * (ecw - below) / (above - below)
    return float(factor * (bicarbonate / calcium) ** (-2.0 / 3.0))


def adjusted_sar(sodium: float, calcium: float, magnesium: float, bicarbonate: float, ecw: float) -> float:
    """Return the adjusted sodium ratio, adj RNa: Na / sqrt((Cax + Mg) / 2) (FAO-29 eq. 14)."""
    return sar(sodium, dissolved_calcium(bicarbonate, calcium, ecw), magnesium)


def sar_of_exchangeable(percent: float) -> float:
    """Return the SAR of the extract of a soil with so much exchangeable sodium [%] (Handbook 60, p. 26, turned round:
    ESP / (100 - ESP) = -0.0126 + 0.01475 SAR).
    """
    return (percent / (100.0 - percent) + 0.0126) / 0.01475


def leaching_requirement(ecw: float, ece: float) -> float:
    """Return the share of water that must pass the root zone: ECw / (5 ECe - ECw), both [dS/m] (FAO-29 ch. 2).

    `ece`: what the plant bears. 1.0 where no amount of leaching would do (ECw reaches 2.5 ECe).
    """
    return min(1.0, ecw / (5.0 * ece - ecw)) if ecw < 5.0 * ece else 1.0


def water_applied(et_mm: float, leaching: float) -> float:
    """Return the water to apply [mm] so that plants get `et_mm` and the share `leaching` passes: ET / (1 - LR)."""
    return et_mm / (1.0 - leaching)


def relative_yield(ece: float, threshold: float, slope: float) -> float:
    """Return what a plant grows [%] of what it would without salt: 100 - b (ECe - a), 0 to 100 (FAO-61 annex 1)."""
    return min(100.0, max(0.0, 100.0 - slope * (ece - threshold)))
