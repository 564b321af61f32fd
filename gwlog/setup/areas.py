"""An area as people measure it: length by width, across a circle, or as square feet or metres."""

from __future__ import annotations

import math
import re

from gwlog.errors import BadInput
from gwlog.units import SHAPE, Reader, System, quantity

EXAMPLES = {"us": "“3x4 ft”, “12 square feet” or “6 ft across”", "metric": "“1x1.5 m”, “1.5 m2” or “2 m across”"}
_SIDES = {"us": "ft", "metric": "m"}
_TIMES = re.compile(r"(?<=[\d\s.a-z'\"])(?:x|×|\*|\bby\b)(?=[\s\d.,])")
_ACROSS = re.compile(r"\b(?:across|in diameter|diameter|round|circle|circular|wide circle)\b|⌀|ø")
_RADIUS = re.compile(r"\bradius\b")
_SQUARE = (("square feet", "ft2"), ("square foot", "ft2"), ("square metres", "m2"), ("square meters", "m2"),
           ("square metre", "m2"), ("square meter", "m2"), ("sq. ft.", "ft2"), ("sq. ft", "ft2"), ("sq m", "m2"))
_LENGTH_UNIT = re.compile(r"(?<![a-z])(mm|cm|m|metres?|meters?|in|inch|inches|ft|foot|feet|\"|')$")
_ALSO = {"metre": "m", "metres": "m", "meter": "m", "meters": "m"}


def area_m2(typed: str, system: System, *, what: str = "area", low: float = 0.0, high: float = math.inf) -> float:
    """Read an area [m2]; bare numbers of sides are in feet or metres, a bare number alone in the household's unit.

    Raises BadInput naming the value and what is accepted (`low`..`high`, 0 never).
    """
    words = " ".join(typed.casefold().replace("′", "'").replace("″", '"').split())
    for long, short in _SQUARE:
        words = words.replace(long, short)
    if not words:
        raise BadInput(f"The {what} is missing; write it like {EXAMPLES[system]}.")
    sides = [part.strip() for part in _TIMES.split(words)]
    around = _ACROSS.search(words) or _RADIUS.search(words)
    if len(sides) == 2 and not around:
        metres = _sides(sides, typed, system, what)
        found = metres[0] * metres[1]
    elif around and len(sides) == 1:
        bare = re.sub(r"\ba\b", " ", _RADIUS.sub(" ", _ACROSS.sub(" ", words))).strip(" ,")
        across = _sides([bare], typed, system, what)[0] * (2 if _RADIUS.search(words) else 1)
        found = math.pi * across ** 2 / 4
    else:
        found = quantity(words, "area", system, what=what, low_included=True)
    if not found > 0:
        raise BadInput(f"The {what} “{typed.strip()[:40]}” is 0; write it like {EXAMPLES[system]}.")
    if not low - 1e-9 <= found <= high + 1e-9:
        read = Reader(system)
        raise BadInput(f"The {what} “{typed.strip()[:40]}” is out of range; use {read.area(low)} to "
                       f"{read.area(high)}.")
    return found


def _sides(sides: list[str], typed: str, system: System, what: str) -> list[float]:
    """Lengths [m]; one without a unit has that of the other, else the household's."""
    units = [_ALSO.get(found[1], found[1]) if (found := _LENGTH_UNIT.search(side)) else "" for side in sides]
    usual = next((unit for unit in reversed(units) if unit), _SIDES[system])
    metres = []
    for side, unit in zip(sides, units, strict=True):
        number = _LENGTH_UNIT.sub("", side).strip()
        match = SHAPE.fullmatch(number)
        if match is None or match[2]:
            raise BadInput(f"The {what} “{typed.strip()[:40]}” cannot be read; write it like {EXAMPLES[system]}.")
        metres.append(quantity(f"{number} {unit or usual}", "length", system, what=f"{what}'s side",
                               low_included=True) / 1000)
    return metres
