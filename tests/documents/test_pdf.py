"""The report on paper: readable as text by another program, titled, with a language, on the right paper."""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from gwlog.app import exports
from gwlog.documents.card.card import card
from gwlog.documents.record.chapters import document
from gwlog.documents.record.gather import record
from gwlog.documents.render.blocks import (
    Amount,
    Blanks,
    Chart,
    Column,
    Document,
    Heading,
    PageBreak,
    Para,
    Picture,
    Points,
    Signatures,
    Sourced,
    litres,
    table,
)
from gwlog.documents.render.pdf import pdf
from gwlog.errors import BadInput
from tests.conftest import NOW, Runner, Shelf
from tests.documents.conftest import Looker
from tests.tools.pdf_runs import pages, words_of

PAPERS = {"letter": (612.0, 792.0), "a4": (595.28, 841.89)}   # points: 8.5 x 11 in; 210 x 297 mm (ISO 216)
MARKUP = "#panic() $x$ *bold* _it_ \\u{41} <label> @ref [x] = no heading\n- no list\x00\x07\u202e // ` \" }"
MARKUP_SHOWN = "#panic() $x$ *bold* _it_ \\u{41} <label> @ref [x] = no heading - no list // ` \" }"
SMALLEST = 9.0   # points; the least that is asked of every paper


@pytest.fixture
def recorded(lived: Runner, looked: Looker, shelf: Shelf) -> bytes:
    """The lived logbook's whole record, printed once: many pages, and everything that people wrote."""
    return shelf.file("lived-record.pdf",
                      lambda path: path.write_bytes(pdf(document(record(looked()))))).read_bytes()


def simple(*blocks: object, system: str = "us", mark: str = "") -> Document:
    return Document("A title", "below", "foot", blocks, "UTC", system, NOW, mark=mark)  # type: ignore[arg-type]


def every_block(words: str = MARKUP) -> tuple[object, ...]:
    """One of each block, all saying the same words."""
    return (Heading(1, words), Para(words), Para(words, strong=True), Points((words, Sourced(words, words))),
            Points((words,), numbered=True), Heading(2, words),
            table("t", [Column(words), Column("water", 1, "volume", True)], [(words, litres(68.0)),
                                                                            (Sourced(words, words), None)]),
            table("pairs", [Column(""), Column("")], [(words, words)]),
            Chart(words, (3.0, 9.0), (1.0, None), (8.0, 8.0), (words, ""), "week"),
            Picture('<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 510 20"><path d="M0 9H510"/></svg>', words,
                    0.5, words), Blanks((words, "")), Signatures((words,)), PageBreak(), Para("the end"))


def test_text_can_be_searched_and_the_file_has_title_language_and_outline(recorded: bytes) -> None:
    reader = PdfReader(io.BytesIO(recorded))
    said = words_of(recorded)
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


def test_every_page_is_numbered_and_carries_the_seal(recorded: bytes, looked: Looker) -> None:
    made = record(looked())
    pages = PdfReader(io.BytesIO(recorded)).pages
    assert len(pages) > 2
    for number, page in enumerate(pages, 1):
        said = page.extract_text()
        assert f"{number} of {len(pages)}" in said
        assert str(made.seal.number) in said


def test_nothing_on_a_page_is_coloured(recorded: bytes) -> None:
    for page in PdfReader(io.BytesIO(recorded)).pages:
        content = page.get_contents()
        assert content is not None
        operators = {operator for _, operator in content.operations}
        assert not operators & {b"rg", b"RG", b"k", b"K"}
        # A color of one part is a gray (ISO 32000-1, 8.6.5.2).
        assert all(len(parts) == 1 for parts, operator in content.operations if operator in (b"scn", b"SCN"))


def test_peoples_words_are_words_in_every_block_never_markup() -> None:
    said = words_of(pdf(simple(*every_block())))
    assert said.count(MARKUP_SHOWN) >= 12
    assert "the end" in said


@settings(max_examples=20, deadline=None)
@given(st.text(max_size=60))
def test_any_words_print(words: str) -> None:
    assert pdf(simple(*every_block(words))).startswith(b"%PDF")


def test_every_paper_says_that_its_tags_are_complete(recorded: bytes, manual_printed: bytes, looked: Looker) -> None:
    # The typesetter checks it against PDF/UA-1 (ISO 14289-1) and writes so in the metadata.
    for content in (recorded, manual_printed, card(looked()), pdf(simple(*every_block()))):
        assert b"<pdfuaid:part>1</pdfuaid:part>" in content


def test_nothing_is_smaller_than_nine_points(recorded: bytes, manual_printed: bytes, looked: Looker) -> None:
    us, a4 = pdf(simple(*every_block("Fig by the wall"))), pdf(simple(*every_block("Fig by the wall")), "a4")
    for content in (recorded, manual_printed, card(looked()), us, a4):
        sizes = [run.size for page in pages(content) for run in page]
        assert len(sizes) > 20
        assert min(sizes) >= SMALLEST - 0.01


