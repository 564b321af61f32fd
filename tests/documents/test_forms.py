"""HTML, Markdown and CSV: what people wrote stays text, no formula runs, no control character survives."""

from __future__ import annotations

import csv
import io
import re
import unicodedata
from html.parser import HTMLParser
from pathlib import Path

import pytest

from gwlog.app import exports
from gwlog.documents.record.chapters import document
from gwlog.documents.record.gather import record
from gwlog.documents.render.csv import csv as as_csv
from gwlog.documents.render.csv import safe
from gwlog.documents.render.html import html
from gwlog.documents.render.markdown import escaped, markdown
from gwlog.errors import BadInput
from tests.conftest import Runner
from tests.documents.conftest import FORMULA, NASTY_SHOWN, Looker


class Seen(HTMLParser):
    """Collects tags, attributes and text."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: set[str] = set()
        self.attributes: list[tuple[str, str | None]] = []
        self.text: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.attributes += attrs

    def handle_data(self, data: str) -> None:
        self.text.append(data)


def test_html_shows_notes_as_text_and_runs_and_loads_nothing(lived: Runner, looked: Looker) -> None:
    seen = Seen()
    seen.feed(html(document(record(looked()))))
    assert NASTY_SHOWN in seen.text
    assert FORMULA in seen.text
    assert not seen.tags & {"script", "iframe", "object", "embed", "link", "img", "form", "base"}
    assert not [name for name, _ in seen.attributes if name in ("src", "srcset", "style") or name[:2] == "on"]
    # Links lead to parts of the same page.
    assert all(str(value).startswith("#") for name, value in seen.attributes if name == "href")
    assert ("lang", "en") in seen.attributes


def test_html_style_asks_for_nothing_outside(lived: Runner, looked: Looker) -> None:
    page = html(document(record(looked())))
    assert not re.search(r"url\(|@import", page)
    assert "default-src &#x27;none&#x27;" in page


def test_a_csv_cell_never_begins_as_a_formula(lived: Runner, looked: Looker) -> None:
    rows = list(csv.reader(io.StringIO(as_csv(document(record(looked()))))))
    cells = [cell for row in rows for cell in row]
    assert f"'{FORMULA}" in cells
    assert not [cell for cell in cells if cell[:1] in set("=+-@|%\t\r\n") and not _is_number(cell)]


def _is_number(cell: str) -> bool:
    try:
        float(cell)
    except ValueError:
        return False
    return True


@pytest.mark.parametrize("words", [
    "=1+1", "+1", "-2", "@SUM(A1)", "  =1", "\t=1", "|calc", "%x", "＝1+1", "\u00a0=1", "\u3000@x",
])
def test_words_that_a_spreadsheet_would_run_get_an_apostrophe(words: str) -> None:
    assert safe(words).startswith("'")


@pytest.mark.parametrize("words", ["towels", "2026-07-14", "3 = 2", "", "Ines’ basin", "a-b"])
def test_other_words_stay_as_they_are_in_csv(words: str) -> None:
    assert safe(words) == words


@pytest.mark.parametrize(("words", "shown"), [
    ("<b>x</b>", "&lt;b\\>x&lt;/b\\>"), ("[a](b)", "\\[a\\](b)"), ("# no heading", "\\# no heading"),
    ("1. no list", "1\\. no list"), ("5.5 in", "5.5 in"),
    ("- no list", "\\- no list"), ("a | b", "a \\| b"), ("*x* _y_", "\\*x\\* \\_y\\_"),
    ("see http://x.example", "see http\\://x.example"), ("www.x.example", "www\\.x.example"),
    ("a@x.example", "a&#64;x.example"), ("&lt;", "&amp;lt;"), ("two\nlines", "two lines"), ("`x`", "\\`x\\`"),
])
def test_markdown_takes_words_as_words(words: str, shown: str) -> None:
    assert escaped(words) == shown


def test_markdown_speaks_of_no_drawing(lived: Runner, looked: Looker) -> None:
    words = markdown(document(record(looked())))
    assert "Pomegranate: up to 36 gal a week." in words
    assert "chart" not in words and "Gray bars" not in words


def test_markdown_rows_have_as_many_cells_as_their_head(lived: Runner, looked: Looker) -> None:
    width = 0
    for line in markdown(document(record(looked()))).splitlines():
        cells = len(re.findall(r"(?<!\\)\|", line)) if line.startswith("|") else 0
        assert not (width and cells) or cells == width, line
        width = cells


@pytest.mark.parametrize("form", [html, markdown, as_csv])
def test_no_control_character_survives(lived: Runner, looked: Looker, form: object) -> None:
    assert callable(form)
    made = form(document(record(looked())))
    assert not [sign for sign in made if unicodedata.category(sign) in ("Cc", "Cs") and sign not in "\n\r"]
    assert not set(made) & set("\u202e\u202d\u2066\u2067\u2068\u200f")


@pytest.mark.parametrize("name", ["r.pdf", "r.html", "r.HTM", "r.md", "r.markdown", "r.csv"])
def test_the_ending_chooses_the_form(lived: Runner, looked: Looker, tmp_path: Path, name: str) -> None:
    exports.report(looked(), tmp_path / name)
    begin = (tmp_path / name).read_bytes()[:40]
    form = name.split(".")[1].casefold()[:2]
    assert begin.startswith({"pd": b"%PDF", "ht": b"<!DOCTYPE html>", "md": b"# Laundry", "ma": b"# Laundry",
                             "cs": b"\xef\xbb\xbftable,"}[form])
    assert (tmp_path / name).stat().st_mode & 0o777 == 0o600


@pytest.mark.parametrize("name", ["report", "report.docx", "report.pdf.exe"])
def test_another_ending_is_refused_and_nothing_written(lived: Runner, looked: Looker, tmp_path: Path,
                                                       name: str) -> None:
    with pytest.raises(BadInput, match="does not say in which form"):
        exports.report(looked(), tmp_path / name)
    assert not (tmp_path / name).exists()


def test_the_same_household_and_moment_give_the_same_bytes(printed: bytes, looked: Looker, tmp_path: Path) -> None:
    for name in ("a.pdf", "a.html", "b.html"):
        exports.report(looked(), tmp_path / name)
    assert (tmp_path / "a.pdf").read_bytes() == printed
    assert (tmp_path / "a.html").read_bytes() == (tmp_path / "b.html").read_bytes()


@pytest.mark.parametrize(("command", "name"), [
    ("report", "p.pdf"), ("report", "p.html"), ("report", "p.md"), ("report", "p.csv"), ("manual", "p.pdf"),
    ("manual", "p.html"), ("card", "p.pdf"), ("card", "p.html"),
])
def test_a_paper_of_gwlogs_is_written_anew_and_one_that_was_changed_is_not(home: Runner, tmp_path: Path, command: str,
                                                                          name: str) -> None:
    out = tmp_path / name
    assert home(command, str(out)).code == 0
    assert home(command, str(out)).code == 0
    mine = out.read_bytes()
    for changed in (mine + b" ", mine[:-9] + mine[-8:], mine[:2000] + b"x" + mine[2001:]):
        out.write_bytes(changed)
        answer = home(command, str(out))
        assert (answer.code, out.read_bytes()) == (2, changed), answer.err
    other = next(one for one in ("report", "manual", "card") if one != command)
    out.write_bytes(mine)
    if out.suffix in (".pdf", ".html"):
        assert home(other, str(out)).code == 2   # a paper for something else


def test_the_command_writes_and_says_so(lived: Runner, tmp_path: Path) -> None:
    answer = lived("report", str(tmp_path / "r.md"), "--for", "everything", "--from", "2026-07-05", "--to",
                   "2026-07-06", "--roles", "--without-notes-of", "observation")
    assert (answer.code, answer.out) == (0, "")
    assert "Wrote" in answer.err
    assert "July 5, 2026 to July 6, 2026" in (tmp_path / "r.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("words", [
    ("report", "r.doc"), ("report", "r.pdf", "--paper", "a9"), ("report", "r.csv", "--paper", "a4"),
    ("report", "r.md", "--from", "never"), ("manual", "m.md"), ("card", "c.png"), ("report", "no/such/folder/r.md"),
])
def test_bad_input_exits_with_2_and_writes_nothing(lived: Runner, tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
                                                   words: tuple[str, ...]) -> None:
    monkeypatch.chdir(tmp_path)
    before = sorted(path.name for path in tmp_path.iterdir() if not path.name.startswith("logbook"))
    assert lived(*words).code == 2
    assert sorted(path.name for path in tmp_path.iterdir() if not path.name.startswith("logbook")) == before
