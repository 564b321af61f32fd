"""Whether a logbook is sound: the file as a database, its references, and its seal. Standard library alone.

What a backup is called verified by, a restore accepts it by: both ask here, and so do `verify` and `check`.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

from gwlog.errors import NotALogbook, NotVerified
from gwlog.journal import chain, reader, seal
from gwlog.journal.level import Level
from gwlog.journal.seal import Verification
from gwlog.journal.seal_number import SealNumber

FILE, REFERENCES = "file", "references"
_MOST_TOLD = 20


def examine(path: Path | str, *, noted: Sequence[str | SealNumber] = (), now: datetime | None = None) -> Verification:
    """Verify a logbook of the present layout: pages and indexes, references between entries, then the seal.

    A file too damaged to be read does not hold; `noted` and `now` are as for seal.verify(). Raises BadInput for a seal
    number of another form, NoLogbook, LogbookBusy, and GwlogError when the disk fails.
    """
    try:
        with reader.reading(path) as connection:
            faults = [str(row[0]) for row in connection.execute(f"PRAGMA integrity_check({_MOST_TOLD})")]
            lost = connection.execute("PRAGMA foreign_key_check").fetchall()
        found = seal.verify(path, noted=noted, now=now)
    except NotALogbook as fault:
        return unreadable(fault)
    except (TypeError, ValueError, OverflowError):   # a damaged row can hold anything, a number that is none too
        return Verification((Level(FILE, False, "holds what no logbook does"),), 0, 0, chain.START, None)
    sound = faults == ["ok"]
    levels = (
        Level(FILE, sound, "every page and index" if sound else in_words(faults)),
        Level(REFERENCES, not lost, f"{lost[0][0]} names what is not there" if lost else "every one leads somewhere"),
    )
    return Verification(levels + found.levels, found.entries, found.last_number, found.last_hash, found.first_broken,
                        found.odd)


def unreadable(fault: NotALogbook) -> Verification:
    """What is found of a file that is no logbook, or too damaged to be read as one."""
    return Verification((Level(FILE, False, f"cannot be read: {fault}"),), 0, 0, chain.START, None)


def quick(path: Path | str) -> Level:
    """The part of `examine` that is cheap: the pages, without the indexes against their tables."""
    try:
        with reader.reading(path) as connection:
            faults = [str(row[0]) for row in connection.execute("PRAGMA quick_check(1)")]
    except NotALogbook as fault:
        return Level(FILE, False, f"cannot be read: {fault}")
    return Level(FILE, faults == ["ok"], "every page" if faults == ["ok"] else in_words(faults))


def only_indexes(path: Path | str) -> bool:
    """Whether nothing but indexes is damaged, so that they can be made anew from their tables."""
    try:
        with reader.reading(path) as connection:
            faults = [str(row[0]) for row in connection.execute(f"PRAGMA integrity_check({_MOST_TOLD})")]
    except NotALogbook:
        return False
    return faults != ["ok"] and all(_of_index(fault) for fault in faults)


def in_words(faults: list[str]) -> str:
    """What SQLite says of a damaged file, in words for people."""
    more = f"; {len(faults) - 1} more" if len(faults) > 1 else ""
    if _of_index(faults[0]):
        return f"the index {faults[0].rpartition('index ')[2]} does not agree with its table{more}"
    return f"damaged: {' '.join(faults[0].split())[:120]}{more}"


def _of_index(fault: str) -> bool:
    return "missing from index" in fault or "entries in index" in fault or "non-unique entry in index" in fault


def refuse(found: Verification, thing: str, then: str, hint: str) -> None:
    """Raise unless it holds: NotALogbook for a damaged file, NotVerified for a seal; `thing` and `then` are told."""
    if found.holds:
        return
    broken = next(level for level in found.levels if not level.holds)
    if broken.name in (FILE, REFERENCES):
        raise NotALogbook(f"{thing} is damaged ({broken.name}: {broken.detail}); {then}.", hint=hint)
    why = found.first_broken or f"{broken.name}: {broken.detail}"
    raise NotVerified(f"The seal of {thing} does not hold ({why}); {then}.", hint=hint)
