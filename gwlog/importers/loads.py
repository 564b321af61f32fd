"""Reads a household's spreadsheet of past loads: CSV rows into entries, all faults together by line.

The person names the columns. Rows that the logbook holds already are recognized and left out.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from typing import Any

from gwlog import clock, text, units
from gwlog.actions import Argument, Hint
from gwlog.decisions.entry_limits import MAX_LOAD_L, check_time
from gwlog.errors import BadInput, SeveralFaults
from gwlog.household import Household
from gwlog.importers import load_timeline
from gwlog.importers.csv_rows import csv_rows
from gwlog.importers.load_row import Row
from gwlog.journal.facts import CONTENTS, Fact, Product, UsualLoad, Washer, WashLoad

DAY_ORDERS = {"ymd": (0, 1, 2), "dmy": (2, 1, 0), "mdy": (2, 0, 1)}
LARGEST = 20_000_000
FIRST_OF_DAY = 12   # o'clock, for rows that say no time; the next ones of the day a minute later each


@dataclass(slots=True)
class LoadsImport:
    """What an import would append: the loads, and the valve switches and outlet moves that they imply."""

    facts: list[Fact] = field(default_factory=list)
    known: int = 0
    faults: list[str] = field(default_factory=list)

    @property
    def loads(self) -> int:
        """How many of the facts are loads."""
        return sum(isinstance(fact, WashLoad) for fact in self.facts)


def read_loads(content: bytes, columns: Mapping[str, str], home: Household, *, names: Mapping[str, str] | None = None,
               day_order: str = "ymd", leave_out: bool = False) -> LoadsImport:
    """Read a CSV file's bytes into the loads that the logbook does not hold yet, oldest first.

    `columns`: what (COLUMNS) -> the file's column; `names`: words of the file -> names of the logbook;
    `day_order`: how days with slashes or dashes are written (ymd, dmy, mdy). Raises SeveralFaults with every row that
    cannot be used, unless `leave_out`; BadInput when a column is not there.
    """
    rows = csv_rows(content, "load")
    places = _places(rows[0][1], columns)
    reader = _Reader(home, places, {text.one_line(k).casefold(): v for k, v in (names or {}).items()}, day_order)
    result, read, faults = LoadsImport(), [], []
    for line, cells in rows[1:]:
        try:
            read.append(reader.row(line, cells))
        except BadInput as fault:
            faults.append((line, f"{fault}" + (f" {fault.hint}" if fault.hint else "")))
    fresh, result.known = _unknown(read, home)
    result.facts, more = load_timeline.facts(fresh, home)
    result.faults = [f"line {line}: {fault}" for line, fault in sorted(faults + more)]
    if result.faults and not leave_out:
        raise SeveralFaults(
            f"{text.plural(len(result.faults), 'row')} of {len(rows) - 1} cannot be used; nothing was logged.",
            result.faults, hint=Hint("Fix them, or import the other rows with ", Argument("leave-out"), "."))
    return result


def _places(head: Sequence[str], columns: Mapping[str, str]) -> dict[str, int]:
    titles = [text.one_line(title).casefold() for title in head]
    found = {}
    for what, title in columns.items():
        wanted = text.one_line(title).casefold()
        if titles.count(wanted) != 1:
            if wanted in titles:
                raise BadInput(f"Several columns are called “{title[:40]}”.",
                               hint="Give one of them another name in the sheet, and save it again.")
            raise BadInput(f"There is no column called “{title[:40]}”; the header is: {', '.join(head)[:120]}.")
        found[what] = titles.index(wanted)
    return found


class _Reader:
    """Reads rows with the descriptions that were in force on their day."""

    def __init__(self, home: Household, places: Mapping[str, int], names: Mapping[str, str], day_order: str) -> None:
        self._home, self._places, self._names, self._order = home, places, names, DAY_ORDERS[day_order]
        self._described: dict[type[Fact], dict[str, list[Any]]] = {}
        for fact in home.standing.facts:
            name = getattr(fact, "name", None)
            if isinstance(name, str):
                self._described.setdefault(type(fact), {}).setdefault(name, []).append(fact)

    def row(self, line: int, cells: Sequence[str]) -> Row:
        """One row as understood. Raises BadInput."""
        values = {what: text.one_line(cells[place]) if place < len(cells) else ""
                  for what, place in self._places.items()}
        day, at = self._when(values)
        noon = clock.day_start(day, self._home.zone) + timedelta(hours=FIRST_OF_DAY)
        today = clock.local_day(self._home.now, self._home.zone)
        then = at or (min(noon, self._home.now) if day == today else noon)
        check_time(then, self._home.now, self._home.zone, self._home.begins)
        usual = self._named(UsualLoad, "usual load", values.get("load", ""), then)
        washer = self._washer(usual, then)
        went_to, basin = self._to(values.get("to", ""), then)
        products = tuple(self._named(Product, "product", word, then).name
                         for word in _split(values.get("products", "")))
        contents = tuple(text.pick("kind of contents", word, CONTENTS) for word in _split(values.get("contents", "")))
        volume_ml = self._volume(values)
        default_ml = washer.volume_ml if usual is None or usual.volume_ml is None else usual.volume_ml
        return Row(
            line, day, at, usual.name if usual else None, washer.name, volume_ml or default_ml, volume_ml is not None,
            went_to, basin, products or (usual.products if usual else ()),
            contents or (usual.contents if usual else ()), self._person(values.get("by", "")),
            text.clean_note(values.get("note")))

    def _when(self, values: Mapping[str, str]) -> tuple[date, datetime | None]:
        words, _, rest = values["date"].replace("T", " ").partition(" ")
        day = _day(words, self._order)
        hour = values.get("time", "") or rest
        if not hour:
            return day, None
        return day, clock.moment(f"{day.isoformat()} {hour}", self._home.now, self._home.zone).replace(microsecond=0)

    def _named(self, kind: type[Any], what: str, word: str, then: datetime) -> Any:
        """The description that a word means, as it was in force then; None for an empty word."""
        if not word:
            return None
        known = self._described.get(kind, {})
        name = text.pick(what, self._names.get(word.casefold(), word), list(known))
        return self._in_force(kind, name, then)

    def _in_force(self, kind: type[Any], name: str, then: datetime) -> Any:
        wordings = self._described.get(kind, {}).get(name, [])
        place = bisect_right([fact.happened_at for fact in wordings], then)
        if place == 0:
            first = clock.local_day(wordings[0].happened_at, self._home.zone) if wordings else None
            raise BadInput(f"“{name}” was not described yet" + (f"; it is from {first} on." if first else "."))
        return wordings[place - 1]

    def _washer(self, usual: UsualLoad | None, then: datetime) -> Washer:
        known = self._described.get(Washer, {})
        name = usual.washer if usual else next(iter(known)) if len(known) == 1 else None
        if name is None:
            raise BadInput("A load without a usual name needs to be of the only washer; there are several.")
        found = self._in_force(Washer, name, then)
        assert isinstance(found, Washer)
        return found

    def _volume(self, values: Mapping[str, str]) -> int | None:
        """The volume that the row says [mL]; a bare number is in the column's unit, else in the household's."""
        for what, unit in (("volume", ""), ("volume_gal", " gal"), ("volume_l", " L")):
            words = values.get(what, "")
            if words:
                bare = re.fullmatch(r"[-+]?[\d.,]+", words)
                return round(1000 * units.quantity(words + (unit if bare else ""), "volume", self._home.system,
                                                   what="volume", high=MAX_LOAD_L))
        return None

    def _to(self, word: str, then: datetime) -> tuple[str | None, str | None]:
        if not word:
            return None, None
        basins = self._home.state.basin_history
        place = text.pick("place for the water", self._names.get(word.casefold(), word), ["garden", "sewer", *basins])
        if place in ("garden", "sewer"):
            return place, None
        earlier = [basin for basin in basins[place] if basin.happened_at <= then]
        if not earlier or not earlier[-1].active:
            raise BadInput(f"The basin “{place}” was not in use then.")
        return "garden", place

    def _person(self, word: str) -> str | None:
        if not word:
            return None
        known = list(self._home.state.people)
        name = self._names.get(word.casefold(), word)
        return text.pick("person", name, known) if known else text.clean_name(name, "person")


def _split(words: str) -> list[str]:
    return [part.strip() for part in re.split(r"[;,+]", words) if part.strip()]


def _day(words: str, order: tuple[int, int, int]) -> date:
    numbers = re.fullmatch(r"(\d{1,4})([-/.])(\d{1,2})\2(\d{1,4})", words)
    if numbers is None:
        raise BadInput(f"“{words[:30]}” is not a day like 2026-05-03.")
    parts = [numbers[1], numbers[3], numbers[4]]
    if len(parts[0]) == 4:
        order = DAY_ORDERS["ymd"]
    elif numbers[2] == "." and len(parts[2]) in (2, 4):
        order = DAY_ORDERS["dmy"]   # days written with points have the day first wherever they are written so
    elif order == DAY_ORDERS["ymd"]:
        raise BadInput(f"“{words}” could be two days; say how days are written: --days dmy or --days mdy.")
    year, month, day = (int(parts[place]) for place in order)
    try:
        return date(year + 2000 if year < 100 else year, month, day)
    except ValueError:
        raise BadInput(f"“{words[:30]}” is not a day of the calendar.") from None


def _unknown(rows: list[Row], home: Household) -> tuple[list[Row], int]:
    """The rows that the logbook does not hold, with their moments, and how many it holds already.

    An entry counts with every wording it ever had, so that a corrected mistake is not imported again.
    """
    root = home.standing.root
    taken = {fact.happened_at for fact in home.entries if isinstance(fact, WashLoad)}
    logged: dict[tuple[Any, ...], list[int]] = {}
    for fact in home.entries:
        if isinstance(fact, WashLoad):
            first = root.get(fact.id, fact.id)
            for when in (_minute(fact.happened_at), clock.local_day(fact.happened_at, home.zone)):
                for volume in (fact.volume_ml, None):
                    logged.setdefault((when, fact.usual_load, volume), []).append(first)
    used: set[int] = set()
    fresh: list[Row] = []
    for row in sorted(rows, key=lambda row: (row.at is None, row.day, row.line)):
        when = row.day if row.at is None else _minute(row.at)
        twins = logged.get((when, row.load, row.volume_ml if row.measured else None), [])
        twin = next((one for one in twins if one not in used), None)
        if twin is not None:
            used.add(twin)
            continue
        at = row.at
        if at is None:
            noon = clock.day_start(row.day, home.zone) + timedelta(hours=FIRST_OF_DAY)
            at = min(noon, home.now.replace(microsecond=0))
            while at in taken:
                at += timedelta(minutes=1 if at >= noon else -1)
        taken.add(at)
        fresh.append(replace(row, at=at))
    return sorted(fresh, key=lambda row: (row.at, row.line)), len(rows) - len(fresh)


def _minute(moment: datetime) -> datetime:
    """A moment cut to the minute, as spreadsheets have it."""
    return moment.replace(second=0, microsecond=0)
