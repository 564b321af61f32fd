"""Puts the drafts of a change of the setup into words, one line for each.

Quantities are in the units in force after the change.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from gwlog.journal.facts import Basin, Fact, OutletMove, PlannedLoad, Product, Site, UsualLoad, Washer
from gwlog.reference.as_built import STATED, stated
from gwlog.reference.codes.local_rules import rules_of
from gwlog.setup.compare import differing, in_force_by_name, is_active, name_of
from gwlog.setup.show import degrees, exact
from gwlog.state import State
from gwlog.text import listed
from gwlog.units import LITRES_PER_GALLON, M2_PER_FT2, MM_PER_FOOT, MM_PER_INCH, System, distance
from gwlog.water.report import report_words

_UNITS: dict[str, dict[System, tuple[str, float]]] = {
    "_cm2": {"us": ("ft²", M2_PER_FT2 * 1e4), "metric": ("m²", 1e4)},
    "_ml": {"us": ("gal", LITRES_PER_GALLON * 1000), "metric": ("L", 1000.0)},
    "_mm": {"us": ("in", MM_PER_INCH), "metric": ("mm", 1.0)},
    "_um": {"us": ("in", MM_PER_INCH * 1000), "metric": ("mm", 1000.0)},
    "_mg": {"us": ("g", 1000.0), "metric": ("g", 1000.0)},
    "_price_milli": {"us": ("per 1000 gal", 1000 / LITRES_PER_GALLON), "metric": ("per m³", 1000.0)},
    "_milli": {"us": ("", 1000.0), "metric": ("", 1000.0)},
    "_udeg": {"us": ("°", 1e6), "metric": ("°", 1e6)},
}
_PLACE: dict[System, tuple[str, float]] = {"us": ("ft", MM_PER_FOOT), "metric": ("m", 1000.0)}
_WORDS = {
    "product_kind": "kind", "machine": "kind", "zone": "time zone", "start_deficit_ml": "water missing at the start",
    "rain": "days without logged rain", "monthly_tmean_mdegc": "monthly mean temperature",
    "eto_zone": "ETo zone", "monthly_eto_um": "monthly ETo", "monthly_rain_um": "monthly rain", "depletion_milli":
    "depletion fraction", "at_x_mm": "place, x", "at_y_mm": "place, y", "basin": "is at", "sodium_mg":
    "sodium per load", "dose_mg": "one dose", "water_price_milli": "water price",
    "code_edition": "edition of the code profile", "system_answers": "the system itself",
    "local_rules": "rules of the place", "as_built": "as built",
}


def describe(changes: Sequence[Fact], state: State) -> list[str]:
    """One line for each draft of `changes`, against `state`, in the units in force after them."""
    site = next((fact for fact in changes if isinstance(fact, Site)), state.site)
    system: System = "metric" if site is not None and site.units == "metric" else "us"
    return [_line(fact, state, system) for fact in changes]


def _line(fact: Fact, state: State, system: System) -> str:
    if isinstance(fact, OutletMove):
        return f"outlet “{fact.outlet}”: moved to “{fact.basin}”, its basin is no longer in its reach"
    kind = fact.KIND.replace("_", " ")
    title = f"{kind} “{name_of(fact)}”"
    old = state.site if isinstance(fact, Site) else in_force_by_name(state, type(fact)).get(name_of(fact))
    if not is_active(fact):
        return f"{title}: retired"
    if old is None:
        gist = _gist(fact, system)
        return f"{title}: new{', ' if gist else ''}{gist}"
    old, fact = _only_what_differs(old, fact)
    parts = [
        f"{_word(name)} {_value(name, getattr(old, name), system)} → {_value(name, getattr(fact, name), system)}"
        for name in differing(old, fact) if name != "active"
    ]
    back = ["in use again"] if not is_active(old) else []
    return f"{title}: {'; '.join([*back, *parts])}"


def _only_what_differs(old: Fact, new: Fact) -> tuple[Fact, Fact]:
    """Two sites without the lines on how they were built that both have: those would hide the others."""
    if not (isinstance(old, Site) and isinstance(new, Site)) or old.as_built is None or new.as_built is None:
        return old, new
    both = frozenset(old.as_built) & frozenset(new.as_built)
    return tuple(replace(site, as_built=tuple(line for line in site.as_built or () if line not in both))
                 for site in (old, new))  # type: ignore[return-value]


def _gist(fact: Fact, system: System) -> str:
    """The fields by which a new thing is told from another of its kind, in words."""
    if isinstance(fact, Basin):
        names = ["area_cm2", "mulch_mm", "soil", "plants"]
    elif isinstance(fact, Washer):
        names = ["machine", "volume_ml"]
    elif isinstance(fact, Product):
        names = ["product_kind", "form"]
    elif isinstance(fact, UsualLoad):
        names = ["products", "contents"]
    elif isinstance(fact, PlannedLoad):
        names = ["load", "starts", "every"]
    else:
        names = [name for name in ("code", "basin", "every") if hasattr(fact, name)]
    given = [(name, getattr(fact, name)) for name in names if getattr(fact, name) not in (None, ())]
    return ", ".join(f"{_word(name)} {_value(name, value, system)}" for name, value in given)


def built_words(lines: Sequence[str], system: System) -> list[str]:
    """Lines on how the system was built in words: “valve “behind the machine””, “property line 4 ft”."""
    found = []
    for name, value in stated(lines).items():
        said = distance(value, system) if isinstance(value, int) else \
            value.isoformat() if isinstance(value, date) else f"“{value}”"
        found.append(f"{STATED[name].key.replace('_', ' ')} {said}")
    return found


def _word(name: str) -> str:
    if name in _WORDS:
        return _WORDS[name]
    for ending in _UNITS:
        name = name.removesuffix(ending)
    return name.replace("_", " ")


def _value(name: str, value: object, system: System) -> str:
    if value is None:
        return "not set"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, int):
        return _amount(name, value, system)
    if name == "local_rules" and isinstance(value, tuple):
        return listed([f"“{rule.name}”" for rule in rules_of(value)])
    if name == "as_built" and isinstance(value, tuple):
        return "; ".join(built_words(value, system)) or "none"
    if name == "tap_water" and isinstance(value, tuple):
        return listed(report_words(value)) or "none"
    if isinstance(value, tuple):
        whole = all(isinstance(item, int) for item in value)
        words = [_amount(name, item, system) if isinstance(item, int) else f"“{item}”" for item in value]
        return (", ".join(words) if whole else listed(words)) or "none"
    return f"“{value}”"


def _amount(name: str, small: int, system: System) -> str:
    if name.endswith("_mdegc"):
        return f"{degrees(small, 'f' if system == 'us' else 'c')} °{'F' if system == 'us' else 'C'}"
    for ending, units in _UNITS.items():
        if name.endswith(ending):
            unit, per_one = _PLACE[system] if name.startswith("at_") else units[system]
            space = "" if unit in ("", "°") else " "
            return f"{exact(small, per_one)}{space}{unit}"
    return str(small)
