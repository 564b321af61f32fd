"""The published figures as people read them: each value in words, with its source, the edition and how sure it is.

One block per name of a table (a plant, a soil, a code), found by any words over all tables.
"""

from __future__ import annotations

import calendar
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from gwlog import text
from gwlog.reference.listing import TABLES, Row, table
from gwlog.units import LITRES_PER_GALLON, MM_PER_FOOT, MM_PER_INCH, System

NAMES = tuple(TABLES)
ABOUT = {
    "soils": "what the code's six soils take",
    "textures": "how much water soils hold for plants",
    "plants": "how much plants use, how deep they root, what salt and boron they bear",
    "seasons": "how much plants use through the year, from bud to leaf fall",
    "classes": "plant factors for whole classes of plants",
    "climate": "reference evapotranspiration (ETo) in California's 18 zones",
    "chemistry": "salt, sodium and boron in the water",
    "codes": "limits and editions of the code profiles; check your local code",
    "conditions": "what each code profile asks for, and what can show it",
    "setbacks": "how far from walls, wells and neighbors; check your local code",
    "laundry": "what washing machines use",
    "upkeep": "what is to be done how often, and why",
    "places": "what a household's place and climate are guessed from, and under which licence",
    "cautions": "what always holds",
}
SURE = {
    "read": "read in the document",
    "copy": "read in a copy, or on an official page that restates it",
    "household": "stated by the household",
    "memory": "from memory, in agreement with other sources",
    "assumption": "an assumption made here",
    "common practice": "common practice, without a document",
}
_OTHER: dict[System, dict[str, tuple[str, float]]] = {
    "metric": {
        "in": ("mm", MM_PER_INCH), "ft": ("m", MM_PER_FOOT / 1000), "gal": ("L", LITRES_PER_GALLON),
        "gal/day": ("L/day", LITRES_PER_GALLON),
        "gal/ft²/day": ("L/m²/day", LITRES_PER_GALLON / (MM_PER_FOOT / 1000) ** 2),
    },
    "us": {"mm": ("in", 1 / MM_PER_INCH), "m": ("ft", 1000 / MM_PER_FOOT)},
}
_MONTHS = tuple(calendar.month_abbr)


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure in words. `value` with its unit; `own`: the same in the household's units; `more`: further lines."""

    what: str
    value: str
    own: str
    source: str
    sure: str
    more: tuple[str, ...]
    found_by: str


@dataclass(frozen=True, slots=True)
class Block:
    """All figures of one name in one table. `place`: where a code profile holds, else empty."""

    table: str
    name: str
    place: str
    figures: tuple[Figure, ...]

    @property
    def heading(self) -> str:
        return f"{self.name} ({self.place})" if self.place else self.name


def blocks(system: System) -> tuple[Block, ...]:
    """Every table's names with their figures, in the tables' order."""
    from gwlog.reference.codes import PROFILES

    made = []
    for each in TABLES:
        rows: dict[str, list[Row]] = {}
        for row in table(each):
            rows.setdefault(str(row["name"]), []).append(row)
        for name, own in rows.items():
            place = PROFILES[name].place if name in PROFILES else ""
            made.append(Block(each, name, place, tuple(_figure(each, place, row, system) for row in own)))
    return tuple(made)


def found(every: Iterable[Block], words: str) -> list[Block]:
    """The blocks in which figures hold all the words, with those figures only."""
    wanted = text.one_line(words).casefold().split()
    kept = []
    for block in every:
        hits = tuple(one for one in block.figures if all(word in one.found_by for word in wanted))
        if hits:
            kept.append(Block(block.table, block.name, block.place, hits))
    return kept


def _figure(where: str, place: str, row: Row, system: System) -> Figure:
    what, unit, value = str(row["what"]), str(row["unit"]), row["value"]
    more = []
    of_months = what == "months of use" and isinstance(value, list)
    words = _months(value) if of_months else f"{_words(value)} {unit}".rstrip()
    if what.endswith("."):
        # A task of upkeep: its reason stands where other rows say what the figure is.
        what, words, more = "how often", f"every {words}", [what]
    months = row.get("months")
    if isinstance(months, list) and months:
        words += f", in {_months(months)}"
    if row.get("kind_is"):
        more.append(f"{row['kind']}: {row['kind_is']}")
    if row.get("mind"):
        more.append(str(row["mind"]))
    if row.get("evidence_is"):
        more.append(f"can be shown by: {row['evidence_is']}")
    source = str(row["source"]) + (f", {row['edition']}" if row["edition"] else "")
    sure = SURE.get(str(row["sure"]), str(row["sure"]))
    searched = " ".join((where, str(row["name"]), place, what, words, source, sure, *more)).casefold()
    return Figure(what, words, _own(value, unit, system), source, sure, tuple(more), searched)


def _own(value: object, unit: str, system: System) -> str:
    other = _OTHER[system].get(unit)
    if other is None:
        return ""
    word, factor = other
    figures = [float(f"{one * factor:.3g}") for one in (value if isinstance(value, list) else [value])
            if isinstance(one, (int, float))]
    if not figures:
        return ""
    return f"{_words(figures if isinstance(value, list) else figures[0])} {word}"


def _words(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return _several(value)
    return f"{value:g}" if isinstance(value, float) else str(value)


def _several(values: Sequence[object]) -> str:
    words = [_words(one) for one in values]
    if len(words) == 12:
        return ", ".join(f"{month} {one}" for month, one in zip(_MONTHS[1:], words, strict=True))
    if len(words) == 2:
        return words[0] if words[0] == words[1] else " to ".join(words)
    return ", ".join(words)


def _months(numbers: object) -> str:
    return text.listed([_MONTHS[int(number)] for number in numbers]) if isinstance(numbers, list) else ""
