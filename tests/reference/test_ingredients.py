"""Formulas and ingredients against a periodic-table package and the check values; labels read line by line."""

from __future__ import annotations

import re

import molmass
import pytest

from gwlog.errors import BadInput
from gwlog.reference.formulas import ATOMIC_WEIGHTS, IONS, atoms, mg_per_me, mmol_per_g, molar_mass
from gwlog.reference.ingredients import INGREDIENTS, UNKNOWN, find_ingredient, silicate
from gwlog.reference.labels import brought, read_label, read_line
from gwlog.span import Span, only
from tests.reference.vectors import vector

NA = 22.98976928


def test_atomic_weights_are_those_of_a_periodic_table_package() -> None:
    # molmass (an independent package); its weights of oxygen and others differ from the conventional ones by < 0.02 %
    for symbol, weight in ATOMIC_WEIGHTS.items():
        assert weight.value == pytest.approx(molmass.ELEMENTS[symbol].mass, rel=2e-4), symbol


def test_molar_masses_of_every_formula_in_use_are_those_of_the_package() -> None:
    formulas = {formula for one in INGREDIENTS for formula in one.formulas} | {formula for formula, _ in IONS.values()}
    whole = sorted(formula for formula in formulas if "." not in formula)
    assert len(whole) > 45
    for formula in whole:
        assert molar_mass(formula) == pytest.approx(molmass.Formula(formula).mass, rel=1e-4), formula


def test_molar_masses_shares_and_alkalinity_of_the_check_values() -> None:
    given, expected, within = vector("molar")
    known = {formula: one for one in INGREDIENTS for formula in one.formulas}
    for row, wanted in zip(given, expected, strict=True):
        formula = row["formula"]
        assert molar_mass(formula) == pytest.approx(wanted["M"], abs=within["M"]), row["name"]
        for symbol, share in wanted["fractions"].items():
            found = mmol_per_g(symbol, formula) * ATOMIC_WEIGHTS[symbol].value / 1000
            assert found == pytest.approx(share, abs=within["fraction"]), row["name"]
        ingredient = known.get(formula)
        if ingredient is None:
            assert row["name"] == "TAED"   # without any salt: its formula is not needed
        elif wanted["alkalinity_me_per_g"] is None:
            assert ingredient.acid_taken is None, row["name"]
        else:
            assert 1000 * (ingredient.acid_taken or 0) / molar_mass(formula) == pytest.approx(
                wanted["alkalinity_me_per_g"], abs=0.001), row["name"]


@pytest.mark.parametrize("formula", ["", "Na2CO3(", "Na2)CO3", "2Na", "Xx2", "na"])
def test_what_is_no_formula_is_refused(formula: str) -> None:
    with pytest.raises(ValueError, match=re.escape(f"“{formula}”") if "Xx" not in formula else "Xx"):
        atoms(formula)


def test_bleach_brings_twice_its_formulas_sodium() -> None:
    _, expected, within = vector("bleach-na")
    bleach = find_ingredient("sodium hypochlorite")
    assert bleach is not None
    content = bleach.content
    assert content.sodium.low * NA / 1000 == pytest.approx(expected["na_g"], abs=within)
    assert content.chloride.low * 35.45 / 1000 == pytest.approx(expected["chloride_after_use_g"], abs=within)
    assert content.chlorine.low / 1000 == pytest.approx(expected["available_chlorine_g"], abs=within)


def test_zeolite_gives_sodium_only_for_calcium() -> None:
    _, expected, within = vector("zeolite")
    zeolite = find_ingredient("Zeolite A")
    assert zeolite is not None
    content = zeolite.content
    assert content.sodium == (0.0, 0.0) and content.exchange.low == 0.0
    assert content.exchange.high == pytest.approx(expected["capacity_me"], abs=0.005)
    assert content.exchange.high * NA / 1000 == pytest.approx(expected["na_released_max_g"], abs=within)
    hydrated = 1000 * 12 / molar_mass("Na12Al12Si12O48(H2O)27")
    assert hydrated == pytest.approx(expected["hydrated_27_me"], abs=within)


def test_silicate_by_its_ratio() -> None:
    given, expected, within = vector("silicate")
    for ratio, share in zip(given["sio2_na2o_molar"], expected["na"], strict=True):
        assert silicate(ratio).content.sodium.low * NA / 1000 == pytest.approx(share, abs=within)
        found = find_ingredient(f"sodium silicate {ratio}:1")
        assert found is not None and found.content == silicate(ratio).content


def _sodium_percent(lines: list[str]) -> Span:
    content = brought(read_label(lines), only(100.0)).content
    return Span(content.sodium.low * NA / 1000, content.sodium.high * NA / 1000)


