"""When a planned load comes round again: RFC 5545 recurrence rules on wall time, within a window.

Written for one purpose that a general library does not serve: a rule that never occurs must not search to the
end of the calendar, so nothing is looked at beyond the window. Checked against python-dateutil in the tests.
"""

from __future__ import annotations

import re
from calendar import isleap, monthrange
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta

from gwlog.clock import zone as zone_info
from gwlog.errors import BadInput

STEPS_LIMIT = 60_000
"""Periods looked at before a rule is refused: 160 years of days, and far more than any laundry does."""

_FREQUENCIES = ("YEARLY", "MONTHLY", "WEEKLY", "DAILY", "HOURLY", "MINUTELY", "SECONDLY")
_DAYS = {"MO": 0, "TU": 1, "WE": 2, "TH": 3, "FR": 4, "SA": 5, "SU": 6}
_BY_DAY = re.compile(r"([-+]?\d{1,2})?(MO|TU|WE|TH|FR|SA|SU)")
_UNITS = {"HOURLY": 3600, "MINUTELY": 60, "SECONDLY": 1}
# part -> (least, greatest, whether negative values count from the end)
_NUMBERS = {
    "BYMONTH": (1, 12, False), "BYMONTHDAY": (1, 31, True), "BYYEARDAY": (1, 366, True),
    "BYWEEKNO": (1, 53, True), "BYSETPOS": (1, 366, True),
    "BYHOUR": (0, 23, False), "BYMINUTE": (0, 59, False), "BYSECOND": (0, 59, False),
}


@dataclass(frozen=True, slots=True)
class Rule:
    """A parsed recurrence rule; `numbers` holds the BY... lists, `by_day` pairs of (ordinal or 0, weekday)."""

    frequency: str
    interval: int = 1
    count: int | None = None
    until: datetime | None = None
    week_start: int = 0
    by_day: tuple[tuple[int, int], ...] = ()
    numbers: dict[str, tuple[int, ...]] = field(default_factory=dict)


def parse(text: str, zone: str = "UTC") -> Rule:
    """Read a rule like FREQ=WEEKLY;BYDAY=SA. `zone`: where an UNTIL in UTC is turned into wall time.

    Raises BadInput naming the part that cannot be used and what is accepted.
    """
    parts: dict[str, str] = {}
    for piece in text.strip().upper().removeprefix("RRULE:").rstrip(";").split(";"):
        key, equals, value = piece.partition("=")
        if not equals or not value or key in parts:
            raise _refused(text, f"the part “{piece[:30]}”", "each part once, as NAME=VALUE")
        parts[key] = value
    frequency = parts.pop("FREQ", "")
    if frequency not in _FREQUENCIES:
        raise _refused(text, f"FREQ “{frequency[:20]}”", "one of " + ", ".join(_FREQUENCIES))
    interval = _whole(text, "INTERVAL", parts.pop("INTERVAL", "1"), 1, 10_000)
    counted = parts.pop("COUNT", None)
    ends = parts.pop("UNTIL", None)
    if counted is not None and ends is not None:
        raise _refused(text, "COUNT with UNTIL", "only one of the two")
    count = None if counted is None else _whole(text, "COUNT", counted, 1, 1_000_000)
    until = None if ends is None else _until(text, ends, zone)
    start = parts.pop("WKST", "MO")
    if start not in _DAYS:
        raise _refused(text, f"WKST “{start[:20]}”", "one of " + ", ".join(_DAYS))
    by_day = []
    for word in parts.pop("BYDAY", "").split(","):
        found = _BY_DAY.fullmatch(word)
        if found:
            by_day.append((int(found[1] or 0), _DAYS[found[2]]))
        elif word:
            raise _refused(text, f"BYDAY “{word[:20]}”", "days like MO or -1FR")
    if any(nth for nth, _ in by_day) and frequency not in ("YEARLY", "MONTHLY"):
        raise _refused(text, "BYDAY with a number", "numbered days only with FREQ=MONTHLY or YEARLY")
    numbers = {}
    for key, value in parts.items():
        if key not in _NUMBERS:
            raise _refused(text, f"the part “{key[:30]}”", "FREQ, INTERVAL, COUNT, UNTIL, WKST, BYDAY and "
                           + ", ".join(_NUMBERS))
        low, high, negative = _NUMBERS[key]
        read = tuple(_whole(text, key, word, -high if negative else low, high) for word in value.split(","))
        if negative and 0 in read:
            raise _refused(text, f"{key} 0", f"{low} to {high}, or from the end -1 to -{high}")
        numbers[key] = read
    return Rule(frequency, interval, count, until, _DAYS[start], tuple(by_day), numbers)


