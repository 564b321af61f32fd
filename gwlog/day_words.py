"""Words with which people name a day and a time of day: “tonight”, “dec 3”, “11/25”, “last tue”, “3:48 pm”.

Pure: the present wall time and the household's order of month and day are arguments; `clock.moment` asks.
"""

from __future__ import annotations

import re
from datetime import date, datetime, time, timedelta

from gwlog.errors import BadInput

ACCEPTED = "“yesterday 6:30 pm”, “tue 7pm”, “2 hours ago”, “dec 3” or 2026-05-03"

_DAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_MONTHS = ("january", "february", "march", "april", "may", "june", "july", "august", "september", "october",
           "november", "december")
_PARTS = {"morning": time(8), "afternoon": time(14), "evening": time(19), "night": time(21)}
"""A part of the day, and the hour taken for it where none is said."""
SMALL_HOURS = 5
"""Before this hour a time of “last night” or “tonight” is of the day that follows."""

_ISO_DAY = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})")
_SLASHED = re.compile(r"(\d{1,2})/(\d{1,2})(?:/(\d{4}|\d{2}))?")
_DOTTED = re.compile(r"(\d{1,2})\.(\d{1,2})\.(\d{4}|\d{2})?")
_NAMED = re.compile(r"(?:(?P<month>[a-z]{3,9})\.? (?P<day>\d{1,2})|(?P<first>\d{1,2})\.? (?P<after>[a-z]{3,9})\.?)"
                    r"(?:st|nd|rd|th)?(?:,? (?P<year>\d{4})(?!\S*[:.]))?(?=,| |$)")
_TIME = re.compile(r"(\d{1,2})(?:[:.h](\d{2})(?::(\d{2}))?)?\s*(am|pm|a\.m\.|p\.m\.)?")
_TIME_FIRST = re.compile(r"(?:at )?(\d{1,2}(?:[:.h]\d{2})?(?: ?(?:am|pm|a\.m\.|p\.m\.))?|noon|midnight),? (?:on )?(.+)")
_LITTLE = re.compile(r"^(?:,|at\b|on\b|in the\b)\s*")


def wall(words: str, typed: str, here: datetime, *, system: str, forward: bool, at: time | None) -> datetime:
    """The local wall time that words name (lower case, single spaces). Raises BadInput naming what was typed."""
    day, rest = _day(words, here.date(), forward=forward, us=system == "us")
    if day is None:
        swapped = _TIME_FIRST.fullmatch(words)
        if swapped:
            day, left = _day(swapped[2], here.date(), forward=forward, us=system == "us")
            rest = f"{left} {swapped[1]}".strip() if day is not None else words
    rest, part = _part_of_day(rest, words)
    if day is None and not rest and part is None:
        raise unreadable(typed)
    said = _time(rest, typed, part) if rest else None
    found = day or here.date()
    if part == "night" and said is not None and said.hour < SMALL_HOURS:
        found += timedelta(days=1)
    if said is None:
        said = _usual_time(part, found, here, at)
    return datetime.combine(found, said)


def _usual_time(part: str | None, day: date, here: datetime, at: time | None) -> time:
    """The time of day where none was said."""
    present = here.time().replace(tzinfo=None)
    if part is None:
        return at or (present if day == here.date() else time(12))
    if part == "morning" and day == here.date() and time(SMALL_HOURS) <= present < _PARTS[part]:
        return present   # this very morning
    return _PARTS[part]


def unreadable(typed: str) -> BadInput:
    """The refusal of what names no moment."""
    return BadInput(f"Cannot read the time “{typed[:40]}”. Write it like {ACCEPTED}.")


def _day(words: str, today: date, *, forward: bool, us: bool) -> tuple[date | None, str]:
    """The day with which the words begin, and the words behind it; no day and all the words where there is none."""
    first, _, rest = words.partition(" ")
    first = first.rstrip(",")
    steps = {"today": 0, "yesterday": -1, "tomorrow": 1}
    if first in steps:
        return today + timedelta(days=steps[first]), rest
    if first == "tonight":
        return today, f"night {rest}".strip()
    if first in ("last", "next", "this"):
        found, left = _leaning(first, rest, today)
        if found is not None:
            return found, left
    dated = _dated(words, today, forward=forward, us=us)
    if dated is not None:
        return dated
    weekday = _weekday(first)
    if weekday is None:
        return None, words
    dated = _dated(rest, today, forward=forward, us=us)
    if dated is not None:
        if dated[0].weekday() != weekday:
            raise BadInput(f"“{words[:40]}” does not fit: {dated[0].isoformat()} is a "
                           f"{_DAYS[dated[0].weekday()].capitalize()}. Write the day or the weekday alone.")
        return dated
    return _near(weekday, today, forward=forward, strictly=False), rest


