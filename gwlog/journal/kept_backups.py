"""The backups that are kept in a folder: which there are, in which order, and which give way to a new one.

They are ordered by what they hold (the seal's number inside), never by the clock in their names, which may have been
wrong.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from glob import escape
from pathlib import Path
from uuid import UUID

from gwlog.errors import GwlogError
from gwlog.journal import reader, soundness, store
from gwlog.journal.noted_number import Noted


@dataclass(frozen=True, slots=True)
class Kept:
    """A backup: its file, the number of its last entry, and how many notes had been erased by then."""

    file: Path
    number: int
    erased: int


def named_like(folder: Path, stem: str) -> list[Path]:
    """The files in a folder that are named as backups of a logbook of that name are, in the order of their names."""
    form = re.compile(re.escape(stem) + r"-\d{4}-\d\d-\d\dT\d{6}Z(-\d+)?\.db")
    found = [file for file in folder.iterdir() if form.fullmatch(file.name) and file.is_file()]
    return sorted(found, key=lambda file: (file.name.partition("Z")[0], len(file.name), file.name))


def of_logbook(folder: Path, stem: str, logbook: UUID) -> list[Kept]:
    """The backups of one very logbook, known by its id: the one with the fewest entries first.

    What cannot be read is none of them.
    """
    found = []
    for file in named_like(folder, stem) if folder.is_dir() else ():
        try:
            if store.logbook_id(file) == logbook:
                found.append(_kept(file))
        except (GwlogError, ValueError):
            continue
    return sorted(found, key=lambda one: (one.number, one.erased))


def _kept(file: Path) -> Kept:
    with reader.reading(file) as connection:
        number = connection.execute("SELECT coalesce(max(seq), 0) FROM seal").fetchone()[0]
        erased = connection.execute("SELECT count(*) FROM note_salt WHERE salt IS NULL").fetchone()[0]
    return Kept(file, number, erased)


def give_way(made: Path, stem: str, keep: int) -> tuple[Path, ...]:
    """Remove what is more than `keep`, the fewest entries first; returns what was removed.

    Never removed: `made`, which has just been verified, and the one with most entries that verifies.
    """
    every = of_logbook(made.parent, stem, store.logbook_id(made))
    newest = next((one.file for one in reversed(every) if one.file == made or soundness.examine(one.file).holds), made)
    order = [one.file for one in every if one.file != made] + [made]
    removed = [file for file in order[:-keep] if file != newest]
    for file in removed:
        file.unlink()
    return tuple(removed)


def of_household(folder: Path, logbook: Path) -> list[Kept]:
    """The backups of the logbook at a path, as of_logbook(); where it cannot be read, those that bear its name."""
    try:
        return of_logbook(folder, logbook.stem, store.logbook_id(logbook))
    except (GwlogError, ValueError):
        ids = []
        for file in named_like(folder, logbook.stem) if folder.is_dir() else ():
            try:
                ids.append(store.logbook_id(file))
            except (GwlogError, ValueError):
                continue
        # Of several households that bear the same name, nobody can tell whose it is.
        return of_logbook(folder, logbook.stem, ids[0]) if len(set(ids)) == 1 else []


def holding(folder: Path, logbook: Path, noted: Noted) -> Path | None:
    """The copy of a logbook that holds the entry noted, and the most entries: a backup, or one put aside beside it.

    None where there is none.
    """
    beside = logbook.absolute().parent.glob(f"{escape(logbook.stem)}-before-*.db")
    files = [*(one.file for one in of_household(folder, logbook)), *beside]
    found = [(number, file) for file in files if (number := _number_if_it_holds(file, noted)) is not None]
    return max(found)[1] if found else None


def _number_if_it_holds(file: Path, noted: Noted) -> int | None:
    try:
        with reader.reading(file) as connection:
            held = connection.execute("SELECT 1 FROM seal WHERE seq = ? AND hash = ?", (noted.number, noted.hash))
            last: int = connection.execute("SELECT max(seq) FROM seal").fetchone()[0]
            return None if held.fetchone() is None else last
    except GwlogError:
        return None
