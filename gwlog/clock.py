"""The only room that reads the time; and everything about zones, local days and moments typed by people."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo

from gwlog.errors import BadInput

_DAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_ISO_DAY = re.compile(r"\d{4}-\d{1,2}-\d{1,2}")
_TIME = re.compile(r"(\d{1,2})(?:[:.h](\d{2})(?::(\d{2}))?)?\s*(am|pm)?")
_AGO = re.compile(r"(\d{1,4})\s*(minute|min|hour|h|day|d|week|w)s?\s+ago")
_AHEAD = re.compile(r"in\s+(\d{1,4})\s*(minute|min|hour|h|day|d|week|w)s?")
FIRST_YEAR, LAST_YEAR = 1970, 2200
ACCEPTED = "a moment like 2026-05-03, 2026-05-03T18:30, “yesterday 18:30”, “tue 7pm” or “2 hours ago”"


class Locale(str):
    """A time zone's name that also says how its household writes days and times.

    `system`: “us” for twelve hours and the month first, “metric” for twenty-four hours and the day first. A plain
    name of a zone reads and writes as “metric” does.
    """

    system: str

    def __new__(cls, zone: str, system: str = "metric") -> Locale:
        made = super().__new__(cls, zone)
        made.system = system
        return made


def system_of(name: str) -> str:
    """Whose habits go with a zone: “us” or “metric”."""
    return name.system if isinstance(name, Locale) else "metric"


@lru_cache(maxsize=16)
def locale(zone: str, units: str) -> Locale:
    """The zone and the habits of a household that has these units; one object for all who ask."""
    return Locale(zone, "metric" if units == "metric" else "us")


def now() -> datetime:
    """The present moment, UTC."""
    return datetime.now(UTC)


@lru_cache(maxsize=16)
def zone(name: str) -> ZoneInfo:
    """The IANA time zone. Raises BadInput when there is none of that name."""
    try:
        return ZoneInfo(name)
    except (KeyError, ValueError, OSError, TypeError):
        raise BadInput(f"“{name}” is not a time zone; write one like America/Los_Angeles.") from None


def attach(wall: datetime, name: str) -> datetime:
    """A local wall time as UTC. A wall time that does not exist moves forward; a doubled one takes the first.

    Raises BadInput outside the years FIRST_YEAR..LAST_YEAR.
    """
    in_years(wall, f"{wall:%Y-%m-%d %H:%M}")
    # fold=0 is the first of two; in a gap it reads with the offset before the change, which moves it forward.
    return wall.replace(tzinfo=zone(name), fold=0).astimezone(UTC)


def in_years(day: date, typed: str) -> None:
    """Raise BadInput when a day or moment lies outside the years that a logbook can speak of."""
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise BadInput(f"“{typed[:40]}” is out of range; "
                       f"years from {FIRST_YEAR} to {LAST_YEAR} are accepted.")


def local(moment: datetime, name: str) -> datetime:
    """A moment as local wall time in that zone (aware)."""
    return moment.astimezone(zone(name))


def local_day(moment: datetime, name: str) -> date:
    """The local calendar day of a moment."""
    return moment.astimezone(zone(name)).date()


def day_start(day: date, name: str) -> datetime:
    """The first moment of a local day, UTC."""
    return attach(datetime.combine(day, time()), name)


def iso(moment: datetime) -> str:
    """ISO 8601 in UTC, to the second."""
    return moment.astimezone(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")


def moment(
    typed: str, present: datetime, name: str, *, forward: bool = False, at: time | None = None,
) -> datetime:
    """Read a moment that a person typed, in their local time; returns UTC.

    `forward`: a weekday means the coming one (plans), otherwise the last one (log). `at`: the time of day
    taken when only a day was typed; default: the present time of day for today, else noon.
    Raises BadInput naming the text and what is accepted.
    """
    words = " ".join(typed.strip().casefold().split())
    here = local(present, name)
    if not words:
        raise BadInput(f"The moment is empty; write {ACCEPTED}.")
    if words == "now":
        return present
    ago, ahead = _AGO.fullmatch(words), _AHEAD.fullmatch(words)
    counted = ago or ahead
    if counted:
        unit = {"m": "minutes", "h": "hours", "d": "days", "w": "weeks"}[counted[2][0]]
        step = timedelta(**{unit: int(counted[1])})
        found = present - step if ago else present + step
        in_years(found, typed)
        return found
    exact = _exact(typed.strip(), name)
    if exact is not None:
        return exact
    day, rest = _day(words, here.date(), forward)
    clock_time = _time(rest, typed) if rest else None
    if day is None:
        if clock_time is None:
            raise BadInput(f"“{typed[:40]}” is not a moment I can read; write {ACCEPTED}.")
        day = here.date()
    if clock_time is None:
        clock_time = at or (here.time().replace(tzinfo=None) if day == here.date() else time(12))
    wall = datetime.combine(day, clock_time)
    return attach(wall, name)


def _exact(typed: str, name: str) -> datetime | None:
    if "T" not in typed.upper() and not re.match(r"\d{4}-\d\d-\d\d \d", typed):
        return None
    try:
        read = datetime.fromisoformat(typed.replace(" ", "T", 1) if "T" not in typed.upper() else typed)
    except ValueError:
        return None
    in_years(read, typed)
    return read.astimezone(UTC) if read.tzinfo else attach(read, name)


def _day(words: str, today: date, forward: bool) -> tuple[date | None, str]:
    first, _, rest = words.partition(" ")
    first = first.rstrip(",")
    if first in ("today", "yesterday", "tomorrow"):
        return today + timedelta(days={"today": 0, "yesterday": -1, "tomorrow": 1}[first]), rest
    if first in ("last", "next"):
        second, _, rest2 = rest.partition(" ")
        found = _weekday(second)
        if found is not None:
            return _near(found, today, forward=first == "next", strictly=True), rest2
    found = _weekday(first)
    if found is not None:
        return _near(found, today, forward=forward, strictly=False), rest
    if _ISO_DAY.fullmatch(first):
        year, month, day = (int(part) for part in first.split("-"))
        try:
            found_day = date(year, month, day)
        except ValueError:
            raise BadInput(f"“{first}” is not a day of the calendar; write {ACCEPTED}.") from None
        in_years(found_day, first)
        return found_day, rest
    return None, words


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


def _time(words: str, typed: str) -> time:
    text = words.removeprefix("at ").strip()
    if text in ("noon", "midday"):
        return time(12)
    if text == "midnight":
        return time(0)
    match = _TIME.fullmatch(text)
    if match:
        hour, minute, second = int(match[1]), int(match[2] or 0), int(match[3] or 0)
        half = match[4]
        if half:
            if not 1 <= hour <= 12:
                raise BadInput(f"“{typed[:40]}” has an hour outside 1-12 before am or pm.")
            hour = hour % 12 + (12 if half == "pm" else 0)
        if hour < 24 and minute < 60 and second < 60 and (match[2] or half or hour):
            return time(hour, minute, second)
    raise BadInput(f"“{typed[:40]}” is not a moment I can read; write {ACCEPTED}.")


def echo(moment: datetime, name: str) -> str:
    """A moment as the household says it, in local time: “Tue, Mar 3, 2026, 7:00 pm” or “Tue 3 Mar 2026, 19:00”."""
    here = local(moment, name)
    return f"{echo_date(here, system_of(name))}, {echo_hour(here, system_of(name))}"


def echo_hour(wall: datetime | time, system: str) -> str:
    """A local time of day: “7:00 pm” where units are US, else “19:00”."""
    if system != "us":
        return f"{wall:%H:%M}"
    return f"{wall.hour % 12 or 12}:{wall:%M} {'pm' if wall.hour >= 12 else 'am'}"


def echo_day(day: date, system: str) -> str:
    """A day as people say it: “Tue, Mar 3” where units are US, else “Tue 3 Mar”."""
    return f"{day:%a}, {day:%b} {day.day}" if system == "us" else f"{day:%a} {day.day} {day:%b}"


def echo_date(day: date, system: str) -> str:
    """The same with its year: “Tue, Mar 3, 2026” where units are US, else “Tue 3 Mar 2026”."""
    return f"{echo_day(day, system)}{',' if system == 'us' else ''} {day.year}"


def short_day(day: date, system: str) -> str:
    """A day without its weekday and its year: “Mar 3” or “3 Mar”."""
    return f"{day:%b} {day.day}" if system == "us" else f"{day.day} {day:%b}"


def short_date(day: date, system: str) -> str:
    """A day without its weekday: “Mar 3, 2026” or “3 Mar 2026”."""
    return f"{short_day(day, system)}{',' if system == 'us' else ''} {day.year}"


def long_date(day: date, system: str) -> str:
    """A day for a paper's title: “March 3, 2026” or “3 March 2026”."""
    return f"{day:%B} {day.day}, {day.year}" if system == "us" else f"{day.day} {day:%B} {day.year}"


def wall(written: str) -> datetime:
    """A stored local wall time (ISO, no offset) as a naive datetime, for recurrence rules."""
    return datetime.fromisoformat(written)
