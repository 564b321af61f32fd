"""Files beside the logbook: whole or not at all, readable by their owner alone, nothing of anybody else written over.

Papers, exports, packs, calendars, backups and settings are all written here, under one rule: what is there already
stays, unless gwlog made it for the very same purpose (a paper or a calendar that is kept current) or the writer was
asked to replace it. A folder and a database never give way.
"""

from __future__ import annotations

import os
import stat
from collections.abc import Iterable, Iterator
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path
from typing import IO, BinaryIO

from gwlog import drafts
from gwlog.actions import Argument, Hint
from gwlog.errors import BadInput, GwlogError

SQLITE_HEAD = b"SQLite format 3\0"
_FOLDER_MODE = 0o700
_LARGEST_PAPER = 50_000_000
_PIECE = 1_000_000
_UNSIGNED = "0" * 16
_REPLACE = Hint("Choose another name, or say ", Argument("replace"), ".")


def made_for(purpose: str) -> str:
    """The mark that a paper of one purpose carries, like “gwlog card 000…”; only its own kind is written over unasked.

    write_whole() puts a digest of the paper in the place of the zeros, so that a paper to which somebody has added
    something is no longer gwlog's to write over.
    """
    return f"gwlog {purpose} {_UNSIGNED}"


def signed(content: bytes, mark: str) -> bytes:
    """A paper with its digest in its mark, as write_whole() writes it."""
    return content.replace(mark.encode(), mark[:-len(_UNSIGNED)].encode() + _digest(content), 1)


def _digest(content: bytes) -> bytes:
    import hashlib

    return hashlib.sha256(content).hexdigest()[:len(_UNSIGNED)].encode()


def refuse_taken(where: Path, *, replace: bool = False, mark: str | None = None) -> None:
    """Raise BadInput when `where` is taken.

    With `replace`, or where the file carries `mark` (what made_for() gave when it was written), only a folder and a
    database are refused.
    """
    if not _there(where):
        return
    if where.is_dir():
        raise BadInput(f"{where} is a folder; name a file in it.")
    if is_database(where):
        raise BadInput(f"{where} is a database, perhaps a logbook; it is never written over.",
                       hint="Choose another name.")
    if not replace and not (mark is not None and _carries(where, mark)):
        raise BadInput(f"{where} is there already; it was left as it is.", hint=_REPLACE)


def _there(where: Path) -> bool:
    try:
        where.lstat()
    except FileNotFoundError:
        return False
    except (OSError, ValueError) as fault:
        raise BadInput(f"{where} is no place for a file: {reason(fault)}.") from None
    return True


def _carries(where: Path, mark: str) -> bool:
    """Whether the file is a paper of that purpose, exactly as it was written."""
    import re

    try:
        content = read_whole(where, _LARGEST_PAPER, "a paper is")
    except BadInput:
        return False
    start = mark[:-len(_UNSIGNED)].encode()
    found = re.search(re.escape(start) + b"([0-9a-f]{16})", content)
    if found is None:
        return False
    return _digest(content[:found.start(1)] + _UNSIGNED.encode() + content[found.end(1):]) == found[1]


def is_database(where: Path) -> bool:
    """Whether it is an ordinary file that begins as SQLite's files do."""
    return beginning(where, len(SQLITE_HEAD)) == SQLITE_HEAD


def beginning(where: Path, length: int) -> bytes:
    """The first bytes of a file; none where it cannot be read."""
    try:
        with opened(where) as file:
            return file.read(length)
    except (BadInput, OSError):
        return b""


@contextmanager
def opened(where: Path) -> Iterator[BinaryIO]:
    """A file that somebody named, to be read. Raises BadInput when it cannot be, or is no ordinary file.

    A pipe would keep its reader waiting, a device never end.
    """
    try:
        # Looked at before it is opened, since opening alone moves some devices, and after it, since names change hands.
        _refuse_odd(where, where.stat().st_mode)
        handle = os.open(where, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    except (OSError, ValueError) as fault:
        raise BadInput(f"{where} cannot be read: {reason(fault)}.") from None
    with os.fdopen(handle, "rb") as file:
        _refuse_odd(where, os.fstat(handle).st_mode)
        yield file


def refuse_odd(where: Path) -> None:
    """Raise BadInput for what is no ordinary file that can be read: reading a pipe or a device may never end."""
    with opened(where):
        pass


def _refuse_odd(where: Path, mode: int) -> None:
    if stat.S_ISDIR(mode):
        raise BadInput(f"{where} cannot be read: it is a folder.")
    if not stat.S_ISREG(mode):
        raise BadInput(f"{where} cannot be read: it is a pipe or a device; an ordinary file is accepted.")


def read_whole(where: Path, largest: int, accepted: str) -> bytes:
    """What a file holds. Raises BadInput when it cannot be read or is longer than `largest` bytes; `accepted`: what is.
    """
    with opened(where) as file:
        try:
            content = file.read(largest + 1) if os.fstat(file.fileno()).st_size <= largest else None
        except OSError as fault:
            raise BadInput(f"{where} cannot be read: {reason(fault)}.") from None
    if content is None or len(content) > largest:
        raise BadInput(f"{where} is larger than {largest // 1_000_000} MB; {accepted}.")
    return content


def copied(source: IO[bytes], target: IO[bytes], largest: int, thing: str) -> None:
    """Copy what `source` holds, piece by piece. Raises BadInput once it is more than `largest` bytes; `thing`: it."""
    room = largest
    while piece := source.read(min(_PIECE, room + 1)):
        room -= len(piece)
        if room < 0:
            raise BadInput(f"{thing} is larger than {largest // 1_000_000} MB; none is.")
        target.write(piece)


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
    with ExitStack() as stack:
        try:
            draft = stack.enter_context(drafts.beside(where))
        except (OSError, ValueError) as fault:
            raise _unwritable(where, fault) from None
        yield draft


def write_whole(where: Path, content: bytes, *, replace: bool = False, mark: str | None = None) -> None:
    """Write a file of mode 0600, whole or not at all, and make sure that it and its name are on the disk.

    Raises BadInput as refuse_taken() and draft_beside() do, GwlogError when the disk refuses; then whatever was there
    is there still.
    """
    refuse_taken(where, replace=replace, mark=mark)
    with draft_beside(where) as draft:
        try:
            with draft.open("wb") as file:
                file.write(content if mark is None else signed(content, mark))
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
