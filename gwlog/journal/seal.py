"""Verifies the seal of a logbook with the standard library alone: the chain, the rows against it, and the triggers.

How an entry is hashed is in chain.py; check_seal.py verifies a record pack without gwlog.
"""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from operator import itemgetter
from pathlib import Path
from sqlite3 import Connection, OperationalError
from typing import Any

from gwlog.errors import BadInput
from gwlog.journal.chain import START, body_of, canonical, digest_of_note, link
from gwlog.journal.facts import KINDS, Fact
from gwlog.journal.guards import triggers
from gwlog.journal.reader import factory, reading
from gwlog.text import plural


@dataclass(frozen=True, slots=True)
class Level:
    """One thing that was verified: whether it holds, and what was found."""

    name: str
    holds: bool
    detail: str


@dataclass(frozen=True, slots=True)
class Verification:
    """What verification found. `first_broken`: the first entry that does not hold, in words; None when all do."""

    levels: tuple[Level, ...]
    entries: int
    last_number: int
    last_hash: str
    first_broken: str | None

    @property
    def holds(self) -> bool:
        """Whether every level holds."""
        return all(level.holds for level in self.levels)


_Seal = tuple[Any, ...]
_Rows = dict[int, tuple[str, Fact | None]]


@dataclass(slots=True)
class _Findings:
    """Faults of one level, each with the number of its entry."""

    faults: list[tuple[int, str]]

    def level(self, name: str, fine: str) -> Level:
        if not self.faults:
            return Level(name, True, fine)
        more = f"; {len(self.faults) - 1:,} more" if len(self.faults) > 1 else ""
        return Level(name, False, self.faults[0][1] + more)


def verify(path: Path | str, *, noted: str | None = None) -> Verification:
    """Verify the seal of a logbook: the chain, the rows against it, the guards, and a seal number noted earlier.

    `noted`: “412:9f3a…”, an entry's number and at least the first 16 hex digits of its hash. Raises BadInput for
    another form, NotALogbook when the file cannot be read. Edits, deletions in the middle and reordering are
    found; a tail cut off, or a logbook rewritten whole, only with a number noted earlier. That entries are true or
    complete is never proven.
    """
    known = number_of(noted)
    with reading(path) as connection:
        guards = dict(connection.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall())
        try:
            seals, salts, rows, doubled = _collected(connection)
        except OperationalError as error:
            if "decode" not in str(error):
                raise
            # A damaged byte must not hide which entry it is in.
            connection.text_factory = lambda raw: str(raw, "utf-8", "replace")
            seals, salts, rows, doubled = _collected(connection)

    chain = _Findings(_broken_links(seals))
    same, withheld = _broken_rows(seals, rows, salts)
    sealed = {seal[0] for seal in seals}
    unsealed = _Findings(doubled + [
        (number, f"entry {number} ({kind}) is not sealed") for number, (kind, _) in sorted(rows.items())
        if number not in sealed
    ])
    levels = [
        chain.level("chain", plural(len(seals), "link")),
        same.level("entries as sealed", plural(withheld, "note") + " withheld" if withheld else "every row"),
        unsealed.level("nothing unsealed", plural(len(rows), "entry", "entries")),
        _guarded(triggers(), guards),
    ]
    if known is not None:
        levels.append(_as_noted(*known, {seal[0]: seal[4] for seal in seals}))
    faults = sorted(chain.faults + same.faults + unsealed.faults, key=itemgetter(0))
    last = seals[-1] if seals else (0, "", "", "", START)
    return Verification(tuple(levels), len(rows), last[0], str(last[4]), faults[0][1] if faults else None)


