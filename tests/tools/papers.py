"""Draws every page of every paper of a logbook as pictures, to be looked at.

    python -m tests.tools.papers LOGBOOK FOLDER [--at MOMENT] [--metric] [--one-basin] [--paper letter|a4]

Pages are drawn by poppler's pdftoppm; the HTML of manual and card by a headless Chromium where there is one.
"""

from __future__ import annotations

import argparse
import shutil
import subprocess
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from gwlog import clock
from gwlog.app import exports
from gwlog.household import Household, look
from gwlog.journal.facts import Basin, Outlet, Site

DOTS = 70
Writer = Callable[[Household, Path], object]


def household(path: Path, now: datetime, *, metric: bool = False, one_basin: bool = False) -> Household:
    """The household of a logbook, described anew in memory where another unit or a single basin is wanted."""
    home = look(path, now)
    site = home.state.site
    assert site is not None
    more: list[Site | Basin | Outlet] = [replace(site, units="metric")] if metric else []
    if one_basin:
        first, *others = home.state.active_basins().values()
        more += [replace(basin, active=False) for basin in others]
        more += [replace(outlet, reaches=(first.name,), basin=first.name, active=number == 0)
                 for number, outlet in enumerate(home.state.active_outlets().values())]
    after = len(home.entries)
    return Household(path, now, [*home.entries, *(
        replace(one, id=after + number, happened_at=now, recorded_at=now, corrects_id=None)
        for number, one in enumerate(more, 1))])


def papers(home: Household, folder: Path, paper: str | None = None) -> list[Path]:
    """Write manual, card, letters and annexes of a household and draw their pages; returns the pictures."""
    folder.mkdir(parents=True, exist_ok=True)
    writers: dict[str, Writer] = {
        "manual.pdf": lambda one, out: exports.manual(one, out, paper=paper, replace=True),
        "card.pdf": lambda one, out: exports.card(one, out, paper=paper, replace=True),
        "manual.html": lambda one, out: exports.manual(one, out, replace=True),
        "card.html": lambda one, out: exports.card(one, out, replace=True),
        "letter.pdf": lambda one, out: exports.report(one, out, paper=paper, replace=True),
        "annex.pdf": lambda one, out: exports.annex(one, out, paper=paper, replace=True),
        "inspector.pdf": lambda one, out: exports.report(one, out, reader="inspector", paper=paper, replace=True),
        "inspector annex.pdf": lambda one, out: exports.annex(one, out, reader="inspector", paper=paper, replace=True),
        "letter.html": lambda one, out: exports.report(one, out, replace=True),
    }
    for name, write in writers.items():
        write(home, folder / name)
    drawn = [picture for name in writers if name.endswith(".pdf") for picture in pages(folder / name)]
    return drawn + [shot(folder / name) for name in writers if name.endswith(".html") and shutil.which("chromium")]


def pages(pdf: Path, dots: int = DOTS) -> list[Path]:
    """Each page of a PDF as a picture beside it."""
    for old in pdf.parent.glob(f"{pdf.stem}-*.png"):
        old.unlink()
    subprocess.run(["pdftoppm", "-r", str(dots), "-png", str(pdf), str(pdf.with_suffix(""))], check=True)
    return sorted(pdf.parent.glob(f"{pdf.stem}-*.png"))


def shot(page: Path) -> Path:
    """An HTML page as it looks in a browser."""
    from playwright.sync_api import sync_playwright

    out = page.with_suffix(".html.png")
    with sync_playwright() as played:
        browser = played.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        view = browser.new_page(viewport={"width": 900, "height": 1200})
        view.goto(page.absolute().as_uri())
        view.screenshot(path=out, full_page=True)
        browser.close()
    return out


def main(words: Sequence[str] | None = None) -> None:
    """Draw what is asked for and say where it is."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("logbook", type=Path)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--at", help="as of another moment")
    parser.add_argument("--metric", action="store_true")
    parser.add_argument("--one-basin", action="store_true")
    parser.add_argument("--paper")
    chosen = parser.parse_args(words)
    now = clock.now()
    if chosen.at:
        now = clock.moment(chosen.at, now, look(chosen.logbook, now).zone)
    home = household(chosen.logbook, now, metric=chosen.metric, one_basin=chosen.one_basin)
    for picture in papers(home, chosen.folder, chosen.paper):
        print(picture)


if __name__ == "__main__":
    main()
