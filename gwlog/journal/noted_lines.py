"""Seal numbers noted without anybody's doing: after each commit one line, in a small file beside the settings.

A line is the moment of writing, the number of entries with the last one's hash, and perhaps a word:
“2026-07-14T18:00:00Z 412:9f3a…”. A file is of one logbook (its id) at one place, so that a copy elsewhere does not
speak for it. “accepted” on a line says that the logbook was put into this state on purpose: lines before it no longer
ask for anything. Nothing here ever refuses or undoes an entry.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Sequence
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from gwlog import settings
from gwlog.clock import iso
from gwlog.journal.noted_number import ACCEPTED, Difference, Noted
from gwlog.values import NamedTuple

if TYPE_CHECKING:
    import sqlite3

HEAD = "# seal numbers that gwlog noted of "
LAST_KEPT = 200
LARGEST = 40_000   # bytes, some 400 lines; what is longer is thinned out
MOST_READ = 4_000_000   # bytes; a longer file is none of gwlog's
SECOND_PLACE = "second-place"


class Sealed(NamedTuple):
    """The end of a logbook: its id, how many entries it holds, and the hash of the last one."""

    logbook: str
    number: int
    hash: str


END = """SELECT (SELECT value FROM meta WHERE key = 'logbook_id'), coalesce(max(seq), 0),
                coalesce((SELECT hash FROM seal ORDER BY seq DESC LIMIT 1), printf('%064d', 0)) FROM seal"""
"""Asks a logbook for its Sealed."""


def file_of(path: Path, logbook: str) -> Path | None:
    """The file for the logbook of that id at a path; None where nothing is to be noted, as of a draft."""
    folder = settings.noted_folder()
    if folder is None:
        return None
    from gwlog import drafts

    return None if drafts.holds(path) else folder / f"{logbook}-{_place(path)}.txt"


def _place(path: Path) -> str:
    real = os.path.realpath(path)
    return hashlib.blake2b(os.fsencode(real), digest_size=4).hexdigest()


def read(file: Path) -> list[Noted]:
    """The lines of a file in their order; what is no line, cut short or of another form, is passed over."""
    return _lines(_text(file))


def _text(file: Path) -> str:
    try:
        with file.open("rb") as opened:
            return opened.read(MOST_READ).decode("ascii", "replace")
    except OSError:
        return ""


def _lines(text: str) -> list[Noted]:
    found = []
    for line in text.split("\n"):
        words = line.split(" ")
        if len(words) not in (2, 3) or line.startswith("#"):
            continue
        number, colon, digits = words[1].partition(":")
        # isdigit() takes signs that int() refuses; a moment of another length was cut short
        if colon and len(digits) == 64 and number.isascii() and number.isdigit() and len(number) < 16 and \
                len(words[0]) == 20 and (len(words) == 2 or words[2] == ACCEPTED):
            found.append(Noted(words[0], int(number), digits, words[2] if len(words) == 3 else ""))
    return found


def in_force(lines: Sequence[Noted]) -> list[Noted]:
    """The lines that ask for something: those from the last one on that says “accepted”."""
    start = next((place for place in range(len(lines) - 1, -1, -1) if lines[place].mark == ACCEPTED), 0)
    return list(lines[start:])


def expected(lines: Sequence[Noted]) -> Noted | None:
    """The seal number that the logbook must hold: of those in force the highest, of equals the one noted first."""
    return max(in_force(lines), key=lambda one: one.number, default=None)


def of(path: Path, logbook: str) -> list[Noted]:
    """What was noted of a logbook at its place; of one that was moved here, what was noted where it was.

    Elsewhere counts only what is said of a place at which there is no file any more: else this one is a copy.
    """
    file = file_of(path, logbook)
    if file is None:
        return []
    found = read(file)
    return found or [line for other in _moved_from(file, logbook) for line in read(other)]


def _moved_from(file: Path, logbook: str) -> list[Path]:
    """The files of the same logbook at places where it no longer is, in the order of their last change."""
    found = []
    with suppress(OSError):
        for other in file.parent.glob(f"{logbook}-*.txt"):
            place = _said_place(other)
            if other != file and place is not None and not os.path.lexists(place):
                found.append((other.stat().st_mtime_ns, other))
    return [other for _, other in sorted(found)]


def _said_place(file: Path) -> str | None:
    first = _text(file).partition("\n")[0]
    try:
        place = json.loads(first.removeprefix(HEAD)) if first.startswith(HEAD) else None
    except ValueError:
        return None
    return place if isinstance(place, str) and "\0" not in place else None


def difference(connection: sqlite3.Connection, path: Path, logbook: str, head: int) -> Difference | None:
    """Where the logbook is not what was noted of it; None where it is, or holds more. One small file is read."""
    line = expected(of(path, logbook))
    if line is None or not line.number or (found := _held(connection, line.number)) == line.hash:
        return None
    # The look may be older than the line: ask again, now that what was noted is surely written.
    from gwlog.journal.reader import reading

    with reading(path) as again:
        found = _held(again, line.number)
        head = again.execute("SELECT coalesce(max(seq), 0) FROM seal").fetchone()[0]
    return None if found == line.hash else Difference(line, head, found)


class Compared(NamedTuple):
    """A logbook against everything that was noted of it, here and in the second place.

    `lines`: what was noted, `asked`: how many of them ask for something; `difference`: the gravest, None for none.
    """

    file: Path | None
    lines: list[Noted]
    asked: int
    difference: Difference | None


def compared(path: Path) -> Compared:
    """Compare with every line. Raises as reader.reading() does."""
    from gwlog.journal.reader import reading

    with reading(path) as connection:
        end = connection.execute(END).fetchone()
    if end[0] is None:
        return Compared(None, [], 0, None)
    lines = everywhere(path, str(end[0]))
    asked = sorted(in_force(lines), key=lambda one: -one.number)
    with reading(path) as connection:   # opened after the lines were read: what was noted is surely written by now
        head = connection.execute(END).fetchone()[1]
        unlike = ((line, found) for line in asked if line.number
                  and (found := _held(connection, line.number)) != line.hash)
        first = next(unlike, None)
    return Compared(file_of(path, str(end[0])), lines, len(asked), None if first is None else
                    Difference(first[0], head, first[1]))


def _held(connection: sqlite3.Connection, number: int) -> str | None:
    row = connection.execute("SELECT hash FROM seal WHERE seq = ?", (number,)).fetchone()
    return None if row is None else str(row[0])


def keep(path: Path, sealed: Sealed, now: datetime, *, mark: str = "") -> str | None:
    """Note the end of a logbook that has just been written; returns what went wrong, in words, None for nothing.

    It raises nothing: what is written stays written. The second place is brought up to date where it can be reached.
    """
    file = file_of(path, sealed.logbook)
    if file is None or len(sealed.hash) != 64:
        return None
    line = Noted(iso(now.astimezone(UTC)), sealed.number, sealed.hash, mark)
    try:
        before = _text(file)
        if not before:
            file.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            moved = [one.line for other in _moved_from(file, sealed.logbook) for one in read(other)]
            _append(file, "".join([_head(path), *moved, line.line]))
            _sync_name(file)
        else:
            _append(file, ("" if before.endswith("\n") else "\n") + line.line)
        if len(before) > LARGEST:
            _thin_out(file)
    except OSError as fault:
        return (f"The seal number could not be noted in {file}: {(fault.strerror or str(fault)).lower()}. "
                "What was written is kept.")
    catch_up(file)
    return None


def _head(path: Path) -> str:
    return f"{HEAD}{json.dumps(os.path.realpath(path))}\n"


def _append(file: Path, text: str) -> None:
    """Append and sync; where the disk refuses, the file is as it was."""
    handle = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_APPEND | getattr(os, "O_BINARY", 0), 0o600)
    try:
        size = os.fstat(handle).st_size
        data = text.encode("ascii")
        try:
            if os.write(handle, data) != len(data):
                raise OSError(28, "no space left on device")
            os.fsync(handle)
        except OSError:
            with suppress(OSError):
                os.ftruncate(handle, size)
            raise
    finally:
        os.close(handle)


def _sync_name(file: Path) -> None:
    """Put the name of a new file on the disk, where the system can."""
    with suppress(OSError):
        handle = os.open(file.parent, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def thinned(lines: Sequence[Noted]) -> list[Noted]:
    """What is kept of many lines: the first, each month's last, those that say “accepted”, and the last ones.

    And the one that the logbook must hold.
    """
    months = {line.at[:7]: place for place, line in enumerate(lines)}
    wanted = expected(lines)
    kept = {0, *months.values(), *range(max(0, len(lines) - LAST_KEPT), len(lines)),
            *(place for place, line in enumerate(lines) if line.mark or line is wanted)}
    return [line for place, line in enumerate(lines) if place in kept]


def _thin_out(file: Path) -> None:
    from gwlog import files
    from gwlog.errors import GwlogError

    text = _text(file)
    head = text.partition("\n")[0] + "\n" if text.startswith("#") else ""
    made = head + "".join(line.line for line in thinned(_lines(text)))
    if len(made) < len(text):
        with suppress(GwlogError):
            files.write_whole(file, made.encode("ascii"), replace=True)


def second_place() -> Path | None:
    """The folder to which the lines go as well, None where none was named. It may be absent at the moment."""
    folder = settings.noted_folder()
    said = "" if folder is None else _text(folder / SECOND_PLACE).strip()
    try:
        place = json.loads(said) if said else None
    except ValueError:
        return None
    return Path(place) if isinstance(place, str) and place and "\0" not in place else None


def set_second_place(place: Path | None) -> None:
    """Say to which folder the lines go as well; None for none. Raises BadInput, GwlogError."""
    from gwlog import files
    from gwlog.errors import BadInput

    folder = settings.noted_folder()
    if folder is None:
        raise BadInput(f"Nothing is noted on this machine: {settings.NOTED_VARIABLE} is empty.")
    file = folder / SECOND_PLACE
    if place is None:
        file.unlink(missing_ok=True)
        return
    files.make_folder(folder)
    files.write_whole(file, f"{json.dumps(os.path.realpath(place))}\n".encode("ascii"), replace=True)


def second_file(file: Path) -> Path | None:
    """The file in the second place that goes with one: named with this machine, so that several can share the place."""
    place = second_place()
    if place is None:
        return None
    import platform

    machine = hashlib.blake2b(platform.node().encode(), digest_size=3).hexdigest()
    return place / f"gwlog-noted-{file.stem}-{machine}.txt"


def catch_up(file: Path) -> str | None:
    """Bring the second place up to date; returns why it could not be, None where it is or there is none."""
    try:
        second = second_file(file)
        if second is None:
            return None
        if not second.parent.is_dir():
            return f"{second.parent} is not there at the moment"
        there = _text(second)
        known = set(_lines(there))
        missing = [line.line for line in read(file) if line not in known]
        if not there:
            missing.insert(0, _text(file).partition("\n")[0] + "\n")
        if missing:
            _append(second, ("\n" if there and not there.endswith("\n") else "") + "".join(missing))
        if len(there) > LARGEST:
            _thin_out(second)
    except OSError as fault:
        return f"{second_place()}: {(fault.strerror or str(fault)).lower()}"
    return None


def everywhere(path: Path, logbook: str) -> list[Noted]:
    """What was noted here and in the second place, each once."""
    here = of(path, logbook)
    file = file_of(path, logbook)
    second = None if file is None else second_file(file)
    known = set(here)
    # What only the second place has was lost here, or thinned out: it is older.
    return [*(line for line in read(second) if line not in known), *here] if second is not None else here


def accept(path: Path, now: datetime) -> str | None:
    """Note that the logbook was put into its present state on purpose, by a restore or by hand; returns as keep()."""
    from gwlog.journal.reader import reading

    with reading(path) as connection:
        sealed = Sealed(*connection.execute(END).fetchone())
    return keep(path, sealed, now, mark=ACCEPTED) if sealed.logbook else None
