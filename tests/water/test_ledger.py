"""The day-by-day balance: nothing is lost, descriptions change in time, today stays open, odd starts hold."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gwlog.state import Weather
from gwlog.water.basin import day_step
from gwlog.water.growth import growth_of, spec_of
from gwlog.water.ledger import longest_ago, steady_stores
from gwlog.water.weather import Climate, Sky, normals
from tests.water.household import SINCE, STEADY, ZONE, at, basin, ledger, pour

DAYS = 24   # from 1 March: the clocks go forward on 8 March 2026

amounts = st.one_of(st.just(0.0), st.floats(0.1, 60.0))
basins = st.fixed_dictionaries({
    "area_cm2": st.integers(2_000, 60_000), "canopy_cm2": st.integers(1_000, 150_000),
    "wetted_cm2": st.none() | st.integers(2_000, 90_000), "plant_factor_milli": st.integers(50, 1_500),
    "root_depth_mm": st.integers(50, 1_500), "depletion_milli": st.integers(0, 1_000),
    "soil": st.sampled_from(["fine sand", "sandy clay"]), "texture": st.sampled_from(["sand", "loam", "clay"]),
    "start_deficit_ml": st.none() | st.integers(0, 400_000),
})
day_lists = st.lists(st.tuples(amounts, st.lists(amounts, max_size=2)), min_size=DAYS, max_size=DAYS)


@settings(max_examples=60)
@given(basins, basins, st.integers(1, DAYS - 1), day_lists)
def test_every_litre_is_used_percolates_or_is_stored_also_when_the_basin_changes(
    words: dict[str, object], changed: dict[str, object], change_after: int,
    rain_and_loads: list[tuple[float, list[float]]],
) -> None:
    history = [basin(**words), basin(since=SINCE + timedelta(days=change_after), started=SINCE, **changed)]
    weather, poured = {}, []
    for number, (rain, loads) in enumerate(rain_and_loads):
        day = SINCE + timedelta(days=number)
        weather[day] = Weather(rain_mm=rain)
        poured += [pour(day, litres, 8.0 + n) for n, litres in enumerate(loads)]
    sky = Sky(STEADY, weather, 36.9)
    done = ledger(history, poured, at(SINCE + timedelta(days=DAYS), 0.0), weather=weather)
    assert [one.day for one in done.days] == [SINCE + timedelta(days=n) for n in range(DAYS)]

    first = history[0].start_deficit_ml
    start = growth_of(history[0], 36.9)
    deficit, outer = steady_stores(start, STEADY, SINCE)
    if first is not None:
        deficit = min(first / 1000.0, start.adult.taw_l)
        outer = deficit / start.adult.taw_l * start.adult.outer_taw_l
    for number, one in enumerate(done.days):
        spec = spec_of(history[number >= change_after])
        opening = min(deficit, spec.taw_l)
        assert -1e-9 <= one.deficit_l <= spec.taw_l + 1e-9
        assert one.percolated_l >= 0.0
        assert -1e-9 <= one.used_l <= one.demand_l + 1e-9
        arrived = one.rain_mm * spec.wetted_m2 + one.graywater_l
        assert arrived == pytest.approx(one.used_l + one.percolated_l + opening - one.deficit_l, abs=1e-6)
        # the loop is day_step written out: the same numbers to the last bit
        step = day_step(spec, opening, sky.day(one.day).eto_mm, one.rain_mm, one.graywater_l, outer)
        assert (one.deficit_l, one.percolated_l, one.used_l, one.demand_l, one.ks, one.beside_l, one.outer_l) == (
            step.deficit_l, step.percolated_l, step.used_l, step.demand_l, step.ks, step.beside_l, step.outer_l)
        deficit, outer = one.deficit_l, one.outer_l
    assert sum(one.graywater_l for one in done.days) == pytest.approx(sum(one.litres for one in poured))


def test_the_soil_holds_the_middle_of_the_published_range() -> None:
    # FAO-56 (1998) table 19: sandy loam .11-.15 -> .13; clay .12-.20 -> .16
    spec = spec_of(basin(wetted_cm2=None, canopy_cm2=90_000))
    assert spec.taw_mm == pytest.approx(0.13 * 500)
    assert spec.raw_mm == pytest.approx(0.36 * 0.13 * 500)
    assert spec.wetted_m2 == pytest.approx((2.0**0.5 + 0.6) ** 2)
    assert spec.allowance_l == pytest.approx(2.5 * 40.746 * 2.0, rel=1e-5)   # CPC: 2.5 gal/ft2/day
    assert spec_of(basin(soil="sandy clay", texture="")).taw_mm == pytest.approx(0.16 * 500)
    unknown = spec_of(basin(soil="peat", texture="peat"))
    assert unknown.allowance_l_per_m2 == pytest.approx(0.8 * 40.746, rel=1e-5)


def test_a_basin_starts_at_the_climates_steady_state_without_graywater() -> None:
    wet_winter = Climate(STEADY.monthly_eto_mm, (200.0, 200.0, 200.0) + (0.0,) * 7 + (200.0, 200.0))
    bed = basin(start_deficit_ml=None)
    assert ledger([bed], [], at(SINCE, 1.0), climate=wet_winter).deficit_now_l == 0.0
    autumn = basin(since=date(2026, 10, 1), start_deficit_ml=None)
    opening = ledger([autumn], [], at(date(2026, 10, 1), 1.0), climate=wet_winter).deficit_now_l
    spec = spec_of(autumn)
    assert spec.raw_l < opening < spec.taw_l
    deficit, day = 0.0, date(2025, 10, 1)
    while day < date(2026, 10, 1):
        eto, rain = normals(wet_winter, day)
        deficit = day_step(spec, deficit, eto, rain, 0.0).deficit_l
        day += timedelta(days=1)
    assert opening == pytest.approx(deficit)


def test_a_deep_root_zone_of_a_thrifty_plant_starts_as_dry_as_the_climate_leaves_it() -> None:
    # without rain the root zone dries out for good, though a year of normals does not get it there
    growth = growth_of(basin(root_depth_mm=1200, plant_factor_milli=100, texture="clay"), 36.9)
    thrifty = growth.adult
    deficit, day = 0.0, date(2025, 3, 1)
    while day < SINCE:
        deficit = day_step(thrifty, deficit, normals(STEADY, day)[0], 0.0, 0.0).deficit_l
        day += timedelta(days=1)
    assert deficit < 0.8 * thrifty.taw_l
    opening = steady_stores(growth, STEADY, SINCE).deficit_l
    assert opening == pytest.approx(thrifty.taw_l, rel=1e-3)
    # and a year later the same climate leaves it where it was
    showers = Climate(STEADY.monthly_eto_mm, (5.0,) * 12)
    opening = later = steady_stores(growth, showers, SINCE).deficit_l
    for number in range(365):
        eto, rain = normals(showers, SINCE - timedelta(days=365 - number))
        later = day_step(thrifty, later, eto, rain, 0.0).deficit_l
    assert later == pytest.approx(opening, rel=1e-3)


def test_today_is_open_its_use_is_taken_at_its_end() -> None:
    # 3 mm x 0.5 x 2 m2 = 3 L a day
    bed = basin(start_deficit_ml=50_000)
    weather = {SINCE: Weather(rain_mm=5.0)}
    now = ledger([bed], [pour(SINCE, 15.0, 8.0), pour(SINCE, 9.0, 20.0)], at(SINCE, 12.0), weather=weather)
    assert (now.days, now.deficit_l, now.used_today_l) == ((), 50.0, 15.0)
    assert now.deficit_now_l == pytest.approx(50.0 - 5.0 * 2.0 - 15.0)
    later = ledger([bed], [pour(SINCE, 60.0, 8.0)], at(SINCE, 12.0), weather=weather)
    assert (later.deficit_now_l, later.surplus_today_l) == (0.0, pytest.approx(20.0))
    closed = ledger([bed], [pour(SINCE, 60.0, 8.0)], at(SINCE + timedelta(days=1), 0.0), weather=weather)
    assert closed.days[0].percolated_l == pytest.approx(17.0)
    assert closed.percolated_over(30) == pytest.approx(17.0)
    assert (closed.used_today_l, closed.deficit_now_l) == (0.0, 0.0)


def test_a_load_just_before_and_just_after_local_midnight_falls_on_its_own_day() -> None:
    day = date(2026, 3, 7)   # the night in which the clocks go forward
    loads = [pour(day, 7.0, 23.95), pour(day + timedelta(days=1), 11.0, 0.05)]
    for offset in (1, 2):
        done = ledger([basin()], loads, at(day + timedelta(days=offset), 23.98))
        by_day = {one.day: one.graywater_l for one in done.days}
        assert by_day[day] == 7.0
        assert (done.used_today_l if offset == 1 else by_day[day + timedelta(days=1)]) == 11.0


@pytest.mark.parametrize(("first", "last"), [
    (date(2026, 3, 7), date(2026, 3, 10)),     # 23-hour day
    (date(2026, 10, 31), date(2026, 11, 3)),   # 25-hour day
    (date(2024, 2, 27), date(2024, 3, 2)),     # 29 February
])
def test_every_local_day_counts_once_whatever_its_length(first: date, last: date) -> None:
    bed = basin(since=first, start_deficit_ml=0)
    done = ledger([bed], [], at(last, 0.0))
    expected = [first + timedelta(days=n) for n in range((last - first).days)]
    assert [one.day for one in done.days] == expected
    used = sum(normals(STEADY, day)[0] for day in expected)
    assert done.deficit_now_l == pytest.approx(used * 0.5 * 2.0)


def test_a_description_holds_from_the_day_at_whose_end_it_is_in_force() -> None:
    grown = basin(since=date(2026, 3, 5), happened_at=at(date(2026, 3, 5), 23.0), started=SINCE,
                  canopy_cm2=40_000, wetted_cm2=40_000)
    done = ledger([basin(), grown], [], at(date(2026, 3, 8)))
    assert [round(one.demand_l, 6) for one in done.days] == [3.0] * 4 + [6.0] * 3


def test_a_smaller_basin_keeps_its_litres_up_to_what_it_holds() -> None:
    shrunk = basin(since=date(2026, 3, 5), started=SINCE, canopy_cm2=5_000, wetted_cm2=5_000)
    done = ledger([basin(start_deficit_ml=100_000), shrunk], [], at(date(2026, 3, 7)))
    assert done.days[3].deficit_l > 100.0
    assert done.days[4].deficit_l == pytest.approx(0.13 * 500 * 0.5)
    on_the_day = ledger([basin(start_deficit_ml=100_000), shrunk], [], at(date(2026, 3, 5)))
    assert on_the_day.deficit_now_l == pytest.approx(0.13 * 500 * 0.5)


def test_a_new_start_in_the_old_place_starts_the_balance_over() -> None:
    replanted = basin(since=date(2026, 3, 5), started=date(2026, 3, 6), start_deficit_ml=40_000)
    repeated = basin(since=date(2026, 3, 6), started=date(2026, 3, 6), start_deficit_ml=40_000, mulch_mm=80)
    for history in ([basin(), replanted], [basin(), replanted, repeated]):
        done = ledger(history, [], at(date(2026, 3, 8)))
        assert [round(one.deficit_l, 6) for one in done.days] == [3.0, 6.0, 9.0, 12.0, 15.0, 43.0, 46.0]
    # a start that lies before the description is no new planting: the balance carries on
    backdated = basin(since=date(2026, 3, 5), started=date(2026, 3, 2), start_deficit_ml=40_000)
    assert ledger([basin(), backdated], [], at(date(2026, 3, 8))).deficit_l == pytest.approx(21.0)


def test_a_basin_may_start_later_or_before_it_was_described() -> None:
    future = basin(started=date(2026, 4, 1), start_deficit_ml=30_000)
    early = ledger([future], [pour(SINCE, 5.0)], at(SINCE, 13.0))
    assert (early.started, early.deficit_now_l, early.used_today_l, early.days) == (False, 30.0, 5.0, ())
    later = ledger([future], [pour(SINCE, 5.0)], at(date(2026, 4, 2)))
    assert sum(one.graywater_l for one in later.days) == 0.0

    past = ledger([basin(started=date(2026, 2, 1))], [], at(SINCE, 13.0))
    assert [past.days[0].day, past.days[-1].day] == [date(2026, 2, 1), date(2026, 2, 28)]


def test_a_start_of_long_ago_is_cut_to_twenty_years() -> None:
    done = ledger([basin(started=date(1, 1, 1))], [], at(SINCE, 13.0))
    assert done.starts == done.days[0].day == longest_ago(SINCE) == date(2005, 1, 1)
    assert done.deficit_now_l == pytest.approx(spec_of(basin()).taw_l, rel=0.01)


def test_the_same_moment_in_two_zones_may_be_two_days() -> None:
    moment = at(date(2026, 3, 4), 20.0)
    assert ledger([basin()], [], moment).today == date(2026, 3, 4)
    assert ledger([basin()], [], moment, zone="Pacific/Auckland").today == date(2026, 3, 5)
    assert ZONE == "America/Los_Angeles"
