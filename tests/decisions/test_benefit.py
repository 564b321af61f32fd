"""What the graywater gave: plants' use with it less their use without it, never what merely left the machine."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gwlog.decisions.benefit import Given, benefit, by_month, price_of, total
from gwlog.journal.facts import OtherWater, WeatherDay
from gwlog.state import Watering
from gwlog.water.garden import garden
from gwlog.water.ledger import LedgerDay
from tests.water.household import SINCE, ZONE, at, basin, folded, load, outlet, site, washer

FIRST = date(2026, 6, 29)


def day(number: int, used: float, *, demand: float = 10.0, graywater: float = 0.0) -> LedgerDay:
    return LedgerDay(FIRST + timedelta(days=number), 0.0, 0.0, used, demand, 0.0, graywater, 5.0, 1.0)


def poured(number: int, litres: float) -> Watering:
    when = FIRST + timedelta(days=number)
    return Watering(100 + number, at(when), when, "Quince", litres, "can")


def test_by_hand_the_difference_in_use_is_given_and_the_rest_of_the_demand_is_needed() -> None:
    with_it = [day(0, 8.0, graywater=40.0), day(1, 10.0), day(2, 9.0), day(3, 7.0)]
    without = [day(0, 8.0), day(1, 6.0), day(2, 5.0), day(3, 4.0)]
    months = by_month(with_it, without, [poured(1, 12.0), poured(2, 3.0), poured(2, 2.0)])
    assert months == {(2026, 6): Given(40.0, 4.0, 2.0, 12.0), (2026, 7): Given(0.0, 7.0, 4.0, 5.0)}
    assert total(months.values()) == Given(40.0, 11.0, 6.0, 17.0)
    only_july = by_month(with_it, without, [poured(1, 12.0)], lambda one: one.month == 7)
    assert only_july == {(2026, 7): Given(0.0, 7.0, 4.0, 0.0)}


def test_reckonings_of_other_days_are_no_pair() -> None:
    with pytest.raises(ValueError):
        by_month([day(0, 1.0)], [day(1, 1.0)], [])
    with pytest.raises(ValueError):
        by_month([day(0, 1.0)], [], [])


def gave(loads: list[tuple[int, float]], *, days: int = 60, rain: dict[int, float] | None = None,
         first: date = date.min, last: date = date.max, other: dict[int, float] | None = None,
         **described: Any) -> Given:
    """What loads on the days numbered gave one basin of 2 m2 by the end of `days` (3 mm of ETo, plant factor 0.5)."""
    facts = [site(), washer(), basin(**{"start_deficit_ml": 65_000, **described}), outlet(),
             *(load(100 + number, SINCE + timedelta(days=number), litres) for number, litres in loads),
             *(WeatherDay(id=500 + number, happened_at=at(SINCE + timedelta(days=number), 23.0), zone=ZONE,
                          day=SINCE + timedelta(days=number), rain_um=round(mm * 1000))
               for number, mm in (rain or {}).items()),
             *(OtherWater(id=800 + number, happened_at=at(SINCE + timedelta(days=number)), zone=ZONE, basin="Quince",
                          volume_ml=round(litres * 1000), way="can") for number, litres in (other or {}).items())]
    state = folded(*facts)
    return total(benefit(state, garden(state, at(SINCE + timedelta(days=days), 1.0)), first, last).months.values())


def fao56(days: int, water: dict[int, float], rain: dict[int, float] | None = None) -> tuple[float, float]:
    """Use and demand of the same basin [L], from FAO Irrigation and Drainage Paper 56, eq. 84 and 85, by itself."""
    taw, raw, demand, deficit, used = 130.0, 65.0, 3.0 * 0.5 * 2.0, 65.0, 0.0
    for number in range(days):
        ks = 1.0 if deficit <= raw else (taw - deficit) / (taw - raw)
        used += ks * demand
        deficit = max(0.0, deficit - (rain or {}).get(number, 0.0) * 2.0 - water.get(number, 0.0) + ks * demand)
    return used, demand * days


def test_two_reckonings_after_fao_56_give_the_same_figures() -> None:
    loads = dict.fromkeys(range(0, 60, 5), 30.0)
    with_it, demand = fao56(60, loads)
    without, _ = fao56(60, {})
    found = gave(list(loads.items()))
    assert found.gave_l == pytest.approx(with_it - without, abs=1e-6)
    assert found.unmet_l == pytest.approx(demand - with_it, abs=1e-6)
    assert found.graywater_l == pytest.approx(360.0)
    assert 20.0 < found.gave_l < 180.0


def test_what_sinks_below_the_roots_gives_nothing() -> None:
    assert gave([(0, 60.0), (1, 60.0), (2, 60.0)], start_deficit_ml=0, days=10).gave_l == 0.0
    once = gave([(0, 65.0)])
    twice = gave([(0, 130.0)])
    # of the second 65 L only what the plants use on that very day finds room
    assert once.gave_l < twice.gave_l <= once.gave_l + 3.0 + 1e-6


def test_what_rain_gives_anyway_is_not_counted() -> None:
    soaked = dict.fromkeys(range(60), 20.0)
    assert gave([(number, 30.0) for number in range(0, 60, 5)], rain=soaked).gave_l == 0.0


def test_without_graywater_nothing_is_given_and_the_need_is_told() -> None:
    found = gave([])
    assert (found.graywater_l, found.gave_l) == (0.0, 0.0)
    assert found.unmet_l > 10.0


LOADS = st.lists(st.tuples(st.integers(0, 59), st.floats(0.5, 150.0)), max_size=12, unique_by=lambda one: one[0])
RAIN = st.dictionaries(st.integers(0, 59), st.floats(0.0, 60.0), max_size=10)


@given(LOADS, RAIN, st.integers(0, 130_000))
def test_what_is_given_is_never_more_than_what_came_nor_than_what_was_wanted(
        loads: list[tuple[int, float]], rain: dict[int, float], start: int) -> None:
    found = gave(loads, rain=rain, start_deficit_ml=start)
    assert -1e-6 <= found.gave_l <= found.graywater_l + 1e-6
    assert found.gave_l + found.unmet_l <= 3.0 * 60 + 1e-6


@given(LOADS, RAIN)
def test_parts_of_the_time_make_up_the_whole(loads: list[tuple[int, float]], rain: dict[int, float]) -> None:
    middle = SINCE + timedelta(days=23)
    parts = (gave(loads, rain=rain, last=middle), gave(loads, rain=rain, first=middle + timedelta(days=1)))
    assert total(parts) == pytest.approx(gave(loads, rain=rain))


def test_other_water_is_told_as_it_was_logged() -> None:
    assert gave([], other={3: 12.0, 4: 8.0}).other_l == pytest.approx(20.0)


def test_a_basin_out_of_use_needs_nothing_and_its_past_stays() -> None:
    described = basin(start_deficit_ml=65_000)
    ended = SINCE + timedelta(days=30)
    retired = replace(described, id=11, happened_at=at(ended), active=False)
    runs = [load(100 + number, SINCE + timedelta(days=number), 30.0) for number in (1, 8, 15)]
    state = folded(site(), washer(), described, outlet(), *runs, retired)
    found = benefit(state, garden(state, at(SINCE + timedelta(days=60), 1.0)))
    assert set(found.months) == {(2026, 3)}
    whole = gave([(1, 30.0), (8, 30.0), (15, 30.0)], last=ended - timedelta(days=1))
    assert total(found.months.values()) == pytest.approx(whole)


def test_the_money_is_what_was_given_at_the_price_of_the_site() -> None:
    state = folded(replace(site(), water_price_milli=1321, currency="USD"), washer(), basin(), outlet())
    found = benefit(state, garden(state, at(SINCE + timedelta(days=3))))
    assert (found.price, found.currency) == (1.321, "USD")
    # 5 USD for 1,000 gal: 3,785.4 L cost 5 USD
    assert found.worth(Given(gave_l=3785.411784)) == pytest.approx(5.0, abs=0.002)
    assert price_of(None) == price_of(site()) == (None, "")
    bare = benefit(folded(site(), washer(), basin(), outlet()), garden(state, at(SINCE)))
    assert bare.worth(Given(gave_l=1000.0)) is None


def test_years_are_the_sum_of_their_months() -> None:
    state = folded(site(), washer(), basin(start_deficit_ml=65_000), outlet(), load(100, SINCE, 60.0))
    found = benefit(state, garden(state, at(date(2027, 2, 10))))
    assert min(found.months) == (2026, 3) and max(found.months) == (2027, 2)
    assert list(found.months) == sorted(found.months)
    assert found.years[2026] == total(given for (year, _), given in found.months.items() if year == 2026)
    assert set(found.years) == {2026, 2027}
