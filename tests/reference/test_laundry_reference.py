"""Laundry water and the discharge the code expects, against the documents' own arithmetic."""

from __future__ import annotations

import pytest

from gwlog.journal.facts import WASHER_KINDS
from gwlog.reference import laundry as wash
from gwlog.reference.codes import PROFILES, laundry_discharge_gal, occupants_by_bedrooms
from gwlog.reference.codes.california import BATH_GPCD
from gwlog.reference.listing import table
from gwlog.units import LITRES_PER_GALLON


def test_every_kind_of_washer_has_its_water():
    assert tuple(wash.WASHER_GAL) == WASHER_KINDS


def test_top_load_efficient_is_the_energy_star_factor_times_a_family_drum():
    """ENERGY STAR 2018: 4.3 gal/ft3; times 4.5 ft3 = 19.35, taken as 20."""
    assert wash.EFFICIENT_FACTOR_GAL_PER_FT3.value * wash.DRUM_FT3.value == pytest.approx(4.3 * 4.5)
    assert wash.WASHER_GAL["top-load-efficient"].value == pytest.approx(4.3 * 4.5, abs=1.0)


def test_front_load_is_the_energy_star_factor_times_a_family_drum_and_within_uc_anr():
    """ENERGY STAR 2018: 3.2 gal/ft3 x 4.5 ft3 = 14.4; UC ANR gives 10-25 gal."""
    assert wash.FRONT_FACTOR_GAL_PER_FT3.value * wash.DRUM_FT3.value == pytest.approx(3.2 * 4.5)
    assert wash.WASHER_GAL["front-load"].value == pytest.approx(3.2 * 4.5, abs=1.0)
    low, high = wash.FRONT_LOAD_RANGE_GAL.value
    assert (low, high) == (10, 25)
    assert low <= wash.WASHER_GAL["front-load"].value <= high


def test_top_load_agitator_agrees_with_residential_end_uses_of_water_1999():
    """UC ANR 40 gal; the logged mean of the 1999 study is 40.9."""
    assert wash.WASHER_GAL["top-load-agitator"].value == pytest.approx(40.9, abs=1.0)
    assert wash.washer_litres("top-load-agitator") == pytest.approx(151.4, abs=0.05)


def test_owasa_400_loads_a_year_are_7_7_a_week_and_save_6000_to_10000_gallons():
    assert wash.LOADS_PER_YEAR.value / 52 == pytest.approx(7.7, abs=0.05)
    assert wash.LOADS_PER_YEAR.value / 52 == pytest.approx(wash.LOADS_PER_WEEK_OF_FOUR.value, abs=0.5)  # UC ANR: 8
    low, high = wash.SAVED_GAL_PER_LOAD.value
    assert (400 * low, 400 * high) == (6_000, 10_000) == wash.SAVED_GAL_PER_YEAR.value


@pytest.mark.parametrize(("bedrooms", "occupants", "gallons"), [(2, 3, 120), (3, 4, 160), (4, 5, 200)])
def test_discharge_by_bedrooms_matches_utah_r317_401_5_table_1(bedrooms, occupants, gallons):
    """CPC 1503.8.1: 2 occupants and 1 for each further bedroom, laundry 15 and bathing 25 gal/day each."""
    assert occupants_by_bedrooms(bedrooms) == occupants
    assert laundry_discharge_gal(occupants) == 15 * occupants
    assert laundry_discharge_gal(occupants) + BATH_GPCD.value * occupants == gallons
    assert PROFILES["us-ut"].design_flow_gal(bedrooms) == gallons


@pytest.mark.parametrize(("bedrooms", "occupants", "laundry"), [(1, 2, 30), (2, 3, 45), (3, 4, 60), (4, 5, 75)])
def test_what_the_code_expects_by_bedrooms_is_listed(bedrooms, occupants, laundry):
    """CPC 1503.8.1 as above: occupants, and 15 gal/day of laundry water for each."""
    name = "1 bedroom" if bedrooms == 1 else f"{bedrooms} bedrooms"
    listed = {row["what"]: row["value"] for row in table("laundry") if row["name"] == name}
    assert listed == {"occupants the code expects": occupants, "laundry water the code expects": laundry}
    assert {"name": "bathing", "value": 25.0}.items() <= next(
        row for row in table("laundry") if row["what"] == "water the code expects per occupant").items()


def test_discharge_without_bedrooms_and_in_litres():
    assert occupants_by_bedrooms(0) == 0
    assert occupants_by_bedrooms(1) == 2
    assert laundry_discharge_gal(2) * LITRES_PER_GALLON == pytest.approx(113.56, abs=0.005)


def test_valley_water_trees_and_outlets():
    assert {kind: trees.value for kind, trees in wash.TREES_PER_WEEKLY_LOAD.items()} == {
        "front-load": (1, 1), "top-load": (2, 3)}
    assert {kind: most.value for kind, most in wash.MOST_OUTLETS.items()} == {"front-load": 8, "top-load": 12}
