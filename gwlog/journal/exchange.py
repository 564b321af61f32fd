"""Exports a logbook to JSON lines and imports one into an empty logbook with the same seal, all or nothing.

One line per entry: {"body": as sealed, "hash", "seq"}, and "note", "salt" unless there is none or it is withheld, and
"parts": {part: {"salt", "text"}} of an entry that is sealed in parts, those withheld left out. Of an entry that was
written before there were parts, a reader who is not shown when things happened gets {"hash", "seq"} alone.
"""

from __future__ import annotations

import json
import re
import sqlite3
from collections.abc import Callable, Collection, Iterator
from datetime import date, datetime
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING, Any

from gwlog import files
from gwlog.actions import Action, Hint
from gwlog.errors import BadInput, LogbookNewer, NotVerified
from gwlog.journal import reader, store
from gwlog.journal.chain import (
    IN_PARTS,
    KIND_IN_PART,
    START,
    Parts,
    body_in_parts,
    body_of,
    canonical,
    digest_of_note,
    digest_of_part,
    kind_in,
    link,
    parts_line,
    read_parts,
    spelled,
)
from gwlog.journal.disclosure import DISCLOSURES, EVERYTHING, PARTS, WHAT, WHEN, WHO, Disclosure
from gwlog.journal.facts import KINDS, Fact
from gwlog.journal.noted_together import kept_notes
from gwlog.journal.sealed_parts import parts_of_columns, stand_in, without_who
from gwlog.values import dataclass, fields, replace

if TYPE_CHECKING:
    from sqlalchemy import Connection

LARGEST = 100_000_000
LONGEST_LINE = 1_000_000
AT_ONCE = 1_000
"""Rows that are written in one go."""
_NOTHING = "Nothing was imported."


@dataclass(frozen=True, slots=True)
class Sealed:
    """One entry as it is exchanged: number, kind, the body and hash of its seal, its note and salt while kept.

    `parts`: of an entry that is sealed in parts, the salt and text of those that are shown; None of an earlier one.
    `kind` is empty where it is not shown; `body` None: nothing of the entry is shown but its hash.
    """

    seq: int
    kind: str
    body: str | None
    hash: str
    note: str | None = None
    salt: str | None = None
    parts: Parts | None = None

    @property
    def line(self) -> str:
        """The entry as one line of JSON, without the line feed."""
        before: dict[str, Any] = {"hash": self.hash}
        after: dict[str, Any] = {"seq": self.seq}
        if self.body is not None:
            before["body"] = self.body
        if self.note is not None:
            before["note"], after["salt"] = self.note, self.salt
        parts = "" if self.parts is None else f',"parts":{parts_line(self.parts)}'
        return f"{canonical(before)[:-1]}{parts},{canonical(after)[1:]}"

    @property
    def said(self) -> dict[str, Any]:
        """What is shown of the entry's body: its open columns, and those of the parts that are shown."""
        found: dict[str, Any] = {} if self.body is None else json.loads(self.body)
        for _, text in (self.parts or {}).values():
            found.update(json.loads(text))
        return found


def sealed_entries(connection: sqlite3.Connection, *, disclosure: Disclosure = DISCLOSURES[EVERYTHING],
                   withhold: Collection[str] = ()) -> Iterator[Sealed]:
    """Every entry of a logbook as it was sealed, as it is read.

    `disclosure`: what the reader is shown; `withhold`: kinds of entry whose notes are left out all the same. The bodies
    are the sealed ones, also where a row was tampered with (seal.verify finds that). Raises NotVerified where what is
    kept of an entry's parts cannot be read.
    """
    salts = dict(connection.execute("SELECT seq, salt FROM note_salt").fetchall())
    notes = kept_notes(connection, withhold if disclosure.notes else KINDS)
    layout = connection.execute("SELECT 1 FROM sqlite_master WHERE name = 'seal_part'").fetchone()
    source = "seal LEFT JOIN seal_part USING (seq)" if layout else "(SELECT *, NULL AS parts FROM seal) AS seal"
    for seq, kind, body, hashed, kept in connection.execute(
            f"SELECT seal.seq, entry_kind, body, hash, parts FROM {source} ORDER BY seal.seq"):
        parts = None
        if IN_PARTS in body:
            parts = {part: one for part, one in _kept(seq, kept).items() if part in disclosure.parts}
            kind = "" if KIND_IN_PART in body and WHAT not in parts else kind
        elif WHEN not in disclosure.parts:
            yield Sealed(seq, "", None, hashed)
            continue
        yield Sealed(seq, kind, body, hashed, notes.get(seq), salts.get(seq) if seq in notes else None, parts)


