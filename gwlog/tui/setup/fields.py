"""Between a site file's tables and what people type: each key as a field with its label, both ways.

What a value may be is the site file's own table of keys; here are only words and units.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from functools import lru_cache
from typing import Any

from gwlog import clock, text, units
from gwlog.app.forms.model import Option, Value
from gwlog.errors import BadInput
from gwlog.journal.facts import RAIN_AS_LOGGED, RAIN_NORMALS
from gwlog.setup.areas import area_m2
from gwlog.setup.draft import Draft, Table, names
from gwlog.setup.keys import CLIMATE, SUFFIXES, Key, tables, tap_water_table
from gwlog.setup.show import exact
from gwlog.units import System
from gwlog.water.report import ABSENT, amount, read_amount

UNIT = {"us": {"length": "in", "area": "ft2", "volume": "gal", "monthly": "in", "means": "f", "position": "ft",
               "price": "per_1000_gal", "distance": "ft"},
        "metric": {"length": "mm", "area": "m2", "volume": "l", "monthly": "mm", "means": "c", "position": "m",
                   "price": "per_m3", "distance": "m"}}
_SMALL: dict[str, float] = {"length": 1.0, "area": 1e4, "volume": 1000.0}
PRICES = "5 per 1000 gal, 4 per ccf (100 cubic feet) or 1.30 per m3"
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
OFFERS = {("usual_load", "washer"): "washer", ("usual_load", "products"): "product", ("outlet", "reaches"): "basin",
          ("outlet", "at"): "basin", ("planned_load", "load"): "usual_load"}
"""Keys that name things described elsewhere in the file -> their kind."""


@dataclass(frozen=True, slots=True)
class FieldFault:
    """What is wrong with a page, in words, and the id of the field that it is about; empty where it is none."""

    field: str
    words: str


@dataclass(frozen=True, slots=True)
class SetupField:
    """One field: its id, the table and key that it fills, label and hint."""

    id: str
    kind: str
    key: Key
    label: str
    hint: str = ""

    @property
    def several(self) -> bool:
        return self.key.kind in ("names", "choices")

    def options(self, draft: Draft) -> list[Option] | None:
        """What can be chosen; None where it is typed."""
        offered = OFFERS.get((self.kind, self.key.name)) if self.key.kind in ("name", "names") else None
        if offered is not None:
            known = [Option(name, name) for name in names(draft, offered)]
            must = self.several or self.key.required or self.kind == "outlet"
            return known if must else [Option("", self.hint or "the only one"), *known]
        if self.key.name == "eto_zone":
            return landscapes()
        if self.key.kind == "flag":
            unsaid = "no" if self.key.name == "softened_water" else \
                "not answered" if self.kind == "system" else "not checked"
            return [Option("", unsaid), Option("yes", "yes"), *([Option("no", "no")] if unsaid != "no" else [])]
        if self.key.kind in ("choice", "choices"):
            known = [Option(choice, _CHOICES.get(choice, choice)) for choice in self.key.choices]
            if self.key.name == "rain":
                known = [option for option in known if option.value != RAIN_NORMALS]
            must = self.several or self.key.required or self.kind == "outlet"
            return known if must else [Option("", self.hint or "not said"), *known]
        return None


_CHOICES = {"plants": "plants: what they use", "garden": "garden", "us": "US: gallons, inches",
            "metric": "metric: litres, mm", RAIN_AS_LOGGED: "yes: else it was dry"}


def landscapes() -> list[Option]:
    """California's reference ETo zones by the land that they cover."""
    from gwlog.reference.climate import ETO_ZONES

    return [Option("", "not chosen"), *(Option(str(zone.number), zone.name) for zone in ETO_ZONES.values())]


def field(kind: str, name: str, label: str, hint: str = "") -> SetupField:
    """The field of a key; “position” is the place in the plan view, “climate.x”, “tap_water.x” keys in the site."""
    if name.startswith("climate."):
        key = next(key for key in CLIMATE.keys if key.name == name.partition(".")[2])
        return SetupField(key.name, "climate", key, label, hint)
    if name.startswith("tap_water."):
        key = next(key for key in tap_water_table().keys if key.name == name.partition(".")[2])
        return SetupField(f"tap_{key.name}", "tap_water", key, label, hint)
    key = next(key for key in tables()[kind].keys
               if (key.kind == "position" if name == "position" else key.name == name and key.kind != "position"))
    return SetupField(name, kind, key, label, hint)


