"""Whether seal numbers are those of the chain: the ones somebody noted, and the ones that entries say of it."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from hashlib import sha256
from sqlite3 import Connection

from gwlog.journal.attached import ENDINGS
from gwlog.journal.chain import START
from gwlog.journal.level import Level
from gwlog.journal.seal_number import SealNumber
from gwlog.text import plural

NOTED, GIVEN = "noted", "numbers given"


def hash_of(connection: Connection, count: int) -> str | None:
    """The hash of an entry by its place in the chain; None where there is no such entry."""
    if count == 0:
        return START
    row = connection.execute("SELECT hash FROM seal WHERE seq = ?", (count,)).fetchone()
    return None if row is None else str(row[0])


def levels(connection: Connection, noted: Sequence[SealNumber]) -> list[Level]:
    """One level for each number noted, and one for those that entries hold, where there are any."""
    made = [_as_noted(number, hash_of(connection, number.entries)) for number in noted]
    try:
        told = connection.execute(
            "SELECT a.id, a.number, a.means, a.file_sha256, f.content FROM attestation a LEFT JOIN attached f "
            "ON f.sha256 = a.file_sha256 WHERE a.number IS NOT NULL ORDER BY a.id").fetchall()
    except (sqlite3.DatabaseError, sqlite3.OperationalError):
        return made   # a damaged table is told by the rows
    faults = [fault for row in told if (fault := _fault(connection, row[0], row[1], row[3], row[4])) is not None]
    if told:
        more = f"; {len(faults) - 1:,} more" if len(faults) > 1 else ""
        # An answer that did not come along (an export holds none) takes from what is shown, not from the seal.
        away = sum(means in ENDINGS and content is None for _, _, means, _, content in told)
        fine = plural(len(told), "number") + (f", {plural(away, 'answer')} not here" if away else "")
        made.append(Level(GIVEN, not faults, faults[0] + more if faults else fine))
    return made


def _fault(connection: Connection, entry: int, number: str, digest: str | None, content: object) -> str | None:
    count, _, start = str(number).partition(":")
    hashed = hash_of(connection, int(count)) if count.isdigit() else None
    if hashed is None or not hashed.startswith(start) or int(count) >= entry:
        return f"entry {entry} holds the seal number {count}:{start[:16]}, which is not the chain's"
    if content is not None and (not isinstance(content, bytes) or sha256(content).hexdigest() != digest):
        return f"the witness's answer of entry {entry} is not the one that was sealed"
    return None


def _as_noted(number: SealNumber, found: str | None) -> Level:
    if number.entries == 0 and START.startswith(number.start):
        return Level(NOTED, True, "an empty logbook")
    if found is None:
        return Level(NOTED, False, f"entry {number.entries} was there when the number was noted, and is gone: the end "
                                   "was cut")
    if not found.startswith(number.start):
        return Level(NOTED, False, f"entry {number.entries} had another hash when the number was noted: it was "
                                   "rewritten")
    return Level(NOTED, True, f"entry {number.entries} is the one that was noted")
