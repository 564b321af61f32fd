"""The only writer of the logbook: facts are cleaned, validated, numbered, sealed and written, all or none.

Importing it is cheap; SQLModel is imported when something is written.
"""

from __future__ import annotations

import secrets
import sqlite3
from collections.abc import Callable, Collection, Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from gwlog import clock, drafts
from gwlog.errors import BadInput, GwlogError, LogbookNewer, WrittenMeanwhile
from gwlog.journal import noted_lines, reader, store
from gwlog.journal.chain import (
    SECRET,
    START,
    body_in_parts,
    canonical,
    digest_of_note,
    digest_of_part,
    link,
    parts_line,
    salt_of_part,
    spelled,
)
from gwlog.journal.facts import Fact
from gwlog.journal.references import References
from gwlog.libraries import WRITER, load
from gwlog.text import clean_name, clean_note, one_line
from gwlog.values import fields, replace

if TYPE_CHECKING:
    from sqlalchemy import Connection, Engine

EARLIEST = datetime(1970, 1, 1, tzinfo=UTC)
LATEST = datetime(2200, 1, 1, tzinfo=UTC)


Trouble = Callable[[str], object]
"""Is told in words what went wrong after entries were written, and takes nothing of them back."""


def append(path: Path | str, facts: Sequence[Fact], *, now: datetime, after: int | None = None,
           noted: Collection[int] = (), attached: Collection[bytes] = (),
           trouble: Trouble = lambda _: None) -> list[Fact]:
    """Write facts into the logbook and return them as they were stored: numbered, cleaned, recorded at `now`.

    All of them are written, or none. `after`: the last entry that they were decided on; where another one is the last
    by now, nothing is written and WrittenMeanwhile is raised. Likewise where one of the entries `noted` lost its note.
    `attached`: answers of witnesses, kept by their digests beside the entries that seal these. Afterwards the seal
    number is noted beside the settings; `trouble` is told where that fails.
    Raises BadInput naming the value that cannot be used, LogbookBusy, LogbookNewer, NoLogbook, NotALogbook, or
    GwlogError (a full disk, a file that may not be written).
    """
    where = Path(path)
    store.ready(where)
    cleaned = [_cleaned(fact, now.astimezone(UTC)) for fact in facts]
    if not cleaned:
        return []
    with _transaction(where) as connection:
        _refuse_moved(connection, after, noted)
        attach(connection, attached)
        written = _write(connection, cleaned)
        end = _end(connection)
    _note(where, end, now, trouble)
    return written


def append_decided(path: Path | str, decide: Callable[[], Sequence[Fact]], now: Callable[[], datetime],
                   attached: Callable[[], Collection[bytes]] = tuple, *,
                   trouble: Trouble = lambda _: None) -> list[Fact]:
    """As `append`, but `decide` is asked while nobody else can write: what it reads is what it writes after.

    `attached` is asked after it.
    """
    where = Path(path)
    store.ready(where)
    with _transaction(where) as connection:
        facts, present = decide(), now().astimezone(UTC)
        cleaned = [_cleaned(fact, present) for fact in facts]
        attach(connection, attached())
        written = _write(connection, cleaned) if cleaned else []
        end = _end(connection) if written else None
    _note(where, end, present, trouble)
    return written


def attach(connection: Connection, contents: Collection[bytes]) -> None:
    """Keep the answers of witnesses by their digests; one that is there already stays as it is."""
    from gwlog.journal.attached import digest

    for content in contents:
        connection.exec_driver_sql(
            "INSERT INTO attached SELECT ?, ? WHERE NOT EXISTS (SELECT 1 FROM attached WHERE sha256 = ?)",
            (digest(content), content, digest(content)))


def attach_to(path: Path, contents: Collection[bytes]) -> None:
    """Keep answers of witnesses in a logbook whose entries came from another one."""
    if contents:
        with _transaction(path) as connection:
            attach(connection, contents)


def create(path: Path | str, facts: Sequence[Fact], *, now: datetime,
           trouble: Trouble = lambda _: None) -> list[Fact]:
    """Make a logbook that begins with these facts, whole or not at all. Raises as `append` and store.create() do."""
    cleaned = [_cleaned(fact, now.astimezone(UTC)) for fact in facts]
    written: list[Fact] = []
    ends: list[noted_lines.Sealed] = []

    def fill(connection: Connection) -> None:
        from sqlalchemy.exc import IntegrityError

        try:
            written.extend(_write(connection, cleaned))
            ends.extend(filter(None, [_end(connection)]))
        except IntegrityError as error:
            raise error_for(Path(path), error) from None

    load(*WRITER)
    store.create(path, fill)
    _note(Path(path), ends[0] if ends else None, now, trouble)
    return written


