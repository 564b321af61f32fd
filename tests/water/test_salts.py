"""Salt and sodium against FAO-29's worked examples, and the yearly ledger of what the laundry brought."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from gwlog.journal.facts import Product
from gwlog.reference.chemistry import THRESHOLDS
from gwlog.reference.listing import table
from gwlog.reference.plants import PLANTS, find_plant
from gwlog.reference.salinity import leaching_requirement, sar, water_applied
from gwlog.water.salts import (
    MOST_LEACHING,
    SodiumYear,
    known_sodium_mg,
    leaching_share_for,
    sodium_ledger,
)
from tests.water.household import SINCE, ZONE, at, basin, folded, load, outlet, site, washer


def test_fao_29_worked_sodium_adsorption_ratio() -> None:
    # FAO-29 rev. 1 (1985) ch. 3: Ca 2.32, Mg 1.44, Na 7.73 me/L -> 5.6
    assert sar(7.73, 2.32, 1.44) == pytest.approx(5.6, abs=0.05)
    with pytest.raises(ValueError, match="calcium"):
        sar(5.0, 0.0, 0.0)


def test_fao_29_worked_leaching_requirement() -> None:
    # FAO-29 rev. 1 (1985) ch. 2: ECw 1.2, ECe 2.5, ET 800 mm -> LR 0.10 and 890 mm
    assert leaching_requirement(1.2, 2.5) == pytest.approx(0.10, abs=0.01)
    assert water_applied(800.0, 0.10) == pytest.approx(890.0, abs=1.5)   # printed from the rounded share
    assert leaching_requirement(0.0, 2.5) == 0.0
    assert leaching_requirement(6.25, 2.5) == leaching_requirement(20.0, 2.5) == 1.0


def product(name: str, sodium_mg: int | None) -> Product:
    return Product(id=5, happened_at=at(SINCE, 0.0), zone=ZONE, name=name, product_kind="detergent",
                   sodium_mg=sodium_mg)


def test_a_doses_sodium_is_as_stated_else_the_least_that_its_label_allows() -> None:
    assert known_sodium_mg(product("a", 3_000)) == 3_000 and known_sodium_mg(product("b", None)) is None
    labelled = replace(product("c", None), label=("sodium carbonate 50-60 %", "water"), dose_mg=40_000)
    assert known_sodium_mg(labelled) == pytest.approx(20_000 * 0.43382, rel=1e-3)


def test_the_boron_that_a_plant_bears() -> None:
    # USDA-ARS after Maas (1990): lemon < 0.5 mg/L; FAO-29 table 1: none below 0.7
    lemon = PLANTS["lemon"].boron_range
    assert lemon is not None and lemon.value == (0.0, 0.5)
    assert [THRESHOLDS["boron"].judge(amount) for amount in (0.69, 0.7)] == ["none", "slight to moderate"]


def test_the_worked_examples_of_fao_29_are_listed_as_the_formulas_give_them() -> None:
    listed = {row["what"]: row["value"] for row in table("chemistry") if str(row["name"]).startswith("example")}
    # FAO-29 rev. 1 (1985) ch. 3: SAR 5.6; ch. 2: LR 0.10 (0.106) and 890 mm (from the rounded share)
    assert listed == {"SAR": 5.6, "adjusted SAR": 6.3, "infiltration hazard at ECw 0.7 dS/m": "slight to moderate",
                      "leaching requirement": 0.11, "to apply for 800 mm of use": 895}


def test_the_ledger_divides_a_load_among_its_basins_and_forgets_after_a_year() -> None:
    facts = [
        site(), washer(), basin("Quince"), basin("Plum", id=11), product("powder", 12_000), product("new", None),
        outlet("Hose", "Quince", share_milli=3000), outlet("Pipe", "Plum", id=21, share_milli=1000),
        load(100, SINCE, 80.0, products=("powder",)),
        load(101, SINCE + timedelta(days=300), 40.0, products=("powder", "new")),
        load(102, SINCE + timedelta(days=301), 40.0, went_to="sewer", products=("powder",)),
    ]
    state = folded(*facts)
    both = sodium_ledger(state.loads, at(SINCE + timedelta(days=302)))
    assert both["Quince"] == SodiumYear(90.0, 18.0)
    assert both["Plum"] == SodiumYear(30.0, 6.0)
    assert both["Plum"].sodium_me_per_l == pytest.approx(200.0 / 22.99, rel=1e-4)
    later = sodium_ledger(state.loads, at(SINCE + timedelta(days=400)))
    assert later["Plum"] == SodiumYear(10.0, 3.0)
    assert sodium_ledger(state.loads, at(SINCE - timedelta(days=1))) == {}


@pytest.mark.parametrize(("plants", "year", "share"), [
    ("strawberry", SodiumYear(), 0.15),                            # nothing came yet
    ("strawberry", SodiumYear(6000.0, 300.0), 0.15),          # 3 g a load: EC .22, LR .05
    ("strawberry", SodiumYear(6000.0, 1379.386), 0.25),       # 229.9 mg/L = 10 me/L = 1 dS/m: 1 / (5 - 1)
    ("strawberry", SodiumYear(6000.0, 6000.0), MOST_LEACHING),
    ("date palm", SodiumYear(6000.0, 1380.0), 0.15),          # bears salt: 1 / (20 - 1)
    ("a plant nobody measured", SodiumYear(6000.0, 6000.0), 0.15),
])
def test_the_leaching_share_rises_with_known_sodium_and_a_plants_threshold(
    plants: str, year: SodiumYear, share: float,
) -> None:
    assert leaching_share_for(year, find_plant(plants)) == pytest.approx(share)
    assert leaching_share_for(year, find_plant(plants), 1.0) >= leaching_share_for(year, find_plant(plants))
