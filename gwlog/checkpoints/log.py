"""What was read of a logbook: all of it, or what lies behind a checkpoint with the rest at call."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date, datetime, timedelta
from functools import cached_property
from operator import attrgetter
from pathlib import Path
from typing import TYPE_CHECKING, Any

from gwlog.checkpoints.parts import joins
from gwlog.checkpoints.restore import Fetch, Whole, restore
from gwlog.clock import day_start, local_day
from gwlog.decisions.clock_faults import gone_back
from gwlog.journal import reader
from gwlog.journal.facts import NOT_YET, Fact, Resolution, Standing, standing_entries
from gwlog.values import replace

if TYPE_CHECKING:
    import sqlite3

    from gwlog.journal.noted_number import Difference
    from gwlog.state import State

UNSOUND = (ValueError, KeyError, TypeError, IndexError, AttributeError)
"""What is raised by data that are not what they should be."""

MOST_STRETCHES = 40


class Part:
    """A logbook's part behind `moment`, the first of the local `day` in the household's `zone`.

    `state`: what stood before it. `raw`: the entries behind it, `facts` those that stand. `written`: when the last of
    the others was written, None where the clock went back while they were, `after`: its number.
    """

    def __init__(self, moment: datetime, day: date, zone: str, state: State, raw: Sequence[Fact],
                 facts: tuple[Fact, ...], written: datetime | None, after: int) -> None:
        self.moment, self.day, self.zone, self.state, self.raw, self.facts = moment, day, zone, state, raw, facts
        self.written, self.after = written, after

    def serves(self, now: datetime) -> bool:
        """Whether a look at `now` needs nothing folded before the moment: its week must begin behind it."""
        return week_begins(now, self.zone) >= self.moment


class Log:
    """The entries of a logbook as they were read, and those that were added since. `head`: the last one's number.

    `differs`: how it is not what was noted of it, None where it is.
    """

    def __init__(self, entries: Sequence[Fact] | None = None, *, path: Path | None = None, head: int | None = None,
                 part: Part | None = None, more: Sequence[Fact] = (), differs: Difference | None = None) -> None:
        self._entries = list(entries) if entries is not None else None
        self._path, self.part, self._more, self.differs = path, part, list(more), differs
        self._read = max((one.id for one in entries or ()), default=0) if head is None else head

    @property
    def head(self) -> int:
        """The number of the last entry, 0 for none."""
        return self._more[-1].id if self._more else self._read

    @property
    def entries(self) -> list[Fact]:
        """Every entry, in order of its number."""
        if self._entries is None:
            assert self._path is not None
            self._entries = [*reader.read(self._path, self._read), *self._more]
        return self._entries

    @cached_property
    def standing(self) -> Standing:
        """The entries that count, of all of them."""
        return standing_entries(self.entries)

    @property
    def last_written(self) -> datetime | None:
        """When the last of the entries that were read was written; None where there is none, or it is not at hand."""
        known = self.part.raw if self.part is not None else self._entries or ()
        last = max(known, key=attrgetter("id"), default=None)
        if self.part is not None and (last is None or last.id <= self.part.after):
            written = self.part.written
        else:
            written = None if last is None else last.recorded_at
        return None if written == NOT_YET else written

    def clock_went_on(self, present: datetime) -> bool:
        """Whether no entry was written at an earlier moment than the one before it, as far as that is known at once."""
        if self.part is None or self.part.written is None:
            return False
        later = [fact.recorded_at for fact in self.part.raw if fact.id > self.part.after]
        return not gone_back([self.part.written, *later, present])

    @property
    def whole(self) -> bool:
        """Whether all of it is at hand already."""
        return self._entries is not None

    def plus(self, facts: Sequence[Fact]) -> Log:
        """The log with some entries more."""
        part = self.part
        if part is not None and joins(facts, {one.id for one in part.raw}, part.moment, part.day, part.zone):
            raw = [*part.raw, *facts]
            part = Part(part.moment, part.day, part.zone, part.state, raw, standing_entries(raw).facts, part.written,
                        part.after)
            if any(isinstance(fact, Resolution) for fact in facts):
                part = None   # it may name an entry by any of its numbers
        else:
            part = None
        entries = None if self._entries is None else [*self._entries, *facts]
        if entries is None and part is None:
            entries = [*self.entries, *facts]
        return Log(entries, path=self._path, head=self._read, part=part, more=[*self._more, *facts],
                   differs=self.differs)


def week_begins(now: datetime, zone: str) -> datetime:
    """The first moment of the local week of `now`."""
    today = local_day(now, zone)
    return day_start(today - timedelta(days=today.weekday()), zone)


def part_of(connection: sqlite3.Connection, path: Path, head: int, held: Mapping[str, Any],
            standing: Callable[[], Iterable[Fact]] | None = None) -> Part | None:
    """The part of a logbook behind a checkpoint; None where it is not this logbook's, or later entries reach before it.

    `head`: the number of the last entry that the connection sees. `standing`: gives all standing facts up to it, where
    they are at hand.
    """
    number = held["number"]
    sealed = connection.execute("SELECT hash FROM seal WHERE seq = ?", (number,)).fetchone()
    if sealed is None or sealed[0] != held["hash"]:
        return None

    def fetch(numbers: Mapping[str, Iterable[int]]) -> list[Fact]:
        return reader.select(connection, path, numbers=numbers)

    return part_from(
        held, _behind(connection, path, number, held["behind"]), fetch, lambda numbers: _fetch(path, numbers),
        standing or (lambda: standing_entries(reader.read(path, head)).facts), lambda one: _first(connection, one))


def part_from(held: Mapping[str, Any], raw: Sequence[Fact], fetch: Fetch, again: Fetch,
              standing: Callable[[], Iterable[Fact]], first: Callable[[int], int]) -> Part | None:
    """The part behind a checkpoint, made of the entries behind it; None where one of them reaches before it.

    `fetch`: gives entries by kind and number, `again`: at a later time; `standing`: all that stand; `first`: the number
    of the first wording of an entry that is not among `raw`.
    """
    number, moment = held["number"], datetime.fromisoformat(held["moment"])
    day, zone = date.fromordinal(held["day"]), held["zone"]
    known = {fact.id for fact in raw if fact.id <= number}
    if not joins((fact for fact in raw if fact.id > number), known, moment, day, zone):
        return None
    raw = [replace(fact, resolves_id=first(fact.resolves_id))
           if isinstance(fact, Resolution) and fact.resolves_id not in known else fact for fact in raw]
    state = restore(held["content"], moment, day, fetch, again, Whole(moment, standing))
    written = held["written"]
    return Part(moment, day, zone, state, raw, standing_entries(raw).facts,
                None if written is None else datetime.fromisoformat(written), number)


def _fetch(path: Path, numbers: Mapping[str, Iterable[int]]) -> list[Fact]:
    with reader.reading(path) as connection:
        return reader.select(connection, path, numbers=numbers)


def _behind(connection: sqlite3.Connection, path: Path, number: int, stretches: list[list[int]]) -> list[Fact]:
    """The entries of the stretches, and every one after `number`."""
    if len(stretches) <= MOST_STRETCHES:
        where = "".join(f" OR id BETWEEN {first:d} AND {last:d}" for first, last in stretches)
        return reader.select(connection, path, f" WHERE id > {number:d}{where}")
    kept = {one for first, last in stretches for one in range(first, last + 1)}
    found = reader.select(connection, path, f" WHERE id >= {stretches[0][0]:d}")
    return [fact for fact in found if fact.id > number or fact.id in kept]


def _first(connection: sqlite3.Connection, number: int) -> int:
    """The number of the first wording of an observation or a load."""
    kind = connection.execute("SELECT entry_kind FROM seal WHERE seq = ?", (number,)).fetchone()
    while kind is not None and kind[0] in ("observation", "wash_load"):
        earlier = connection.execute(f"SELECT corrects_id FROM {kind[0]} WHERE id = ?", (number,)).fetchone()
        if earlier is None or earlier[0] is None:
            break
        number = earlier[0]
    return number
