"""Reads one table of a site file: every key into its checked value.

Unknown, doubled and missing keys become faults.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from gwlog.setup.faults import Faults, nearest
from gwlog.setup.keys import SUFFIXES, Key, Table
from gwlog.setup.line_numbers import Path
from gwlog.setup.value_readers import READERS


@dataclass
class Entry:
    """One table of the file: where it stands, its clean values, and the keys that were faulty."""

    path: Path
    values: dict[str, Any] = field(default_factory=dict)
    faulty: set[str] = field(default_factory=set)
    spelt: dict[str, str] = field(default_factory=dict)

    def at(self, key: str) -> Path:
        """The path of a key of this table, as it is spelt in the file."""
        return (*self.path, self.spelt.get(key, key))

    def get(self, key: str) -> Any:
        """The clean value, or None when it was left out or faulty."""
        return self.values.get(key)


def read_table(table: Table, data: Mapping[str, Any], path: Path, faults: Faults) -> Entry:
    """Read every key of one table; faults go to `faults`."""
    entry = Entry(path)
    spellings = table.spellings()
    for spelling, raw in data.items():
        key = spellings.get(spelling)
        if key is None:
            faults.add((*path, spelling), *_unknown(spelling, table, spellings))
            entry.faulty.update(k.name for k in table.keys if k.name == spelling)
            continue
        slot = "position" if key.kind == "position" else key.name
        if slot in entry.spelt:
            other = (*path, entry.spelt[slot])
            faults.add((*path, spelling), f"given twice, {entry.spelt[slot]} stands on line {faults.lines.of(other)}",
                       "keep one of the two")
            continue
        entry.spelt[slot] = spelling
        value = READERS[key.kind](raw, key, spelling, (*path, spelling), faults)
        if value is None:
            entry.faulty.add(slot)
        else:
            entry.values[slot] = value
    for key in table.keys:
        if key.required and key.name not in entry.spelt and key.name not in entry.faulty:
            faults.add(path, f"{key.name} is missing", f"write {_example(key)}, {key.meaning}")
            entry.faulty.add(key.name)
    return entry


def _unknown(spelling: str, table: Table, spellings: Mapping[str, Key]) -> tuple[str, str]:
    for key in table.keys:
        if spelling == key.name and (key.kind in SUFFIXES or key.kind == "report"):
            return "its unit is missing", f"write {_example(key)}"
    return f"not a key of {table.heading}", nearest(spelling, spellings)


def _example(key: Key) -> str:
    if key.choices:
        return f'{key.name} = "{key.choices[0]}"'
    if key.kind in SUFFIXES or key.kind == "report":
        return " or ".join(f"{spelling} = …" for spelling in key.spellings)
    sample = {
        "whole": "3", "number": "0.5", "zone": '"America/Los_Angeles"', "wall": "2026-03-07T09:00",
        "interval": '"12 months"', "table": "{ … }",
    }
    return f"{key.name} = {sample.get(key.kind, '“…”')}"
