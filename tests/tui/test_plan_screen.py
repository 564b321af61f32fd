"""Plan and the water to come: the fortnight's sheet, a supposition that logs nothing, a basin's days ahead."""

from __future__ import annotations

import re
from datetime import timedelta
from pathlib import Path
from threading import Event

import pytest

from gwlog.errors import BadInput
from gwlog.household import Household, look
from gwlog.journal.reader import read
from gwlog.journal.writer import append
from gwlog.tui import planner
from gwlog.tui.app import GwlogApp
from gwlog.tui.planner import Planned
from gwlog.tui.widgets.water_plot import signs
from gwlog.views.basin_outlook import COMING_DAYS, PAST_DAYS, outlook
from gwlog.views.plan_sheet import sheet
from gwlog.water.basin import day_step
from tests.tui.conftest import NOW, SIZES, Clock, press, seen, settle

Size = tuple[int, int]


@pytest.fixture
def home(lived_in: Path) -> Household:
    """A look at it."""
    return look(lived_in, NOW)


@SIZES
async def test_plan_shows_days_basins_ways_and_reasons(lived_in: Path, clock: Clock, size: Size) -> None:
    screens = GwlogApp(lived_in, clock, poll=False)
    async with screens.run_test(size=size) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "3")
        page = seen(screens)
        assert "▸ Tue, Jun 16" in page and "Mon, Jun 29" in page and "sewer" in page
        assert "◆A" in page and "→A" in page and not any(sign in page for sign in "╌◀")
        if size[0] < 110:
            await press(screens, pilot, "pagedown")
        page = seen(screens)
        assert "The garden can use, a week:" in page
        if size[0] < 110:
            await press(screens, pilot, "end")
            await pilot.pause(0.1)
            page = seen(screens)
        assert "In total:" in page


async def test_a_supposition_plans_anew_and_logs_nothing(lived_in: Path, clock: Clock) -> None:
    entries = len(read(lived_in))
    screens = GwlogApp(lived_in, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "3", "w", *"4 loads on maybeday", "enter")
        assert "not a day I can read" in seen(screens)
        field = screens.screen.query_one("#suppose")
        field.value = "4 loads on saturday"  # type: ignore[attr-defined]
        await press(screens, pilot, "enter")
        page = seen(screens)
        assert "What if, nothing logged: to the sewer" in page and "moves" in page
        await press(screens, pilot, "escape")
        assert "The next 14 days" in seen(screens) and "nothing logged" not in seen(screens)
    assert len(read(lived_in)) == entries


async def test_other_days_and_weights_plan_anew_and_log_nothing(lived_in: Path, clock: Clock) -> None:
    entries = len(read(lived_in))
    screens = GwlogApp(lived_in, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "3")
        assert not screens.screen.query_one("#more").display
        for days in ("lots", "0", "93", "-3"):
            await press(screens, pilot, "g")
            screens.screen.query_one("#days").value = days  # type: ignore[attr-defined]
            await press(screens, pilot, "enter")
            assert f"“{days}” is not a number of days to plan; use 1 to 92." in seen(screens)
        screens.screen.query_one("#days").value = "28"  # type: ignore[attr-defined]
        await press(screens, pilot, "enter")
        assert "What if for 28 days, nothing logged: to the sewer" in seen(screens) and " → " not in seen(screens)
        await press(screens, pilot, "end")
        await pilot.pause(0.1)
        assert screens.screen.made.plan is not None  # type: ignore[attr-defined]
        assert len(screens.screen.made.plan.days) == 28  # type: ignore[attr-defined]
        await press(screens, pilot, "g", "tab")
        for weights, told in (("walks=3", "There is no weight called “walks”."), ("move=far", "is not a weight"),
                              ("move=-1", "use a number from 0 up")):
            screens.screen.query_one("#weights").value = weights  # type: ignore[attr-defined]
            await press(screens, pilot, "enter")
            assert told in seen(screens)
        screens.screen.query_one("#weights").value = "move=0"  # type: ignore[attr-defined]
        await press(screens, pilot, "enter")
        assert "What if for 28 days, nothing logged: to the sewer" in seen(screens)
        words = " ".join(seen(screens).split())
        before, after = (int(part) for part in words.split("gal, moves ")[1].split(",")[0].split(" → "))
        assert after > before
        await press(screens, pilot, "escape")
        assert "The next 14 days" in seen(screens) and "nothing logged" not in seen(screens)
        assert not screens.screen.query_one("#days").value  # type: ignore[attr-defined]
    assert len(read(lived_in)) == entries


