"""Reads a weather file: its layout, its columns, the unit of each over the whole file, then its rows; strictly.

What the file does not prove is asked (a Question); a figure that contradicts its unit refuses the file, whatever rows
may be left out.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from gwlog import clock, text
from gwlog.actions import Argument, Hint
from gwlog.errors import BadInput, SeveralFaults
from gwlog.importers import weather_hours, weather_units
from gwlog.importers.weather_hours import Reading
from gwlog.importers.weather_layouts import LAYOUTS, OWN, Layout
from gwlog.importers.weather_question import Choice, Figures, Question, normal, reading
from gwlog.importers.weather_stamps import ORDERS, Stamp, Zones, of_parts, orders_of, stamp
from gwlog.importers.weather_text import Table, headers, lines_of, table_below
from gwlog.importers.weather_units import HUNDREDTHS_IN, IN, RAIN, SYSTEMS, TEMPERATURE, Said, Unit, unit_of
from gwlog.importers.weather_words import (
    DAY_WORDS,
    MADE_WORDS,
    UTC_WORDS,
    bracket,
    folded,
    is_rate,
    meaning,
    speaks_of_weather,
    stem,
)
from gwlog.water.weather import Sky

MISSING = frozenset({"", "na", "n/a", "nan", "-", "--", "---", "m", "null", "none", "*", "missing", "mm"})
AMOUNTS, RUNNING = "amounts", "running"
HEADER_LIKE = "A header like: date,rain_mm,tmin_c,tmax_c"
_STATIONS = ("station", "station id", "station number", "stn", "site")
_CODE = re.compile(r"[+-]?(?:9{4,}(?:\.[09]+)?|999\.90*)|-999(?:\.[09]+)?|-6999(?:\.0+)?")
_NINES = re.compile(r"[+-]?9+(?:[.,]9+)?(?:[.,]0+)?")
_NUMBER = re.compile(r"[+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d{1,2})?")
_PARTS = (("year", "month", "day"), ("year", "mo", "dy"), ("year", "yday"), ("year", "doy"))
_PART_NAMES = {"mo": "month", "dy": "day"}


@dataclass(frozen=True, slots=True)
class Asked:
    """What a person said beside the file, and what is needed to put a question well."""

    zone: str
    now: datetime
    system: str
    sky: Sky
    units: str | None = None
    format: str | None = None
    station: str | None = None
    leave_out: bool = False


@dataclass(slots=True)
class Column:
    """A column that is taken: what it holds, its place, title and unit (None: not yet decided), its companion's place.

    """

    what: str
    index: int
    title: str
    unit: Unit | None
    flag: int | None = None


@dataclass(frozen=True, slots=True)
class Day:
    """One day as the file has it, in mm and degC; `made`: when it was forecast, where the file says so."""

    line: int
    values: dict[str, float]
    made: datetime | None = None


@dataclass(slots=True)
class WeatherFile:
    """What a file holds: its days, rows that cannot be used, and what a person should know of it."""

    layout: Layout
    days: dict[date, Day] = field(default_factory=dict)
    rows: int = 0
    faults: list[str] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class _Figure:
    line: int
    stamp: Stamp
    column: Column
    number: float
    cell: str
    made: datetime | None


def read_file(content: bytes, asked: Asked) -> WeatherFile:
    """Read a file's bytes. Raises Question where the file leaves something open, SeveralFaults with unusable rows.

    BadInput where it is no daily weather, or contradicts its own units.
    """
    return _Reader(content, asked).read()


class _Reader:
    def __init__(self, content: bytes, asked: Asked) -> None:
        self.asked = asked
        self.said = weather_units.said_units(asked.units)
        self.wanted = _formats(asked.format)
        self.layout, self.table = self._recognised(lines_of(content))
        self.found = WeatherFile(self.layout, rows=len(self.table.rows))
        self.counts: Counter[str] = Counter()
        self.runs: str | timedelta = self.layout.clock
        self.placed_at: dict[str, int] = {}
        for index, title in enumerate(self.table.header):
            self.placed_at.setdefault(folded(title), index)
            self.placed_at.setdefault(stem(title), index)

    def read(self) -> WeatherFile:
        layout, table, found = self.layout, self.table, self.found
        if not table.rows:
            raise BadInput("The file holds a header and no day; one line per day is accepted.")
        day_columns, time_column = self._day_columns()
        taken = {*day_columns, *([time_column] if time_column is not None else [])}
        columns = self._columns(taken)
        if layout.clock == "offset":
            self.runs = self._offset()
        rows = self._of_station([row for row in table.rows if self._is_wanted(row[1])])
        stamps = self._stamps(rows, day_columns, time_column)
        daily = self._is_daily(stamps.values(), columns)
        if daily and any(column.what in ("low", "high", "rain") for column in columns):
            for column in [column for column in columns if column.what == "temp"]:
                columns.remove(column)
                found.remarks.append(f"Not used: “{text.one_line(column.title)[:30]}”, one temperature of a whole day.")
        if not columns:
            raise BadInput("The file has one temperature a day; a day's lowest and highest are needed.")
        figures = self._figures(rows, stamps, columns)
        self._decide_units(columns, figures)
        values = self._values(figures)
        if any(column.what in ("tips", "counter") for column in columns):
            self._tips(values)
        elif daily:
            self._daily(values)
        else:
            self._hours(values)
        self._tell(layout, daily=daily)
        if found.faults and not self.asked.leave_out:
            raise SeveralFaults(
                f"{len(found.faults)} of {text.plural(found.rows, 'row')} cannot be used; nothing was logged.",
                found.faults, hint=Hint("Mend them, or import the other rows with ", Argument("leave-out"), "."))
        return found

    # what kind of file it is

    def _recognised(self, lines: list[str]) -> tuple[Layout, Table]:
        named = self.wanted.get("layout")
        for layout in LAYOUTS:
            if named is not None and layout.id != named:
                continue
            table = layout.table(lines)
            if table is None:
                continue
            if layout.asks and named is None:
                raise Question(f"The file looks like {layout.words}; nothing in it says so.", "format",
                               [Choice(layout.id, layout.words)])
            return layout, table
        if named not in (None, OWN.id):
            raise BadInput(f"The file is not in the format {named}.",
                           hint="Leave the format out to have it recognised by its header.")
        return OWN, self._own(lines)

    @staticmethod
    def _own(lines: Sequence[str]) -> Table:
        best: Table | None = None
        for place, separator, titles in headers(lines):
            names = {folded(title) for title in titles} | {stem(title) for title in titles}
            dated = names & (DAY_WORDS | UTC_WORDS) or any(set(parts) <= names for parts in _PARTS)
            if dated and any(meaning(title) or is_rate(title) or speaks_of_weather(title) for title in titles):
                return table_below(lines, place, separator, titles)
            if best is None and len(titles) > 1 or (dated and len(titles) > 1):
                best = best if best is not None and not dated else table_below(lines, place, separator, titles)
        if best is None:
            raise BadInput("The file is no table of weather: no line of it names columns.", hint=HEADER_LIKE)
        names = {folded(title) for title in best.header}
        words = ", ".join(text.one_line(title) for title in best.header)[:120]
        if not (names & (DAY_WORDS | UTC_WORDS)) and not any(set(parts) <= names for parts in _PARTS):
            raise BadInput(f"No column is named date (the header is: {words}).", hint=HEADER_LIKE)
        raise BadInput(f"No column holds rain or temperatures (the header is: {words}).", hint=HEADER_LIKE)

    def _place(self, names: str) -> int | None:
        return next((self.placed_at[name] for name in names.split("|") if name in self.placed_at), None)

    def _day_columns(self) -> tuple[list[int], int | None]:
        """The columns of the date, and that of the time where it is one of its own."""
        if self.layout is not OWN:
            places = [self._place(name) for name in self.layout.days]
            if None in places and self.layout.days == ("year", "month", "day"):
                places = next(([self._place(part) for part in parts] for parts in _PARTS
                               if all(part in self.placed_at for part in parts)), places)
            if None in places:
                raise BadInput(f"The file looks like {self.layout.words} but has no column “{self.layout.days[0]}”.")
            return [place for place in places if place is not None], None
        titles = [folded(title) for title in self.table.header]
        dated = [index for index, title in enumerate(titles) if title in DAY_WORDS | UTC_WORDS]
        if dated:
            if titles[dated[0]] in UTC_WORDS:
                self.runs = "utc"
            times = [index for index in dated[1:] if titles[index] in ("time", "local time", "utc", "time utc")]
            own_time = titles[dated[0]] in ("date", "day", "datum", "local date", "date utc") and bool(times)
            if own_time and titles[times[0]] in UTC_WORDS:
                self.runs = "utc"
            if titles[dated[0]] == "time" and len(dated) > 1 and titles[dated[1]] in ("date", "day", "datum"):
                return [dated[1]], dated[0]
            return dated[:1], times[0] if own_time else None
        parts = next(parts for parts in _PARTS if set(parts) <= set(titles))
        hour = ["hour"] if "hour" in titles else []
        return [titles.index(part) for part in (*parts, *hour)], None

    # columns

    def _columns(self, taken: set[int]) -> list[Column]:
        columns = self._of_layout() if self.layout.takes else self._by_words(taken)
        for what in ("rain", "low", "high", "temp", "tips", "counter"):
            twins = [column.title for column in columns if column.what == what]
            if len(twins) > 1:
                raise BadInput(f"Several columns hold the same thing: {', '.join(twins)}. Keep one of them.")
        if {"low", "high"} <= {column.what for column in columns}:
            columns = [column for column in columns if column.what != "temp"]
        return columns

    def _of_layout(self) -> list[Column]:
        header, columns = self.table.header, []
        for take in self.layout.takes:
            index = self._place(take.name)
            if index is None or any(column.what == take.what for column in columns):
                continue
            inside = bracket(header[index])
            unit = take.unit or (unit_of(inside) if inside is not None else None) or self._unit_above(header[index])
            flag = None
            if take.flag == "+1":
                flag = index + 1 if index + 1 < len(header) and folded(header[index + 1]) in ("qc", "q") else None
            elif take.flag:
                flag = self._place(take.flag.format(take.name))
            columns.append(Column(take.what, index, header[index], unit, flag))
        if not columns:
            raise BadInput(f"The file looks like {self.layout.words} and holds neither rain nor temperatures.")
        return columns

    def _unit_above(self, title: str) -> Unit | None:
        if not self.layout.unit_line:
            return None
        pattern = re.compile(self.layout.unit_line.format(name=re.escape(title)))
        return next((unit_of(match[1]) for line in self.table.preamble if (match := pattern.search(line))), None)

    def _by_words(self, taken: set[int]) -> list[Column]:
        columns, unused = [], []
        doubtful: list[str] = []
        for index, title in enumerate(self.table.header):
            if index in taken or not title.strip():
                continue
            words = folded(title)
            if words in MADE_WORDS:
                continue
            meant = None if is_rate(title) else meaning(title)
            if meant is not None:
                columns.append(Column(meant.what, index, title.strip(), meant.unit))
                continue
            unused.append(text.one_line(title)[:20])
            if is_rate(title):
                doubtful.append(f"Column “{text.one_line(title)[:40]}” holds a rate, which is no amount of rain")
            elif speaks_of_weather(title) is not None:
                doubtful.append(f"Column “{text.one_line(title)[:40]}” is in no unit that is known")
        if not columns:
            words = ", ".join(text.one_line(title) for title in self.table.header)[:120]
            raise BadInput(f"{doubtful[0]}; {weather_units.ACCEPTED.split(', or what')[0]} are known." if doubtful else
                           f"No column holds rain or temperatures (the header is: {words}).", hint=HEADER_LIKE)
        if unused:
            more = f" and {len(unused) - 6} more" if len(unused) > 6 else ""
            self.found.remarks.append(f"Not used: {text.listed([f'“{name}”' for name in unused[:6]])}{more}.")
        return columns

    # rows

    def _is_wanted(self, row: Sequence[str]) -> bool:
        column, begins = self.layout.only
        if not column:
            return True
        index = self.placed_at[column]
        return index < len(row) and row[index].startswith(begins)

    def _of_station(self, rows: list[tuple[int, list[str]]]) -> list[tuple[int, list[str]]]:
        names = [self.layout.station] if self.layout.station else list(_STATIONS)
        index = next((self.placed_at[name] for name in names if name in self.placed_at), None)
        wanted = self.asked.station
        if index is None:
            if wanted:
                raise BadInput(f"The file names no station, so “{text.one_line(wanted)[:40]}” cannot be chosen.")
            return rows
        known = Counter(row[index] for _, row in rows if index < len(row))
        if wanted:
            if wanted.strip() not in known:
                raise BadInput(f"The file has no station “{text.one_line(wanted)[:40]}”; "
                               f"it has {_few(list(known))}.")
            return [(line, row) for line, row in rows if index < len(row) and row[index] == wanted.strip()]
        if len(known) > 1:
            raise Question(f"The file has {len(known)} stations; the weather of one place is accepted.", "station",
                           [Choice(text.one_line(name)[:60], text.plural(count, "row"))
                            for name, count in known.most_common(12)])
        return rows

    def _stamps(self, rows: Sequence[tuple[int, list[str]]], places: Sequence[int], time_place: int | None
                ) -> dict[int, Stamp]:
        """The stamp of each row by its line; rows without one become faults."""
        made: dict[int, Stamp] = {}
        written: dict[int, str] = {}
        for line, row in rows:
            if max([*places, time_place or 0]) >= len(row):
                self.found.faults.append(f"line {line}: the row is shorter than the header")
                continue
            written[line] = row[places[0]] if time_place is None else f"{row[places[0]]} {row[time_place]}"
        order = self.layout.order if len(places) > 1 or self.layout is not OWN else self._order(written.values())
        names = [_PART_NAMES.get(folded(self.table.header[place]), folded(self.table.header[place])) for place in places]
        if self.layout is not OWN:
            orders_of([cell for cell in written.values() if len(places) == 1])
        by_line = {line: row for line, row in rows}
        for line, cell in written.items():
            try:
                made[line] = stamp(cell, order) if len(places) == 1 else \
                    of_parts([by_line[line][place] for place in places], names)
            except BadInput as fault:
                self.found.faults.append(f"line {line}: {fault}")
        return made

    def _order(self, written: Iterable[str]) -> str:
        """How the file's own dates are written. Raises Question where two ways fit."""
        some = list(written)
        said = self.wanted.get("order")
        fitting = orders_of(some)
        if said is not None:
            return said
        if len(fitting) > 1 and not any(re.match(r"\d{4}", cell) for cell in some):
            first = next(cell for cell in some if cell)
            raise Question(f"The dates of the file can be read in two ways (“{first[:20]}”).", "format", [
                Choice(order, f"{ORDERS[order]}: the rows are {_few([str(stamp(cell, order).day) for cell in some])}")
                for order in fitting])
        return fitting[0] if fitting else "ymd"

    def _is_daily(self, stamps: Iterable[Stamp], columns: Sequence[Column]) -> bool:
        if any(column.what in ("tips", "counter") for column in columns):
            return False
        times: dict[date, set[object]] = {}
        for one in stamps:
            times.setdefault(one.day, set()).add(one.at)
        if self.layout.hours[0] or self.layout.id == "lcd":
            return True
        several = any(len(found) > 1 for found in times.values())
        hours = {at for found in times.values() for at in found}
        at_hours = hours != {None} and (several or len(hours) > 2 or all(column.what == "temp" for column in columns))
        return not at_hours

    def _figures(self, rows: Sequence[tuple[int, list[str]]], stamps: dict[int, Stamp], columns: Sequence[Column]
                 ) -> list[_Figure]:
        """Every figure of the file with its flag obeyed and no unit yet; cells that hold none become faults."""
        layout, found = self.layout, []
        commas = self._decimal_commas(rows, columns)
        made_at = next((index for title, index in self.placed_at.items() if title in MADE_WORDS), None)
        together = [self.placed_at[name] for name in layout.together.split("|") if name in self.placed_at]
        for line, row in rows:
            if line not in stamps:
                continue
            try:
                made = _made(row[made_at], self.asked.zone) if made_at is not None and made_at < len(row) else None
                for column in columns:
                    cell = row[column.index] if column.index < len(row) else ""
                    mark = row[column.flag] if column.flag is not None and column.flag < len(row) else ""
                    effect = layout.flags(mark) if layout.flags is not None and mark else ""
                    if effect == "trace" and column.what == "rain":
                        cell = "T"
                    number = self._number(cell, column, commas=commas)
                    if number is None:
                        continue
                    if any(place < len(row) and _days_in(row[place]) > 1 for place in together):
                        effect = "several"
                    if effect in ("out", "several", "told"):
                        self.counts[effect] += 1
                    if effect not in ("out", "several"):
                        found.append(_Figure(line, stamps[line], column, number, cell, made))
            except BadInput as fault:
                self.found.faults.append(f"line {line}: {fault}")
        self._rows = {line: row for line, row in rows}
        return found

    def _decimal_commas(self, rows: Sequence[tuple[int, list[str]]], columns: Sequence[Column]) -> bool:
        """Whether a comma is certainly a decimal one: some figure has it with other than three digits behind."""
        cells = [row[column.index] for _, row in rows for column in columns
                 if column.index < len(row) and "," in row[column.index]]
        return any(re.fullmatch(r"[+-]?(?:\d+,(?:\d{1,2}|\d{4,})|0,\d+)", cell) for cell in cells)

    def _number(self, cell: str, column: Column, *, commas: bool) -> float | None:
        layout = self.layout
        bare = cell.rstrip(layout.tail) if layout.tail and cell[:1].isdigit() else cell
        if bare != cell:
            self.counts["told"] += 1
        if bare.casefold() in MISSING or bare in layout.missing or _CODE.fullmatch(bare):
            return None
        if column.what == "rain" and (bare.casefold() in ("t", "trace") or (layout.trace and bare == layout.trace)):
            return 0.0
        if not _NUMBER.fullmatch(bare):
            raise BadInput(f"{column.title}: “{cell[:20]}” is not a number")
        if "," in bare and not commas:
            raise BadInput(f"{column.title}: “{cell[:20]}” may be a thousand or a fraction; write it with a point")
        number = float(bare.replace(",", "."))
        if abs(number) > 1e7:
            raise BadInput(f"{column.title}: “{cell[:20]}” is not a number that can be used")
        return number

    # units

    def _decide_units(self, columns: Sequence[Column], figures: Sequence[_Figure]) -> None:
        """Settle the unit of every column over the whole file. Raises Question where several readings stand."""
        for column in columns:
            self._agrees(column)
        open_ones = [column for column in columns if column.unit is None]
        if self.layout.whole and any(figure.number != int(figure.number) for figure in figures
                                     if figure.column.what in ("low", "high", "temp")):
            open_ones = list(columns)
        for column in columns:
            if column.unit is HUNDREDTHS_IN and "hundredth" in folded(column.title):
                self._hundredths(column, figures)
        tips = [column for column in open_ones if column.what in ("tips", "counter")]
        if tips:
            self._size_of_a_tip(tips)
        rain = [column for column in open_ones if column.what == "rain"]
        temperatures = [column for column in open_ones if column.what in ("low", "high", "temp")]
        if self.layout.joint and rain and temperatures:
            self._together(rain, temperatures, figures)
        else:
            self._alone(rain, temperatures, figures)

    def _agrees(self, column: Column) -> None:
        said = self.said.rain if column.what == "rain" else self.said.temperature
        if column.unit is None or said is None or said.system == column.unit.system or column.unit is HUNDREDTHS_IN:
            return
        raise BadInput(f"“{self.said.words}” was said of the units, but column “{column.title}” is in "
                       f"{column.unit.name} by the file.", hint="Leave the units out.")

    def _of(self, columns: Sequence[Column], figures: Sequence[_Figure]) -> list[tuple[str, float]]:
        return [(one.column.what, one.number) for one in figures
                if any(one.column is column for column in columns) and not _NINES.fullmatch(one.cell)]

    def _together(self, rain: list[Column], temperatures: list[Column], figures: Sequence[_Figure]) -> None:
        """Rain and temperatures without a unit, but of one system."""
        of_rain, of_temperature = self._of(rain, figures), self._of(temperatures, figures)
        pairs = {name: pair for name, pair in SYSTEMS.items()
                 if pair[0] in weather_units.fitting(of_rain, RAIN) and
                 pair[1] in weather_units.fitting(of_temperature, TEMPERATURE[:3])}
        said = self.said
        if said.rain is not None and said.temperature is not None:
            pairs = {said.words: (said.rain, said.temperature)}
        if len(pairs) > 1 and not (
                weather_units.same_values(of_rain, [pair[0] for pair in pairs.values()]) and not of_temperature):
            self._ask(figures, [(name, pair[0] if of_rain else None, pair[1] if of_temperature else None)
                                for name, pair in pairs.items()], rain + temperatures)
        self._settle(rain + temperatures, next(iter(pairs.values()), None), figures)

    def _alone(self, rain: list[Column], temperatures: list[Column], figures: Sequence[_Figure]) -> None:
        """Rain without a unit, or temperatures; what one is in says nothing of the other."""
        chosen: list[Unit | None] = []
        asks: dict[str, list[Unit]] = {}
        for name, columns, known, said in (("rain", rain, RAIN, self.said.rain),
                                           ("temperatures", temperatures, TEMPERATURE, self.said.temperature)):
            of_these = self._of(columns, figures)
            units = weather_units.fitting(of_these, known) if columns else []
            if columns and said is not None:
                units = [said]
            if len(units) > 1 and not weather_units.same_values(of_these, units):
                asks[name] = units
            chosen.append(units[0] if units else None)
        if asks:
            readings = []
            for name, (rain_unit, temperature_unit) in SYSTEMS.items():
                mine = (rain_unit if rain_unit in asks.get("rain", ()) else None,
                        temperature_unit if temperature_unit in asks.get("temperatures", ()) else None)
                if any(mine):
                    readings.append((name, *mine))
            if weather_units.K in asks.get("temperatures", ()):
                readings.append(("k", None, weather_units.K))
            self._ask(figures, readings, rain + temperatures)
        for columns, unit in ((rain, chosen[0]), (temperatures, chosen[1])):
            if columns:
                self._settle(columns, None if unit is None else (unit, unit), figures)

    def _settle(self, columns: Sequence[Column], units: tuple[Unit, Unit] | None, figures: Sequence[_Figure]) -> None:
        if units is None:
            titles = text.listed([f"“{column.title}”" for column in columns])
            lines = _few([f"line {one.line} “{one.cell[:12]}”" for one in figures
                          if any(one.column is column for column in columns)][-3:])
            raise BadInput(f"No unit fits all rows of {titles} (look at {lines}); nothing was taken.")
        for column in columns:
            column.unit = units[0] if column.what == "rain" else units[1]
        names = text.listed(list(dict.fromkeys(column.unit.name for column in columns if column.unit is not None)))
        titles = text.listed([f"“{text.one_line(column.title)[:20]}”" for column in columns])
        self.found.remarks.append(f"{titles} read as {names}: " + (
            "as you said." if self.said.words else "no other unit fits every row of the file."))

    def _ask(self, figures: Sequence[_Figure], readings: Sequence[tuple[str, Unit | None, Unit | None]],
             columns: Sequence[Column]) -> None:
        mine = Figures([(one.stamp.day, one.column.what, one.number) for one in figures
                        if any(one.column is column for column in columns)])
        asked = self.asked
        choices = []
        for name, rain, temperature in readings:
            units = text.listed([unit.name for unit in (rain, temperature) if unit is not None])
            choices.append(Choice(name, f"{units}: {reading(mine, rain, temperature, asked.sky, asked.system)}"))
        titles = text.listed([f"“{text.one_line(column.title)[:20]}”" for column in columns])
        raise Question(f"The file does not say in which unit {titles} {'is' if len(columns) == 1 else 'are'}, and its "
                       f"figures fit several. {normal(mine, asked.sky, asked.system)}", "units", choices)

    def _hundredths(self, column: Column, figures: Sequence[_Figure]) -> None:
        said = self.said
        if said.rain is None:
            amounts = [one.number for one in figures if one.column is column]
            most = max(amounts, default=0.0)
            raise Question(f"Column “{column.title}” speaks of hundredths of an inch; its largest figure is {most:g}.",
                           "units", [Choice("us", f"hundredths of an inch: that is {most * 0.254:.1f} mm"),
                                     Choice("in", f"whole inches: that is {most * 25.4:.0f} mm")])
        column.unit = HUNDREDTHS_IN if said.words == "us" else said.rain

    def _size_of_a_tip(self, columns: Sequence[Column]) -> None:
        if self.said.tip is None:
            raise Question("How much rain one tip of this gauge is does not stand in the file; look at the gauge.",
                           "units", [Choice("0.01in", "0.01 in (0.254 mm), usual in the United States"),
                                     Choice("0.2mm", "0.2 mm, usual elsewhere"),
                                     Choice("0.1mm", "0.1 mm"), Choice("0.5mm", "0.5 mm")])
        for column in columns:
            column.unit = self.said.tip
        self.found.remarks.append(f"One tip is taken as {self.said.tip.name}, as you said.")

    # figures

    def _values(self, figures: Sequence[_Figure]) -> list[tuple[_Figure, float]]:
        """The figures in mm and degC. Raises SeveralFaults where any contradicts its unit but would fit another."""
        made, contradictions = [], []
        for one in figures:
            unit, what = one.column.unit, one.column.what
            assert unit is not None
            if what in ("tips", "counter"):
                if one.number < 0 or one.number != int(one.number):
                    self.found.faults.append(f"line {one.line}: {one.column.title}: “{one.cell[:20]}” is no count")
                else:
                    made.append((one, one.number))
                continue
            if unit.holds(what, one.number):
                if not (one.cell.startswith("-99") and _NINES.fullmatch(one.cell) and not unit.whole):
                    made.append((one, unit.value(one.number)))
                continue
            if _NINES.fullmatch(one.cell):
                continue   # a code for a missing figure: no weather is out of range by chance in nines alone
            words = f"line {one.line}: {one.column.title}: “{one.cell[:20]}” is out of range in {unit.name}"
            others = [other for other in (RAIN if unit.rain else TEMPERATURE) if other.holds(what, one.number)]
            if others:
                contradictions.append(f"{words}; in {text.listed([other.name for other in others], 'or')} it would not")
            else:
                self.found.faults.append(f"{words}; {_range(what)} is accepted")
        if contradictions:
            raise SeveralFaults(
                f"{text.plural(len(contradictions), 'figure')} of the file cannot be in the unit of the column, so the "
                "unit may be wrong everywhere; nothing was taken.", [*contradictions[:20]],
                hint="Look at the units of the whole file; empty a cell that is only a slip.")
        return made

    def _daily(self, values: Sequence[tuple[_Figure, float]]) -> None:
        rows: dict[int, tuple[_Figure, dict[str, float]]] = {}
        for one, value in values:
            rows.setdefault(one.line, (one, {}))[1][one.column.what] = value
        spans: dict[date, list[tuple[int, float, dict[str, float]]]] = {}
        for line, (one, found) in sorted(rows.items()):
            hours, ends = self._hours_of(line)
            if 0 < hours < 24:
                day = (one.stamp.wall() - timedelta(hours=ends, seconds=1)).date() + timedelta(days=1)
                spans.setdefault(day, []).append((line, hours, found))
            else:
                self._keep(one.stamp.day, line, found, one.made)
        for day, parts in spans.items():
            if sum(hours for _, hours, _ in parts) >= weather_hours.ENOUGH_HOURS:
                joined = {what: join(part[what] for _, _, part in parts) for what, join in
                          (("rain", sum), ("low", min), ("high", max)) if all(what in part for _, _, part in parts)}
                self._keep(day, parts[0][0], joined, None)
            else:
                self.counts["few"] += 1

    def _hours_of(self, line: int) -> tuple[float, int]:
        column, ends = self.layout.hours
        place = self.placed_at.get(column) if column else None
        if place is None:
            return 24.0, ends
        return float(_days_in(self._rows[line][place])), ends

    def _keep(self, day: date, line: int, values: dict[str, float], made: datetime | None) -> None:
        if not values:
            return
        low, high = values.get("low"), values.get("high")
        if low is not None and high is not None and low > high:
            self.found.faults.append(f"line {line}: the lowest temperature is above the highest on {day}")
            return
        twin = self.found.days.get(day)
        if twin is None or (made is not None and twin.made is not None and made > twin.made):
            self.found.days[day] = Day(line, values, made)
        elif twin.values != values and not (twin.made is not None and made is not None and made < twin.made):
            self.found.faults.append(f"line {line}: {day} stands already in line {twin.line} with other values")

    def _readings(self, values: Sequence[tuple[_Figure, float]]) -> list[Reading]:
        ordered = list(values)
        if ordered and ordered[0][0].stamp.wall() > ordered[-1][0].stamp.wall():
            ordered.reverse()   # newest first
        zones = Zones(self.asked.zone, self.runs, [one.stamp for one, _ in ordered])
        if zones.standard and self.runs == "local":
            self.found.remarks.append("The file holds an hour that summer time leaves out: its times are taken as "
                                      "standard time all year.")
        made: list[Reading] = []
        known: dict[tuple[datetime, str], Reading] = {}
        moments: dict[int, datetime] = {}
        for one, value in ordered:
            if one.line not in moments:
                moments[one.line] = zones.moment(one.stamp)
            found = Reading(one.line, moments[one.line], one.column.what, value)
            twin = known.setdefault((found.moment, found.what), found)
            if twin is found or self.layout.running or found.what == "tips":
                made.append(found)
            elif twin.value != found.value:
                self.found.faults.append(f"line {one.line}: its time stands already in line {twin.line} with other "
                                         "values")
        return made

    def _hours(self, values: Sequence[tuple[_Figure, float]]) -> None:
        readings = self._readings(values)
        running = "hour" if self.layout.running else {RUNNING: "day"}.get(self.wanted.get("rain", ""), "")
        if self.layout is OWN and not running and "rain" not in self.wanted and \
                weather_hours.looks_running(readings, self.asked.zone):
            raise Question("The rain of this file only grows over each day; it may be the day's total so far.", "format", [
                Choice(RUNNING, "each figure is the day's total so far"),
                Choice(AMOUNTS, "each figure is what fell since the one before")])
        days, few = weather_hours.to_days(readings, self.asked.zone, running=running)
        lines: dict[date, int] = {}
        made: dict[date, datetime] = {}
        for one, _ in values:
            lines.setdefault(one.stamp.day, one.line)
            if one.made is not None:
                made[one.stamp.day] = one.made
        for day, found in sorted(days.items()):
            self._keep(day, lines.get(day, 0), found, made.get(day))
        self.counts["few"] += len(few)
        if not self.found.days and few:
            raise BadInput(f"No day of the file has {weather_hours.ENOUGH_HOURS} hours with a figure "
                           f"({text.plural(len(few), 'day')} with fewer); nothing was taken.")
        self.found.remarks.append("Hours were made into local days; rain counts for the hour before its time.")

    def _tips(self, values: Sequence[tuple[_Figure, float]]) -> None:
        readings = self._readings(values)
        unit = values[0][0].column.unit if values else None
        counter = [one for one in readings if one.what == "counter"]
        days, unclear = weather_hours.counted(counter, self.asked.zone) if counter else (
            weather_hours.tips(readings, self.asked.zone), [])
        today = clock.local_day(self.asked.now, self.asked.zone)
        for day, count in sorted(days.items()):
            if day < today and unit is not None:
                self._keep(day, 0, {"rain": unit.value(count)}, None)
        if unclear:
            self.found.remarks.append(f"{text.plural(len(unclear), 'day')} without a reading for more than a day left "
                                      "out: nobody knows on which of them it rained.")

    def _offset(self) -> str | timedelta:
        """What the lines above a model's header say of its clock."""
        for number, line in enumerate(self.table.preamble):
            names = [folded(name) for name in line.split(",")]
            if "utc offset seconds" in names and number + 1 < len(self.table.preamble):
                row = self.table.preamble[number + 1].split(",")
                try:
                    return timedelta(seconds=int(row[names.index("utc offset seconds")]))
                except (IndexError, ValueError, OverflowError):
                    return "local"
        return "local"

    def _tell(self, layout: Layout, *, daily: bool) -> None:
        counts, remarks = self.counts, self.found.remarks
        if layout is not OWN:
            remarks.insert(0, f"Read as {layout.words}.")
        if daily and layout.ends:
            remarks.append(layout.ends)
        for kind, words in (
                ("out", "left out: the file marks them as failed, doubtful or incomplete."),
                ("several", "left out: they are of several days together. Log such a total with its first and last day."),
                ("told", "marked in the file as estimated, preliminary or doubtful, and taken.")):
            if counts[kind]:
                remarks.append(f"{text.plural(counts[kind], 'figure')} {words}")
        if counts["few"]:
            remarks.append(f"{text.plural(counts['few'], 'day')} with fewer than {weather_hours.ENOUGH_HOURS} hours left "
                           "out.")


