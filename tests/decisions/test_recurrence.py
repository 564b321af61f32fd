"""Recurrence rules: the standard's own examples, another implementation, and rules that never end or never occur."""

# ruff: noqa: DTZ001, DTZ901 -- rules run on wall time, which has no zone
from __future__ import annotations

import random
from datetime import date, datetime, timedelta

import pytest
from dateutil.rrule import rrulestr

from gwlog.decisions import recurrence
from gwlog.decisions.recurrence import accepted, first, occurrences
from gwlog.decisions.recurrence_rule import parse
from gwlog.errors import BadInput
from tests.steps import steps_of

START = datetime(1997, 9, 2, 9)

# RFC 5545 (September 2009), section 3.8.5.3: the examples that start on 2 September 1997, 09:00, unless a start is
# given. Each: rule, start, the beginning of the list printed there (days at 09:00 unless a moment is written).
EXAMPLES = (
    ("FREQ=DAILY;COUNT=10", START, "9/2 9/3 9/4 9/5 9/6 9/7 9/8 9/9 9/10 9/11 END"),
    ("FREQ=DAILY;INTERVAL=2", START, "9/2 9/4 9/6 9/8 9/10 9/12"),
    ("FREQ=DAILY;INTERVAL=10;COUNT=5", START, "9/2 9/12 9/22 10/2 10/12 END"),
    ("FREQ=WEEKLY;COUNT=10", START, "9/2 9/9 9/16 9/23 9/30 10/7 10/14 10/21 10/28 11/4 END"),
    ("FREQ=WEEKLY;UNTIL=19971224T000000Z", START,
     "9/2 9/9 9/16 9/23 9/30 10/7 10/14 10/21 10/28 11/4 11/11 11/18 11/25 12/2 12/9 12/16 12/23 END"),
    ("FREQ=WEEKLY;INTERVAL=2;WKST=SU", START, "9/2 9/16 9/30 10/14 10/28 11/11 11/25 12/9 12/23"),
    ("FREQ=WEEKLY;COUNT=10;WKST=SU;BYDAY=TU,TH", START, "9/2 9/4 9/9 9/11 9/16 9/18 9/23 9/25 9/30 10/2 END"),
    ("FREQ=WEEKLY;INTERVAL=2;UNTIL=19971224T000000Z;WKST=SU;BYDAY=MO,WE,FR", datetime(1997, 9, 1, 9),
     "9/1 9/3 9/5 9/15 9/17 9/19 9/29 10/1 10/3 10/13 10/15 10/17 10/27 10/29 10/31 11/10 11/12 11/14 11/24 11/26 "
     "11/28 12/8 12/10 12/12 12/22 END"),
    ("FREQ=WEEKLY;INTERVAL=2;COUNT=8;WKST=SU;BYDAY=TU,TH", START, "9/2 9/4 9/16 9/18 9/30 10/2 10/14 10/16 END"),
    ("FREQ=MONTHLY;COUNT=10;BYDAY=1FR", datetime(1997, 9, 5, 9),
     "9/5 10/3 11/7 12/5 1998/1/2 1998/2/6 1998/3/6 1998/4/3 1998/5/1 1998/6/5 END"),
    ("FREQ=MONTHLY;INTERVAL=2;COUNT=10;BYDAY=1SU,-1SU", datetime(1997, 9, 7, 9),
     "9/7 9/28 11/2 11/30 1998/1/4 1998/1/25 1998/3/1 1998/3/29 1998/5/3 1998/5/31 END"),
    ("FREQ=MONTHLY;COUNT=6;BYDAY=-2MO", datetime(1997, 9, 22, 9), "9/22 10/20 11/17 12/22 1998/1/19 1998/2/16 END"),
    ("FREQ=MONTHLY;BYMONTHDAY=-3", datetime(1997, 9, 28, 9), "9/28 10/29 11/28 12/29 1998/1/29 1998/2/26"),
    ("FREQ=MONTHLY;COUNT=10;BYMONTHDAY=2,15", START,
     "9/2 9/15 10/2 10/15 11/2 11/15 12/2 12/15 1998/1/2 1998/1/15 END"),
    ("FREQ=MONTHLY;COUNT=10;BYMONTHDAY=1,-1", datetime(1997, 9, 30, 9),
     "9/30 10/1 10/31 11/1 11/30 12/1 12/31 1998/1/1 1998/1/31 1998/2/1 END"),
    ("FREQ=MONTHLY;INTERVAL=18;COUNT=10;BYMONTHDAY=10,11,12,13,14,15", datetime(1997, 9, 10, 9),
     "9/10 9/11 9/12 9/13 9/14 9/15 1999/3/10 1999/3/11 1999/3/12 1999/3/13 END"),
    ("FREQ=MONTHLY;INTERVAL=2;BYDAY=TU", START, "9/2 9/9 9/16 9/23 9/30 11/4 11/11 11/18 11/25 1998/1/6"),
    ("FREQ=YEARLY;COUNT=10;BYMONTH=6,7", datetime(1997, 6, 10, 9),
     "6/10 7/10 1998/6/10 1998/7/10 1999/6/10 1999/7/10 2000/6/10 2000/7/10 2001/6/10 2001/7/10 END"),
    ("FREQ=YEARLY;INTERVAL=2;COUNT=10;BYMONTH=1,2,3", datetime(1997, 3, 10, 9),
     "3/10 1999/1/10 1999/2/10 1999/3/10 2001/1/10 2001/2/10 2001/3/10 2003/1/10 2003/2/10 2003/3/10 END"),
    ("FREQ=YEARLY;INTERVAL=3;COUNT=10;BYYEARDAY=1,100,200", datetime(1997, 1, 1, 9),
     "1/1 4/10 7/19 2000/1/1 2000/4/9 2000/7/18 2003/1/1 2003/4/10 2003/7/19 2006/1/1 END"),
    ("FREQ=YEARLY;BYDAY=20MO", datetime(1997, 5, 19, 9), "5/19 1998/5/18 1999/5/17"),
    ("FREQ=YEARLY;BYWEEKNO=20;BYDAY=MO", datetime(1997, 5, 12, 9), "5/12 1998/5/11 1999/5/17"),
    ("FREQ=YEARLY;BYMONTH=3;BYDAY=TH", datetime(1997, 3, 13, 9), "3/13 3/20 3/27 1998/3/5 1998/3/12 1998/3/19"),
    ("FREQ=YEARLY;BYDAY=TH;BYMONTH=6,7,8", datetime(1997, 6, 5, 9),
     "6/5 6/12 6/19 6/26 7/3 7/10 7/17 7/24 7/31 8/7 8/14 8/21 8/28 1998/6/4"),
    ("FREQ=MONTHLY;BYDAY=FR;BYMONTHDAY=13", START, "1998/2/13 1998/3/13 1998/11/13 1999/8/13 2000/10/13"),
    ("FREQ=MONTHLY;BYDAY=SA;BYMONTHDAY=7,8,9,10,11,12,13", datetime(1997, 9, 13, 9),
     "9/13 10/11 11/8 12/13 1998/1/10 1998/2/7 1998/3/7 1998/4/11 1998/5/9 1998/6/13"),
    ("FREQ=YEARLY;INTERVAL=4;BYMONTH=11;BYDAY=TU;BYMONTHDAY=2,3,4,5,6,7,8", datetime(1996, 11, 5, 9),
     "1996/11/5 2000/11/7 2004/11/2"),
    ("FREQ=MONTHLY;COUNT=3;BYDAY=TU,WE,TH;BYSETPOS=3", datetime(1997, 9, 4, 9), "9/4 10/7 11/6 END"),
    ("FREQ=MONTHLY;BYDAY=MO,TU,WE,TH,FR;BYSETPOS=-2", datetime(1997, 9, 29, 9),
     "9/29 10/30 11/27 12/30 1998/1/29 1998/2/26 1998/3/30"),
    ("FREQ=DAILY;BYHOUR=9,10,11,12,13,14,15,16;BYMINUTE=0,20,40", START, "9/2T9:00 9/2T9:20 9/2T9:40 9/2T10:00"),
    ("FREQ=WEEKLY;INTERVAL=2;COUNT=4;BYDAY=TU,SU;WKST=MO", datetime(1997, 8, 5, 9), "8/5 8/10 8/19 8/24 END"),
    ("FREQ=WEEKLY;INTERVAL=2;COUNT=4;BYDAY=TU,SU;WKST=SU", datetime(1997, 8, 5, 9), "8/5 8/17 8/19 8/31 END"),
    ("FREQ=MONTHLY;BYMONTHDAY=15,30;COUNT=5", datetime(2007, 1, 15, 9),
     "2007/1/15 2007/1/30 2007/2/15 2007/3/15 2007/3/30 END"),
)

