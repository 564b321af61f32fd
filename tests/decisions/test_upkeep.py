"""Upkeep: intervals in people's words, months as the calendar has them, seasons, and the household's own tasks."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st

from gwlog.decisions.upkeep import Interval, UpkeepItem, interval, upkeep
from gwlog.errors import BadInput
from gwlog.state import State
from tests.decisions.home import SINCE, Home, at, day


def item(home: Home, name: str, today: date) -> UpkeepItem:
    now = at(today)
    (one,) = [one for one in upkeep(home.state(now), now) if one.name == name]
    return one


# --- intervals ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "read"),
    [
        ("10 days", Interval(10, "day")), ("1 day", Interval(1, "day")), ("6 weeks", Interval(6, "week")),
        ("12 months", Interval(12, "month")), (" 2  Years ", Interval(2, "year")),
        ("every month", Interval(1, "month")), ("every 3 weeks", Interval(3, "week")), ("never", None), ("Never", None),
    ],
)
def test_an_interval_in_words(words: str, read: Interval | None) -> None:
    assert interval(words) == read


@pytest.mark.parametrize("words", ["", "0 days", "-1 month", "1.5 months", "fortnight", "11 years", "12", "6 moons"])
def test_an_interval_that_cannot_be_read_names_the_value_and_what_is_accepted(words: str) -> None:
    with pytest.raises(BadInput) as refused:
        interval(words)
    assert f"“{words}”" in str(refused.value)
    assert "accepted" in str(refused.value) or "6 weeks" in str(refused.value)


@given(st.dates(date(1990, 1, 1), date(2090, 1, 1)), st.integers(1, 120),
       st.sampled_from(["day", "week", "month", "year"]))
def test_intervals_count_as_dateutil_counts(start: date, count: int, unit: str) -> None:
    # python-dateutil's relativedelta is an independent implementation of calendar arithmetic.
    assert Interval(count, unit).after(start) == start + relativedelta(**{f"{unit}s": count})


# --- tasks --------------------------------------------------------------------------------------------------


def test_the_profiles_tasks_come_with_the_code() -> None:
    now = at(SINCE)
    names = {one.name for one in upkeep(Home().state(now), now)}
    assert {"throw the valve both ways", "look for ponding and runoff", "yearly record"} <= names
    washington = {one.name for one in upkeep(Home(code="us-wa-1").state(now), now)}
    assert washington - names == {"top up the mulch to 4 in"}
    assert all(one.source for one in upkeep(Home().state(now), now))


def test_nothing_is_due_before_a_site_is_described() -> None:
    assert upkeep(State(), at(SINCE)) == ()


def test_a_task_runs_from_the_setup_then_from_the_last_time_it_was_done() -> None:
    home = Home()
    one = item(home, "throw the valve both ways", day(0))
    assert (one.last_done, one.due, one.state) == (None, date(2027, 6, 1), "later")
    home.done("throw the valve both ways", date(2027, 7, 20))
    home.done("Throw the valve both ways", date(2027, 3, 2))   # logged later, done earlier, another case
    one = item(home, "throw the valve both ways", date(2027, 8, 1))
    assert (one.last_done, one.due, one.state) == (date(2027, 7, 20), date(2028, 7, 20), "later")


@pytest.mark.parametrize(
    ("every", "days_from_due", "state"),
    [
        ("12 months", -8, "later"), ("12 months", -7, "soon"), ("12 months", -1, "soon"), ("12 months", 0, "due"),
        ("12 months", 7, "due"), ("12 months", 8, "overdue"),
        ("1 week", -2, "later"), ("1 week", -1, "soon"), ("1 week", 1, "due"), ("1 week", 2, "overdue"),
        ("1 day", -1, "soon"), ("1 day", 2, "overdue"),
    ],
)
def test_how_pressing_a_task_is(every: str, days_from_due: int, state: str) -> None:
    home = Home()
    home.task("sweep the path", every)
    read = interval(every)
    assert read is not None
    due = read.after(SINCE)
    one = item(home, "sweep the path", due + timedelta(days=days_from_due))
    assert (one.due, one.state) == (due, state)


def test_the_household_replaces_drops_and_adds_tasks() -> None:
    home = Home()
    home.task("Throw the valve both ways", "6 months", date(2026, 9, 1))
    home.task("flush the line", "never")
    home.task("yearly record", "12 months", active=False)
    home.task("oil the gate", "2 months", date(2026, 9, 1))
    now = at(date(2026, 9, 2))
    items = {one.name: one for one in upkeep(home.state(now), now)}
    assert "throw the valve both ways" not in items
    assert items["Throw the valve both ways"].due == date(2026, 12, 1)        # still from the setup
    assert "inspection table" in (items["Throw the valve both ways"].source or "")
    assert "flush the line" not in items and "yearly record" not in items
    assert items["oil the gate"].due == date(2026, 11, 1)                     # from when it was thought of


def test_a_task_with_an_unreadable_interval_is_told_and_keeps_the_others() -> None:
    home = Home()
    home.task("sweep the path", "6 moons")
    now = at(day(0))
    items = {one.name: one for one in upkeep(home.state(now), now)}
    assert items["sweep the path"].state == "due"
    assert "6 moons" in (items["sweep the path"].source or "")
    assert "flush the line" in items


@pytest.mark.parametrize(
    ("done", "today", "due"),
    [
        (date(2026, 6, 1), date(2026, 6, 10), date(2026, 7, 13)),     # six weeks on, in season
        (date(2026, 9, 20), date(2026, 9, 21), date(2027, 5, 1)),     # 1 November waits for May
        (date(2026, 8, 1), date(2026, 10, 31), date(2026, 9, 12)),    # missed, the season still runs
        (date(2026, 8, 1), date(2026, 12, 1), date(2027, 5, 1)),      # missed for the whole season
        (date(2026, 8, 1), date(2028, 5, 20), date(2028, 5, 1)),      # two seasons missed: this one's beginning
    ],
)
def test_a_task_limited_to_months_waits_for_its_season(done: date, today: date, due: date) -> None:
    home = Home()
    home.done("flush the soil with drinking water", done)
    assert item(home, "flush the soil with drinking water", today).due == due


@given(st.sets(st.integers(1, 12), max_size=12), st.integers(0, 2000), st.integers(1, 40))
def test_a_due_day_lies_in_the_tasks_months_and_its_season_is_not_over(
    months: set[int], today: int, weeks: int,
) -> None:
    home = Home()
    home.task("sweep the path", f"{weeks} weeks", months=tuple(sorted(months)) or None)
    one = item(home, "sweep the path", day(today))
    assert one.due >= Interval(weeks, "week").after(SINCE)
    if not months:
        assert one.due == Interval(weeks, "week").after(SINCE)
        return
    assert one.due.month in months
    if len(months) < 12 and one.due < day(today):
        # every month from the due one up to today's is in season
        month = one.due.replace(day=1)
        while month <= day(today):
            assert month.month in months
            month = (month + timedelta(days=32)).replace(day=1)
