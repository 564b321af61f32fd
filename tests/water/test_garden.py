"""What every basin can take now and where it stands; odd data is told, an empty logbook works."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest

from gwlog.journal.facts import Fact, UsualLoad, WeatherDay
from gwlog.state import State
from gwlog.water.garden import BasinNow, garden
from tests.water.household import (
    SINCE,
    ZONE,
    at,
    basin,
    folded,
    load,
    mulch,
    observed,
    outlet,
    resolved,
    site,
    washer,
)

D0, D1 = SINCE, SINCE + timedelta(days=1)
BIG_SURGE = {"mulch_mm": 500}


def quince(*facts: Fact, now_hour: float = 12.0, day: date = D0, aim: str = "plants", volume: float = 60.0,
           **words: Any) -> BasinNow:
    state = folded(site(aim=aim), washer(volume), basin(**words), outlet(), *facts)
    return garden(state, at(day, now_hour)).basins["Quince"]


def test_nothing_described_yet() -> None:
    nothing = garden(State(), at(D0))
    assert (nothing.basins, nothing.problems, nothing.today) == ({}, (), D0)
    assert nothing.usual_load_l == pytest.approx(56.8, abs=0.1)   # 15 gal
    only_site = garden(folded(site()), at(D0))
    assert (only_site.basins, only_site.problems) == ({}, ())
    no_site = garden(folded(basin()), at(D0))
    assert list(no_site.basins) == ["Quince"] and "No site" in no_site.problems[0].text


def test_a_basins_numbers_follow_from_its_description() -> None:
    now = quince(start_deficit_ml=85_000)
    assert now.taw_l == pytest.approx(130.0) and now.raw_l == pytest.approx(65.0)
    assert now.allowance_l_per_day == pytest.approx(203.73, abs=0.01)
    assert now.surge_room_l == pytest.approx(2.0 * 100.0 * 0.5, rel=0.002)
    assert (now.deficit_l, now.root_room_l, now.leaching_share) == (85.0, pytest.approx(100.0), 0.15)
    # 3 mm x 0.5 x 2 m2 x 7 days
    assert now.need_l_per_week == pytest.approx(21.0)
    assert (now.used_today_l, now.percolated_30d_l, now.rest_until, now.ponding_open) == (0.0, 0.0, None, False)
    assert now.cover_mm == pytest.approx(100.0, rel=0.002)


@pytest.mark.parametrize(("words", "loads", "room"), [
    ({"start_deficit_ml": 51_000, **BIG_SURGE}, [], 60.0),                         # the root zone binds
    ({"start_deficit_ml": 130_000}, [], 100.0),                                    # the surge room binds
    ({"start_deficit_ml": 130_000, "area_cm2": 5_000, **BIG_SURGE}, [30.0], 20.9),   # the allowance left binds
])
def test_room_is_the_least_of_allowance_surge_and_root_zone(
    words: dict[str, Any], loads: list[float], room: float,
) -> None:
    now = quince(*(load(100 + n, D0, litres, 8.0) for n, litres in enumerate(loads)), **words)
    assert now.room_l == pytest.approx(room, rel=0.002)
    assert now.fits(now.room_l) and not now.fits(now.room_l + 0.001)


def test_with_the_aim_garden_the_root_zone_does_not_bind_but_the_hard_limits_do() -> None:
    assert quince(aim="garden", start_deficit_ml=10_000).room_l == pytest.approx(100.0, rel=0.002)
    assert quince(aim="plants", start_deficit_ml=10_000).room_l == pytest.approx(10.0 / 0.85)
    over = quince(load(100, D0, 300.0, 8.0), aim="garden", start_deficit_ml=10_000)
    assert (over.room_l, over.allowance_left_l) == (0.0, 0.0)


def test_surge_room_follows_the_depth_that_was_described_or_measured_but_no_guess() -> None:
    later = SINCE + timedelta(days=180)
    assert quince(day=later).cover_mm < 80.0
    assert quince(day=later).surge_room_l == pytest.approx(100.0)
    gone = quince(mulch(50, D1, "measured", 60), day=later)
    assert gone.surge_room_l == pytest.approx(60.0)
    topped = quince(mulch(50, D1, "measured", 60), mulch(51, D1, "added", 25, 13.0), day=later)
    assert topped.surge_room_l == pytest.approx(85.0)
    renewed = quince(mulch(50, D1, "measured", 60), basin(since=later, started=SINCE, mulch_mm=120), day=later)
    assert renewed.surge_room_l == pytest.approx(120.0)


def test_surge_room_shrinks_with_the_cover_but_never_grows_beyond_the_description() -> None:
    half = quince(mulch(50, D0, "measured", 50, 8.0), now_hour=8.0, start_deficit_ml=130_000)
    assert half.surge_room_l == pytest.approx(50.0)
    deep = quince(mulch(50, D0, "added", 100, 8.0), now_hour=8.0, start_deficit_ml=130_000)
    assert deep.cover_mm > 190.0
    assert deep.surge_room_l == pytest.approx(100.0)


RAW = 65_000   # ml
STANDINGS = [   # deficit at the start [ml], what happened, standing
    ("RAW reached", RAW, [], "wants water"),
    ("just below RAW", RAW - 1, [], "can take more"),
    ("the usual load fits exactly", 51_000, [], "can take more"),
    ("the usual load does not fit", 50_999, [], "has had enough"),
    ("full without graywater", 0, [], "has had enough"),
    ("filled", 40_000, [load(100, D0, 40.0, 8.0)], "resting"),
    ("thirsty, but ponding was seen", 100_000, [observed(100, D0, hour=8.0)], "resting"),
    ("thirsty, ponding resolved an hour ago",
     100_000, [observed(100, D0, hour=8.0), resolved(101, D0, 100, 11.0)], "resting"),
    ("thirsty, but its surge room is too small for a load", 100_000, [mulch(100, D0, "measured", 40, 8.0)],
     "wants water"),
    ("other observations do not make it rest", 100_000, [observed(100, D0, "odour", 8.0)], "wants water"),
    ("ponding elsewhere", 100_000, [observed(100, D0, hour=8.0, where=None)], "wants water"),
]


@pytest.mark.parametrize(("deficit", "facts", "standing"), [row[1:] for row in STANDINGS],
                         ids=[row[0] for row in STANDINGS])
def test_standing(deficit: int, facts: list[Fact], standing: str) -> None:
    assert quince(*facts, start_deficit_ml=deficit).standing == standing


def test_a_household_with_two_outlets_is_judged_by_the_share_that_one_of_them_carries() -> None:
    pipe = outlet("Pipe", "Plum", id=21)
    state = folded(site(), washer(60.0), basin(start_deficit_ml=30_000), basin("Plum", id=11), outlet(), pipe)
    both = garden(state, at(D0))
    assert (both.usual_load_l, both.usual_share_l) == (60.0, 30.0)
    assert both.basins["Quince"].standing == "can take more"
    assert not both.basins["Quince"].too_small


def test_too_small_for_one_load() -> None:
    assert quince(volume=46.801).too_small
    assert not quince(volume=46.8).too_small   # p 0.36 of 130 L, as the table has it


def test_rest_until_and_ponding_are_told() -> None:
    filled = quince(load(100, D0, 40.0, 8.0), start_deficit_ml=40_000)
    assert filled.rest_until == D0 + timedelta(days=11)
    assert filled.rest_reason == "filled by a load"
    pond = quince(observed(100, D0, hour=8.0), start_deficit_ml=100_000)
    assert (pond.ponding_open, pond.rest_until) == (True, D0 + timedelta(days=2))


def test_percolation_of_the_last_thirty_closed_days() -> None:
    # 47 L into a deficit of 40 L less the evening's 3: 4 L pass
    facts = [load(100, D0, 47.0, 8.0)]
    assert quince(*facts, day=D1, start_deficit_ml=40_000).percolated_30d_l == pytest.approx(4.0)
    assert quince(*facts, day=D0 + timedelta(days=30), start_deficit_ml=40_000).percolated_30d_l > 3.9
    assert quince(*facts, day=D0 + timedelta(days=31), start_deficit_ml=40_000).percolated_30d_l == 0.0


def test_need_follows_the_weather_typed_ahead() -> None:
    hot = [WeatherDay(id=100 + n, happened_at=at(D0, 8.0), zone=ZONE, day=D0 + timedelta(days=n),
                      tmin_mdegc=15_000, tmax_mdegc=40_000) for n in range(7)]
    assert quince(*hot).need_l_per_week > 1.3 * quince().need_l_per_week


def test_the_usual_load_is_read_from_habit_then_setup() -> None:
    towels = UsualLoad(id=30, happened_at=at(D0, 0.0), zone=ZONE, name="towels", washer="washer", volume_ml=50_000)
    wools = UsualLoad(id=31, happened_at=at(D0, 0.0), zone=ZONE, name="wools", washer="washer")
    described = [site(), washer(60.0), basin(), outlet()]

    def usual(*facts: Fact, day: date = D1) -> float:
        return garden(folded(*described, *facts), at(day)).usual_load_l

    assert usual() == 60.0
    assert usual(towels, wools) == 55.0
    habit = [load(100, D0, 20.0, 8.0), load(101, D0, 30.0, 9.0), load(102, D0, 90.0, 10.0, "sewer")]
    assert usual(towels, wools, *habit) == 30.0
    assert usual(towels, wools, *habit, day=D0 + timedelta(weeks=9)) == 55.0
    assert usual(replace(towels, active=False)) == 60.0


def test_cover_is_due_by_the_profiles_minimum() -> None:
    state = folded(site(), washer(), basin(), outlet())
    california = garden(state, at(D0)).basins["Quince"].cover_due
    washington = garden(folded(site(code="us-wa-1"), washer(), basin(), outlet()), at(D0)).basins["Quince"].cover_due
    assert california is not None and D0 + timedelta(days=300) < california < D0 + timedelta(days=340)
    assert washington == D0   # 4 in are asked, 100 mm lie there


def test_a_new_depth_in_the_description_counts_the_same_depth_repeated_does_not() -> None:
    later = SINCE + timedelta(days=200)
    same = quince(basin(since=later, started=SINCE, canopy_cm2=30_000), day=later)
    assert same.cover_mm < 80.0
    deeper = quince(basin(since=later, started=SINCE, mulch_mm=110), day=later)
    assert deeper.cover_mm == pytest.approx(110.0, rel=0.002)


def test_a_retired_basin_is_not_in_the_garden() -> None:
    state = folded(site(), basin(), outlet(), basin(since=D1, started=SINCE, active=False))
    assert list(garden(state, at(D0)).basins) == []   # the state holds every fact it was folded from
    assert "retired" in garden(state, at(D1)).problems[0].text


def test_a_basin_before_its_start_takes_nothing_and_says_when() -> None:
    start = D0 + timedelta(days=20)
    now = quince(started=start, start_deficit_ml=100_000)
    assert (now.standing, now.room_l, now.rest_until) == ("resting", 0.0, start)
    assert now.rest_reason == f"its balance starts on {start.isoformat()}"
    assert quince(started=start, start_deficit_ml=100_000, day=start).standing == "wants water"


ODD = [
    ("used before it started", [basin(started=D0 + timedelta(days=5)), load(100, D0, 10.0), load(101, D1, 10.0)],
     100, "Load 100 and 1 more went to “Quince” before its balance starts"),
    ("retired", [basin(), basin(since=D1, started=D0, active=False), load(100, D1, 10.0)],
     100, "Load 100 went to “Quince” while that basin was retired."),
    ("not described", [outlet(to="Fig"), load(100, D0, 10.0)], 100, "Load 100 went to “Fig”, which is not described."),
    ("frost in the heat", [WeatherDay(id=100, happened_at=at(D0), zone=ZONE, day=D0, tmin_mdegc=30_000,
                                      tmax_mdegc=10_000)], 0, "the lowest temperature (30.0 °C) is above"),
    ("soil", [basin(soil="peat")], 10, "the soil “peat”"),
    ("texture", [basin(texture="peat")], 10, "the texture “peat”"),
    ("deficit", [basin(start_deficit_ml=500_000)], 10, "more than its root zone holds (130 L)"),
    ("code", [site(id=3, code="us-xx")], 3, "“us-xx” is not among the profiles"),
    ("climate", [site(id=3, monthly_eto_um=None)], 3, "estimated from the latitude"),
    ("zone", [site(id=3, monthly_eto_um=None, eto_zone=77)], 3, "the evapotranspiration zone 77"),
]


@pytest.mark.parametrize(("facts", "entry", "words"), [row[1:] for row in ODD], ids=[row[0] for row in ODD])
def test_odd_data_is_told_with_its_entry_and_a_way_out(facts: list[Fact], entry: int, words: str) -> None:
    sound = [fact for fact in (site(), washer(), basin(), outlet())
             if fact.KIND not in {one.KIND for one in facts} or fact.KIND == "site"]
    assert not any(words in problem.text for problem in garden(folded(*sound), at(D1, 20.0)).problems)
    told = [problem for problem in garden(folded(*sound, *facts), at(D1, 20.0)).problems if words in problem.text]
    assert [problem.entry_id for problem in told] == [entry]
    way = str(told[0].way_out)
    assert way.endswith((".", "BASIN", "TOML")) or "gwlog correct" in way


def test_what_lies_after_now_does_not_count() -> None:
    tomorrow = [load(100, D1, 40.0), observed(101, D1)]
    assert replace(quince(*tomorrow), ledger=quince().ledger) == quince()


def test_the_units_of_the_household_change_no_number() -> None:
    facts = [washer(), basin(), outlet(), load(100, D0, 40.0, 8.0)]
    us = garden(folded(site(units="us"), *facts), at(D1)).basins["Quince"]
    metric = garden(folded(site(units="metric"), *facts), at(D1)).basins["Quince"]
    assert us == metric


def test_a_delivery_belongs_to_the_basin_where_the_outlet_lay() -> None:
    state = folded(site(), washer(), basin(start_deficit_ml=100_000), basin("Plum", id=11), outlet(),
                   load(100, D0, 40.0, 8.0))
    both = garden(state, at(D0)).basins
    assert (both["Quince"].used_today_l, both["Plum"].used_today_l) == (40.0, 0.0)
