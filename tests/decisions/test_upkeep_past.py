"""How upkeep went: in time, late, missed, still open; seasons; tasks nobody plans any more."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gwlog.decisions.upkeep_past import done_besides, rounds
from gwlog.state import State
from tests.decisions.home import SINCE, Home, at, day


def told(home: Home, task: str, until: date) -> list[tuple[date, date | None, str]]:
    return [(one.due, one.done, one.state) for one in rounds(home.state(at(until, 23)), until) if one.task == task]


@pytest.mark.parametrize(("done", "until", "expected"), [
    ([], 9, []),
    ([], 10, [(10, None, "open")]),
    ([], 12, [(10, None, "open")]),
    ([], 13, [(10, None, "missed")]),
    ([], 25, [(10, None, "missed"), (20, None, "missed")]),
    ([8], 12, [(10, 8, "in time")]),
    ([12], 12, [(10, 12, "in time")]),
    ([13], 13, [(10, 13, "late")]),
    ([31], 31, [(10, None, "missed"), (20, None, "missed"), (30, 31, "in time")]),
    ([29], 29, [(10, None, "missed"), (20, 29, "late")]),
    ([10, 20], 29, [(10, 10, "in time"), (20, 20, "in time")]),
    ([10, 10], 12, [(10, 10, "in time")]),
])
def test_a_task_of_every_ten_days(done: list[int], until: int, expected: list[tuple[int, int | None, str]]) -> None:
    home = Home()
    home.task("sweep", "10 days")     # its window: a quarter of the interval, 2 days
    for number in done:
        home.done("Sweep", day(number))
    assert told(home, "sweep", day(until)) == sorted(
        ((day(due), None if on is None else day(on), state) for due, on, state in expected),
        key=lambda one: one[1] or one[0])


def test_a_task_of_some_months_waits_for_its_season() -> None:
    home = Home()
    home.task("top up", "1 month", months=(6, 7))
    home.done("top up", date(2026, 7, 1))
    # August to May are no season: the next round is due on the first day of the next one.
    assert told(home, "top up", date(2027, 6, 3)) == [
        (date(2026, 7, 1), date(2026, 7, 1), "in time"), (date(2027, 6, 1), None, "open")]


def test_never_and_unreadable_intervals_have_no_rounds_but_what_was_done_is_told() -> None:
    home = Home()
    home.task("rest", "never")
    home.task("odd", "sometimes")
    home.done("rest", day(3))
    home.done("paint the shed", day(4))
    state = home.state(at(day(60)))
    assert not [one for one in rounds(state, day(60)) if one.task in ("rest", "odd")]
    assert done_besides(state, day(60)) == (("rest", day(3)), ("paint the shed", day(4)))


def test_without_a_site_there_is_nothing() -> None:
    assert rounds(State(), SINCE) == ()
    assert done_besides(State(), SINCE) == ()


@given(st.lists(st.integers(0, 400), max_size=12), st.integers(0, 400))
def test_each_doing_serves_one_round_and_rounds_are_whole_intervals_apart(done: list[int], until: int) -> None:
    home = Home()
    home.task("sweep", "3 weeks")
    for number in sorted(done):
        home.done("sweep", day(number))
    found = [one for one in rounds(home.state(at(day(400), 23)), day(until)) if one.task == "sweep"]
    assert [one.done for one in found if one.done] == sorted({day(number) for number in done if number <= until})
    last = SINCE
    for one in sorted(found, key=lambda each: each.due):
        assert (one.due - last).days == 21
        last = one.done or one.due
