"""The dates and times of a weather file: in which order its days are written, and the household's local day of each.

The order is decided over the whole file; where two orders fit it is asked.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, timezone
from functools import lru_cache

from gwlog import clock, text
from gwlog.errors import BadInput

ORDERS = {"ymd": "year, month, day", "dmy": "day, month, year", "mdy": "month, day, year"}
_TIME = r"(?:[T ,]+(\d{1,2}):(\d{2})(?::(\d{2})(?:\.\d+)?)?\s*([AaPp]\.?[Mm]\.?)?\s*(Z|UTC|[+-]\d{2}:?\d{2})?)?$"
_BIG_FIRST = re.compile(r"(\d{4})([-/.]?)(\d{2}|(?<=\D)\d)\2(\d{2}|(?<=\D)\d)" + _TIME)
_SMALL_FIRST = re.compile(r"(\d{1,2})([-/.])(\d{1,2})\2(\d{4})" + _TIME)
_MONTH_ALONE = re.compile(r"\d{4}-?\d{2}$")


@dataclass(frozen=True, slots=True)
class Stamp:
    """A row's day as written; `at`: its time where one is written, `offset`: its distance from UTC where one is."""

    day: date
    at: time | None = None
    offset: timedelta | None = None

    def wall(self) -> datetime:
        """The moment as written."""
        return datetime.combine(self.day, self.at or time())


def orders_of(cells: Collection[str]) -> list[str]:
    """In which orders every one of these dates can be read; [] where none fits. Points stand between day and month."""
    left = dict.fromkeys(ORDERS)
    for cell in set(cells):
        if _MONTH_ALONE.fullmatch(cell) and "-" in cell:
            raise BadInput(f"The file has one line per month (“{cell}”) and not per day; use daily weather.")
        fitting = [order for order in left if _reads(cell, order)]
        if any(_reads(cell, order) for order in ORDERS):
            left = dict.fromkeys(fitting)
    return list(left)


def _reads(cell: str, order: str) -> bool:
    try:
        stamp(cell, order)
    except BadInput:
        return False
    return True


@lru_cache(maxsize=4096)
def stamp(cell: str, order: str) -> Stamp:
    """Read one date, with its time where one is written. Raises BadInput naming it."""
    shape = (_BIG_FIRST if order == "ymd" else _SMALL_FIRST).match(cell)
    if shape is None:
        raise BadInput(f"“{cell[:30]}” is not a day like 2026-05-03")
    first, sign, second, third = shape[1], shape[2], shape[3], shape[4]
    year, month, day = {"ymd": (first, second, third), "dmy": (third, second, first),
                        "mdy": (third, first, second)}[order]
    if order == "mdy" and sign == ".":
        raise BadInput(f"“{cell[:30]}” has points; they stand in dates that begin with the day")
    try:
        found = date(int(year), int(month), int(day))
        hour, minute = int(shape[5] or 0), int(shape[6] or 0)
        if shape[8] is not None:
            hour = hour % 12 + (12 if shape[8].casefold().startswith("p") else 0)
        if hour == 24 and minute == 0:   # midnight, the end of that day
            found, hour = found + timedelta(days=1), 0
        at = time(hour, minute, int(shape[7] or 0)) if shape[5] is not None else None
    except ValueError:
        raise BadInput(f"“{cell[:30]}” is not a day of the calendar") from None
    return Stamp(found, at, _offset(shape[9]))


def _offset(words: str | None) -> timedelta | None:
    if words is None:
        return None
    if words in ("Z", "UTC"):
        return timedelta(0)
    size = timedelta(hours=int(words[1:3]), minutes=int(words[-2:]))
    return -size if words[0] == "-" else size


def of_parts(parts: Sequence[str], names: Sequence[str]) -> Stamp:
    """Read a date from several columns: year with month and day, or with the day of the year; an hour where there is.

    Raises BadInput naming them.
    """
    words = text.one_line(" ".join(parts))[:30]
    try:
        numbers = dict(zip(names, (int(float(part)) for part in parts), strict=True))
        if "month" in numbers:
            found = date(numbers["year"], numbers["month"], numbers["day"])
        else:
            number = numbers.get("yday", numbers.get("doy", 0))
            found = date(numbers["year"], 1, 1) + timedelta(days=number - 1)
            if found.year != numbers["year"]:
                raise ValueError
        return Stamp(found, time(numbers["hour"]) if "hour" in numbers else None)
    except (ValueError, OverflowError):
        raise BadInput(f"“{words}” is not a day of the calendar") from None


class Zones:
    """From a file's times to moments (UTC). `runs`: local, utc, standard or a distance from UTC.

    A local time that does not exist shows that the file runs by standard time all year: see `standard`.
    """

    def __init__(self, zone: str, runs: str | timedelta, stamps: Sequence[Stamp]) -> None:
        self.zone = zone
        self.runs = runs
        self.standard = runs == "standard" or (runs == "local" and any(
            self._in_gap(one.wall()) for one in stamps if one.at is not None and one.offset is None))
        self._before: datetime | None = None
        self._second = False

    def moment(self, one: Stamp) -> datetime:
        """The moment of a stamp; of a local time that comes twice, its second run once the times went back."""
        wall = one.wall()
        offset = one.offset if one.offset is not None else self.runs if isinstance(self.runs, timedelta) else None
        if offset is not None:
            return wall.replace(tzinfo=timezone(offset)).astimezone(UTC)
        if self.runs == "utc":
            return wall.replace(tzinfo=UTC)
        here = clock.zone(self.zone)
        if self.standard:
            return (wall - self._standard(wall)).replace(tzinfo=UTC)
        first, second = wall.replace(tzinfo=here, fold=0), wall.replace(tzinfo=here, fold=1)
        if first.utcoffset() == second.utcoffset():
            self._before, self._second = None, False
            return first.astimezone(UTC)
        if self._before is not None and wall <= self._before:
            self._second = True
        self._before = wall
        return (second if self._second else first).astimezone(UTC)

    def _standard(self, wall: datetime) -> timedelta:
        here = clock.zone(self.zone)
        offsets = [wall.replace(month=month, day=1, tzinfo=here).utcoffset() or timedelta(0) for month in (1, 7)]
        return min(offsets)

    def _in_gap(self, wall: datetime) -> bool:
        here = clock.zone(self.zone)
        aware = wall.replace(tzinfo=here)
        return aware.astimezone(UTC).astimezone(here).replace(tzinfo=None) != wall
