"""What somebody might do to a logbook file; the write protection is put back afterwards, as a forger would."""

from __future__ import annotations

import json
import shutil
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from gwlog.journal import chain, exchange
from gwlog.journal.chain import digest_of_note, digest_of_part
from tests.promise.material import NOW, Line, body, hashed, loads, parsed, put, text
from tests.promise.tampered import Bench, Given, form


@contextmanager
def edited(path: Path) -> Iterator[sqlite3.Connection]:
    """A logbook open to any edit, one closed file with its guards afterwards."""
    connection = sqlite3.connect(path, isolation_level=None)
    for pragma in ("ignore_check_constraints = ON", "synchronous = OFF", "journal_mode = DELETE"):
        connection.execute(f"PRAGMA {pragma}")
    guards = connection.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
    for name, _ in guards:
        connection.execute(f"DROP TRIGGER {name}")
    yield connection
    for _, sql in guards:
        connection.execute(sql)
    connection.close()


def copied(bench: Bench) -> Path:
    return Path(shutil.copyfile(bench.material.logbook, bench.folder / "logbook.db"))


def by_sql(name: str, *statements: str, says: str = "") -> None:
    """A form that is these statements; {load}, {noted}, {last}, {kind} of the last and {middle} stand for entries."""
    @form(f"logbook.{name}")
    def tampered(bench: Bench) -> Given:
        path = copied(bench)
        lines = parsed(bench.material.entries)
        places = {
            "load": loads(lines)[2] + 1, "other": loads(lines)[5] + 1, "noted": loads(lines, noted=True)[0] + 1,
            "last": len(lines), "kind": body(lines[-1])["kind"],
        }
        with edited(path) as connection:
            for statement in statements:
                connection.execute(statement.format(**places))
        return Given(path, says=says)


by_sql("volume-changed", "UPDATE wash_load SET volume_ml = volume_ml + 1000 WHERE id = {load}")
by_sql("moment-changed",
       "UPDATE wash_load SET happened_at = replace(happened_at, '2026-06', '2026-05') WHERE id = {load}")
by_sql("author-changed", "UPDATE wash_load SET recorded_by = 'Joan' WHERE id = {load}")
by_sql("place-changed",
       "UPDATE wash_load SET went_to = iif(went_to = 'sewer', 'garden', 'sewer') WHERE id = {load}")
by_sql("note-changed", "UPDATE wash_load SET note = 'all was well' WHERE id = {noted}")
by_sql("note-added", "UPDATE wash_load SET note = 'all was well' WHERE id = {load}")
by_sql("note-removed", "UPDATE wash_load SET note = NULL WHERE id = {noted}", says="1 note left out")
by_sql("salt-changed", "UPDATE note_salt SET salt = '00' || substr(salt, 3) WHERE seq = {noted}",
       "UPDATE note_salt SET salt = '11' || substr(salt, 3) WHERE seq = {noted}")
by_sql("part-changed", "UPDATE seal_part SET parts = replace(parts, '2026-06', '2026-05') WHERE seq = {load}")
by_sql("part-deleted", "DELETE FROM seal_part WHERE seq = {load}")
by_sql("row-deleted", "DELETE FROM wash_load WHERE id = {load}")
by_sql("entry-deleted", "DELETE FROM wash_load WHERE id = {load}", "DELETE FROM note_salt WHERE seq = {load}",
       "DELETE FROM seal_part WHERE seq = {load}", "DELETE FROM seal WHERE seq = {load}")
by_sql("first-deleted", "DELETE FROM site WHERE id = 1", "DELETE FROM seal_part WHERE seq = 1",
       "DELETE FROM seal WHERE seq = 1")
by_sql("row-added",
       "CREATE TEMP TABLE one AS SELECT * FROM wash_load WHERE id = {load}", "UPDATE one SET id = {last} + 1",
       "INSERT INTO wash_load SELECT * FROM one", "DROP TABLE one")
by_sql("row-doubled", "UPDATE mulch SET id = {load}")
by_sql("body-changed", "UPDATE seal SET body = replace(body, '\"id\":', '\"id\":1') WHERE seq = {load}")
by_sql("hash-changed", "UPDATE seal SET hash = 'ab' || substr(hash, 3) WHERE seq = {load}",
       "UPDATE seal SET hash = 'cd' || substr(hash, 3) WHERE seq = {load}")