def _end(connection: Connection) -> noted_lines.Sealed | None:
    """The end of the logbook as this transaction sees it; None where it does not say which logbook it is."""
    logbook, number, hashed = connection.exec_driver_sql(noted_lines.END).one()
    return None if logbook is None else noted_lines.Sealed(str(logbook), int(number), str(hashed))


def _note(where: Path, end: noted_lines.Sealed | None, now: datetime, trouble: Trouble) -> None:
    words = None if end is None else noted_lines.keep(where, end, now)
    if words is not None:
        trouble(words)


def withhold_note(path: Path | str, *entry_ids: int, after: int | None = None) -> None:
    """Remove the words of these entries' notes for good; the seal still holds, since it keeps only their digests.

    Copies and backups made earlier still hold the words. Raises BadInput when one of them has no note; then every
    note is as it was. `after` as for `append`. Raises GwlogError also when they are removed but traces are left.
    """
    where = Path(path)
    store.ready(where)
    from gwlog.journal.backup import FOLDER

    # What a stopped command left may still hold the words.
    drafts.sweep_around(where, where.absolute().parent / FOLDER)
    with _transaction(where) as connection:
        _refuse_moved(connection, after)
        references = References(connection)
        for entry_id in entry_ids:
            kind = references.kind(entry_id)
            removed = 0 if kind is None else connection.exec_driver_sql(
                f"UPDATE {kind} SET note = NULL WHERE id = ? AND note IS NOT NULL", (entry_id,)
            ).rowcount
            if not removed:
                raise BadInput(f"Entry {entry_id} has no note to erase.")
            connection.exec_driver_sql("UPDATE note_salt SET salt = NULL WHERE seq = ?", (entry_id,))
    # The words would otherwise stay readable in the write-ahead file until it is next emptied.
    try:
        with _connected(where) as engine, engine.connect() as connection:
            raw = connection.connection.driver_connection
            assert isinstance(raw, sqlite3.Connection)
            raw.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    except GwlogError:
        erased = "The note is erased" if len(entry_ids) == 1 else "The notes are erased"
        raise GwlogError(f"{erased}, but the disk failed before the last trace in {where}-wal was removed.",
                         hint="Check the disk; the next entry that is logged removes it.") from None


@contextmanager
def _connected(where: Path) -> Iterator[Engine]:
    """The writer's engine; what it cannot do is raised in words."""
    load(*WRITER)
    from sqlalchemy.exc import DBAPIError

    engine = store.engine(where)
    try:
        yield engine
    except DBAPIError as error:
        raise error_for(where, error) from None
    except sqlite3.Error as error:
        raise reader.error_for(where, error) from None
    finally:
        engine.dispose()


@contextmanager
def _transaction(where: Path) -> Iterator[Connection]:
    """One transaction that holds the write lock from its beginning: all of it reaches the disk, or nothing."""
    with _connected(where) as engine, engine.begin() as connection:
        yield connection


def _refuse_moved(connection: Connection, after: int | None, noted: Collection[int] = ()) -> None:
    """Raise WrittenMeanwhile where the last entry is not `after`, or the note of one of `noted` was erased."""
    if after is None:
        return
    last = int(connection.exec_driver_sql("SELECT coalesce(max(seq), 0) FROM seal").scalar_one())
    erased = (connection.exec_driver_sql("SELECT salt IS NULL FROM note_salt WHERE seq = ?", (number,)).scalar()
              for number in noted)
    if last != after or any(erased):
        raise WrittenMeanwhile(last)


def _cleaned(fact: Fact, now: datetime) -> Fact:
    """The fact with its words cleaned and its moments in UTC."""
    changed: dict[str, Any] = {"id": 0, "recorded_at": now, "happened_at": _happened(fact.happened_at)}
    clock.zone(fact.zone)
    for part in fields(fact):
        name, value = part.name, getattr(fact, part.name)
        if name == "note":
            changed[name] = clean_note(value)
        elif name == "name" and isinstance(value, str):
            changed[name] = clean_name(value, f"{fact.KIND.replace('_', ' ')}'s name")
        elif isinstance(value, str):
            changed[name] = one_line(value) or (None if str(part.type) == "str | None" else "")
        elif isinstance(value, list | tuple):
            changed[name] = tuple(one_line(item) if isinstance(item, str) else item for item in value)
    return replace(fact, **changed)


def _happened(moment: datetime) -> datetime:
    if moment.tzinfo is None:
        raise BadInput(f"The moment {moment.isoformat()} does not say its time zone; a moment with one is needed.")
    if not EARLIEST <= moment < LATEST:
        raise BadInput(f"The moment {moment.isoformat()} is out of range; use {EARLIEST.year} to "
                       f"{LATEST.year - 1}.")
    return moment.astimezone(UTC)


