"""Lists of entries asked of SQLite by index: the last ones, one kind, since a day, one entry's wordings, counts.

Nothing is read but what is listed, and the few rows that correct and withdraw (fates.py).
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime
from functools import cached_property
from heapq import merge
from itertools import groupby, islice
from operator import itemgetter
from pathlib import Path
from sqlite3 import Connection
from typing import Any

from gwlog.actions import Action, Hint
from gwlog.errors import NotALogbook
from gwlog.journal.clock_marks import AHEAD, in_order, marks
from gwlog.journal.facts import KINDS, Fact, Resolution, Site, WeatherDay, Withdrawal
from gwlog.journal.fates import Fates, fates
from gwlog.journal.noted_together import same_notes
from gwlog.journal.reader import factory, reading
from gwlog.values import dataclass, replace

AT_ONCE = 500
"""Rows asked for in one statement; SQLite takes so many parameters in every version."""

MOST = 2**63 - 1
"""The largest number that SQLite holds."""

ALWAYS = datetime.max.replace(tzinfo=UTC)

_Place = tuple[str, int, str, int]


@dataclass(frozen=True, slots=True)
class Listed:
    """One entry of a list. `written`: the number of the wording shown, `first_recorded`: when its first wording was
    written; `fact.id` is the number by which it is listed.
    """

    fact: Fact
    written: int
    first_recorded: datetime


@contextmanager
def asking(path: Path | str, now: datetime = ALWAYS) -> Iterator[Lists]:
    """Lists of what happened up to `now` (default: whenever), all within one read transaction.

    Raises as reader.reading() does, and NotALogbook when a row that is listed cannot be read.
    """
    with reading(path) as connection:
        try:
            yield Lists(connection, now)
        except (ValueError, KeyError, TypeError) as error:
            if isinstance(error, UnicodeDecodeError):
                raise
            raise NotALogbook(f"An entry of the logbook {path} cannot be read ({error}).",
                              hint=Hint("See which entry was damaged: ", Action("verify"))) from None


class Lists:
    """Asks for lists. `every`: also what was corrected or withdrawn, each wording under its own number, and the
    withdrawals; else the entries that stand, under their first number.

    `kinds`: only those; `since`, `until`: only what happened between the two, both included (`until` is never later
    than the moment looked at).
    """

    def __init__(self, connection: Connection, now: datetime) -> None:
        self._connection, self.now = connection, now

    @cached_property
    def fates(self) -> Fates:
        return fates(self._connection)

    @cached_property
    def site(self) -> Site | None:
        """The household's description in force at the moment looked at."""
        found = self.newest(kinds=("site",), most=1)
        return found[0].fact if found and isinstance(found[0].fact, Site) else None

    @cached_property
    def described(self) -> bool:
        """Whether a household is described at all, from whatever moment on."""
        return any(self.fates.standing(number) is not None
                   for (number,) in self._connection.execute("SELECT id FROM site"))

    @property
    def highest(self) -> int:
        """The highest number of an entry; 0 in an empty logbook."""
        return max(row[0] or 0 for kind in KINDS for row in self._connection.execute(f"SELECT max(id) FROM {kind}"))

    def newest(self, *, kinds: Collection[str] | None = None, since: datetime | None = None,
               until: datetime | None = None, skip: int = 0, most: int | None = None,
               every: bool = False) -> list[Listed]:
        """Entries, newest first, then by number; after the first `skip`, and `most` of them."""
        places = self._places(self._kinds(kinds, every), since, until, every)
        return self._listed(islice(places, skip, None if most is None else skip + most), every=every)

    def written_last(self, most: int, *, kinds: Collection[str] | None = None, since: datetime | None = None,
                     every: bool = False) -> list[Listed]:
        """The `most` entries of which a wording was written last, whenever they happened; listed as by newest()."""
        where, values = self._between(since, None)
        streams = [self._rows(kind, where, values, every, by="id") for kind in self._kinds(kinds, every)]
        places = islice(merge(*streams, key=itemgetter(3), reverse=True), most)
        return self._listed(sorted(places, key=itemgetter(0, 1), reverse=True), every=every)

    def weather(self, first: date, last: date) -> list[Listed]:
        """What stands of the weather of the local days `first` to `last`, whenever it was written, newest first."""
        rows = self._connection.execute(
            "SELECT happened_at, id FROM weather_day WHERE day BETWEEN ? AND ? AND happened_at <= ?",
            (first.isoformat(), last.isoformat(), _text(self.now)))
        found = ((happened, self.fates.standing(row), WeatherDay.KIND, row) for happened, row in rows)
        places = [(happened, number, kind, row) for happened, number, kind, row in found if number is not None]
        return self._listed(sorted(places, reverse=True), every=False)

    def count(self, *, kinds: Collection[str] | None = None, since: datetime | None = None, every: bool = False) -> int:
        """How many entries newest() would list, were it asked for all."""
        total = 0
        for kind in self._kinds(kinds, every):
            where, values = self._between(since, None)
            total += self._connection.execute(f"SELECT count(*) FROM {kind} WHERE {where}", values).fetchone()[0]
            if not every:
                gone = sorted({*self.fates.replaced_by, *self.fates.struck, *self._last_of_struck})
                total -= sum(self._connection.execute(
                    f"SELECT count(*) FROM {kind} WHERE id IN ({_marks(some)}) AND {where}", (*some, *values),
                ).fetchone()[0] for some in _portions(gone))
        return total

    @cached_property
    def _last_of_struck(self) -> set[int]:
        return {number for number, first in self.fates.root.items() if first in self.fates.struck}

    def kinds(self, *, every: bool = False) -> list[str]:
        """The kinds of which there is an entry to list."""
        return [kind for kind in self._kinds(None, every)
                if next(self._places((kind,), None, None, every), None) is not None]

    def noted_kinds(self) -> list[str]:
        """The kinds of which some entry has a note whose words are kept."""
        return [kind for (kind,) in self._connection.execute(
            "SELECT DISTINCT entry_kind FROM note_salt JOIN seal USING (seq) WHERE salt IS NOT NULL ORDER BY 1")]

    def place_of(self, number: int, *, kinds: Collection[str] | None = None, every: bool = False) -> int | None:
        """How many entries newest() lists before the one of this number; None where it is not listed.

        A number of any wording is looked for, and, where that one is not listed, its first wording's.
        """
        for wanted in (number, self.fates.first(number)):
            row = wanted if every else self.fates.last.get(wanted, wanted)
            kind = self._kind_of(row)
            if kind is None or kind not in self._kinds(kinds, every) or \
                    (not every and self.fates.standing(row) != wanted):
                continue
            happened = next(self._read(kind, [row])).happened_at
            if happened <= self.now:
                newer = self._places(self._kinds(kinds, every), happened, None, every)
                return next(position for position, place in enumerate(newer) if place[1] == wanted)
        return None

    def same_note(self, number: int) -> list[int]:
        """The entries that were logged together with one and hold its note, itself among them."""
        kind = self._kind_of(number)
        return [] if kind is None else same_notes(self._connection, number, kind)

    def wordings(self, number: int) -> list[Fact]:
        """Every wording of one entry, first to last, and its withdrawal, by any of its numbers; empty where none is."""
        found: list[Fact] = []
        for each in self.fates.wordings(number):
            if (kind := self._kind_of(each)) is not None:
                found += self._read(kind, [each])
        return found

    def standing(self, number: int) -> Fact | None:
        """The wording of an entry that stands, by the number of its first wording; None where none does."""
        row = self.fates.last.get(number, number)
        kind = self._kind_of(row)
        if kind is None or kind == Withdrawal.KIND or self.fates.standing(row) != number:
            return None
        return self._as_it_stands(next(self._read(kind, [row])))

    def each(self, kind: str) -> Iterator[Fact]:
        """Every wording of a kind, in order of its number, as it is read."""
        select, make = factory(kind)
        yield from map(make, self._connection.execute(f"{select} ORDER BY id"))

    def last_before(self, moment: datetime, kind: str, column: str, value: str) -> Fact | None:
        """The newest standing entry of a kind before a moment, whose column holds a value."""
        rows = self._connection.execute(
            f"SELECT id FROM {kind} WHERE happened_at < ? AND {column} = ? ORDER BY happened_at DESC, id DESC",
            (_text(moment), value))
        number = next((number for (number,) in rows if self.fates.standing(number) is not None), None)
        if number is None:
            return None
        return self._as_it_stands(next(self._read(kind, [number])))

    def clock_marks(self, listed: Collection[Listed]) -> dict[int, str]:
        """Number of a wording -> the mark of the clock it was written under; only what is listed is sure to be in it.

        Every entry is gone through only where the clock went back beside one of those listed.
        """
        shown = sorted({(one.written, one.fact.recorded_at) for one in listed}
                       | {(one.fact.id, one.first_recorded) for one in listed})
        if not shown:
            return {}
        moments = [moment for _, moment in shown]
        before = ("id < ? AND recorded_at > ?", (shown[-1][0], _text(min(moments) + AHEAD)))
        behind = ("id > ? AND recorded_at < ?", (shown[0][0], _text(max(moments) - AHEAD)))
        if all(in_order(sorted({*shown, *self._written(*some)})) for some in (before, behind)):
            return {}
        return marks(sorted(self._written("id > ?", (0,))))

    def _written(self, where: str, values: tuple[Any, ...]) -> Iterator[tuple[int, datetime]]:
        """Number and moment of writing of entries of any kind."""
        for kind in KINDS:
            for number, moment in self._connection.execute(
                    f"SELECT id, recorded_at FROM {kind} WHERE {where}", values):
                yield number, datetime.fromisoformat(f"{moment}+00:00")

    @staticmethod
    def _kinds(kinds: Collection[str] | None, every: bool) -> list[str]:
        return [kind for kind in KINDS if (kinds is None or kind in kinds) and (every or kind != Withdrawal.KIND)]

    def _between(self, since: datetime | None, until: datetime | None) -> tuple[str, list[Any]]:
        end = self.now if until is None else min(until, self.now)
        return ("happened_at <= ?", [_text(end)]) if since is None else \
            ("happened_at <= ? AND happened_at >= ?", [_text(end), _text(since)])

    def _places(self, kinds: Iterable[str], since: datetime | None, until: datetime | None,
                every: bool) -> Iterator[_Place]:
        """When it happened, by which number it is listed, kind and row, newest first; rows are fetched as asked for."""
        where, values = self._between(since, until)
        streams = [self._rows(kind, where, values, every) for kind in kinds]
        for _, moment in groupby(merge(*streams, key=itemgetter(0), reverse=True), key=itemgetter(0)):
            yield from sorted(moment, key=itemgetter(1), reverse=True)

    def _rows(self, kind: str, where: str, values: list[Any], every: bool, by: str = "happened_at") -> Iterator[_Place]:
        ordered = f"SELECT happened_at, id FROM {kind} WHERE {where} ORDER BY {by} DESC"
        for happened, row in self._connection.execute(ordered, values):
            number = row if every else self.fates.standing(row)
            if number is not None:
                yield happened, number, kind, row

    def _listed(self, places: Iterable[_Place], *, every: bool) -> list[Listed]:
        chosen = list(places)
        wanted: dict[str, set[int]] = {}
        for _, _, kind, row in chosen:
            wanted.setdefault(kind, set()).update((row, self.fates.first(row)))
        facts = {fact.id: fact for kind, rows in wanted.items() for fact in self._read(kind, rows)}
        return [Listed(facts[row] if every else self._as_it_stands(facts[row]), row,
                       facts.get(self.fates.first(row), facts[row]).recorded_at) for _, _, _, row in chosen]

    def _as_it_stands(self, fact: Fact) -> Fact:
        """The wording that stands, under the number of the first; a resolution of another wording resolves that one."""
        first = self.fates.first(fact.id)
        if isinstance(fact, Resolution) and fact.resolves_id in self.fates.root:
            fact = replace(fact, resolves_id=self.fates.root[fact.resolves_id])
        return fact if first == fact.id else replace(fact, id=first)

    def _read(self, kind: str, rows: Iterable[int]) -> Iterator[Fact]:
        select, make = factory(kind)
        for some in _portions(rows):
            yield from map(make, self._connection.execute(f"{select} WHERE id IN ({_marks(some)})", some))

    def _kind_of(self, number: int) -> str | None:
        if number > MOST:
            return None
        return next((kind for kind in KINDS
                     if self._connection.execute(f"SELECT 1 FROM {kind} WHERE id = ?", (number,)).fetchone()), None)


def _portions(rows: Iterable[int]) -> Iterator[list[int]]:
    rest = sorted(rows)
    for start in range(0, len(rest), AT_ONCE):
        yield rest[start:start + AT_ONCE]


def _marks(values: list[int]) -> str:
    return ",".join("?" * len(values))


def _text(moment: datetime) -> str:
    """A moment as it is stored: UTC without an offset, microseconds, so that the texts sort as the moments do."""
    return moment.astimezone(UTC).replace(tzinfo=None).isoformat(" ", "microseconds")
