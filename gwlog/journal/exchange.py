"""Exports a logbook to JSON lines and imports one into an empty logbook with the same seal, all or nothing.

One line per entry: {"body": as sealed, "hash", "seq"}, and "note", "salt" unless there is none or it is withheld.
"""

from __future__ import annotations

import json
import re
import sqlite3
from collections.abc import Callable, Collection, Iterator
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from gwlog import files
from gwlog.errors import BadInput, LogbookNewer, NotVerified
from gwlog.journal import reader, store
from gwlog.journal.chain import START, body_of, canonical, digest_of_note, link
from gwlog.journal.facts import KINDS, Fact
from gwlog.values import dataclass, fields, replace

if TYPE_CHECKING:
    from sqlalchemy import Connection

LARGEST = 100_000_000
LONGEST_LINE = 1_000_000
_NOTHING = "Nothing was imported."


@dataclass(frozen=True, slots=True)
class Sealed:
    """One entry as it is exchanged: number, kind, the body and hash of its seal, its note and salt while kept."""

    seq: int
    kind: str
    body: str
    hash: str
    note: str | None = None
    salt: str | None = None

    @property
    def line(self) -> str:
        """The entry as one line of JSON, without the line feed."""
        kept = {"body": self.body, "hash": self.hash, "seq": self.seq}
        if self.note is not None:
            kept |= {"note": self.note, "salt": self.salt}
        return canonical(kept)


def sealed_entries(connection: sqlite3.Connection, *, withhold: Collection[str] = ()) -> Iterator[Sealed]:
    """Every entry of a logbook as it was sealed, as it is read. `withhold`: kinds of entry whose notes are left out.

    The bodies are the sealed ones, also where a row was tampered with (seal.verify finds that).
    """
    salts = dict(connection.execute("SELECT seq, salt FROM note_salt").fetchall())
    notes: dict[int, str] = {}
    for kind in set(KINDS) - set(withhold):
        notes.update(connection.execute(f"SELECT id, note FROM {kind} WHERE note IS NOT NULL"))
    for seq, kind, body, hashed in connection.execute("SELECT seq, entry_kind, body, hash FROM seal ORDER BY seq"):
        yield Sealed(seq, kind, body, hashed, notes.get(seq), salts.get(seq) if seq in notes else None)


def export_lines(path: Path | str, *, withhold: Collection[str] = ()) -> Iterator[bytes]:
    """A logbook as JSON lines, UTF-8, each with its line feed, as they are read."""
    with reader.reading(path) as connection:
        for entry in sealed_entries(connection, withhold=withhold):
            yield f"{entry.line}\n".encode()


def export(path: Path | str, *, withhold: Collection[str] = ()) -> bytes:
    """A logbook as JSON lines, UTF-8. `withhold`: kinds of entry whose notes are left out."""
    return b"".join(export_lines(path, withhold=withhold))


def read_export(content: bytes) -> list[tuple[Sealed, Fact]]:
    """The entries of an export, each link of the chain verified, with the facts that the bodies say.

    Raises NotVerified naming the first entry that does not hold, BadInput when it is no export, LogbookNewer when
    it holds a kind of entry that this gwlog does not know.
    """
    if len(content) > LARGEST:
        raise BadInput(f"The file is larger than {LARGEST // 1_000_000} MB; no logbook is. {_NOTHING}")
    if not content:
        raise BadInput(f"The file is empty. {_NOTHING}")
    if not content.endswith(b"\n"):
        if content.find(b"\n") < 0:
            next(_lines(content[:LONGEST_LINE + 1] + b"\n"))   # what is no text at all is told as that
        number = content.count(b"\n") + 1
        raise NotVerified(f"The end of the file is cut off, or it is not an export (line {number}). {_NOTHING}")
    previous = START
    found = []
    for number, line in enumerate(_lines(content), start=1):
        entry, body = _entry(number, line)
        if entry.seq != number:
            raise NotVerified(f"Entry {number} is missing; entry {entry.seq} stands in its place. {_NOTHING}")
        if link(previous, entry.body) != entry.hash:
            raise NotVerified(f"Entry {number} does not follow from the one before it. {_NOTHING}")
        found.append((entry, _fact(entry, body)))
        previous = entry.hash
    return found


