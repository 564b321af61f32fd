"""What is made of a logbook for others: papers, packs, handovers, exports, calendars, site files.

Each is written whole or not at all, under the one rule of gwlog.files: what is there already and was not made for this
very purpose is left alone unless `replace`. All raise BadInput for a place that is taken or does not exist, GwlogError
where the disk refuses, and what looking at the logbook raises.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from gwlog import files
from gwlog.errors import BadInput
from gwlog.journal.disclosure import LANDLORD
from gwlog.text import listed

if TYPE_CHECKING:
    from gwlog.documents.calendar import Exported
    from gwlog.documents.handover import HandedOn
    from gwlog.documents.render.blocks import Document
    from gwlog.household import Household
    from gwlog.journal.pack import Packed
    from gwlog.journal.received import Received

REPORT_FORMS = (".pdf", ".html", ".md", ".csv")
PAPER_FORMS = (".pdf", ".html")
"""The forms of the manual and of the card."""

_OTHER_ENDINGS = {".htm": ".html", ".markdown": ".md"}


@dataclass(frozen=True, slots=True)
class Export:
    """What an export wrote: how many entries into how many files, and whether the logbook's seal holds."""

    entries: int
    files: int
    holds: bool


def report(home: Household, out: Path, start: date | None = None, end: date | None = None, *,
           reader: str = LANDLORD, annex: Path | None = None, full: bool = False, withhold: Collection[str] = (),
           roles: bool = False, paper: str | None = None, font: Path | None = None, replace: bool = False) -> str:
    """Write the letter of `start`..`end` (local days, both included; default: everything up to now) to `out`.

    The ending chooses the form: .pdf, .html, .md, or .csv for the annex's tables. `reader`: for whom, one of
    disclosure.READERS; `annex`: where its annex goes, if it is wanted, and `full`: with every entry, as a spreadsheet
    has it in any case; `withhold`: kinds of entry whose notes are left out whoever reads; `roles`: instead of names,
    where there are any; `paper`: letter or a4, `font`: a file asked for signs that the shipped face lacks, both for PDF
    only. Returns the signs that no font prints.
    """
    from gwlog.documents import papers

    forms = [report_form(where) for where in (out, annex) if where is not None]
    if ".pdf" not in forms:
        _form(out, REPORT_FORMS, paper, font)
    if annex is not None and annex.absolute() == out.absolute():
        raise BadInput("The annex needs a file of its own; name another one.")
    tables = forms[0] == ".csv"
    if full and annex is None and not tables:
        raise BadInput("The letter has two pages whatever is asked; --full is for the annex.",
                       hint="Name a file for the annex too: --annex FILE")
    letter_mark, annex_mark = files.made_for("annex" if tables else "record"), files.made_for("annex")
    _refuse(out, replace=replace, mark=letter_mark)
    if annex is not None:
        _refuse(annex, replace=replace, mark=annex_mark)
    made = [(out, papers.annex(home, reader, start, end, full=True, without_notes=withhold, roles=roles,
                               mark=letter_mark) if tables else
             papers.letter(home, reader, start, end, without_notes=withhold, roles=roles, mark=letter_mark))]
    if annex is not None:
        made.append((annex, papers.annex(home, reader, start, end, full=full or forms[1] == ".csv",
                                         without_notes=withhold, roles=roles, mark=annex_mark)))
    return _written(made, forms, paper, font, replace=replace)


def annex(home: Household, out: Path, start: date | None = None, end: date | None = None, *, reader: str = LANDLORD,
          full: bool = False, withhold: Collection[str] = (), roles: bool = False, paper: str | None = None,
          font: Path | None = None, replace: bool = False) -> str:
    """Write the annex alone; all as report() takes and returns it."""
    from gwlog.documents import papers

    form, mark = _form(out, REPORT_FORMS, paper, font), files.made_for("annex")
    _refuse(out, replace=replace, mark=mark)
    made = papers.annex(home, reader, start, end, full=full or form == ".csv", without_notes=withhold, roles=roles,
                        mark=mark)
    return _written([(out, made)], [form], paper, font, replace=replace)


def _written(made: Sequence[tuple[Path, Document]], forms: Sequence[str], paper: str | None, font: Path | None, *,
             replace: bool) -> str:
    """Write documents, all of them drawn before the first is written; the signs that no font prints."""
    from gwlog.documents.render.forms import rendered, unprintable

    lost = "".join(unprintable(document, form, font) for (_, document), form in zip(made, forms, strict=True))
    drawn = [rendered(document, form, *((paper, font) if form == ".pdf" else ()))
             for (_, document), form in zip(made, forms, strict=True)]
    for (where, document), content in zip(made, drawn, strict=True):
        files.write_whole(where, content, replace=replace, mark=document.mark)
    return "".join(dict.fromkeys(lost))


def report_form(out: Path) -> str:
    """The form that a report's name asks for, one of REPORT_FORMS. Raises BadInput."""
    return _form(out, REPORT_FORMS)


def paper_form(out: Path) -> str:
    """The form that a manual's or a card's name asks for, one of PAPER_FORMS. Raises BadInput."""
    return _form(out, PAPER_FORMS)


def _form(out: Path, forms: tuple[str, ...], paper: str | None = None, font: Path | None = None) -> str:
    """The form that a name asks for; `paper` and `font` are accepted for PDF alone."""
    form = _OTHER_ENDINGS.get(out.suffix.casefold(), out.suffix.casefold())
    if form not in forms:
        raise BadInput(f"“{out.name[:60]}” does not say in which form; use a name ending in {listed(forms, 'or')}.")
    if paper is not None and form != ".pdf":
        raise BadInput("--paper is for PDF; the other forms have no pages.")
    if font is not None and form != ".pdf":
        raise BadInput("--font is for PDF; the other forms are shown in the reader's own fonts.")
    return form


