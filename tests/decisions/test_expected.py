"""Which loads are expected: planned ones in every zone and season, what fulfils them, and the household's habit."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gwlog.clock import local
from gwlog.decisions.expected import expected, rule_problems, usual_litres, whole_loads
from gwlog.errors import BadInput
from tests.decisions.household import NOW, folded, habit, household, planned, run


def days(loads):
    return [load.day.isoformat() for load in loads]


def test_planned_loads_come_round_by_their_rule_without_the_skipped_days():
    state = folded(household(), [planned("2026-05-30T09:00", "FREQ=WEEKLY;BYDAY=WE,SA", skips=("2026-06-10",))],
                   [run("2026-05-30T09:30")])
    loads, missed = expected(state, NOW, 14)
    assert days(loads) == ["2026-06-03", "2026-06-06", "2026-06-13"]
    assert {(load.name, load.litres, load.planned) for load in loads} == {("towels", 68.0, True)}
    assert missed == ()


# The night of each change: zone, day before it, UTC of 09:00 before and after (tz database 2025).
CHANGES = (
    ("America/Los_Angeles", "2026-03-07", "17:00", "16:00"),   # 8 March, forward
    ("America/Los_Angeles", "2026-10-31", "16:00", "17:00"),   # 1 November, back
    ("Europe/Berlin", "2026-03-28", "08:00", "07:00"),         # 29 March, forward
    ("Europe/Berlin", "2026-10-24", "07:00", "08:00"),         # 25 October, back
    ("Australia/Lord_Howe", "2026-04-04", "22:00", "22:30"),   # 5 April, back by half an hour
    ("Australia/Lord_Howe", "2026-10-03", "22:30", "22:00"),   # 4 October, forward by half an hour
)


@pytest.mark.parametrize(("zone", "before", "utc_before", "utc_after"), CHANGES)
def test_the_wall_clock_time_is_kept_over_both_changes_of_the_clock(zone, before, utc_before, utc_after):
    early = datetime(2025, 1, 1, tzinfo=UTC)
    facts = household(zone=zone, when=early)
    first = date.fromisoformat(before)
    state = folded(facts, [planned(f"{before}T09:00", "FREQ=DAILY", zone=zone, when=early)],
                   now=datetime(2027, 1, 1, tzinfo=UTC))
    now = datetime.combine(first, datetime.min.time(), UTC) - timedelta(hours=13)
    loads, _ = expected(state, now, 3)
    by_day = {load.day: load for load in loads}
    for day, utc in ((first, utc_before), (first + timedelta(days=1), utc_after)):
        assert local(by_day[day].when, zone).strftime("%H:%M") == "09:00"
        assert by_day[day].when.strftime("%H:%M") == utc


def test_a_wall_time_that_does_not_exist_moves_forward_and_a_doubled_one_is_the_first():
    gap = folded(household(), [planned("2026-03-08T02:30")])
    loads, _ = expected(gap, datetime(2026, 3, 7, 20, tzinfo=UTC), 3)
    assert [load.when.isoformat() for load in loads] == ["2026-03-08T10:30:00+00:00"]
    doubled = folded(household(), [planned("2026-11-01T01:30")])
    loads, _ = expected(doubled, datetime(2026, 10, 31, 20, tzinfo=UTC), 3)
    assert [load.when.isoformat() for load in loads] == ["2026-11-01T08:30:00+00:00"]


def test_29_february_and_month_ends_are_not_invented():
    state = folded(household(), [planned("2024-02-29T09:00", "FREQ=YEARLY", name="leap"),
                                 planned("2024-01-31T09:00", "FREQ=MONTHLY", name="ends")])
    assert expected(state, datetime(2027, 2, 20, 12, tzinfo=UTC), 14)[0] == ()
    loads, _ = expected(state, datetime(2028, 2, 25, 12, tzinfo=UTC), 8)
    assert days(loads) == ["2028-02-29"]
    loads, _ = expected(state, datetime(2027, 3, 25, 12, tzinfo=UTC), 8)
    assert days(loads) == ["2027-03-31"]


@pytest.mark.parametrize("every", ["FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30", "FREQ=DAILY;BYMONTH=4;BYMONTHDAY=31"])
def test_a_rule_that_never_occurs_expects_nothing(every):
    state = folded(household(), [planned("2026-03-07T09:00", every)])
    assert expected(state, NOW, 14) == ((), ())


def test_a_rule_that_cannot_be_followed_is_told_and_left_out():
    state = folded(household(), [planned("2026-03-07T09:00", "FREQ=SOMETIMES"),
                                 planned("2026-03-07T09:00", "FREQ=SECONDLY", name="dense"),
                                 planned("not a time", name="untimed")])
    assert expected(state, NOW, 14) == ((), ())
    problems = rule_problems(state, NOW)
    assert len(problems) == 3
    assert all(word in problem.text for word, problem in zip(("FREQ", "dense", "untimed"), problems, strict=True))
    assert all("plan-load" in str(problem.way_out) for problem in problems)


# planned at 09:00 on Tuesday 2 June; now is Wednesday 3 June 08:00: what runs, is it still expected, is it missed
FULFILMENT = (
    ("nothing run", [], ["2026-06-03"], 0),
    ("run in time", [run("2026-06-02T09:40")], [], 0),
    ("run the evening before", [run("2026-06-01T21:00")], [], 0),
    ("run 35 hours early", [run("2026-05-31T22:00")], [], 0),
    ("run 37 hours early", [run("2026-05-31T20:00")], ["2026-06-03"], 0),
    ("another load run", [run("2026-06-02T09:40", load="diapers", to="sewer")], ["2026-06-03"], 0),
)


@pytest.mark.parametrize(("case", "runs", "still", "missing"), FULFILMENT, ids=[f[0] for f in FULFILMENT])
def test_what_is_run_near_a_planned_load_fulfils_it(case, runs, still, missing):
    state = folded(household(), [planned("2026-06-02T09:00")], runs)
    loads, missed = expected(state, NOW, 3)
    assert [load.day.isoformat() for load in loads if load.planned] == still
    assert len(missed) == missing


def test_one_run_fulfils_one_planned_load_the_nearest():
    state = folded(household(), [planned("2026-06-01T09:00", "FREQ=DAILY;COUNT=3")], [run("2026-06-02T08:00")])
    loads, missed = expected(state, NOW, 3)
    # Tuesday's is run; Monday's is 47 hours ago and missed; Wednesday's is to come
    assert days(loads) == ["2026-06-03"]
    assert [m.day.isoformat() for m in missed] == ["2026-06-01"]


def test_a_planned_load_run_early_is_not_expected_again():
    state = folded(household(), [planned("2026-06-04T09:00")], [run("2026-06-03T07:30")])
    assert expected(state, NOW, 7) == ((), ())


def test_missed_loads_are_told_for_two_weeks_and_not_from_before_they_were_planned():
    rule = "FREQ=WEEKLY;BYDAY=MO"
    _, missed = expected(folded(household(), [planned("2026-05-04T09:00", rule)]), NOW, 7)
    assert [m.day.isoformat() for m in missed] == ["2026-05-25", "2026-06-01"]
    late = planned("2026-05-04T09:00", rule, when=datetime(2026, 5, 30, tzinfo=UTC))
    _, missed = expected(folded(household(), [late]), NOW, 7)
    assert [m.day.isoformat() for m in missed] == ["2026-06-01"]


def test_the_habit_of_eight_weeks_stands_in_for_what_is_not_planned():
    state = folded(household(), habit(weekdays=(1, 5)))
    loads, _ = expected(state, NOW, 14)
    assert days(loads) == ["2026-06-06", "2026-06-09", "2026-06-13", "2026-06-16"]
    assert {(load.name, load.litres, load.planned) for load in loads} == {("towels", 68.0, False)}
    assert {local(load.when, state.zone).strftime("%H:%M") for load in loads} == {"10:00"}


def test_loads_older_than_eight_weeks_are_no_habit():
    old = [run(f"2026-03-{day:02d}T10:00") for day in range(2, 30)]
    assert expected(folded(household(), old), NOW, 14) == ((), ())


def test_a_load_named_in_a_plan_does_not_count_as_habit_too_but_others_do():
    other = [run(f"2026-05-{day:02d}T18:00", load=None) for day in (8, 15, 22, 29)]
    state = folded(household(), habit(weekdays=(1,)), other, [planned("2026-06-04T09:00", "FREQ=WEEKLY")])
    loads, _ = expected(state, NOW, 7)
    assert [(load.day.isoformat(), load.name, load.planned) for load in loads] == [
        ("2026-06-04", "towels", True), ("2026-06-05", "a load", False)]


def test_todays_habit_is_less_what_was_run_already():
    wednesdays = habit(weekdays=(2,))
    assert days(expected(folded(household(), wednesdays), NOW, 1)[0]) == ["2026-06-03"]
    assert expected(folded(household(), wednesdays, [run("2026-06-03T07:00")]), NOW, 1)[0] == ()


def test_nothing_is_expected_of_an_empty_history():
    assert expected(folded(household()), NOW, 14) == ((), ())
    assert expected(folded([]), NOW, 14) == ((), ())


@pytest.mark.parametrize("number", [0, -3])
def test_a_number_of_days_that_cannot_be_looked_ahead_is_refused(number):
    with pytest.raises(BadInput, match="days to look ahead"):
        expected(folded(household()), NOW, number)


def test_the_water_of_a_usual_load_comes_from_itself_its_washer_or_the_front_loaders_figure():
    state = folded(household())
    assert usual_litres(state, "towels") == 68.0
    assert usual_litres(folded([]), None) == pytest.approx(15 * 3.785411784)


@given(st.lists(st.floats(0, 5), min_size=7, max_size=7))
@settings(max_examples=60, deadline=None)
def test_whole_loads_keep_the_weeks_total_and_stay_within_one_of_the_mean(means):
    loads = whole_loads(means)
    assert abs(sum(loads) - sum(means)) <= 0.5 + 1e-6
    assert all(abs(load - mean) <= 1 + 1e-6 for load, mean in zip(loads, means, strict=True))
    assert all(load == 0 for load, mean in zip(loads, means, strict=True) if mean == 0)


def test_the_state_before_setup_is_untouched_by_looking_ahead():
    state = folded(household(), habit())
    before = (len(state.loads), dict(state.planned_loads))
    expected(state, NOW, 30)
    assert (len(state.loads), dict(state.planned_loads)) == before
