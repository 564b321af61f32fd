"""The only room that reads the time; and everything about zones, local days and moments typed by people."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo

from gwlog import day_words
from gwlog.errors import BadInput

_STEP = r"(?P<count>\d{1,4}|an?|half an?)\s*(?P<unit>minute|min|hour|h|day|d|week|w)s?"
_AGO = re.compile(rf"{_STEP}\s+ago(?:,? (?:at )?(?P<rest>.+))?")
_AHEAD = re.compile(rf"in\s+{_STEP}(?:,? (?:at )?(?P<rest>.+))?")
FIRST_YEAR, LAST_YEAR = 1970, 2200


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
        raise BadInput(f"The time is missing. Write it like {day_words.ACCEPTED}.")
    if words == "now":
        return present
    counted = _counted(words, present, name, typed)
    if counted is not None:
        return counted
    exact = _exact(typed.strip(), name)
    if exact is not None:
        return exact
    try:
        read = day_words.wall(words, typed, here, system=system_of(name), forward=forward, at=at)
    except OverflowError:
        raise day_words.unreadable(typed) from None
    in_years(read, typed)
    return attach(read, name)


def _counted(words: str, present: datetime, name: str, typed: str) -> datetime | None:
    """“2 hours ago”, “an hour ago”, “in half an hour”, “3 days ago 9am”; None where the words count nothing."""
    ago = _AGO.fullmatch(words)
    counted = ago or _AHEAD.fullmatch(words)
    if counted is None:
        return None
    unit = {"m": "minutes", "h": "hours", "d": "days", "w": "weeks"}[counted["unit"][0]]
    number = {"a": 1.0, "an": 1.0, "half an": 0.5, "half a": 0.5}.get(counted["count"])
    step = timedelta(**{unit: int(counted["count"]) if number is None else number})
    found = present - step if ago else present + step
    in_years(found, typed)
    rest = counted["rest"]
    if not rest:
        return found
    if unit not in ("days", "weeks"):
        raise day_words.unreadable(typed)
    return moment(f"{local_day(found, name).isoformat()} {rest}", present, name)


def _exact(typed: str, name: str) -> datetime | None:
    if "T" not in typed.upper() and not re.match(r"\d{4}-\d\d-\d\d \d", typed):
        return None
    try:
        read = datetime.fromisoformat(typed.replace(" ", "T", 1) if "T" not in typed.upper() else typed)
    except ValueError:
        return None
    in_years(read, typed)
    return read.astimezone(UTC) if read.tzinfo else attach(read, name)


def echo(moment: datetime, name: str) -> str:
    """A moment as the household says it, in local time: “Tue, Mar 3, 2026, 7:00 pm” or “Tue 3 Mar 2026, 19:00”."""
    here = local(moment, name)
    return f"{echo_date(here, system_of(name))}, {echo_hour(here, system_of(name))}"


def echo_near(moment: datetime, name: str, present: datetime) -> str:
    """The same without its year where that is the present one: “Tue, Mar 3, 7:00 pm”."""
    here, system = local(moment, name), system_of(name)
    told = echo_day if here.year == local(present, name).year else echo_date
    return f"{told(here, system)}, {echo_hour(here, system)}"


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


def monday(day: date) -> date:
    """The Monday of a day's week."""
    return day - timedelta(days=day.weekday())


def week_of(day: date, system: str) -> str:
    """The week of a day, by its Monday: “the week of Mar 2, 2026” or “the week of 2 Mar 2026”."""
    return f"the week of {short_date(monday(day), system)}"


def wall(written: str) -> datetime:
    """A stored local wall time (ISO, no offset) as a naive datetime, for recurrence rules."""
    return datetime.fromisoformat(written)
