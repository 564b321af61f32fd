"""The units of a water report: every one of them to the unit that is kept, from definitions and atomic weights."""

from __future__ import annotations

from gwlog.reference.formulas import IONS, mg_per_me, molar_mass
from gwlog.units import LITRES_PER_GALLON

MG_PER_GRAIN = 64.79891
LITRES_PER_IMPERIAL_GALLON = 4.54609

CACO3 = mg_per_me("calcium carbonate")

HARDNESS: dict[str, float] = {
    "mg_l": 1.0, "ppm": 1.0, "gpg": MG_PER_GRAIN / LITRES_PER_GALLON, "meq_l": CACO3,
    "dh": 10.0 * molar_mass("CaCO3") / molar_mass("CaO"), "fh": 10.0,
    "clark": MG_PER_GRAIN / LITRES_PER_IMPERIAL_GALLON, "mmol_l": 2.0 * CACO3,
}
"""Hardness and alkalinity, suffix of a unit -> mg/L as calcium carbonate."""

CONDUCTIVITY: dict[str, float] = {"ds_m": 1.0, "ms_cm": 1.0, "us_cm": 0.001, "umho_cm": 0.001, "ms_m": 0.01}
"""Suffix of a unit of conductivity -> dS/m."""

PLAIN: dict[str, float] = {"mg_l": 1.0, "ppm": 1.0, "ug_l": 0.001, "ppb": 0.001}
"""Suffix of a unit of mass in water -> mg/L; water is taken to weigh 1 kg/L."""


def ion_units(ion: str) -> dict[str, float]:
    """Return suffix of a unit -> mg/L, for an ion named in IONS; calcium and magnesium are told as carbonate too."""
    units = {"mg_l": 1.0, "ppm": 1.0, "meq_l": mg_per_me(ion)}
    charge = IONS[ion][1]
    units["mmol_l"] = charge * units["meq_l"]
    if ion in ("calcium", "magnesium"):
        units["mg_l_caco3"] = units["meq_l"] / CACO3
    return units

REPORT: dict[str, tuple[dict[str, float], float, str]] = {
    "ec": (CONDUCTIVITY, 20.0, "conductivity"),
    "tds": (PLAIN, 15_000.0, "dissolved solids"),
    "calcium": (ion_units("calcium"), 2_000.0, "calcium"),
    "magnesium": (ion_units("magnesium"), 2_000.0, "magnesium"),
    "sodium": (ion_units("sodium"), 5_000.0, "sodium"),
    "hardness": (HARDNESS, 5_000.0, "hardness, as calcium carbonate"),
    "alkalinity": (HARDNESS, 3_000.0, "alkalinity, as calcium carbonate"),
    "bicarbonate": (ion_units("bicarbonate"), 3_000.0, "bicarbonate"),
    "chloride": (ion_units("chloride"), 10_000.0, "chloride"),
    "sulfate": (ion_units("sulfate"), 10_000.0, "sulfate"),
    "boron": (PLAIN, 30.0, "boron"),
    "ph": ({"": 1.0}, 14.0, "pH"),
}
"""What a report may say: suffixes of its units -> factor, the most that is accepted in the unit kept, in words."""