def test_the_reference_powder_of_iso_105_by_its_recipe() -> None:
    given, expected, within = vector("ece2")
    open_ones = ("acrylic/maleic copolymer Na", "CMC", "DTPMP")
    names = {"nonionic C12-18 7EO": "nonionic", "antifoam DC2-4248S": "antifoam", "zeolite 4A": "zeolite",
             "sodium silicate 3.3:1": "sodium silicate 3.3:1"}
    lines = [f"{names.get(name, name)} {share} %" for name, share in given["composition_pct"].items()
             if name not in open_ones]
    sodium = _sodium_percent(lines)
    # soap of whatever fat and LAS of whatever length leave 0.1 % open
    assert sodium.low == pytest.approx(expected["na_pct_without_zeolite"], abs=within["pct"] + 0.06)
    assert sodium.high == pytest.approx(expected["na_pct_without_zeolite"], abs=within["pct"] + 0.12)
    content = brought(read_label(lines), only(given["dose_g"])).content
    dry = content.exchange.high * NA / 1000
    assert dry + expected["na_pct_without_zeolite"] == pytest.approx(expected["na_pct_zeolite_dry"], abs=within["pct"])
    mg_per_l = content.sodium.times(NA / given["water_l"])
    assert mg_per_l.low <= expected["na_mg_l_without_zeolite"] <= mg_per_l.high
    assert content.boron == (expected["b"], expected["b"])
    whole = read_label([*lines, *(f"{name} {given['composition_pct'][name]} %" for name in open_ones if name != "CMC")])
    assert brought(whole, only(100.0)).not_known == ("acrylic/maleic copolymer Na", "DTPMP")


def test_the_reference_powder_of_aatcc_by_its_recipe() -> None:
    given, expected, within = vector("aatcc")
    shares = given["composition_pct"]
    names = {"zeolite (dry)": "zeolite", "soda ash": "soda ash", "silicate solids": "sodium silicate",
             "misc": "water", "silicone": "silicone", "moisture": "moisture", "PEG": "peg"}
    lines = [f"{names.get(name, name)} {share} %" for name, share in shares.items()]
    sodium = _sodium_percent(lines)
    assert sodium.low - within["pct"] <= expected["na_pct_without_zeolite"] <= sodium.high + within["pct"]
    content = brought(read_label(lines), only(given["dose_g"])).content
    assert (content.sodium.low * NA / 1000) == pytest.approx(expected["na_g"], abs=0.1)
    with_zeolite = sodium.low + 100 * 0.25 * 0.1618
    assert with_zeolite == pytest.approx(expected["na_pct_with_zeolite"], abs=within["pct"])


@pytest.mark.parametrize(("line", "name", "share", "grams"), [
    ("Sodium carbonate 10-30 %", "sodium carbonate", (0.1, 0.3), None),
    ("soda ash, 25 percent", "sodium carbonate", (0.25, 0.25), None),
    ("sodium sulphate < 5 %", "sodium sulfate", (0.0, 0.05), None),
    ("30 % or more zeolite", "zeolite", (0.3, 1.0), None),
    ("15% or more but less than 30% anionic surfactants", "anionic surfactant", (0.15, 0.3), None),
    ("5 to 15 % soap", "soap", (0.05, 0.15), None),
    ("borax 15 g", "borax", None, (15.0, 15.0)),
    ("borax 10-20 g", "borax", None, (10.0, 20.0)),
    ("Parfum", "perfume", None, None),
])
def test_lines_of_a_label(line: str, name: str, share: tuple[float, float], grams: tuple[float, float]) -> None:
    read = read_line(line)
    assert read.ingredient is not None and read.ingredient.name == name
    assert (read.share, read.grams) == (share and pytest.approx(share), grams)


@pytest.mark.parametrize("line", ["", "  ", "LAS 130 %", "soap 30-10 %", "soap -5 %", "12 %", "soap 7", "borax 9000 g",
                                  "x" * 81])
def test_what_cannot_be_a_line_is_refused_with_what_would_be(line: str) -> None:
    with pytest.raises(BadInput):
        read_line(line)


def test_shares_beyond_the_whole_are_refused() -> None:
    with pytest.raises(BadInput, match="130 %"):
        read_label(["soap 60 %", "soda ash 70-80 %"])


def test_what_is_not_known_is_never_nothing() -> None:
    label = read_label(["sodium sulfate 40 %", "sparkling secret 10 %", "water"])
    told = brought(label, only(50.0))
    assert told.not_known == ("sparkling secret",)
    sulfate = 50 * 0.4 * 2000 / molar_mass("Na2SO4")
    assert told.content.sodium.low == pytest.approx(sulfate)
    assert told.content.sodium.high == pytest.approx(sulfate + 5.0 * UNKNOWN.sodium.high)
    assert told.content.boron.low == 0.0 < told.content.boron.high


def test_a_line_without_an_amount_may_be_all_that_the_others_leave() -> None:
    told = brought(read_label(["water 70 %", "sodium chloride"]), only(10.0)).content
    assert told.sodium == (0.0, pytest.approx(10 * 0.3 * 1000 / molar_mass("NaCl")))


def test_names_mean_one_ingredient_each() -> None:
    seen: dict[str, str] = {}
    for one in INGREDIENTS:
        for name in (one.name, *one.other_names):
            assert seen.setdefault(name, one.name) == one.name, name
            found = find_ingredient(name.upper())
            assert found is not None and found.name == one.name, name
    assert find_ingredient("dragon scales") is None


def test_weights_of_a_milliequivalent() -> None:
    _, expected, within = vector("units")
    for key, ion in (("na", "sodium"), ("ca", "calcium"), ("mg", "magnesium"), ("k", "potassium"), ("cl", "chloride"),
                     ("so4", "sulfate"), ("hco3", "bicarbonate"), ("co3", "carbonate")):
        assert mg_per_me(ion) == pytest.approx(expected[key], abs=0.0025), ion
    assert expected["no3_n"] == pytest.approx(ATOMIC_WEIGHTS["N"].value, abs=within)
    assert expected["b"] == pytest.approx(ATOMIC_WEIGHTS["B"].value, abs=within)
