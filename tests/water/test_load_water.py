"""One load's water against the check values: conductivity, sodium ratio, boron, at its own volume."""

from __future__ import annotations

from itertools import pairwise
from math import sqrt
from typing import Any

import pytest

from gwlog.journal.facts import Product
from gwlog.reference.salinity import adjusted_sar, sar
from gwlog.reference.water_units import CACO3
from gwlog.span import Span
from gwlog.water.dose import dose_of
from gwlog.water.load_water import LEAST_HARD, load_salts, load_water, tap_salts
from gwlog.water.tap import NOT_KNOWN, TapWater
from tests.reference.vectors import about, vector
from tests.water.household import SINCE, ZONE, at

TAP = TapWater(ec=0.28, calcium=1.2, magnesium=0.6, sodium=1.0, alkalinity=2.0, boron=0.05)


def product(name: str = "plain", **more: Any) -> Product:
    return Product(happened_at=at(SINCE, 0.0), zone=ZONE, name=name,
                   **{"product_kind": "detergent", "form": "powder", "borax": False, **more})


@pytest.mark.parametrize("name", [one for one in about("load") if one != "sar12"])
def test_sodium_in_this_loads_volume(name: str) -> None:
    given, expected, within = vector(name)
    ions = given["tap_me"]
    tap = TapWater(ec=0.28, calcium=ions["ca"], magnesium=ions["mg"], sodium=ions["na"], boron=0.0)
    sodium = product(sodium_mg=given["sodium_g"] * 1000)
    water = load_water(tap, (sodium,), given["litres"])
    assert water.sar is not None and water.sar.exact
    assert water.sar.low == pytest.approx(expected["sar"], abs=within["sar"])
    assert water.ecw is not None and water.ecw.low - 0.28 == pytest.approx(expected["ecw_rise_ds_m"], abs=0.001)
    assert 10 * (water.ecw.low - 0.28) == pytest.approx(expected["na_me_added"], abs=0.005)
    # the tap water's alkalinity is not known: no adjusted ratio, and it says so
    assert water.sar_adjusted is None and "the tap water: its alkalinity" in water.not_known


def test_ten_grams_in_57_litres_of_soft_water() -> None:
    given, expected, _ = vector("sar12")
    hardness = expected["hardness_mg_l_caco3"] / CACO3
    assert hardness == pytest.approx(expected["ca_plus_mg_me"], abs=0.001)
    tap = TapWater(ec=0.1, sodium=0.0, calcium=hardness / 2, magnesium=hardness / 2)
    water = load_water(tap, (product(sodium_mg=10_000),), given["litres"])
    assert water.sar is not None and water.sar.low == pytest.approx(given["sar"], abs=0.01)


@pytest.mark.parametrize(("name", "ingredient"), [("borax", "borax decahydrate"),
                                                  ("perborate", "sodium perborate tetrahydrate")])
def test_boron_in_this_loads_volume(name: str, ingredient: str) -> None:
    given, expected, within = vector(name)
    grams = given.get("borax_decahydrate_g") or given["perborate_tetrahydrate_g"]
    salt = product(label=(f"{ingredient} {grams} g",), dose_mg=100_000, borax=True)
    water = load_water(TapWater(ec=0.3, boron=0.0), (salt,), given["litres"])
    assert water.boron is not None and water.boron.exact
    assert water.boron.low == pytest.approx(expected["boron_mg_l"], abs=within)
    if "boron_g" in expected:
        assert water.boron_mg.low / 1000 == pytest.approx(expected["boron_g"], abs=0.01)


def test_the_adjusted_ratio_is_that_of_the_formula() -> None:
    soda = product(label=("sodium carbonate 100 %",), dose_mg=30_000)
    water = load_water(TAP, (soda,), 60.0)
    me = 30.0 * 18.87 / 60.0
    assert water.sar is not None and water.sar.low == pytest.approx(sar(1.0 + me, 1.2, 0.6), rel=1e-3)
    assert water.sar_adjusted is not None and water.ecw is not None
    assert water.sar_adjusted.low == pytest.approx(
        adjusted_sar(1.0 + me, 1.2, 0.6, 2.0 + me, 0.28 + me / 10), rel=1e-3)
    assert water.worst_sar == water.sar_adjusted   # lime falls out of such water: the adjusted ratio is the larger


