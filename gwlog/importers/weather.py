"""Reads daily weather from a CSV file: columns by name and unit, faults of unusable rows by line.

Also the columns of GHCN-Daily (NOAA readme: PRCP in tenths of mm, TMAX and TMIN in tenths of degC, -9999 missing).
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from pathlib import Path

from gwlog import clock, text
from gwlog.actions import Argument, Hint
from gwlog.decisions.entry_limits import FORECAST_DAYS, MAX_RAIN_MM, weather_day
from gwlog.errors import BadInput, SeveralFaults
from gwlog.files import read_whole
from gwlog.household import Household
from gwlog.importers.csv_rows import csv_rows
from gwlog.journal.facts import WeatherDay
from gwlog.state import Weather

MISSING = frozenset({"", "na", "n/a", "nan", "-", "--", "m", "null", "none", "-9999", "9999"})
LARGEST = 20_000_000
SHOWN = {"c": "°C", "f": "°F"}
_RAIN = re.compile(r"(rain|precip|rainfall|precipitation|pcp)")
_LOW = re.compile(r"(t[_\s]?min|min[_\s]?t|low|minimum|temp\w*[_\s]min)")
_HIGH = re.compile(r"(t[_\s]?max|max[_\s]?t|high|maximum|temp\w*[_\s]max)")
_DAY = ("date", "day", "datum", "local_date", "time")
_UNIT = re.compile(r"[_\s(\[]+(mm|cm|in|inch|inches|c|°c|degc|celsius|f|°f|degf|fahrenheit)[)\]]*$")


@dataclass(frozen=True, slots=True)
class Column:
    """One column of the file: what it holds, its place, and the factor to micrometres or its temperature scale."""

    what: str
    index: int
    unit: str
    name: str


@dataclass(slots=True)
class WeatherImport:
    """What an import would append, and what it left out. `differ`: days that the logbook holds with other figures.

    Of those the file's figures count from then on; what was logged before stays in the record.
    """

    days: list[WeatherDay] = field(default_factory=list)
    known: int = 0
    before: int = 0
    gaps: list[date] = field(default_factory=list)
    differ: list[date] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)

    @property
    def facts(self) -> list[WeatherDay]:
        """What is to be appended."""
        return self.days


def read_weather_path(path: Path, home: Household, *, leave_out: bool = False) -> WeatherImport:
    """Read a CSV file from disk, as read_weather() does; its name stands as each day's origin."""
    content = read_whole(path, LARGEST, "a file of daily weather is accepted")
    return read_weather(content, home, origin=text.one_line(path.name)[:60], leave_out=leave_out)


def read_weather(content: bytes, home: Household, *, origin: str, leave_out: bool = False) -> WeatherImport:
    """Read a CSV file's bytes into weather days that differ from what the logbook holds.

    Raises SeveralFaults with every unusable row, unless `leave_out`; BadInput when no column can be used.
    """
    result = WeatherImport()
    read = _read(content, home, origin, result, leave_out=leave_out)
    _compare(read, home, result)
    return result


def read_days(content: bytes, home: Household) -> dict[date, WeatherDay]:
    """Read a CSV file's bytes as they are, without comparing them with the logbook; refusals as above."""
    return {day: found for day, (_, found) in
            _read(content, home, "file", WeatherImport(), leave_out=False).items()}


def _read(content: bytes, home: Household, origin: str, result: WeatherImport, *, leave_out: bool
          ) -> dict[date, tuple[int, WeatherDay]]:
    rows = csv_rows(content, "day")
    day_index, columns = _columns(rows[0][1], home, result)
    if len(rows) == 1:
        raise BadInput("The file holds a header and no day; one line per day is accepted.")
    read: dict[date, tuple[int, WeatherDay]] = {}
    for line, row in rows[1:]:
        try:
            if _long_ago(row, day_index):
                result.before += 1
                continue
            found = _row(row, day_index, columns, home, origin)
        except BadInput as fault:
            result.faults.append(f"line {line}: {fault}")
            continue
        if found is None:
            continue
        twin = read.get(found.day)
        if twin is not None and not _same(twin[1], found):
            result.faults.append(f"line {line}: {found.day} stands already in line {twin[0]} with other values")
        elif twin is None:
            read[found.day] = (line, found)
    if result.faults and not leave_out:
        raise SeveralFaults(
            f"{len(result.faults)} of {len(rows) - 1} rows cannot be used; nothing was logged.", result.faults,
            hint=Hint("Mend them, or import the other rows with ", Argument("leave-out"), "."))
    return read


