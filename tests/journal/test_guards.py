"""The file defends itself against any program: append-only, in order, sealed, within its limits."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from pathlib import Path

import pytest

from gwlog.journal import reader
from gwlog.journal.chain import link
from gwlog.journal.facts import KINDS
from gwlog.journal.writer import append
from tests.journal.samples import NOW, ONE_OF_EACH

TABLES = (*KINDS, "seal", "note_salt", "seal_part", "meta")


@pytest.fixture(scope="module")
def filled(blank: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("filled") / "logbook.db"
    path.write_bytes(blank.read_bytes())
    append(path, ONE_OF_EACH, now=NOW)
    return path


@pytest.fixture
def raw(filled: Path) -> Iterator[sqlite3.Connection]:
    """As another program opens it: no pragma set, not even foreign keys."""
    connection = sqlite3.connect(filled, isolation_level=None)
    connection.execute("BEGIN")
    yield connection
    connection.execute("ROLLBACK")
    connection.close()


@pytest.mark.parametrize("table", TABLES)
def test_nothing_is_deleted(table: str, raw: sqlite3.Connection) -> None:
    assert raw.execute(f"SELECT count(*) FROM {table}").fetchone()[0] > 0
    with pytest.raises(sqlite3.IntegrityError, match="nothing is deleted"):
        raw.execute(f"DELETE FROM {table}")


@pytest.mark.parametrize("table", TABLES)
def test_no_column_is_changed(table: str, raw: sqlite3.Connection) -> None:
    for _, column, *_ in raw.execute(f"PRAGMA table_info({table})").fetchall():
        if (table, column) == ("note_salt", "salt"):
            continue
        with pytest.raises(sqlite3.IntegrityError):
            raw.execute(f"UPDATE {table} SET {column} = 'other'")
        if column != "note":
            with pytest.raises(sqlite3.IntegrityError):
                raw.execute(f"UPDATE {table} SET {column} = NULL")


@pytest.mark.parametrize("table", TABLES)
def test_nothing_is_replaced(table: str, raw: sqlite3.Connection) -> None:
    before = raw.execute(f"SELECT * FROM {table}").fetchall()
    with pytest.raises(sqlite3.IntegrityError, match=r"replaced|says about itself|at its end only"):
        raw.execute(f"INSERT OR REPLACE INTO {table} SELECT * FROM {table} LIMIT 1")
    with pytest.raises(sqlite3.IntegrityError):
        raw.execute(f"REPLACE INTO {table} SELECT * FROM {table}")
    assert raw.execute(f"SELECT * FROM {table}").fetchall() == before


def test_the_one_change_is_a_note_withheld(raw: sqlite3.Connection) -> None:
    with pytest.raises(sqlite3.IntegrityError):
        raw.execute("UPDATE observation SET note = 'kinder words'")
    with pytest.raises(sqlite3.IntegrityError):
        raw.execute("UPDATE observation SET note = NULL, basin = 'Fig'")
    with pytest.raises(sqlite3.IntegrityError):
        raw.execute("UPDATE note_salt SET salt = 'other'")
    assert raw.execute("UPDATE observation SET note = NULL").rowcount == 1
    assert raw.execute("UPDATE note_salt SET salt = NULL WHERE seq = 16").rowcount == 1
    with pytest.raises(sqlite3.IntegrityError):
        raw.execute("UPDATE observation SET note = 'back again'")


def test_an_entry_is_written_with_its_seal_only(raw: sqlite3.Connection) -> None:
    copy = ("INSERT INTO valve_switch SELECT {}, happened_at, recorded_at, zone, recorded_by, note, NULL, position "
            "FROM valve_switch")
    for number in ("99", "NULL", "1"):
        with pytest.raises(sqlite3.IntegrityError, match="together with its seal"):
            raw.execute(copy.format(number))


def test_the_seal_grows_at_its_end_only(raw: sqlite3.Connection) -> None:
    seq, head = raw.execute("SELECT seq, hash FROM seal ORDER BY seq DESC LIMIT 1").fetchone()
    second = raw.execute("SELECT hash FROM seal WHERE seq = 2").fetchone()[0]
    put = "INSERT INTO seal VALUES (?, 'wash_load', ?, ?, ?, ?)"
    for at, previous in ((seq + 2, head), (0, head), (seq + 1, second), (seq + 1, "0" * 64)):
        with pytest.raises(sqlite3.IntegrityError):
            raw.execute(put, (at, at, "{}", previous, link(previous, "{}")))
    raw.execute(put, (seq + 1, seq + 1, "{}", head, link(head, "{}")))


@pytest.mark.parametrize(("table", "column", "value"), [
    ("wash_load", "volume_ml", 0), ("wash_load", "volume_ml", 2_000_001), ("wash_load", "volume_ml", "much"),
    ("wash_load", "went_to", "moon"), ("wash_load", "happened_at", "2026-05-03T18:30:00Z"),
    ("wash_load", "recorded_at", "yesterday"), ("wash_load", "zone", ""), ("wash_load", "products", "soap"),
    ("basin", "area_cm2", 0), ("basin", "edible", "yes"), ("basin", "depletion_milli", 1_000),
    ("basin", "started", "soon"), ("site", "latitude_udeg", 90_000_001), ("site", "softened_water", 2),
    ("outlet", "share_milli", 0), ("mulch", "depth_mm", 2_001), ("weather_day", "rain_um", -1),
    ("observation", "note", "x" * 4_001), ("resolution", "resolves_id", 23), ("valve_switch", "position", None),
    ("attestation", "attested", "seal number given"), ("attestation", "number", "4:9f3a6c0b12d4e877"),
    ("attestation", "attested", "rumor"), ("attestation", "means", "pigeon"),
    ("attestation", "file_sha256", "f" * 63),
])
def test_a_column_refuses_what_it_does_not_accept(
        table: str, column: str, value: object, raw: sqlite3.Connection) -> None:
    seq, head = raw.execute("SELECT seq, hash FROM seal ORDER BY seq DESC LIMIT 1").fetchone()
    raw.execute("INSERT INTO seal VALUES (?, ?, ?, '{}', ?, ?)", (seq + 1, table, seq + 1, head, link(head, "{}")))
    row = raw.execute(f"SELECT * FROM {table}")
    names = [described[0] for described in row.description]
    sound = dict(zip(names, row.fetchone(), strict=True)) | {"id": seq + 1}
    put = f"INSERT INTO {table} VALUES ({', '.join(f':{name}' for name in names)})"
    with pytest.raises(sqlite3.IntegrityError, match="constraint failed"):
        raw.execute(put, sound | {column: value})
    raw.execute(put, sound)


def test_references_lead_somewhere(filled: Path) -> None:
    with reader.reading(filled) as connection:
        assert connection.execute("PRAGMA foreign_key_check").fetchall() == []
        wash_load = {row[2:5] for row in connection.execute("PRAGMA foreign_key_list(wash_load)")}
        withdrawal = {row[2:5] for row in connection.execute("PRAGMA foreign_key_list(withdrawal)")}
    assert wash_load == {("wash_load", "corrects_id", "id"), ("seal", "id", "seq")}
    assert ("seal", "withdraws_id", "seq") in withdrawal


def test_a_witnesss_answer_stays_as_it_came(raw: sqlite3.Connection) -> None:
    put = "INSERT INTO attached VALUES (?, ?)"
    raw.execute(put, ("0f" * 32, b"signed"))
    for statement in ("DELETE FROM attached", "UPDATE attached SET content = 'x'",
                      "INSERT OR REPLACE INTO attached SELECT sha256, 'x' FROM attached"):
        with pytest.raises(sqlite3.IntegrityError):
            raw.execute(statement)
    for digest, content in (("0F" * 32, b"x"), ("0e" * 32, b""), ("0e" * 32, b"x" * 100_001)):
        with pytest.raises(sqlite3.IntegrityError, match="constraint failed"):
            raw.execute(put, (digest, content))
