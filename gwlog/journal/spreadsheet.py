"""The entries as CSV, one file per kind, for a spreadsheet: every wording, and what became of it.

No cell can run as a formula; control characters are removed. exchange.export() makes a lossless copy.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Collection
from datetime import date, datetime
from itertools import chain
from pathlib import Path
from typing import Any

from gwlog.clock import iso
from gwlog.journal import listing
from gwlog.journal.facts import KINDS
from gwlog.text import one_line
from gwlog.values import fields

# A spreadsheet runs a cell that begins with one of these (OWASP, "CSV Injection"). One that splits lines at another
# separator than ours makes new cells within a cell, so the place behind every separator counts as a beginning.
_BEGINS = re.compile(r"(^|[;,|])([\s\"']*)(?=[=+\-@＝＋－＠])")


def cell(words: str) -> str:
    """Words for a CSV cell: one line, no control characters, and an apostrophe before what could run as a formula."""
    return _BEGINS.sub(r"\1'\2", one_line(words))


def csv_files(path: Path | str, *, withhold: Collection[str] = ()) -> dict[str, bytes]:
    """File name -> content, one CSV per kind of entry that occurs. `withhold`: kinds whose notes are left out.

    Columns are the entry's own, in its small units (volume_ml, area_cm2); moments are UTC. `corrected_by` and
    `withdrawn_by` are numbers of entries.
    """
    made = {}
    with listing.asking(path) as lists:
        for kind in KINDS:
            content = _sheet(kind, lists, without_notes=kind in withhold)
            if content is not None:
                # The mark at the beginning makes spreadsheets read the rest as UTF-8.
                made[f"{kind}.csv"] = content.encode("utf-8-sig")
    return made


def _sheet(kind: str, lists: listing.Lists, *, without_notes: bool) -> str | None:
    """One kind's sheet; None where there is no entry of it."""
    entries = lists.each(kind)
    first = next(entries, None)
    if first is None:
        return None
    names = [part.name for part in fields(first)]
    out = io.StringIO()
    sheet = csv.writer(out, lineterminator="\r\n")
    sheet.writerow([*names, "corrected_by", "withdrawn_by"])
    for entry in chain([first], entries):
        row = [None if name == "note" and without_notes else getattr(entry, name) for name in names]
        row += [lists.fates.replaced_by.get(entry.id), lists.fates.withdrawn.get(entry.id)]
        sheet.writerow([_shown(value) for value in row])
    return out.getvalue()


def _shown(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime):
        return iso(value)
    if isinstance(value, int | date):
        return str(value)
    return cell("; ".join(map(str, value)) if isinstance(value, tuple) else str(value))
