"""Makes backups of a logbook that other programs may be writing to, and restores them.

A backup is one closed file of mode 0600, named with its moment in UTC. A restore keeps a copy of what it replaces.
"""

from __future__ import annotations

import os
import re
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from gwlog import files
from gwlog.errors import BadInput, GwlogError, LogbookBusy, NotALogbook, NotVerified
from gwlog.journal import reader, seal, store

KEEP = 10
FOLDER = "backups"
_BESIDE = ("", "-wal", "-shm", "-journal")


@dataclass(frozen=True, slots=True)
class Backup:
    """A backup that was made: its file, its verification, and the older backups that were removed."""

    file: Path
    verification: seal.Verification
    removed: tuple[Path, ...]


@dataclass(frozen=True, slots=True)
class Restored:
    """A restored logbook: its entries, where the former file is kept, and how many entries only that one has."""

    entries: int
    kept: Path | None
    only_in_kept: int | None


def backup(path: Path | str, *, now: datetime, folder: Path | None = None, keep: int = KEEP) -> Backup:
    """Back up the logbook into `folder` (default: “backups” beside it) and keep the last `keep` of them there.

    Entries that others write meanwhile are in it or not, each whole. A logbook whose seal is broken is backed up
    too, but then no older backup is removed. Raises BadInput, NoLogbook, NotALogbook, LogbookNewer, GwlogError.
    """
    if keep < 1:
        raise BadInput(f"{keep} backups cannot be kept; 1 or more are accepted.")
    where = Path(path)
    store.ready(where)
    into = where.absolute().parent / FOLDER if folder is None else folder
    made = _named(into / f"{where.stem}-{now.astimezone(UTC):%Y-%m-%dT%H%M%SZ}.db")
    files.make_folder(into)
    with files.draft_beside(made) as draft:
        copy(where, draft)
        files.put(draft, made)
    found = seal.verify(made)
    removed = _removed(made, where.stem, keep) if found.holds else ()
    return Backup(made, found, removed)


def backups(folder: Path, stem: str) -> list[Path]:
    """The backups of a logbook of that name in a folder, the oldest first; files of other names are none."""
    form = re.compile(re.escape(stem) + r"-\d{4}-\d\d-\d\dT\d{6}Z(-\d+)?\.db")
    found = [file for file in folder.iterdir() if form.fullmatch(file.name) and file.is_file()]
    return sorted(found, key=lambda file: (file.name.partition("Z")[0], len(file.name), file.name))


def restore(backup_file: Path | str, path: Path | str, *, now: datetime) -> Restored:
    """Put the logbook in a backup back at `path`, after verifying it; what is there now is kept beside it.

    Programs that have the logbook open go on with the restored entries. Raises NotVerified (the backup's seal is
    broken), NotALogbook, LogbookNewer, NoLogbook, LogbookBusy, BadInput; then nothing was changed.
    """
    source, where = Path(backup_file), Path(path)
    with _sound_copy(source, where) as (draft, found):
        before = _entries(where)
        kept = _kept(where, now, readable=before is not None) if os.path.lexists(where) else None
        try:
            overwritten = before is not None and _overwritten(draft, where)
        except LogbookBusy:
            if kept is not None:
                kept.unlink(missing_ok=True)
            raise
        if not overwritten:
            for ending in _BESIDE[1:]:
                Path(f"{where}{ending}").unlink(missing_ok=True)
            files.put(draft, where, replace=kept is not None)
    after = _entries(where)
    assert after is not None
    return Restored(found.entries, kept, None if before is None else len(before - after))


def examine(backup_file: Path | str, path: Path | str) -> Restored:
    """What `restore` would put back, without doing it; `kept` is None. Raises as `restore` does."""
    with _sound_copy(Path(backup_file), Path(path)) as (draft, found):
        before, there = _entries(Path(path)), _entries(draft)
        assert there is not None
        return Restored(found.entries, None, None if before is None else len(before - there))


@contextmanager
def _sound_copy(source: Path, where: Path) -> Iterator[tuple[Path, seal.Verification]]:
    """A copy of the backup beside `where`, in the present layout and verified; it is gone afterwards if still there."""
    if not source.exists():
        raise BadInput(f"There is no file {source} to restore from.")
    files.refuse_odd(source)
    store.check(source)
    if where.exists() and source.samefile(where):
        raise BadInput(f"{source} is the logbook itself; name a backup of it.")
    files.make_folder(where.absolute().parent)
    with files.draft_beside(where) as draft:
        copy(source, draft)
        for leftover in _upgraded(draft):
            leftover.unlink(missing_ok=True)
        yield draft, _verified(draft, source)


