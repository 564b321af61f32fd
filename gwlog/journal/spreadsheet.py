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
from gwlog.journal import listing, reader
from gwlog.journal.disclosure import DISCLOSURES, EVERYTHING, WHAT, Disclosure
from gwlog.journal.facts import KINDS
from gwlog.journal.noted_together import kept_notes
from gwlog.journal.sealed_parts import OPEN, hides, parts_of_columns
from gwlog.text import one_line
from gwlog.values import fields

# A spreadsheet runs a cell that begins with one of these (OWASP, "CSV Injection"). One that splits lines at another
# separator than ours makes new cells within a cell, so the place behind every separator counts as a beginning.
_BEGINS = re.compile(r"(^|[;,|])([\s\"']*)(?=[=+\-@＝＋－＠])")


def cell(words: str) -> str:
    """Words for a CSV cell: one line, no control characters, and an apostrophe before what could run as a formula."""
    return _BEGINS.sub(r"\1'\2", one_line(words))


def csv_files(path: Path | str, *, disclosure: Disclosure = DISCLOSURES[EVERYTHING],
              withhold: Collection[str] = ()) -> dict[str, bytes]:
    """File name -> content, one CSV per kind of entry that occurs.

    `disclosure`: what the reader is shown; the rest is left empty, and of kinds that are not shown there is no sheet.
    `withhold`: kinds whose notes are left out all the same.

    Columns are the entry's own, in its small units (volume_ml, area_cm2); moments are UTC. `corrected_by` and
    `withdrawn_by` are numbers of entries.
    """
    made = {}
    with reader.reading(path) as connection:
        noted = set(kept_notes(connection, withhold if disclosure.notes else KINDS))
    with listing.asking(path) as lists:
        for kind in KINDS:
            if hides(kind) and WHAT not in disclosure.parts:
                continue
            hidden = {name for name, part in parts_of_columns(kind).items()
                      if part is not OPEN and part not in disclosure.parts}
            if WHAT not in disclosure.parts:
                hidden.add("withdrawn_by")   # it would tell which entries are withdrawals
            content = _sheet(kind, lists, hidden, noted)
            if content is not None:
                # The mark at the beginning makes spreadsheets read the rest as UTF-8.
                made[f"{kind}.csv"] = content.encode("utf-8-sig")
    return made


def _sheet(kind: str, lists: listing.Lists, hidden: Collection[str], noted: Collection[int]) -> str | None:
    """One kind's sheet; None where there is no entry of it. `hidden`: columns left empty; `noted`: whose note stays."""
    entries = lists.each(kind)
    first = next(entries, None)
    if first is None:
        return None
    names = [part.name for part in fields(first)]
    out = io.StringIO()
    sheet = csv.writer(out, lineterminator="\r\n")
    sheet.writerow([*names, "corrected_by", "withdrawn_by"])
    for entry in chain([first], entries):
        row = [None if name in hidden or (name == "note" and entry.id not in noted) else getattr(entry, name)
               for name in names]
        row += [lists.fates.replaced_by.get(entry.id),
                None if "withdrawn_by" in hidden else lists.fates.withdrawn.get(entry.id)]
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
