"""The tap water: every unit of a report to one value, what is not known stays so, what cannot be is told."""

from __future__ import annotations

import pytest

from gwlog.errors import BadInput
from gwlog.reference.formulas import mg_per_me
from gwlog.reference.salinity import MG_PER_L_PER_DS_M
from gwlog.reference.water_units import CACO3, CONDUCTIVITY, HARDNESS, REPORT
from gwlog.water.report import amount, read_amount, report_words, spelling, spellings_of, tap_water
from gwlog.water.tap import NOT_KNOWN, TapWater, imbalance, oddities
from tests.reference.vectors import vector


def test_units_of_hardness_and_conductivity() -> None:
    _, expected, within = vector("units")
    assert HARDNESS["gpg"] == pytest.approx(expected["gpg_mg_l_caco3"], abs=within)
    assert HARDNESS["dh"] == pytest.approx(expected["dH_mg_l_caco3"], abs=within)
    assert HARDNESS["fh"] == pytest.approx(expected["fH_mg_l_caco3"], abs=within)
    assert HARDNESS["clark"] == pytest.approx(expected["clark_mg_l_caco3"], abs=within)
    assert pytest.approx(expected["caco3_mg_per_me"], abs=within) == CACO3
    assert CONDUCTIVITY["ms_cm"] == expected["mS_cm"] and CONDUCTIVITY["us_cm"] == expected["uS_cm"]
    assert MG_PER_L_PER_DS_M.value == expected["tds_per_ds_m"]


@pytest.mark.parametrize("lines", [
    ("ec_ds_m=0.62", "calcium_mg_l=48.0936", "magnesium_mg_l=12.1525", "sodium_mg_l=34.4847", "boron_mg_l=0.1"),
    ("ec_us_cm=620", "calcium_meq_l=2.4", "magnesium_meq_l=1.0", "sodium_meq_l=1.5", "boron_ug_l=100"),
    ("ec_ms_cm=0.62", "calcium_ppm=48.0936", "hardness_meq_l=3.4", "sodium_ppm=34.4847", "boron_ppb=100"),
    ("ec_ms_m=62", "calcium_mg_l_caco3=120.1032", "magnesium_mg_l_caco3=50.043", "sodium_mmol_l=1.5",
     "boron_ppm=0.1"),
    ("ec_umho_cm=620", "calcium_mmol_l=1.2", "magnesium_mmol_l=0.5", "sodium_mg_l=34.4847", "boron_mg_l=0.1"),
])
def test_one_water_in_every_unit(lines: tuple[str, ...]) -> None:
    water = tap_water(lines)
    assert water.ecw is not None and water.ecw.exact and water.ecw.low == pytest.approx(0.62)
    assert (water.na, water.hard, water.boron) == (pytest.approx(1.5, abs=1e-5), pytest.approx(3.4), pytest.approx(0.1))
    assert water.ca is not None and water.ca.low == water.ca.high == pytest.approx(2.4)
    assert water.missing == ("its alkalinity",)


def test_alkalinity_as_carbonate_and_as_bicarbonate_are_one() -> None:
    one, two = tap_water(("alkalinity_mg_l=100",)), tap_water((f"bicarbonate_mg_l={100 / CACO3 * 61.016}",))
    assert one.alkalinity == pytest.approx(two.alkalinity) == pytest.approx(1.998, abs=0.001)


def test_hardness_in_grains() -> None:
    # 10 grains per gallon are 171 mg/L as calcium carbonate, 3.42 me/L (definitions)
    water = tap_water(("hardness_gpg=10", "sodium_mg_l=23"))
    assert water.hard == pytest.approx(3.4207, abs=0.001)
    assert water.ca is not None and (water.ca.low, water.ca.high) == (pytest.approx(1.71, abs=0.01), water.hard)
    assert water.ecw is not None and water.ecw.low == pytest.approx((3.4207 + 1.0004) / 10, abs=1e-4)


def test_dissolved_solids_leave_the_conductivity_open() -> None:
    water = tap_water(("tds_mg_l=400",))
    assert water.ecw == (pytest.approx(0.5), pytest.approx(400 / 550))
    assert set(water.missing) == {"its sodium", "its calcium and magnesium", "its alkalinity", "its boron"}