# the standard's examples below a day, and denser ones still: no laundry is planned by the hour
BELOW_A_DAY = (
    "FREQ=HOURLY;INTERVAL=3;UNTIL=19970902T170000", "FREQ=MINUTELY;INTERVAL=15;COUNT=6",
    "FREQ=MINUTELY;INTERVAL=90;COUNT=4", "FREQ=MINUTELY;INTERVAL=20;BYHOUR=9,10,11,12,13,14,15,16", "FREQ=HOURLY",
    "FREQ=SECONDLY;COUNT=1000000", "FREQ=SECONDLY", "FREQ=secondly;interval=86400",
)


def moments(words):
    read = []
    for word in words.removesuffix(" END").split():
        day, _, at = word.partition("T")
        numbers = [int(n) for n in day.split("/")]
        year, month, of_month = numbers if len(numbers) == 3 else (1997, *numbers)
        hour, minute = (int(n) for n in at.split(":")) if at else (9, 0)
        read.append(datetime(year, month, of_month, hour, minute))
    return read


@pytest.mark.parametrize(("rule", "start", "listed"), EXAMPLES, ids=[f"{e[0]}@{e[1]:%m%d}" for e in EXAMPLES])
def test_RFC_5545_examples(rule, start, listed):
    wanted = moments(listed)
    ended = listed.endswith("END")
    until = datetime(2010, 1, 1) if ended else wanted[-1] + timedelta(seconds=1)
    assert occurrences(parse(rule, "America/New_York"), start, start, until) == wanted


