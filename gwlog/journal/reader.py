"""Reads the logbook's rows as frozen facts, read-only, with the standard library's sqlite3.

Light to import: reading commands never load the writer's libraries.
"""

from __future__ import annotations

import json
import os
import sqlite3
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from datetime import UTC, date, datetime
from operator import attrgetter
from pathlib import Path
from typing import Any
from urllib.parse import quote

from gwlog.actions import Action, Argument, Hint
from gwlog.errors import GwlogError, LogbookBusy, NoLogbook, NotALogbook
from gwlog.journal.disclosure import WHEN
from gwlog.journal.facts import KINDS, Fact
from gwlog.values import fields

BUSY_MS = 5_000

_NOT_WRITABLE = (sqlite3.SQLITE_READONLY, sqlite3.SQLITE_PERM, sqlite3.SQLITE_CANTOPEN)

Factory = Callable[[tuple[Any, ...]], Fact]


def uri(path: Path, mode: str) -> str:
    """The SQLite URI of a path that may hold spaces, %, # or ?."""
    return f"file:{quote(os.fsencode(path.absolute()))}?{mode}"


@contextmanager
def reading(path: Path | str) -> Iterator[sqlite3.Connection]:
    """A read-only connection within one read transaction: everything read in it is of one moment."""
    where = Path(path)
    try:
        connection = sqlite3.connect(uri(where, "mode=ro"), uri=True, isolation_level=None, timeout=BUSY_MS / 1000)
        try:
            connection.execute("PRAGMA trusted_schema = OFF")
            connection.execute("BEGIN")
            try:
                connection.execute("SELECT 1 FROM sqlite_master").fetchone()
            except sqlite3.OperationalError as error:
                # A folder we may not write to, with no writer at work: SQLite then reads the file as it is.
                if _primary(error) not in _NOT_WRITABLE or Path(f"{where}-wal").exists():
                    raise
                connection.close()
                connection = sqlite3.connect(uri(where, "mode=ro&immutable=1"), uri=True, isolation_level=None)
                connection.execute("BEGIN")
            yield connection
        finally:
            connection.close()
    except sqlite3.Error as error:
        raise error_for(where, error) from None
    except UnicodeDecodeError:
        # SQLite's own message quotes the damaged bytes, and Python cannot put it into words.
        raise damaged(where) from None


def _primary(error: sqlite3.Error) -> int | None:
    """SQLite's own number for an error, without what extends it."""
    code = getattr(error, "sqlite_errorcode", None)
    return code & 0xFF if isinstance(code, int) else None


def missing(path: Path) -> NoLogbook:
    """The error for a path at which there is no logbook, or no longer."""
    return NoLogbook(f"There is no logbook at {path}.",
                      hint=Hint("Make one: ", Action("begin"), " (or name it: ", Argument("logbook", "PATH"), ")"))


def damaged(path: Path) -> NotALogbook:
    """The error for a file that is no logbook, or no longer a sound one."""
    return NotALogbook(f"The file {path} is not a gwlog logbook, or it is damaged.",
                       hint=Hint("Restore a backup: ", Action("restore", file="FILE")))


def error_for(path: Path, error: sqlite3.Error) -> GwlogError:
    """The error, in words for people, that stands for an error of SQLite."""
    primary = _primary(error)
    if primary in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return LogbookBusy(f"The logbook {path} is busy: another program is writing to it.",
                           hint="Nothing was changed. Try again in a moment.")
    if not path.exists():   # SQLite reports a file that was moved away during a read as a failing disk
        return missing(path)
    if primary == sqlite3.SQLITE_FULL:
        return GwlogError(f"The disk with the logbook {path} is full; nothing was changed.",
                          hint="Free some space and try again.")
    if primary in _NOT_WRITABLE:
        return GwlogError(f"The logbook {path} cannot be opened, or may not be written to; nothing was changed.",
                          hint="Check who owns the file and its folder, and their permissions.")
    if primary in (sqlite3.SQLITE_NOTADB, sqlite3.SQLITE_CORRUPT):
        return damaged(path)
    if primary == sqlite3.SQLITE_IOERR:
        return GwlogError(f"The disk failed while using the logbook {path}; nothing was changed.",
                          hint=Hint("Check the disk, then verify the logbook: ", Action("verify")))
    return NotALogbook(f"The logbook {path} cannot be used: {error}.",
                       hint=Hint("See what is wrong: ", Action("verify")))


class _Tuples(dict[Any, Any]):
    """JSON list -> tuple, each spelling read once."""

    def __missing__(self, text: str | None) -> tuple[Any, ...] | None:
        value = None if text is None else tuple(json.loads(text))
        self[text] = value
        return value


class _Days(dict[Any, Any]):
    """ISO day -> date, each spelling read once."""

    def __missing__(self, text: str) -> date:
        value = self[text] = date.fromisoformat(text)
        return value


_YES_NO: dict[Any, bool | None] = {0: False, 1: True, None: None}