by_sql("link-changed", "UPDATE seal SET prev = 'ab' || substr(prev, 3) WHERE seq = {load}",
       "UPDATE seal SET prev = 'cd' || substr(prev, 3) WHERE seq = {load}")
by_sql("kind-changed", "UPDATE seal SET entry_kind = 'mulch' WHERE seq = {load}")
by_sql("rows-swapped", "UPDATE wash_load SET id = -1 WHERE id = {load}",
       "UPDATE wash_load SET id = {load} WHERE id = {other}", "UPDATE wash_load SET id = {other} WHERE id = -1")


by_sql("correction-hidden", "UPDATE wash_load SET corrects_id = NULL WHERE corrects_id IS NOT NULL")
by_sql("withdrawal-moved", "UPDATE withdrawal SET withdraws_id = {load}")


@form("logbook.bodies-swapped")
def bodies_swapped(bench: Bench) -> Given:
    path, lines = copied(bench), parsed(bench.material.entries)
    one, other = (place + 1 for place in loads(lines)[2:4])
    with edited(path) as connection:
        bodies = dict(connection.execute("SELECT seq, body FROM seal WHERE seq IN (?, ?)", (one, other)))
        connection.executemany("UPDATE seal SET body = ? WHERE seq = ?", [(bodies[other], one), (bodies[one], other)])
    return Given(path)


def with_seal(bench: Bench, change: Callable[[sqlite3.Connection, int, str, str], None]) -> Given:
    """The logbook after a change at one load, given its number, its body and the hash before."""
    path, number = copied(bench), loads(parsed(bench.material.entries))[2] + 1
    with edited(path) as connection:
        said, prev = connection.execute("SELECT body, prev FROM seal WHERE seq = ?", (number,)).fetchone()
        change(connection, number, said, prev)
    return Given(path)


@form("logbook.seal-added")
def seal_added(bench: Bench) -> Given:
    def change(connection: sqlite3.Connection, number: int, said: str, prev: str) -> None:
        for table, also in (("seal", ", entry_id = {0}"), ("seal_part", "")):
            connection.execute(f"UPDATE {table} SET seq = -seq - 1{also.format('-seq - 1')} WHERE seq >= ?", (number,))
            connection.execute(f"UPDATE {table} SET seq = -seq{also.format('-seq')} WHERE seq < 0")
        said = said.replace('"id":', '"id":1')
        connection.execute("UPDATE seal SET prev = ? WHERE seq = ?", (chain.link(prev, said), number + 1))
        connection.execute("INSERT INTO seal VALUES (?, 'wash_load', ?, ?, ?, ?)",
                           (number, number, said, prev, chain.link(prev, said)))

    return with_seal(bench, change)


@form("logbook.replayed")
def replayed(bench: Bench) -> Given:
    def change(connection: sqlite3.Connection, number: int, said: str, prev: str) -> None:
        later, = connection.execute("SELECT prev FROM seal WHERE seq = ?", (number + 4,)).fetchone()
        connection.execute("UPDATE seal SET body = ?, hash = ? WHERE seq = ?",
                           (said, chain.link(later, said), number + 4))

    return with_seal(bench, change)


def _more_water(connection: sqlite3.Connection, number: int, said: str) -> str:
    connection.execute("UPDATE wash_load SET volume_ml = volume_ml + 1000 WHERE id = ?", (number,))
    kept, = connection.execute("SELECT parts FROM seal_part WHERE seq = ?", (number,)).fetchone()
    line: Line = {"body": said, "parts": json.loads(kept)}
    put(line, volume_ml=body(line)["volume_ml"] + 1000)
    connection.execute("UPDATE seal_part SET parts = ? WHERE seq = ?", (chain.canonical(line["parts"]), number))
    connection.execute("UPDATE seal SET body = ? WHERE seq = ?", (line["body"], number))
    return str(line["body"])


@form("logbook.row-and-body-changed")
def row_and_body(bench: Bench) -> Given:
    return with_seal(bench, lambda connection, number, said, _: (_more_water(connection, number, said), None)[1])


