"""How the cover goes down, how its rate is fitted, and when a top-up is due."""

from __future__ import annotations

from datetime import date, timedelta
from math import exp

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gwlog.journal.facts import Mulch
from gwlog.water.mulch import FASTEST_K, cover, cover_due, reckoning
from tests.water.household import SINCE, ZONE, at, mulch

START = at(SINCE)
YEAR = timedelta(days=365.25)


def day(n: float) -> date:
    return SINCE + timedelta(days=n)


def test_without_measurements_forty_percent_go_in_a_year() -> None:
    assert cover([], START + YEAR, 100.0, START) == pytest.approx(60.0)
    assert not reckoning([], START + YEAR, 100.0, START).fitted
    assert cover([], START + YEAR / 2, 100.0, START) == pytest.approx(100.0 * 0.6**0.5)


def test_a_measurement_replaces_what_was_reckoned_and_a_top_up_adds_to_it() -> None:
    one = [mulch(1, day(100), "measured", 70)]
    assert cover(one, at(day(100)), 100.0, START) == 70.0
    assert cover(one, at(day(99)), 100.0, START) == pytest.approx(100 * 0.6 ** (99 / 365.25), rel=1e-3)
    added = [*one, mulch(2, day(200), "added", 50)]
    expected = 70.0 * 0.6 ** (100 / 365.25) + 50.0
    assert cover(added, at(day(200)), 100.0, START) == pytest.approx(expected, rel=1e-3)


def test_a_depth_described_anew_replaces_what_was_measured_before_it() -> None:
    entries = [mulch(1, day(10), "measured", 40)]
    assert cover(entries, at(day(20)), 100.0, at(day(20))) == 100.0


@pytest.mark.parametrize(("entries", "rate"), [
    # two measurements a year apart
    ([("measured", 0, 100), ("measured", 365.25, 80)], 0.20),
    # half a year apart: the share is a year's
    ([("measured", 0, 100), ("measured", 182.625, 80)], 1 - 0.8**2),
    # three: the whole time counts, not each pair alike
    ([("measured", 0, 100), ("measured", 30, 99), ("measured", 365.25, 70)], 0.30),
    # a top-up between two measurements adds to what the first became: 100 x .8 + 40 x .8^.5 = 115.8
    ([("measured", 0, 100), ("added", 182.625, 40), ("measured", 365.25, 116)], 0.20),
    # cover that grew without a logged top-up was topped up: the pair says nothing about the rate
    ([("measured", 0, 50), ("measured", 30, 100), ("measured", 395.25, 80)], 0.20),
    # mulch that a ruler sees not going at all still rots
    ([("measured", 0, 100), ("measured", 90, 100)], 0.05),
])
def test_the_rate_is_fitted_to_the_basins_own_measurements(
    entries: list[tuple[str, float, int]], rate: float,
) -> None:
    facts = [
        Mulch(id=n, happened_at=START + timedelta(days=when), zone=ZONE, basin="Quince", action=action, depth_mm=mm)
        for n, (action, when, mm) in enumerate(entries)
    ]
    found = reckoning(facts, START + timedelta(days=400), 100.0, START)
    assert found.fitted
    assert 1 - exp(-found.k) == pytest.approx(rate, abs=0.005)


@pytest.mark.parametrize("entries", [
    [mulch(1, day(0), "measured", 100)],
    [mulch(1, day(0), "measured", 100), mulch(2, day(5), "measured", 90)],       # a week says nothing
    [mulch(1, day(0), "measured", 40), mulch(2, day(60), "measured", 100)],      # only an unlogged top-up
])
def test_too_little_to_fit_leaves_the_assumption(entries: list[Mulch]) -> None:
    found = reckoning(entries, at(day(100)), 100.0, START)
    assert (1 - exp(-found.k), found.fitted) == (pytest.approx(0.4), False)


def test_a_top_up_is_due_when_the_cover_comes_within_half_an_inch_of_the_minimum() -> None:
    # us-ca-washer: 50.8 mm; from 100 mm at 40 % a year to 63.8 mm
    due = cover_due([], START, 100.0, START, 50.8, ZONE)
    assert due is not None
    assert cover([], at(due - timedelta(days=1), 0.0), 100.0, START) > 63.8
    assert cover([], at(due + timedelta(days=1), 0.0), 100.0, START) < 63.8


def test_the_due_day_stays_where_it_is_while_time_passes() -> None:
    entries = [mulch(1, day(50), "measured", 80)]
    days = {cover_due(entries, at(day(n)), 100.0, START, 50.8, ZONE) for n in (50, 100, 200, 900)}
    assert len(days) == 1
    assert cover_due([mulch(1, day(50), "measured", 60)], at(day(90)), 100.0, START, 50.8, ZONE) == day(50)
    topped = [mulch(1, day(50), "measured", 60), mulch(2, day(60), "added", 60)]
    after = cover_due(topped, at(day(90)), 100.0, START, 50.8, ZONE)
    assert after is not None and after > day(200)


def test_a_top_up_far_off_has_no_day() -> None:
    slow = [mulch(1, day(0), "measured", 200), mulch(2, day(365), "measured", 195)]
    assert cover_due(slow, at(day(365)), 200.0, START, 50.8, ZONE) is None


@settings(max_examples=60)
@given(st.lists(st.tuples(st.sampled_from(["added", "measured"]), st.integers(0, 800), st.integers(0, 400)),
                max_size=8), st.integers(0, 900))
def test_cover_is_finite_never_negative_and_the_future_does_not_change_it(
    entries: list[tuple[str, int, int]], when: int,
) -> None:
    facts = [mulch(n, day(offset), action, mm) for n, (action, offset, mm) in enumerate(entries)]
    now = at(day(when), 13.0)
    all_of_them = cover(facts, now, 100.0, START)
    assert 0.0 <= all_of_them < 4_000.0
    assert 0.0 < reckoning(facts, now, 100.0, START).k <= FASTEST_K
    assert cover([fact for fact in facts if fact.happened_at <= now], now, 100.0, START) == all_of_them
