"""What of a wash harms soil and plants, and from which concentration on: salt, sodium, chlorine, boron, pH.

Concentrations in the unit named beside each row; the household's products rarely say, so these are for judging.
"""

from __future__ import annotations

from gwlog.reference.formulas import molar_mass
from gwlog.reference.salinity import FAO_29
from gwlog.reference.source import Sourced, Sure
from gwlog.values import dataclass

FAO_29_1 = f"{FAO_29}, table 1"
EPA = "US EPA, Guidelines for Water Reuse"
WA_CODE = "Western Australia Code of Practice for the Reuse of Greywater, 4.5"


@dataclass(frozen=True, slots=True, eq=False)
class Threshold:
    """A hazard of irrigation water: harmless below `none` and severe above `severe`, in `unit`."""

    hazard: str
    unit: str
    none: Sourced[float]
    severe: Sourced[float]

    def judge(self, amount: float) -> str:
        """Return “none”, “slight to moderate” or “severe” for an amount in this row's unit."""
        if amount < self.none.value:
            return "none"
        return "severe" if amount > self.severe.value else "slight to moderate"


@dataclass(frozen=True, slots=True, eq=False)
class Infiltration:
    """How salty water of a sodium adsorption ratio must be for soil to take it in: ECw [dS/m].

    For `sar_from` <= SAR < `sar_to`: no hazard above `none`, severe below `severe`.
    """

    sar_from: float
    sar_to: float
    none: Sourced[float]
    severe: Sourced[float]


def _fao(value: float, sure: Sure = "read") -> Sourced[float]:
    return Sourced(value, FAO_29_1, "1985", sure)


THRESHOLDS: dict[str, Threshold] = {
    row.hazard: row
    for row in (
        Threshold("salinity", "dS/m (ECw)", _fao(0.7), _fao(3.0)),
        Threshold("sodium, surface irrigation", "SAR", _fao(3.0), _fao(9.0)),
        Threshold("chloride, surface irrigation", "me/L", _fao(4.0), _fao(10.0)),
        Threshold("boron", "mg/L", _fao(0.7), _fao(3.0)),
        Threshold("chlorine residual", "mg/L", Sourced(1.0, EPA, "", "memory"), Sourced(5.0, EPA, "", "memory")),
    )
}
"""Hazards by name; more is worse in each."""

INFILTRATION: tuple[Infiltration, ...] = (
    Infiltration(0.0, 3.0, _fao(0.7), _fao(0.2)),
    Infiltration(3.0, 6.0, _fao(1.2), _fao(0.3)),
    Infiltration(6.0, 12.0, _fao(1.9), _fao(0.5)),
    Infiltration(12.0, 20.0, _fao(2.9), _fao(1.3)),
    Infiltration(20.0, 40.0, _fao(5.0), _fao(2.9)),
)
"""Rows by rising SAR; here less salt is worse."""

PH_NORMAL = Sourced((6.5, 8.4), FAO_29_1, "1985", "read")

SODIUM_TARGET_G = Sourced(20.0, WA_CODE, "2010", "read")
"""A wash should bring less sodium than this [g]."""

POWDER_FILLER_SHARE = Sourced(0.60, "Dungog Shire, sodium as the bulking agent of washing powders, up to", "", "read")
"""Share of a powder that sodium salts may have as filler; the source names no salt."""

BORON_CLASSES: dict[str, Sourced[tuple[float, float]]] = {
    name: Sourced(span, "USDA-ARS boron tolerance after Maas", "1990", "read")
    for name, span in (
        ("very sensitive", (0.0, 0.5)),
        ("sensitive", (0.5, 0.75)),
        ("less sensitive", (0.75, 1.0)),
        ("moderately sensitive", (1.0, 2.0)),
        ("moderately tolerant", (2.0, 4.0)),
        ("tolerant", (4.0, 6.0)),
        ("very tolerant", (6.0, 15.0)),
    )
}
"""Boron [mg/L] in the soil's water that each class of plants bears."""


CHLORINE_PER_HYPOCHLORITE = molar_mass("Cl2") / molar_mass("NaOCl")
"""Chlorine that a gram of sodium hypochlorite is worth [g]."""


def bleach_mg_per_l(bleach_ml: float, strength: float, water_l: float) -> float:
    """Return the chlorine in a machine before the wash uses any of it up [mg/L].

    `bleach_ml` of bleach of a `strength` (share of sodium hypochlorite by weight, at about 1 g/mL) in `water_l` of
    water; told as chlorine, of which hypochlorite is worth 0.952 of its weight.
    """
    return bleach_ml * strength * 1000.0 * CHLORINE_PER_HYPOCHLORITE / water_l


def infiltration_hazard(sar: float, ecw: float) -> str:
    """Return “none”, “slight to moderate” or “severe” for a water's SAR and ECw [dS/m].

    Beyond SAR 40 the last row is taken.
    """
    row = next((row for row in INFILTRATION if sar < row.sar_to), INFILTRATION[-1])
    if ecw > row.none.value:
        return "none"
    return "severe" if ecw < row.severe.value else "slight to moderate"
