"""The report on paper: readable as text by another program, titled, with a language, on the right paper."""

from __future__ import annotations

import io
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from gwlog.documents.render.paper import in_order
from pypdf import PdfReader

from gwlog.app import exports
from gwlog.documents.record.chapters import document
from gwlog.documents.record.gather import record
from gwlog.documents.render.blocks import Amount, Chart, Column, Document, Para, table
from gwlog.documents.render.pdf import pdf
from tests.conftest import NOW, Runner
from tests.documents.conftest import Looker

PAPERS = {"letter": (612.0, 792.0), "a4": (595.28, 841.89)}   # points: 8.5 x 11 in; 210 x 297 mm (ISO 216)


def words_of(content: bytes) -> str:
    return " ".join(" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(content)).pages)


def simple(*blocks: object, system: str = "us") -> Document:
    return Document("A title", "below", "foot", blocks, "UTC", system, NOW)  # type: ignore[arg-type]


def test_text_can_be_searched_and_the_file_has_title_language_and_outline(printed: bytes) -> None:
    reader = PdfReader(io.BytesIO(printed))
    said = words_of(printed)
    for passage in ("Exceptions first", "whites", "ponding at Pomegranate", "not in the log", "To compare later",
                    "<script>alert('x')</script>"):
        assert passage in said
    assert reader.metadata is not None
    assert reader.metadata.title == "Laundry water record: Tern Cottage"
    assert reader.trailer["/Root"]["/Lang"] == "en"
    chapters = [one["/Title"] for one in reader.outline if isinstance(one, dict)]
    assert chapters[:2] == ["Exceptions first", "Who and where"]


@pytest.mark.parametrize(("system", "wanted", "paper"), [
    ("us", None, "letter"), ("metric", None, "a4"), ("us", "A4", "a4"), ("metric", "letter", "letter"),
])
def test_the_paper_is_the_countrys_or_the_one_wanted(system: str, wanted: str | None, paper: str) -> None:
    page = PdfReader(io.BytesIO(pdf(simple(Para("x"), system=system), wanted))).pages[0]
    assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx(PAPERS[paper], abs=0.5)


def test_every_page_is_numbered_and_carries_the_seal(printed: bytes, looked: Looker) -> None:
    made = record(looked())
    pages = PdfReader(io.BytesIO(printed)).pages
    assert len(pages) > 2
    for number, page in enumerate(pages, 1):
        said = page.extract_text()
        assert f"{number} of {len(pages)}" in said
        assert str(made.seal.number) in said


def test_nothing_on_a_page_is_coloured(printed: bytes) -> None:
    for page in PdfReader(io.BytesIO(printed)).pages:
        content = page.get_contents()
        assert content is not None
        operators = {operator for _, operator in content.operations}
        assert not operators & {b"rg", b"RG", b"k", b"K", b"sc", b"SC", b"scn", b"SCN"}


def test_signs_that_the_typeface_lacks_are_shown_as_missing_and_none_is_lost_around_them() -> None:
    said = words_of(pdf(simple(Para("before 漢字 after ≥ ▶ ½"))))
    assert "before �� after ≥ ▶ ½" in said


def test_a_long_note_runs_over_pages_and_a_long_word_is_cut() -> None:
    note = "word " * 3000 + "x" * 400 + " end"
    content = pdf(simple(table("t", [Column("a"), Column("b")], [("short", note), ("last", "row")])))
    said = words_of(content)
    assert len(PdfReader(io.BytesIO(content)).pages) > 1
    assert said.count("word") == 3000
    assert said.count("x") == 400
    assert said.index(" end") < said.index("last row")


def test_a_tables_head_stands_on_each_of_its_pages() -> None:
    content = pdf(simple(table("t", [Column("when"), Column("what happened")], [("day", f"{n}") for n in range(150)])))
    pages = PdfReader(io.BytesIO(content)).pages
    assert len(pages) > 2
    assert all("what happened" in page.extract_text() for page in pages)


def test_a_table_with_more_columns_than_fit_still_holds_every_cell() -> None:
    columns = [Column(f"column{n}", right=True) for n in range(30)]
    said = words_of(pdf(simple(table("t", columns, [[Amount(1000.0 + n, "volume") for n in range(30)]]))))
    assert len(said) > 200


@pytest.mark.parametrize("bars", [(), (0.0,), (0.0, 5.0, 1e9), (1.0,) * 600])
def test_any_chart_can_be_drawn(bars: tuple[float, ...]) -> None:
    chart = Chart("Fig", bars, tuple(None for _ in bars), bars, tuple("Jan 26" for _ in bars), "week")
    assert "Fig: up to" in words_of(pdf(simple(chart)))


def test_an_empty_logbook_prints(home: Runner, looked: Looker, tmp_path: Path) -> None:
    exports.report(looked(), tmp_path / "r.pdf")
    assert "No wash load was logged" in words_of((tmp_path / "r.pdf").read_bytes())


def test_years_are_drawn_by_the_month(home: Runner, looked: Looker, frozen: Callable[[datetime], None]) -> None:
    frozen(NOW + timedelta(days=1))
    home("load", "towels", "--to", "garden")
    then = looked().at(NOW + timedelta(days=1200))
    made = document(record(then))
    charts = [one for one in made.blocks if isinstance(one, Chart)]
    assert [one.per for one in charts] == ["month"]
    assert sum(map(bool, charts[0].labels)) == 4


def test_words_from_right_to_left_are_written_so_within_the_line() -> None:
    # Unicode TR9: the run of Hebrew letters is seen reversed, what stands around it stays.
    assert in_order("at שלום here") == "at םולש here"
    assert in_order("at Fig ½") == "at Fig ½"
    # The reader turns it back: what is searched for is what was written.
    assert "at שלום" in words_of(pdf(simple(Para("at שלום here"))))


def test_a_very_long_row_begins_on_the_page_of_its_head() -> None:
    content = pdf(simple(table("t", [Column("what happened")], [("word " * 2000,)])))
    assert "word word" in PdfReader(io.BytesIO(content)).pages[0].extract_text()