def _columns(head: Sequence[str], home: Household, result: WeatherImport) -> tuple[int, list[Column]]:
    day_index: int | None = None
    columns: list[Column] = []
    unused: list[str] = []
    for index, title in enumerate(head):
        name = title.strip().casefold()
        if name in _DAY and day_index is None:
            day_index = index
        elif name in ("prcp", "tmin", "tmax") and _tenths(head):
            what = {"prcp": "rain", "tmin": "low", "tmax": "high"}[name]
            columns.append(Column(what, index, "tenths", title.strip()))
        else:
            unit_match = _UNIT.search(name)
            stem = name[: unit_match.start()] if unit_match else name
            held = _held(stem)
            if held is None:
                unused.append(text.one_line(title)[:20])
                continue
            what = held
            unit = unit_match[1].strip("°").removeprefix("deg")[:2] if unit_match else _usual_unit(what, home)
            unit = {"ce": "c", "fa": "f"}.get(unit, unit)
            if unit_match is None:
                result.remarks.append(f"Column “{title.strip()}” names no unit; taken as {SHOWN.get(unit, unit)}.")
            if (what == "rain") != (unit in ("mm", "cm", "in")):
                raise BadInput(f"Column “{title.strip()}” cannot be in {SHOWN.get(unit, unit)}.")
            columns.append(Column(what, index, unit, title.strip()))
    if day_index is None:
        raise BadInput(f"No column is named date (the header is: {', '.join(head)[:120]}).",
                       hint="A header like: date,rain_mm,tmin_c,tmax_c")
    if not columns:
        raise BadInput(f"No column holds rain or temperatures (the header is: {', '.join(head)[:120]}).",
                       hint="A header like: date,rain_mm,tmin_c,tmax_c")
    for what in ("rain", "low", "high"):
        twins = [c.name for c in columns if c.what == what]
        if len(twins) > 1:
            raise BadInput(f"Several columns hold the same thing: {', '.join(twins)}. Keep one of them.")
    if any(unused):
        more = f" and {len(unused) - 6} more" if len(unused) > 6 else ""
        result.remarks.append(f"Not used: {text.listed([f'“{name}”' for name in unused[:6]])}{more}.")
    return day_index, columns


def _held(stem: str) -> str | None:
    if _LOW.search(stem):
        return "low"
    if _HIGH.search(stem):
        return "high"
    return "rain" if _RAIN.search(stem) or stem == "prcp" else None


def _tenths(head: Sequence[str]) -> bool:
    """GHCN-Daily names are upper case; a lower-case tmin without a unit is the household's own column."""
    return any(title.strip() in ("PRCP", "TMIN", "TMAX") for title in head)


def _usual_unit(what: str, home: Household) -> str:
    if what == "rain":
        return "in" if home.system == "us" else "mm"
    return "f" if home.system == "us" else "c"


def _long_ago(row: Sequence[str], day_index: int) -> bool:
    """Whether a row is older than any logbook can be: a station's file often begins in the last century."""
    return day_index < len(row) and _day(row[day_index].strip()).year < clock.FIRST_YEAR


def _row(row: Sequence[str], day_index: int, columns: Sequence[Column], home: Household,
         origin: str) -> WeatherDay | None:
    if day_index >= len(row):
        raise BadInput("the row is shorter than the header")
    day = _day(row[day_index].strip())
    if day > clock.local_day(home.now, home.zone) + timedelta(days=FORECAST_DAYS):
        raise BadInput(f"{day} is more than {FORECAST_DAYS} days ahead")
    values: dict[str, int] = {}
    for column in columns:
        cell = row[column.index].strip() if column.index < len(row) else ""
        if cell.casefold() in MISSING:
            continue
        values[column.what] = _value(cell, column)
    low, high = values.get("low"), values.get("high")
    if low is not None and high is not None and low > high:
        raise BadInput(f"the lowest temperature is above the highest on {day}")
    if not values:
        return None
    empty = weather_day(day, home.now, home.zone, origin=origin)
    return replace(empty, rain_um=values.get("rain"), tmin_mdegc=low, tmax_mdegc=high)


