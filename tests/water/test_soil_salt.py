"""A basin's salts over its days: closed forms, conservation, readings that win, what is owed and by when."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta
from itertools import pairwise
from typing import Any

import pytest

from gwlog.journal.facts import Basin, Fact, OtherWater, Product, SoilReading
from gwlog.reference.salinity import dissolved_calcium, relative_yield, sar
from gwlog.state import Weather
from gwlog.water.garden import deliveries_by_basin, ledger_of, sky_of
from gwlog.water.growth import growth_of
from gwlog.water.leaching import HORIZON_DAYS, cool_months, flush_on, owed, sar_limit, target, trends_of
from gwlog.water.soil_salt import KG_PER_ME, START_ECE, SoilSalt, soil_salts, tap_of, texture_of, zone_of
from gwlog.water.weather import Climate
from tests.water.household import SINCE, ZONE, at, basin, folded, load, outlet, site, washer

REPORT = ("ec_ds_m=0.5", "calcium_meq_l=2", "magnesium_meq_l=1", "sodium_meq_l=2", "alkalinity_meq_l=2.5",
          "boron_mg_l=0.1")
POWDER = Product(id=5, happened_at=at(SINCE, 0.0), zone=ZONE, name="powder", product_kind="detergent", form="powder",
                 borax=False, label=("sodium carbonate 100 %",), dose_mg=20_000)


def run_of(*more: Fact, days: int = 200, every: int = 2, litres: float = 6.0, products: tuple[str, ...] = (),
           report: tuple[str, ...] | None = REPORT, rain: Mapping[int, float] | None = None, halves: bool = False,
           softened: bool = False, **changes: Any) -> tuple[SoilSalt | None, Basin]:
    """A basin watered every few days with so many litres per m2; 3 mm of ETo a day, half of it used."""
    quince = basin(**{"plants": "peach", **changes})
    facts: list[Fact] = [site(tap_water=report, softened_water=softened), washer(), quince, POWDER, outlet(), *more]
    for number, day in enumerate(range(0, days, every)):
        parts = ((1, 0.5), (2, 0.5)) if halves else ((1, 1.0),)
        facts += [load(1000 + 2 * number + part, SINCE + timedelta(days=day), 2 * litres * share, 10.0 + part,
                       products=products) for part, share in parts]
    state = folded(*facts)
    for day, mm in (rain or {}).items():
        state.weather[SINCE + timedelta(days=day)] = Weather(rain_mm=mm)
    now = at(SINCE + timedelta(days=days))
    sky = sky_of(state, SINCE + timedelta(days=days))
    ledger = ledger_of(state, "Quince", sky, now, deliveries_by_basin(state)["Quince"])
    return soil_salts(state, {"Quince": ledger}).get("Quince"), quince


def known(found: tuple[SoilSalt | None, Basin]) -> SoilSalt:
    assert found[0] is not None
    return found[0]


def mass_is_kept(salt: SoilSalt) -> None:
    one = salt.balance
    assert one.at_start + one.brought + one.grown + one.corrected == pytest.approx(
        one.stored + one.drained + one.left, abs=1e-9)


def test_constant_water_comes_to_the_closed_form() -> None:
    """FAO-29 ch. 2: C under a quarter = ECw / share of water passing; ECe half of the layers' mean."""
    salt = known(run_of(days=2400, every=1, litres=1.7647, plants="moss"))   # 1.5 mm used of 1.7647: LF 0.15
    expected = 0.5 / 2 * sum(1 / share for share in (0.66, 0.405, 0.235, 0.15)) / 4
    # a leap year's February has a little less ETo a day
    assert salt.now.ece.low == salt.now.ece.high == pytest.approx(expected, rel=0.006)
    assert expected == pytest.approx(0.5 * 1.863284, rel=1e-5)
    # all ions concentrate alike, so the ratio rises with the root of the concentration (no precipitation)
    assert salt.now.sar is not None
    hard = dissolved_calcium(2.5, 2.0, 0.5) + 1.0                           # lime falls out: the larger ratio counts
    assert hard < 3.0 and salt.now.sar.low == pytest.approx(sar(2.0, hard, 0.0) * 1.863284 ** 0.5, rel=0.006)
    mass_is_kept(salt)


