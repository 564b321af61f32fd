"""Quantities with their units, both ways: what people type to SI, and SI to what the household reads.

Definitions: 1 US gallon = 3.785411784 L, 1 inch = 25.4 mm, 1 foot = 304.8 mm (NIST Handbook 44, appendix C).
"""

from __future__ import annotations

import math
import re
from typing import Literal

from gwlog.errors import BadInput
from gwlog.values import dataclass

LITRES_PER_GALLON = 3.785411784
KG_PER_POUND = 0.45359237
LITRES_PER_CCF = 2831.6846592   # a hundred cubic feet
MM_PER_INCH = 25.4
MM_PER_FOOT = 304.8
M2_PER_FT2 = 0.09290304

System = Literal["us", "metric"]
Dimension = Literal["volume", "length", "area", "rain", "temperature", "flow", "minutes"]

# unit word -> factor to the unit of its dimension inside (L, mm, m2, L/min, min)
_VOLUME = {
    "l": 1.0, "litre": 1.0, "litres": 1.0, "liter": 1.0, "liters": 1.0, "ml": 0.001,
    "gal": LITRES_PER_GALLON, "gallon": LITRES_PER_GALLON, "gallons": LITRES_PER_GALLON, "m3": 1000.0,
}
_LENGTH = {
    "mm": 1.0, "cm": 10.0, "m": 1000.0, "in": MM_PER_INCH, "inch": MM_PER_INCH, "inches": MM_PER_INCH,
    '"': MM_PER_INCH, "ft": MM_PER_FOOT, "foot": MM_PER_FOOT, "feet": MM_PER_FOOT, "'": MM_PER_FOOT,
}
_AREA = {
    "m2": 1.0, "m²": 1.0, "sqm": 1.0, "ft2": M2_PER_FT2, "ft²": M2_PER_FT2,
    "sqft": M2_PER_FT2, "sq ft": M2_PER_FT2,
}
_TIME = {"min": 1.0, "minute": 1.0, "minutes": 1.0, "h": 60.0, "hour": 60.0, "hours": 60.0}
_FLOW = {f"{volume}/{time}": litres / minutes for volume, litres in _VOLUME.items()
         for time, minutes in _TIME.items()} | {"gpm": LITRES_PER_GALLON, "gph": LITRES_PER_GALLON / 60.0}
_WORDS: dict[str, dict[str, float]] = {"volume": _VOLUME, "length": _LENGTH, "rain": _LENGTH, "area": _AREA,
                                       "flow": _FLOW, "minutes": _TIME}
_DEFAULT: dict[tuple[str, str], str] = {
    ("volume", "us"): "gal", ("volume", "metric"): "L",
    ("length", "us"): "in", ("length", "metric"): "mm",
    ("rain", "us"): "in", ("rain", "metric"): "mm",
    ("area", "us"): "ft2", ("area", "metric"): "m2",
    ("temperature", "us"): "F", ("temperature", "metric"): "C",
    ("flow", "us"): "gal/min", ("flow", "metric"): "L/min",
    ("minutes", "us"): "min", ("minutes", "metric"): "min",
}
_EXAMPLE = {
    "volume": "20gal or 75 L", "length": "3in or 75 mm", "rain": "0.5in or 12 mm", "area": "20ft2 or 1.9 m2",
    "temperature": "68F or 20C", "flow": "2 gal/min or 6 L/min", "minutes": "20 or 1.5 h",
}
_PER = re.compile(r"\s*(?:/|\bper\b)\s*")
SHAPE = re.compile(
    r"([-+]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:e[-+]?\d+)?|[-+]?(?:nan|inf(?:inity)?))\s*(.*)", re.IGNORECASE,
)
_THOUSANDS = re.compile(r"[-+]?[1-9]\d{0,2},\d{3}")


