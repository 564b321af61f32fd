"""Makes anew what can be made anew of a logbook that is not sound, after a copy of it was put aside.

Indexes come from their tables, guards and views from gwlog, a whole new file from entries that the seal proves. No
entry is ever left out: where one cannot be proven, nothing is made and it is said which.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from contextlib import closing, suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from gwlog import files
from gwlog.actions import Action, Hint, Words
from gwlog.errors import GwlogError, LogbookBusy
from gwlog.journal import attached, backup, exchange, reader, soundness, store
from gwlog.journal.guards import triggers
from gwlog.journal.salvage import Salvaged, salvage
from gwlog.journal.views import views
from gwlog.text import plural


@dataclass(frozen=True, slots=True)
class Repaired:
    """What was done, in sentences; where the logbook as it was is kept; and what cannot be repaired, with a way out."""

    done: tuple[str, ...] = ()
    kept: Path | None = None
    left: str | None = None
    hint: Words | None = None


def repair(path: Path, *, now: datetime, backups: Sequence[Path] = ()) -> Repaired:
    """Repair a logbook as far as that can be done; a sound one is left as it is. `backups`: of it, the newest first.

    Raises NoLogbook, LogbookBusy, BadInput for what is no ordinary file, GwlogError when the disk refuses.
    """
    if _sound(path):
        return Repaired()
    kept = backup.keep_aside(path, now, "before-repair")
    done = []
    if soundness.only_indexes(path) and _written(path, ["REINDEX"]):
        done.append("The indexes were rebuilt from their tables.")
    if not _guarded(path) and _guards_anew(path):
        done.append("The write protection and the views were rebuilt.")
    if _sound(path):
        return Repaired(tuple(done), kept)
    found = salvage(path, backups)
    if not found.whole:
        if not done:
            backup.remove(kept)
        return Repaired(tuple(done), kept if done else None, *_left(found, backups))
    _rebuilt(path, found, kept, backups)
    done.append(f"A new file was made of {plural(len(found.entries), 'entry', 'entries')}, each proven by the seal."
                + (f" {found.from_backup} of them came from a backup." if found.from_backup else ""))
    if found.notes_lost:
        done.append(f"The words of {plural(found.notes_lost, 'note')} could not be read: the seal holds without them.")
    return Repaired(tuple(done), kept)


def _sound(path: Path) -> bool:
    try:
        return not store.stale(path) and soundness.examine(path).holds
    except LogbookBusy:
        raise
    except GwlogError:
        return False


def _guarded(path: Path) -> bool:
    try:
        with reader.reading(path) as connection:
            found = dict(connection.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall())
    except GwlogError:
        return True   # it cannot be read, so that they cannot be made anew either
    return found == triggers()


def _guards_anew(path: Path) -> bool:
    with reader.reading(path) as connection:
        old = connection.execute("SELECT type, name FROM sqlite_master WHERE type IN ('trigger', 'view')").fetchall()
    drop = ['DROP {} "{}"'.format(kind, name.replace('"', '""')) for kind, name in old]
    return _written(path, [*drop, *triggers().values(), *views().values()])


def _written(path: Path, statements: Sequence[str]) -> bool:
    """Carry out statements in one transaction; False where the file does not let it. Raises LogbookBusy."""
    try:
        with closing(store._plain(path)) as connection:
            connection.execute("BEGIN IMMEDIATE")
            try:
                for statement in statements:
                    connection.execute(statement)
            except sqlite3.Error:
                connection.execute("ROLLBACK")
                raise
            connection.execute("COMMIT")
    except UnicodeDecodeError:
        return False
    except sqlite3.Error as error:
        fault = reader.error_for(path, error)
        if isinstance(fault, LogbookBusy):
            raise fault from None
        return False
    return True


def _rebuilt(path: Path, found: Salvaged, kept: Path, backups: Sequence[Path]) -> None:
    identity = None
    for file in (path, *backups):
        try:
            identity = store.logbook_id(file)
            break
        except (GwlogError, ValueError):
            continue
    with files.draft_beside(path) as draft:
        draft.unlink()
        store.create(draft, identity=identity, secret=found.secret)
        exchange.import_into(draft, "".join(f"{entry.line}\n" for entry in found.entries).encode())
        with suppress(sqlite3.Error), closing(sqlite3.connect(reader.uri(path, "mode=ro"), uri=True)) as source, \
                closing(store._plain(draft)) as target:
            attached.carried(source, target)
        closed = soundness.examine(draft)
        soundness.refuse(closed, f"what was made of {path}", f"the logbook is as it was, a copy is at {kept}",
                         "Restore a backup.")
        backup.put_in_place(draft, path, kept)


def _left(found: Salvaged, backups: Sequence[Path]) -> tuple[str, Words]:
    if not found.known:
        left = "Nothing in the file can be read as entries, so it cannot be repaired; it was left as it is."
    else:
        left = (f"Entry {len(found.entries) + 1} of {found.known} is not what was sealed and stands nowhere else, so "
                f"no whole new file can be made; {plural(len(found.entries), 'entry', 'entries')} before it hold.")
    return left, Hint("Restore the newest backup: ", Action("restore", file=backups[0] if backups else "FILE"))