def test_without_percolation_the_salt_of_every_load_stays() -> None:
    salt, bare = run_of(days=300, litres=2.0, start_deficit_ml=60_000)
    assert salt is not None
    zone = zone_of(growth_of(bare, 36.9).adult, "sandy loam")
    brought = 150 * 4.0 * 5.0
    assert salt.balance.brought == pytest.approx(brought * KG_PER_ME) and salt.balance.drained == 0.0
    assert salt.now.ece.low == pytest.approx(START_ECE.value + brought / 10 / zone.saturation_l)
    mass_is_kept(salt)


def test_two_half_loads_are_one_and_two_doses_are_more() -> None:
    one = known(run_of(products=("powder",), days=120))
    halves = known(run_of(days=120, halves=True))
    whole = known(run_of(days=120))
    assert halves.now.ece.low == pytest.approx(whole.now.ece.low, rel=1e-12)
    assert halves.balance.stored == pytest.approx(whole.balance.stored, abs=1e-9)
    # two half loads of 10 g each in half of the water are the load of 20 g
    two = known(run_of(products=("powder", "powder"), days=120))
    assert two.now.ece.low > one.now.ece.low > whole.now.ece.low
    assert one.now.sar is not None and two.now.sar is not None and two.now.sar.low > one.now.sar.low


def test_more_rain_never_raises_the_salt() -> None:
    rains: list[dict[int, float]] = [{}, {50: 10.0}, {50: 40.0}, {50: 40.0, 120: 25.0}, {30: 15.0, 50: 40.0, 120: 25.0}]
    told = [known(run_of(products=("powder",), days=200, rain=rain)).now.ece.middle for rain in rains]
    assert all(more <= less + 1e-12 for less, more in pairwise(told)) and told[-1] < told[0]


def test_nothing_is_told_without_the_tap_waters_conductivity() -> None:
    assert run_of(days=10, report=None)[0] is None
    only_ec = known(run_of(days=100, litres=2.0, report=("ec_us_cm=500",)))
    assert only_ec.now.sar is None and only_ec.now.ece.low > START_ECE.value
    assert "the tap water: its calcium and magnesium" in only_ec.not_known


def test_a_softener_keeps_the_salt_and_raises_the_ratio() -> None:
    hard, soft = known(run_of(days=200)), known(run_of(days=200, softened=True))
    assert soft.now.ece.middle == pytest.approx(hard.now.ece.middle)
    assert hard.now.sar is not None and soft.now.sar is not None and soft.now.sar.middle > 2 * hard.now.sar.middle


def test_an_unread_product_leaves_a_span_and_is_named() -> None:
    unread = Product(id=6, happened_at=at(SINCE, 0.0), zone=ZONE, name="mystery", product_kind="detergent",
                     form="powder")
    salt = known(run_of(unread, products=("mystery",), days=100))
    assert salt.now.ece.low < salt.now.ece.high and "what mystery is made of" in salt.not_known
    later = Product(id=7, happened_at=at(SINCE + timedelta(days=90)), zone=ZONE, name="mystery",
                    product_kind="detergent", form="powder", borax=False, label=("sodium sulfate 40 %", "water 60 %"),
                    dose_mg=60_000)
    read = known(run_of(unread, later, products=("mystery",), days=100))
    # a label that is read later is knowledge about the earlier loads too
    assert read.now.ece.exact and "what mystery is made of" not in read.not_known


def reading(day: int, number: int = 900, **more: Any) -> SoilReading:
    return SoilReading(id=number, happened_at=at(SINCE + timedelta(days=day)), zone=ZONE, basin="Quince", **more)


def test_a_soil_test_wins_from_its_day_and_is_compared() -> None:
    bare = known(run_of(days=100))
    salt = known(run_of(reading(99, ec_us_cm=3000, sar_milli=8000, boron_ug_l=700), days=100))
    (found,) = salt.compared
    assert found.reckoned.ece == bare.now.ece
    assert (found.measured_ece, found.measured_sar, found.measured_boron) == (3.0, 8.0, 0.7)
    assert salt.now.ece.low == pytest.approx(3.0) and salt.now.boron.low == pytest.approx(0.7)
    assert salt.now.sar is not None and salt.now.sar.low == salt.now.sar.high == pytest.approx(8.0)
    mass_is_kept(salt)
    later = known(run_of(reading(99, ec_us_cm=3000), days=160, litres=3.0))
    assert later.now.ece.low > 2.0 and later.now.day == SINCE + timedelta(days=159)