def spelling(table: Mapping[str, Any], key: Key) -> str | None:
    """The name under which the key stands in the table."""
    return next((name for name in key.spellings if name in table), None)


def typed(table: Mapping[str, Any], one: SetupField) -> Value:
    """What a field shows of a table: as a person would type it."""
    key, name = one.key, spelling(table, one.key)
    if name is None:
        return () if one.several else ""
    if table[name] == RAIN_NORMALS:
        return ""  # as where nothing is said
    if key.kind == "report":
        return amount(name, _plain(table[name]))
    value, unit = table[name], key.unit_of(name).replace("_", " ")
    if one.several:
        return tuple(str(word) for word in value)
    if key.kind == "flag":
        return "yes" if value else "no" if key.name != "softened_water" else ""
    if key.kind in ("monthly", "means", "position", "months", "days"):
        shown = f"°{unit.upper()}" if key.kind == "means" else unit
        return " ".join(_plain(number) for number in value) + (f" {shown}" if shown else "")
    if isinstance(value, datetime):
        return value.isoformat(" ", "minutes")
    shown = {"l": "L", "ft2": "ft²", "m2": "m²"}.get(unit, unit)
    return f"{_plain(value)} {shown}".rstrip()


def _plain(value: object) -> str:
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return value.isoformat() if isinstance(value, date) else str(value)


def put(table: Table, one: SetupField, value: Value, system: System, now: datetime, zone: str) -> None:
    """Write what was typed into a table; left empty, the key is left out. Raises BadInput in words of the field."""
    key = one.key
    if value == typed(table, one):
        if not value and key.required:
            raise BadInput(f"{one.label} is missing: {key.meaning}.")
        return
    for name in key.spellings:
        table.pop(name, None)
    if isinstance(value, tuple):
        if value:
            table[key.name] = list(value)
        return
    words = text.one_line(value)
    if not words:
        if key.required:
            raise BadInput(f"{one.label} is missing: {key.meaning}.")
        return
    name, found = _read(one, words, system, now, zone)
    table[name] = found


def _read(one: SetupField, words: str, system: System, now: datetime, zone: str) -> tuple[str, Any]:
    key, label = one.key, one.label.casefold()
    if key.kind == "report":
        if words.casefold() == ABSENT:
            return key.spellings[0], ABSENT
        name, number = read_amount(key.name, words)
        return name, int(number) if number.is_integer() else number
    unit = UNIT[system].get(key.kind, "")
    name = f"{key.name}_{unit}" if unit else key.name
    if key.kind in ("length", "area", "volume"):
        small = _SMALL[key.kind]
        low, high = key.low / small, key.high / small
        si = area_m2(words, system, what=label, low=low, high=high) if key.kind == "area" else units.quantity(
            words, key.kind, system, what=label, low=low, high=high, low_included=True)
        found = float(exact(round(si * small), SUFFIXES[key.kind][unit]))
        return name, int(found) if found.is_integer() else found
    if key.kind == "distance":
        # a bare number is feet or metres here, as people measure a lot
        mm = units.quantity(f"{words} {unit}" if _numbers(words) else words, "length", system, what=label,
                            low=key.low, high=key.high, low_included=True)
        found = float(exact(round(mm), SUFFIXES["distance"][unit]))
        return name, int(found) if found.is_integer() else found
    if key.kind in ("whole", "number"):
        return name, _number(words, one)
    if key.kind == "price":
        return _price(one, words, unit)
    if key.kind == "monthly":
        figures, given = twelve(words, one.label, "in" if system == "us" else "mm", ("in", "mm"))
        return f"{key.name}_{given}", figures
    if key.kind == "means":
        figures, given = twelve(words, one.label, unit.upper(), ("C", "F"))
        return f"{key.name}_{given.lower()}", figures
    if key.kind == "position":
        numbers = _numbers(words.removesuffix(unit))
        if numbers is None or len(numbers) != 2:
            raise BadInput(f"{one.label} must be two numbers in {unit}, like 12 4: to the right, and up.")
        return name, numbers
    if key.kind == "wall":
        return name, clock.local(clock.moment(words, now, zone, forward=True), zone).replace(tzinfo=None, second=0,
                                                                                          microsecond=0)
    if key.kind == "rule":
        from gwlog.app.planned_loads import read_rule

        return name, read_rule(words)
    if key.kind == "day":
        return name, clock.local_day(clock.moment(words, now, zone), zone)
    if key.kind == "days":
        return name, [clock.local_day(clock.moment(word, now, zone, forward=True), zone)
                      for word in re.split(r"[\s,;]+", words) if word]
    if key.kind == "months":
        return name, _months(words, one)
    if key.kind == "zone":
        return name, _zone(words)
    return name, words == "yes" if key.kind == "flag" else words