def _factory(kind: type[Fact]) -> tuple[str, Factory]:
    """The SELECT of a kind and the function that makes a fact of a row.

    Generated, as dataclasses are: one straight line of slot assignments per kind halves the time of
    calling the constructor by keyword, and a logbook is read by every command.
    """
    columns, lines = [], []
    scope: dict[str, Any] = {
        "new": object.__new__, "kind": kind, "moment": datetime.fromisoformat, "days": _Days({None: None}),
        "tuples": _Tuples(), "yes_no": _YES_NO,
    }
    for part in fields(kind):
        name, kind_of_value = part.name, str(part.type)
        column, value = name, name
        if kind_of_value == "datetime":
            # Stored text is UTC and says no offset; with one it is read as an aware moment at once.
            column, value = f"{name} || '+00:00'", f"moment({name})"
        elif kind_of_value in ("date", "date | None"):
            value = f"days[{name}]"
        elif kind_of_value.startswith("tuple"):
            value = f"tuples[{name}]"
        elif kind_of_value.startswith("bool"):
            value = f"yes_no[{name}]"
        columns.append(column)
        scope[f"set_{name}"] = getattr(kind, name).__set__
        lines.append(f"    set_{name}(fact, {value})")
    names = ", ".join(part.name for part in fields(kind))
    source = f"def make(row):\n    {names} = row\n    fact = new(kind)\n" + "\n".join(lines) + "\n    return fact\n"
    exec(compile(source, f"<rows of {kind.KIND}>", "exec"), scope)
    return f"SELECT {', '.join(columns)} FROM {kind.KIND}", scope["make"]


_FACTORIES: dict[str, tuple[str, Factory]] = {}


def factory(kind: str) -> tuple[str, Factory]:
    """The SELECT of a kind of entry (all rows) and the function that makes a fact of one row."""
    made = _FACTORIES.get(kind)
    if made is None:
        made = _FACTORIES[kind] = _factory(KINDS[kind])
    return made


def read(path: Path | str, until: int | None = None) -> list[Fact]:
    """Every entry of the logbook, corrected and withdrawn ones too, in order of its number, up to the number `until`.

    Raises NotALogbook when a row cannot be read; what stands is for facts.standing_entries().
    """
    with reading(path) as connection:
        return select(connection, path, "" if until is None else f" WHERE id <= {until:d}")


def select(connection: sqlite3.Connection, path: Path | str, where: str = "",
           numbers: Mapping[str, Iterable[int]] | None = None) -> list[Fact]:
    """The entries that `where` asks for, in order of their number. `numbers`: of each kind only those, by number."""
    facts: list[Fact] = []
    for kind in KINDS if numbers is None else numbers:
        columns, make = factory(kind)
        if numbers is not None:
            where = f" WHERE id IN ({','.join(f'{number:d}' for number in numbers[kind])})"
        try:
            facts.extend(map(make, connection.execute(columns + where)))
        except (ValueError, KeyError, TypeError) as error:
            raise NotALogbook(f"An entry of the logbook {path} cannot be read ({kind}: {error}).",
                              hint=Hint("See which entry was damaged: ", Action("verify"))) from None
    try:
        facts.sort(key=attrgetter("id"))
    except TypeError:
        raise NotALogbook(f"An entry of the logbook {path} has no number.",
                          hint=Hint("See what is wrong: ", Action("verify"))) from None
    return facts


def last_seal(path: Path | str) -> tuple[int, str, datetime | None]:
    """The last entry's number, its hash, and when it was recorded; (0, 64 zeros, None) in an empty logbook."""
    from gwlog.journal.chain import IN_PARTS, START

    with reading(path) as connection:
        row = connection.execute("SELECT seq, hash, body, entry_kind FROM seal ORDER BY seq DESC LIMIT 1").fetchone()
        if row is None:
            return 0, START, None
        try:
            said = _recorded(connection, row[0], row[3]) if IN_PARTS in row[2] else json.loads(row[2])["recorded_at"]
            recorded = datetime.fromisoformat(said).astimezone(UTC)
        except (ValueError, KeyError, TypeError):
            raise NotALogbook(f"The last entry of the logbook {path} is damaged.",
                              hint=Hint("See what is wrong: ", Action("verify"))) from None
    return row[0], row[1], recorded


def _recorded(connection: sqlite3.Connection, seq: int, kind: str) -> str:
    """When an entry that is sealed in parts was recorded: as it is kept with its seal, or, where that is lost, its row.

    Raises ValueError, KeyError or TypeError where neither can be read.
    """
    kept = connection.execute("SELECT parts FROM seal_part WHERE seq = ?", (seq,)).fetchone()
    if kept is not None:
        return str(json.loads(json.loads(kept[0])[WHEN]["text"])["recorded_at"])
    [(recorded,)] = connection.execute(f"SELECT recorded_at FROM {KINDS[kind].KIND} WHERE id = ?", (seq,))
    return f"{recorded}+00:00"


def data_version(path: Path | str) -> str:
    """A string that changes whenever the content of the logbook does, for polling; compare it for equality only."""
    with reading(path) as connection:
        last = connection.execute("SELECT hash FROM seal ORDER BY seq DESC LIMIT 1").fetchone()
        withheld = connection.execute("SELECT count(*) FROM note_salt WHERE salt IS NULL").fetchone()
    return f"{last[0] if last else 0}:{withheld[0]}"