def test_zeolite_gives_sodium_and_takes_hardness_but_not_all_of_it() -> None:
    zeolite = product(label=("zeolite 25 %", "water 75 %"), dose_mg=66_000)
    bare = load_water(TAP, (), 57.0)
    water = load_water(TAP, (zeolite,), 57.0)
    assert bare.sar is not None and water.sar is not None
    assert water.sar.low == pytest.approx(bare.sar.low)                    # it may give nothing
    gives = 1.8 - LEAST_HARD                                               # 16.5 g could take 2.0 me/L
    assert water.sar.high == pytest.approx((1.0 + gives) / sqrt(LEAST_HARD / 2))
    assert water.ecw == bare.ecw                                           # an exchange brings no charge


def test_nothing_is_told_that_rests_on_what_is_not_known() -> None:
    water = load_water(NOT_KNOWN, (product(sodium_mg=3000),), 60.0)
    assert water.ecw is water.sar is water.sar_adjusted is water.boron is None
    assert water.sodium_g == (pytest.approx(3.0), pytest.approx(3.0))
    assert water.as_json()["sar"] is None and len(water.not_known) == 5
    assert load_salts(NOT_KNOWN, dose_of(product()).content, 60.0) is None and tap_salts(NOT_KNOWN) is None


@pytest.mark.parametrize(("more", "sodium_g", "said"), [
    ({"sodium_mg": 8_000}, (8.0, 8.0), ()),
    ({}, (4.0, 21.0), ("what plain is made of",)),
    ({"form": "liquid"}, (0.3, 2.1), ("what plain is made of",)),
    ({"form": None}, (0.3, 21.0), ("what plain is made of",)),
    ({"label": ("sodium sulfate 30 %", "water")}, (3.88, 9.71), ("the weight of a dose of plain",)),
    ({"label": ("sodium sulfate 30 %", "glitter"), "dose_mg": 50_000}, (4.86, 4.86 + 35 * 0.5748),
     ("“glitter” of plain",)),
    ({"product_kind": "bleach", "chlorine_bleach": True, "dose_mg": 100_000}, (3.24, 5.10), ("what plain is made of",)),
])
def test_an_unread_label_leaves_it_open_and_never_at_nothing(
    more: dict[str, Any], sodium_g: tuple[float, float], said: tuple[str, ...],
) -> None:
    dose = dose_of(product(**more))
    assert dose.sodium_g == (pytest.approx(sodium_g[0], abs=0.01), pytest.approx(sodium_g[1], abs=0.01))
    assert dose.not_known == said


def test_boron_that_nobody_ruled_out_is_open() -> None:
    assert dose_of(product(borax=False)).content.boron == (0.0, 0.0)
    assert dose_of(product(borax=None)).content.boron.high > 0.0 == dose_of(product(borax=None)).content.boron.low
    assert dose_of(product(borax=True)).content.boron.low > 0.0
    assert dose_of(product(borax=None, sodium_mg=2000)).not_known == ("the boron of plain",)


def test_two_doses_bring_twice_as_much() -> None:
    powder = product(label=("soda ash 20-30 %", "water"), dose_mg=60_000)
    one, two = load_water(TAP, (powder,), 60.0), load_water(TAP, (powder, powder), 60.0)
    assert one.ecw is not None and two.ecw is not None
    assert two.sodium_g == one.sodium_g.times(2.0)
    assert two.ecw.high - 0.28 == pytest.approx(2 * (one.ecw.high - 0.28))


def test_more_water_never_makes_it_saltier() -> None:
    powder = product()
    told = [load_water(TAP, (powder,), litres) for litres in (40.0, 60.0, 90.0, 150.0)]
    for less, more in pairwise(told):
        for part in ("ecw", "sar", "boron"):
            small, large = getattr(more, part), getattr(less, part)
            assert isinstance(small, Span) and small.low <= large.low and small.high <= large.high
