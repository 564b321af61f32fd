"""The water's limits at the limit itself: when a rest begins and ends to the drop and the minute, and the mulch's."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, timedelta

import pytest

from gwlog.journal.facts import Mulch
from gwlog.state import Delivery
from gwlog.water.mulch import FASTEST_K, SHORTEST_SPAN_DAYS, UNLOGGED_MM, cover_due, known_depth, reckoning
from gwlog.water.rest import FILLED, OVER_ALLOWANCE, Morning, Ponding, Rest, follow
from tests.water.household import SINCE, ZONE, at, mulch, pour

D0, D1, D2, D3 = (SINCE + timedelta(days=n) for n in range(4))
START = at(SINCE)
DROP = 0.001


class Mornings:
    """How a basin's days open: the same one every day unless another is named. Counts how often that is asked."""

    def __init__(self, deficit_l: float, raw_l: float = 10.0, allowance_l: float = 100.0,
                 **days: float) -> None:
        self.usual, self.raw_l, self.allowance_l = deficit_l, raw_l, allowance_l
        self.days = {SINCE + timedelta(days=int(name[1:])): litres for name, litres in days.items()}
        self.asked = 0

    def __call__(self, day: date) -> Morning:
        self.asked += 1
        return Morning(self.days.get(day, self.usual), self.raw_l, self.allowance_l)


def followed(morning: Mornings, now: datetime, deliveries: Sequence[Delivery] = (), ponding: Sequence[Ponding] = (),
             *, today: date = D3, first: date = D0) -> Rest:
    return follow(first, today, morning, deliveries, ponding, ZONE, now)


# --- half of the readily available water ------------------------------------------------------------------------


@pytest.mark.parametrize(("missing", "rests"), [(5.0, False), (5.0 - DROP, True)])
def test_a_rest_ends_when_exactly_half_is_missing_at_midnight(missing: float, rests: bool) -> None:
    morning = Mornings(4.0, d0=1.0, d3=missing)
    assert followed(morning, at(D3, 0.0), [pour(D0, 1.0, 8.0)]).resting is rests


@pytest.mark.parametrize(("missing", "rests"), [(5.0, False), (5.0 - DROP, True)])
def test_a_rest_ends_when_exactly_half_is_missing_as_its_hours_end(missing: float, rests: bool) -> None:
    morning = Mornings(missing, d0=1.0)
    assert followed(morning, at(D1, 8.0), [pour(D0, 1.0, 8.0)], today=D1).resting is rests
    assert followed(morning, at(D1, 8.0) - timedelta(minutes=1), [pour(D0, 1.0, 8.0)], today=D1).resting


@pytest.mark.parametrize(("missing", "rests"), [(5.0, False), (5.0 - DROP, True)])
def test_a_rest_ends_with_the_resolution_of_ponding_when_exactly_half_is_missing(missing: float, rests: bool) -> None:
    pond = [Ponding(at(D0, 8.0), at(D3, 10.0))]
    assert followed(Mornings(missing), at(D3, 10.0), ponding=pond).resting is rests
    assert followed(Mornings(missing), at(D3, 10.0) - timedelta(minutes=1), ponding=pond).resting


def test_what_was_poured_that_day_counts_when_ponding_is_resolved() -> None:
    pond = [Ponding(at(D0, 8.0), at(D3, 10.0))]
    assert not followed(Mornings(8.0), at(D3, 10.0), [pour(D3, 3.0, 9.0)], pond).resting
    assert followed(Mornings(8.0), at(D3, 10.0), [pour(D3, 3.0 + DROP, 9.0)], pond).resting


def test_a_basin_that_holds_next_to_nothing_rests_its_hours_and_no_longer() -> None:
    """Where nothing is readily available, half of it is missing at once, also on a day of rain."""
    full = Mornings(-5.0, raw_l=0.0)
    load = [pour(D0, 1.0, 8.0)]
    assert followed(full, at(D1, 7.98), load, today=D1).resting
    assert not followed(full, at(D1, 8.0), load, today=D1).resting
    assert not followed(full, at(D2, 0.0), load, today=D2).resting
    assert not followed(full, at(D3, 10.0), ponding=[Ponding(at(D0, 8.0), at(D3, 10.0))]).resting
    little = Mornings(0.0, raw_l=1.0)
    assert followed(little, at(D3, 10.0), ponding=[Ponding(at(D0, 8.0), at(D3, 10.0))]).resting
    assert followed(little, at(D3, 10.0), load).resting


def test_the_hours_of_a_rest_may_end_while_ponding_is_open_and_it_goes_on() -> None:
    pond = [Ponding(at(D0, 8.0), None)]
    load = [pour(D2, 1.0, 10.0)]     # something happens on the very day on which the 48 hours end
    assert followed(Mornings(8.0), at(D2, 12.0), load, pond, today=D2).resting
    assert not followed(Mornings(8.0), at(D2, 12.0), load, [Ponding(at(D0, 8.0), at(D2, 9.0))], today=D2).resting


# --- filling, and the allowance ---------------------------------------------------------------------------------


@pytest.mark.parametrize(("litres", "why"), [(10.0, FILLED), (10.0 - DROP, None)])
def test_a_basin_is_full_when_exactly_nothing_is_missing(litres: float, why: str | None) -> None:
    assert followed(Mornings(10.0), at(D0, 9.0), [pour(D0, litres, 8.0)], today=D0).reason == why


