"""The formulas of salty water and soil against the check values; each value's source stands beside it in the file."""

from __future__ import annotations

import pytest

from gwlog.reference.chemistry import infiltration_hazard
from gwlog.reference.formulas import mg_per_me
from gwlog.reference.plants import find_plant
from gwlog.reference.salinity import (
    CAX_OF_EC,
    EXTRACT_FACTORS,
    SOIL_SAR_LIMITS,
    adjusted_sar,
    dissolved_calcium,
    leaching_requirement,
    relative_yield,
    sar,
    sar_of_exchangeable,
    water_applied,
)
from gwlog.reference.salt_ratings import LEAST_OF_RATING, UNRATED, salt_limit
from gwlog.reference.soils import TEXTURES
from gwlog.water.rootzone import stress_coefficient
from tests.reference.vectors import about, vector

# FAO-29 rev. 1 (1985), table 11, as transcribed (read in a transcription and recalled): HCO3/Ca -> Cax [me/L] at ECw
# 0.1 0.2 0.3 0.5 0.7 1.0 1.5 2.0 3.0 4.0 6.0 8.0 dS/m
TABLE_11 = """
0.05 13.20 13.61 13.92 14.40 14.79 15.26 15.91 16.43 17.28 17.97 19.07 19.94
0.10 8.31 8.57 8.77 9.07 9.31 9.62 10.02 10.35 10.89 11.32 12.01 12.56
0.15 6.34 6.54 6.69 6.92 7.11 7.34 7.65 7.90 8.31 8.64 9.17 9.58
0.20 5.24 5.40 5.52 5.71 5.87 6.06 6.31 6.52 6.86 7.13 7.57 7.91
0.25 4.51 4.65 4.76 4.92 5.06 5.22 5.44 5.62 5.91 6.15 6.52 6.82
0.30 4.00 4.12 4.21 4.36 4.48 4.62 4.82 4.98 5.24 5.44 5.77 6.04
0.35 3.61 3.72 3.80 3.94 4.04 4.17 4.35 4.49 4.72 4.91 5.21 5.45
0.40 3.30 3.40 3.48 3.60 3.70 3.82 3.98 4.11 4.32 4.49 4.77 4.98
0.45 3.05 3.14 3.22 3.33 3.42 3.53 3.68 3.80 4.00 4.15 4.41 4.61
0.50 2.84 2.93 3.00 3.10 3.19 3.29 3.43 3.54 3.72 3.87 4.11 4.30
0.75 2.17 2.24 2.29 2.37 2.43 2.51 2.62 2.70 2.84 2.95 3.14 3.28
1.00 1.79 1.85 1.89 1.96 2.01 2.09 2.16 2.23 2.35 2.44 2.59 2.71
1.25 1.54 1.59 1.63 1.68 1.73 1.78 1.86 1.92 2.02 2.10 2.23 2.33
1.50 1.37 1.41 1.44 1.49 1.53 1.58 1.65 1.70 1.79 1.86 1.97 2.07
1.75 1.23 1.27 1.30 1.35 1.38 1.43 1.49 1.54 1.62 1.68 1.78 1.86
2.00 1.13 1.16 1.19 1.23 1.26 1.31 1.36 1.40 1.48 1.54 1.63 1.70
2.25 1.04 1.08 1.10 1.14 1.17 1.21 1.26 1.30 1.37 1.42 1.51 1.58
2.50 0.97 1.00 1.02 1.06 1.09 1.12 1.17 1.21 1.27 1.32 1.40 1.47
3.00 0.85 0.89 0.91 0.94 0.96 1.00 1.04 1.07 1.13 1.17 1.24 1.30
3.50 0.78 0.80 0.82 0.85 0.87 0.90 0.94 0.97 1.02 1.06 1.12 1.17
4.00 0.71 0.73 0.75 0.78 0.80 0.82 0.86 0.88 0.93 0.97 1.03 1.07
4.50 0.66 0.68 0.69 0.72 0.74 0.76 0.79 0.82 0.86 0.90 0.95 0.99
5.00 0.61 0.63 0.65 0.67 0.69 0.71 0.74 0.76 0.80 0.83 0.88 0.93
7.00 0.49 0.50 0.52 0.53 0.55 0.57 0.59 0.61 0.64 0.67 0.71 0.74
10.00 0.39 0.40 0.41 0.42 0.43 0.45 0.47 0.48 0.51 0.53 0.56 0.58
20.00 0.24 0.25 0.26 0.26 0.27 0.28 0.29 0.30 0.32 0.33 0.35 0.37
30.00 0.18 0.19 0.20 0.20 0.21 0.21 0.22 0.23 0.24 0.25 0.27 0.28
"""