async def test_a_supposition_beyond_the_fortnight_says_how_to_plan_further(lived_in: Path, clock: Clock) -> None:
    screens = GwlogApp(lived_in, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "3", "w")
        screens.screen.query_one("#suppose").value = "4 loads on 2026-07-10"  # type: ignore[attr-defined]
        await press(screens, pilot, "enter")
        assert "is beyond the plan" in seen(screens)
        await press(screens, pilot, "g", *"40", "enter")
        assert "What if for 40 days, nothing logged: to the sewer" in seen(screens) and "→" in seen(screens)


async def test_a_plan_that_takes_long_blocks_no_key(lived_in: Path, clock: Clock,
                                                    monkeypatch: pytest.MonkeyPatch) -> None:
    allowed = Event()

    def slow(*_: object) -> Planned:
        assert allowed.wait(30.0)
        return Planned(trouble="made up late")

    monkeypatch.setattr(planner, "_work_out", slow)
    screens = GwlogApp(lived_in, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        for key, place in (("3", "plan"), ("1", "today"), ("3", "plan")):
            await pilot.press(key)
            assert screens.current_mode == place
        assert "Planning the next two weeks" in seen(screens)
        allowed.set()
        await settle(screens, pilot)
        assert "made up late" in seen(screens)


async def test_a_household_without_basins_is_told_why_there_is_no_plan(empty: Path, clock: Clock) -> None:
    from tests.tui.conftest import household

    append(empty, household()[:4], now=NOW)
    screens = GwlogApp(empty, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "3")
        assert "basin" in seen(screens) and "Planning" not in seen(screens)


@pytest.mark.parametrize("width", [50, 60, 76, 90, 200])
def test_the_sheet_keeps_to_its_width_and_marks_where_an_outlet_came_to(home: Household, width: int) -> None:
    plan = home.plan
    drawn = sheet(home, plan, width)
    assert len(drawn.rows) == 14
    assert all(len(row.basins) + 13 + len(row.sewer) <= width for row in drawn.rows)
    moved = {(move.day - plan.first).days for move in plan.moves}
    assert moved == {number for number, row in enumerate(drawn.rows) if "→" in row.basins}
    # nothing stands between the marks of outlets but what they bring
    assert all(re.fullmatch(r"(?: |[◆→][A-Z]|[\d.]+|gal)*", row.basins) for row in drawn.rows)


@pytest.mark.parametrize("name", ["Pomegranate", "Fig", "Plum", "Lemon"])
def test_the_outlook_carries_the_ledger_on_day_by_day(home: Household, name: str) -> None:
    made = outlook(home, name, home.plan)
    assert len(made.days) == PAST_DAYS + COMING_DAYS and made.today == PAST_DAYS
    assert all(b - a == timedelta(days=1) for a, b in zip(made.days, made.days[1:], strict=False))
    basin, litres = home.garden.basins[name], 3.785411784
    assert made.missing[made.today - 1] * litres == pytest.approx(basin.ledger.deficit_l)
    deficit, beyond = basin.ledger.deficit_l, basin.ledger.outer_l
    for number in range(COMING_DAYS):
        day = made.days[made.today + number]
        weather = home.garden.sky.day(day)
        end = day_step(basin.growth.on(day), deficit, weather.eto_mm, weather.rain_mm,
                       made.graywater[made.today + number] * litres, beyond)
        deficit, beyond = end.deficit_l, end.outer_l
        assert made.missing[made.today + number] * litres == pytest.approx(deficit, abs=1e-6)
        assert made.percolated[made.today + number] * litres == pytest.approx(end.percolated_l, abs=1e-6)


def test_all_that_the_plan_pours_stands_in_the_outlooks(home: Household) -> None:
    plan = home.plan
    poured = sum(step.load.litres for step in plan.steps if step.arrangement is not None)
    shown = sum(sum(made.graywater[made.today:]) for made in (outlook(home, name, plan) for name in home.garden.basins))
    today = sum(basin.used_today_l for basin in home.garden.basins.values())
    assert shown * 3.785411784 == pytest.approx(poured + today)


def test_the_scale_holds_everything_and_the_whole_root_zone_only_when_it_is_near(home: Household) -> None:
    for name in home.garden.basins:
        made = outlook(home, name, None)
        assert made.top >= max(made.raw, *made.missing, *made.graywater, *made.rain)
        assert made.near_taw == (max(made.missing) >= 0.75 * made.taw)
        assert made.near_taw == (made.top >= made.taw)
        assert ("nothing left" in signs(made)) == made.near_taw


def test_without_an_outlet_the_outlook_has_no_loads(home: Household) -> None:
    with pytest.raises(BadInput):
        home.plan_for(days=0)
    made = outlook(home, "Fig", None)
    assert sum(made.graywater[made.today:]) == pytest.approx(home.garden.basins["Fig"].used_today_l)
    assert len(outlook(home, "Fig", None, ahead=False).days) == PAST_DAYS
