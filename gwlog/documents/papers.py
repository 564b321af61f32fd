"""The papers on how the water was run, for one reader: the letter of two pages, and its annex.

What pack, handover and verification put in or make again comes from here, so that it is the same paper everywhere.
"""

from __future__ import annotations

from collections.abc import Collection
from datetime import date
from typing import TYPE_CHECKING

from gwlog.journal.disclosure import LANDLORD

if TYPE_CHECKING:
    from gwlog.documents.render.blocks import Document
    from gwlog.household import Household


def letter(home: Household, reader: str = LANDLORD, start: date | None = None, end: date | None = None, *,
           without_notes: bool | Collection[str] = False, roles: bool = False, mark: str = "") -> Document:
    """The letter of `start`..`end` (local days, both included; default: all the days of the household of now).

    `without_notes`: all notes are left out, or those of some kinds of entry, whatever the reader is shown; `roles`:
    instead of names, where the reader is shown any. Raises BadInput for an empty period, a reader or a kind that does
    not exist.
    """
    from gwlog.documents.letter.gather import letter as gathered
    from gwlog.documents.letter.pages import document

    return document(gathered(home, reader, start, end, without_notes=without_notes, roles=roles), mark)


def annex(home: Household, reader: str = LANDLORD, start: date | None = None, end: date | None = None, *,
          full: bool = False, without_notes: bool | Collection[str] = False, roles: bool = False,
          mark: str = "") -> Document:
    """The annex to the letter: tables of what is remarkable, or with `full` of everything; the rest as letter()."""
    if reader == LANDLORD:
        from gwlog.documents.letter.gather import letter as gathered
        from gwlog.documents.letter.weekly import document as weekly

        return weekly(gathered(home, reader, start, end, without_notes=without_notes, roles=roles), full=full,
                      mark=mark)
    from gwlog.documents.record.chapters import document
    from gwlog.documents.record.gather import record

    return document(record(home, start, end, reader=reader, without_notes=without_notes, roles=roles, full=full), mark)