def _leaning(first: str, rest: str, today: date) -> tuple[date | None, str]:
    """“last tue”, “next week”, “last night”, “this evening”."""
    second, _, left = rest.partition(" ")
    second = second.rstrip(",")
    if second in _PARTS and (first == "this" or (first, second) == ("last", "night")):
        return today - timedelta(days=first == "last"), rest
    if second == "week" and first != "this":
        return today + timedelta(weeks=1 if first == "next" else -1), left
    weekday = _weekday(second)
    if weekday is None:
        return None, rest
    if first == "this":
        return _near(weekday, today, forward=True, strictly=False), left
    return _near(weekday, today, forward=first == "next", strictly=True), left


def _dated(words: str, today: date, *, forward: bool, us: bool) -> tuple[date, str] | None:
    """A date with which the words begin; month first in `us` where figures alone leave it open."""
    first, _, rest = words.partition(" ")
    first = first.rstrip(",")
    if found := _ISO_DAY.fullmatch(first):
        return _calendar(int(found[1]), int(found[2]), int(found[3]), first), rest
    if found := _SLASHED.fullmatch(first) or _DOTTED.fullmatch(first):
        one, two = int(found[1]), int(found[2])
        month, day = (one, two) if us and "/" in first else (two, one)
        if month > 12 >= day and "/" in first:
            month, day = day, month   # only the other order is a date; it is said back
        return _with_year(found[3], month, day, first, today, forward=forward), rest
    named = _NAMED.match(words)
    number = _month(named["month"] or named["after"]) if named else None
    if named and number:
        found_day = _with_year(named["year"], number, int(named["day"] or named["first"]), named[0], today,
                               forward=forward)
        return found_day, words[named.end():].removeprefix(",").strip()
    return None


def _with_year(year: str | None, month: int, day: int, typed: str, today: date, *, forward: bool) -> date:
    """The date of that year; without one the nearest, or the coming one where people look ahead."""
    if year is not None:
        return _calendar(int(year) + (2000 if len(year) == 2 else 0), month, day, typed)
    if (month, day) == (2, 29):
        years = [one for one in range(today.year - 8, today.year + 9) if (one % 4 == 0 and one % 100) or one % 400 == 0]
    else:
        years = [today.year - 1, today.year, today.year + 1]
    near = [_calendar(one, month, day, typed) for one in years]
    return min((one for one in near if one >= today or not forward), key=lambda one: abs(one - today))


def _calendar(year: int, month: int, day: int, typed: str) -> date:
    try:
        return date(year, month, day)
    except ValueError:
        raise BadInput(f"“{typed[:40]}” is not a day of the calendar. Write it like {ACCEPTED}.") from None


def _month(word: str) -> int | None:
    hits = [number for number, name in enumerate(_MONTHS, 1) if name.startswith(word) or word == "sept" == name[:4]]
    return hits[0] if len(hits) == 1 else None


def _weekday(word: str) -> int | None:
    if len(word) < 3:
        return None
    hits = [number for number, name in enumerate(_DAYS) if name.startswith(word)]
    return hits[0] if len(hits) == 1 else None


def _near(weekday: int, today: date, *, forward: bool, strictly: bool) -> date:
    step = (weekday - today.weekday()) % 7 if forward else -((today.weekday() - weekday) % 7)
    if step == 0 and strictly:
        step = 7 if forward else -7
    return today + timedelta(days=step)


def _part_of_day(rest: str, words: str) -> tuple[str, str | None]:
    """The words without a part of the day, and that part: “morning at 9” is “9” and “morning”."""
    text = rest if rest == words else _LITTLE.sub("", rest)
    for part in _PARTS:
        if re.search(rf"\b{part}\b", text) and not text.startswith("mid"):
            return " ".join(_LITTLE.sub("", text.replace("in the " + part, "").replace(part, "")).split()), part
    return text, None


def _time(words: str, typed: str, part: str | None) -> time:
    text = _LITTLE.sub("", words).strip()
    if text in ("noon", "midday"):
        return time(12)
    if text == "midnight":
        return time(0)
    match = _TIME.fullmatch(text)
    if match:
        hour, minute, second = int(match[1]), int(match[2] or 0), int(match[3] or 0)
        half = (match[4] or "").replace(".", "")
        if half:
            if not 1 <= hour <= 12:
                raise BadInput(f"“{typed[:40]}” has an hour outside 1-12 before am or pm.")
            hour = hour % 12 + (12 if half == "pm" else 0)
        elif (part in ("afternoon", "evening") and 1 <= hour < 12) or (part == "night" and SMALL_HOURS <= hour < 12):
            hour += 12
        if hour < 24 and minute < 60 and second < 60 and (match[2] or half or hour):
            return time(hour, minute, second)
    raise unreadable(typed)
