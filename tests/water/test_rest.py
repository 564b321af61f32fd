"""When a basin rests and when its rest is over."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gwlog.clock import local_day
from gwlog.journal.facts import Basin
from gwlog.state import Delivery, Weather
from gwlog.water.ahead import rest_until
from gwlog.water.growth import growth_of, spec_of
from gwlog.water.ledger import Ledger
from gwlog.water.rest import FILLED, OVER_ALLOWANCE, PONDING, Ponding
from gwlog.water.weather import Sky
from tests.water.household import SINCE, STEADY, ZONE, at, basin, ledger, pour

D0, D1, D2, D3 = (SINCE + timedelta(days=n) for n in range(4))

# A quick basin: TAW 20 L, RAW 10 L (p 0.42 + 0.04 (5 - 3)), half of it 5 L; it uses 3 mm x 1.0 x 2 m2 = 6 L a day
QUICK = {"plant_factor_milli": 1000, "root_depth_mm": 77, "depletion_milli": 420}
# A slow one: RAW 65 L, half of it 32.5 L; it uses 3 L a day


def quick(deficit_l: float, deliveries: Sequence[Delivery], now: datetime,
          ponding: Sequence[Ponding] = (), weather: dict[date, Weather] | None = None) -> Ledger:
    return ledger([basin(start_deficit_ml=round(deficit_l * 1000), **QUICK)], deliveries, now, ponding=ponding,
                  weather=weather)


@pytest.mark.parametrize(("deficit", "litres", "rests", "why"), [
    (10.0, 9.9, False, None),
    (10.0, 10.0, True, FILLED),          # exactly full
    (10.0, 12.0, True, FILLED),
    (0.0, 0.001, True, FILLED),          # it was full already
    (0.0, 0.0, False, None),             # nothing came
])
def test_a_load_that_brings_the_deficit_to_nothing_fills_the_basin(
    deficit: float, litres: float, rests: bool, why: str | None,
) -> None:
    now = quick(deficit, [pour(D0, litres, 8.0)], at(D0, 9.0))
    assert (now.resting, now.rest_reason) == (rests, why)
    assert now.filled_at == (at(D0, 8.0) if rests else None)


def test_rain_of_the_day_counts_towards_the_filling_but_alone_does_not_fill() -> None:
    rain = {D0: Weather(rain_mm=4.0)}   # 8 L
    assert quick(10.0, [pour(D0, 2.0, 8.0)], at(D0, 9.0), weather=rain).resting
    assert not quick(10.0, [pour(D0, 1.9, 8.0)], at(D0, 9.0), weather=rain).resting
    assert not quick(5.0, [], at(D0, 9.0), weather=rain).resting


def test_loads_of_one_day_add_up_and_start_anew_at_local_midnight() -> None:
    two = [pour(D0, 6.0, 8.0), pour(D0, 6.0, 21.0)]
    assert not quick(10.0, two, at(D0, 20.0)).resting
    assert quick(10.0, two, at(D0, 21.0)).filled_at == at(D0, 21.0)
    split = [pour(D0, 6.0, 23.0), pour(D1, 6.0, 1.0)]   # the day's use of 6 L lies between
    assert not quick(10.0, split, at(D1, 2.0)).resting


def test_passing_the_absorption_allowance_in_a_day_is_a_filling_too() -> None:
    # clay: 0.8 gal/ft2/day x 2 m2 = 65.2 L a day, over a dry root zone of 130 L
    clay = basin(soil="clay with a small amount of sand or gravel", start_deficit_ml=130_000)
    assert spec_of(clay).allowance_l == pytest.approx(65.2, abs=0.05)
    assert not ledger([clay], [pour(D0, 65.0, 8.0)], at(D0, 9.0)).resting
    over = ledger([clay], [pour(D0, 40.0, 8.0), pour(D0, 40.0, 10.0)], at(D0, 11.0))
    assert (over.resting, over.rest_reason, over.filled_at) == (True, OVER_ALLOWANCE, at(D0, 10.0))


@pytest.mark.parametrize(("now", "rests"), [
    (at(D0, 23.99), True),
    (at(D1, 0.0), True),       # 6 L missing by now, but only 16 hours
    (at(D1, 7.98), True),
    (at(D1, 8.0), False),      # 24 hours, at their very end
    (at(D3, 12.0), False),
])
def test_a_rest_lasts_24_hours_when_the_plants_are_quick(now: datetime, rests: bool) -> None:
    assert quick(10.0, [pour(D0, 10.0, 8.0)], now).resting is rests


def test_a_rest_lasts_until_half_of_the_readily_available_water_is_gone() -> None:
    slow = basin(start_deficit_ml=10_000)   # 32.5 L at 3 L a day, the first 3 of them on the day itself
    load = [pour(D0, 10.0, 8.0)]
    ends = D0 + timedelta(days=11)
    assert ledger([slow], load, at(ends - timedelta(days=1), 23.99)).resting
    assert not ledger([slow], load, at(ends, 0.0)).resting
    resting = ledger([slow], load, at(D1, 12.0))
    assert rest_until(resting, growth_of(slow, 36.9), Sky(STEADY, {}, 36.9), ZONE) == ends


def test_a_rest_that_is_over_stays_over_when_rain_or_a_small_load_comes() -> None:
    load = [pour(D0, 10.0, 8.0)]
    rain = {D2: Weather(rain_mm=10.0)}
    assert not quick(10.0, load, at(D2, 9.0), weather=rain).resting
    assert not quick(10.0, [*load, pour(D1, 2.0, 9.0)], at(D1, 10.0)).resting
    # before the hours end the small load keeps it below half
    assert quick(10.0, [*load, pour(D1, 2.0, 7.0)], at(D1, 10.0)).resting


def test_filled_again_it_rests_again_from_the_new_filling() -> None:
    again = [pour(D0, 10.0, 8.0), pour(D1, 6.0, 20.0)]
    assert quick(10.0, again, at(D2, 12.0)).filled_at == at(D1, 20.0)
    assert quick(10.0, again, at(D2, 19.9)).resting
    assert not quick(10.0, again, at(D2, 20.0)).resting


@pytest.mark.parametrize(("resolved", "now", "rests"), [
    (None, at(D3, 12.0), True),                    # still open
    (at(D0, 20.0), at(D2, 7.9), True),             # resolved early: 48 hours all the same
    (at(D0, 20.0), at(D2, 8.0), False),
    (at(D3, 10.0), at(D3, 9.9), True),             # resolved late
    (at(D3, 10.0), at(D3, 10.0), False),
    (at(D0, 7.0), at(D1, 12.0), True),             # an answer dated before the sighting
])
def test_after_ponding_it_rests_48_hours_and_until_that_is_resolved(
    resolved: datetime | None, now: datetime, rests: bool,
) -> None:
    seen = quick(15.0, [], now, [Ponding(at(D0, 8.0), resolved)])
    assert seen.resting is rests
    assert seen.rest_reason == (PONDING if rests else None)


def test_a_filling_does_not_cut_the_rest_after_ponding_short() -> None:
    pond = [Ponding(at(D0, 8.0), at(D0, 12.0))]
    seen = quick(10.0, [pour(D0, 10.0, 9.0)], at(D1, 12.0), pond)
    assert (seen.resting, seen.rest_reason, seen.not_before) == (True, PONDING, at(D2, 8.0))


def test_two_ponds_must_both_be_resolved() -> None:
    ponds = [Ponding(at(D0, 8.0), at(D0, 12.0)), Ponding(at(D0, 9.0), None)]
    assert quick(15.0, [], at(D3, 12.0), ponds).resting


def test_24_hours_are_hours_when_the_clocks_change() -> None:
    saturday = date(2026, 3, 7)   # Sunday has 23 hours: 24 hours after 08:00 is 09:00
    bed = basin(since=saturday, start_deficit_ml=10_000, **QUICK)
    load = [pour(saturday, 10.0, 8.0)]
    assert ledger([bed], load, at(saturday + timedelta(days=1), 8.98)).resting
    assert not ledger([bed], load, at(saturday + timedelta(days=1), 9.0)).resting


def test_a_25_hour_day_can_hold_a_whole_rest() -> None:
    sunday = date(2026, 11, 1)
    bed = basin(since=sunday, soil="clay with a small amount of sand or gravel", start_deficit_ml=130_000)
    load = [pour(sunday, 70.0, 0.0)]   # more than the allowance, into a dry root zone
    assert ledger([bed], load, at(sunday, 22.5)).resting
    assert not ledger([bed], load, at(sunday, 23.0)).resting


def test_the_end_of_the_rest_knows_hours_forecast_and_wet_climates() -> None:
    sky = Sky(STEADY, {}, 36.9)
    bed = basin(start_deficit_ml=10_000, **QUICK)
    resting = ledger([bed], [pour(D0, 10.0, 8.0)], at(D0, 9.0))
    assert rest_until(resting, growth_of(bed, 36.9), sky, ZONE) == D1
    wet = Sky(STEADY, {D0 + timedelta(days=n): Weather(rain_mm=20.0) for n in range(6)}, 36.9)
    assert rest_until(resting, growth_of(bed, 36.9), wet, ZONE) == D0 + timedelta(days=7)
    soaked = Sky(STEADY, {D0 + timedelta(days=n): Weather(rain_mm=20.0) for n in range(800)}, 36.9)
    assert rest_until(resting, growth_of(bed, 36.9), soaked, ZONE) is None
    awake = ledger([bed], [], at(D0, 9.0))
    assert rest_until(awake, growth_of(bed, 36.9), sky, ZONE) is None


def test_the_foretold_day_is_the_day_on_which_it_comes_true() -> None:
    bed = basin(start_deficit_ml=20_000)
    load = [pour(D0, 20.0, 8.0), pour(D2, 30.0, 18.0)]
    foretold = rest_until(ledger([bed], load, at(D3, 12.0)), growth_of(bed, 36.9), Sky(STEADY, {}, 36.9), ZONE)
    assert foretold is not None
    assert ledger([bed], load, at(foretold - timedelta(days=1), 23.98)).resting
    assert not ledger([bed], load, at(foretold, 23.98)).resting


def hour_by_hour(history: Basin, deliveries: list[Delivery], ponding: list[Ponding], weather: dict[date, Weather],
                 now: datetime) -> bool:
    """The rest's rule as it is written, looked at every hour: slow and plain."""
    spec = spec_of(history)
    days = {one.day: one.deficit_l for one in ledger([history], deliveries, now, weather=weather).days}
    resting, not_before, today, poured = False, at(D0, 0.0), D0, 0.0
    still_open: set[int] = set()
    moment = at(D0, 0.0)
    while moment <= now:
        day = local_day(moment, ZONE)
        if day != today:
            today, poured = day, 0.0
        opening = days[day - timedelta(days=1)] if day > D0 else (history.start_deficit_ml or 0) / 1000.0
        rain = weather[day].rain_mm if day in weather else 0.0
        morning = opening - (rain or 0.0) * spec.wetted_m2
        dry_enough = 0.5 * 0.5 * spec.taw_l - 1e-6   # p of the day is 0.5
        if not still_open and moment >= not_before and max(0.0, morning - poured) >= dry_enough:
            resting = False
        for one in deliveries:
            if one.at == moment:
                poured += one.litres
                if one.litres > 0 and (morning - poured <= 1e-6 or poured > spec.allowance_l + 1e-6):
                    resting, not_before = True, max(not_before, moment + timedelta(hours=24))
        for number, pond in enumerate(ponding):
            if pond.seen_at == moment:
                still_open.add(number)
                resting, not_before = True, max(not_before, moment + timedelta(hours=48))
        for number, pond in enumerate(ponding):
            if pond.resolved_at == moment:
                still_open.discard(number)
        if not still_open and moment >= not_before and max(0.0, morning - poured) >= dry_enough:
            resting = False
        moment += timedelta(hours=1)
    return resting