def test_a_soil_test_from_before_the_start_is_what_it_starts_with() -> None:
    salt = known(run_of(reading(-20, ec_us_cm=2000, sar_milli=3000), days=2, every=9))
    (found,) = salt.compared
    assert found.reckoned.ece.low == pytest.approx(START_ECE.value) and found.day == SINCE - timedelta(days=20)
    first = salt.history[0]
    assert first.ece.low == pytest.approx(2.0, rel=0.1) and first.sar is not None
    assert first.sar.low == pytest.approx(3.0, rel=0.1)
    mass_is_kept(salt)


def test_the_description_in_force_at_the_start_is_the_one_that_counts() -> None:
    before = {"id": 9, "happened_at": at(SINCE - timedelta(days=20), 0.0), "root_depth_mm": 250}
    anew = known(run_of(basin(**before, plants="peach"), days=30))
    assert anew.layers.zone == known(run_of(days=30)).layers.zone
    assert anew.balance.at_start == pytest.approx(known(run_of(days=30)).balance.at_start)


@pytest.mark.parametrize(("more", "ece", "ratio"), [
    ({"ec_us_cm": 200, "extract": "1:5"}, 2.76, None),          # x 13.8 for sandy loam (Slavich and Petterson 1993)
    # water thins what is in it: the ratio and the boron of such an extract are not the paste's
    ({"ec_us_cm": 200, "sar_milli": 90_000, "boron_ug_l": 50_000, "extract": "1:5"}, 2.76, None),
    ({"esp_milli": 15_000}, None, 12.82),                        # Handbook 60, turned round
    ({"ph_milli": 8_100}, None, None),
])
def test_what_a_meter_means(more: dict[str, Any], ece: float | None, ratio: float | None) -> None:
    before = known(run_of(days=100))
    salt = known(run_of(reading(99, **more), days=100))
    assert salt.now.ece.low == pytest.approx(before.now.ece.low if ece is None else ece)
    assert salt.now.sar is not None and before.now.sar is not None
    # salts measured higher are all higher: the ratio rises with the root
    assert salt.now.sar.low == pytest.approx(
        before.now.sar.low * (salt.now.ece.low / before.now.ece.low) ** 0.5 if ratio is None else ratio, rel=1e-3)
    assert salt.now.boron.high < 10.0


def test_a_root_zone_that_grows_takes_in_soil_with_its_salt() -> None:
    grown = basin(id=11, happened_at=at(SINCE + timedelta(days=60), 0.0), plants="peach", root_depth_mm=1000)
    salt, _ = run_of(grown, days=100)
    assert salt is not None and salt.balance.grown > 0.0
    mass_is_kept(salt)
    shrunk = basin(id=11, happened_at=at(SINCE + timedelta(days=60), 0.0), plants="peach", root_depth_mm=250)
    less, _ = run_of(shrunk, days=100)
    assert less is not None and less.balance.left > 0.0
    mass_is_kept(less)


def test_a_young_plants_roots_get_their_share_of_the_salt() -> None:
    salt, _ = run_of(days=400, planted=SINCE, planted_canopy_cm2=2_000, planted_root_mm=250)
    assert salt is not None and salt.balance.grown > 0.0
    whole = known(run_of(days=400))
    assert salt.balance.brought < whole.balance.brought
    mass_is_kept(salt)


def test_other_water_brings_the_tap_waters_salt() -> None:
    cans = [OtherWater(id=3000 + day, happened_at=at(SINCE + timedelta(days=day)), zone=ZONE, basin="Quince",
                       volume_ml=10_000, way="can") for day in range(0, 100, 10)]
    salt, bare = known(run_of(*cans, days=100)), known(run_of(days=100))
    assert salt.balance.brought - bare.balance.brought == pytest.approx(10 * 10 * 5.0 * KG_PER_ME)
    mass_is_kept(salt)