def _formats(words: str | None) -> dict[str, str]:
    """Read --format: a layout, the order of dates, what hourly rain is; several with commas."""
    found: dict[str, str] = {}
    layouts = [layout.id for layout in (*LAYOUTS, OWN)]
    for part in (words or "").casefold().split(","):
        word = part.strip()
        if not word:
            continue
        kind = "layout" if word in layouts else "order" if word in ORDERS else "rain" if word in (AMOUNTS, RUNNING) \
            else None
        if kind is None:
            raise BadInput(f"“{text.one_line(word)[:40]}” is no format of weather files; known are "
                           f"{text.listed([*layouts, *ORDERS, AMOUNTS, RUNNING])}.")
        found[kind] = word
    return found


def _made(cell: str, zone: str) -> datetime | None:
    if cell.casefold() in MISSING:
        return None
    try:
        found = datetime.fromisoformat(cell)
        return clock.attach(found, zone) if found.tzinfo is None else found
    except ValueError:
        raise BadInput(f"“{cell[:30]}” is not the moment of a forecast like 2026-11-26T18:00-08:00") from None


def _days_in(cell: str) -> int:
    try:
        return int(float(cell))
    except ValueError:
        return 0


def _range(what: str) -> str:
    if what == "rain":
        return f"0 to {weather_units.MAX_RAIN_MM:.0f} mm"
    warmest = weather_units.HOTTEST_LOW_C if what == "low" else weather_units.HOTTEST_C
    return f"{weather_units.COLDEST_C:.0f} to {warmest:.0f} degC"


def _few(words: Sequence[str]) -> str:
    return ", ".join(words[:5]) + (f" and {len(words) - 5} more" if len(words) > 5 else "")