def _write(connection: Connection, facts: list[Fact]) -> list[Fact]:
    from pydantic import ValidationError

    from gwlog.journal.tables import TABLES, NoteSalt, PartsRow, SealRow

    layout = connection.exec_driver_sql("SELECT version_num FROM alembic_version").scalar()
    if layout != store.HEAD:
        raise LogbookNewer(f"The logbook was brought to a newer layout ({layout}) just now.",
                           hint="Update gwlog and try again.")
    last = connection.exec_driver_sql("SELECT seq, hash FROM seal ORDER BY seq DESC LIMIT 1").fetchone()
    seq, previous = (last[0], last[1]) if last else (0, START)
    secret = _secret(connection)
    references = References(connection)
    written: list[Fact] = []
    rows: dict[str, list[dict[str, Any]]] = {}
    seals: list[dict[str, Any]] = []
    salts: list[dict[str, Any]] = []
    kept: list[dict[str, Any]] = []
    for unnumbered in facts:
        seq += 1
        fact = replace(unnumbered, id=seq)
        try:
            row = TABLES[fact.KIND].model_validate({part.name: getattr(fact, part.name) for part in fields(fact)})
        except ValidationError as error:
            raise _refused(fact, error) from None
        references.admit(fact)
        salt = None if fact.note is None else secrets.token_hex(16)
        columns, texts = spelled(fact)
        parts = {part: (salt_of_part(secret, previous, part, text), text) for part, text in texts.items()}
        digests = {part: digest_of_part(text, own) for part, (own, text) in parts.items()}
        body = canonical(body_in_parts(fact.KIND, seq, digest_of_note(fact.note, salt), columns, digests))
        hashed = link(previous, body)
        seals.append({"seq": seq, "entry_kind": fact.KIND, "entry_id": seq, "body": body, "prev": previous,
                      "hash": hashed})
        kept.append({"seq": seq, "parts": parts_line(parts)})
        if salt is not None:
            salts.append({"seq": seq, "salt": salt})
        rows.setdefault(fact.KIND, []).append(row.model_dump())
        written.append(fact)
        previous = hashed
    connection.execute(SealRow.__table__.insert(), seals)  # type: ignore[attr-defined]
    connection.execute(PartsRow.__table__.insert(), kept)  # type: ignore[attr-defined]
    for kind, batch in rows.items():
        connection.execute(TABLES[kind].__table__.insert(), batch)  # type: ignore[attr-defined]
    if salts:
        connection.execute(NoteSalt.__table__.insert(), salts)  # type: ignore[attr-defined]
    return written


def _secret(connection: Connection) -> str:
    """The logbook's secret, from which the salts of parts are made; it never leaves the file."""
    found = connection.exec_driver_sql("SELECT value FROM meta WHERE key = ?", (SECRET,)).scalar()
    if found is None:
        found = secrets.token_hex(32)
        connection.exec_driver_sql("INSERT INTO meta VALUES (?, ?)", (SECRET, found))
    return str(found)


def _refused(fact: Fact, error: Any) -> BadInput:
    """The refusal for what Pydantic found: the column, the value, and what is accepted."""
    found = error.errors(include_url=False)[0]
    column = str(found["loc"][0]) if found["loc"] else "entry"
    limits = found.get("ctx", {})
    value = found["input"]
    shown = f"“{value[:40]}”" if isinstance(value, str) else str(value)[:40]
    accepted = {
        "greater_than_equal": "at least {ge}", "less_than_equal": "at most {le}", "literal_error": "{expected}",
        "string_too_long": "up to {max_length} characters", "string_too_short": "at least one letter",
        "too_short": "{min_length} values", "too_long": "{max_length} values",
    }.get(found["type"])
    if accepted:
        reason = f"use {accepted.format(**limits)}"
    else:
        reason = str(limits["error"]) if "error" in limits else str(found["msg"]).lower()
    kind = fact.KIND.replace("_", " ")
    return BadInput(f"The {kind}'s {column} {shown} cannot be used; {reason}.", hint="Nothing was logged.")


def error_for(where: Path, error: Any) -> Exception:
    from sqlalchemy.exc import IntegrityError

    if isinstance(error, IntegrityError):
        rule = str(error.orig).removeprefix("CHECK constraint failed: ")
        return BadInput(f"The logbook does not accept this entry: {rule}.", hint="Nothing was logged.")
    if isinstance(error.orig, sqlite3.Error):
        return reader.error_for(where, error.orig)
    return error if isinstance(error, Exception) else RuntimeError(str(error))