def test_leaching_is_owed_by_the_day_on_which_the_limit_is_passed() -> None:
    salt, peach = run_of(products=("powder",), days=200, litres=2.5)
    assert salt is not None
    today = SINCE + timedelta(days=200)
    stands = owed(salt, peach, today)
    trend = trends_of(salt, peach)[0]
    assert trend.limit.value == 1.7 and trend.per_year is not None and trend.per_year > 0.0
    assert stands.by is not None and stands.passes is not None and stands.by <= today + timedelta(days=HORIZON_DAYS)
    assert stands.litres > 0.0 and stands.helps
    # what is owed brings it there
    salt.layers.settle(0.0)
    from gwlog.water.soil_salt import masses_of, soil_of

    for _ in range(40):
        salt.layers.water(stands.litres / 40, masses_of(salt.tap, stands.litres / 40, exact=True), 0.0)
    assert soil_of(salt.layers, today).ece.middle <= target(trend) * 1.01


def test_nothing_is_owed_where_no_limit_is_in_sight() -> None:
    salt, palm = run_of(days=200, plants="date palm", litres=6.0)
    assert salt is not None
    stands = owed(salt, palm, SINCE + timedelta(days=200))
    assert (stands.litres, stands.by) == (0.0, None)
    assert stands.yield_percent == relative_yield(stands.soil.ece.middle, 4.0, 3.6) == 100.0


def test_rain_that_percolates_pays() -> None:
    dry, peach = run_of(products=("powder",), days=200, litres=2.5)
    wet, _ = run_of(products=("powder",), days=200, litres=2.5, rain={190: 80.0, 195: 80.0, 197: 60.0})
    assert dry is not None and wet is not None
    today = SINCE + timedelta(days=200)
    assert owed(wet, peach, today).litres < owed(dry, peach, today).litres


def test_where_drinking_water_is_saltier_than_the_plant_bears_leaching_is_no_help() -> None:
    salt, peach = run_of(days=300, litres=2.5, report=("ec_ds_m=4",))
    assert salt is not None
    assert not owed(salt, peach, SINCE + timedelta(days=300)).helps


def test_a_new_logbook_knows_no_trend_yet() -> None:
    salt, peach = run_of(days=30)
    assert salt is not None and trends_of(salt, peach)[0].per_year is None


def test_a_flush_is_asked_for_in_the_cool_season() -> None:
    climate = Climate((30.0, 40.0, 70.0, 100.0, 140.0, 160.0, 170.0, 150.0, 110.0, 70.0, 40.0, 30.0), (0.0,) * 12)
    assert cool_months(climate) == (1, 2, 3, 10, 11, 12)
    assert flush_on(date(2026, 7, 14), date(2027, 1, 1), climate) == date(2026, 10, 1)
    assert flush_on(date(2026, 7, 14), date(2026, 8, 20), climate) == date(2026, 8, 20)
    assert flush_on(date(2026, 12, 3), date(2027, 8, 20), climate) == date(2026, 12, 3)
    assert flush_on(date(2026, 7, 14), date(2026, 7, 14), climate) == date(2026, 7, 14)


def test_clay_bears_less_sodium_than_sand() -> None:
    limits = [sar_limit(basin(texture=one)).value for one in ("sand", "loam", "clay", "moon dust")]
    assert limits == [13.0, 9.0, 6.0, 9.0]


def test_the_zone_is_the_basins() -> None:
    spec = growth_of(basin(), 36.9).adult
    zone = zone_of(spec, "sandy loam")
    assert zone.taw_l == spec.taw_l == 130.0 and zone.field_capacity_l == pytest.approx(0.23 * 500 * 2)
    assert texture_of(basin(texture="moon dust")) == "sandy loam"


def test_the_newest_report_is_the_tap_water() -> None:
    later = site(id=3, happened_at=at(SINCE + timedelta(days=5)), tap_water=("ec_ds_m=0.9",))
    assert tap_of(folded(site(), later)).ec == 0.9
    plain = site(id=4, happened_at=at(SINCE + timedelta(days=9)))
    assert tap_of(folded(site(), later, plain)).ec == 0.9
    assert tap_of(folded(site())).ecw is None
