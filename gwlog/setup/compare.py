"""Compares two descriptions of one thing: name, whether in use, and the fields in which they differ.

Who recorded a description, and when, does not count as a difference.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields
from datetime import datetime

from gwlog.decisions.recurrence_rule import canonical
from gwlog.journal.facts import (
    RAIN_NORMALS,
    Basin,
    Fact,
    Outlet,
    Person,
    PlannedLoad,
    Product,
    Site,
    UpkeepTask,
    UsualLoad,
    Washer,
)
from gwlog.state import State

ORDER: tuple[type[Fact], ...] = (
    Person, Washer, Basin, Product, UsualLoad, Outlet, PlannedLoad, UpkeepTask,
)
"""Kinds of named description, references first."""

_CARRIED = frozenset({"id", "happened_at", "recorded_at", "recorded_by", "note", "corrects_id", "zone"})


def in_force_by_name(state: State, kind: type[Fact]) -> Mapping[str, Fact]:
    """The descriptions of one kind, retired ones too."""
    by_kind: dict[type[Fact], Mapping[str, Fact]] = {
        Person: state.people, Washer: state.washers, Basin: state.basins, Product: state.products,
        UsualLoad: state.usual_loads, Outlet: state.outlets, PlannedLoad: state.planned_loads,
        UpkeepTask: state.upkeep_tasks,
    }
    return by_kind[kind]


def name_of(fact: Fact) -> str:
    """The name of a description."""
    return str(getattr(fact, "name", ""))


def is_active(fact: Fact) -> bool:
    """Whether a description is in use."""
    return bool(getattr(fact, "active", True))


def same(old: Fact, new: Fact) -> bool:
    """Whether two descriptions say the same, whoever wrote them and when."""
    return not differing(old, new)


def differing(old: Fact, new: Fact) -> list[str]:
    """The names of the fields in which two descriptions of one thing differ."""
    names = [part.name for part in fields(new) if part.name not in _CARRIED]
    if isinstance(new, Site):
        names.append("zone")
    return [name for name in names if _plain(name, getattr(old, name)) != _plain(name, getattr(new, name))]


def _plain(name: str, value: object) -> object:
    """A field's value without what does not matter: the order of a set, the seconds of a round minute."""
    if name in ("products", "contents", "reaches", "skips", "tap_water", "as_built") and isinstance(value, tuple):
        return frozenset(value)
    if name == "rain" and value is None:
        return RAIN_NORMALS
    if name == "every" and isinstance(value, str) and "=" in value:
        return canonical(value)
    if name == "starts" and isinstance(value, str):
        try:
            return datetime.fromisoformat(value)
        except ValueError:
            return value
    return value
