"""One basin's day against FAO-56's worked examples, and the arithmetic of its geometry."""

from __future__ import annotations

import pytest

from gwlog.units import LITRES_PER_GALLON, M2_PER_FT2, MM_PER_FOOT
from gwlog.water.basin import DRAINABLE_POROSITY, BasinSpec, day_step, root_zone_room, wetted_area
from gwlog.water.rootzone import depletion_fraction, raw_mm, stress_coefficient, taw_mm

SOILS = ((0.15, 0.06), (0.32, 0.15), (0.35, 0.23))   # FC, WP of loamy sand, silt, silty clay
EXAMPLE_36 = {   # FAO-56 (1998) example 36: Zr [m], p, and TAW, RAW [mm] in the three soils
    "onion": (0.4, 0.30, ((36, 11), (68, 20), (48, 14))),
    "tomato": (0.8, 0.40, ((72, 29), (136, 54), (96, 38))),
    "maize": (1.2, 0.55, ((108, 59), (204, 112), (144, 79))),
}

# FAO-56 (1998) example 37: tomato, ETo 5, Kc 1.2, depletion at the start 55 mm, ten days without water. The example
# keeps p at 0.40 on days of 6 mm: that is the p 0.44 of a day of 5 mm
EXAMPLE_37_KS = (1.0, 1.0, 0.97, 0.91, 0.85, 0.80, 0.75, 0.70, 0.66, 0.62)
EXAMPLE_37_DEPLETION = (61.0, 67.0, 72.8, 78.3, 83.4, 88.2, 92.6, 96.9, 100.8, 104.5)


def spec(area: float = 1.0, canopy: float = 1.0, wetted: float = 1.0, taw: float = 160.0, raw: float = 70.4,
         factor: float = 1.2) -> BasinSpec:
    return BasinSpec("tomato", area, canopy, wetted, 100.0, taw, raw, factor, 100.0)


@pytest.mark.parametrize("crop", EXAMPLE_36)
def test_fao_56_example_36_available_water(crop: str) -> None:
    depth, depletion, published = EXAMPLE_36[crop]
    for (field_capacity, wilting_point), (taw, raw) in zip(SOILS, published, strict=True):
        ours = taw_mm(field_capacity, wilting_point, depth)
        assert ours == pytest.approx(taw, abs=0.51)
        assert raw_mm(depletion, ours) == pytest.approx(raw, abs=0.51)


@pytest.mark.parametrize("area", [1.0, 7.0])
def test_fao_56_example_37_ten_dry_days(area: float) -> None:
    assert taw_mm(0.32, 0.12, 0.8) == pytest.approx(160.0)
    assert depletion_fraction(0.44, 6.0) == pytest.approx(0.40)
    assert raw_mm(0.40, 160.0) == pytest.approx(64.0)
    tomato = spec(area, area, area)
    deficit = 55.0 * area
    for ks, depletion in zip(EXAMPLE_37_KS, EXAMPLE_37_DEPLETION, strict=True):
        assert stress_coefficient(deficit / area, 160.0, 64.0) == pytest.approx(ks, abs=0.006)
        day = day_step(tomato, deficit, 5.0, 0.0, 0.0)
        assert day.ks == pytest.approx(ks, abs=0.006)
        deficit = day.deficit_l
        # the printed column is rounded to 0.1 mm on the way, which adds up over ten days
        assert deficit / area == pytest.approx(depletion, abs=0.15)


def test_the_stress_coefficient_has_no_hole_at_its_ends() -> None:
    assert stress_coefficient(64.0, 160.0, 64.0) == 1.0
    assert stress_coefficient(160.0, 160.0, 64.0) == 0.0
    assert stress_coefficient(200.0, 160.0, 64.0) == 0.0
    assert stress_coefficient(1.0, 0.0, 0.0) == 0.0


def test_mulch_holds_the_surge_that_the_trade_reckons() -> None:
    # 10 ft2 x 0.5 ft x 0.66 x 7.48 gal/ft3 = 24.7 gal (Christianson et al. 2010 porosity; arithmetic)
    basin = BasinSpec("b", 10 * M2_PER_FT2, 1.0, 1.0, 0.5 * MM_PER_FOOT, 1.0, 1.0, 1.0, 1.0)
    assert basin.surge_room_l * 0.66 / DRAINABLE_POROSITY / LITRES_PER_GALLON == pytest.approx(24.7, abs=0.05)


def test_water_spreads_a_foot_beyond_the_basin_but_not_beyond_the_canopy() -> None:
    assert wetted_area(4.0, 100.0) == pytest.approx(6.76)   # (2 + 0.6)^2
    assert wetted_area(4.0, 5.0) == 5.0
    assert wetted_area(4.0, 1.0) == 4.0                     # a small plant in a large basin