@pytest.mark.parametrize("name", about("sar"))
def test_the_sodium_ratio_of_printed_waters(name: str) -> None:
    given, expected, within = vector(name)
    ions = [given["na"], given["ca"], given["mg"]]
    if given["unit"] == "mg/L":
        ions = [mg / mg_per_me(ion) for mg, ion in zip(ions, ("sodium", "calcium", "magnesium"), strict=True)]
    assert sar(*ions) == pytest.approx(expected["sar"], abs=within)


def test_the_printed_slip_is_not_the_sodium_ratio() -> None:
    given, expected, within = vector("sar-bad")
    ions = [given[key] / mg_per_me(ion)
            for key, ion in (("na", "sodium"), ("ca", "calcium"), ("mg", "magnesium"))]
    assert sar(*ions) == pytest.approx(expected["correct"], abs=within)
    assert abs(sar(*ions) - expected["printed"]) > 10


def test_a_water_that_dries_up_raises_its_sodium_ratio_with_the_root() -> None:
    given, expected, within = vector("sar-conc")
    once, dried = sar(4.0, 1.0, 1.0), sar(*(given["factor"] * ion for ion in (4.0, 1.0, 1.0)))
    assert once == given["sar_water"] and dried == pytest.approx(expected["sar"], abs=within)


def test_exchangeable_sodium_tells_the_ratio() -> None:
    given, expected, within = vector("esp")
    for ratio, percent in zip(given["sar"], expected["esp"], strict=True):
        # a hundredth of a percent is less than 0.05 of the ratio, far up
        assert sar_of_exchangeable(percent) == pytest.approx(ratio, abs=3 * within)
    assert sar_of_exchangeable(0.0) == pytest.approx(0.0126 / 0.01475)


@pytest.mark.parametrize("name", about("cax"))
def test_the_calcium_that_stays_dissolved(name: str) -> None:
    given, expected, within = vector(name)
    ratio = given.get("ratio") or given["hco3"] / given["ca"]
    if "ratio" in expected:
        assert ratio == pytest.approx(expected["ratio"], abs=1e-4)
    # cells are printed to two digits; the law keeps within 0.0125 of all but one of them (next test)
    off = 0.02 if (ratio, given["ecw"]) == (1.0, 1.0) else max(within, 0.0125)
    assert dissolved_calcium(ratio, 1.0, given["ecw"]) == pytest.approx(expected["cax"], abs=off)


def test_every_cell_of_table_11_but_one_obeys_the_law() -> None:
    given, expected, _ = vector("cax-law")
    assert {f"{ec}": factor for ec, factor in CAX_OF_EC} == given["A"]
    odd, cells = [], 0
    for row in TABLE_11.split("\n"):
        ratio, *printed = map(float, row.split()) if row else (0.0,)
        for (ec, _), cell in zip(CAX_OF_EC, printed, strict=False):
            cells += 1
            if abs(dissolved_calcium(ratio, 1.0, ec) - cell) > expected["max_abs_error"]:
                odd.append({"ratio": ratio, "ecw": ec, "printed": cell,
                            "law": round(dissolved_calcium(ratio, 1.0, ec), 2)})
    assert cells == expected["cells"] and odd == [expected["exception"]]