hours = st.integers(0, 13 * 24)


@settings(max_examples=100)
@given(
    st.integers(0, 25_000), st.booleans(), st.lists(st.tuples(hours, st.integers(0, 40)), max_size=8),
    st.lists(st.tuples(hours, st.none() | st.integers(1, 90)), max_size=2),
    st.dictionaries(st.integers(0, 13), st.sampled_from([0.0, 2.0, 8.0]), max_size=5), st.integers(1, 14 * 24),
)
def test_the_rest_agrees_with_the_rule_looked_at_every_hour_across_the_change_of_clocks(
    start_ml: int, tight: bool, loads: list[tuple[int, int]], ponds: list[tuple[int, int | None]],
    rains: dict[int, float], until: int,
) -> None:
    words = {**QUICK, "soil": "clay with a small amount of sand or gravel", "area_cm2": 4_000 if tight else 20_000}
    bed = basin(start_deficit_ml=start_ml, **words)
    start = at(D0, 0.0)
    deliveries = []
    for number, (hour, litres) in enumerate(sorted(loads)):
        moment = start + timedelta(hours=hour)
        deliveries.append(Delivery(number, moment, local_day(moment, ZONE), "Hose", "Quince", float(litres)))
    ponding = [
        Ponding(start + timedelta(hours=seen),
                None if after is None else start + timedelta(hours=seen + after)) for seen, after in ponds
    ]
    weather = {D0 + timedelta(days=n): Weather(rain_mm=mm) for n, mm in rains.items()}
    now = start + timedelta(hours=until)
    ours = ledger([bed], deliveries, now, ponding=ponding, weather=weather)
    assert ours.resting is hour_by_hour(bed, deliveries, ponding, weather, now)
