"""The units of weather: what a unit's words mean, what a figure can be at all, and what a whole column can be in.

A unit is never guessed from single rows: a reading stands only while every figure of the file fits it.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable
from dataclasses import dataclass

from gwlog import text
from gwlog.decisions.entry_limits import MAX_RAIN_MM
from gwlog.errors import BadInput

COLDEST_C, HOTTEST_C = -90.0, 60.0
"""The range of a day's temperatures [degC]: the records are -89.2 and 56.7 (World Meteorological Organization)."""
HOTTEST_LOW_C = 45.0
"""The warmest that a day's lowest temperature is taken for [degC]; the record is 42.6 (Qurayyat, Oman, 2018)."""


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit: `per`: one of it in mm (rain) or degrees (temperature), `zero`: its zero in degC, `whole` numbers only.

    `system`: the word of --units that it belongs to.
    """

    name: str
    rain: bool
    per: float
    zero: float = 0.0
    whole: bool = False
    system: str = ""

    def value(self, number: float) -> float:
        """A figure in mm or degC."""
        return number * self.per + self.zero if self.rain or self.name not in ("°F",) else (number - 32.0) / 1.8

    def holds(self, what: str, number: float) -> bool:
        """Whether a figure can be in this unit at all."""
        if self.whole and number != int(number):
            return False
        value = self.value(number)
        if self.rain:
            return 0.0 <= value <= MAX_RAIN_MM
        return COLDEST_C <= value <= (HOTTEST_LOW_C if what == "low" else HOTTEST_C)


MM = Unit("mm", True, 1.0, system="metric")
CM = Unit("cm", True, 10.0, system="metric")
IN = Unit("inches", True, 25.4, system="us")
TENTHS_MM = Unit("tenths of mm", True, 0.1, whole=True, system="tenths")
HUNDREDTHS_IN = Unit("hundredths of an inch", True, 0.254, whole=True, system="us")
C = Unit("°C", False, 1.0, system="metric")
F = Unit("°F", False, 1 / 1.8, system="us")
K = Unit("K", False, 1.0, -273.15, system="kelvin")
TENTHS_C = Unit("tenths of °C", False, 0.1, whole=True, system="tenths")

RAIN, TEMPERATURE = (IN, MM, TENTHS_MM), (F, C, TENTHS_C, K)
SYSTEMS: dict[str, tuple[Unit, Unit]] = {"us": (IN, F), "metric": (MM, C), "tenths": (TENTHS_MM, TENTHS_C)}
_DAY = r"(?:\s*(?:/|per)\s*(?:day|d))?"
_WORDS: tuple[tuple[str, Unit], ...] = tuple((rf"(?:{words}){_DAY}", unit) for words, unit in (
    (r"mm|millimet(?:er|re)s?|l/m2|l/m²|kg/m2|kg/m²", MM), (r"cm|centimet(?:er|re)s?", CM), (r"in|inch|inches|\"", IN),
    (r"(?:0?\.1|1/10|tenths?(?: of)?(?: an?)?) ?(?:mm|millimet(?:er|re)s?)", TENTHS_MM),
    (r"(?:0?\.01|1/100|hundredths?(?: of)?(?: an?)?) ?(?:in|inch|inches)", HUNDREDTHS_IN),
    (r"(?:deg|degs|degree|degrees)? ?°? ?(?:c|celsius|centigrade)|℃", C),
    (r"(?:deg|degs|degree|degrees)? ?°? ?(?:f|fahrenheit)|℉", F),
    (r"(?:deg|degree|degrees)? ?(?:k|kelvin)", K),
    (r"(?:0?\.1|1/10|tenths?(?: of)?(?: an?)?) ?(?:deg|degree|degrees)? ?°? ?(?:c|celsius)", TENTHS_C)))
_SIZE = re.compile(r"(\d{1,3}(?:[.,]\d{1,4})?|[.,]\d{1,4})\s*(mm|in|inch)")
ACCEPTED = "us (inches, °F), metric (mm, °C), tenths (of mm, of °C), units like mm,f, or what one tip holds, like 0.2mm"


def unit_of(words: str) -> Unit | None:
    """The unit that words mean in full, like “degrees F”, “mm/day” or “0.1 mm”; None when they mean none."""
    folded = " ".join(words.casefold().replace("_", " ").split())
    for pattern, unit in _WORDS:
        if re.fullmatch(pattern, folded):
            return unit
    return None


@dataclass(frozen=True, slots=True)
class Said:
    """What --units says: of rain, of temperatures, of one tip of a gauge."""

    words: str = ""
    rain: Unit | None = None
    temperature: Unit | None = None
    tip: Unit | None = None


def said_units(words: str | None) -> Said:
    """Read --units. Raises BadInput naming what is accepted."""
    if words is None or not words.strip():
        return Said()
    folded = words.strip().casefold()
    if folded in SYSTEMS:
        rain, temperature = SYSTEMS[folded]
        tip = {"us": _tip(0.01, "in"), "metric": _tip(0.2, "mm")}.get(folded)
        return Said(folded, rain, temperature, tip)
    size = _SIZE.fullmatch(folded)
    if size is not None:
        one = _tip(float(size[1].replace(",", ".")), size[2])
        if one.per > 0:
            return Said(folded, one, None, one)
    units = [unit_of(part) for part in re.split(r"[,;+]", folded)]
    rain_units = [unit for unit in units if unit is not None and unit.rain]
    others = [unit for unit in units if unit is not None and not unit.rain]
    if None in units or len(rain_units) > 1 or len(others) > 1:
        raise BadInput(f"“{text.one_line(words)[:40]}” is not a unit of weather; use {ACCEPTED}.")
    return Said(folded, rain_units[0] if rain_units else None, others[0] if others else None)


def _tip(size: float, unit: str) -> Unit:
    return Unit(f"{size:g} {'in' if unit != 'mm' else 'mm'}", True, size * (1.0 if unit == "mm" else 25.4),
                system="metric" if unit == "mm" else "us")


def fitting(figures: Iterable[tuple[str, float]], candidates: Collection[Unit]) -> list[Unit]:
    """The units that every figure (what it is, its number) fits; figures that fit none of them say nothing."""
    left = list(candidates)
    for what, number in figures:
        fit = [unit for unit in candidates if unit.holds(what, number)]
        if fit:
            left = [unit for unit in left if unit in fit]
    return left


def same_values(figures: Iterable[tuple[str, float]], units: Collection[Unit]) -> bool:
    """Whether the figures mean the same in every one of the units, as a dry month does."""
    return all(max(values) - min(values) < 0.0005 for _, number in figures
               if (values := [unit.value(number) for unit in units]))