@form("logbook.one-hash-anew")
def one_hash(bench: Bench) -> Given:
    def change(connection: sqlite3.Connection, number: int, said: str, prev: str) -> None:
        changed = _more_water(connection, number, said)
        connection.execute("UPDATE seal SET hash = ? WHERE seq = ?", (chain.link(prev, changed), number))

    return with_seal(bench, change)


def guards(name: str, *statements: str) -> None:
    """A form in which the write protection itself is changed."""
    @form(f"logbook.{name}")
    def tampered(bench: Bench) -> Given:
        path = copied(bench)
        connection = sqlite3.connect(path)
        for statement in statements:
            connection.execute(statement)
        connection.commit()
        connection.close()
        return Given(path)


guards("guard-dropped", "DROP TRIGGER wash_load_no_change")
guards("guard-changed", "DROP TRIGGER wash_load_no_change",
       "CREATE TRIGGER wash_load_no_change BEFORE UPDATE ON wash_load WHEN 0 BEGIN SELECT 1; END")
guards("guard-foreign", "CREATE TRIGGER helpful AFTER INSERT ON wash_load BEGIN SELECT 1; END")


@form("logbook.index-wrong")
def index_wrong(bench: Bench) -> Given:
    path = copied(bench)
    connection = sqlite3.connect(path, isolation_level=None)
    name, sql = connection.execute("SELECT name, sql FROM sqlite_master WHERE type = 'index' AND tbl_name = 'mulch' "
                                   "AND sql IS NOT NULL").fetchone()
    connection.execute("PRAGMA writable_schema = ON")
    connection.execute("UPDATE sqlite_master SET sql = ? WHERE name = ?", (f"{sql} WHERE 0", name))
    connection.execute("PRAGMA writable_schema = RESET")
    connection.execute(f"REINDEX {name}")
    connection.execute("PRAGMA writable_schema = ON")
    connection.execute("UPDATE sqlite_master SET sql = ? WHERE name = ?", (sql, name))
    connection.close()
    return Given(path)


@form("logbook.page-overwritten")
def page_overwritten(bench: Bench) -> Given:
    path = copied(bench)
    content = path.read_bytes()
    place = content.index(b"front loader")
    path.write_bytes(content[:place] + b"\xff" * 400 + content[place + 400:])
    return Given(path)


@form("logbook.file-cut")
def file_cut(bench: Bench) -> Given:
    path = copied(bench)
    path.write_bytes(path.read_bytes()[:-8192])
    return Given(path)


@form("logbook.file-other")
def file_other(bench: Bench) -> Given:
    path = bench.folder / "logbook.db"
    connection = sqlite3.connect(path)
    connection.execute("CREATE TABLE recipes (name TEXT)")
    connection.commit()
    connection.close()
    return Given(path)


def rewritten(name: str, change: Callable[[list[Line]], list[Line]]) -> None:
    """A form in which the entries are changed by somebody who knows the rule, and sealed anew."""
    @form(f"logbook.{name}")
    def tampered(bench: Bench) -> Given:
        path = bench.folder / "logbook.db"
        lines = hashed(change(parsed(bench.material.entries)))
        if lines:
            exchange.import_into(path, text(lines))
        else:
            from gwlog.journal import store

            store.create(path)
        return Given(path, number=bench.material.number)


rewritten("last-cut", lambda lines: lines[:-1])
rewritten("tail-cut", lambda lines: lines[:-10])
rewritten("emptied", lambda lines: [])
rewritten("rewritten-without", lambda lines: [*lines[:loads(lines)[-1]], *lines[loads(lines)[-1] + 1:]])
rewritten("rewritten-with", lambda lines: [*lines[:-3], dict(lines[loads(lines)[2]]), *lines[-3:]])


def more_water(lines: list[Line]) -> list[Line]:
    """A load of more water than there was."""
    line = lines[loads(lines)[2]]
    put(line, volume_ml=body(line)["volume_ml"] + 1000)
    return lines


def reworded(lines: list[Line]) -> list[Line]:
    """A note of other words, with a digest that fits."""
    line = lines[loads(lines, noted=True)[0]]
    line["note"] = "all was well"
    put(line, note_sha256=digest_of_note(line["note"], line["salt"]))
    return lines