def test_daily_in_january_written_two_ways_is_the_same():
    # RFC 5545 section 3.8.5.3: "every day in January, for 3 years"
    yearly = parse("FREQ=YEARLY;UNTIL=20000131T140000Z;BYMONTH=1;BYDAY=SU,MO,TU,WE,TH,FR,SA", "America/New_York")
    daily = parse("FREQ=DAILY;UNTIL=20000131T140000Z;BYMONTH=1", "America/New_York")
    start, late = datetime(1998, 1, 1, 9), datetime(2005, 1, 1)
    found = occurrences(yearly, start, start, late)
    assert found == occurrences(daily, start, start, late)
    assert len(found) == 93
    assert (found[0], found[-1]) == (datetime(1998, 1, 1, 9), datetime(2000, 1, 31, 9))


def random_rule(rng):
    frequency = rng.choice(["DAILY", "WEEKLY", "MONTHLY", "YEARLY"])
    parts = [f"FREQ={frequency}", f"INTERVAL={rng.choice([1, 1, 2, 3, 5])}"]
    if rng.random() < 0.3:
        parts.append(f"COUNT={rng.randint(1, 30)}")
    if rng.random() < 0.5:
        days = rng.sample(["MO", "TU", "WE", "TH", "FR", "SA", "SU"], rng.randint(1, 3))
        ordinal = frequency in ("MONTHLY", "YEARLY") and rng.random() < 0.4
        parts.append("BYDAY=" + ",".join(f"{rng.choice([1, 2, -1]) if ordinal else ''}{d}" for d in days))
    if rng.random() < 0.3:
        parts.append(f"BYMONTH={','.join(map(str, rng.sample(range(1, 13), 3)))}")
    if frequency != "WEEKLY" and rng.random() < 0.3:
        parts.append(f"BYMONTHDAY={','.join(map(str, rng.sample([1, 5, 13, 29, 30, 31, -1, -7], 2)))}")
    if frequency != "DAILY" and rng.random() < 0.2:
        parts.append(f"BYSETPOS={rng.choice([1, 2, -1])}")
    if rng.random() < 0.2:
        parts.append("BYHOUR=7,18")
    if rng.random() < 0.3:
        parts.append(f"WKST={rng.choice(['SU', 'MO', 'WE'])}")
    return ";".join(parts)


