"""A site described anew is in force from its day: the days before keep their climate, latitude and way with rain."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gwlog.journal.facts import Site
from gwlog.state import Weather
from gwlog.water.evapotranspiration import hargreaves
from gwlog.water.garden import garden
from gwlog.water.growth import growth_of
from gwlog.water.ledger import steady_stores
from gwlog.water.weather import Sky, climate_of, differ_from, eras, sky_of
from tests.water.household import SINCE, STEADY, at, basin, folded, load, outlet, site, washer

MOVED = date(2026, 6, 1)
THIRSTY = tuple(round(mm * 2000) for mm in STEADY.monthly_eto_mm)
"""Twice the evapotranspiration of before."""


def anew(day: date = MOVED, hour: float = 9.0, **changes: Any) -> Site:
    return site(id=60, happened_at=at(day, hour), **changes)


def test_the_days_before_keep_their_normals_and_the_day_itself_takes_the_new() -> None:
    sky = sky_of(folded(site(), anew(monthly_eto_um=THIRSTY, monthly_rain_um=(31_000,) * 12)), date(2026, 7, 1))
    assert sky.day(MOVED - timedelta(days=1))[:2] == (3.0, 0.0)
    assert sky.day(MOVED)[:2] == (6.0, pytest.approx(31.0 / 30))
    assert sky.climate == climate_of(anew(monthly_eto_um=THIRSTY, monthly_rain_um=(31_000,) * 12))
    assert sky.day(SINCE - timedelta(days=30)).eto_mm == 93.0 / 31    # before the first description too


def test_measured_temperatures_take_the_latitude_that_was_in_force() -> None:
    warm = {MOVED + timedelta(days=n): Weather(None, 10.0, 25.0) for n in (-1, 0)}
    state = folded(site(), anew(latitude_udeg=60_000_000))
    sky = Sky(sky_of(state, MOVED).climate, warm, 60.0, history=eras(state.sites))
    assert sky.day(MOVED - timedelta(days=1)).eto_mm == hargreaves(10.0, 25.0, 36.9, 151)
    assert sky.day(MOVED).eto_mm == hargreaves(10.0, 25.0, 60.0, 152)


def test_days_before_rain_was_written_down_keep_the_usual_rain() -> None:
    state = folded(site(monthly_rain_um=(31_000,) * 12), anew(monthly_rain_um=(31_000,) * 12, rain="as logged"))
    sky = sky_of(state, date(2026, 6, 20))
    assert sky.day(MOVED - timedelta(days=1)).rain_mm == 1.0
    assert sky.day(MOVED).rain_mm == 0.0


def test_the_balance_of_the_days_before_is_the_one_it_was() -> None:
    facts = [site(), washer(), outlet(), basin(), load(101, date(2026, 5, 1), 40.0)]
    now = at(date(2026, 7, 10))
    before, after = garden(folded(*facts), now), garden(folded(*facts, anew(monthly_eto_um=THIRSTY)), now)
    cut = (MOVED - SINCE).days
    one, other = before.basins["Quince"].ledger.days, after.basins["Quince"].ledger.days
    assert one[:cut] == other[:cut]
    assert one[cut] != other[cut] and other[cut].eto_mm == 6.0


def test_a_balance_that_starts_later_opens_by_the_climate_in_force_then() -> None:
    facts = [site(), anew(monthly_eto_um=THIRSTY)]
    early = basin(start_deficit_ml=None, canopy_cm2=60_000)
    late = replace(early, id=11, happened_at=at(date(2026, 6, 20), 0.0), started=date(2026, 6, 20))
    for fact, climate in ((early, STEADY), (late, climate_of(facts[1]))):
        found = garden(folded(*facts, washer(), outlet(), fact), at(date(2026, 6, 25))).basins["Quince"]
        opening = steady_stores(growth_of(fact, 36.9), climate, fact.started).deficit_l
        first = found.ledger.days[0]
        assert first.deficit_l - first.used_l + first.rain_mm * found.wetted_m2 == pytest.approx(opening)


def test_a_deciduous_plants_year_is_that_of_the_latitude_in_force() -> None:
    """Moved to the other half of the world in June, the fig is in leaf before and bare after."""
    fig = basin(plants="fig", start_deficit_ml=0)
    facts = [site(), washer(), outlet(), anew(latitude_udeg=-36_900_000)]
    days = garden(folded(*facts, fig), at(date(2026, 7, 10))).basins["Quince"].ledger.days
    stayed = garden(folded(*facts[:3], fig), at(date(2026, 7, 10))).basins["Quince"].ledger.days
    cut = (MOVED - SINCE).days
    assert days[:cut] == stayed[:cut]
    assert days[cut].demand_l < 0.7 * stayed[cut].demand_l


@pytest.mark.parametrize(("again", "same_before"), [
    ({"monthly_eto_um": THIRSTY}, MOVED), ({"latitude_udeg": 40_000_000}, MOVED), ({"rain": "as logged"}, MOVED),
    ({"eto_zone": 5, "monthly_eto_um": None}, MOVED), ({"occupants": 5}, None), ({"name": "Alder Row 4"}, None),
    ({"rain": "normals where not logged"}, None),
])
def test_only_what_the_weather_takes_makes_an_era(again: dict[str, Any], same_before: date | None) -> None:
    assert differ_from(eras([site(), anew(**again)]), eras([site()])) == same_before
    assert differ_from(eras([site()]), eras([site(), anew(**again)])) == same_before


def test_described_twice_on_a_day_the_last_counts_and_on_the_first_day_it_stands_for_the_past() -> None:
    twice = eras([site(), anew(hour=9.0, latitude_udeg=50_000_000), anew(hour=10.0, latitude_udeg=51_000_000)])
    assert [(era.first, era.latitude_deg) for era in twice] == [(date.min, 36.9), (MOVED, 51.0)]
    first = eras([site(), anew(SINCE, latitude_udeg=50_000_000)])
    assert [(era.first, era.latitude_deg) for era in first] == [(date.min, 50.0)]
    assert [era.latitude_deg for era in eras([])] == [37.0]


@given(st.lists(st.tuples(st.integers(0, 120), st.sampled_from([30_000, 60_000, 90_000])), max_size=4),
       st.integers(1, 130), st.integers(1, 130))
def test_a_garden_drawn_up_beside_another_moment_is_the_same(described: list[tuple[int, int]], one: int,
                                                             other: int) -> None:
    facts = [site(), washer(), outlet(), basin(start_deficit_ml=None), load(101, date(2026, 4, 1), 60.0), *(
        replace(anew(SINCE + timedelta(days=number), 7.0, monthly_eto_um=(um,) * 12), id=200 + place)
        for place, (number, um) in enumerate(described))]
    moments = [at(SINCE + timedelta(days=number)) for number in (one, other)]
    states = [folded(*(fact for fact in facts if fact.happened_at <= moment)) for moment in moments]
    known = garden(states[0], moments[0])
    assert garden(states[1], moments[1], (states[0], known)).basins == garden(states[1], moments[1]).basins
