"""Salts, chlorine and boron: the thresholds of FAO-29 rev. 1, typed here from the paper, and their judging."""

from __future__ import annotations

import pytest

from gwlog.reference import chemistry
from gwlog.reference.chemistry import THRESHOLDS, bleach_mg_per_l, infiltration_hazard

# FAO Irrigation and Drainage Paper 29 rev. 1 (1985), table 1; chlorine: US EPA, Guidelines for Water Reuse
LIMITS = {
    "salinity": (0.7, 3.0), "sodium, surface irrigation": (3, 9), "chloride, surface irrigation": (4, 10),
    "boron": (0.7, 3.0), "chlorine residual": (1, 5),
}

# the same table, infiltration: SAR inside the row, no hazard above this ECw, severe below this one [dS/m]
INFILTRATION = [(1.5, 0.7, 0.2), (4, 1.2, 0.3), (9, 1.9, 0.5), (15, 2.9, 1.3), (30, 5.0, 2.9)]


@pytest.mark.parametrize("hazard", LIMITS)
def test_fao_29_table_1_none_and_severe(hazard):
    none, severe = LIMITS[hazard]
    row = THRESHOLDS[hazard]
    assert (row.none.value, row.severe.value) == (none, severe)
    assert row.judge(none * 0.99) == "none"
    assert row.judge(none) == row.judge(severe) == "slight to moderate"
    assert row.judge(severe * 1.01) == "severe"


@pytest.mark.parametrize(("sar", "none", "severe"), INFILTRATION)
def test_fao_29_table_1_infiltration(sar, none, severe):
    assert infiltration_hazard(sar, none * 1.01) == "none"
    assert infiltration_hazard(sar, none) == infiltration_hazard(sar, severe) == "slight to moderate"
    assert infiltration_hazard(sar, severe * 0.99) == "severe"


@pytest.mark.parametrize(("sar", "expected"), [(2.99, "none"), (3.0, "slight to moderate"), (60.0, "severe")])
def test_infiltration_rows_meet_without_a_gap_and_the_last_one_goes_on(sar, expected):
    assert infiltration_hazard(sar, 0.71) == expected


def test_infiltration_rows_join():
    rows = chemistry.INFILTRATION
    assert [row.sar_to for row in rows[:-1]] == [row.sar_from for row in rows[1:]]


def test_a_cup_of_bleach_in_a_machine_is_about_180_mg_of_chlorine_per_litre():
    """240 mL of 6 % bleach in 75 L, before demand: far past the 5 mg/L that most plants bear. A gram of sodium
    hypochlorite is worth 70.9 / 74.44 = 0.952 g of chlorine.
    """
    strength = bleach_mg_per_l(240, 0.06, 75)
    assert strength == pytest.approx(192 * 0.9525, abs=0.1)
    assert THRESHOLDS["chlorine residual"].judge(strength) == "severe"


def test_sodium_target_of_the_western_australian_code_of_practice_2010():
    assert chemistry.SODIUM_TARGET_G.value == 20
