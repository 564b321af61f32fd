"""Today begins with the next load and its answer, in its top third; one key logs it as advised."""

from __future__ import annotations

import shutil
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from gwlog.journal.facts import PlannedLoad, Site, WashLoad
from gwlog.journal.reader import read
from gwlog.journal.writer import append
from gwlog.tui.app import GwlogApp
from gwlog.tui.dialogs.load import LoadDialog
from tests.tui.conftest import NOW, ZONE, Clock, household, press, seen, settle

SIZES = [(60, 20), (80, 24), (140, 45)]


def expecting(path: Path, load: str, wall: str) -> None:
    """Expect a usual load at a local wall time."""
    plan = PlannedLoad(happened_at=NOW - timedelta(days=1), zone=ZONE, name=load, load=load, starts=wall)
    append(path, [plan], now=NOW)


@pytest.mark.parametrize("size", SIZES)
async def test_the_top_third_holds_the_load_its_answer_what_to_do_and_the_key(logbook: Path, clock: Clock,
                                                                             size: tuple[int, int]) -> None:
    expecting(logbook, "towels", "2026-06-16T10:30")
    screens = GwlogApp(logbook, clock, poll=False)
    async with screens.run_test(size=size) as pilot:
        await settle(screens, pilot)
        top = "\n".join(seen(screens).split("\n")[: size[1] // 3 + 1])
        assert "Next: towels, today 10:30 am   y logs it as advised" in top
        assert "▶ GARDEN: Lemon" in top and "first: Move Hose from Pomegranate to Lemon." in top


async def test_one_key_logs_the_move_and_the_load_as_they_were_shown(logbook: Path, clock: Clock) -> None:
    expecting(logbook, "towels", "2026-06-16T10:00")
    screens = GwlogApp(logbook, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "y")
        assert "towels, 18 gal to Lemon" in seen(screens)
    *_, move, load = read(logbook)
    assert (move.outlet, move.basin) == ("Hose", "Lemon")  # type: ignore[attr-defined]
    assert isinstance(load, WashLoad) and load.usual_load == "towels" and load.went_to == "garden"


async def test_a_load_that_runs_early_is_logged_where_the_advice_is_the_same(logbook: Path, clock: Clock) -> None:
    expecting(logbook, "diapers", "2026-06-17T10:00")
    screens = GwlogApp(logbook, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        before = len(read(logbook))
        assert "Next: diapers, tomorrow 10:00" in seen(screens)
        await press(screens, pilot, "y")
        logged = read(logbook)[before:]
        assert [one.KIND for one in logged] == ["valve_switch", "wash_load"]
        assert "↻ The machine drains diapers until 11:00 am." in seen(screens)


async def test_with_nothing_expected_the_key_opens_the_list(logbook: Path, clock: Clock) -> None:
    screens = GwlogApp(logbook, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        assert "No load is expected. l says where a load may go now." in seen(screens)
        await press(screens, pilot, "y")
        assert isinstance(screens.screen, LoadDialog)


async def test_typing_the_beginning_of_a_name_finds_a_load(logbook: Path, clock: Clock) -> None:
    screens = GwlogApp(logbook, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "l", "d", "i")
        assert "diapers, 18 gal  →  SEWER (must)" in seen(screens) and "found by “di”" in seen(screens)
        await press(screens, pilot, "escape")
        assert isinstance(screens.screen, LoadDialog) and "found by" not in seen(screens)
        await press(screens, pilot, "escape")
        assert not isinstance(screens.screen, LoadDialog)


@pytest.mark.parametrize("size", SIZES)
async def test_what_comes_before_the_first_load_stands_in_one_line_under_its_answer(
        blank: Path, tmp_path: Path, clock: Clock, size: tuple[int, int]) -> None:
    path = Path(shutil.copy(blank, tmp_path / "permit.db"))
    append(path, [replace(one, code="us-or-1", code_edition="2026-11") if isinstance(one, Site) else one
                  for one in household()], now=NOW)
    expecting(path, "towels", "2026-06-16T10:30")
    screens = GwlogApp(path, clock, poll=False)
    async with screens.run_test(size=size) as pilot:
        await settle(screens, pilot)
        lines = [line.strip() for line in seen(screens).split("\n")]
        under = next(number for number, line in enumerate(lines) if "GARDEN: " in line) + 1
        assert lines[under] == "Permit first (us-or-1): not yet settled."