def manual(home: Household, out: Path, *, paper: str | None = None, font: Path | None = None,
           replace: bool = False) -> str:
    """Write the operation and maintenance manual as PDF or HTML; `paper`: letter or a4, `font`: a file of one's own
    for signs that the shipped face lacks, both for PDF only. Returns the signs that no font prints."""
    from gwlog.documents.manual import manual as paper_of
    from gwlog.documents.render.forms import rendered, unprintable

    form = _form(out, PAPER_FORMS, paper, font)
    _refuse(out, replace=replace, mark=paper_of.MARK)
    made = paper_of.document(home)
    files.write_whole(out, rendered(made, form, paper, font), replace=replace, mark=paper_of.MARK)
    return unprintable(made, form, font)


def card(home: Household, out: Path, *, paper: str | None = None, font: Path | None = None,
         replace: bool = False) -> str:
    """Write the card for the wall by the machine as PDF or HTML, with `paper` and `font` as manual() takes them.

    Where the pages for phones were served, their address stands on it. Returns the signs that no font prints.
    """
    from gwlog.documents.card import card as paper_of
    from gwlog.journal import store
    from gwlog.phone import address

    form = _form(out, PAPER_FORMS, paper, font)
    _refuse(out, replace=replace, mark=paper_of.MARK)
    phone = address.noted(str(store.logbook_id(home.path))) or ""
    made = paper_of.described(home, phone)
    files.write_whole(out, paper_of.drawn(home, made, form, paper=paper, font=font), replace=replace,
                      mark=paper_of.MARK)
    return paper_of.unprintable(made, font) if form == ".pdf" else ""


def calendar(home: Household, out: Path, *, replace: bool = False) -> Exported:
    """Write the coming 60 days as iCalendar; events of this logbook's last calendar there are updated."""
    from gwlog.documents.calendar import updated

    _refuse(out, replace=True)
    content, done = updated(home, out, replace=replace)
    files.write_whole(out, content, replace=True)
    return done


def pack(home: Household, out: Path, *, reader: str = LANDLORD, withhold: Collection[str] = (),
         noted: Sequence[str] = (), replace: bool = False) -> Packed:
    """Write the record pack for a reader: all entries with their seal, the papers, and a program that verifies them."""
    from gwlog.documents.pack import packed

    _refuse(out, replace=replace)
    made = packed(home, reader=reader, withhold=withhold, noted=noted)
    files.write_whole(out, made.content, replace=replace)
    return made


def handover(logbook: Path, out: Path, now: datetime, *, replace: bool = False) -> HandedOn:
    """Write everything for the next household; the logbook itself is left as it is."""
    from gwlog.documents.handover import handover as handed_on

    _refuse(out, replace=replace)
    content, done = handed_on(logbook, now)
    files.write_whole(out, content, replace=replace)
    return done


def export_lines(logbook: Path, *, withhold: Collection[str] = ()) -> tuple[bytes, Export]:
    """Every entry as JSON lines, that an import gives back with the same seal."""
    from gwlog.journal import export_file, seal, store

    store.ready(logbook)
    made = list(export_file.lines(logbook, withhold=withhold))
    return b"".join(made), Export(max(0, len(made) - 1), 1, seal.verify(logbook).holds)


def export(logbook: Path, out: Path, *, withhold: Collection[str] = (), replace: bool = False) -> Export:
    """Write every entry as JSON lines to a file."""
    from gwlog.journal import export_file, seal, store

    _refuse(out, replace=replace)
    store.ready(logbook)
    count = files.write_parts(out, export_file.lines(logbook, withhold=withhold), replace=replace)
    return Export(max(0, count - 1), 1, seal.verify(logbook).holds)


def export_tables(logbook: Path, folder: Path, *, withhold: Collection[str] = (), replace: bool = False) -> Export:
    """Write one CSV file per kind of entry into a folder, which is made where it is missing; none is taken, or none
    is written."""
    from gwlog.journal import seal, store
    from gwlog.journal.spreadsheet import csv_files

    store.ready(logbook)
    made = csv_files(logbook, withhold=withhold)
    for name in made:
        files.refuse_taken(folder / name, replace=replace)
    files.make_folder(folder)
    for name, content in made.items():
        files.write_whole(folder / name, content, replace=replace)
    found = seal.verify(logbook)
    return Export(found.entries, len(made), found.holds)


def refuse_received_page(out: Path, *, replace: bool = False) -> None:
    """Refuse a page about received records at once: its name has to say in which form, and its place has to be free."""
    report_form(out)
    _refuse(out, replace=replace, mark=files.made_for("received"))


def received_page(found: Received, out: Path, *, replace: bool = False) -> None:
    """Write the table of received records in the form that the ending says; a page that is there already is replaced.
    """
    from gwlog.documents.received_page import document
    from gwlog.documents.render.forms import rendered

    mark = files.made_for("received")
    files.write_whole(out, rendered(document(found, mark), report_form(out)), replace=replace, mark=mark)


def site_file(home: Household, out: Path, *, replace: bool = False) -> None:
    """Write the setup that is in force as a site file, to be edited and applied again."""
    from gwlog.setup.show import show

    _refuse(out, replace=replace)
    files.write_whole(out, show(home.state).encode(), replace=replace)


def _refuse(out: Path, *, replace: bool, mark: str | None = None) -> None:
    """Refuse a place at once, before the long work of making what would be written there."""
    files.refuse_taken(out, replace=replace, mark=mark)
    files.refuse_without_folder(out)
