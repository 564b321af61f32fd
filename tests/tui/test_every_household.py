"""Every flow of the screens on every household: small and large terminal, US and metric, demo, ten years, empty.

What each flow does in detail stands in the tests beside this one; here nothing may break, be cut off, or be told in
another household's units.
"""

from __future__ import annotations

import os
import re
import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path

import pytest
from rich.cells import cell_len
from textual.pilot import Pilot
from textual.widgets import OptionList

import demo_seed
from gwlog import clock
from gwlog.journal import store
from gwlog.journal.facts import Fact, Mulch, Site, WashLoad, WeatherDay, Withdrawal
from gwlog.journal.reader import read
from gwlog.journal.writer import append
from gwlog.tui.app import GwlogApp
from gwlog.tui.dialogs.basin import BasinDialog
from gwlog.tui.dialogs.load import LoadDialog
from gwlog.tui.widgets.choice import Choice
from gwlog.tui.widgets.entry_line import EntryLine
from tests.tui.conftest import Clock, press, seen, settle

Size = tuple[int, int]
DAY = date(2025, 8, 15)
MORNING = clock.attach(datetime(2025, 8, 15, 10), demo_seed.ZONE)  # noqa: DTZ001 - wall time
FOREIGN = {"us": re.compile(r"\d (L|mm)\b"), "metric": re.compile(r"\d (gal|in|ft)\b")}
"""Figures in the units of the other kind of household."""


def written_once(folder: Path, name: str, make: Callable[[Path], None]) -> Path:
    """A logbook that all workers of a run share: the first one makes it, under another name until it is whole."""
    path = folder / name
    if not path.exists():
        draft = folder / f"{os.getpid()}-{name}"
        make(draft)
        draft.replace(path)
    return path


def write(path: Path, facts: list[Fact]) -> None:
    """Write entries into a new logbook that is one closed file."""
    store.create(path)
    append(path, facts, now=MORNING)
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("PRAGMA journal_mode = DELETE")


def demo(folder: Path, years: int | None, units: str) -> Path:
    """The demo household's logbook of so many years; in metric: the same entries, of a household that reads metric."""
    def make(path: Path) -> None:
        write(path, [fact for batch in demo_seed.story(DAY, years=years) for fact in batch.facts])

    us = written_once(folder, f"demo-{years}.db", make)
    if units == "us":
        return us
    return written_once(folder, f"demo-{years}-metric.db", lambda path: write(path, [
        replace(fact, id=0, units="metric") if isinstance(fact, Site) else replace(fact, id=0) for fact in read(us)]))