def _named(wanted: Path) -> Path:
    """The name, or one with a number where two backups are made in the same second."""
    found, number = wanted, 2
    while os.path.lexists(found):
        found, number = wanted.with_name(f"{wanted.stem}-{number}{wanted.suffix}"), number + 1
    return found


def copy(source: Path, target: Path) -> None:
    """Copy a logbook through SQLite: one moment of it, what is still in the write-ahead file included."""
    try:
        with closing(sqlite3.connect(reader.uri(source, "mode=ro"), uri=True, timeout=reader.BUSY_MS / 1000)) as one, \
                closing(sqlite3.connect(target, isolation_level=None)) as other:
            one.backup(other, progress=_unless_busy)
            # One closed file, that can also be read where nothing may be written beside it.
            other.execute("PRAGMA journal_mode = DELETE")
    except BlockingIOError:
        raise _busy(source) from None
    except sqlite3.Error as error:
        raise reader.error_for(source, error) from None


def _unless_busy(status: int, _remaining: int, _total: int) -> None:
    """Give up on a lock: SQLite has waited its busy time then, and Python would retry without end."""
    if status in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        raise BlockingIOError


def _busy(path: Path) -> LogbookBusy:
    return LogbookBusy(f"The logbook {path} is busy: another program is writing to it.",
                       hint="Nothing was changed. Try again in a moment.")


def _removed(made: Path, stem: str, keep: int) -> tuple[Path, ...]:
    """Remove what is older than the last `keep`; only backups of this very logbook, known by its id."""
    mine = store.logbook_id(made)
    same = []
    for file in backups(made.parent, stem):
        try:
            if store.logbook_id(file) == mine:
                same.append(file)
        except (GwlogError, ValueError):
            continue
    older = same[:-keep]
    for file in older:
        file.unlink()
    return tuple(older)


def _upgraded(draft: Path) -> list[Path]:
    """Bring the copy to the present layout; returns the files that this left behind."""
    kept = store.upgrade(draft) if store.stale(draft) else None
    return [] if kept is None else [kept]


def _verified(draft: Path, source: Path) -> seal.Verification:
    """Raise unless the copy is sound as a database and its seal holds."""
    with reader.reading(draft) as connection:
        sound = connection.execute("PRAGMA integrity_check(1)").fetchone()[0]
        lost = connection.execute("PRAGMA foreign_key_check").fetchone()
    if sound != "ok" or lost is not None:
        raise NotALogbook(f"{source} is damaged; nothing was changed.", hint="Choose another backup.")
    found = seal.verify(draft)
    if not found.holds:
        broken = next(f"{level.name}: {level.detail}" for level in found.levels if not level.holds)
        raise NotVerified(f"The seal of {source} does not hold ({found.first_broken or broken}); nothing was changed.",
                          hint="Choose another backup.")
    return found


def _entries(where: Path) -> set[tuple[int, str]] | None:
    """Number and hash of every entry; None where there is no logbook that can be read."""
    try:
        with reader.reading(where) as connection:
            if connection.execute("PRAGMA application_id").fetchone()[0] != store.APPLICATION_ID:
                return None
            return set(connection.execute("SELECT seq, hash FROM seal").fetchall())
    except GwlogError:
        return None


def _kept(where: Path, now: datetime, *, readable: bool) -> Path:
    """Copy what is at `where`, readable or not, and say where the copy is."""
    if not where.is_file() or where.is_symlink():
        raise BadInput(f"{where} is not an ordinary file; nothing was changed.")
    kept = _named(where.with_name(f"{where.stem}-before-restore-{now.astimezone(UTC):%Y-%m-%dT%H%M%SZ}.db"))
    with files.draft_beside(kept) as draft:
        if readable:
            copy(where, draft)
        else:
            # It may be restored because it is damaged: keep its bytes as they are.
            for ending in _BESIDE:
                beside = Path(f"{where}{ending}")
                if beside.is_file():
                    shutil.copyfile(beside, f"{kept}{ending}" if ending else draft)
                    if ending:
                        Path(f"{kept}{ending}").chmod(0o600)
        files.put(draft, kept)
    return kept


def _overwritten(draft: Path, where: Path) -> bool:
    """Write the draft into the readable logbook at `where` in one transaction, so that open connections follow.

    False where SQLite finds the present file damaged after all; raises LogbookBusy when others do not let go of it.
    """
    try:
        with closing(sqlite3.connect(draft)) as one, \
                closing(sqlite3.connect(reader.uri(where, "mode=rw"), uri=True,
                                        timeout=reader.BUSY_MS / 1000)) as other:
            other.execute("PRAGMA synchronous = FULL")
            one.backup(other, progress=_unless_busy)
    except BlockingIOError:
        raise _busy(where) from None
    except sqlite3.Error as error:
        fault = reader.error_for(where, error)
        if isinstance(fault, NotALogbook):
            return False
        raise fault from None
    return True
