"""Reads a site file: into descriptions and warnings, or all of its faults raised together.

The text goes through tomllib, read_table, cross_checks and to_facts in this order.
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import Any

from gwlog.clock import local_day
from gwlog.errors import BadInput
from gwlog.files import read_whole
from gwlog.journal.facts import Fact
from gwlog.setup.cross_checks import Entries, check
from gwlog.setup.faults import Faults, nearest, refused, short
from gwlog.setup.keys import Table, tables
from gwlog.setup.line_numbers import Lines
from gwlog.setup.read_table import read_table

LONGEST = 200_000
"""Characters; a household's file has a few thousand."""

# TOML demands seconds in a time of day; people leave them out.
_NO_SECONDS = re.compile(r"^([ \t]*starts[ \t]*=[ \t]*\d{4}-\d\d-\d\d[Tt ]\d\d:\d\d)(?=[ \t]*(?:#.*)?$)", re.MULTILINE)
_PLACE = re.compile(r"\s*\(at (?:line (\d+), column \d+|end of document)\)$")


@dataclass(frozen=True, slots=True)
class SiteFile:
    """A faultless site file.

    `facts`: drafts (id 0), references first, in force from the start of `since` (local day in `zone`).
    `since_given`: whether the file says it. `started_given`: the basins whose `started` the file says.
    `edition_given`: whether the file says the edition of the code profile.
    `warnings`: sentences to show; nothing in them keeps the file from being used. The first `never` of them tell
    what can never work as it is described.
    """

    facts: tuple[Fact, ...]
    zone: str
    since: date
    since_given: bool
    started_given: frozenset[str]
    edition_given: bool
    warnings: tuple[str, ...]
    never: int = 0


def read_site_path(path: Path, *, now: datetime) -> SiteFile:
    """Read a site file from disk. Raises BadInput as read_site_file does, and when it cannot be read."""
    raw = read_whole(path, 1_000_000, f"a site file has up to {LONGEST:,} characters")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise BadInput(f"line {line} of {path} is not UTF-8 text; save the file as UTF-8.") from None
    return read_site_file(text, now=now)


def read_site_file(text: str, *, now: datetime) -> SiteFile:
    """Read the text of a site file (a byte-order mark and CRLF line ends are accepted).

    Raises SeveralFaults with every fault: “line N: key = value — what is wrong; what to use”.
    """
    from gwlog.setup.to_facts import facts_of
    from gwlog.setup.warnings import warnings_of

    tidy = _NO_SECONDS.sub(r"\1:00", text.removeprefix("\ufeff").replace("\r\n", "\n"))
    data = _toml(tidy)
    faults = Faults(Lines(tidy))
    entries = _entries(data, faults)
    check(entries, now, faults)
    faults.tell()
    made = facts_of(entries)
    site = entries["site"][0]
    never, others = warnings_of(made, entries, local_day(now, site.get("timezone")))
    return SiteFile(
        tuple(made), site.get("timezone"), site.get("since"), "since" in site.spelt,
        frozenset(basin.get("name") for basin in entries["basin"] if "started" in basin.spelt),
        "code_edition" in site.spelt, (*never, *others), len(never),
    )


def _toml(text: str) -> dict[str, Any]:
    if len(text) > LONGEST:
        raise refused([f"line 1: {len(text):,} characters — too long; use up to {LONGEST:,}"], 1)
    try:
        return tomllib.loads(text)
    except RecursionError:
        raise refused(["line 1: brackets within brackets — too deep; use a list of plain values"], 1) from None
    except ValueError as error:
        message = str(error)
        place = _PLACE.search(message)
        rows = text.split("\n")
        last = max((number for number, row in enumerate(rows, 1) if row.strip()), default=1)
        line = int(place[1]) if place and place[1] else last
        row = rows[line - 1] if line <= len(rows) else ""
        wrong = _PLACE.sub("", message)
        raise refused(
            [f"line {line}: {short(row) or 'the end of the file'} — not TOML ({short(wrong)}); "
             "use lines like key = value, with text between quotes"], 1) from None


def _entries(data: dict[str, Any], faults: Faults) -> Entries:
    known = tables()
    entries: Entries = {name: [] for name in known}
    for name, content in data.items():
        table = known.get(name)
        if table is None:
            _unknown(name, content, known, faults)
        elif table.several:
            if not isinstance(content, list) or not all(isinstance(item, dict) for item in content):
                faults.add((name,), "written as one", f"use {table.heading}, in two brackets")
                continue
            entries[name] = [
                read_table(table, item, (name, number), faults) for number, item in enumerate(content)
            ]
        elif isinstance(content, dict):
            entries[name] = [read_table(table, content, (name,), faults)]
        else:
            faults.add((name,), "written as several", f"use {table.heading}, once and in one bracket")
    if "site" not in data:
        faults.add(("site",), "the table is missing", "begin the file with [site]")
    return entries


def _unknown(name: str, content: Any, known: dict[str, Table], faults: Faults) -> None:
    headings = [table.heading for table in known.values()]
    if isinstance(content, (dict, list)):
        near = nearest(name, known, "")
        faults.add((name,), "not a table of the site file",
                   near if near.startswith("did") else f"use {', '.join(headings)}")
    else:
        faults.add((name,), "stands before any table", "put it below its heading, such as [site]")