def _lines(content: bytes) -> Iterator[str]:
    """Each line without its line feed, one at a time: a file of nothing but line feeds would fill the memory."""
    start = 0
    while (end := content.find(b"\n", start)) >= 0:
        if end - start > LONGEST_LINE:
            raise NotVerified(f"A line is longer than {LONGEST_LINE // 1000} kB; no entry is. {_NOTHING}")
        try:
            yield content[start:end].decode()
        except UnicodeDecodeError as fault:
            place = start + fault.start
            raise BadInput(f"The file is not an export: it is not UTF-8 at byte {place}. {_NOTHING}") from None
        start = end + 1


def import_into(path: Path | str, content: bytes) -> int:
    """Fill an empty logbook with an export, or make one at `path`; returns how many entries came in.

    All or nothing. Raises as read_export() does; BadInput when the logbook is not empty or a value is out of range.
    """
    where = Path(path)
    found = read_export(content)
    if where.exists():
        store.ready(where)
        _fill(where, found)
        return len(found)
    files.refuse_taken(where)
    files.make_folder(where.absolute().parent)
    with files.draft_beside(where) as draft:
        draft.unlink()
        store.create(draft)
        _fill(draft, found)
        store.settle(draft, where)
        files.put(draft, where)
    return len(found)


def unique_keys(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """For json.loads: an object in which no key occurs twice, since two readers could take different ones."""
    made = dict(pairs)
    if len(made) != len(pairs):
        raise ValueError("a key occurs twice")
    return made


def _whole(text: str) -> Any:
    raise ValueError(f"{text[:20]} is not a whole number")


def _object(text: str) -> dict[str, Any]:
    value = json.loads(text, object_pairs_hook=unique_keys, parse_float=_whole, parse_constant=_whole)
    if not isinstance(value, dict):
        raise ValueError("not an object")
    return value


def _entry(number: int, line: str) -> tuple[Sealed, dict[str, Any]]:
    try:
        row = _object(line)
        words = {name: row.pop(name) for name in ("body", "hash", "note", "salt") if name in row}
        seq = row.pop("seq")
        if row or type(seq) is not int or not all(isinstance(word, str) for word in words.values()):
            raise ValueError("it holds what an export does not")
        if ("note" in words) != ("salt" in words):
            raise ValueError("a note and its salt go together")
        for word in words.values():
            word.encode()   # half of a surrogate pair, which JSON can spell, is no text
        body = _object(words["body"])
        return Sealed(seq, body["kind"], **words), body
    except (ValueError, KeyError, TypeError, RecursionError) as fault:
        raise NotVerified(f"Line {number} is not an entry as gwlog exports them: {_because(fault)}. "
                          f"{_NOTHING}") from None


def _because(fault: BaseException) -> str:
    if isinstance(fault, KeyError):
        return f"“{str(fault.args[0])[:30]}” is missing"
    if isinstance(fault, UnicodeEncodeError):
        return "it holds half of a surrogate pair"
    return "it is nested too deeply" if isinstance(fault, RecursionError) else str(fault)[:120]


def _read_moment(text: str) -> datetime:
    if not text.endswith("Z"):
        raise ValueError(f"the moment {text[:40]} is not in UTC")
    return datetime.fromisoformat(text)


def _read_day(text: str | None) -> date | None:
    return None if text is None else date.fromisoformat(text)


_READ: dict[str, Callable[[Any], Any]] = {
    "datetime": _read_moment, "date": date.fromisoformat, "date | None": _read_day,
}


def _fact(entry: Sealed, body: dict[str, Any]) -> Fact:
    """The fact that a body says. Whatever is not spelled exactly as gwlog seals it is refused."""
    from gwlog.journal.writer import _cleaned

    kind = KINDS.get(entry.kind) if isinstance(entry.kind, str) else None
    if kind is None:
        raise LogbookNewer(f"Entry {entry.seq} is of a kind that this gwlog does not know. {_NOTHING}",
                           hint="Update gwlog and try again.")
    digest = body.get("note_sha256")
    if digest is not None and not (isinstance(digest, str) and re.fullmatch("[0-9a-f]{64}", digest)):
        raise NotVerified(f"Entry {entry.seq}'s note was sealed with something that is no digest. {_NOTHING}")
    if entry.note is not None and digest != digest_of_note(entry.note, entry.salt):
        raise NotVerified(f"Entry {entry.seq} has another note than was sealed. {_NOTHING}")
    try:
        values: dict[str, Any] = {}
        for part in fields(kind):
            if part.name not in ("id", "note"):
                value = body.get(part.name) if part.name in kind.ADDED_LATER else body[part.name]
                value = _READ.get(str(part.type), lambda same: same)(value)
                values[part.name] = tuple(value) if isinstance(value, list) else value
        fact = kind(**values, id=entry.seq, note=entry.note)
        same = canonical(body_of(fact, entry.seq, digest)) == entry.body
        clean = replace(_cleaned(fact, fact.recorded_at), id=entry.seq) == fact
    except (BadInput, ValueError, KeyError, TypeError, AttributeError) as fault:
        raise NotVerified(f"Entry {entry.seq} ({entry.kind}) cannot be read: {_because(fault)}. {_NOTHING}") from None
    if not same:
        raise NotVerified(f"Entry {entry.seq} ({entry.kind}) is not spelled as gwlog seals it. {_NOTHING}")
    if not clean:
        raise NotVerified(f"Entry {entry.seq} ({entry.kind}) holds control characters. {_NOTHING}")
    return fact


def _fill(where: Path, found: list[tuple[Sealed, Fact]]) -> None:
    from sqlalchemy.exc import DBAPIError

    from gwlog.journal.writer import error_for

    engine = store.engine(where)
    try:
        with engine.begin() as connection:
            if connection.exec_driver_sql("SELECT EXISTS (SELECT 1 FROM seal)").scalar():
                raise BadInput(f"The logbook {where} holds entries already; an export goes into an empty one.",
                               hint="Import it as another logbook: --logbook PATH")
            _write(connection, found)
    except DBAPIError as error:
        raise error_for(where, error) from None
    except sqlite3.Error as error:
        raise reader.error_for(where, error) from None
    finally:
        engine.dispose()


def _write(connection: Connection, found: list[tuple[Sealed, Fact]]) -> None:
    from pydantic import ValidationError

    from gwlog.journal.references import References
    from gwlog.journal.tables import TABLES, NoteSalt, SealRow
    from gwlog.journal.writer import _refused

    references = References(connection)
    rows: dict[str, list[dict[str, Any]]] = {}
    for entry, fact in found:
        try:
            row = TABLES[entry.kind].model_validate({part.name: getattr(fact, part.name) for part in fields(fact)})
        except ValidationError as error:
            raise _refused(fact, error) from None
        references.admit(fact)
        rows.setdefault(entry.kind, []).append(row.model_dump())
    connection.execute(SealRow.__table__.insert(), list(_seals(found)))  # type: ignore[attr-defined]
    for kind, batch in rows.items():
        connection.execute(TABLES[kind].__table__.insert(), batch)  # type: ignore[attr-defined]
    salts = [{"seq": entry.seq, "salt": entry.salt} for entry, _ in found if '"note_sha256":null' not in entry.body]
    if salts:
        connection.execute(NoteSalt.__table__.insert(), salts)  # type: ignore[attr-defined]


def _seals(found: list[tuple[Sealed, Fact]]) -> Iterator[dict[str, Any]]:
    previous = START
    for entry, _ in found:
        yield {"seq": entry.seq, "entry_kind": entry.kind, "entry_id": entry.seq, "body": entry.body,
               "prev": previous, "hash": entry.hash}
        previous = entry.hash
