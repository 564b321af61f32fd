"""The papers as other programs see them: poppler's tools and an accessibility checker in a browser.

Skipped where a machine has no poppler (pdfinfo, pdftotext, pdffonts) or no Chromium.
"""

from __future__ import annotations

import re
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from gwlog.app import exports
from gwlog.documents.render.blocks import Column, litres, table
from gwlog.documents.render.html import html
from gwlog.documents.render.pdf import pdf
from tests.conftest import NOW
from tests.documents.conftest import Looker
from tests.documents.test_pdf import every_block, simple

needs_poppler = pytest.mark.skipif(not all(map(shutil.which, ("pdfinfo", "pdftotext", "pdffonts"))),
                                   reason="poppler is not on this machine")
CHROMIUM = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)


def poppler(*words: str) -> str:
    return subprocess.run(words, check=True, capture_output=True, text=True).stdout


@needs_poppler
def test_a_paper_is_tagged_with_headings_tables_heads_and_pictures_with_words(tmp_path: Path) -> None:
    content = pdf(simple(*every_block("Fig & more")))
    (tmp_path / "r.pdf").write_bytes(content)
    assert re.search(r"Tagged: +yes", poppler("pdfinfo", str(tmp_path / "r.pdf")))
    tree = poppler("pdfinfo", "-struct-text", str(tmp_path / "r.pdf"))
    for tag in ("H1 ", "H2 ", "Table ", "THead", "TH ", "TD", "LI", "Figure"):
        assert re.search(rf"^ *{re.escape(tag)}", tree, re.MULTILINE), tag
    assert re.search(r"H1 .*\n *\"Fig & more\"", tree)
    # PDF/UA-1 (ISO 14289-1): the file says of itself that its tags are complete; the typesetter checked them.
    assert b"<pdfuaid:part>1</pdfuaid:part>" in content
    assert b"/Alt(Bars of water to Fig & more for 2 weeks" in content


@needs_poppler
def test_every_letter_is_of_a_font_in_the_file(printed: bytes, manual_printed: bytes, tmp_path: Path) -> None:
    for content in (printed, manual_printed):
        (tmp_path / "r.pdf").write_bytes(content)
        fonts = [line.split() for line in poppler("pdffonts", str(tmp_path / "r.pdf")).splitlines()[2:]]
        assert {words[0].partition("+")[2] for words in fonts} >= {"DejaVuSansCondensed", "DejaVuSansCondensed-Bold"}
        assert all(words[-5:-2] == ["yes", "yes", "yes"] for words in fonts)   # embedded, a subset, with Unicode


@needs_poppler
def test_a_table_keeps_its_rows_on_lines_for_who_reads_it_as_text(tmp_path: Path) -> None:
    columns = [Column("basin"), Column("water", 1, "volume", True), Column("when")]
    (tmp_path / "r.pdf").write_bytes(pdf(simple(table("t", columns, [
        (f"Fig {n} by the long garden wall", litres(3.785411784 * n), NOW) for n in range(90)]))))
    said = poppler("pdftotext", "-layout", str(tmp_path / "r.pdf"), "-")
    assert len(re.findall(r"^ *basin +water, gal +when$", said, re.MULTILINE)) == 2   # on each of its pages
    assert re.findall(r"^ *Fig (\d+) by the long garden wall +(\d+) +Jul 14, 2026, \d+:\d\d [ap]m$", said,
                      re.MULTILINE) == [(str(n), str(n)) for n in range(90)]


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """A page in a browser without a screen."""
    api = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
    if CHROMIUM is None:
        pytest.skip("Chromium is not on this machine")
    with api.sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield chromium
        chromium.close()


@pytest.mark.long
def test_a_page_has_no_barrier_that_the_checker_knows(browser: Any, lived: object, looked: Looker,
                                                      tmp_path: Path) -> None:
    """axe-core: no finding that it calls serious or critical, by day and by night, wide and on a telephone."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright").Axe()
    exports.report(looked(), tmp_path / "report.html")
    exports.manual(looked(), tmp_path / "manual.html")
    exports.card(looked(), tmp_path / "card.html")
    (tmp_path / "blocks.html").write_text(html(simple(*every_block("Fig & <b>"))), encoding="utf-8")
    for name, width, scheme in (("report.html", 1280, "light"), ("manual.html", 1280, "dark"),
                                ("card.html", 360, "light"), ("blocks.html", 360, "dark")):
        page = browser.new_page(color_scheme=scheme, viewport={"width": width, "height": 800}, bypass_csp=True)
        page.goto((tmp_path / name).as_uri())
        found = axe.run(page).response["violations"]
        grave = [(one["id"], one["help"], one["nodes"][0]["html"][:200]) for one in found
                 if one["impact"] in ("serious", "critical")]
        assert not grave, name
        # Nothing but the regions that can be reached by the keyboard is wider than the screen.
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), name
        page.close()
