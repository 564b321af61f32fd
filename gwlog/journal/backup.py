"""Makes backups of a logbook that other programs may be writing to, and restores them.

A backup is one closed file of mode 0600, named with its moment in UTC. A restore keeps a copy of what it replaces, and
what people were told already stays told.
"""

from __future__ import annotations

import os
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import ExitStack, closing, contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from gwlog import files
from gwlog.errors import BadInput, GwlogError, LogbookBusy, NotALogbook
from gwlog.journal import delivery, kept_backups, reader, seal, soundness, store

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

    Entries that others write meanwhile are in it or not, each whole. A logbook that is not sound is backed up too, but
    then no older backup is removed; those with the fewest entries are removed first. Raises BadInput, NoLogbook,
    NotALogbook, LogbookNewer, GwlogError.
    """
    if keep < 1:
        raise BadInput(f"{keep} backups cannot be kept; use 1 or more.")
    where = Path(path)
    store.ready(where)
    into = where.absolute().parent / FOLDER if folder is None else folder
    made = _named(into / f"{where.stem}-{now.astimezone(UTC):%Y-%m-%dT%H%M%SZ}.db")
    files.make_folder(into)
    with files.draft_beside(made) as draft:
        copy(where, draft)
        files.put(draft, made)
    found = soundness.examine(made)
    removed = kept_backups.give_way(made, where.stem, keep) if found.holds else ()
    return Backup(made, found, removed)


def restore(backup_file: Path | str, path: Path | str, *, now: datetime) -> Restored:
    """Put the logbook in a backup back at `path`, after verifying it; what is there now is kept beside it.

    Programs that have the logbook open go on with the restored entries. Raises NotVerified (the backup's seal is
    broken), NotALogbook, LogbookNewer, NoLogbook, LogbookBusy, BadInput; then nothing was changed. Raises GwlogError
    when the disk refuses; its words say what is there then.
    """
    source, where = Path(backup_file), Path(path)
    with _sound_copy(source, where) as (draft, found):
        before = _entries(where)
        kept = keep_aside(where, now, "before-restore") if os.path.lexists(where) else None
        put_in_place(draft, where, kept)
    after = _entries(where)
    if after is None:
        raise GwlogError(f"The backup was restored at {where}, but cannot be read again: the disk may be failing.",
                         hint=_kept_at(kept) + "Check the disk, then restore once more.")
    return Restored(found.entries, kept, None if before is None else len(before - after))


def put_in_place(draft: Path, where: Path, kept: Path | None) -> None:
    """Make a sound draft the logbook at `where`, what people were told there included; `kept`: the copy of what was.

    Raises LogbookBusy (nothing was changed, and the copy is gone), GwlogError when the disk refuses.
    """
    delivery.carry_over(where, draft)
    try:
        overwritten = _entries(where) is not None and _overwritten(draft, where)
        if not overwritten:
            for ending in _BESIDE[1:]:
                Path(f"{where}{ending}").unlink(missing_ok=True)
            files.put(draft, where, replace=kept is not None)
    except LogbookBusy:
        if kept is not None:
            remove(kept)
        raise
    except OSError as fault:
        raise GwlogError(f"Nothing was restored at {where}: {files.reason(fault)}.",
                         hint=_kept_at(kept) + "Check the disk and the folder's permissions, then try again.") from None


def _kept_at(kept: Path | None) -> str:
    return "" if kept is None else f"What was there is kept: {kept}. "


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
        found = soundness.examine(draft)
        soundness.refuse(found, str(source), "nothing was changed", "Choose another backup.")
        yield draft, found


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
    except UnicodeDecodeError:   # SQLite quotes the damaged words of the file, which Python cannot put into words
        raise reader.damaged(source) from None


def _unless_busy(status: int, _remaining: int, _total: int) -> None:
    """Give up on a lock: SQLite has waited its busy time then, and Python would retry without end."""
    if status in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        raise BlockingIOError


def _busy(path: Path) -> LogbookBusy:
    return LogbookBusy(f"The logbook {path} is busy: another program is writing to it.",
                       hint="Nothing was changed. Try again in a moment.")


def _upgraded(draft: Path) -> list[Path]:
    """Bring the copy to the present layout; returns the files that this left behind."""
    kept = store.upgrade(draft) if store.stale(draft) else None
    return [] if kept is None else [kept]


def _entries(where: Path) -> set[tuple[int, str]] | None:
    """Number and hash of every entry; None where there is no logbook that can be read."""
    try:
        with reader.reading(where) as connection:
            if connection.execute("PRAGMA application_id").fetchone()[0] != store.APPLICATION_ID:
                return None
            return set(connection.execute("SELECT seq, hash FROM seal").fetchall())
    except GwlogError:
        return None


def keep_aside(where: Path, now: datetime, why: str) -> Path:
    """Copy what is at `where` into a file beside it, readable or not; returns the copy, named with `why`.

    Raises BadInput for what is no ordinary file, GwlogError when the disk refuses; then nothing was changed.
    """
    if not where.is_file() or where.is_symlink():
        raise BadInput(f"{where} is not an ordinary file; nothing was changed.")
    kept = _named(where.with_name(f"{where.stem}-{why}-{now.astimezone(UTC):%Y-%m-%dT%H%M%SZ}.db"))
    try:
        with files.draft_beside(kept) as draft:
            try:
                if _entries(where) is None:
                    raise reader.damaged(where)
                copy(where, draft)
            except NotALogbook:
                # It may be replaced because it is damaged: keep its bytes as they are.
                _copy_bytes(where, kept, draft)
            files.put(draft, kept)
    except OSError as fault:
        raise GwlogError(f"What is at {where} cannot be kept beside it: {files.reason(fault)}; nothing was changed.",
                         hint="Free some space, or check the disk.") from None
    return kept


def remove(kept: Path) -> None:
    """Remove a copy that was put aside and is not needed after all."""
    for ending in _BESIDE:
        Path(f"{kept}{ending}").unlink(missing_ok=True)


def _copy_bytes(where: Path, kept: Path, draft: Path) -> None:
    with ExitStack() as stack:
        copies = [(Path(f"{where}{ending}"), Path(f"{kept}{ending}")) for ending in _BESIDE[1:]]
        made = [(stack.enter_context(files.draft_beside(name)), source, name) for source, name in copies
                if source.is_file()]
        for target, source, _ in [(draft, where, kept), *made]:
            with source.open("rb") as old, target.open("wb") as new:
                shutil.copyfileobj(old, new)
                new.flush()
                os.fsync(new.fileno())
        for target, _, name in made:
            files.put(target, name)


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
    except UnicodeDecodeError:
        return False
    return True