def by_another(lines: list[Line]) -> list[Line]:
    """An entry that another wrote."""
    line = lines[loads(lines, noted=True)[0]]
    who = line["parts"]["who"]
    who["text"] = chain.canonical({"recorded_by": "Joan"})
    put(line, parts_sha256=body(line)["parts_sha256"] | {"who": digest_of_part(who["text"], who["salt"])})
    return lines


rewritten("rewritten-load", more_water)
rewritten("rewritten-note", reworded)
rewritten("rewritten-author", by_another)


@form("logbook.older-copy")
def older_copy(bench: Bench) -> Given:
    return Given(bench.material.older, number=bench.material.number)


@form("logbook.rewritten-months")
def months(bench: Bench) -> Given:
    return Given(bench.material.made_up, number=bench.material.number)


@form("logbook.number-before")
def number_before(bench: Bench) -> Given:
    path, lines = bench.folder / "logbook.db", parsed(bench.material.entries)
    place = loads(lines)[-1]
    put(lines[place], volume_ml=1000)
    exchange.import_into(path, text(hashed(lines)))
    return Given(path, number=f"{place}:{lines[place - 1]['hash']}")


@form("logbook.two-numbers")
def two_numbers(bench: Bench) -> Given:
    return Given(bench.material.logbook, noted=("3:" + "0" * 64, bench.material.number))


def written_after(bench: Bench, *, at: datetime = NOW) -> Path:
    """The logbook with one entry more, written by gwlog's own writer at some moment."""
    from gwlog.journal.facts import WashLoad
    from gwlog.journal.reader import read
    from gwlog.journal.writer import append
    from gwlog.values import replace

    path = copied(bench)
    last = next(fact for fact in reversed(read(path)) if isinstance(fact, WashLoad))
    append(path, [replace(last, id=0, happened_at=at, recorded_at=at, note=None, corrects_id=None)], now=at)
    connection = sqlite3.connect(path)
    connection.execute("PRAGMA journal_mode = DELETE")
    connection.close()
    return path


for _name in ("added-by-rule", "not-true"):
    form(f"logbook.{_name}")(lambda bench: Given(written_after(bench), number=bench.material.number))


@form("logbook.not-written")
def not_written(bench: Bench) -> Given:
    return Given(bench.material.logbook, number=bench.material.number)


@form("logbook.told-changed")
def told_changed(bench: Bench) -> Given:
    path = copied(bench)
    connection = sqlite3.connect(path)
    columns: Any = connection.execute("PRAGMA table_info(delivery)").fetchall()
    assert columns, "the table beside the seal is there"
    connection.execute("DELETE FROM delivery")
    connection.commit()
    connection.close()
    return Given(path, number=bench.material.number)


@form("logbook.clock-back-a-little")
def clock_back_a_little(bench: Bench) -> Given:
    # The clock is set back by days, to just after the last entry.
    return Given(written_after(bench, at=datetime.fromisoformat("2026-07-02T20:00:00Z")), number=bench.material.number)


@form("logbook.clock-back")
def clock_back(bench: Bench) -> Given:
    return Given(written_after(bench, at=datetime.fromisoformat("2026-06-15T20:00:00Z")), says="clock behind")


def moved(lines: list[Line], number: int, **columns: str) -> list[Line]:
    """An entry with other moments, with a digest that fits."""
    line = lines[number]
    when = line["parts"]["when"]
    when["text"] = chain.canonical(json.loads(when["text"]) | columns)
    put(line, parts_sha256=body(line)["parts_sha256"] | {"when": digest_of_part(when["text"], when["salt"])})
    return hashed(lines)


@form("logbook.happened-ahead")
def happened_ahead(bench: Bench) -> Given:
    lines, path = parsed(bench.material.entries), bench.folder / "logbook.db"
    exchange.import_into(path, text(moved(lines, loads(lines)[-1], happened_at="2026-07-10T00:00:00Z")))
    return Given(path, says="happened after it was written")


@form("logbook.recorded-ahead")
def recorded_ahead(bench: Bench) -> Given:
    return Given(written_after(bench, at=NOW + timedelta(days=200)), says="later than now")