@pytest.fixture(scope="session")
def shared(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder that all workers of this run see."""
    base = tmp_path_factory.getbasetemp()
    return base.parent if "PYTEST_XDIST_WORKER" in os.environ else base


class Walk:
    """One person at the screens, who looks at each of them after every key."""

    def __init__(self, app: GwlogApp, pilot: Pilot[None], size: Size, units: str) -> None:
        self.app, self.pilot, self.size, self.units = app, pilot, size, units

    async def press(self, *keys: str, units: bool = True) -> str:
        """Press keys; after each, the screen must stand whole and speak in the household's units."""
        page = seen(self.app)
        for key in keys:
            await press(self.app, self.pilot, key)
            page = seen(self.app)
            rows = page.split("\n")
            assert len(rows) == self.size[1] and all(cell_len(row) <= self.size[0] for row in rows), key
            # examples of what may be typed are in both
            told = [row for row in rows if "like" not in row and " or " not in row]
            assert not units or not [row for row in told if FOREIGN[self.units].search(row)], (key, page)
        return page

    async def fill(self, field: str, words: str) -> None:
        """Give a field of the form that is open its words."""
        self.app.screen.query_one(f"#f-{field}", EntryLine).value = words
        await settle(self.app, self.pilot)


def quantity(units: str, us: str, metric: str) -> str:
    return metric if units == "metric" else us


async def places(walk: Walk) -> None:
    page = await walk.press("1")
    assert "Basins" in page and "To do" in page and "Pomegranate" in page
    await walk.press("2", "right", "down", "enter")
    assert isinstance(walk.app.screen, BasinDialog)
    assert "last 30 days and the 14 to come" in seen(walk.app).replace("\n", " ")
    await walk.press("escape")
    assert "The next 14 days" in await walk.press("3", "pagedown")
    await walk.press("w", *"3", "escape")
    assert "Read the label" in await walk.press("1", "5") or "flush" in seen(walk.app)
    await walk.press("6", "down", "7", "down")


async def load_and_back(walk: Walk, path: Path) -> None:
    count = len(read(path))
    page = await walk.press("1", "l")
    assert isinstance(walk.app.screen, LoadDialog) and ("GARDEN" in page or "SEWER" in page)
    page = await walk.press("1")
    if isinstance(walk.app.screen, LoadDialog):
        page = await walk.press("a")
    assert "Logged" in page and "b takes it back" in page
    fresh = read(path)[count:]
    assert isinstance(fresh[-1], WashLoad)
    page = await walk.press("b")
    assert {type(fact) for fact in read(path)[count + len(fresh):]} == {Withdrawal}


async def every_form(walk: Walk, path: Path) -> None:
    count = len(read(path))
    await walk.press("v", "enter")
    await walk.press("c")
    await walk.fill("depth", quantity(walk.units, "2", "50"))
    await walk.press("enter")
    await walk.press("r")
    await walk.fill("amount", quantity(walk.units, "0.5", "12"))
    await walk.press("enter")
    await walk.press("o")
    walk.app.screen.query_one("#f-basin", Choice).choose(1)
    await walk.press("enter", "s", "enter", "m", "enter", "d", "enter")
    assert not walk.app.screen.is_modal, seen(walk.app)
    fresh = read(path)[count:]
    assert [fact.KIND for fact in fresh] == ["valve_switch", "mulch", "weather_day", "observation", "resolution",
                                             "outlet_move", "upkeep_done"]
    mulch = next(fact for fact in fresh if isinstance(fact, Mulch))
    rain = next(fact for fact in fresh if isinstance(fact, WeatherDay))
    assert (mulch.depth_mm, rain.rain_um) == ((50, 12_000) if walk.units == "metric" else (51, 12_700))


async def catch_up(walk: Walk, path: Path) -> None:
    count = len(read(path))
    await walk.press("t")
    for line in ("yesterday 9 towels sewer", "yesterday 20:00 rain " + quantity(walk.units, "0.1in", "3 mm")):
        walk.app.screen.query_one("#line", EntryLine).value = line
        await walk.press("enter")
    page = await walk.press("enter")
    assert "Logged" in page or "Will log" in page, page
    if walk.app.screen.is_modal:
        await walk.press("enter")
    kinds = [fact.KIND for fact in read(path)[count:]]
    assert "wash_load" in kinds and "weather_day" in kinds


async def log_and_mend(walk: Walk, path: Path) -> None:
    await walk.press("4", "slash")
    walk.app.screen.query_one("#words-in", EntryLine).value = "towels"
    await walk.press("enter", "f", "F", "full_stop", "comma", "h", "escape", "i", "escape", "a", "a")
    await walk.press("x")
    await walk.fill("volume", quantity(walk.units, "11 gal", "41 L"))
    page = await walk.press("enter")
    assert "Logged" in page, page
    correction = read(path)[-1]
    assert isinstance(correction, WashLoad) and correction.corrects_id
    assert round(correction.volume_ml, -3) in (41_000, 42_000)
    page = await walk.press("h")
    assert quantity(walk.units, "11 gal", "41 L") in page
    await walk.press("escape", "escape", "escape")


async def records_and_setup(walk: Walk) -> None:
    await walk.press("6")
    works = walk.app.screen.query_one("#works", OptionList)
    works.highlighted = works.get_option_index("verify")
    assert "✓ Verify the seal" in await walk.press("enter")
    for work in ("moment", "figures", "notifications", "phones", "weather", "loads", "restore", "take site file",
                 "pdf"):
        works.highlighted = works.get_option_index(work)
        # published figures stand in the units in which they were published
        await walk.press("enter", units=work != "figures")
        assert walk.app.screen.is_modal, work
        await walk.press("escape")
    await walk.press("e")
    walk.app.screen.query_one("#days", EntryLine).value = "3"
    page = await walk.press("enter")
    assert "the plan" in page, page
    await walk.press("escape", "7", "enter", "escape", "question_mark", "escape", "n", "n", "p")


@pytest.mark.parametrize(("years", "units", "size"), [
    pytest.param(None, "us", (80, 24), id="demo 80x24 us", marks=pytest.mark.long),
    pytest.param(None, "metric", (140, 50), id="demo 140x50 metric", marks=pytest.mark.long),
    pytest.param(10, "metric", (80, 24), id="ten years 80x24 metric", marks=pytest.mark.long),
    pytest.param(10, "us", (140, 50), id="ten years 140x50 us", marks=pytest.mark.long),
])
async def test_every_flow_on_every_household(years: int | None, units: str, size: Size, shared: Path,
                                             tmp_path: Path) -> None:
    path = tmp_path / "house.db"
    path.write_bytes(demo(shared, years, units).read_bytes())
    screens = GwlogApp(path, Clock(MORNING), poll=False)
    async with screens.run_test(size=size) as pilot:
        await settle(screens, pilot)
        walk = Walk(screens, pilot, size, units)
        await places(walk)
        await load_and_back(walk, path)
        if years and size == (140, 50):
            return  # the forms and boxes of ten years are walked on the small terminal
        await every_form(walk, path)
        await catch_up(walk, path)
        await log_and_mend(walk, path)
        await records_and_setup(walk)
        assert screens.is_running
