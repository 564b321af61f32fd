"""The continuous frost index against figures worked out from its published constants, and its limits."""

from __future__ import annotations

import math
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gwlog.state import Weather
from gwlog.water.frost import CARRIED_DAYS, FROZEN_ABOVE, THAWED_BELOW, carried, next_index
from gwlog.water.weather import Climate, Sky

COLD_C = (-6.2, -3.9, 1.2, 8.0, 14.1, 19.3, 22.6, 21.4, 16.5, 10.0, 3.0, -3.4)
"""An invented continental climate; its freezing index is 31 x 6.2 + 28 x 3.9 + 31 x 3.4 = 406.8 degC days (sum of days
times degrees below 0 over the months: Boyd 1979, in the glossary of the International Permafrost Association)."""

DRY = (30.0,) * 12


def run(temperatures: list[float], snow_cm: float = 0.0) -> list[float]:
    index, found = 0.0, []
    for mean in temperatures:
        index = next_index(index, mean, snow_cm)
        found.append(index)
    return found


def first_above(found: list[float], bound: float) -> int:
    return next(number for number, index in enumerate(found, 1) if index > bound)


def test_the_bounds_are_the_published_ones() -> None:
    """Molnau and Bissell 1983 as in the USGS Soil-Water-Balance source: frozen above 83, not frozen below 55 (read)."""
    assert (FROZEN_ABOVE, THAWED_BELOW) == (83.0, 55.0)


def test_five_degrees_of_frost_without_snow() -> None:
    """Worked out from A = 0.97 alone: index(n) = 5 (1 - 0.97^n) / 0.03, limit 166.667."""
    found = run([-5.0] * 60)
    assert found[29] == pytest.approx(99.8322, abs=0.001)
    assert found[29] == pytest.approx(5 * (1 - 0.97**30) / 0.03)
    assert (first_above(found, THAWED_BELOW), first_above(found, FROZEN_ABOVE)) == (14, 23)


def test_ten_centimetres_of_snow_keep_the_ground_warmer() -> None:
    """K = 0.08 per cm below the freezing point: the day's part is 5 exp(-0.4 x 0.08 x 10)."""
    found = run([-5.0] * 60, 10.0)
    assert found[59] == pytest.approx(101.5632, abs=0.001)
    assert first_above(found, FROZEN_ABOVE) == 39
    assert run([-5.0] * 2000, 10.0)[-1] == pytest.approx(121.025, abs=0.001)


def test_snow_slows_the_thaw_by_the_other_constant() -> None:
    """K = 0.5 per cm above: exp(-0.4 x 0.5 x 2) of four degrees."""
    assert next_index(100.0, 4.0, 2.0) == pytest.approx(97.0 - 4.0 * 0.670320, abs=1e-5)


def test_after_forty_days_of_frost_a_thaw_of_four_degrees_takes_ten_days() -> None:
    found = run([-5.0] * 40 + [4.0] * 30)
    assert found[39] == pytest.approx(117.3813, abs=0.001)
    assert next(number for number, index in enumerate(found[40:], 1) if index < THAWED_BELOW) == 10
    assert found[-1] == 0.0


@pytest.mark.parametrize(("mean", "limit", "freezes"), [(-2.4, 80.0, False), (-2.5, 83.333, True)])
def test_only_a_lasting_mean_below_two_and_a_half_degrees_freezes_the_ground(mean: float, limit: float,
                                                                             freezes: bool) -> None:
    found = run([mean] * 2000)
    assert found[-1] == pytest.approx(limit, abs=0.001)
    assert (max(found) > FROZEN_ABOVE) is freezes


@given(st.lists(st.floats(-40.0, 40.0), max_size=60), st.floats(0.0, 200.0))
def test_the_index_is_never_negative_and_a_warmer_day_never_raises_it(means: list[float], start: float) -> None:
    index = start
    for mean in means:
        after = next_index(index, mean)
        assert after >= 0.0 and next_index(index, mean + 1.0) <= after
        index = after


def sky(weather: dict[date, Weather] | None = None, means: tuple[float, ...] | None = COLD_C) -> Sky:
    return Sky(Climate(DRY, DRY, monthly_tmean_c=means), weather or {}, 45.0)


def test_by_the_normals_of_a_cold_climate_the_ground_freezes_in_january_and_thaws_in_march() -> None:
    """By the sum of the geometric series, month by month: between the bounds all December, then frozen."""
    year = {day: frost.degree_days for day, frost in carried(sky(), date(2026, 9, 1), date(2027, 8, 31))}
    december = 3.4 / 0.03 * (1 - 0.97**31)
    january = december * 0.97**31 + 6.2 / 0.03 * (1 - 0.97**31)
    february = january * 0.97**28 + 3.9 / 0.03 * (1 - 0.97**28)
    assert [year[date(2026, 12, 31)], year[date(2027, 1, 31)], year[date(2027, 2, 28)]] == \
        pytest.approx([december, january, february])
    frozen = [day for day, index in year.items() if index > FROZEN_ABOVE]
    freezes = math.ceil(math.log((6.2 / 0.03 - 83) / (6.2 / 0.03 - december)) / math.log(0.97))
    thaws = math.floor(math.log((83 + 1.2 / 0.03) / (february + 1.2 / 0.03)) / math.log(0.97))
    assert (frozen[0], frozen[-1]) == (date(2027, 1, freezes), date(2027, 3, thaws))
    assert (freezes, thaws) == (4, 12)
    assert year[date(2027, 6, 1)] == 0.0


def test_a_year_before_is_enough_to_begin_from_nothing() -> None:
    day = date(2027, 2, 1)
    one = dict(carried(sky(), day, day))[day].degree_days
    longer = dict(carried(sky(), day - timedelta(days=400), day))[day].degree_days
    assert CARRIED_DAYS == 365 and one == pytest.approx(longer, abs=0.02)


def test_measured_temperatures_win_over_the_normals_and_gaps_take_them() -> None:
    day = date(2027, 1, 20)
    mild = {day - timedelta(days=n): Weather(None, 2.0, 10.0) for n in range(60)}
    found = dict(carried(sky(mild), day, day))[day]
    assert found.degree_days == 0.0 and found.measured == 30
    gaps = {when: weather for when, weather in mild.items() if when.day % 2}
    assert 0.0 < dict(carried(sky(gaps), day, day))[day].degree_days < \
        dict(carried(sky(), day, day))[day].degree_days


def test_without_normals_an_unmeasured_day_lets_the_index_fade() -> None:
    day = date(2027, 1, 20)
    cold = {day - timedelta(days=n): Weather(None, -9.0, -1.0) for n in range(10, 60)}
    found = dict(carried(sky(cold, None), day - timedelta(days=10), day))
    peak = found[day - timedelta(days=10)].degree_days
    assert found[day].degree_days == pytest.approx(peak * 0.97**10)
    assert (found[day].measured, found[day - timedelta(days=10)].measured) == (20, 30)


def test_where_it_was_seen_open_the_index_begins_anew() -> None:
    day = date(2027, 1, 20)
    open_on = {day - timedelta(days=3)}
    assert dict(carried(sky(), day, day, open_on))[day].degree_days == pytest.approx(run([-6.2] * 3)[-1])
