"""The rows of a weather file whose columns are known: the stamp of each and its figures, flags obeyed, strictly.

A cell that is no number, no code and no mark of its layout is a fault of its row; nothing is guessed.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from datetime import datetime

from gwlog import clock, text
from gwlog.errors import BadInput
from gwlog.importers.weather_layouts import OWN
from gwlog.importers.weather_model import Column, Figure, Opened, WeatherFile, few
from gwlog.importers.weather_question import Choice, Question
from gwlog.importers.weather_stamps import ORDERS, Stamp, of_parts, orders_of, stamp
from gwlog.importers.weather_words import MADE_WORDS, folded

MISSING = frozenset({"", "na", "n/a", "nan", "-", "--", "---", "m", "null", "none", "*", "missing", "mm"})
_STATIONS = ("station", "station id", "station number", "stn", "site")
_CODE = re.compile(r"[+-]?(?:9{4,}(?:\.[09]+)?|999\.90*)|-999(?:\.[09]+)?|-6999(?:\.0+)?")
_NUMBER = re.compile(r"[+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d{1,2})?")
_SURE_COMMA = re.compile(r"[+-]?(?:\d+,(?:\d{1,2}|\d{4,})|0,\d+)")
_PART_NAMES = {"mo": "month", "dy": "day"}

Rows = list[tuple[int, list[str]]]
"""Rows of cells, each with its line."""


def rows_of(file: Opened) -> Rows:
    """The rows of one station, of the kind that the layout asks for. Raises Question where there are more stations."""
    rows, (column, begins) = file.table.rows, file.layout.only
    if column:
        kind = file.placed[column]
        rows = [(line, row) for line, row in rows if kind < len(row) and row[kind].startswith(begins)]
    names = [file.layout.station] if file.layout.station else list(_STATIONS)
    index = next((file.placed[name] for name in names if name in file.placed), None)
    wanted = (file.asked.station or "").strip()
    if index is None:
        if wanted:
            raise BadInput(f"The file names no station, so “{text.one_line(wanted)[:40]}” cannot be chosen.")
        return rows
    known = Counter(row[index] for _, row in rows if index < len(row))
    if wanted:
        if wanted not in known:
            raise BadInput(f"The file has no station “{text.one_line(wanted)[:40]}”; it has {few(list(known))}.")
        return [(line, row) for line, row in rows if index < len(row) and row[index] == wanted]
    if len(known) > 1:
        raise Question(f"The file has {len(known)} stations; use the weather of one place.", "station",
                       [Choice(text.one_line(name)[:60], text.plural(count, "row"))
                        for name, count in known.most_common(12)])
    return rows


def stamps_of(file: Opened, rows: Rows, found: WeatherFile) -> dict[int, Stamp]:
    """The stamp of each row by its number; rows without one become faults. Raises Question on the order of dates."""
    places, made = file.days, {}
    written: dict[int, str] = {}
    for number, (line, row) in enumerate(rows):
        if max([*places, file.time or 0]) >= len(row):
            found.faults.append(f"line {line}: the row is shorter than the header")
        else:
            written[number] = row[places[0]] if file.time is None else f"{row[places[0]]} {row[file.time]}"
    alone = len(places) == 1
    fitting = orders_of(written.values()) if alone else []
    order = file.layout.order if file.layout is not OWN else _order(file, list(written.values()), fitting)
    titles = [folded(file.table.header[place]) for place in places]
    names = [_PART_NAMES.get(title, title) for title in titles]
    for number, cell in written.items():
        line, row = rows[number]
        try:
            made[number] = stamp(cell, order) if alone else of_parts([row[place] for place in places], names)
        except BadInput as fault:
            found.faults.append(f"line {line}: {fault}")
    return made


def _order(file: Opened, written: Sequence[str], fitting: Sequence[str]) -> str:
    said = file.format.get("order")
    if said is not None:
        return said
    if len(fitting) > 1 and any(written) and not any(re.match(r"\d{4}", cell) for cell in written):
        first = next(cell for cell in written if cell)
        raise Question(f"The dates of the file can be read in two ways (“{text.one_line(first)[:20]}”).", "format", [
            Choice(order, f"{ORDERS[order]}: {few([str(stamp(cell, order).day) for cell in written if cell])}")
            for order in fitting])
    return fitting[0] if fitting else "ymd"


def figures_of(file: Opened, rows: Rows, stamps: dict[int, Stamp], found: WeatherFile) -> list[Figure]:
    """Every figure with its flag obeyed and no unit yet; cells that hold none become faults of their row."""
    layout, made = file.layout, []
    commas = _decimal_commas(rows, file.columns)
    made_at = next((index for title, index in file.placed.items() if title in MADE_WORDS), None)
    together = [file.placed[name] for name in layout.together.split("|") if name in file.placed]
    for number, (line, row) in enumerate(rows):
        if number not in stamps:
            continue
        several = any(place < len(row) and days_in(row[place]) > 1 for place in together)
        mine = []
        try:
            forecast = _made(row[made_at], file.asked.zone) if made_at is not None and made_at < len(row) else None
            for column in file.columns:
                cell = row[column.index] if column.index < len(row) else ""
                effect = "several" if several else _effect(file, column, row)
                figure = _number("T" if effect == "trace" and column.what == "rain" else cell, column, file, found,
                                 commas=commas)
                if figure is None:
                    continue
                if effect in ("out", "several", "told"):
                    found.counts[effect] += 1
                if effect not in ("out", "several"):
                    mine.append(Figure(number, line, stamps[number], column, figure, cell, forecast))
        except BadInput as fault:
            found.faults.append(f"line {line}: {fault}")
        made += mine
    return made


def _effect(file: Opened, column: Column, row: Sequence[str]) -> str:
    mark = row[column.flag] if column.flag is not None and column.flag < len(row) else ""
    return file.layout.flags(mark) if file.layout.flags is not None and mark else ""


def _decimal_commas(rows: Rows, columns: Iterable[Column]) -> bool:
    """Whether a comma is certainly a decimal one: some figure has it with other than three digits behind."""
    places = [column.index for column in columns]
    return any(_SURE_COMMA.fullmatch(row[place]) for _, row in rows for place in places if place < len(row))


def _number(cell: str, column: Column, file: Opened, found: WeatherFile, *, commas: bool) -> float | None:
    """A cell's number; None where it is missing. Raises BadInput naming the cell."""
    layout = file.layout
    bare = cell.rstrip(layout.tail) if layout.tail and cell[:1].isdigit() else cell
    if bare != cell:
        found.counts["told"] += 1
    if bare.casefold() in MISSING or bare in layout.missing or _CODE.fullmatch(bare):
        return None
    if column.what == "rain" and (bare.casefold() in ("t", "trace") or (layout.trace and bare == layout.trace)):
        return 0.0
    if not _NUMBER.fullmatch(bare):
        raise BadInput(f"{column.title}: “{text.one_line(cell)[:20]}” is not a number")
    if "," in bare and not commas:
        raise BadInput(f"{column.title}: “{cell[:20]}” may be a thousand or a fraction; write it with a point")
    number = float(bare.replace(",", "."))
    if abs(number) > 1e7:
        raise BadInput(f"{column.title}: “{cell[:20]}” is not a number that can be used")
    return number


def _made(cell: str, zone: str) -> datetime | None:
    if cell.casefold() in MISSING:
        return None
    try:
        found = datetime.fromisoformat(cell)
        return clock.attach(found, zone) if found.tzinfo is None else found
    except ValueError:
        raise BadInput(f"“{text.one_line(cell)[:30]}” is not the moment of a forecast like "
                       "2026-11-26T18:00-08:00") from None


def days_in(cell: str) -> int:
    """A whole number of days or hours that a cell names; 0 where it names none."""
    try:
        return int(float(cell))
    except (ValueError, OverflowError):
        return 0