def test_without_a_report_nothing_is_known() -> None:
    assert tap_water(None) is NOT_KNOWN and NOT_KNOWN.ecw is None
    assert len(NOT_KNOWN.missing) == 5
    assert tap_water(("calcium_mg_l=not known", "a_later_word=3")).missing == NOT_KNOWN.missing


def test_a_softener_gives_sodium_for_hardness() -> None:
    given, expected, within = vector("softener")
    hard = given["hardness_mg_l_caco3"] / CACO3
    soft = TapWater(ec=0.3, sodium=1.0, calcium=hard * 0.7, magnesium=hard * 0.3, softened=True)
    assert soft.na is not None and soft.hard is not None
    left = HARDNESS["gpg"] / CACO3
    assert soft.hard == pytest.approx(left)
    all_of_it = (soft.na - 1.0) * hard / (hard - left) * mg_per_me("sodium")
    assert all_of_it == pytest.approx(expected["na_added_mg_l"], abs=within)
    grain = (soft.na - 1.0) / (hard - left) * left * mg_per_me("sodium")
    assert grain == pytest.approx(expected["per_gpg"], abs=within)
    assert soft.ca is not None and soft.ca.low == pytest.approx(0.7 * left)
    assert TapWater(sodium=1.0, softened=True).na is None


def test_a_balance_that_cannot_be_is_told() -> None:
    given, expected, within = vector("balance")
    for one, percent, told in zip(given, expected["error_pct"], expected["told"], strict=True):
        assert 100 * imbalance(one["c"], one["a"]) == pytest.approx(percent, abs=within)
        water = TapWater(calcium=one["c"] - 3, magnesium=2, sodium=1, alkalinity=one["a"] - 2, chloride=1, sulfate=1)
        assert bool(oddities(water)) is told
    assert "4.2" in oddities(TapWater(ec=1.5, calcium=2.2, magnesium=1, sodium=1))[0]
    assert "hardness" in oddities(TapWater(calcium=2, magnesium=1, hardness=5))[0]
    assert oddities(NOT_KNOWN) == []


def test_a_water_of_printed_ions_conducts_as_printed() -> None:
    given, expected, within = vector("ec-from-ions")
    water = TapWater(sodium=6.3, calcium=given["cations_me"] - 10.3, magnesium=4.0)
    assert water.ecw is not None and water.ecw.low == pytest.approx(expected["ec"])
    assert water.ecw.low == pytest.approx(expected["printed"], abs=within)


def test_keys_of_a_report() -> None:
    assert spelling("calcium_meq_l") == ("calcium", pytest.approx(20.039))
    assert spelling("ph") == ("ph", 1.0)
    assert spelling("calcium") is spelling("ph_mg_l") is spelling("gold_mg_l") is None
    keys = [key for name in REPORT for key in spellings_of(name)]
    assert all(spelling(key) is not None for key in keys) and len(set(keys)) == len(keys) > 50


@pytest.mark.parametrize(("name", "words", "key", "number"), [
    ("calcium", "48 mg/l", "calcium_mg_l", 48.0), ("calcium", "2.4 me/L", "calcium_meq_l", 2.4),
    ("calcium", "120 mg/L as CaCO3", "calcium_mg_l_caco3", 120.0), ("hardness", "10 GPG", "hardness_gpg", 10.0),
    ("ec", "620 uS/cm", "ec_us_cm", 620.0), ("ec", "0,62 dS/m", "ec_ds_m", 0.62), ("ph", "7.4", "ph", 7.4),
])
def test_amounts_as_people_type_them(name: str, words: str, key: str, number: float) -> None:
    assert read_amount(name, words) == (key, number)
    assert read_amount(name, amount(key, f"{number:g}")) == (key, number)


@pytest.mark.parametrize(("name", "words"), [
    ("calcium", "48"), ("calcium", "48 gpg"), ("ph", "15"), ("ec", "-1 dS/m"), ("boron", "much"),
    ("sodium", "9e9 mg/l"), ("sodium", "6000 mg/L"),
])
def test_amounts_that_cannot_be_are_refused(name: str, words: str) -> None:
    with pytest.raises(BadInput, match="; use "):
        read_amount(name, words)


def test_a_report_in_words() -> None:
    assert report_words(("ec_us_cm=620", "ph=7.4", "boron_mg_l=not known")) == [
        "conductivity 620 µS/cm", "pH 7.4", "boron not known"]
