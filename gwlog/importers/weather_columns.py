"""Which layout a weather file is in, which of its columns are taken, and what each says of its unit.

A file that no layout knows is read by the words of its header alone; a word that is not known leaves its column out.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import timedelta

from gwlog import text
from gwlog.errors import BadInput
from gwlog.importers.weather_layouts import LAYOUTS, OWN, Layout
from gwlog.importers.weather_model import Asked, Column, Opened
from gwlog.importers.weather_question import Choice, Question
from gwlog.importers.weather_stamps import ORDERS
from gwlog.importers.weather_text import Table, headers, lines_of, table_below
from gwlog.importers.weather_units import ACCEPTED, Unit, said_units, unit_of
from gwlog.importers.weather_words import (
    DAY_WORDS,
    MADE_WORDS,
    UTC_WORDS,
    bracket,
    folded,
    is_rate,
    judged,
    meaning,
    speaks_of_weather,
    stem,
)

AMOUNTS, RUNNING = "amounts", "running"
HEADER_LIKE = "A header like: date,rain_mm,tmin_c,tmax_c"
PARTS = (("year", "month", "day"), ("year", "mo", "dy"), ("year", "yday"), ("year", "doy"))
"""The columns that a date may stand in."""


def opened(content: bytes, asked: Asked) -> Opened:
    """Recognise a file and its columns. Raises Question where the form alone proves nothing, BadInput where none fits.
    """
    said, wanted = said_units(asked.units), formats(asked.format)
    layout, table = _recognised(lines_of(content), wanted.get("layout"))
    if not table.rows:
        raise BadInput("The file has a header and no day; use one line per day.")
    placed: dict[str, int] = {}
    for index, title in enumerate(table.header):
        placed.setdefault(folded(title), index)
        placed.setdefault(stem(title), index)
    file = Opened(layout, table, asked, said, wanted, placed, layout.clock)
    _find_days(file)
    _find_columns(file)
    if layout.clock == "offset":
        file.runs = _offset(table)
    return file


def formats(words: str | None) -> dict[str, str]:
    """Read --format: a layout, the order of dates, what hourly rain is; several with commas. Raises BadInput."""
    found: dict[str, str] = {}
    layouts = [layout.id for layout in (*LAYOUTS, OWN)]
    for part in (words or "").casefold().split(","):
        word = part.strip()
        if not word:
            continue
        kind = "layout" if word in layouts else "order" if word in ORDERS else "rain" if word in (AMOUNTS, RUNNING) \
            else None
        if kind is None:
            raise BadInput(f"“{text.one_line(word)[:40]}” is not a format of weather files; choose from: "
                           f"{text.listed([*layouts, *ORDERS, AMOUNTS, RUNNING])}.")
        found[kind] = word
    return found


def _recognised(lines: Sequence[str], named: str | None) -> tuple[Layout, Table]:
    for layout in LAYOUTS:
        table = layout.table(lines) if named in (None, layout.id) else None
        if table is None:
            continue
        if layout.asks and named is None:
            raise Question(f"The file looks like {layout.words}; nothing in it says so.", "format",
                           [Choice(layout.id, layout.words)])
        return layout, table
    if named not in (None, OWN.id):
        raise BadInput(f"The file is not in the format {named}.",
                       hint="Leave the format out to have it recognised by its header.")
    return OWN, _own(lines)


def _own(lines: Sequence[str]) -> Table:
    """The table below the first line that names a date and some weather."""
    told: list[str] | None = None
    dated = False
    for place, separator, titles in headers(lines):
        if len(titles) < 2:
            continue
        here = _is_dated(titles)
        if here and any(meaning(title) or is_rate(title) or speaks_of_weather(title) for title in titles):
            return table_below(lines, place, separator, titles)
        if told is None or (here and not dated):
            told, dated = titles, here
    if told is None:
        raise BadInput("The file is no table of weather: no line of it names columns, a date among them.",
                       hint=HEADER_LIKE)
    words = ", ".join(text.one_line(title) for title in told)[:120]
    raise BadInput(f"No column {'holds rain or temperatures' if dated else 'is named date'} (the header is: {words}).",
                   hint=HEADER_LIKE)


def _is_dated(titles: Sequence[str]) -> bool:
    names = {folded(title) for title in titles} | {stem(title) for title in titles}
    return bool(names & (DAY_WORDS | UTC_WORDS)) or any(set(parts) <= names for parts in PARTS)


def _find_days(file: Opened) -> None:
    """Find the columns of the date, and that of the time where it is one of its own."""
    layout = file.layout
    titles = [stem(title) if stem(title) in DAY_WORDS else folded(title) for title in file.table.header]
    if layout is not OWN:
        places = [file.place(name) for name in layout.days]
        if None in places and layout.days == ("year", "month", "day"):
            places = next(([file.place(part) for part in parts] for parts in PARTS
                           if all(part in file.placed for part in parts)), places)
        if None in places:
            raise BadInput(f"The file looks like {layout.words} but has no column “{layout.days[0]}”.")
        file.days = [place for place in places if place is not None]
        return
    dated = [index for index, title in enumerate(titles) if title in DAY_WORDS | UTC_WORDS]
    if not dated:
        parts = next(parts for parts in PARTS if set(parts) <= file.placed.keys())
        file.days = [file.placed[part] for part in (*parts, "hour") if part in file.placed]
        return
    days = [index for index in dated if titles[index] in ("date", "day", "datum", "local date", "date utc")]
    times = [index for index in dated if titles[index] in ("time", "local time", "utc", "time utc", "utc time")]
    if days and times:
        file.days, file.time = days[:1], times[0]
    else:
        file.days = dated[:1]
    if any(titles[index] in UTC_WORDS for index in (*file.days, *times[:1])):
        file.runs = "utc"
    elif bracket(file.table.header[file.days[0]]) in ("lst", "utc", "gmt"):
        file.runs = "standard" if bracket(file.table.header[file.days[0]]) == "lst" else "utc"


def _find_columns(file: Opened) -> None:
    columns = _of_layout(file) if file.layout.takes else _by_words(file)
    for what in ("rain", "low", "high", "temp", "tips", "counter"):
        twins = [column.title for column in columns if column.what == what]
        if len(twins) > 1:
            raise BadInput(f"Several columns hold the same thing: {', '.join(twins)}. Keep one of them.")
    if {"low", "high"} <= {column.what for column in columns}:
        columns = [column for column in columns if column.what != "temp"]
    file.columns = columns


def _of_layout(file: Opened) -> list[Column]:
    header = file.table.header
    columns: list[Column] = []
    for take in file.layout.takes:
        index = file.place(take.name)
        if index is None or any(column.what == take.what for column in columns):
            continue
        inside = bracket(header[index])
        unit = take.unit or (unit_of(inside) if inside is not None else None) or _unit_above(file, header[index])
        flag = None
        if take.flag == "+1":
            flag = index + 1 if index + 1 < len(header) and folded(header[index + 1]) in ("qc", "q") else None
        elif take.flag:
            flag = file.place(take.flag.format(take.name))
        columns.append(Column(take.what, index, header[index], unit, flag))
    if not columns:
        raise BadInput(f"The file looks like {file.layout.words} and holds neither rain nor temperatures.")
    return columns


def _unit_above(file: Opened, title: str) -> Unit | None:
    if not file.layout.unit_line:
        return None
    pattern = re.compile(file.layout.unit_line.format(name=re.escape(title)))
    return next((unit_of(match[1]) for line in file.table.preamble if (match := pattern.search(line))), None)


def _by_words(file: Opened) -> list[Column]:
    columns: list[Column] = []
    unused: list[str] = []
    marks: dict[str, int] = {}
    doubtful: list[str] = []
    for index, title in enumerate(file.table.header):
        if index in (*file.days, file.time) or not title.strip() or folded(title) in MADE_WORDS:
            continue
        meant = None if is_rate(title) else meaning(title)
        if meant is not None:
            columns.append(Column(meant.what, index, title.strip(), meant.unit))
            continue
        if (of := judged(title)) is not None:
            marks[of] = index
            continue
        unused.append(text.one_line(title)[:20])
        if is_rate(title):
            doubtful.append(f"Column “{text.one_line(title)[:40]}” holds a rate, which is no amount of rain.")
        elif speaks_of_weather(title) is not None:
            doubtful.append(f"Column “{text.one_line(title)[:40]}” is in no unit that is known; "
                            f"{ACCEPTED.split(', or what')[0]} are.")
    if not columns:
        words = ", ".join(text.one_line(title) for title in file.table.header)[:120]
        raise BadInput(doubtful[0] if doubtful else
                       f"No column holds rain or temperatures (the header is: {words}).", hint=HEADER_LIKE)
    for column in columns:
        words = stem(column.title)
        column.flag = marks.get(words, marks.get(folded(column.title), next(
            (index for of, index in marks.items() if of and words.startswith(of)), marks.get(""))))
    if unused:
        more = f" and {len(unused) - 6} more" if len(unused) > 6 else ""
        file.remarks.append(f"Not used: {text.listed([f'“{name}”' for name in unused[:6]])}{more}.")
    return columns


def _offset(table: Table) -> str | timedelta:
    """What the lines above a model's header say of its clock."""
    for number, line in enumerate(table.preamble[:-1]):
        names = [folded(name) for name in line.split(",")]
        if "utc offset seconds" in names:
            try:
                return timedelta(seconds=int(table.preamble[number + 1].split(",")[names.index("utc offset seconds")]))
            except (IndexError, ValueError, OverflowError):
                return "local"
    return "local"
