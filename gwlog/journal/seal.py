"""Verifies the seal of a logbook with the standard library alone: the chain, the rows against it, and the triggers.

How an entry is hashed is in chain.py; check_seal.py verifies a record pack without gwlog.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from datetime import datetime
from heapq import merge
from itertools import groupby, pairwise
from operator import itemgetter
from pathlib import Path
from sqlite3 import Connection, OperationalError
from typing import Any, NamedTuple

from gwlog.journal import number_levels
from gwlog.journal.chain import (
    IN_PARTS,
    SECRET,
    START,
    body_in_parts,
    body_of,
    canonical,
    digest_of_note,
    digest_of_part,
    link,
    parts_line,
    salt_of_part,
    salts_of,
    spelled,
)
from gwlog.journal.check_seal import Judged
from gwlog.journal.disclosure import WHO
from gwlog.journal.facts import KINDS, Fact
from gwlog.journal.guards import triggers
from gwlog.journal.level import Level
from gwlog.journal.reader import Factory, factory, reading
from gwlog.journal.seal_number import SealNumber, number_of
from gwlog.journal.sealed_parts import without_who
from gwlog.text import plural
from gwlog.values import dataclass


@dataclass(frozen=True, slots=True)
class Verification:
    """What verification found. `first_broken`: the first entry that does not hold, in words; None when all do.

    `odd`: what holds and is told, such as entries written under a wrong clock.
    """

    levels: tuple[Level, ...]
    entries: int
    last_number: int
    last_hash: str
    first_broken: str | None
    odd: tuple[str, ...] = ()

    @property
    def holds(self) -> bool:
        """Whether every level holds."""
        return all(level.holds for level in self.levels)


def verify(path: Path | str, *, noted: Sequence[str | SealNumber] = (), now: datetime | None = None) -> Verification:
    """Verify the seal of a logbook: the chain, the rows against it, the guards, and seal numbers noted earlier.

    `noted`: any number of them, “412:9f3a…” or in words; each is judged. Raises BadInput for another form,
    NotALogbook when the file cannot be read. Edits, deletions in the middle and reordering are found, and values
    that no kind of entry accepts; a tail cut off, or a logbook rewritten whole, only with a number noted earlier.
    That entries are true or complete is never proven. Told is where moments of writing go back, or lie beyond `now`
    (None: nobody says what it is).
    """
    known = [number_of(one) for one in noted]
    with reading(path) as connection:
        guards = dict(connection.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall())
        try:
            walk = _Walk(connection)
        except OperationalError as error:
            if "decode" not in str(error):
                raise
            # A damaged byte must not hide which entry it is in.
            connection.text_factory = lambda raw: str(raw, "utf-8", "replace")
            walk = _Walk(connection)
        numbers = number_levels.levels(connection, known)
    levels = [
        _level("chain", walk.chain, plural(walk.links, "link")),
        _level("entries as sealed", walk.rows, _left_out(walk)),
        _level("nothing unsealed", walk.unsealed, plural(walk.entries, "entry", "entries")),
        _guarded(triggers(), guards),
        Level(*walk.judged.level()), *numbers,
    ]
    beyond = [walk.judged.fault] if walk.judged.fault is not None else []
    faults = sorted(walk.chain + walk.rows + walk.unsealed + beyond, key=itemgetter(0))
    return Verification(tuple(levels), walk.entries, walk.last[0], walk.last[1], faults[0][1] if faults else None,
                        tuple(walk.judged.odd(now)))


_Faults = list[tuple[int, str]]


def _level(name: str, faults: _Faults, fine: str) -> Level:
    """One level by the faults that were found, each with the number of its entry."""
    if not faults:
        return Level(name, True, fine)
    return Level(name, False, faults[0][1] + (f"; {len(faults) - 1:,} more" if len(faults) > 1 else ""))


def _left_out(walk: _Walk) -> str:
    found = [words for count, words in (
        (walk.withheld, f"{plural(walk.withheld, 'note')} left out"),
        (walk.nameless, f"names, where there were any, left out of {plural(walk.nameless, 'entry', 'entries')}"),
    ) if count]
    return ", ".join(found) or "every row"


def _look(judged: Judged, seq: int, body: str, kept: str | None) -> None:
    """Take in what was sealed of an entry; what is no body, or no parts, is found elsewhere."""
    try:
        fields = json.loads(body)
        for part in json.loads(kept or "{}").values():
            fields |= json.loads(part["text"])
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return
    if isinstance(fields, dict):
        judged.look(seq, fields)


class _Walk:
    """Goes once through the seal and the rows beside each other, by number, and keeps little but what it found."""

    def __init__(self, connection: Connection) -> None:
        self.chain: _Faults = []
        self.rows: _Faults = []
        self.unsealed: _Faults = []
        self.links = self.entries = self.withheld = self.nameless = 0
        self._in_parts = False
        self.last: tuple[int, str] = (0, START)
        self.judged = Judged()
        self._salts = dict(connection.execute("SELECT seq, salt FROM note_salt").fetchall())
        self._secret: str | None = next((value for (value,) in connection.execute(
            "SELECT value FROM meta WHERE key = ?", (SECRET,))), None)
        entries = _numbered(connection)
        entry = next(entries, None)
        for *seal, kept in connection.execute(
                "SELECT seal.seq, entry_kind, body, prev, hash, parts FROM seal LEFT JOIN seal_part USING (seq) "
                "ORDER BY seal.seq"):
            seq: int = seal[0]
            while entry is not None and entry[0] < seq:
                self._not_sealed(*entry)
                entry = next(entries, None)
            found: list[_Row] = []
            if entry is not None and entry[0] == seq:
                found = entry[1]
                entry = next(entries, None)
            self._link(*seal)
            _look(self.judged, seq, seal[2], kept)
            self._entry(seq, seal[1], seal[2], seal[3], kept, found)
        while entry is not None:
            self._not_sealed(*entry)
            entry = next(entries, None)
        self.unsealed += [(seq, f"the parts of entry {seq} are not sealed") for (seq,) in connection.execute(
            "SELECT seq FROM seal_part WHERE seq NOT IN (SELECT seq FROM seal)")]

    def _link(self, seq: int, _kind: str, body: str, prev: str, hashed: str) -> None:
        """The first entry at which the chain breaks; later entries cannot be judged."""
        self.links += 1
        if not self.chain:
            if seq != self.links:
                self.chain.append((self.links, f"entry {self.links} is missing from the seal"))
            elif prev != self.last[1]:
                self.chain.append((seq, f"entry {seq} does not follow from the one before it"))
            elif link(prev, body) != hashed:
                self.chain.append((seq, f"entry {seq}'s hash does not follow from what was sealed"))
            elif self._in_parts and IN_PARTS not in body:
                self.chain.append((seq, f"entry {seq} is sealed as entries were before parts could be left out, but "
                                        "comes after some that are not"))
        self._in_parts = self._in_parts or IN_PARTS in body
        self.last = seq, str(hashed)

    def _entry(self, seq: int, kind: str, body: str, prev: str, kept: str | None, found: list[_Row]) -> None:
        """Whether the row of an entry is what was sealed, and what is kept of its parts."""
        if not found:
            self.rows.append((seq, f"entry {seq} ({kind}) was sealed, but its row is missing"))
            return
        self._doubled(seq, found)
        self.entries += 1
        fact = found[-1].fact()
        try:
            holds = fact is not None and found[-1].kind == kind and self._as_sealed(fact, seq, body, prev, kept)
        except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
            holds = False
        if not holds:
            self.rows.append((seq, f"entry {seq} ({kind}) is not what was sealed"))

    def _as_sealed(self, fact: Fact, seq: int, body: str, prev: str, kept: str | None) -> bool:
        if fact.note is None and '"note_sha256":null' not in body:
            note_digest = _sealed(body, "note_sha256")
            self.withheld += 1
        else:
            note_digest = digest_of_note(fact.note, self._salts.get(seq))
        if IN_PARTS not in body:
            return kept is None and canonical(body_of(fact, seq, note_digest)) == body
        columns, texts = spelled(fact)
        if kept is None:
            return False
        salts = salts_of(kept)
        digests = {}
        if WHO not in salts and '"who":"' in body:
            digests[WHO] = _sealed(body, "parts_sha256")[WHO]
            if fact != without_who(fact) or self._taken_away(prev, texts.pop(WHO, None), digests[WHO]):
                return False
            self.nameless += 1
        parts = {part: (salts[part], text) for part, text in texts.items()}
        for part, (salt, text) in parts.items():
            digests[part] = digest_of_part(text, salt)
        return parts_line(parts) == kept and \
            canonical(body_in_parts(fact.KIND, seq, note_digest, columns, digests)) == body

    def _taken_away(self, prev: str, text: str | None, digest: str) -> bool:
        """Whether the part was sealed in this very logbook with the text that the row still has: then it was not left
        out when the logbook was handed on, since the one handed on has another secret."""
        return text is not None and self._secret is not None and \
            digest_of_part(text, salt_of_part(self._secret, prev, WHO, text)) == digest

    def _not_sealed(self, number: int, found: list[_Row]) -> None:
        self._doubled(number, found)
        self.entries += 1
        self.unsealed.append((number, f"entry {number} ({found[-1].kind}) is not sealed"))

    def _doubled(self, number: int, found: list[_Row]) -> None:
        for one, other in pairwise(found):
            self.unsealed.append((number, f"entry {number} is there twice: {one.kind} and {other.kind}"))


class _Row(NamedTuple):
    """A row of one kind as SQLite gives it."""

    number: int
    kind: str
    make: Factory
    values: tuple[Any, ...]

    def fact(self) -> Fact | None:
        """The entry that it says; None where it cannot be read."""
        try:
            return self.make(self.values)
        except (ValueError, KeyError, TypeError):
            return None


def _numbered(connection: Connection) -> Iterator[tuple[int, list[_Row]]]:
    """Every row of every kind, by number; of a number that occurs twice, in the order of the kinds."""

    def rows(kind: str) -> Iterator[_Row]:
        select, make = factory(kind)
        for values in connection.execute(f"{select} ORDER BY id"):
            yield _Row(values[0], kind, make, values)

    for number, found in groupby(merge(*map(rows, KINDS), key=itemgetter(0)), key=itemgetter(0)):
        yield number, list(found)


def _sealed(body: str, name: str) -> Any:
    """What a body says under a name; None where it says nothing, or is damaged."""
    try:
        return json.loads(body)[name]
    except (ValueError, KeyError, TypeError):
        return None


def _guarded(wanted: dict[str, str], found: dict[str, str]) -> Level:
    missing = [name for name in wanted if name not in found]
    changed = [name for name in wanted if name in found and found[name] != wanted[name]]
    foreign = [name for name in found if name not in wanted]
    faults = [f"{what}: {', '.join(names[:3])}" + (" and others" if len(names) > 3 else "")
            for what, names in (("missing", missing), ("changed", changed), ("not gwlog's", foreign)) if names]
    return Level("write protection", not faults, "; ".join(faults) or plural(len(wanted), "trigger"))
