"""Other water by keys: the form from the key to the entry in the file, the lines of catching up, its correction."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from gwlog.journal.facts import OtherWater
from gwlog.journal.reader import read
from gwlog.journal.writer import append
from gwlog.tui.app import GwlogApp
from gwlog.tui.dialogs.form import FormDialog
from gwlog.tui.keys import KEYS
from tests.tui.conftest import NOW, Clock, household, press, settle, words

SMALL = pytest.mark.parametrize("size", [(80, 24), (60, 20)], ids=["80x24", "60x20"])


def poured(path: Path) -> list[tuple[str, int, str]]:
    """What other water the logbook holds."""
    return [(fact.basin, fact.volume_ml, fact.way) for fact in read(path) if isinstance(fact, OtherWater)]


@SMALL
async def test_a_hose_for_some_minutes_is_logged_by_keys_with_its_caution(screens: GwlogApp, size: tuple[int, int]
                                                                           ) -> None:
    async with screens.run_test(size=size) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "W", "tab", "right", "right", "tab", "tab", *"20", "tab", *"2 gal/min")
        assert "Will log:" in words(screens) and "40 gal of other water to" in words(screens)
        await press(screens, pilot, "pagedown")
        assert "never joined to the graywater pipe" in words(screens)
        await press(screens, pilot, "enter")
        assert not isinstance(screens.screen, FormDialog)
        assert "missing now." in words(screens) and "caution: Lay the drinking-water hose down" in words(screens)
    ((_, ml, way),) = poured(screens.path)
    assert (ml, way) == (151_416, "hose")


@SMALL
async def test_the_thirstiest_basin_is_offered_first_and_a_can_needs_no_caution(
        screens: GwlogApp, size: tuple[int, int]) -> None:
    async with screens.run_test(size=size) as pilot:
        await settle(screens, pilot)
        basins = screens.home.garden.basins  # type: ignore[union-attr]
        thirstiest = max(basins.values(), key=lambda one: one.deficit_l / one.raw_l).name
        await press(screens, pilot, "W", "tab", "tab", *"3gal")
        assert "graywater pipe" not in words(screens)
        await press(screens, pilot, "enter")
    assert poured(screens.path) == [(thirstiest, 11_356, "can")]


async def test_what_is_missing_or_too_much_is_told_and_nothing_is_logged(screens: GwlogApp) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "W", "tab", "tab")
        assert "How much water was it?" in words(screens) and "gwlog" not in words(screens).split("How much", 1)[1]
        await press(screens, pilot, *"9999", "enter")
        assert "up to 5,283 gal is accepted" in words(screens)
        assert isinstance(screens.screen, FormDialog)
        await press(screens, pilot, "escape", "W")
        assert screens.screen.query_one("#f-amount").value == "9999"  # type: ignore[attr-defined]
    assert poured(screens.path) == []


async def test_a_metric_household_types_litres(empty: Path, clock: Clock) -> None:
    append(empty, [replace(one, units="metric") if one.KIND == "site" else one for one in household()], now=NOW)
    app = GwlogApp(empty, clock, poll=False)
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(app, pilot)
        await press(app, pilot, "W", "tab", "tab", *"12", "enter")
        assert "12 L of other water to" in words(app) and "L missing now." in words(app)
    assert [ml for _, ml, _ in poured(empty)] == [12_000]


@SMALL
async def test_a_typed_line_a_correction_and_the_way_back(screens: GwlogApp, size: tuple[int, int]) -> None:
    async with screens.run_test(size=size) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "t", *"water fig 3gal drip", "enter", "enter")
        assert "Fig: " in words(screens) and "missing now." in words(screens)
        await press(screens, pilot, "4")
        assert "3 gal of other water to Fig (drip)" in words(screens)
        await press(screens, pilot, "x", "tab", *"5gal", "enter")
        assert "5 gal of other water to Fig (drip)" in words(screens)
        await press(screens, pilot, "w", *"typed twice", "enter")
        assert "withdraw" in words(screens)
    assert poured(screens.path) == [("Fig", 11_356, "drip"), ("Fig", 18_927, "drip")]


async def test_the_last_one_is_taken_back_by_its_key(screens: GwlogApp, clock: Clock) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "W", "tab", "tab", *"3gal", "enter")
        clock.move(minutes=1)
        await press(screens, pilot, "b")
        assert screens.home is not None and not any(screens.home.state.other_water.values())
    assert len(poured(screens.path)) == 1   # the entry stays, struck out


async def test_the_key_stands_in_the_help_and_in_the_list_of_everything(screens: GwlogApp) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        assert any(one.title.startswith("Other water") for one in screens.get_system_commands(screens.screen))
        await press(screens, pilot, "question_mark")
        from gwlog.tui.dialogs.help import HelpDialog

        assert isinstance(screens.screen, HelpDialog)
        assert any("other water" in what for _, lines in screens.screen.groups for _, what in lines)


async def test_the_key_is_free_on_every_screen(screens: GwlogApp) -> None:
    own = [binding.key for binding in KEYS]  # type: ignore[union-attr]
    assert own.count("W") == 1
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        for place in "1234567":
            await press(screens, pilot, place, "W")
            assert isinstance(screens.screen, FormDialog), place
            await press(screens, pilot, "escape")


async def test_without_a_household_the_key_says_why_it_logs_nothing(empty: Path, clock: Clock) -> None:
    app = GwlogApp(empty, clock, poll=False)
    async with app.run_test(size=(60, 20)) as pilot:
        await settle(app, pilot)
        await press(app, pilot, "W")
        assert not isinstance(app.screen, FormDialog)
    assert poured(empty) == []


def test_the_form_starts_at_the_basin_that_the_plan_leaves_short_first_else_at_the_thirstiest() -> None:
    from types import SimpleNamespace as Made

    from gwlog.app.forms.entries import FORMS

    start = next(field.start for field in FORMS["water"].fields if field.key == "basin")
    basins = {name: Made(name=name, deficit_l=lacks, raw_l=10.0) for name, lacks in (("Fig", 5), ("Plum", 9))}
    late, soon = (Made(basin=name, first=date(2026, 6, day)) for name, day in (("Plum", 20), ("Fig", 18)))
    home = Made(garden=Made(basins=basins), plan=Made(short=(late, soon)))
    assert start(home) == "Fig"
    assert start(Made(garden=Made(basins=basins), plan=Made(short=()))) == "Plum"
