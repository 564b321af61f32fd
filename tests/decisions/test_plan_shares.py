"""Water that is short is shared: no basin wilts while a less stressed one is watered, in gardens small and large."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from itertools import product

import pytest

from gwlog.decisions import plan_search
from gwlog.decisions.plan_account import account
from gwlog.decisions.plan_cost import WILT_AT, PlanBasin, PlanDay, PlanLoad, PlanOutlet, Step, Weights, walks_of_day
from gwlog.decisions.plan_search import ANY, First, Search, search
from gwlog.decisions.simulation import Scenario, rehearse
from gwlog.decisions.turns import narrowed_note
from gwlog.decisions.watering_policies import DRIEST, PLAN, WEEKLY
from gwlog.water.basin import BasinSpec
from tests.bench.rotation_speed import large
from tests.bench.station_years import STATIONS
from tests.decisions import exact
from tests.decisions.section12 import LOAD_L, basins

DRY_SPELL = date(2018, 5, 1)


@pytest.fixture(scope="module")
def short_spell():
    """Ten weeks of a desert's early summer over four basins, two loads a week: a third of what the plants need."""
    weather = STATIONS["desert"]()
    wash = PlanLoad("wash", LOAD_L)
    days = tuple(PlanDay(day, *weather[day], (wash,) if day.weekday() in (0, 3) else ())
                 for day in (DRY_SPELL + timedelta(n) for n in range(70)))
    beds = basins()
    hose = PlanOutlet("hose", tuple(bed.name for bed in beds), beds[0].name)
    return Scenario(beds, (hose,), days, wash, None, (1.0, 0.0, 0.0, 1.0, 0.0, 0.0, 0.0))


def test_no_basin_wilts_in_a_dry_spell_in_which_simpler_habits_let_one_wilt(short_spell):
    weekly, driest, plan = rehearse(short_spell, habits=(WEEKLY, DRIEST, PLAN)).results
    assert weekly.wilting_days > 0
    assert plan.wilting_days == 0
    assert plan.unmet_l < weekly.unmet_l
    assert plan.unmet_l < 1.03 * driest.unmet_l
    assert plan.moves <= driest.moves
    assert all(sum(series.graywater_l) > 0 for series in plan.series.values())
    assert all(series.unmet_l <= series.demand_l for series in plan.series.values())


def same_basins(number, deficit):
    """Basins alike, TAW 200 L, RAW 100 L; 10 L a day at an ETo of 5 mm."""
    spec = BasinSpec("", 1.5, 2.0, 2.0, 150.0, 100.0, 50.0, 1.0, 100.0)
    return [PlanBasin(replace(spec, name=f"b{n}"), deficit) for n in range(number)]


@pytest.mark.parametrize("seed", range(8))
def test_the_floor_holds_in_small_gardens_unless_no_plan_could_hold_it(seed):
    # every assignment of up to five loads, counted out: none within the hard limits leaves fewer days near wilting
    made, outlet, days = exact.instance(seed, basins=2, days=7, per_day=1, most=5, wet=0.0)
    made = [replace(basin, deficit_l=0.9 * basin.spec.taw_l, resting_until=None) for basin in made]
    days = [replace(day, eto_mm=day.eto_mm + 5.0) for day in days]
    mine = wilting(made, outlet, days, search(made, [outlet], days, Weights()).steps)
    loads = [(number, load) for number, day in enumerate(days) for load in day.loads]
    for places in product([None, *(basin.name for basin in made)], repeat=len(loads)):
        plan = [Step(number, load, None if place is None else (place,))
                for (number, load), place in zip(loads, places, strict=True)]
        assert wilting(made, outlet, days, plan) >= mine or not within_limits(made, outlet, days, plan)


def wilting(made, outlet, days, steps):
    rows = account(made, [outlet], days, steps, Weights()).deficit_l
    return sum(deficit >= WILT_AT * basin.spec.taw_l for basin in made for deficit in rows[basin.name])