@pytest.mark.parametrize("seed", range(60))
def test_random_rules_against_dateutil(seed):
    rng = random.Random(seed)
    start = datetime(2019, 12, 20, 8, 30) + timedelta(days=rng.randrange(400))
    first = start + timedelta(days=rng.randrange(-10, 900))
    last = first + timedelta(days=200)
    rule = random_rule(rng)
    known = rrulestr(rule, dtstart=start)
    wanted = []
    for moment in known:
        if moment >= last:
            break
        if moment >= first:
            wanted.append(moment)
        if moment.year > 2030:
            break
    assert occurrences(parse(rule), start, first, last) == wanted, rule


def test_29_february_and_month_ends():
    rule = parse("FREQ=YEARLY")
    assert occurrences(rule, datetime(2024, 2, 29, 7), datetime(2025, 1, 1), datetime(2033, 1, 1)) == [
        datetime(2028, 2, 29, 7), datetime(2032, 2, 29, 7)]
    monthly = occurrences(parse("FREQ=MONTHLY"), datetime(2026, 1, 31, 7), datetime(2026, 1, 1), datetime(2027, 1, 1))
    assert [m.month for m in monthly] == [1, 3, 5, 7, 8, 10, 12]
    last_days = occurrences(parse("FREQ=MONTHLY;BYMONTHDAY=-1"), datetime(2027, 12, 31, 7), datetime(2028, 1, 1),
                            datetime(2028, 4, 1))
    assert [m.date() for m in last_days] == [date(2028, 1, 31), date(2028, 2, 29), date(2028, 3, 31)]


NEVER = (
    "FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30", "FREQ=DAILY;BYMONTH=2;BYMONTHDAY=31", "FREQ=MONTHLY;BYMONTHDAY=31;BYMONTH=4",
    "FREQ=WEEKLY;BYDAY=MO;BYSETPOS=5", "FREQ=MONTHLY;BYDAY=MO;BYSETPOS=9", "FREQ=DAILY;COUNT=3;BYMONTH=2;BYMONTHDAY=30",
)


@pytest.mark.parametrize("rule", NEVER)
def test_a_rule_that_never_occurs_gives_nothing_at_once(rule):
    start, late = datetime(2020, 1, 1, 9), datetime(2026, 2, 1)
    assert occurrences(parse(rule), start, datetime(2026, 1, 1), late) == []
    assert steps_of(lambda: occurrences(parse(rule), start, datetime(2026, 1, 1), late)) < 40_000
    assert first(parse(rule), start) is None
    assert steps_of(lambda: first(parse(rule), start)) < 200_000
    with pytest.raises(BadInput, match="never comes to a day after 2020-01-01"):
        accepted(rule, start, "UTC")


def test_a_rule_that_ended_before_its_start_never_comes_and_one_that_comes_rarely_does():
    assert first(parse("FREQ=WEEKLY;UNTIL=20250101"), datetime(2026, 3, 7, 9)) is None
    assert first(parse("FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=29"), datetime(2096, 3, 1, 9)) == datetime(2104, 2, 29, 9)
    assert first(parse("FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=29;BYDAY=MO"), datetime(2028, 1, 1, 9)) == \
        datetime(2044, 2, 29, 9)
    assert first(parse("FREQ=YEARLY;INTERVAL=5;BYMONTH=2;BYMONTHDAY=29"), datetime(2025, 1, 1, 9)) == \
        datetime(2040, 2, 29, 9)
    assert accepted(" rrule:freq=weekly;byday=sa; ", datetime(2026, 3, 7, 9), "UTC") == "FREQ=WEEKLY;BYDAY=SA"


