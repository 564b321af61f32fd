"""Moments typed by people, local days, and the hours that summer time takes and gives."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta, timezone

import pytest
from freezegun import freeze_time
from hypothesis import example, given, settings
from hypothesis import strategies as st

from gwlog import clock
from gwlog.errors import BadInput

LA, BERLIN, HOWE = "America/Los_Angeles", "Europe/Berlin", "Australia/Lord_Howe"
# Wednesday 6 May 2026, 12:30 in Los Angeles
PRESENT = datetime(2026, 5, 6, 19, 30, tzinfo=UTC)


def read(typed: str, zone: str = LA, **more: object) -> str:
    return clock.iso(clock.moment(typed, PRESENT, zone, **more))  # type: ignore[arg-type]


def test_now_is_the_only_reading_of_the_time() -> None:
    with freeze_time("2026-05-06T19:30:00Z"):
        assert clock.now() == PRESENT
        assert clock.now().tzinfo is UTC


TYPED = [
    ("now", LA, "2026-05-06T19:30:00Z"),
    ("today", LA, "2026-05-06T19:30:00Z"),
    ("today 7pm", LA, "2026-05-07T02:00:00Z"),
    ("7pm", LA, "2026-05-07T02:00:00Z"),
    ("18:30", BERLIN, "2026-05-06T16:30:00Z"),
    ("yesterday 18:30", LA, "2026-05-06T01:30:00Z"),
    ("Yesterday  at 18:30", LA, "2026-05-06T01:30:00Z"),
    ("yesterday", LA, "2026-05-05T19:00:00Z"),
    ("tue 7pm", LA, "2026-05-06T02:00:00Z"),
    ("wed 7am", LA, "2026-05-06T14:00:00Z"),
    ("last wednesday noon", LA, "2026-04-29T19:00:00Z"),
    ("next wed midnight", LA, "2026-05-13T07:00:00Z"),
    ("thu, 9", LA, "2026-04-30T16:00:00Z"),
    ("2 hours ago", LA, "2026-05-06T17:30:00Z"),
    ("3 days ago", LA, "2026-05-03T19:30:00Z"),
    ("90 min ago", LA, "2026-05-06T18:00:00Z"),
    ("2026-05-03", LA, "2026-05-03T19:00:00Z"),
    ("2026-5-3 8.15", LA, "2026-05-03T15:15:00Z"),
    ("2026-05-03T18:30", LA, "2026-05-04T01:30:00Z"),
    ("2026-05-03 18:30", LA, "2026-05-04T01:30:00Z"),
    ("2026-05-03t18:30:20", BERLIN, "2026-05-03T16:30:20Z"),
    ("2026-05-03T18:30Z", LA, "2026-05-03T18:30:00Z"),
    ("2026-05-03T18:30+02:00", LA, "2026-05-03T16:30:00Z"),
    ("2024-02-29 06:00", LA, "2024-02-29T14:00:00Z"),
    ("today 18:30:45", BERLIN, "2026-05-06T16:30:45Z"),
    ("12am", LA, "2026-05-06T07:00:00Z"),
    ("12pm", LA, "2026-05-06T19:00:00Z"),
]


# Wednesday 6 May 2026, 12:30; typed, what a household with US units reads, and what a metric one reads
HABITS = [
    ("tonight", "2026-05-06 21:00", None), ("tonight 9", "2026-05-06 21:00", None),
    ("tonight at 7:30", "2026-05-06 19:30", None), ("tonight 1am", "2026-05-07 01:00", None),
    ("this morning", "2026-05-06 08:00", None), ("this morning at 9", "2026-05-06 09:00", None),
    ("this afternoon", "2026-05-06 14:00", None), ("this evening 7", "2026-05-06 19:00", None),
    ("last night", "2026-05-05 21:00", None), ("last night 11", "2026-05-05 23:00", None),
    ("last night at 1am", "2026-05-06 01:00", None), ("yesterday 9am", "2026-05-05 09:00", None),
    ("yesterday morning", "2026-05-05 08:00", None), ("tue evening at 6:15", "2026-05-05 18:15", None),
    ("yesterday in the afternoon", "2026-05-05 14:00", None), ("tue night 11", "2026-05-05 23:00", None),
    ("next week", "2026-05-13 12:00", None), ("last week 9am", "2026-04-29 09:00", None),
    ("an hour ago", "2026-05-06 11:30", None), ("half an hour ago", "2026-05-06 12:00", None),
    ("in an hour", "2026-05-06 13:30", None), ("a day ago", "2026-05-05 12:30", None),
    ("3 days ago 9am", "2026-05-03 09:00", None), ("2 weeks ago at 18:30", "2026-04-22 18:30", None),
    ("apr 3", "2026-04-03 12:00", None), ("3 apr", "2026-04-03 12:00", None), ("april 3rd", "2026-04-03 12:00", None),
    ("dec 3", "2025-12-03 12:00", None), ("apr 3 9am", "2026-04-03 09:00", None),
    ("sept 3 2025", "2025-09-03 12:00", None),
    ("apr 3, 2025, 3:48 pm", "2025-04-03 15:48", None), ("april 3 18:30", "2026-04-03 18:30", None),
    ("wed, jun 10, 2026, 3:48 pm", "2026-06-10 15:48", None), ("wed 10 jun 2026, 15:48", "2026-06-10 15:48", None),
    ("tue 5 may 9 a.m.", "2026-05-05 09:00", None), ("feb 29", "2028-02-29 12:00", None),
    ("4/3 9am", "2026-04-03 09:00", "2026-03-04 09:00"), ("4/3/2025", "2025-04-03 12:00", "2025-03-04 12:00"),
    ("4/25 9am", "2026-04-25 09:00", "2026-04-25 09:00"), ("25/4", "2026-04-25 12:00", "2026-04-25 12:00"),
    ("25.4.2026 8:15", "2026-04-25 08:15", None), ("3.4.", "2026-04-03 12:00", None),
    ("4/3/26", "2026-04-03 12:00", "2026-03-04 12:00"),
    ("9am yesterday", "2026-05-05 09:00", None), ("7 pm on tue", "2026-05-05 19:00", None),
    ("this sun", "2026-05-10 12:00", None), ("last mon 8", "2026-05-04 08:00", None),
]


@pytest.mark.parametrize(("typed", "us", "metric"), HABITS)
def test_people_type_days_and_times_as_they_say_them(typed: str, us: str, metric: str | None) -> None:
    for zone, wanted in ((clock.Locale(LA, "us"), us), (clock.Locale(LA, "metric"), metric or us)):
        assert f"{clock.local(clock.moment(typed, PRESENT, zone), zone):%Y-%m-%d %H:%M}" == wanted


def test_a_date_looks_forward_in_plans() -> None:
    assert read("apr 3 9am", forward=True) == "2027-04-03T16:00:00Z"
    assert read("feb 29", forward=True) == "2028-02-29T20:00:00Z"


def test_before_the_usual_hour_this_morning_is_now() -> None:
    early = datetime(2026, 5, 6, 13, 45, tzinfo=UTC)
    assert clock.moment("this morning", early, LA) == early
    assert clock.moment("tomorrow morning", early, LA) == datetime(2026, 5, 7, 15, tzinfo=UTC)


@given(st.datetimes(datetime(1975, 1, 1), datetime(2190, 1, 1)), st.sampled_from(["us", "metric"]))   # noqa: DTZ001
def test_what_is_said_back_can_be_typed_again(wall: datetime, system: str) -> None:
    zone = clock.Locale("UTC", system)
    minute = wall.replace(second=0, microsecond=0, tzinfo=UTC)
    assert clock.moment(clock.echo(minute, zone), PRESENT, zone) == minute


@pytest.mark.parametrize(("typed", "says"), [
    ("tue, jun 10, 2026", "“tue, jun 10, 2026” does not fit: 2026-06-10 is a Wednesday."),
    ("feb 30", "“feb 30” is not a day of the calendar."), ("13/13", "“13/13” is not a day of the calendar."),
    ("someday", "Cannot read the time “someday”. Write it like “yesterday 6:30 pm”"), ("next", "Cannot read the time"),
    ("tonight perhaps", "Cannot read the time"), ("an hour ago 9am", "Cannot read the time"), ("mar", "Cannot read"),
    ("dec", "Cannot read"), ("ju 3", "Cannot read"), ("week", "Cannot read"), ("midnight morning", "Cannot read"),
])
def test_what_cannot_be_read_is_answered_in_one_plain_sentence(typed: str, says: str) -> None:
    with pytest.raises(BadInput) as refused:
        clock.moment(typed, PRESENT, clock.Locale(LA, "us"))
    assert str(refused.value).startswith(says)


@pytest.mark.parametrize(("typed", "zone", "utc"), TYPED)
def test_moments(typed: str, zone: str, utc: str) -> None:
    assert read(typed, zone) == utc


def test_a_weekday_looks_forward_in_plans() -> None:
    assert read("tue 7pm", forward=True) == "2026-05-13T02:00:00Z"
    assert read("wed 7pm", forward=True) == "2026-05-07T02:00:00Z"
    assert read("tomorrow", at=time(9)) == "2026-05-07T16:00:00Z"


REFUSED = [
    "", "   ", "soon", "25:00", "12:60", "18:30:99", "13pm", "0am", "t 7pm", "2026-02-29",
    "2026-13-01", "2026-02-30T10:00",
    "yesterday perhaps", "0001-01-01", "0001-01-01T00:00", "9999-12-31", "9999-12-31T23:59", "1969-12-31",
    "2201-01-01", "9999-12-31T23:59-12:00", "0001-01-01T00:00+12:00", "9999 weeks ago", "0000-01-01", "0",
    "2026-05-03T25:00", "T", "ago",
]


@pytest.mark.parametrize("typed", REFUSED)
@pytest.mark.parametrize("zone", [LA, "Pacific/Kiritimati"])
def test_what_is_no_moment_is_refused_with_words(typed: str, zone: str) -> None:
    with pytest.raises(BadInput) as refused:
        clock.moment(typed, PRESENT, zone)
    assert typed.strip()[:10].casefold() in str(refused.value).casefold()


# zone, wall time, UTC: in the gap the wall moves forward by it, a doubled hour is its first
CHANGES = [
    (LA, datetime.fromisoformat("2026-03-08T01:59"), "2026-03-08T09:59:00Z"),
    (LA, datetime.fromisoformat("2026-03-08T02:30"), "2026-03-08T10:30:00Z"),
    (LA, datetime.fromisoformat("2026-03-08T03:00"), "2026-03-08T10:00:00Z"),
    (LA, datetime.fromisoformat("2026-11-01T01:30"), "2026-11-01T08:30:00Z"),
    (LA, datetime.fromisoformat("2026-11-01T02:00"), "2026-11-01T10:00:00Z"),
    (BERLIN, datetime.fromisoformat("2026-03-29T02:30"), "2026-03-29T01:30:00Z"),
    (BERLIN, datetime.fromisoformat("2026-10-25T02:30"), "2026-10-25T00:30:00Z"),
    # Lord Howe Island shifts by half an hour
    (HOWE, datetime.fromisoformat("2026-10-04T02:15"), "2026-10-03T15:45:00Z"),
    (HOWE, datetime.fromisoformat("2026-04-05T01:45"), "2026-04-04T14:45:00Z"),
]


@pytest.mark.parametrize(("zone", "wall", "utc"), CHANGES)
def test_summer_time(zone: str, wall: datetime, utc: str) -> None:
    assert clock.iso(clock.attach(wall, zone)) == utc


def test_a_time_in_the_gap_is_shown_moved_forward() -> None:
    moved = clock.attach(datetime.fromisoformat("2026-03-08T02:30"), LA)
    assert clock.echo(moved, LA) == "Sun 8 Mar 2026, 03:30"
    assert clock.local(moved, LA).hour == 3


@pytest.mark.parametrize(("zone", "day", "utc"), [
    (LA, date(2026, 3, 8), "2026-03-08T08:00:00Z"),
    # Cairo's clocks go forward at midnight: the day starts at 01:00
    ("Africa/Cairo", date(2026, 4, 24), "2026-04-23T22:00:00Z"),
    # Havana's go back from 01:00 to 00:00: the first of the two midnights
    ("America/Havana", date(2026, 11, 1), "2026-11-01T04:00:00Z"),
    ("Pacific/Kiritimati", date(1970, 1, 1), "1970-01-01T10:40:00Z"),
])
def test_a_day_starts_at_its_first_moment(zone: str, day: date, utc: str) -> None:
    start = clock.day_start(day, zone)
    assert clock.iso(start) == utc
    assert clock.local_day(start, zone) == day
    assert clock.local_day(start - timedelta(seconds=1), zone) == day - timedelta(days=1)


@pytest.mark.parametrize("year", [1, 1969, 2201, 9999])
def test_years_out_of_range_are_bad_input(year: int) -> None:
    for zone in (LA, "Pacific/Kiritimati"):
        with pytest.raises(BadInput, match="1970 to 2200"):
            clock.attach(datetime.fromisoformat(f"{year:04}-01-01T00:00"), zone)
        with pytest.raises(BadInput, match="1970 to 2200"):
            clock.day_start(date(year, 12, 31), zone)


@pytest.mark.parametrize("name", [
    "", "Nowhere", "../../etc/passwd", "America", "\x00", "a" * 5000, "/etc/localtime", "\ud800",
])
def test_no_time_zone(name: str) -> None:
    with pytest.raises(BadInput, match="not a time zone"):
        clock.zone(name)


def test_households_write_days_and_times_in_their_own_way() -> None:
    # Units of the household choose. CLDR 44 writes en-US as “Wed, May 6, 2026, 12:30 PM”,
    # en-GB as “Wed, 6 May 2026, 12:30”
    us, day = clock.Locale(LA, "us"), date(2026, 5, 6)
    assert clock.echo(PRESENT, us) == "Wed, May 6, 2026, 12:30 pm"
    assert [clock.echo_hour(time(hour, 5), "us") for hour in (0, 9, 12, 23)] == \
        ["12:05 am", "9:05 am", "12:05 pm", "11:05 pm"]
    assert clock.echo_hour(time(9, 5), "metric") == "09:05"
    for said, english, metric in ((clock.echo_day, "Wed, May 6", "Wed 6 May"),
                                  (clock.echo_date, "Wed, May 6, 2026", "Wed 6 May 2026"),
                                  (clock.short_day, "May 6", "6 May"), (clock.short_date, "May 6, 2026", "6 May 2026"),
                                  (clock.long_date, "May 6, 2026", "6 May 2026")):
        assert (said(day, "us"), said(day, "metric")) == (english, metric)


def test_echoes() -> None:
    assert clock.echo(PRESENT, LA) == "Wed 6 May 2026, 12:30"
    assert clock.echo(PRESENT, BERLIN) == "Wed 6 May 2026, 21:30"
    assert clock.echo_day(date(2024, 2, 29), "metric") == "Thu 29 Feb"
    assert clock.iso(PRESENT.astimezone(timezone(timedelta(hours=5)))) == "2026-05-06T19:30:00Z"


WORDS = st.sampled_from([
    "today", "tomorrow", "yesterday", "last", "next", "tue", "fri", "at", "7pm", "12:30", "midnight", "ago", "3",
    "weeks", "2026-02-29", "0001-01-01", "9999-12-31", "9999-12-31T23:59", "T", "+14:00", "-12:00", "0", ",",
])
ZONES = st.sampled_from([LA, BERLIN, HOWE, "Pacific/Kiritimati", "Pacific/Apia", "UTC"])


@settings(max_examples=300)
@given(st.text(max_size=25) | st.lists(WORDS, max_size=4).map(" ".join), ZONES, st.booleans())
@example("9999-12-31T23:59-12:00", LA, True)
@example("١٢٣٤-٠١-٠١", LA, False)
def test_any_typed_text_gives_a_moment_or_bad_input(typed: str, zone: str, forward: bool) -> None:
    try:
        moment = clock.moment(typed, PRESENT, zone, forward=forward)
    except BadInput as refused:
        assert str(refused)
    else:
        assert moment.tzinfo is UTC
        assert 1969 <= moment.year <= 2201


@given(st.datetimes(datetime.fromisoformat("1970-01-01T00:00"), datetime.fromisoformat("2200-12-31T00:00")), ZONES)
def test_a_wall_time_comes_back_or_was_in_a_gap(wall: datetime, zone: str) -> None:
    back = clock.local(clock.attach(wall, zone), zone).replace(tzinfo=None)
    assert back >= wall
    # the longest gap: Apia left out 30 December 2011
    assert back - wall <= timedelta(hours=24)
