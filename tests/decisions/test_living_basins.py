"""A basin that lives in the plan: the search's tables and the account follow the same days, and nothing is lost."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gwlog.decisions.plan_cost import Bed, PlanBasin, PlanDay, Weights
from gwlog.decisions.plan_table import BasinTable
from gwlog.water.growth import growth_of
from tests.water.household import basin

FIRST = date(2026, 3, 25)   # leaves come, and a young plant takes its next size on 30 March
WEIGHTS = Weights(percolated=1.0, unmet=2.0, sewer=0.3, move=30.0, left=0.5)

plants = st.fixed_dictionaries({
    "plants": st.sampled_from(["fig", "hedge", "orange"]), "canopy_cm2": st.integers(5_000, 90_000),
    "wetted_cm2": st.integers(20_000, 40_000), "planted": st.none() | st.just(date(2025, 2, 3)),
    "planted_canopy_cm2": st.none() | st.integers(500, 5_000), "depletion_milli": st.integers(200, 700),
})
weather = st.lists(st.tuples(st.floats(0.0, 9.0), st.sampled_from([0.0, 0.0, 4.0, 20.0]), st.floats(0.0, 60.0)),
                   min_size=10, max_size=10)


def planned(words: dict[str, Any], missing: float, beyond: float, other: float) -> PlanBasin:
    growth = growth_of(basin(**words), 36.9)
    spec = growth.on(FIRST)
    return PlanBasin(spec, missing * spec.taw_l, growth=growth, outer_l=beyond * spec.outer_taw_l, other_today_l=other)


@settings(max_examples=80)
@given(plants, weather, st.floats(0.0, 1.0), st.floats(0.0, 1.0), st.floats(0.0, 30.0))
def test_the_tables_of_the_search_and_the_account_follow_the_same_days(
    words: dict[str, Any], sky: list[tuple[float, float, float]], missing: float, beyond: float, other: float,
) -> None:
    made = planned(words, missing, beyond, other)
    days = [PlanDay(FIRST + timedelta(days=n), eto, rain) for n, (eto, rain, _) in enumerate(sky)]
    table, bed = BasinTable(made, days, WEIGHTS, True, False), Bed(made)
    deficit = bed.deficit
    for number, (day, (_, _, water)) in enumerate(zip(days, sky, strict=True)):
        bed.open_day(day, water)
        before, came = bed.deficit, bed.today.rain_l + water * bed.today.share
        cost, deficit = table.run(number, number + 1, deficit, water)
        beyond_l, short, price = bed.close_day()
        assert deficit == pytest.approx(bed.deficit, abs=1e-9)
        assert cost == pytest.approx(WEIGHTS.percolated * beyond_l + WEIGHTS.unmet * price, abs=1e-6)
        used = bed.today.demand_l - short
        percolated = came - used + bed.deficit - before
        assert percolated >= -1e-9 and beyond_l <= percolated + 1e-9
        assert bed.today.beside_l >= 0.0


def test_todays_other_water_lessens_what_a_load_may_bring() -> None:
    day = PlanDay(FIRST, 3.0, 0.0)
    dry, watered = (Bed(planned({"plants": "hedge"}, 0.5, 0.0, other)) for other in (0.0, 20.0))
    for bed in (dry, watered):
        bed.open_day(day)
    assert watered.now == pytest.approx(dry.now - 20.0)
    assert watered.limit() == dry.limit()   # neither the soil's allowance nor the mulch is taken up by it
    watered.end_day()
    dry.end_day()
    assert watered.deficit == pytest.approx(dry.deficit - 20.0)
    watered.open_day(replace(day, day=FIRST + timedelta(days=1)))
    assert watered.now == pytest.approx(watered.deficit)   # it came once


def test_a_young_plant_in_the_plan_takes_ten_times_what_its_ball_lacks() -> None:
    young = planned({"plants": "hedge", "planted": date(2026, 3, 1), "planted_canopy_cm2": 2_000}, 0.9, 0.0, 0.0)
    bed = Bed(young)
    bed.open_day(PlanDay(FIRST, 3.0, 0.0))
    assert bed.today.share == pytest.approx(0.1)
    most = bed.now / 0.1 / 0.85
    assert bed.limit() > most and bed.fits(most) and not bed.fits(most + 0.01)
    bed.give(most)
    assert bed.resting and bed.now < 0.0   # with its leaching share the ball is full