def test_no_heading_is_the_last_of_a_page_and_no_drawing_stands_apart_from_its_title(
        recorded: bytes, manual_printed: bytes) -> None:
    chart = Chart("Fig", (3.0,) * 9, (1.0,) * 9, (8.0,) * 9, ("Jan",) * 9, "week")
    rows = [(f"cell {n}",) for n in range(11)]
    blocks = [block for n in range(30) for block in
              (Heading(1, f"chapter {n}"), Heading(2, f"part {n}"),
               (Para("words " * 60), table("t", [Column("head")], rows), chart)[n % 3])]
    charted = pdf(simple(*blocks))
    for content in (recorded, manual_printed, charted):
        for page in pages(content):
            lowest = min((run for run in page if run.y > 62), key=lambda run: run.y)
            assert not (lowest.bold and lowest.size > 10.5), lowest
    for page in PdfReader(io.BytesIO(charted)).pages:
        said = page.extract_text()
        assert said.count("Fig: gallons a week") == said.count("Fig: up to 0.8 gal a week")


WORDS = st.text("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ-", min_size=1, max_size=22)


@settings(max_examples=12, deadline=None)
@given(st.lists(st.lists(WORDS, min_size=6, max_size=6), min_size=1, max_size=4))
def test_no_word_of_a_table_is_broken(rows: list[list[str]]) -> None:
    columns = [Column(f"head{number} of-it") for number in range(6)]
    lines = [line.strip() for page in PdfReader(io.BytesIO(pdf(simple(table("t", columns, [
        [f"{one} {one}" for one in row] for row in rows]))))).pages for line in page.extract_text().splitlines()]
    seen = {word for line in lines for word in line.split()}
    for word in {word for row in rows for word in row} | {f"head{number}" for number in range(6)}:
        assert word in seen


def test_a_word_wider_than_its_column_is_parted_and_no_sign_of_it_lost() -> None:
    name = "Bougainvillea-along-the-southern-garden-wall-and-gate"
    said = words_of(pdf(simple(Para(name * 4), table("t", [Column("a"), Column("b"), Column("c")],
                                                     [(name * 2, name * 2, name * 2), (name, "x", "y")]))))
    assert name in said
    assert said.replace(" ", "").count(name) == 11


def test_units_stand_in_the_head_of_a_column_once() -> None:
    made = simple(table("t", [Column("basin"), Column("water", 1, "volume", True), Column("depth", 1, "length", True)],
                        [("Fig", litres(3785.411784), Amount(76.2, "length"))] * 3))
    said = words_of(pdf(made))
    assert "basin water, gal depth, in Fig 1,000 3.0 Fig" in said


def test_a_source_stands_at_the_foot_of_its_page_once_a_chapter() -> None:
    source = "NIST Handbook 44, appendix C"
    content = pdf(simple(Heading(1, "One"), Points((Sourced("first", source), Sourced("second", source))),
                         PageBreak(), Heading(1, "Two"), Para(Sourced("third", source))))
    first, second = (page.extract_text() for page in PdfReader(io.BytesIO(content)).pages)
    assert first.count(source) == second.count(source) == 1
    assert len(re.findall(r"\[1\]", first)) == 3
    assert len(re.findall(r"\[2\]", second)) == 2


def test_a_long_note_runs_over_pages_and_a_long_word_is_cut() -> None:
    note = "word " * 3000 + "x" * 400 + " end"
    content = pdf(simple(table("t", [Column("a"), Column("b")], [("short", note), ("last", "row")])))
    said = words_of(content)
    assert len(PdfReader(io.BytesIO(content)).pages) > 1
    assert said.count("word") == 3000
    assert said.count("x") == 400
    assert said.index(" end") < said.index("last row")


def test_a_tables_head_stands_on_each_of_its_pages_and_no_row_is_parted() -> None:
    rows = [("day", f"begin{n} {'and so on ' * 30} end{n}") for n in range(60)]
    sheets = PdfReader(io.BytesIO(pdf(simple(table("t", [Column("when"), Column("what happened")], rows))))).pages
    assert len(sheets) > 2
    for page in sheets:
        said = page.extract_text()
        assert "what happened" in said
        assert set(re.findall(r"begin(\d+)", said)) == set(re.findall(r"end(\d+)", said))


def test_a_table_with_more_columns_than_fit_becomes_several_that_hold_every_cell() -> None:
    columns = [Column(f"column{n}", right=True) for n in range(30)]
    said = words_of(pdf(simple(table("t", columns, [[Amount(1000.0 + n, "volume") for n in range(30)]]))))
    assert all(f"column{n} " in said for n in range(30))
    assert said.count("column0") > 1


def test_a_paper_of_hundreds_of_pages_is_refused_with_another_way() -> None:
    with pytest.raises(BadInput, match="20,001 table cells") as refused:
        pdf(simple(table("t", [Column("a")], [("x",)] * 20_001)))
    assert ".html" in str(refused.value.hint)


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


def test_words_from_right_to_left_are_found_as_they_were_written() -> None:
    assert "at שלום" in words_of(pdf(simple(Para("at שלום here"))))


def test_the_same_document_gives_the_same_bytes() -> None:
    made = simple(*every_block("Fig"))
    assert pdf(made) == pdf(made)


def test_a_very_long_row_begins_on_the_page_of_its_head() -> None:
    content = pdf(simple(table("t", [Column("what happened")], [("word " * 2000,)])))
    assert "word word" in PdfReader(io.BytesIO(content)).pages[0].extract_text()
