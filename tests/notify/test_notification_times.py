"""The moments of a reminder: leads, mornings and evenings by the wall clock, also where the clocks change."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gwlog.clock import attach, local
from gwlog.decisions.notification_times import Quiet, Times, due_telling, lead, next_moment, tellings
from gwlog.decisions.reminder_model import Timing
from gwlog.decisions.reminders import Reminder
from gwlog.errors import BadInput

HOUR = timedelta(hours=1)
NIGHT = Quiet(time(22), time(7))
# Both changes of the clocks: two zones of the northern hemisphere, one of the southern whose change is half an hour.
CHANGES = [
    ("America/Los_Angeles", date(2026, 3, 8)), ("America/Los_Angeles", date(2026, 11, 1)),
    ("Europe/Lisbon", date(2026, 3, 29)), ("Europe/Lisbon", date(2026, 10, 25)),
    ("Australia/Lord_Howe", date(2026, 4, 5)), ("Australia/Lord_Howe", date(2026, 10, 4)),
]


def reminder(due: datetime, timing: Timing = "ahead of a load", state: str = "soon") -> Reminder:
    return Reminder("valve to sewer|whites|x", "valve to sewer", "whites", due, state, "Turn it.", None,  # type: ignore[arg-type]
                    timing)


@pytest.mark.parametrize(("zone", "day"), CHANGES)
def test_no_telling_is_lost_doubled_or_an_hour_off_when_the_clocks_change(zone: str, day: date) -> None:
    for offset in (-1, 0, 1):
        for hour in (0, 1, 2, 3, 4, 9, 20):
            due = attach(datetime.combine(day + timedelta(days=offset), time(hour, 30)), zone)
            evening, ahead = tellings(reminder(due), Times(), zone)
            assert due - ahead.moment == HOUR
            assert local(evening.moment, zone).time() == time(19)
            assert local(evening.moment, zone).date() == local(due, zone).date() - timedelta(days=1)
            midnight = attach(datetime.combine(local(due, zone).date(), time()), zone)
            (morning,) = tellings(reminder(midnight, "that morning"), Times(), zone)
            assert (local(morning.moment, zone).time(), local(morning.moment, zone).date()) == \
                (time(8), local(due, zone).date())
            told, now = [], due - timedelta(days=2)
            while now <= due:   # minute by minute would be the same: each telling becomes due at its own moment
                one = due_telling(reminder(due), now, Times(), zone)
                if one is not None and one.label not in told:
                    assert now - one.moment < timedelta(minutes=15)
                    told.append(one.label)
                now += timedelta(minutes=15)
            assert told == ["evening before", "60 minutes before"]


@pytest.mark.parametrize(("zone", "day"), CHANGES)
def test_quiet_hours_end_by_the_wall_clock_when_it_changes(zone: str, day: date) -> None:
    midnight = attach(datetime.combine(day, time(0, 30)), zone)
    spell = NIGHT.spell(midnight, zone)
    assert spell is not None
    assert [local(moment, zone).time() for moment in spell] == [time(22), time(7)]
    assert NIGHT.spell(spell[1], zone) is None and NIGHT.spell(spell[1] - timedelta(seconds=1), zone) is not None


@settings(max_examples=60)
@given(st.datetimes(datetime(2026, 1, 1), datetime(2027, 12, 31)),  # noqa: DTZ001 - wall times
       st.sampled_from([zone for zone, _ in CHANGES]),
       st.times(), st.times(), st.sampled_from(["ahead of a load", "that morning", "the evening before", "at once"]))
def test_nothing_is_told_in_quiet_hours_and_no_load_is_told_too_late(
        wall: datetime, zone: str, start: time, end: time, timing: Timing) -> None:
    start, end = start.replace(second=0, microsecond=0), end.replace(second=0, microsecond=0)
    if start == end:
        return
    due, quiet = attach(wall.replace(second=0, microsecond=0), zone), Quiet(start, end)
    for one in tellings(reminder(due, timing), Times(), zone, quiet):
        assert quiet.spell(one.moment, zone) is None or quiet.spell(one.moment, zone) == (one.moment, one.moment) or \
            _just_before(quiet, one.moment, zone)
        if timing == "ahead of a load":
            assert one.moment <= due
    after = next_moment([reminder(due, timing)], due - timedelta(days=3), Times(), zone, quiet)
    assert after is not None and after > due - timedelta(days=3)


def _just_before(quiet: Quiet, moment: datetime, zone: str) -> bool:
    """Quiet hours that touch a gap or a doubled hour of the clocks."""
    around = [local(moment + step, zone).utcoffset() for step in (-3 * HOUR, 3 * HOUR)]
    return around[0] != around[1]


@pytest.mark.parametrize(("typed", "label"), [
    ("evening before", "evening before"), ("Evening  Before", "evening before"), ("1 hour", "60 minutes before"),
    ("60 minutes", "60 minutes before"), ("36 hours", "2160 minutes before"),
])
def test_a_lead_is_understood(typed: str, label: str) -> None:
    assert lead(typed).label == label


@pytest.mark.parametrize("typed", ["", "soon", "0 minutes", "37 hours", "-1 hour", "1 day", "1.5 hours", "9999 hours"])
def test_another_lead_is_refused_with_what_is_accepted(typed: str) -> None:
    with pytest.raises(BadInput, match="evening before"):
        lead(typed)


def test_what_was_missed_is_told_by_its_last_moment_alone() -> None:
    due = datetime(2026, 7, 17, 1, 0, tzinfo=UTC)
    assert due_telling(reminder(due), due - timedelta(days=2), Times(), "UTC") is None
    late = due_telling(reminder(due, state="overdue"), due + HOUR, Times(), "UTC")
    assert late is not None and late.label == "60 minutes before"
    # What is overdue ahead of its day (mulch below the code's minimum) is told at once, under the label it keeps.
    early = due_telling(reminder(due, "that morning", "overdue"), due - timedelta(days=9), Times(), "UTC")
    assert early is not None and early.label == "that morning"