@pytest.mark.parametrize(("litres", "why"), [
    ((60.0, 40.0), None), ((60.0, 40.0 + DROP), OVER_ALLOWANCE), ((99.6, 0.4), None), ((99.6, 0.5), OVER_ALLOWANCE),
    ((100.0,), None), ((100.5,), OVER_ALLOWANCE), ((99.5,), None),
])
def test_the_allowance_of_a_day_may_be_reached(litres: tuple[float, ...], why: str | None) -> None:
    loads = [pour(D0, one, 8.0 + number) for number, one in enumerate(litres)]
    rest = followed(Mornings(500.0, raw_l=300.0), at(D0, 12.0), loads, today=D0)
    assert rest.reason == why and rest.resting is (why is not None)


def test_a_load_of_nothing_does_not_make_a_rest_longer() -> None:
    loads = [pour(D0, 101.0, 8.0), pour(D0, 0.0, 9.0)]
    assert followed(Mornings(500.0, raw_l=300.0), at(D0, 12.0), loads, today=D0).not_before == at(D1, 8.0)
    loads = [pour(D0, 10.0, 8.0), pour(D0, 0.0, 9.0)]
    assert followed(Mornings(10.0), at(D0, 12.0), loads, today=D0).not_before == at(D1, 8.0)


# --- ponding before the balance begins, and long quiet times -------------------------------------------------------


def test_ponding_that_was_resolved_before_the_balance_begins_is_over() -> None:
    before = [Ponding(at(D0 - timedelta(days=5)), at(D0 - timedelta(days=3)))]
    assert not followed(Mornings(8.0), at(D3, 12.0), ponding=before).resting
    still_open = [Ponding(at(D0 - timedelta(days=5)), None)]
    assert followed(Mornings(8.0), at(D3, 12.0), ponding=still_open).resting


def test_quiet_years_are_not_gone_through_day_by_day() -> None:
    last = SINCE + timedelta(days=7300)
    awake = Mornings(8.0)
    assert not followed(awake, at(last), [pour(D1, 1.0), pour(last, 1.0)], today=last).resting
    assert awake.asked == 2
    pond_open = Mornings(8.0)
    assert followed(pond_open, at(last), ponding=[Ponding(at(D1), None)], today=last).resting
    assert pond_open.asked == 1


# --- mulch -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("grown", "fitted"), [(UNLOGGED_MM, True), (UNLOGGED_MM + 1, False)])
def test_cover_that_grew_by_half_an_inch_was_measured_another_way_and_more_was_topped_up(grown: int,
                                                                                        fitted: bool) -> None:
    entries = [mulch(1, D0, "measured", 60), mulch(2, D0 + timedelta(days=60), "measured", 60 + grown)]
    assert UNLOGGED_MM == 13
    assert reckoning(entries, at(D0 + timedelta(days=90)), 100.0, START).fitted is fitted


@pytest.mark.parametrize(("minutes", "fitted"), [(0, True), (-1, False)])
def test_a_fortnight_between_two_measurements_is_enough(minutes: int, fitted: bool) -> None:
    entries = [Mulch(id=number, happened_at=moment, zone=ZONE, basin="Quince", action="measured", depth_mm=mm)
               for number, moment, mm in ((1, START, 100),
                                          (2, START + timedelta(days=14, minutes=minutes), 97))]
    assert SHORTEST_SPAN_DAYS == 14
    assert reckoning(entries, at(D0 + timedelta(days=30)), 100.0, START).fitted is fitted


def test_mulch_measured_gone_says_nothing_of_a_rate_and_mulch_that_went_all_goes_fastest() -> None:
    months = [D0 + timedelta(days=60 * n) for n in range(3)]
    gone = [mulch(1, months[0], "measured", 0), mulch(2, months[1], "measured", 10)]
    assert not reckoning(gone, at(months[2]), 100.0, START).fitted
    went = [mulch(1, months[0], "measured", 100), mulch(2, months[1], "measured", 0)]
    assert reckoning(went, at(months[2]), 100.0, START).k == pytest.approx(FASTEST_K)
    thin = [mulch(1, months[0], "measured", 1), mulch(2, months[1], "measured", 1)]
    assert reckoning(thin, at(months[2]), 100.0, START).fitted


def test_what_was_measured_at_the_moment_of_a_description_comes_after_it() -> None:
    entries = [mulch(1, SINCE, "measured", 70)]
    assert known_depth(entries, START, 100.0, START) == 70.0
    assert known_depth(entries, START, 100.0, START + timedelta(minutes=1)) == 100.0
    assert known_depth(entries, START - timedelta(minutes=1), 100.0, START) == 100.0
    assert reckoning(entries, START, 100.0, START).depth_mm == 70.0
    assert reckoning(entries, START, 100.0, START + timedelta(minutes=1)).depth_mm == 100.0


def test_a_described_depth_counts_as_it_is_and_none_below_nothing() -> None:
    assert reckoning([], START, 0.5, START).depth_mm == 0.5
    assert reckoning([], START, -5.0, START).depth_mm == 0.0


def test_a_cover_at_the_margin_is_due_at_once() -> None:
    assert cover_due([], START, 63.8, START, 50.8, ZONE) == SINCE
    later = cover_due([], START, 63.9, START, 50.8, ZONE)
    assert later is not None and later > SINCE