def test_a_canopy_wider_than_the_wetted_zone_draws_on_it_for_what_the_roots_beyond_cannot_give() -> None:
    # TAW 100 mm in both zones; p 0.5 of a day of 5 mm; 2 m2 of canopy beyond 1 m2
    wide = spec(area=1.0, canopy=3.0, wetted=1.0, taw=100.0, raw=50.0, factor=1.0)
    fresh = day_step(wide, 10.0, 5.0, 0.0, 0.0, 20.0)
    assert (fresh.deficit_l, fresh.demand_l, fresh.outer_l) == (15.0, 5.0, 30.0)   # each gives its own
    dry = day_step(wide, 10.0, 5.0, 0.0, 0.0, 150.0)   # Ks there (200 - 150) / (200 - 100)
    assert dry.demand_l == pytest.approx(5.0 + 0.5 * 10.0)
    assert (dry.deficit_l, dry.outer_l) == (pytest.approx(20.0), pytest.approx(155.0))
    gone = day_step(wide, 10.0, 5.0, 0.0, 0.0, 200.0)
    assert (gone.deficit_l, gone.outer_l) == (pytest.approx(10.0 + 15.0), 200.0)
    wet = day_step(wide, 10.0, 5.0, 12.0, 0.0, 20.0)   # rain fills it, and what is over is gone
    assert (wet.deficit_l, wet.outer_l) == (pytest.approx(10.0 - 12.0 + 5.0), pytest.approx(20.0 - 24.0 + 10.0))
    assert day_step(wide, 10.0, 5.0, 40.0, 0.0, 20.0).outer_l == 0.0


def test_rain_beyond_the_wetted_zone_lasts_longer_than_a_night() -> None:
    wide = spec(area=1.0, canopy=3.0, wetted=1.0, taw=100.0, raw=50.0, factor=1.0)
    outer, asked = 200.0, []
    for rain in (0.0, 40.0, 0.0, 0.0, 0.0):
        day = day_step(wide, 10.0, 5.0, rain, 0.0, outer)
        outer = day.outer_l
        asked.append(day.demand_l)
    assert asked[0] == pytest.approx(15.0) and asked[1] == pytest.approx(15.0)   # Ks is yesterday's
    assert all(5.0 < litres < 10.0 for litres in asked[2:])


def test_of_what_is_poured_on_a_young_plant_a_share_reaches_its_roots() -> None:
    young = BasinSpec("b", 2.0, 0.2, 2.0, 100.0, 40.0, 20.0, 1.0, 100.0, 0.1)   # roots under 0.2 of 2 m2
    assert (young.taw_l, young.raw_l, young.most_l) == (pytest.approx(8.0), pytest.approx(4.0), pytest.approx(40.0))
    day = day_step(young, 4.0, 5.0, 1.0, 30.0)
    assert day.deficit_l == pytest.approx(4.0 - 0.1 * 2.0 - 0.1 * 30.0 + 5.0 * 0.2)
    assert day.beside_l == pytest.approx(0.9 * 32.0)
    assert root_zone_room(4.0, 0.15, 0.1) == pytest.approx(4.0 / 0.1 / 0.85)
    assert young.too_small_for(40.1) and not young.too_small_for(39.9)


@pytest.mark.parametrize(("p", "etc", "expected"), [
    (0.5, 5, 0.5), (0.5, 2, 0.62), (0.5, 8, 0.38), (0.2, 9, 0.1), (0.7, 1, 0.8), (0.35, 0, 0.55),
])
def test_the_depletion_fraction_of_a_day(p: float, etc: float, expected: float) -> None:
    """FAO-56 (1998) p. 162-163, the note to table 22, values worked out from it."""
    assert depletion_fraction(p, etc) == pytest.approx(expected, abs=1e-9)


def test_surplus_percolates_after_the_days_use_and_dryness_ends_at_wilting() -> None:
    wet = day_step(spec(factor=1.0), 5.0, 2.0, 0.0, 20.0)
    assert (wet.deficit_l, wet.percolated_l, wet.used_l) == (0.0, pytest.approx(13.0), 2.0)
    dry = day_step(spec(taw=150.0, raw=120.0, factor=1.0), 100.0, 60.0, 0.0, 0.0)   # p falls to 0.1
    assert (dry.deficit_l, dry.used_l, dry.demand_l) == (pytest.approx(100.0 + 60.0 * 50.0 / 135.0), pytest.approx(
        60.0 * 50.0 / 135.0), 60.0)
    past = day_step(spec(taw=150.0, raw=120.0, factor=1.0), 100.0, 200.0, 0.0, 0.0)
    assert (past.deficit_l, past.used_l, past.demand_l) == (150.0, pytest.approx(50.0), 200.0)


def test_the_root_zone_takes_a_load_of_which_the_leaching_share_may_pass() -> None:
    assert root_zone_room(85.0) == pytest.approx(100.0)
    assert root_zone_room(0.0) == 0.0