def _kept(seq: int, kept: str | None) -> dict[str, tuple[str, str]]:
    try:
        return {} if kept is None else read_parts(json.loads(kept))
    except (ValueError, TypeError, RecursionError):
        raise NotVerified(f"What is kept of entry {seq}'s parts is damaged.",
                          hint=Hint("See what can be repaired: ", Action("check"))) from None


def export_lines(path: Path | str, *, disclosure: Disclosure = DISCLOSURES[EVERYTHING],
                 withhold: Collection[str] = ()) -> Iterator[bytes]:
    """A logbook as JSON lines, UTF-8, each with its line feed, as they are read."""
    with reader.reading(path) as connection:
        for entry in sealed_entries(connection, disclosure=disclosure, withhold=withhold):
            yield f"{entry.line}\n".encode()


def export(path: Path | str, *, disclosure: Disclosure = DISCLOSURES[EVERYTHING],
           withhold: Collection[str] = ()) -> bytes:
    """A logbook as JSON lines, UTF-8, as sealed_entries() gives them."""
    return b"".join(export_lines(path, disclosure=disclosure, withhold=withhold))


def read_export(content: bytes) -> list[tuple[Sealed, Fact]]:
    """The entries of an export, each link of the chain verified, with the facts that the bodies say.

    People's names may have been left out of it; then sealed_parts.without_who() stands for them. Raises NotVerified
    naming the first entry that does not hold, BadInput when it is no export or when more was left out, LogbookNewer
    when it holds a kind of entry that this gwlog does not know.
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
    previous, in_parts = START, False
    found = []
    for number, line in enumerate(_lines(content), start=1):
        entry, body = _entry(number, line)
        if entry.seq != number:
            raise NotVerified(f"Entry {number} is missing; entry {entry.seq} stands in its place. {_NOTHING}")
        if entry.body is None:
            raise BadInput(f"Of entry {number} this copy holds only the hash, so no logbook can be made of it. "
                           f"{_NOTHING}", hint="Ask for an export that shows everything.")
        if link(previous, entry.body) != entry.hash:
            raise NotVerified(f"Entry {number} does not follow from the one before it. {_NOTHING}")
        if in_parts and entry.parts is None:
            raise NotVerified(f"Entry {number} is sealed as entries were before parts could be left out, but comes "
                              f"after some that are not. {_NOTHING}")
        in_parts = entry.parts is not None
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
    """One line, and what its body says; a line that holds only a hash says nothing."""
    try:
        row = _object(line)
        words = {name: row.pop(name) for name in ("body", "hash", "note", "salt") if name in row}
        seq, parts = row.pop("seq"), row.pop("parts", None)
        if row or type(seq) is not int or not all(isinstance(word, str) for word in words.values()):
            raise ValueError("it holds what an export does not")
        if ("note" in words) != ("salt" in words):
            raise ValueError("a note and its salt go together")
        for word in words.values():
            word.encode()   # half of a surrogate pair, which JSON can spell, is no text
        if words.keys() == {"hash"} and parts is None:
            return Sealed(seq, "", None, words["hash"]), {}
        body = _object(words["body"])
        if ("parts_sha256" in body) != (parts is not None):
            raise ValueError("parts go together with their digests")
        shown = None if parts is None else read_parts(parts)
        for _, text in (shown or {}).values():
            text.encode()
        return Sealed(seq, kind_in(body, shown), **words, parts=shown), body
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

    if entry.parts is not None:
        _refuse_parts(entry, body)
    kind = KINDS.get(entry.kind)
    if kind is None:
        raise LogbookNewer(f"Entry {entry.seq} is of a kind that this gwlog does not know. {_NOTHING}",
                           hint="Update gwlog and try again.")
    digest = body.get("note_sha256")
    if digest is not None and not (isinstance(digest, str) and re.fullmatch("[0-9a-f]{64}", digest)):
        raise NotVerified(f"Entry {entry.seq}'s note was sealed with something that is no digest. {_NOTHING}")
    if entry.note is not None and digest != digest_of_note(entry.note, entry.salt):
        raise NotVerified(f"Entry {entry.seq} has another note than was sealed. {_NOTHING}")
    try:
        said = {**body, **_shown_parts(entry, body)}
        values: dict[str, Any] = {}
        for column in fields(kind):
            if column.name not in ("id", "note"):
                value = said.get(column.name) if column.name in kind.ADDED_LATER else said[column.name]
                value = _READ.get(str(column.type), lambda same: same)(value)
                values[column.name] = tuple(value) if isinstance(value, list) else value
        fact = kind(**values, id=entry.seq, note=entry.note)
        same = _same(entry, fact, body, digest)
        clean = replace(_cleaned(fact, fact.recorded_at), id=entry.seq) == fact
    except (BadInput, ValueError, KeyError, TypeError, AttributeError, RecursionError) as fault:
        raise NotVerified(f"Entry {entry.seq} ({entry.kind}) cannot be read: {_because(fault)}. {_NOTHING}") from None
    if not same:
        raise NotVerified(f"Entry {entry.seq} ({entry.kind}) is not spelled as gwlog seals it. {_NOTHING}")
    if not clean:
        raise NotVerified(f"Entry {entry.seq} ({entry.kind}) holds control characters. {_NOTHING}")
    return fact


def _refuse_parts(entry: Sealed, body: dict[str, Any]) -> None:
    """Raise NotVerified where a part is not what was sealed, BadInput where too much is left out: a logbook needs to
    know when things happened and what they were; people's names it can do without."""
    digests = body["parts_sha256"]
    if not isinstance(digests, dict) or not all(
            part in PARTS and isinstance(one, str) and re.fullmatch("[0-9a-f]{64}", one)
            for part, one in digests.items()):
        raise NotVerified(f"Entry {entry.seq}'s parts were sealed with something that is no digest. {_NOTHING}")
    closed = [part for part in digests if part not in (entry.parts or {}) and part != WHO]
    if closed:
        missing = "what it was" if WHAT in closed else "when it happened" if WHEN in closed else \
            "everything of what it was"
        raise BadInput(f"This copy was made for a reader who is not shown all: of entry {entry.seq} it does not hold "
                       f"{missing}, so no logbook can be made of it. {_NOTHING}",
                       hint="Ask for an export that shows everything.")
    for part, (salt, text) in (entry.parts or {}).items():
        if digests.get(part) != digest_of_part(text, salt):
            raise NotVerified(f"Entry {entry.seq} has another part “{part}” than was sealed. {_NOTHING}")