def _price(one: SetupField, words: str, unit: str) -> tuple[str, float | int]:
    """A price and what it is for, like “5 per 1000 gal”; a bare one is for the household's unit."""
    figure, per, given = words.replace("/", " per ").casefold().partition(" per ")
    if per:
        unit = "per_" + "_".join(given.replace("³", "3").replace(",", "").split())
    numbers = _numbers(figure)
    if unit not in SUFFIXES["price"] or numbers is None or len(numbers) != 1 or not 0 <= numbers[0] < math.inf:
        raise BadInput(f"{one.label} must be a price like {PRICES}, not “{words[:40]}”.")
    return f"{one.key.name}_{unit}", int(numbers[0]) if numbers[0].is_integer() else numbers[0]


def _number(words: str, one: SetupField) -> float | int:
    numbers = _numbers(words)
    low, high = one.key.low, one.key.high
    if numbers is None or len(numbers) != 1 or not low <= numbers[0] <= high or (
            one.key.kind == "whole" and not numbers[0].is_integer()):
        kind = "a whole number" if one.key.kind == "whole" else "a number"
        raise BadInput(f"{one.label} must be {kind} from {low:g} to {high:g}, not “{words[:40]}”.")
    return int(numbers[0]) if one.key.kind == "whole" else numbers[0]


def _numbers(words: str) -> list[float] | None:
    try:
        return [float(word.replace(",", ".")) for word in re.split(r"[\s;]+|,\s+", words.strip()) if word]
    except ValueError:
        return None


def twelve(words: str, label: str, unit: str, known: tuple[str, ...]) -> tuple[list[float], str]:
    """Twelve numbers, January first, and the unit that stands behind them or else `unit`. Raises BadInput."""
    bare = words.strip()
    for other in known:
        if bare.casefold().endswith(other.casefold()):
            bare, unit = bare[: -len(other)].rstrip(" °"), other
            break
    numbers = _numbers(bare)
    if (numbers is None or len(numbers) != 12) and bare.count(",") >= 11:
        numbers = _numbers(bare.replace(",", " "))
    if numbers is None or len(numbers) != 12:
        count = "" if numbers is None else f" (there are {len(numbers)})"
        raise BadInput(f"{label} must be twelve numbers with spaces between, January first, in {unit}{count}.")
    return numbers, unit


def _months(words: str, one: SetupField) -> list[int]:
    found = []
    for word in re.split(r"[\s,;]+", words.casefold().strip(" ,;")):
        number = int(word) if word.isdecimal() and word.isascii() else next(
            (at for at, month in enumerate(_MONTHS, 1) if len(word) > 2 and word.startswith(month)), 0)
        if not 1 <= number <= 12:
            raise BadInput(f"{one.label} must be months, like 5 6 7 or may jun jul, not “{word[:20]}”.")
        found.append(number)
    return found


@lru_cache(maxsize=1)
def _zones() -> tuple[str, ...]:
    from zoneinfo import available_timezones

    return tuple(sorted(available_timezones()))


def _zone(words: str) -> str:
    folded = words.casefold().replace(" ", "_")
    known = _zones()
    hits = [name for name in known if folded in (name.casefold(), name.casefold().rpartition("/")[2])]
    # the reader offers the nearest where there is none
    return hits[0] if hits else words
