"""What the graywater gave, on the Garden screen: a line below the plan, two rows for each basin."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from gwlog.household import look
from gwlog.journal.facts import OtherWater
from gwlog.journal.writer import append
from gwlog.tui.app import GwlogApp
from gwlog.views import benefit
from tests.tui.conftest import BEGIN, NOW, ZONE, Clock, household, press, season, settle, words

SIZES = pytest.mark.parametrize("size", [(80, 24), (60, 20), (140, 50)], ids=["80x24", "60x20", "140x50"])


@SIZES
async def test_the_garden_tells_this_year_and_each_basin_its_part(lived_in: Path, clock: Clock,
                                                                  size: tuple[int, int]) -> None:
    app = GwlogApp(lived_in, clock, poll=False)
    home = look(lived_in, NOW)
    gave = benefit.of_home(home)
    whole = benefit.sentence(home, gave)
    assert whole.startswith("This year the graywater gave ") and "Still needed: " in whole
    async with app.run_test(size=size) as pilot:
        await settle(app, pilot)
        await press(app, pilot, "2", "pagedown")
        if size[0] > 100:   # beside the detail, in a column of its own
            assert whole[:50] in words(app)
        else:
            assert whole in words(app)
            await press(app, pilot, "enter", "end")
        assert "this year" in words(app) and "that plants used instead of tap water" in words(app)


async def test_a_price_tells_the_money_and_litres_stand_in_a_metric_household(empty: Path, clock: Clock) -> None:
    facts = [replace(one, units="metric", water_price_milli=2000, currency="€") if one.KIND == "site" else one
             for one in household()]
    append(empty, facts, now=BEGIN)
    append(empty, [*season(), OtherWater(happened_at=NOW, zone=ZONE, basin="Fig", volume_ml=12_000, way="can")],
           now=NOW)
    app = GwlogApp(empty, clock, poll=False)
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(app, pilot)
        await press(app, pilot, "2", "pagedown")
        told = words(app)
        assert " € )" not in told and "€)" in told and " L that plants used instead of tap water" in told
        assert "12 L of other water was logged." in told


async def test_a_garden_on_its_first_day_says_nothing_of_it(empty: Path, clock: Clock) -> None:
    append(empty, [replace(one, happened_at=NOW, **({"started": NOW.date()} if one.KIND == "basin" else {}))
                   for one in household()], now=NOW)
    app = GwlogApp(empty, clock, poll=False)
    async with app.run_test(size=(60, 20)) as pilot:
        await settle(app, pilot)
        await press(app, pilot, "2", "pagedown")
        assert "gave" not in words(app)
        await press(app, pilot, "enter", "end")
        assert "instead of tap water" not in words(app)