def _refused(text: str, what: str, accepted: str) -> BadInput:
    return BadInput(f"The rule “{text[:60]}” cannot be used: {what}; accepted: {accepted}.",
                    hint="A rule looks like FREQ=WEEKLY;BYDAY=SA or FREQ=DAILY;INTERVAL=2.")


def _whole(text: str, key: str, word: str, low: int, high: int) -> int:
    if not re.fullmatch(r"[-+]?\d{1,7}", word) or not low <= int(word) <= high:
        raise _refused(text, f"{key} “{word[:20]}”", f"whole numbers from {low} to {high}")
    return int(word)


def _until(text: str, word: str, zone: str) -> datetime:
    try:
        if "T" not in word:
            return datetime.combine(datetime.strptime(word, "%Y%m%d").date(), time(23, 59, 59))  # noqa: DTZ007
        wall = datetime.strptime(word.rstrip("Z"), "%Y%m%dT%H%M%S")  # noqa: DTZ007
    except ValueError:
        raise _refused(text, f"UNTIL “{word[:20]}”", "20260501 or 20260501T090000Z") from None
    if word.endswith("Z"):
        wall = wall.replace(tzinfo=UTC).astimezone(zone_info(zone)).replace(tzinfo=None)
    return wall


def occurrences(rule: Rule | None, starts: datetime, first: datetime, last: datetime) -> list[datetime]:
    """The naive wall times at which a load that `starts` then comes round, `first` <= t < `last`.

    Without a rule it happens once. Raises BadInput when the rule is too dense to be a laundry's.
    """
    if rule is None:
        return [starts] if first <= starts < last else []
    if starts >= last:
        return []
    # Counted rules have to be counted from the beginning; the others can skip ahead to the window.
    ahead = starts if rule.count is not None else max(starts, first)
    found: list[datetime] = []
    counted = steps = 0
    for period in _periods(rule, starts, ahead):
        steps += 1
        if steps > STEPS_LIMIT:
            raise BadInput("A recurrence rule is too dense or too far back to be followed.",
                           hint="Start it closer to today, or use FREQ=DAILY or WEEKLY.")
        moments = _moments(rule, starts, period)
        for moment in moments:
            if moment < starts:
                continue
            if moment >= last or (rule.until is not None and moment > rule.until):
                return found
            counted += 1
            if moment >= first:
                found.append(moment)
            if rule.count is not None and counted >= rule.count:
                return found
        if period.begins >= last:
            return found
    return found


@dataclass(frozen=True, slots=True)
class _Period:
    begins: datetime
    days: tuple[date, ...]


