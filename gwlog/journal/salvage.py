"""Reads what can still be read of a damaged logbook, and finds by the chain of the seal which of it is what was sealed.

An entry is taken from its seal, from its row or from a backup, whichever has the body that the chain asks for.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import closing, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from gwlog.errors import GwlogError
from gwlog.journal import exchange, reader
from gwlog.journal.chain import (
    IN_PARTS,
    SECRET,
    START,
    Parts,
    body_in_parts,
    body_of,
    canonical,
    digest_of_note,
    digest_of_part,
    kind_in,
    link,
    read_parts,
    salt_of_part,
    salts_of,
    spelled,
)
from gwlog.journal.disclosure import WHO
from gwlog.journal.exchange import Sealed
from gwlog.journal.facts import KINDS, Fact
from gwlog.values import replace


@dataclass(frozen=True, slots=True)
class Salvaged:
    """The entries whose place in the chain is certain, in order; how many the file had; what was lost on the way.

    `from_backup`: how many bodies came from a backup; `notes_lost`: notes whose words could not be read.
    """

    entries: tuple[Sealed, ...]
    known: int
    from_backup: int
    notes_lost: int
    secret: str | None = None
    """from which the salts of parts were made"""

    @property
    def whole(self) -> bool:
        """Whether no entry is missing."""
        return bool(self.known) and len(self.entries) == self.known


@dataclass(slots=True)
class _Read:
    seals: dict[int, tuple[str, str, str]]
    """number -> body, hash of the one before, own hash"""
    rows: dict[int, Fact]
    salts: dict[int, str | None]
    parts: dict[int, str]
    """number -> what is kept of its parts, as it was found"""
    secret: str | None = None


def salvage(path: Path, backups: Sequence[Path]) -> Salvaged:
    """Everything of a damaged logbook that the chain proves. `backups`: of this logbook, looked at one by one where
    the file itself does not have an entry, the newest first."""
    found = _read(path)
    known = max((0, *found.seals, *found.rows))
    taken: list[Sealed] = []
    previous, notes_lost, from_backup = START, 0, 0
    kept = _Backups(backups)
    for number in range(1, known + 1):
        wanted = {seal[2] for seal in (found.seals.get(number),) if seal} | {
            seal[1] for seal in (found.seals.get(number + 1),) if seal}
        body = next((body for body in _bodies(found, number, previous) if link(previous, body) in wanted), None)
        parts: Parts | None = None if body is None else _parts(found, number, previous, body)
        if body is None or not _enough(body, parts):
            old = kept.entry(number, previous, wanted)
            if old is None or old.body is None:
                break
            body, parts = old.body, old.parts
            from_backup += 1
        previous = link(previous, body)
        entry, lost = _entry(number, body, previous, parts, found)
        notes_lost += lost
        taken.append(entry)
    return Salvaged(tuple(taken), known, from_backup, notes_lost, found.secret)


class _Backups:
    """The entries of the backups, each backup read when it is asked for the first time."""

    def __init__(self, files: Sequence[Path]) -> None:
        self._files = list(files)
        self._read: list[dict[int, Sealed]] = []

    def entry(self, number: int, previous: str, wanted: set[str]) -> Sealed | None:
        """The entry that follows `previous` in one of the backups; `wanted`: hashes of which it must have one."""
        for entries in self._every():
            entry = entries.get(number)
            if entry is not None and entry.body is not None and link(previous, entry.body) == entry.hash and \
                    (not wanted or entry.hash in wanted) and _enough(entry.body, _proven(entry.body, entry.parts)):
                return entry
        return None

    def _every(self) -> Iterator[dict[int, Sealed]]:
        yield from self._read
        while self._files:
            file = self._files.pop(0)
            with suppress(GwlogError, ValueError, TypeError), reader.reading(file) as connection:
                self._read.append({entry.seq: entry for entry in exchange.sealed_entries(connection)})
                yield self._read[-1]


def _bodies(found: _Read, number: int, previous: str) -> Iterator[str]:
    """What the entry may have been sealed as: its seal's body, and what its row says, in either form."""
    if number in found.seals:
        yield found.seals[number][0]
    if number in found.rows:
        fact = found.rows[number]
        with suppress(ValueError, TypeError, AttributeError):
            note_digest = digest_of_note(fact.note, found.salts.get(number))
            yield canonical(body_of(fact, number, note_digest))
            columns, texts = spelled(fact)
            for salts in _salts(found, number, previous, texts):
                digests = {part: digest_of_part(text, salts[part]) for part, text in texts.items() if part in salts}
                yield canonical(body_in_parts(fact.KIND, number, note_digest, columns, digests))