def within_limits(made, outlet, days, steps):
    """By the search itself: a plan that is laid down for every load is found, or it passes a hard limit."""
    searched = Search(made, [outlet], days, Weights(), width=1)
    return searched.run(given=[step.arrangement for step in steps]) is not None


def test_a_second_walk_of_a_day_weighs_two():
    assert [walks_of_day(n) for n in range(4)] == [0, 1, 3, 5]
    made = same_basins(2, 190.0)
    hose = PlanOutlet("hose", ("b0", "b1"), "b0")
    wash = PlanLoad("wash", 60.0)
    days = [PlanDay(exact.FIRST, 5.0, 0.0, (wash, wash, wash))]
    steps = [Step(0, wash, (name,)) for name in ("b1", "b0", "b1")]
    plain = account(made, [hose], days, steps, Weights())
    assert (plain.totals.moves, plain.totals.walks) == (3, 5)
    moved = account(made, [replace(hose, moved=True)], days, steps[:1], Weights())
    assert (moved.totals.moves, moved.totals.walks) == (1, 2)


def test_an_outlet_moved_today_is_moved_again_only_for_what_two_walks_are_worth():
    wet, dry = same_basins(2, 80.0)
    made = [wet, replace(dry, deficit_l=140.0)]
    hose = PlanOutlet("hose", ("b0", "b1"), "b0")
    days = [PlanDay(exact.FIRST + timedelta(n), 5.0, 0.0, (PlanLoad("wash", 60.0),) if n < 2 else ())
            for n in range(6)]
    first = search(made, [hose], days, Weights(move=30)).steps[0].arrangement
    again = search(made, [replace(hose, moved=True)], days, Weights(move=30)).steps[0].arrangement
    assert (first, again) == (("b1",), ("b0",))


def test_thirty_basins_and_six_outlets_are_all_watered_and_the_search_says_how_it_was_narrowed():
    made, outlets, days = large(1)
    searched = Search(made, outlets, days, Weights())
    found = searched.run()
    watered = account(made, outlets, days, found.steps, Weights())
    takes = [basin.name for basin in made if min(basin.spec.allowance_l, basin.spec.surge_room_l) > LOAD_L / 6]
    dry = [basin.name for basin in made if basin.name in takes and not any(watered.graywater_l[basin.name])
           and watered.deficit_l[basin.name][-1] >= WILT_AT * basin.spec.taw_l]
    assert len(takes) == 30
    assert dry == []
    assert searched.narrowed
    words = narrowed_note(searched.width)
    assert f"followed {searched.width} way" in words and "4 basins that gain most" in words


def test_a_plan_is_only_ever_made_better_and_its_score_is_its_cost(monkeypatch):
    made, outlets, days = large(2)
    found, cost = {}, {}
    for work in (0, 4_000):
        monkeypatch.setattr(plan_search, "IMPROVING", work)
        searched = Search(made, outlets, days, Weights())
        found[work] = searched.run()
        cost[work] = searched.totals(found[work].steps).cost
    assert cost[4_000] < cost[0]
    assert found[0].score - found[4_000].score == pytest.approx(cost[0] - cost[4_000], abs=1e-5)


@pytest.mark.parametrize("way", ["sewer", "stay", "move"])
def test_making_a_plan_better_leaves_its_first_decision(way):
    made, outlets, days = large(3)
    days = days[:5]
    found = Search(made, outlets, days, Weights()).run(First(way))
    first, lies = found.steps[0].arrangement, tuple(outlet.at for outlet in outlets)
    assert ("sewer" if first is None else "stay" if first == lies else "move") == way


def test_days_without_moves_and_days_with_arrangements_stay_so():
    made, outlets, days = large(4)
    lies = tuple(outlet.at for outlet in outlets)
    days = [replace(day, may_move=n % 2 == 0, arrangements=frozenset((lies,)) if n < 3 else None)
            for n, day in enumerate(days)]
    found = Search(made, outlets, days, Weights()).run(ANY)
    at = lies
    for step in found.steps:
        if step.arrangement is None:
            continue
        assert step.day >= 3 or step.arrangement == lies
        assert step.day % 2 == 0 or step.arrangement == at
        at = step.arrangement
