"""Files beside the logbook: whole or not at all, readable by their owner alone, nothing of anybody else written over.

Papers, exports, packs, calendars, backups and settings are all written here, under one rule: what is there already
stays, unless gwlog made it for the very same purpose (a paper or a calendar that is kept current) or the writer was
asked to replace it. A folder and a database never give way.
"""

from __future__ import annotations

import os
import secrets
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from gwlog.actions import Argument, Hint
from gwlog.errors import BadInput, GwlogError

SQLITE_HEAD = b"SQLite format 3\0"
MODE = 0o600
_FOLDER_MODE = 0o700
_LARGEST_PAPER = 200_000_000
_REPLACE = Hint("Choose another name, or say ", Argument("replace"), ".")


def made_for(purpose: str) -> str:
    """The mark that a paper of one purpose carries, like “gwlog card”; only its own kind is written over unasked."""
    return f"gwlog {purpose}"


def refuse_taken(where: Path, *, replace: bool = False, mark: str | None = None) -> None:
    """Raise BadInput when `where` is taken.

    With `replace`, or where the file carries `mark` (what made_for() gave when it was written), only a folder and a
    database are refused.
    """
    if not os.path.lexists(where):
        return
    if where.is_dir():
        raise BadInput(f"{where} is a folder; name a file in it.")
    if is_database(where):
        raise BadInput(f"{where} is a database, perhaps a logbook; it is never written over.",
                       hint="Choose another name.")
    if not replace and not (mark is not None and _carries(where, mark)):
        raise BadInput(f"{where} is there already; it was left as it is.", hint=_REPLACE)


def _carries(where: Path, mark: str) -> bool:
    try:
        return where.stat().st_size <= _LARGEST_PAPER and mark.encode() in where.read_bytes()
    except OSError:
        return False


def is_database(where: Path) -> bool:
    """Whether the file begins as SQLite's files do."""
    try:
        with where.open("rb") as file:
            return file.read(len(SQLITE_HEAD)) == SQLITE_HEAD
    except OSError:
        return False


def read_whole(where: Path, largest: int, accepted: str) -> bytes:
    """What a file holds. Raises BadInput when it cannot be read or is longer than `largest` bytes; `accepted`: what is.
    """
    try:
        if where.stat().st_size > largest:
            raise BadInput(f"{where} is larger than {largest // 1_000_000} MB; {accepted}.")
        return where.read_bytes()
    except (OSError, ValueError) as fault:
        raise BadInput(f"{where} cannot be read: {reason(fault)}.") from None


def refuse_without_folder(where: Path) -> None:
    """Raise BadInput when the folder of a file that a person named does not exist: a slip of the keys makes none."""
    if not where.parent.is_dir():
        raise BadInput(f"The folder {where.parent} does not exist; nothing was written.")


def make_folder(folder: Path) -> None:
    """Make a folder of gwlog's own (backups, settings) and those above it. Raises BadInput when it cannot be made."""
    try:
        folder.mkdir(mode=_FOLDER_MODE, parents=True, exist_ok=True)
    except (OSError, ValueError) as fault:
        raise BadInput(f"Nothing can be written at {folder}: {reason(fault)}.", hint="Choose another place.") from None


@contextmanager
def draft_beside(where: Path) -> Iterator[Path]:
    """An empty file of mode 0600 in the same folder, to be put in place by the caller; removed if it is still there.

    Raises BadInput when there is no such folder, GwlogError when no file can be made in it.
    """
    refuse_without_folder(where)
    try:
        draft = where.with_name(f".{where.name[:100]}.{secrets.token_hex(4)}.draft")
        os.close(os.open(draft, os.O_RDWR | os.O_CREAT | os.O_EXCL, MODE))
    except (OSError, ValueError) as fault:
        raise _unwritable(where, fault) from None
    try:
        yield draft
    finally:
        for leftover in (draft, Path(f"{draft}-wal"), Path(f"{draft}-shm"), Path(f"{draft}-journal")):
            leftover.unlink(missing_ok=True)


def write_whole(where: Path, content: bytes, *, replace: bool = False, mark: str | None = None) -> None:
    """Write a file of mode 0600, whole or not at all, and make sure that it and its name are on the disk.

    Raises BadInput as refuse_taken() and draft_beside() do, GwlogError when the disk refuses; then whatever was there
    is there still.
    """
    refuse_taken(where, replace=replace, mark=mark)
    with draft_beside(where) as draft:
        try:
            with draft.open("wb") as file:
                file.write(content)
                file.flush()
                os.fsync(file.fileno())
            put(draft, where, replace=replace or mark is not None)
        except OSError as fault:
            raise _unwritable(where, fault) from None


def write_parts(where: Path, parts: Iterable[bytes], *, replace: bool = False) -> int:
    """As write_whole, of parts that are made while they are written; returns how many there were."""
    refuse_taken(where, replace=replace)
    count = 0
    with draft_beside(where) as draft:
        try:
            with draft.open("wb") as file:
                for part in parts:
                    file.write(part)
                    count += 1
                file.flush()
                os.fsync(file.fileno())
            put(draft, where, replace=replace)
        except OSError as fault:
            raise _unwritable(where, fault) from None
    return count


def put(draft: Path, where: Path, *, replace: bool = False) -> None:
    """Give a finished draft its name; a file that appeared there meanwhile is left alone unless `replace`."""
    if replace:
        draft.replace(where)
    else:
        try:
            os.link(draft, where)
        except FileExistsError:
            refuse_taken(where)
            raise
        except OSError:
            # A file system without hard links: between these two lines another file could only just appear.
            refuse_taken(where)
            draft.rename(where)
    _sync_folder(where.parent)


def _sync_folder(folder: Path) -> None:
    """Put the folder's list of names on the disk, where the system can: a file without its name is lost."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _unwritable(where: Path, fault: OSError | ValueError) -> GwlogError:
    return GwlogError(f"{where} cannot be written: {reason(fault)}.",
                      hint="Check the folder's permissions and free space; nothing was changed.")


def reason(fault: OSError | ValueError) -> str:
    """Why the system refused, in its own words."""
    return (getattr(fault, "strerror", None) or str(fault)).lower()