def test_beyond_the_tables_ends_the_factor_is_held() -> None:
    assert dissolved_calcium(1.0, 1.0, 0.01) == dissolved_calcium(1.0, 1.0, 0.1)
    assert dissolved_calcium(1.0, 1.0, 20.0) == dissolved_calcium(1.0, 1.0, 8.0) == 2.706
    assert dissolved_calcium(0.0, 1.3, 1.0) == 1.3


@pytest.mark.parametrize("name", about("adj-rna"))
def test_the_adjusted_sodium_ratio(name: str) -> None:
    given, expected, within = vector(name)
    # the check values are straight between the table's rows; the law bends below the line by at most 0.6 %
    assert adjusted_sar(given["na"], given["ca"], given["mg"], given["hco3"], given["ecw"]) == pytest.approx(
        expected["adj_rna"], abs=max(within, 0.006 * expected["adj_rna"]))
    if "cax" in expected:
        assert dissolved_calcium(given["hco3"], given["ca"], given["ecw"]) == pytest.approx(expected["cax"], abs=within)
        assert sar(given["na"], given["ca"], given["mg"]) == pytest.approx(expected["sar"], abs=within)


def test_infiltration() -> None:
    given, expected, _ = vector("infil")
    assert [infiltration_hazard(one["sar"], one["ecw"]) for one in given] == expected


@pytest.mark.parametrize("name", about("leaching-requirement"))
def test_the_leaching_requirement(name: str) -> None:
    given, expected, (within, within_mm) = vector(name)
    share = leaching_requirement(given["ecw"], given["ece"])
    assert share == pytest.approx(expected["lr"], abs=within)
    if given.get("et_mm"):
        assert water_applied(given["et_mm"], share) == pytest.approx(expected["applied_mm"], abs=within_mm)


def test_what_grows_in_salty_soil() -> None:
    given, expected, within = vector("yield")
    for one, percent in zip(given, expected["relative_yield_pct"], strict=True):
        assert relative_yield(one["ece"], one["a"], one["b"]) == pytest.approx(percent, abs=within)
        plant = find_plant(one["plant"])
        assert plant is not None and plant.salt_threshold is not None and plant.salt_slope is not None
        assert (plant.salt_threshold.value, plant.salt_slope.value) == (one["a"], one["b"])


def test_salt_and_drought_together_as_in_fao_56_example_39() -> None:
    given, expected, within = vector("fao56-39")
    lost = (100.0 - relative_yield(given["ece"], given["threshold"], given["slope"])) / (100.0 * given["ky"])
    for depleted, both, dry in zip(given["dr"], expected["ks"], expected["ks_no_salt"], strict=True):
        alone = stress_coefficient(depleted, given["taw"], given["raw"])
        assert alone == pytest.approx(dry, abs=within)
        assert alone * (1.0 - lost) == pytest.approx(both, abs=within)


def test_every_texture_has_its_limit_and_its_extract() -> None:
    assert set(SOIL_SAR_LIMITS) == set(EXTRACT_FACTORS) == set(TEXTURES)


@pytest.mark.parametrize(("plant", "limit", "sure"), [
    ("bean", 1.0, "read"), ("turnip", 0.9, "read"), ("fig", 2.7, "memory"), ("rose", 1.5, "memory"),
    ("apple", 1.0, "assumption"), ("palm", 6.0, "memory"), ("native shrubs", 1.3, "assumption"),
    ("moss", 1.3, "assumption"),
])
def test_the_salt_that_a_plant_bears(plant: str, limit: float, sure: str) -> None:
    found = salt_limit(find_plant(plant))
    assert (found.value, found.sure) == (limit, sure)


def test_ratings_rise() -> None:
    values = [rating.value for rating in LEAST_OF_RATING.values()]
    assert values == sorted(values) and values[0] < UNRATED.value <= values[1]
