"""Files that are made beside the logbook: whole or not at all, readable by their owner alone, nothing overwritten.

Exports, packs and backups go through here.
"""

from __future__ import annotations

import os
import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from gwlog.errors import BadInput

SQLITE_HEAD = b"SQLite format 3\0"


def refuse_taken(where: Path, *, replace: bool = False) -> None:
    """Raise BadInput when `where` is taken; with `replace` only for a folder or a database, which never give way."""
    if not os.path.lexists(where):
        return
    if where.is_dir():
        raise BadInput(f"{where} is a folder; name a file in it.")
    if is_database(where):
        raise BadInput(f"{where} is a database, perhaps a logbook; it is never written over.",
                       hint="Choose another name.")
    if not replace:
        raise BadInput(f"{where} is there already; it was left as it is.",
                       hint="Choose another name, or say --replace.")


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


@contextmanager
def draft_beside(where: Path) -> Iterator[Path]:
    """An empty file of mode 0600 in the same folder, to be put in place by the caller; removed if it is still there.

    Raises BadInput when none can be made there.
    """
    try:
        where.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        draft = where.with_name(f".{where.name[:100]}.{secrets.token_hex(4)}.draft")
        os.close(os.open(draft, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600))
    except (OSError, ValueError) as fault:
        raise BadInput(f"Nothing can be written at {where}: {reason(fault)}.", hint="Choose another place.") from None
    try:
        yield draft
    finally:
        for leftover in (draft, Path(f"{draft}-wal"), Path(f"{draft}-shm"), Path(f"{draft}-journal")):
            leftover.unlink(missing_ok=True)


def write_whole(where: Path, content: bytes, *, replace: bool = False) -> None:
    """Write a file of mode 0600, whole or not at all. Raises BadInput as refuse_taken() does, or when it cannot."""
    refuse_taken(where, replace=replace)
    with draft_beside(where) as draft:
        try:
            with draft.open("wb") as file:
                file.write(content)
                file.flush()
                os.fsync(file.fileno())
            put(draft, where, replace=replace)
        except OSError as fault:
            raise BadInput(f"{where} cannot be written: {reason(fault)}.", hint="Choose another place.") from None


def put(draft: Path, where: Path, *, replace: bool = False) -> None:
    """Give a finished draft its name; a file that appeared there meanwhile is left alone unless `replace`."""
    if replace:
        draft.replace(where)
        return
    try:
        os.link(draft, where)
    except FileExistsError:
        refuse_taken(where)
        raise
    except OSError:
        # A file system without hard links: between these two lines another file could only just appear.
        refuse_taken(where)
        draft.rename(where)


def reason(fault: OSError | ValueError) -> str:
    """Why the system refused, in its own words."""
    return (getattr(fault, "strerror", None) or str(fault)).lower()
