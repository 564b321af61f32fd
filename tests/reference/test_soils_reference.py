"""The six soils and the soil textures against the documents they come from, typed here independently."""

from __future__ import annotations

import pytest

from gwlog.reference.soils import L_PER_M2_PER_GAL_PER_FT2, SOILS, TEXTURES

# California Plumbing Code / Uniform Plumbing Code, "design of six typical soils":
# soil, ft2 per 100 gal/day, gal/ft2/day
CPC_SIX_SOILS = [
    ("coarse sand or gravel", 20, 5.0),
    ("fine sand", 25, 4.0),
    ("sandy loam", 40, 2.5),
    ("sandy clay", 60, 1.7),
    ("clay with considerable sand or gravel", 90, 1.1),
    ("clay with a small amount of sand or gravel", 120, 0.8),
]

# Utah Administrative Code R317-401-6, table 4 (2024), gal/ft2/day, in the same order of soils
UTAH_R317_401_6_TABLE_4 = [5, 4, 2.5, 1.6, 1.1, 0.8]

# the allowance in L/m2/day as it is told to metric households, one decimal
METRIC = [203.7, 163.0, 101.9, 69.3, 44.8, 32.6]

# FAO Irrigation and Drainage Paper 56, table 19: field capacity, wilting point, available [m3/m3]
FAO_56_TABLE_19 = {
    "sand": ((0.07, 0.17), (0.02, 0.07), (0.05, 0.11)),
    "loamy sand": ((0.11, 0.19), (0.03, 0.10), (0.06, 0.12)),
    "sandy loam": ((0.18, 0.28), (0.06, 0.16), (0.11, 0.15)),
    "loam": ((0.20, 0.30), (0.07, 0.17), (0.13, 0.18)),
    "silt loam": ((0.22, 0.36), (0.09, 0.21), (0.13, 0.19)),
    "silt": ((0.28, 0.36), (0.12, 0.22), (0.16, 0.20)),
    "silt clay loam": ((0.30, 0.37), (0.17, 0.24), (0.13, 0.18)),
    "silty clay": ((0.30, 0.42), (0.17, 0.29), (0.13, 0.19)),
    "clay": ((0.32, 0.40), (0.20, 0.24), (0.12, 0.20)),
}


def test_one_gallon_per_square_foot_is_40_746_litres_per_square_metre():
    """Definitions of the gallon and the foot, NIST Handbook 44, appendix C."""
    assert pytest.approx(40.746, abs=5e-4) == L_PER_M2_PER_GAL_PER_FT2


def test_six_soils_match_the_california_plumbing_code():
    assert [
        (soil.name, soil.ft2_per_100gal.value, soil.allowance_gal_per_ft2.value) for soil in SOILS.values()
    ] == CPC_SIX_SOILS


def test_six_soils_match_utah_r317_401_6_table_4():
    assert [soil.utah_gal_per_ft2.value for soil in SOILS.values()] == UTAH_R317_401_6_TABLE_4


@pytest.mark.parametrize(
    ("name", "california", "utah"),
    [(name, gal, utah) for (name, _, gal), utah in zip(CPC_SIX_SOILS, UTAH_R317_401_6_TABLE_4, strict=True)],
)
def test_both_documents_agree_but_for_one_rounding_of_100_over_60(name, california, utah):
    """1.67 gal/ft2 for sandy clay is printed as 1.7 in one document and cut to 1.6 in the other."""
    assert california == pytest.approx(utah, abs=0.11)
    assert SOILS[name].allowance_gal_per_ft2.value == california


@pytest.mark.parametrize("name", [name for name, _, _ in CPC_SIX_SOILS])
def test_the_two_columns_of_the_code_are_one_number_rounded(name):
    """gal/ft2 is 100 over ft2 per 100 gal, printed with one decimal (last row: 0.83 as 0.8)."""
    soil = SOILS[name]
    assert round(100.0 / soil.ft2_per_100gal.value, 1) == soil.allowance_gal_per_ft2.value


@pytest.mark.parametrize(("name", "metric"), [(row[0], m) for row, m in zip(CPC_SIX_SOILS, METRIC, strict=True)])
def test_the_allowance_in_litres_per_square_metre(name, metric):
    assert SOILS[name].allowance_l_per_m2 == pytest.approx(metric, abs=0.05)


def test_each_soil_has_a_texture_of_table_19_by_default():
    assert {soil.default_texture.value for soil in SOILS.values()} <= set(FAO_56_TABLE_19)
    assert SOILS["sandy loam"].default_texture.value == "sandy loam"


def test_textures_match_fao_56_table_19():
    assert {
        t.name: (t.field_capacity_range.value, t.wilting_point_range.value, t.available_range.value)
        for t in TEXTURES.values()
    } == FAO_56_TABLE_19


@pytest.mark.parametrize("name", FAO_56_TABLE_19)
def test_the_middle_of_each_range_is_used_and_makes_sense(name):
    texture = TEXTURES[name]
    capacity, wilting, available = FAO_56_TABLE_19[name]
    assert capacity[0] < texture.field_capacity < capacity[1]
    assert wilting[0] < texture.wilting_point < wilting[1]
    assert texture.available == pytest.approx(sum(available) / 2)
    assert texture.wilting_point < texture.field_capacity
    # capacity less wilting point, both at their middles, comes near the middle of the available range
    assert texture.field_capacity - texture.wilting_point == pytest.approx(texture.available, abs=0.0301)