def test_a_rule_that_never_ends_is_read_far_ahead_at_once():
    rule, window = parse("FREQ=DAILY"), (datetime(1970, 1, 1, 9), datetime(2099, 1, 1), datetime(2099, 1, 4))
    assert occurrences(rule, *window) == [datetime(2099, 1, day, 9) for day in (1, 2, 3)]
    assert steps_of(lambda: occurrences(rule, *window)) < 500


def test_the_steps_that_are_looked_at_are_counted_to_the_last(monkeypatch):
    """What the two tests above go by: one step less than it takes is refused."""
    monkeypatch.setattr(recurrence, "STEPS_LIMIT", 3)
    with pytest.raises(BadInput, match="too dense"):
        occurrences(parse("FREQ=DAILY"), datetime(1970, 1, 1, 9), datetime(2099, 1, 1), datetime(2099, 1, 4))


def test_the_end_of_the_calendar_is_not_passed():
    assert occurrences(parse("FREQ=YEARLY"), datetime(9998, 12, 31, 9), datetime(9998, 1, 1), datetime.max) == [
        datetime(9998, 12, 31, 9), datetime(9999, 12, 31, 9)]


@pytest.mark.parametrize("rule", BELOW_A_DAY)
def test_a_rule_below_a_day_is_refused_with_what_is_accepted_and_never_hangs(rule):
    with pytest.raises(BadInput) as refused:
        parse(rule)
    frequency = rule.upper().partition(";")[0].removeprefix("FREQ=")
    assert f"FREQ “{frequency}”; accepted: one of YEARLY, MONTHLY, WEEKLY, DAILY." in str(refused.value)
    assert steps_of(lambda: parse(rule)) < 500


def test_a_rule_too_dense_for_a_laundry_is_refused_and_never_hangs():
    second = f"BYHOUR={','.join(map(str, range(24)))};BYMINUTE={','.join(map(str, range(60)))}"
    for rule in (f"FREQ=DAILY;{second}", "FREQ=DAILY;BYHOUR=1,2,3,4,5;BYMINUTE=0,15,30,40,50"):
        with pytest.raises(BadInput, match=r"it comes [\d,]+ times on one day; accepted: up to 24 times a day"):
            parse(rule)
        assert steps_of(lambda rule=rule: parse(rule)) < 2_000
    with pytest.raises(BadInput, match="600 characters; accepted: up to 500"):
        parse("FREQ=DAILY;BYMONTH=" + ",".join("1" for _ in range(291))[:581])


def test_a_counted_rule_from_long_ago_is_refused_and_never_hangs():
    rule, window = parse("FREQ=DAILY;COUNT=1000000"), (datetime(1800, 1, 1), datetime(2026, 2, 1), datetime(2026, 4, 1))
    with pytest.raises(BadInput, match="too dense or too far back"):
        occurrences(rule, *window)
    assert steps_of(lambda: occurrences(rule, *window)) < 3_000_000


@pytest.mark.parametrize(("rule", "named"), [
    ("", "part"), ("WEEKLY", "part"), ("FREQ=FORTNIGHTLY", "FREQ"), ("FREQ=WEEKLY;BYDAY=XX", "BYDAY"),
    ("FREQ=WEEKLY;BYDAY=2MO", "BYDAY"), ("FREQ=DAILY;INTERVAL=0", "INTERVAL"), ("FREQ=DAILY;COUNT=-1", "COUNT"),
    ("FREQ=DAILY;COUNT=2;UNTIL=20260101", "COUNT with UNTIL"), ("FREQ=DAILY;UNTIL=tomorrow", "UNTIL"),
    ("FREQ=MONTHLY;BYMONTHDAY=0", "BYMONTHDAY"), ("FREQ=MONTHLY;BYMONTH=13", "BYMONTH"), ("FREQ=DAILY;MOON=1", "MOON"),
    ("FREQ=DAILY;FREQ=DAILY", "part"), ("FREQ=DAILY;WKST=X", "WKST"), ("FREQ=DAILY;INTERVAL=１²", "INTERVAL"),
])
def test_a_bad_rule_is_refused_by_name(rule, named):
    with pytest.raises(BadInput) as refused:
        parse(rule)
    assert named in str(refused.value)