def _shown_parts(entry: Sealed, body: dict[str, Any]) -> dict[str, Any]:
    """The columns of the parts of an entry; of people's names that were left out, what stands for them, and None for
    the columns of a part in which nothing was."""
    if entry.parts is None:
        return {}
    columns: dict[str, Any] = {name: None for name, part in parts_of_columns(entry.kind).items() if part in PARTS}
    if WHO in body["parts_sha256"] and WHO not in entry.parts and "name" in columns:
        columns["name"] = stand_in(entry.seq)
    for _, text in entry.parts.values():
        columns |= _object(text)
    return columns


def _same(entry: Sealed, fact: Fact, body: dict[str, Any], note_digest: str | None) -> bool:
    """Whether the fact, sealed once more, gives the very texts of the entry."""
    if entry.parts is None:
        return canonical(body_of(fact, entry.seq, note_digest)) == entry.body
    columns, texts = spelled(fact)
    digests = body["parts_sha256"]
    if WHO in digests and WHO not in entry.parts and fact == without_who(fact):
        texts.pop(WHO, None)
    return texts == {part: text for part, (_, text) in entry.parts.items()} and \
        canonical(body_in_parts(entry.kind, entry.seq, note_digest, columns, digests)) == entry.body


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
    from gwlog.journal.tables import TABLES, NoteSalt, PartsRow, SealRow
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
    seals = _seals(found)
    while some := list(islice(seals, AT_ONCE)):
        connection.execute(SealRow.__table__.insert(), some)  # type: ignore[attr-defined]
    kept = ({"seq": entry.seq, "parts": parts_line(entry.parts)} for entry, _ in found if entry.parts is not None)
    while some := list(islice(kept, AT_ONCE)):
        connection.execute(PartsRow.__table__.insert(), some)  # type: ignore[attr-defined]
    for kind, batch in rows.items():
        connection.execute(TABLES[kind].__table__.insert(), batch)  # type: ignore[attr-defined]
    salts = [{"seq": entry.seq, "salt": entry.salt} for entry, _ in found
             if entry.body is not None and '"note_sha256":null' not in entry.body]
    if salts:
        connection.execute(NoteSalt.__table__.insert(), salts)  # type: ignore[attr-defined]


def _seals(found: list[tuple[Sealed, Fact]]) -> Iterator[dict[str, Any]]:
    previous = START
    for entry, _ in found:
        yield {"seq": entry.seq, "entry_kind": entry.kind, "entry_id": entry.seq, "body": entry.body,
               "prev": previous, "hash": entry.hash}
        previous = entry.hash
