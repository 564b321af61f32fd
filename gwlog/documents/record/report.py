"""The report written to a file: the record of a period in the form that the file's ending asks for.
"""

from __future__ import annotations

from collections.abc import Collection
from datetime import date
from pathlib import Path

from gwlog.documents.atomic import put_file
from gwlog.documents.record.chapters import document
from gwlog.documents.record.gather import record
from gwlog.documents.render.blocks import Document
from gwlog.errors import BadInput
from gwlog.household import Household
from gwlog.text import listed

FORMS = (".pdf", ".html", ".md", ".csv")


def write_report(home: Household, out: Path, start: date | None = None, end: date | None = None, *,
                 without_notes: bool | Collection[str] = False, roles: bool = False, paper: str | None = None) -> None:
    """Write the record of `start`..`end` (local days, both included; default: everything up to now) to `out`.

    The ending chooses the form: .pdf, .html, .md or .csv. `without_notes`: withhold all notes, or those of some
    kinds of entry. `roles`: roles instead of names. The file is whole or not there, and only its owner can read it.
    """
    form = _form(out)
    put_file(out, rendered(document(record(home, start, end, without_notes=without_notes, roles=roles)), form, paper))


def rendered(made: Document, form: str, paper: str | None = None) -> bytes:
    """A document in one of FORMS, as bytes."""
    if form == ".pdf":
        from gwlog.documents.render.pdf import pdf

        return pdf(made, paper)
    if form == ".html":
        from gwlog.documents.render.html import html

        return html(made).encode()
    if form == ".md":
        from gwlog.documents.render.markdown import markdown

        return markdown(made).encode()
    from gwlog.documents.render.csv import csv

    # The mark in front tells spreadsheets that the text is UTF-8.
    return csv(made).encode("utf-8-sig")


def _form(out: Path) -> str:
    form = {".htm": ".html", ".markdown": ".md"}.get(out.suffix.casefold(), out.suffix.casefold())
    if form not in FORMS:
        raise BadInput(f"“{out.name[:60]}” does not say in which form; a name ending in {listed(FORMS, 'or')} "
                       "is accepted.")
    return form