def _collected(connection: Connection) -> tuple[list[_Seal], dict[int, str | None], _Rows, list[tuple[int, str]]]:
    """The seal's rows, the salts, every entry (None: it cannot be read), and numbers that occur twice."""
    rows: _Rows = {}
    doubled: list[tuple[int, str]] = []
    seals = connection.execute("SELECT seq, entry_kind, body, prev, hash FROM seal ORDER BY seq").fetchall()
    salts = dict(connection.execute("SELECT seq, salt FROM note_salt").fetchall())
    for kind in KINDS:
        select, make = factory(kind)
        for row in connection.execute(select):
            number = row[0]
            if number in rows:
                doubled.append((number, f"entry {number} is there twice: {rows[number][0]} and {kind}"))
            try:
                rows[number] = kind, make(row)
            except (ValueError, KeyError, TypeError):
                rows[number] = kind, None
    return seals, salts, rows, doubled


def _broken_links(seals: list[_Seal]) -> list[tuple[int, str]]:
    """The first entry at which the chain breaks; later entries cannot be judged."""
    previous = START
    for expected, (seq, _, body, prev, hashed) in enumerate(seals, start=1):
        if seq != expected:
            return [(expected, f"entry {expected} is missing from the seal")]
        if prev != previous:
            return [(seq, f"entry {seq} does not follow from the one before it")]
        if link(prev, body) != hashed:
            return [(seq, f"entry {seq}'s hash does not follow from what was sealed")]
        previous = hashed
    return []


def _broken_rows(seals: list[_Seal], rows: _Rows,
                 salts: dict[int, str | None]) -> tuple[_Findings, int]:
    faults, withheld = [], 0
    for seq, kind, body, _, _ in seals:
        found, fact = rows.get(seq, (kind, None))
        if seq not in rows:
            faults.append((seq, f"entry {seq} ({kind}) was sealed, but its row is missing"))
            continue
        if fact is not None and fact.note is None and '"note_sha256":null' not in body:
            digest = _sealed_digest(body)
            withheld += 1
        else:
            digest = None if fact is None else digest_of_note(fact.note, salts.get(seq))
        try:
            holds = fact is not None and found == kind and canonical(body_of(fact, seq, digest)) == body
        except (ValueError, TypeError, AttributeError):
            holds = False
        if not holds:
            faults.append((seq, f"entry {seq} ({kind}) is not what was sealed"))
    return _Findings(faults), withheld


def _sealed_digest(body: str) -> str | None:
    try:
        found = json.loads(body)["note_sha256"]
    except (ValueError, KeyError, TypeError):
        return None
    return found if isinstance(found, str) else None


def _guarded(wanted: dict[str, str], found: dict[str, str]) -> Level:
    missing = [name for name in wanted if name not in found]
    changed = [name for name in wanted if name in found and found[name] != wanted[name]]
    foreign = [name for name in found if name not in wanted]
    faults = [f"{what}: {', '.join(names[:3])}" + (" and others" if len(names) > 3 else "")
            for what, names in (("missing", missing), ("changed", changed), ("not gwlog's", foreign)) if names]
    return Level("guards", not faults, "; ".join(faults) or plural(len(wanted), "trigger"))


def number_of(text: str | None) -> tuple[int, str] | None:
    if text is None:
        return None
    match = re.fullmatch(r"\s*(\d{1,15})\s*:\s*([0-9a-f]{16,64})\s*", text.casefold())
    if match is None:
        raise BadInput(f"“{text[:80]}” is not a seal number; write it like 412:9f3a6c0b12d4e877, the "
                       "entry's number and 16 hex digits.")
    return int(match[1]), match[2]


def _as_noted(seq: int, start: str, hashes: dict[int, str]) -> Level:
    if seq == 0 and START.startswith(start):
        return Level("noted", True, "an empty logbook")
    if seq not in hashes:
        return Level("noted", False, f"entry {seq} was there when the number was noted, and is gone: the end was cut")
    if not hashes[seq].startswith(start):
        return Level("noted", False, f"entry {seq} had another hash when the number was noted: it was rewritten")
    return Level("noted", True, f"entry {seq} is the one that was noted")
