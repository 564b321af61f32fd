"""One basin's day against FAO-56's worked examples, and the arithmetic of its geometry."""

from __future__ import annotations

import pytest

from gwlog.units import LITRES_PER_GALLON, M2_PER_FT2, MM_PER_FOOT
from gwlog.water.basin import DRAINABLE_POROSITY, BasinSpec, day_step, root_zone_room, wetted_area
from gwlog.water.rootzone import raw_mm, stress_coefficient, taw_mm

SOILS = ((0.15, 0.06), (0.32, 0.15), (0.35, 0.23))   # FC, WP of loamy sand, silt, silty clay
EXAMPLE_36 = {   # FAO-56 (1998) example 36: Zr [m], p, and TAW, RAW [mm] in the three soils
    "onion": (0.4, 0.30, ((36, 11), (68, 20), (48, 14))),
    "tomato": (0.8, 0.40, ((72, 29), (136, 54), (96, 38))),
    "maize": (1.2, 0.55, ((108, 59), (204, 112), (144, 79))),
}

# FAO-56 (1998) example 37: tomato, ETo 5, Kc 1.2, depletion at the start 55 mm, ten days without water
EXAMPLE_37_KS = (1.0, 1.0, 0.97, 0.91, 0.85, 0.80, 0.75, 0.70, 0.66, 0.62)
EXAMPLE_37_DEPLETION = (61.0, 67.0, 72.8, 78.3, 83.4, 88.2, 92.6, 96.9, 100.8, 104.5)


def spec(area: float = 1.0, canopy: float = 1.0, wetted: float = 1.0, taw: float = 160.0, raw: float = 64.0,
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


def test_a_canopy_wider_than_the_wetted_zone_draws_on_it_for_what_rain_leaves_open() -> None:
    wide = spec(area=1.0, canopy=3.0, wetted=1.0, factor=1.0)
    assert day_step(wide, 10.0, 4.0, 0.0, 0.0).deficit_l == pytest.approx(10.0 + 4.0 + 2 * 4.0)
    assert day_step(wide, 10.0, 4.0, 3.0, 0.0).deficit_l == pytest.approx(10.0 - 3.0 + 4.0 + 2 * 1.0)
    assert day_step(wide, 10.0, 4.0, 6.0, 0.0).deficit_l == pytest.approx(10.0 - 6.0 + 4.0)


def test_surplus_percolates_after_the_days_use_and_dryness_ends_at_wilting() -> None:
    wet = day_step(spec(factor=1.0), 5.0, 2.0, 0.0, 20.0)
    assert (wet.deficit_l, wet.percolated_l, wet.used_l) == (0.0, pytest.approx(13.0), 2.0)
    dry = day_step(spec(raw=150.0, factor=1.0), 150.0, 12.0, 0.0, 0.0)
    assert (dry.deficit_l, dry.used_l, dry.demand_l) == (160.0, pytest.approx(10.0), 12.0)


def test_the_root_zone_takes_a_load_of_which_the_leaching_share_may_pass() -> None:
    assert root_zone_room(85.0) == pytest.approx(100.0)
    assert root_zone_room(0.0) == 0.0
