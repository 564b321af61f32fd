"""Notes that stand at several entries: whoever withholds one of them means its words, wherever they stand.

A note is stored once, at the load for which it was given. Logbooks written before hold it at the valve switch and the
outlet move that were logged with the load as well: the same words at the same moment, recorded at the same moment.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Collection, Iterable

from gwlog.journal.facts import KINDS, Fact


def kept_notes(connection: sqlite3.Connection, withhold: Collection[str]) -> dict[int, str]:
    """Number -> note of the entries whose notes are shown where those of some kinds are withheld."""
    found: dict[int, tuple[str, str, str]] = {}
    gone: set[tuple[str, str, str]] = set()
    # A backup of an older layout lacks the kinds that came later.
    tables = {name for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
    for kind in (each for each in KINDS if each in tables):
        rows = connection.execute(f"SELECT id, happened_at, recorded_at, note FROM {kind} WHERE note IS NOT NULL")
        given = ((row[0], row[1:]) for row in rows)
        if kind in withhold:
            gone.update(one for _, one in given)
        else:
            found.update(given)
    return {number: one[2] for number, one in found.items() if one not in gone}


def withheld_with(facts: Iterable[Fact], withhold: Collection[str]) -> frozenset[int]:
    """The numbers of the entries of other kinds that hold a note of one of the kinds `withhold`."""
    noted = [(fact, (fact.happened_at, fact.recorded_at, fact.note)) for fact in facts if fact.note is not None]
    gone = {given for fact, given in noted if fact.KIND in withhold}
    return frozenset(fact.id for fact, given in noted if fact.KIND not in withhold and given in gone)


def same_notes(connection: sqlite3.Connection, number: int, kind: str) -> list[int]:
    """The numbers of all entries that hold the note of one of them, recorded with it; none where it has no note."""
    mine = connection.execute(
        f"SELECT happened_at, recorded_at, note FROM {kind} WHERE id = ? AND note IS NOT NULL", (number,)).fetchone()
    if mine is None:
        return []
    return sorted(row[0] for each in KINDS for row in connection.execute(
        f"SELECT id FROM {each} WHERE happened_at = ? AND recorded_at = ? AND note = ?", mine))
