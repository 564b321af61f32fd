"""A site file that is being edited in forms: its tables as plain values, written out and validated as a whole.

Forms and files go through the same reader; a fault is given by table and key instead of by line.
"""

from __future__ import annotations

import copy
import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from gwlog.errors import SeveralFaults
from gwlog.setup.faults import short
from gwlog.setup.keys import tables
from gwlog.setup.read import SiteFile, read_site_file
from gwlog.setup.show import quoted

Table = dict[str, Any]
Draft = dict[str, list[Table]]
"""Kind of table (“site”, “basin” ...) -> its tables, as tomllib reads them; “site” holds at most one."""

REFERENCES: dict[str, tuple[tuple[str, str], ...]] = {
    "washer": (("usual_load", "washer"),),
    "basin": (("outlet", "reaches"), ("outlet", "at")),
    "product": (("usual_load", "products"),),
    "usual_load": (("planned_load", "load"),),
}
"""Kind -> the tables and keys that name one of its kind."""

_LINE = re.compile(r"line (\d+): (.*)", re.DOTALL)


@dataclass(frozen=True, slots=True)
class Wrong:
    """One fault: the table it is in (kind, number from 0), its key where it has one, what is wrong in words."""

    kind: str
    number: int
    key: str | None
    words: str


@dataclass(frozen=True, slots=True)
class Judged:
    """The result of reading a draft: a site file without faults, or the faults."""

    site_file: SiteFile | None
    wrong: tuple[Wrong, ...]


def empty() -> Draft:
    """A draft in which nothing is described."""
    return {kind: [] for kind in tables()}


def of_text(text: str) -> Draft:
    """The tables of a site file's text. Raises ValueError when it is not one."""
    data = tomllib.loads(text)
    made = empty()
    for kind, content in data.items():
        listing = content if isinstance(content, list) else [content]
        if kind not in made or not all(isinstance(table, dict) for table in listing):
            raise ValueError(kind)
        made[kind] = listing
    return made


def text_of(draft: Draft) -> str:
    """The draft as the text of a site file."""
    return "\n".join(line for line, *_ in _rows(draft)) + "\n"


def judge(draft: Draft, now: datetime) -> Judged:
    """Read the draft as a site file."""
    rows = list(_rows(draft))
    try:
        return Judged(read_site_file(text_of(draft), now=now), ())
    except SeveralFaults as faults:
        return Judged(None, tuple(_wrong(fault, rows) for fault in faults.faults))


def renamed(draft: Draft, kind: str, old: str, new: str | None) -> Draft:
    """A copy in which everything that names a thing of that kind names it `new`, or no longer with None."""
    made = copy.deepcopy(draft)
    for other, key in REFERENCES.get(kind, ()):
        for table in made[other]:
            value = table.get(key)
            if isinstance(value, list):
                table[key] = [new if name == old else name for name in value if new is not None or name != old]
            elif value == old and new is not None:
                table[key] = new
            elif value == old and key == "at":
                del table[key]
    return made


def names(draft: Draft, kind: str) -> list[str]:
    """The names of the things of one kind."""
    return [str(table["name"]) for table in draft[kind] if table.get("name")]


def in_words(sentence: str) -> str:
    """A sentence about a site file without the spelling of its keys, for people who never see the file."""
    return sentence.replace("monthly_rain_in or monthly_rain_mm", "monthly rain").replace(
        "monthly_tmean_c or monthly_tmean_f", "mean temperatures").replace("[[", "").replace("]]", "")


_Row = tuple[str, str, int, str | None, str]


def _rows(draft: Draft) -> Iterator[_Row]:
    """Each line with the table that it belongs to, its key and the value as it is written."""
    for kind, known in tables().items():
        for number, table in enumerate(draft.get(kind, [])):
            yield known.heading, kind, number, None, ""
            for key, value in table.items():
                written = _value(value)
                yield f"{key} = {written}", kind, number, key, written


def _value(value: object) -> str:
    if isinstance(value, str):
        return quoted(value)
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, (int, float)):
        return repr(value)
    if isinstance(value, (datetime, date)):
        return value.isoformat()
    if isinstance(value, Mapping):
        return f"{{ {', '.join(f'{key} = {_value(inner)}' for key, inner in value.items())} }}"
    if isinstance(value, (list, tuple)):
        return f"[{', '.join(_value(inner) for inner in value)}]"
    raise TypeError(type(value))


def _wrong(fault: str, rows: list[_Row]) -> Wrong:
    """A fault of the reader without line, key and value, which the form shows already."""
    match = _LINE.fullmatch(fault)
    if match is None or not 1 <= int(match[1]) <= len(rows):
        return Wrong("site", 0, None, fault)
    _, kind, number, key, written = rows[int(match[1]) - 1]
    words = match[2]
    if key is not None:
        words = words.removeprefix(f"{short(key)} = {short(written)} — ")
    # within an inline table, and where a key is missing, the reader names the table itself
    label, dash, rest = words.partition(" — ")
    words = rest if dash and re.fullmatch(r"\[{0,2}[a-z_]+(?: = .*)?\]{0,2}", label, re.DOTALL) else words
    return Wrong(kind, number, key, in_words(words))