def _salts(found: _Read, number: int, previous: str, texts: dict[str, str]) -> Iterator[dict[str, str]]:
    """The salts of an entry's parts: as they are kept, then as they are made from the logbook's secret."""
    yield salts_of(found.parts.get(number, ""))
    if found.secret is not None:
        with suppress(ValueError):
            yield {part: salt_of_part(found.secret, previous, part, text) for part, text in texts.items()}


def _parts(found: _Read, number: int, previous: str, body: str) -> dict[str, tuple[str, str]] | None:
    """The parts of an entry that are what was sealed, each from wherever it still stands; None where it has none."""
    if IN_PARTS not in body:
        return None
    kept = found.parts.get(number, "")
    candidates: list[Parts] = []
    with suppress(ValueError, RecursionError):
        candidates.append(read_parts(json.loads(kept)))
    if number in found.rows:
        with suppress(ValueError, TypeError, AttributeError):
            _, texts = spelled(found.rows[number])
            candidates += [{part: (salts[part], text) for part, text in texts.items() if part in salts}
                           for salts in _salts(found, number, previous, texts)]
    proven: dict[str, tuple[str, str]] = {}
    for one in candidates:
        proven = {**_proven(body, one), **proven}
    return proven


def _proven(body: str, parts: Parts | None) -> dict[str, tuple[str, str]]:
    """Those of the parts whose digest is the one in the body."""
    digests = json.loads(body).get("parts_sha256", {})
    return {part: (salt, text) for part, (salt, text) in (parts or {}).items()
            if digests.get(part) == digest_of_part(text, salt)}


def _enough(body: str, parts: Parts | None) -> bool:
    """Whether a logbook can hold the entry: of its parts, only people's names may be left out."""
    return IN_PARTS not in body or set(json.loads(body)["parts_sha256"]) - {WHO} <= set(parts or {})


def _entry(number: int, body: str, hashed: str, parts: Parts | None, found: _Read) -> tuple[Sealed, bool]:
    """The entry as it is exchanged, and whether its note's words are lost."""
    said = json.loads(body)
    digest, fact, salt = said["note_sha256"], found.rows.get(number), found.salts.get(number)
    note = None if fact is None else fact.note
    entry = Sealed(number, kind_in(said, parts), body, hashed, parts=parts)
    if digest is None:
        return entry, False
    if note is not None and salt is not None and digest_of_note(note, salt) == digest:
        return replace(entry, note=note, salt=salt), False
    erased = number in found.salts and salt is None
    return entry, not erased


def _read(path: Path) -> _Read:
    """Whatever rows SQLite still gives, from both ends of each table. Raises nothing for what cannot be read."""
    found = _Read({}, {}, {}, {})
    with suppress(sqlite3.Error, UnicodeDecodeError), closing(
            sqlite3.connect(reader.uri(path, "mode=ro"), uri=True, timeout=reader.BUSY_MS / 1000)) as connection:
        connection.text_factory = lambda raw: str(raw, "utf-8", "replace")
        # A word that is damaged in the description of one table must not hide the others.
        connection.execute("PRAGMA writable_schema = ON")
        for number, body, previous, hashed in _rows(connection, "SELECT seq, body, prev, hash FROM seal", "seq"):
            if all(isinstance(word, str) for word in (body, previous, hashed)):
                found.seals[number] = body, previous, hashed
        found.salts.update(_rows(connection, "SELECT seq, salt FROM note_salt", "seq"))
        found.parts.update((number, parts) for number, parts in
                           _rows(connection, "SELECT seq, parts FROM seal_part", "seq") if isinstance(parts, str))
        with suppress(sqlite3.Error):
            found.secret = next((value for (value,) in connection.execute(
                "SELECT value FROM meta WHERE key = ?", (SECRET,)) if isinstance(value, str)), None)
        for kind in KINDS:
            select, make = reader.factory(kind)
            for row in _rows(connection, select, "id"):
                with suppress(ValueError, TypeError, KeyError):
                    found.rows[row[0]] = make(row)
    return found


def _rows(connection: sqlite3.Connection, select: str, key: str) -> Iterator[tuple[Any, ...]]:
    """The rows of a table up to a damaged page, and then from its other end back to it."""
    table = select.rpartition(" ")[2]
    for order in ("ASC", "DESC"):
        try:
            for row in connection.execute(f"{select} NOT INDEXED ORDER BY {key} {order}"):
                if isinstance(row[0], int) and row[0] > 0:
                    yield row
        except (sqlite3.Error, UnicodeDecodeError):
            continue
        return
    # Between two damaged pages: one row at a time, as far as the ends that were found.
    with suppress(sqlite3.Error):
        for number in range(1, (connection.execute(f"SELECT max({key}) FROM {table}").fetchone()[0] or 0) + 1):
            with suppress(sqlite3.Error):
                yield from connection.execute(f"{select} NOT INDEXED WHERE {key} = ?", (number,))
