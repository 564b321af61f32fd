"""The document's tables as one CSV file for a spreadsheet: SI numbers, ISO days, and no cell that is a formula.

Each row begins with the table's name; a table's first row names its columns.
"""

from __future__ import annotations

import csv as writer
import io
import re

from gwlog.documents.render.blocks import Amount, Cell, Document, Table

# What a spreadsheet takes for the start of a formula (OWASP, CSV injection), also behind blanks, and in full width.
_FORMULA = re.compile("^\\s*[=+\\-@\t\r\n|%＝＋－＠]")


def csv(document: Document) -> str:
    """Return every table that has rows. Lines end in CRLF (RFC 4180)."""
    sheet = io.StringIO()
    out = writer.writer(sheet, lineterminator="\r\n")
    out.writerow(("table", "title", "period"))
    out.writerow(("document", safe(document.title), safe(document.subtitle)))
    out.writerow(("document", "seal and source", safe(document.foot)))
    if document.mark:
        out.writerow(("document", "kind of file", document.mark))
    for block in document.blocks:
        if isinstance(block, Table) and block.rows:
            out.writerow((block.name, *(safe(column.si_title) for column in block.columns)))
            for row in block.rows:
                out.writerow((block.name, *(_cell(document, cell) for cell in row)))
    return sheet.getvalue()


def _cell(document: Document, cell: Cell) -> str:
    plain = document.plain(cell)
    return plain if isinstance(cell, Amount | int) else safe(plain)


def safe(words: str) -> str:
    """Words that no spreadsheet runs: what begins like a formula gets an apostrophe before it."""
    flat = " ".join(words.split())
    return f"'{flat}" if _FORMULA.match(flat) else flat
