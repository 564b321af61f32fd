"""The letter as a document of two pages."""

from __future__ import annotations

from gwlog import clock
from gwlog.documents.letter.model import Letter
from gwlog.documents.letter.page_one import first_page
from gwlog.documents.letter.page_two import how_to_check, second_page
from gwlog.documents.render.blocks import Document, Heading, PageBreak, Para
from gwlog.journal.disclosure import INSPECTOR, LANDLORD, NEXT_TENANT
from gwlog.reference.source import CHECK_LOCAL

FOR = {LANDLORD: "a letter for the landlord", INSPECTOR: "a letter for the inspector",
       NEXT_TENANT: "a letter for the next tenant"}


def document(letter: Letter, mark: str = "") -> Document:
    """The letter on its two pages; on one, where no whole week is over yet. `mark`: by what the file is known."""
    if letter.last < letter.first:
        blocks = (Para("There is nothing to tell yet: this letter counts whole weeks, and none has passed since the "
                       f"household began its log in {clock.week_of(letter.first, letter.system)}. The first one can be "
                       "made on the Monday after.", strong=True),
                  Heading(1, "How to check this record"), *how_to_check(letter))
        under = f"Made on {clock.long_date(letter.made, letter.system)}"
    else:
        blocks = (*first_page(letter), PageBreak(), *second_page(letter))
        under = f"{letter.period} · made on {clock.long_date(letter.made, letter.system)}"
    seal = f"Seal number {letter.seal.number}" if letter.seal.number else "No entries yet"
    return Document(
        f"Laundry water: {FOR.get(letter.reader, 'all of it on two pages')}", under,
        f"{seal} · gwlog {letter.version} · {CHECK_LOCAL}", blocks, letter.zone, letter.system,
        clock.day_start(letter.made, letter.zone), mark=mark, compact=True)