def quantity(typed: str, dimension: Dimension, system: System, *, what: str = "amount",
             low: float = 0.0, high: float = math.inf, low_included: bool = False) -> float:
    """Read a typed quantity. A bare number is in the household's unit; a unit is always understood.

    Returns litres, millimetres, square metres, degrees Celsius, litres a minute or minutes. Raises BadInput
    naming the value and the accepted range (`low`..`high`, in those SI units; `low` itself only when `low_included`).
    """
    match = SHAPE.fullmatch(typed.strip())
    default = _DEFAULT[dimension, system]
    if match is None:
        said = f"“{typed[:40]}” cannot be read" if typed.strip() else "is missing"
        raise BadInput(f"The {what} {said}; write it like {_EXAMPLE[dimension]}.")
    if _THOUSANDS.fullmatch(match[1]):
        # 1,500 is a thousand and a half in one country and one and a half in another: ask, never guess.
        raise BadInput(f"The {what} “{typed[:40]}” could be {match[1].replace(',', '')} or "
                       f"{match[1].replace(',', '.')}; write it without the comma.")
    number = float(match[1].replace(",", "."))
    unit = _PER.sub("/", match[2].casefold()) or default.casefold()
    if dimension == "temperature":
        si = _celsius(number, unit, typed)
    else:
        factor = _WORDS[dimension].get(unit)
        if factor is None:
            raise BadInput(f"“{match[2][:20]}” is not a unit for the {what}; "
                           f"write it like {_EXAMPLE[dimension]}.")
        si = number * factor
    if not math.isfinite(si):
        raise BadInput(f"“{typed[:40]}” is not a number that can be used for the {what}.")
    if si < low or (si == low and not low_included) or si > high:
        raise BadInput(f"The {what} “{typed.strip()[:40]}” is out of range; "
                       f"{_span(low, high, dimension, system, low_included)} is accepted.")
    return si


def _celsius(number: float, unit: str, typed: str) -> float:
    name = unit.removeprefix("°").removeprefix("deg")
    if name in ("f", "fahrenheit"):
        return (number - 32.0) / 1.8
    if name in ("c", "celsius"):
        return number
    raise BadInput(f"“{typed[:40]}” is not a temperature I can read; "
                   f"write it like {_EXAMPLE['temperature']}.")


def _span(low: float, high: float, dimension: Dimension, system: System, low_included: bool) -> str:
    first = ("from " if low_included else "more than ") + show(low, dimension, system)
    return first if high == math.inf else f"{first} up to {show(high, dimension, system)}"


def to_household(si: float, dimension: Dimension, system: System) -> float:
    """Convert a value (L, mm, m2, degC, L/min, min) to the household's unit."""
    if system == "metric" or dimension == "minutes":
        return si
    if dimension in ("volume", "flow"):
        return si / LITRES_PER_GALLON
    if dimension == "area":
        return si / M2_PER_FT2
    if dimension == "temperature":
        return si * 1.8 + 32.0
    return si / MM_PER_INCH


def unit_word(dimension: Dimension, system: System) -> str:
    """The household's unit for a dimension, as it is printed."""
    word = _DEFAULT[dimension, system].replace("2", "²")
    return f"°{word}" if dimension == "temperature" else word


def show(si: float, dimension: Dimension, system: System) -> str:
    """An SI value as the household reads it: “18 gal”, “2.5 in”, “68 L”."""
    value = to_household(si, dimension, system)
    digits = _digits(dimension, system, abs(value))
    rounded = round(value, digits) + 0.0
    return f"{rounded:,.{digits}f} {unit_word(dimension, system)}"


def distance(mm: float, system: System) -> str:
    """A distance on the lot as the household reads it: “1.5 ft”, “0.46 m”."""
    value, unit = (mm / MM_PER_FOOT, "ft") if system == "us" else (mm / 1000.0, "m")
    return f"{round(value, 2):g} {unit}" if value < 1000 else f"{value:,.0f} {unit}"


def _digits(dimension: Dimension, system: System, size: float) -> int:
    if dimension in ("length", "rain") and system == "us":
        return 1 if dimension == "length" else 2
    if dimension == "rain":
        return 1
    if dimension == "area":
        return 1 if system == "metric" or size < 10 else 0
    if dimension in ("volume", "flow"):
        return 1 if size < 10 and round(size, 1) != round(size) else 0
    return 0


@dataclass(frozen=True, slots=True)
class Reader:
    """Shows and reads quantities in one household's system of units."""

    system: System = "us"

    def volume(self, litres: float) -> str:
        """“18 gal” or “68 L”."""
        return show(litres, "volume", self.system)

    def length(self, mm: float) -> str:
        """“2.5 in” or “64 mm”."""
        return show(mm, "length", self.system)

    def rain(self, mm: float) -> str:
        """“0.50 in” or “12.7 mm”."""
        return show(mm, "rain", self.system)

    def area(self, m2: float) -> str:
        """“20 ft²” or “1.9 m²”."""
        return show(m2, "area", self.system)
