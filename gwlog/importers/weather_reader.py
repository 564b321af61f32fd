"""Reads a weather file into days: layout and columns, units over the whole file, then its rows.

What the file does not prove is asked (a Question); a figure that contradicts its unit refuses the file, whatever rows
may be left out.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from datetime import date, datetime, timedelta
from itertools import pairwise

from gwlog import clock, text
from gwlog.actions import Action, Argument, Hint
from gwlog.decisions.entry_limits import MAX_RAIN_MM
from gwlog.errors import BadInput, SeveralFaults
from gwlog.importers import weather_hours, weather_units
from gwlog.importers.weather_columns import AMOUNTS, RUNNING, opened
from gwlog.importers.weather_hours import Reading
from gwlog.importers.weather_layouts import OWN
from gwlog.importers.weather_model import Asked, Day, Figure, Opened, WeatherFile
from gwlog.importers.weather_question import Choice, Question
from gwlog.importers.weather_rows import Rows, days_in, figures_of, rows_of, stamps_of
from gwlog.importers.weather_stamps import Stamp, Zones
from gwlog.importers.weather_unit_choice import NINES, decide
from gwlog.importers.weather_units import RAIN, TEMPERATURE
from gwlog.importers.weather_words import is_so_far

Values = Sequence[tuple[Figure, float]]
"""Figures with their value in mm, degC or tips."""

_OF_MARKS = (
    ("out", "left out: the file marks them as failed, doubtful or incomplete."),
    ("several", "left out: they are of several days together. Log such a total with its first and last day."),
    ("told", "marked in the file as estimated, preliminary or doubtful, and taken."),
)


def read_file(content: bytes, asked: Asked) -> WeatherFile:
    """Read a file's bytes. Raises Question where the file leaves something open, SeveralFaults with unusable rows.

    BadInput where it is no daily weather, or contradicts its own units.
    """
    file = opened(content, asked)
    found = WeatherFile(file.layout, rows=len(file.table.rows), remarks=file.remarks)
    rows = rows_of(file)
    stamps = stamps_of(file, rows, found)
    daily = _is_daily(file, stamps.values())
    if daily:
        _without_means(file)
    figures = figures_of(file, rows, stamps, found)
    decide(file, figures)
    values = _values(figures, found)
    if any(column.what in ("tips", "counter") for column in file.columns):
        _tips(file, values, found)
    elif daily:
        _daily(file, rows, values, found)
    else:
        _hours(file, values, found)
    _tell(file, found, daily=daily)
    found.faults.sort(key=lambda fault: int(fault.split(":", 1)[0].split()[1]))
    if found.faults and not asked.leave_out:
        raise SeveralFaults(
            f"{len(found.faults)} of {text.plural(found.rows, 'row')} cannot be used; nothing was logged.",
            found.faults, hint=Hint("Fix them, or import the other rows with ", Argument("leave-out"), "."))
    return found


def _is_daily(file: Opened, stamps: Iterable[Stamp]) -> bool:
    """Whether the file has one row a day: no times, or the same time every day."""
    if any(column.what in ("tips", "counter") for column in file.columns):
        return False
    if file.layout.hours[0] or file.layout.only[1] == "SOD":
        return True
    times: dict[date, set[object]] = {}
    for one in stamps:
        times.setdefault(one.day, set()).add(one.at)
    hours = {at for found in times.values() for at in found}
    return hours <= {None} or not (any(len(found) > 1 for found in times.values()) or len(hours) > 2
                                   or all(column.what == "temp" for column in file.columns))


def _without_means(file: Opened) -> None:
    means = [column for column in file.columns if column.what == "temp"]
    file.columns = [column for column in file.columns if column.what != "temp"]
    if not file.columns:
        raise BadInput("The file has one temperature a day; a day's lowest and highest are needed.")
    file.remarks += [f"Not used: “{text.one_line(column.title)[:30]}”, one temperature of a whole day."
                     for column in means]


def _values(figures: Sequence[Figure], found: WeatherFile) -> list[tuple[Figure, float]]:
    """The figures in mm and degC. Raises SeveralFaults where any contradicts its unit but would fit another."""
    made: list[tuple[Figure, float]] = []
    contradictions = []
    for one in figures:
        unit, what, nines = one.column.unit, one.column.what, NINES.fullmatch(one.cell)
        assert unit is not None
        if what in ("tips", "counter"):
            if one.number < 0 or one.number != int(one.number):
                found.faults.append(f"line {one.line}: {one.column.title}: “{one.cell[:20]}” is no count")
            else:
                made.append((one, one.number))
        elif unit.holds(what, one.number):
            if not (nines and one.cell.startswith("-99") and not unit.whole):   # -99 is a code, not a cold day in °F
                made.append((one, unit.value(one.number)))
        elif not nines:   # nines out of range are a code for what is missing
            words = f"line {one.line}: {one.column.title}: “{one.cell[:20]}” is out of range in {unit.name}"
            others = [other.name for other in (RAIN if unit.rain else TEMPERATURE) if other.holds(what, one.number)]
            if others:
                contradictions.append(f"{words}; in {text.listed(others, 'or')} it would not be")
            else:
                found.faults.append(f"{words}; use {_range(what)}")
    if contradictions:
        raise SeveralFaults(
            f"{text.plural(len(contradictions), 'figure')} of the file cannot be in the unit of the column, so the "
            "unit may be wrong everywhere; nothing was taken.", contradictions[:20],
            hint="Check the units of the whole file; empty a cell that is only a typing mistake.")
    return made


def _range(what: str) -> str:
    if what == "rain":
        return f"0 to {MAX_RAIN_MM:.0f} mm"
    warmest = weather_units.HOTTEST_LOW_C if what == "low" else weather_units.HOTTEST_C
    return f"{weather_units.COLDEST_C:.0f} to {warmest:.0f} degC"


def _keep(found: WeatherFile, day: date, line: int, values: dict[str, float], made: datetime | None = None) -> None:
    """Keep a day; of several forecasts of a day the last one counts, of several measurements none is chosen."""
    low, high = values.get("low"), values.get("high")
    if low is not None and high is not None and low > high:
        found.faults.append(f"line {line}: the lowest temperature is above the highest on {day}")
        return
    twin = found.days.get(day)
    if not values or (twin is not None and twin.values == values and twin.made == made):
        return
    if twin is None or (made is not None and (twin.made is None or made > twin.made)):
        found.days[day] = Day(line, values, made)
    elif not (twin.made is not None and made is not None and made < twin.made):
        found.faults.append(f"line {line}: {day} stands already in line {twin.line} with other values")


def _daily(file: Opened, rows: Rows, values: Values, found: WeatherFile) -> None:
    by_row: dict[int, tuple[Figure, dict[str, float]]] = {}
    for one, value in values:
        by_row.setdefault(one.row, (one, {}))[1][one.column.what] = value
    column, ends = file.layout.hours
    place = file.placed.get(column) if column else None
    spans: dict[date, list[tuple[int, int, dict[str, float]]]] = {}
    for number, (one, mine) in sorted(by_row.items()):
        hours = 24 if place is None else days_in(rows[number][1][place])
        if 0 < hours < 24:
            day = (one.stamp.wall() - timedelta(hours=ends, seconds=1)).date() + timedelta(days=1)
            spans.setdefault(day, []).append((one.line, hours, mine))
        else:
            _keep(found, one.stamp.day, one.line, mine, one.made)
    _refuse_long_rows(file, by_row)
    for day, parts in spans.items():
        if sum(hours for _, hours, _ in parts) < weather_hours.ENOUGH_HOURS:
            found.counts["few"] += day not in found.days
            continue
        ways: dict[str, Callable[[Iterable[float]], float]] = {"rain": sum, "low": min, "high": max}
        joined = {what: ways[what](mine[what] for _, _, mine in parts) for what in ways
                  if all(what in mine for _, _, mine in parts)}
        if day not in found.days:
            _keep(found, day, parts[0][0], joined)


def _refuse_long_rows(file: Opened, by_row: dict[int, tuple[Figure, dict[str, float]]]) -> None:
    """Rows of rain that stand a week or a month apart are totals of all the days between them."""
    days = sorted({one.stamp.day for one, mine in by_row.values() if "rain" in mine})
    apart = {(later - day).days for day, later in pairwise(days)}
    monthly = bool(apart) and min(apart) >= 28 and max(apart) <= 31
    if len(days) >= 3 and (monthly or (len(apart) == 1 and min(apart) >= 7)):
        span = "a month" if monthly else text.plural(min(apart), "day")
        raise BadInput(f"The rows of rain stand {span} apart, so that each may be a total of all these days; use "
                       "daily weather.",
                       hint=Hint("A gauge's total is logged with its first day: ",
                                 Action("rain", amount="AMOUNT", since="DAY")))


def _readings(file: Opened, values: Values, found: WeatherFile) -> list[Reading]:
    """The figures at their moments; the same moment twice with other figures is a fault."""
    ordered = list(values)
    if ordered and ordered[0][0].stamp.wall() > ordered[-1][0].stamp.wall():
        ordered.reverse()   # newest first
    zones = Zones(file.asked.zone, file.runs, [one.stamp for one, _ in ordered])
    if zones.standard and file.runs == "local":
        found.remarks.append("The file holds an hour that summer time leaves out: its times are taken as standard time "
                             "all year.")
    made: list[Reading] = []
    known: dict[tuple[datetime, str], Reading] = {}
    moments: dict[int, datetime] = {}
    for one, value in ordered:
        if one.row not in moments:
            moments[one.row] = zones.moment(one.stamp)
        reading = Reading(one.line, moments[one.row], one.column.what, value)
        twin = known.setdefault((reading.moment, reading.what), reading)
        if twin is reading or file.layout.running or reading.what == "tips":
            made.append(reading)
        elif twin.value != reading.value:
            found.faults.append(f"line {one.line}: its time stands already in line {twin.line} with other values")
    return made


def _hours(file: Opened, values: Values, found: WeatherFile) -> None:
    readings = _readings(file, values, found)
    said = file.format.get("rain")
    running = "hour" if file.layout.running else "day" if said == RUNNING else ""
    wet = any(reading.what == "rain" and reading.value > 0 for reading in readings)
    if file.layout is OWN and said is None and wet and (
            weather_hours.looks_running(readings, file.asked.zone)
            or any(column.what == "rain" and is_so_far(column.title) for column in file.columns)):
        raise Question("Each figure of rain in this file may be the day's total so far.", "format", [
            Choice(RUNNING, "each figure is the day's total so far"),
            Choice(AMOUNTS, "each figure is what fell since the one before")])
    days, few = weather_hours.to_days(readings, file.asked.zone, running=running)
    lines = {one.stamp.day: one.line for one, _ in reversed(values)}
    made = {one.stamp.day: one.made for one, _ in values}
    for day, mine in sorted(days.items()):
        _keep(found, day, lines.get(day, 0), mine, made.get(day))
    found.counts["few"] += len(few)
    if not found.days and few:
        raise BadInput(f"No day of the file has {weather_hours.ENOUGH_HOURS} hours with a figure "
                       f"({text.plural(len(few), 'day')} with fewer); nothing was taken.")
    found.remarks.append("Hours were made into local days; rain counts for the hour before its time.")


def _tips(file: Opened, values: Values, found: WeatherFile) -> None:
    readings, zone = _readings(file, values, found), file.asked.zone
    counter = [one for one in readings if one.what == "counter"]
    days, unclear = weather_hours.counted(counter, zone) if counter else (weather_hours.tips(readings, zone), [])
    unit = values[0][0].column.unit if values else None
    for day, count in sorted(days.items()):
        if day < clock.local_day(file.asked.now, zone) and unit is not None:
            _keep(found, day, 0, {"rain": unit.value(count)})
    if unclear:
        found.remarks.append(f"{text.plural(len(unclear), 'day')} without a reading for more than a day left out: "
                             "it is not known on which of them it rained.")


def _tell(file: Opened, found: WeatherFile, *, daily: bool) -> None:
    if file.layout is not OWN:
        found.remarks.insert(0, f"Read as {file.layout.words}.")
    if daily and file.layout.ends:
        found.remarks.append(file.layout.ends)
    found.remarks += [f"{text.plural(found.counts[kind], 'figure')} {words}" for kind, words in _OF_MARKS
                      if found.counts[kind]]
    if found.counts["few"]:
        found.remarks.append(f"{text.plural(found.counts['few'], 'day')} with fewer than {weather_hours.ENOUGH_HOURS} "
                             "hours left out.")


