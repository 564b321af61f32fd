"""What the garden can use, month by month, against the household's laundry, and what would use the rest."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from gwlog.decisions.capacity import capacity, monthly_use, plantings_for, too_small, use_on
from gwlog.errors import BadInput
from gwlog.journal.facts import Basin
from gwlog.reference.climate import monthly_eto_mm
from gwlog.units import LITRES_PER_GALLON, M2_PER_FT2, MM_PER_INCH
from gwlog.water.basin import BasinSpec, day_numbers
from gwlog.water.growth import growth_of
from gwlog.water.weather import Climate
from tests.decisions.household import BASINS, NOW, habit, household, seen

LEMON = BasinSpec("Lemon", 2.0, 5.0, 5.0, 100.0, 78.0, 39.0, 0.5, 101.9)


def weekly(spec: BasinSpec, eto_mm: float, rain_mm: float, outer_l: float = 0.0) -> float:
    """What a basin can use in a week of such days [L]."""
    return 7 * use_on(day_numbers(spec, outer_l, eto_mm, rain_mm), spec)


def test_the_graywater_guides_example_area_uses_its_water():
    # California DWR Graywater Guide 1995: 1,120 gal/week, ET 2 in/week, plant factor 0.8 -> 1,129 ft2 (formula read)
    rest = 1120 * LITRES_PER_GALLON
    found = plantings_for(rest, 7, 2 * MM_PER_INCH / 7, 0.0)
    turf = next(p for p in found if p.planting == "cool-season turf")
    # the guide leaves no leaching share: 15 % of the water percolates here
    assert turf.area_m2 / 0.85 / M2_PER_FT2 == pytest.approx(1129, rel=0.007)
    by_name = {p.planting: p for p in found}
    assert by_name["desert plants"].area_m2 == pytest.approx(turf.area_m2 * 0.8 / 0.3)
    assert all("S623" in p.source for p in found)


def test_use_is_demand_less_rain_with_the_leaching_share_on_top():
    assert weekly(LEMON, 6.0, 0.0) == pytest.approx(6 * 0.5 * 5 * 7 / 0.85)
    assert weekly(LEMON, 6.0, 2.0) == pytest.approx((6 * 0.5 - 2) * 5 * 7 / 0.85)
    assert weekly(LEMON, 2.0, 5.0) == 0.0


def test_roots_beyond_the_wetted_zone_give_what_they_have():
    wide = BasinSpec("Lemon", 2.0, 9.0, 5.0, 100.0, 78.0, 39.0, 0.5, 101.9)
    assert weekly(wide, 6.0, 0.0) == pytest.approx(weekly(LEMON, 6.0, 0.0))
    assert weekly(wide, 6.0, 0.0, outer_l=wide.outer_taw_l) == pytest.approx(6 * 0.5 * 9 * 7 / 0.85)


def test_a_leafless_fig_can_use_next_to_nothing_in_january():
    """FAO-56 table 12, footnote 18: 0.20 of ETo after leaf fall, over mulch; here without any rain."""
    fig = Basin(happened_at=NOW, zone="UTC", name="Fig", area_cm2=50_000, mulch_mm=100, soil="sandy loam",
                texture="sandy loam", plants="fig", canopy_cm2=50_000, wetted_cm2=50_000, plant_factor_milli=500,
                root_depth_mm=600, depletion_milli=500, started=date(2026, 1, 1))
    climate = Climate((90.0,) * 12, (0.0,) * 12)
    use = monthly_use([(growth_of(fig, 36.9), 0.15)], climate, 2026)
    assert use[0] == pytest.approx(90 / 31 * 0.20 * 5 * 7 / 0.85)
    assert use[6] == pytest.approx(90 / 31 * 0.50 * 5 * 7 / 0.85)
    young = replace(fig, planted=date(2026, 1, 1), planted_canopy_cm2=5_000)
    # a tenth of the leaves, and nine tenths of what is poured pass beside the ball
    assert monthly_use([(growth_of(young, 36.9), 0.15)], climate, 2026)[6] == pytest.approx(use[6], rel=1e-6)


def test_use_never_passes_the_absorption_allowance():
    tight = BasinSpec("tight", 0.2, 30.0, 30.0, 100.0, 78.0, 39.0, 0.8, 32.6)
    assert weekly(tight, 9.0, 0.0) == pytest.approx(0.2 * 32.6 * 7)


def test_months_follow_the_climate_and_the_sewer_takes_the_rest():
    state, garden = seen(household(), habit(weekdays=tuple(range(7)), weeks=9))
    found = capacity(state, garden, NOW)
    assert found.makes_l_per_week == pytest.approx(7 * 68.0)
    assert len(found.months) == 12
    use = [month.uses_l_per_week for month in found.months]
    eto = monthly_eto_mm(12)
    a_day = [total / days for total, days in zip(eto, (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31), strict=True)]
    assert use.index(max(use)) in (5, 6)   # June and July have the same ETo a day
    assert a_day[5] == pytest.approx(a_day[6]) == pytest.approx(max(a_day))
    for month in found.months:
        assert month.sewer_share == pytest.approx(max(0.0, 1 - month.uses_l_per_week / found.makes_l_per_week))
        assert month.rest_l_per_week == pytest.approx(max(0.0, found.makes_l_per_week - month.uses_l_per_week))
    assert found.months[11].sewer_share > found.months[6].sewer_share
    assert 0.0 < found.sewer_share < 1.0


def test_planting_is_named_only_when_something_is_left():
    state, garden = seen(household(basins=BASINS[3:], at="Roses"), habit(weekdays=tuple(range(7))))
    found = capacity(state, garden, NOW)
    rest = found.months[6].rest_l_per_week
    assert rest > 0
    assert {p.month for p in found.plantings} == {7}
    assert all(p.area_m2 * 7 / 0.85 * monthly_eto_mm(12)[6] / 31 * p.plant_factor == pytest.approx(rest)
               for p in found.plantings)
    assert plantings_for(0.0, 7, 6.0, 0.0) == ()


def test_a_basin_too_small_for_one_load_is_told_with_what_would_help():
    rows = (("Pot", 2, 14, "sandy loam", 0.5, 300), *BASINS)
    state, garden = seen(household(basins=rows, at="Fig"), habit())
    found = {one.basin: one for one in too_small(state, garden)}
    assert set(found) >= {"Pot"}
    pot, spec = found["Pot"], garden.basins["Pot"].spec
    assert pot.load_l > pot.raw_l == pytest.approx(spec.raw_l)
    assert pot.wetted_m2 * spec.raw_mm == pytest.approx(68.0)
    assert pot.area_m2 is None  # more than its plants' canopy: a larger basin alone would not do
    assert pot.outlets == -(-68.0 // spec.raw_l)
    assert "Fig" not in found
    assert capacity(state, garden, NOW).as_json()["too_small"][0]["basin"] == "Pot"


def test_a_larger_basin_helps_where_the_canopy_is_wide():
    rows = (("Quince", 2, 60, "sandy loam", 0.5, 300),)
    state, garden = seen(household(basins=rows, at="Quince"), habit())
    quince = too_small(state, garden)[0]
    assert quince.area_m2 is not None
    assert (quince.area_m2**0.5 + 0.6)**2 == pytest.approx(quince.wetted_m2)


def test_without_loads_nothing_goes_to_the_sewer_and_without_basins_it_says_so():
    state, garden = seen(household())
    found = capacity(state, garden, NOW)
    assert (found.makes_l_per_week, found.sewer_share, found.plantings) == (0.0, 0.0, ())
    state, garden = seen(household(basins=()))
    with pytest.raises(BadInput, match="no basin"):
        capacity(state, garden, NOW)
