"""Manual and card as pages for a browser, judged by axe-core in headless Chromium (rules of WCAG 2.0 to 2.2, A and AA).

Where there is no Chromium they are not judged, and that is said.
"""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from gwlog.app import exports
from gwlog.household import Household
from tests.conftest import Runner
from tests.documents.conftest import Looker

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
RULES = {"runOnly": {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}}


@pytest.mark.long
@pytest.mark.skipif(CHROMIUM is None, reason="no Chromium here: the pages are not judged")
def test_manual_and_card_can_be_read_by_everybody(lived: Runner, looked: Looker, tmp_path: Path) -> None:
    judge = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe is not installed")
    from playwright.sync_api import sync_playwright

    home: Household = looked()
    exports.manual(home, tmp_path / "manual.html")
    exports.card(home, tmp_path / "card.html")
    with sync_playwright() as played:
        browser = played.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        for scheme in ("light", "dark"):
            for name in ("manual.html", "card.html"):
                page = browser.new_page(color_scheme=scheme, bypass_csp=True, viewport={"width": 400, "height": 800})
                page.goto((tmp_path / name).as_uri())
                found = judge.Axe().run(page, options=RULES)
                assert not found.response["violations"], (name, scheme, found.generate_report())
                page.close()
        browser.close()
