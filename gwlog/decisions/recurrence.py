"""When a planned load comes round again: its recurrence rule expanded on naive wall time, within a window.

A general library searches to the end of the calendar for a rule that never occurs; here nothing is looked at beyond
the window. The tests compare it with the examples of RFC 5545 and with python-dateutil.
"""

from __future__ import annotations

from calendar import isleap, monthrange
from collections.abc import Iterator
from datetime import date, datetime, time, timedelta

from gwlog.decisions.recurrence_rule import Rule, RuleRefused, canonical, parse
from gwlog.errors import BadInput
from gwlog.values import dataclass

STEPS_LIMIT = 60_000
"""Periods looked at before a rule is refused: 160 years of days, and far more than any laundry does."""

SEARCHED_DAYS = 366 * 28
"""Days looked at for a rule's first occurrence: weekdays and leap years come round in 28 years."""

def accepted(text: str, starts: datetime, zone: str) -> str:
    """The rule in its canonical writing, where it can be read and comes round at all from `starts` (naive wall time).

    Raises RuleRefused. Every way in to the logbook goes through here.
    """
    if first(parse(text, zone), starts) is None:
        raise RuleRefused(text, "never", f"it never comes to a day after {starts:%Y-%m-%d}",
                          "a rule that comes round at least once")
    return canonical(text)


def first(rule: Rule, starts: datetime) -> datetime | None:
    """The first naive wall time from `starts` on at which the rule comes round.

    None where it never does: not by its UNTIL, nor within SEARCHED_DAYS days that the rule might pick from.
    """
    looked = 0
    for period in _periods(rule, starts, starts):
        moment = next((one for one in _moments(rule, starts, period) if one >= starts), None)
        if moment is not None:
            return moment if rule.until is None or moment <= rule.until else None
        looked += len(period.days)
        if looked >= SEARCHED_DAYS or (rule.until is not None and period.begins > rule.until):
            return None
    return None


def occurrences(rule: Rule | None, starts: datetime, first: datetime, last: datetime) -> list[datetime]:
    """The naive wall times at which a load that `starts` then comes round, `first` <= t < `last`.

    Without a rule it happens once. Raises BadInput where more than STEPS_LIMIT periods would have to be looked at.
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
        else:
            length = 7 if frequency == "WEEKLY" else 1
            head = day - timedelta((day.weekday() - rule.week_start) % 7) if length == 7 else day
            head += timedelta((ahead.date() - head).days // (step * length) * step * length)
            while True:
                yield _Period(datetime.combine(head, time()), tuple(head + timedelta(n) for n in range(length)))
                head += timedelta(step * length)
    except (ValueError, OverflowError):  # the end of the calendar
        return


def _moments(rule: Rule, starts: datetime, period: _Period) -> list[datetime]:
    numbers = rule.numbers
    days = [day for day in period.days if _day_fits(rule, starts, day)]
    if not days:
        return []
    hours, minutes, seconds = (sorted(set(numbers.get(key, (own,)))) for key, own in (
        ("BYHOUR", starts.hour), ("BYMINUTE", starts.minute), ("BYSECOND", starts.second)))
    moments = [datetime.combine(day, time(hour, minute, second))
               for day in days for hour in hours for minute in minutes for second in seconds]
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
