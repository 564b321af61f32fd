"""Draws the screens and two papers of the demo household as pictures for README.md, from a checkout:

    python -m tests.tools.pictures [FOLDER]

Always the same day and the same story, so that a picture changes only when a screen or the demo does.
"""

from __future__ import annotations

import asyncio
import os
import sys
from collections.abc import Sequence
from datetime import date, datetime, time
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from gwlog import clock
from tests.tools.paper import first_page
from tests.tools.svg import picture

if TYPE_CHECKING:
    from gwlog.tui.app import GwlogApp

FOLDER = Path(".pictures")
TODAY, SEED, HOUR, ZONE = date(2026, 6, 16), 1, time(10), "America/Los_Angeles"

PICTURES: dict[str, tuple[tuple[int, int], tuple[str, ...], str]] = {
    "today": ((80, 40), (), "Today: the next load and its answer, valve and outlets, what is due, basins"),
    "load": ((80, 24), ("l",), "Which load? Each usual load with its answer, and the reasons for one"),
    "basin": ((132, 40), ("2", "right"), "Garden: the basins at their places, and one basin's water day by day"),
    "plan": ((132, 40), ("3",), "Plan: the next two weeks with where each outlet is, turns, sewer days and reasons"),
}

PAPERS = {"card": "The card for the wall: what goes to the garden, what to the sewer, and what to do at once",
          "record": "The yearly record for the landlord: exceptions first, then the evidence"}
"""The papers of which the first page is drawn."""


def moment() -> datetime:
    """The moment at which the pictures look at the demo."""
    return clock.attach(datetime.combine(TODAY, HOUR), ZONE)


async def draw(logbook: Path) -> dict[str, str]:
    """Every picture as SVG text."""
    from gwlog.tui.app import GwlogApp

    drawn = {}
    for name, (size, keys, title) in PICTURES.items():
        app = GwlogApp(logbook, moment, poll=False)
        async with app.run_test(size=size) as pilot:
            await _settle(app)
            for key in keys:
                await pilot.press(key)
                await _settle(app)
            await pilot.pause(0.2)
            strips = app.screen._compositor.render_strips()
            drawn[name] = picture([list(strip) for strip in strips], size[0], title,
                                  app.current_theme.background or "#000000", app.current_theme.foreground or "#ffffff")
    return drawn


def papers(logbook: Path, folder: Path) -> dict[str, str]:
    """The first page of each paper as SVG text; `folder`: a passing place for the papers themselves."""
    from gwlog.cli.main import run

    drawn = {}
    for name, title in PAPERS.items():
        out = folder / f"{name}.pdf"
        command = "report" if name == "record" else name
        run(["--logbook", str(logbook), command, str(out), "--at", f"{TODAY}T{HOUR:%H:%M}"])
        drawn[name] = first_page(out.read_bytes(), title)
    return drawn


async def _settle(app: GwlogApp) -> None:
    """Wait until everything that was begun has been shown."""
    while app.home is None and app.trouble is None:
        await asyncio.sleep(0.02)
    while any(not worker.is_finished for worker in app.workers):
        await app.workers.wait_for_complete()
        await asyncio.sleep(0.02)


def main(words: Sequence[str]) -> int:
    """Write the demo logbook into a passing folder, and the pictures where they belong."""
    try:
        from demo_seed import story, write
    except ModuleNotFoundError:
        sys.stderr.write("The pictures are drawn from a checkout, where demo_seed.py is.\n")
        return 1
    # the same on every terminal
    for name in [one for one in os.environ if one == "NO_COLOR" or one.startswith("TEXTUAL")]:
        del os.environ[name]
    os.environ["TEXTUAL_ANIMATIONS"] = "none"
    folder = Path(words[0]) if words else FOLDER
    folder.mkdir(parents=True, exist_ok=True)
    with TemporaryDirectory() as passing:
        logbook = Path(passing) / "logbook.db"
        write(logbook, story(TODAY, seed=SEED))
        for name, svg in {**asyncio.run(draw(logbook)), **papers(logbook, Path(passing))}.items():
            (folder / f"{name}.svg").write_text(svg, encoding="utf-8")
            sys.stdout.write(f"{folder / f'{name}.svg'}: {len(svg.encode()) // 1000} kB\n")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