def _day(cell: str) -> date:
    shape = re.match(r"(\d{4})-?(\d{2})-?(\d{2})(?:[T ].*)?$", cell.replace("/", "-"))
    if shape is None:
        raise BadInput(f"“{cell[:30]}” is not a day like 2026-05-03")
    try:
        return date(int(shape[1]), int(shape[2]), int(shape[3]))
    except ValueError:
        raise BadInput(f"“{cell[:30]}” is not a day of the calendar") from None


def _value(cell: str, column: Column) -> int:
    """The cell in micrometres (rain) or thousandths of a degree Celsius."""
    if column.what == "rain" and cell.casefold() in ("t", "trace"):
        return 0
    try:
        number = float(cell.replace(",", "."))
    except ValueError:
        raise BadInput(f"{column.name}: “{cell[:20]}” is not a number") from None
    if not math.isfinite(number):
        raise BadInput(f"{column.name}: “{cell[:20]}” is not a number that can be used")
    if column.unit == "tenths" and number != int(number):
        raise BadInput(f"{column.name}: “{cell[:20]}” is not in whole tenths; name the column with its unit, "
                       f"like rain_mm or tmax_c")
    if column.what == "rain":
        um = number * {"tenths": 100.0, "mm": 1000.0, "cm": 10_000.0, "in": 25_400.0}[column.unit]
        if not 0 <= um <= MAX_RAIN_MM * 1000:
            raise BadInput(f"{column.name}: “{cell[:20]}” is out of range; "
                           f"0 to {MAX_RAIN_MM:.0f} mm is accepted")
        return round(um)
    celsius = {"tenths": number / 10, "c": number, "f": (number - 32) / 1.8}[column.unit]
    if not -90 <= celsius <= 60:
        raise BadInput(f"{column.name}: “{cell[:20]}” is out of range; -90 to 60 degC is accepted")
    return round(celsius * 1000)


def _same(one: WeatherDay, other: WeatherDay) -> bool:
    return (one.rain_um, one.tmin_mdegc, one.tmax_mdegc) == (other.rain_um, other.tmin_mdegc, other.tmax_mdegc)


def _compare(read: dict[date, tuple[int, WeatherDay]], home: Household, result: WeatherImport) -> None:
    """Keep what the logbook does not hold yet; count the rest and the days missing in between."""
    begins = clock.local_day(home.state.sites[0].happened_at, home.zone)
    for day in sorted(read):
        found = read[day][1]
        if day < begins:
            result.before += 1
            continue
        known = home.state.weather.get(day, Weather())
        fresh = WeatherDay(
            happened_at=found.happened_at, zone=found.zone, day=day, origin=found.origin,
            rain_um=_unless_known(found.rain_um, known.rain_mm),
            tmin_mdegc=_unless_known(found.tmin_mdegc, known.tmin_c),
            tmax_mdegc=_unless_known(found.tmax_mdegc, known.tmax_c))
        if (fresh.rain_um, fresh.tmin_mdegc, fresh.tmax_mdegc) == (None, None, None):
            result.known += 1
        else:
            result.days.append(fresh)
            pairs = ((fresh.rain_um, known.rain_mm), (fresh.tmin_mdegc, known.tmin_c), (fresh.tmax_mdegc, known.tmax_c))
            if any(new is not None and old is not None for new, old in pairs):
                result.differ.append(day)
    if read:
        first, last = min(read), max(read)
        between = [first + timedelta(days=n) for n in range((last - first).days)]
        result.gaps = [day for day in between if day not in read and day >= begins and day not in home.state.weather]


def _unless_known(found: int | None, known: float | None) -> int | None:
    return None if found is None or (known is not None and round(known * 1000) == found) else found
