"""The published figures on a screen: every figure of every table can be reached, in full, with source and how sure."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from textual.widgets import OptionList

from gwlog.journal.facts import Site
from gwlog.journal.reader import read
from gwlog.journal.writer import append
from gwlog.reference.listing import TABLES, table
from gwlog.tui.app import GwlogApp
from gwlog.tui.dialogs.figures import FiguresDialog
from gwlog.tui.widgets.choice import Choice
from gwlog.tui.widgets.entry_line import EntryLine
from gwlog.views import figures
from tests.tui.conftest import NOW, SIZES, Clock, household, press, seen, settle
from tests.tui.test_nasty_text import NASTY, clean

pytestmark = pytest.mark.long

Size = tuple[int, int]


async def opened(app: GwlogApp, pilot: object) -> FiguresDialog:
    dialog = FiguresDialog()
    app.push_screen(dialog)
    await settle(app, pilot)  # type: ignore[arg-type]
    return dialog


def joined(page: str) -> str:
    """The page's words without their line breaks."""
    return " ".join(page.split())


def test_no_figure_of_any_table_is_left_out() -> None:
    every = figures.blocks("us")
    for name in TABLES:
        mine = [block for block in every if block.table == name]
        assert [block.name for block in mine] == list(dict.fromkeys(str(row["name"]) for row in table(name)))
        assert sum(len(block.figures) for block in mine) == len(table(name))
        assert all(one.value and one.source and one.sure for block in mine for one in block.figures)
    assert set(figures.ABOUT) == set(TABLES)


@pytest.mark.parametrize(("system", "words", "what", "value", "own"), [
    ("us", "us-ca-washer least cover", "least cover", "50.8 mm", "2 in"),
    ("metric", "us-ca-washer property line", "property line", "1.5 ft", "0.457 m"),
    ("metric", "sandy loam utah", "absorption allowance, Utah", None, "L/m²/day"),
    ("us", "pomegranate root", "root depth", None, "ft"),
    ("us", "us-wa-1 months", "months of use", "Apr, May, Jun, Jul, Aug, Sep and Oct", ""),
    ("us", "textures silt loam wilting 1998", "wilting point", "0.09 to 0.21 m³/m³", ""),
    ("us", "blueberry acid-loving", "acid-loving", "yes", ""),
    ("us", "throw the valve stuck", "how often", "every 12 months", ""),
])
def test_values_are_told_in_words_and_in_the_households_units(system: figures.System, words: str, what: str,
                                                              value: str | None, own: str) -> None:
    hits = [one for block in figures.found(figures.blocks(system), words) for one in block.figures]
    one = next(one for one in hits if one.what == what)
    assert value in (None, one.value)
    assert one.own.endswith(own) and bool(one.own) == bool(own)


@SIZES
async def test_tables_names_and_figures_with_the_keys(screens: GwlogApp, size: Size) -> None:
    async with screens.run_test(size=size) as pilot:
        await settle(screens, pilot)
        await opened(screens, pilot)
        page = seen(screens)
        assert "■ soils" in page and "24 figures" in page and "absorption allowance: 5 gal/ft²/day" in page
        await press(screens, pilot, "right", "right", "down")
        page = joined(seen(screens))
        assert "■ plants" in page and "lemon in plants" in page and "plant factor: 0.65" in page
        assert "FAO Irrigation and Drainage Paper 56" in page and "read in the document" in page
        await press(screens, pilot, "left", "left", "left")
        assert "■ cautions" in seen(screens)
        await press(screens, pilot, "escape")
        assert not isinstance(screens.screen, FiguresDialog)


@pytest.mark.parametrize("size", [(60, 20), (80, 24)])
async def test_the_longest_figures_can_be_read_to_their_last_word(screens: GwlogApp, size: Size) -> None:
    async with screens.run_test(size=size) as pilot:
        await settle(screens, pilot)
        dialog = await opened(screens, pilot)
        dialog.query_one("#table", Choice).choose(list(TABLES).index("climate"))
        await settle(screens, pilot)
        pages = seen(screens)
        for _ in range(3):
            await press(screens, pilot, "space")
            pages += seen(screens)
        block = next(block for block in dialog.every if block.table == "climate")
        for word in f"{block.figures[0].value} {block.figures[1].value}".split():
            assert word in pages
        await press(screens, pilot, "enter", "end")
        assert "(from memory" in joined(seen(screens)) and dialog.query_one("#page").has_focus


async def test_words_are_found_in_every_table_and_put_away_again(screens: GwlogApp) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        dialog = await opened(screens, pilot)
        await press(screens, pilot, "slash", *"boron")
        await pilot.pause(0.3)
        await settle(screens, pilot)
        tables = {block.table for block in dialog.shown}
        assert {"plants", "chemistry"} <= tables and "in all tables with “boron”" in seen(screens)
        assert all("boron" in one.found_by for block in dialog.shown for one in block.figures)
        await press(screens, pilot, "down", "down")
        assert dialog.query_one(OptionList).highlighted == 1
        await press(screens, pilot, "escape")
        await pilot.pause(0.3)
        assert dialog.words == "" and {block.table for block in dialog.shown} == {"soils"}
        await press(screens, pilot, "slash", *"no such plant")
        await pilot.pause(0.3)
        assert "No figure in any table holds all of" in joined(seen(screens))
        await press(screens, pilot, "escape", "right")
        assert dialog.words == "" and "textures:" in seen(screens)


async def test_the_mouse_chooses_tables_and_names(screens: GwlogApp) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        dialog = await opened(screens, pilot)
        await pilot.click("#table", offset=(14, 0))
        await settle(screens, pilot)
        assert dialog.table == "textures"
        await pilot.click("#names", offset=(3, 2))
        await settle(screens, pilot)
        assert "sandy loam  in textures" in seen(screens)


async def test_a_metric_household_and_a_logbook_without_one_are_served(empty: Path, clock: Clock) -> None:
    screens = GwlogApp(empty, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        dialog = await opened(screens, pilot)
        assert dialog.system == "us" and "24 figures" in seen(screens)
        site = next(fact for fact in household() if isinstance(fact, Site))
        append(empty, [replace(site, units="metric")], now=NOW)
        await screens.reload()
        await settle(screens, pilot)
        assert dialog.system == "metric" and "L/m²/day" in joined(seen(screens))


async def test_nasty_words_are_searched_for_and_nothing_else(screens: GwlogApp) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        dialog = await opened(screens, pilot)
        for words in NASTY:
            dialog.query_one("#words-in", EntryLine).value = words
            await pilot.pause(0.3)
            await settle(screens, pilot)
            assert clean(seen(screens)) and isinstance(screens.screen, FiguresDialog)
    assert len(read(screens.path)) == len(household())
