"""The tap water's report and products' labels in the site file: every unit, unknowns, refusals with their line."""

from __future__ import annotations

import pytest

from gwlog.errors import SeveralFaults
from gwlog.journal.facts import Product, Site
from gwlog.setup.change import changes
from gwlog.setup.describe import describe
from gwlog.setup.draft import judge, of_text
from gwlog.setup.show import show
from gwlog.state import State, fold
from gwlog.water.report import tap_water
from tests.setup.household import NOW, US, read

REPORT = """
[site.tap_water]
ec_us_cm = 520
calcium_meq_l = 2.4
magnesium_ppm = 12
sodium_mg_l = 34.5
hardness_gpg = 9.9
boron_mg_l = "not known"
ph = 7.4
"""
POWDER = """
[[product]]
name = "heap powder"
kind = "detergent"
form = "powder"
label = ["Sodium carbonate 10-30 %", "zeolite 25 %", "sodium sulfate", "Glimmer"]
dose_oz = 2.5
"""


def first(text: str) -> State:
    return fold(changes(State(), read(text), in_force=NOW))


def facts_of(text: str) -> tuple[Site, list[Product]]:
    found = read(text).facts
    return (next(one for one in found if isinstance(one, Site)), [one for one in found if isinstance(one, Product)])


def test_a_report_is_kept_as_it_was_written() -> None:
    site, products = facts_of(US + REPORT + POWDER)
    assert site.tap_water is not None and set(site.tap_water) == {
        "ec_us_cm=520", "calcium_meq_l=2.4", "magnesium_ppm=12", "sodium_mg_l=34.5", "hardness_gpg=9.9",
        "boron_mg_l=not known", "ph=7.4"}
    water = tap_water(site.tap_water)
    assert water.boron is None and water.ec == 0.52 and water.calcium == pytest.approx(2.4)
    powder = products[-1]
    assert powder.label == ("Sodium carbonate 10-30 %", "zeolite 25 %", "sodium sulfate", "Glimmer")
    assert powder.dose_mg == 70_874


def test_it_is_shown_and_read_back_without_a_change() -> None:
    state = first(US + REPORT + POWDER)
    shown = show(state)
    assert "[site.tap_water]" in shown and "ec_us_cm = 520" in shown and 'boron_mg_l = "not known"' in shown
    assert changes(state, read(shown), in_force=NOW) == []
    other = REPORT.replace("520", "0.7").replace("ec_us_cm", "ec_ds_m")
    again = changes(state, read(US + other + POWDER), in_force=NOW)
    (line,) = describe(again, state)
    assert "conductivity 520 µS/cm" in line and "conductivity 0.7 dS/m" in line
    assert judge(of_text(shown), NOW).wrong == ()


def test_a_file_without_a_report_says_nothing_of_it() -> None:
    site, products = facts_of(US)
    assert site.tap_water is None and all(one.label is None and one.dose_mg is None for one in products)
    assert "tap_water" not in show(first(US))
    assert facts_of(US + "\n[site.tap_water]\n")[0].tap_water is None


@pytest.mark.parametrize(("more", "key", "said"), [
    ("\n[site.tap_water]\nph = 15\n", "ph = 15", "0 to 14"),
    ("\n[site.tap_water]\ncalcium_mg_l = -3\n", "calcium_mg_l = -3", "0 to 2000"),
    ("\n[site.tap_water]\ncalcium = 3\n", "calcium = 3", "its unit is missing"),
    ("\n[site.tap_water]\ncalcium_mg_l = 3\ncalcium_meq_l = 3\n", "calcium_meq_l", "given twice"),
    ("\n[site.tap_water]\nec_us_cm = 90000\n", "ec_us_cm = 90000", "20000"),
    ("\n[site.tap_water]\nsodium_mg_l = true\n", "sodium_mg_l = true", "not a number"),
    ('\n[site.tap_water]\nsodium_mg_l = "some"\n', "sodium_mg_l", "not a number"),
    ("\n[site.tap_water]\ngold_mg_l = 3\n", "gold_mg_l = 3", "not a key of [tap_water]"),
    (POWDER.replace("10-30", "110"), "label", "between 0 and 100 %"),
    (POWDER.replace("25 %", "-5 %"), "label", "negative"),
    (POWDER.replace("10-30 %", "90 %"), "label", "add up to 115 %"),
    (POWDER.replace('["Sod', '[7, "Sod'), "label", "not a list of lines"),
    (POWDER.replace("dose_oz = 2.5", "dose_g = 0"), "dose_g = 0", "out of range"),
    (POWDER.replace("dose_oz = 2.5", "dose = 3"), "dose = 3", "its unit is missing"),
])
def test_what_cannot_be_is_refused_with_its_line(more: str, key: str, said: str) -> None:
    with pytest.raises(SeveralFaults) as refused:
        read(US + more)
    (fault,) = refused.value.faults
    row = next(number for number, line in enumerate((US + more).split("\n"), 1) if line.startswith(key.split(" = ")[0]))
    assert fault.startswith(f"line {row}: ") and said in fault


def test_a_balance_that_cannot_be_is_told_and_not_refused() -> None:
    told = read(US + REPORT.replace("sodium_mg_l = 34.5", "sodium_mg_l = 345")).warnings
    assert any("cations add up to 18.4 me/L" in one for one in told)
    assert not any("me/L" in one for one in read(US + REPORT).warnings)