def _periods(rule: Rule, starts: datetime, ahead: datetime) -> Iterator[_Period]:
    """One period of the rule after the other, from the one that holds `ahead` or ends before it."""
    step, frequency, day = rule.interval, rule.frequency, starts.date()
    try:
        if frequency == "YEARLY":
            year = day.year + (ahead.year - day.year) // step * step
            while True:
                new_year = date(year, 1, 1)
                days = tuple(new_year + timedelta(n) for n in range(366 if isleap(year) else 365))
                yield _Period(datetime.combine(new_year, time()), days)
                year += step
        elif frequency == "MONTHLY":
            month = day.year * 12 + day.month - 1
            month += (ahead.year * 12 + ahead.month - 1 - month) // step * step
            while True:
                head = date(month // 12, month % 12 + 1, 1)
                days = tuple(head.replace(day=n + 1) for n in range(monthrange(head.year, head.month)[1]))
                yield _Period(datetime.combine(head, time()), days)
                month += step
        elif frequency in ("WEEKLY", "DAILY"):
            length = 7 if frequency == "WEEKLY" else 1
            head = day - timedelta((day.weekday() - rule.week_start) % 7) if length == 7 else day
            head += timedelta((ahead.date() - head).days // (step * length) * step * length)
            while True:
                yield _Period(datetime.combine(head, time()), tuple(head + timedelta(n) for n in range(length)))
                head += timedelta(step * length)
        else:
            seconds = _UNITS[frequency] * step
            moment = starts + timedelta(seconds=int((ahead - starts).total_seconds()) // seconds * seconds)
            while True:
                yield _Period(moment, (moment.date(),))
                moment += timedelta(seconds=seconds)
    except (ValueError, OverflowError):  # the end of the calendar
        return


def _moments(rule: Rule, starts: datetime, period: _Period) -> list[datetime]:
    numbers = rule.numbers
    days = [day for day in period.days if _day_fits(rule, starts, day)]
    if not days:
        return []
    fixed = {"HOURLY": 1, "MINUTELY": 2, "SECONDLY": 3}.get(rule.frequency, 0)
    columns = []
    for place, (key, own, now) in enumerate((("BYHOUR", starts.hour, period.begins.hour),
                                             ("BYMINUTE", starts.minute, period.begins.minute),
                                             ("BYSECOND", starts.second, period.begins.second))):
        wanted = numbers.get(key)
        if place < fixed:
            if wanted is not None and now not in wanted:
                return []
            columns.append([now])
        else:
            columns.append(sorted(set(wanted)) if wanted is not None else [own])
    moments = [datetime.combine(day, time(hour, minute, second))
               for day in days for hour in columns[0] for minute in columns[1] for second in columns[2]]
    places = numbers.get("BYSETPOS")
    if places is None:
        return moments
    size = len(moments)
    picked = {place - 1 if place > 0 else size + place for place in places}
    return [moment for index, moment in enumerate(moments) if index in picked]


def _day_fits(rule: Rule, starts: datetime, day: date) -> bool:
    numbers, frequency = rule.numbers, rule.frequency
    months, month_days = numbers.get("BYMONTH"), numbers.get("BYMONTHDAY")
    anchored = bool(rule.by_day) or any(k in numbers for k in ("BYMONTHDAY", "BYYEARDAY", "BYWEEKNO"))
    if not anchored:  # RFC 5545 section 3.3.10: what the rule leaves open comes from the start
        if frequency == "WEEKLY" and day.weekday() != starts.weekday():
            return False
        if frequency in ("MONTHLY", "YEARLY"):
            month_days = (starts.day,)
            if frequency == "YEARLY" and months is None:
                months = (starts.month,)
    if months is not None and day.month not in months:
        return False
    if month_days is not None:
        length = monthrange(day.year, day.month)[1]
        if day.day not in month_days and day.day - length - 1 not in month_days:
            return False
    year_length = 366 if isleap(day.year) else 365
    of_year = day.timetuple().tm_yday
    year_days = numbers.get("BYYEARDAY")
    if year_days is not None and of_year not in year_days and of_year - year_length - 1 not in year_days:
        return False
    weeks = numbers.get("BYWEEKNO")
    if weeks is not None and not _week_fits(day, rule.week_start, weeks):
        return False
    return not rule.by_day or any(_weekday_fits(rule, day, of_year, year_length, nth, weekday)
                                  for nth, weekday in rule.by_day)


def _weekday_fits(rule: Rule, day: date, of_year: int, year_length: int, nth: int, weekday: int) -> bool:
    if day.weekday() != weekday:
        return False
    if nth == 0:
        return True
    if rule.frequency == "YEARLY" and "BYMONTH" not in rule.numbers:
        place, length = of_year, year_length
    else:
        place, length = day.day, monthrange(day.year, day.month)[1]
    return (place - 1) // 7 + 1 == nth if nth > 0 else -((length - place) // 7 + 1) == nth


def _week_fits(day: date, week_start: int, weeks: tuple[int, ...]) -> bool:
    """Whether a day lies in one of the numbered weeks of its own year (week 1 holds at least four days of it)."""
    first = _first_week(day.year, week_start)
    number = (day - first).days // 7 + 1
    total = (_first_week(day.year + 1, week_start) - first).days // 7
    return 1 <= number <= total and (number in weeks or number - total - 1 in weeks)


def _first_week(year: int, week_start: int) -> date:
    new_year = date(year, 1, 1)
    back = (new_year.weekday() - week_start) % 7
    start = new_year - timedelta(back)
    return start if 7 - back >= 4 else start + timedelta(7)
