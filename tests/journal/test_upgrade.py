"""An older layout is brought up to date in one go: a backup first, guards and views made anew, or nothing at all."""

from __future__ import annotations

import shutil
import sqlite3
import stat
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest

from gwlog.errors import GwlogError, LogbookNewer, NotALogbook
from gwlog.journal import exchange, reader, seal, store
from gwlog.journal.facts import KINDS, NOT_YET, Attestation, OtherWater, ReminderAnswer, Site, SoilReading, Washer
from gwlog.journal.writer import append
from tests.journal.first_form import written_first
from tests.journal.samples import NOW, ONE_OF_EACH, load

LATER = (OtherWater, SoilReading, Attestation)
"""Kinds of entry that later layouts brought."""

NEXT = '''"""A later layout."""

from alembic import op

revision = "9999"
down_revision = "{head}"


def upgrade() -> None:
    op.execute("CREATE TABLE later (id INTEGER PRIMARY KEY)")
    op.execute("INSERT INTO later VALUES (1)")
    {more}
'''


def later(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, more: str = "") -> None:
    """A gwlog that knows one more layout."""
    steps = tmp_path / "steps % of another"
    shutil.copytree(store.MIGRATIONS, steps, ignore=shutil.ignore_patterns("__pycache__"))
    (steps / "versions" / "r9999.py").write_text(NEXT.format(more=more or "pass", head=store.HEAD))
    monkeypatch.setattr(store, "MIGRATIONS", steps)
    monkeypatch.setattr(store, "REVISIONS", (*store.REVISIONS, "9999"))
    monkeypatch.setattr(store, "HEAD", "9999")


def schema(path: Path) -> set[tuple[str, str]]:
    with closing(sqlite3.connect(path)) as connection, connection:
        found = set(connection.execute("SELECT type, name FROM sqlite_master WHERE name NOT LIKE 'sqlite_%'"))
    connection.close()
    return found


def backups(path: Path) -> list[Path]:
    return [part for part in path.parent.iterdir() if part.name.endswith(".backup")]


def test_an_up_to_date_logbook_is_left_alone(logbook: Path) -> None:
    before = logbook.read_bytes()
    assert not store.stale(logbook)
    assert store.upgrade(logbook) is None
    store.ready(logbook)
    assert logbook.read_bytes() == before and backups(logbook) == []


@pytest.mark.parametrize("by", ["writer", "reader"])
def test_an_older_layout_is_upgraded_after_a_backup(
        by: str, logbook: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    written = append(logbook, ONE_OF_EACH, now=NOW)
    before = schema(logbook)
    with closing(sqlite3.connect(logbook)) as connection, connection:
        connection.execute("DROP TRIGGER seal_no_delete")
        connection.execute("DROP VIEW loads")
    connection.close()
    later(tmp_path, monkeypatch)
    assert store.stale(logbook)
    store.check(logbook)
    if by == "writer":
        written += append(logbook, [load()], now=NOW)
    else:
        store.ready(logbook)
    assert not store.stale(logbook)
    assert reader.read(logbook) == written
    assert seal.verify(logbook).holds
    assert schema(logbook) == before | {("table", "later")}
    [kept] = backups(logbook)
    assert stat.S_IMODE(kept.stat().st_mode) == 0o600
    assert reader.read(kept) == written[:len(ONE_OF_EACH)]
    assert ("table", "later") not in schema(kept)


def test_an_upgrade_that_fails_changes_nothing(
        logbook: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    written = append(logbook, ONE_OF_EACH, now=NOW)
    before = schema(logbook)
    later(tmp_path, monkeypatch, 'op.execute("INSERT INTO nowhere VALUES (1)")')
    with pytest.raises(GwlogError, match="no such table: nowhere"):
        store.upgrade(logbook)
    assert schema(logbook) == before and store.stale(logbook)
    assert reader.read(logbook) == written and seal.verify(logbook).holds


def test_an_upgrade_that_loses_references_is_taken_back(
        logbook: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    append(logbook, [load(), load(corrects_id=1)], now=NOW)
    later(tmp_path, monkeypatch, 'op.execute("DELETE FROM wash_load WHERE id = 1")')
    with pytest.raises(NotALogbook, match="1 references lead nowhere"):
        store.upgrade(logbook)
    assert len(reader.read(logbook)) == 2 and store.stale(logbook)


def test_a_writer_that_was_overtaken_by_an_upgrade_says_so(
        logbook: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def overtaken(path: Path) -> None:
        with closing(sqlite3.connect(path)) as connection, connection:
            connection.execute("UPDATE alembic_version SET version_num = '0999'")
        connection.close()

    monkeypatch.setattr(store, "ready", overtaken)
    with pytest.raises(LogbookNewer):
        append(logbook, [load()], now=NOW)
    assert reader.read(logbook) == []


def test_there_is_no_way_down_but_the_backup() -> None:
    from importlib import import_module

    for revision in store.REVISIONS:
        step = import_module(f"gwlog.journal.migrations.versions.r{revision}")
        with pytest.raises(RuntimeError, match="backup"):
            step.downgrade()


def test_a_logbook_of_the_first_layout_learns_to_keep_answers_to_reminders(logbook: Path) -> None:
    earliest = [fact for fact in ONE_OF_EACH if not isinstance(fact, (*LATER, ReminderAnswer))]
    written_first(logbook, earliest, NOW)
    written = reader.read(logbook)
    with closing(sqlite3.connect(logbook)) as connection, connection:
        for kind, name in connection.execute(
                "SELECT type, name FROM sqlite_master WHERE type IN ('trigger', 'view')").fetchall():
            connection.execute(f"DROP {kind} {name}")
        for table in (*(kind.KIND for kind in LATER), "attached", "seal_part"):
            connection.execute(f"DROP TABLE {table}")
        connection.execute("DROP TABLE reminder_answer")
        connection.execute("DROP TABLE delivery")
        for table, kind in KINDS.items():
            for column in kind.ADDED_LATER:
                connection.execute(f"ALTER TABLE {table} DROP COLUMN {column}")
        connection.execute("UPDATE alembic_version SET version_num = '0001'")
    connection.close()
    assert store.stale(logbook)
    answer = next(fact for fact in ONE_OF_EACH if isinstance(fact, ReminderAnswer))
    written += append(logbook, [answer], now=NOW)
    assert reader.read(logbook) == written
    assert seal.verify(logbook).holds
    assert len(backups(logbook)) == 1


def test_a_logbook_of_the_second_layout_keeps_its_bodies_and_learns_run_times(logbook: Path) -> None:
    written_first(logbook, [fact for fact in ONE_OF_EACH if not isinstance(fact, LATER)], NOW)
    written = reader.read(logbook)
    sealed = bodies(logbook)
    assert not any("run_minutes" in body for body in sealed)
    with closing(sqlite3.connect(logbook)) as connection, connection:
        for kind, name in connection.execute(
                "SELECT type, name FROM sqlite_master WHERE type IN ('trigger', 'view')").fetchall():
            connection.execute(f"DROP {kind} {name}")
        for table, kind in KINDS.items():
            for column in kind.ADDED_LATER:
                connection.execute(f"ALTER TABLE {table} DROP COLUMN {column}")
        for table in (*(kind.KIND for kind in LATER), "attached", "seal_part"):
            connection.execute(f"DROP TABLE {table}")
        connection.execute("UPDATE alembic_version SET version_num = '0002'")
    connection.close()
    washer = next(fact for fact in written if isinstance(fact, Washer))
    site = next(fact for fact in written if isinstance(fact, Site))
    more = [replace(washer, id=0, recorded_at=NOT_YET, run_minutes=45), replace(site, id=0, recorded_at=NOT_YET,
                                                                              valve="unknown")]
    written += append(logbook, more, now=NOW)
    assert reader.read(logbook) == written and seal.verify(logbook).holds
    assert bodies(logbook)[:len(sealed)] == sealed and '"run_minutes":45' in bodies(logbook)[-2]
    copy = logbook.with_name("copy.db")
    exchange.import_into(copy, exchange.export(logbook))
    assert reader.read(copy) == written and seal.verify(copy).holds


def bodies(path: Path) -> list[str]:
    """What was sealed of every entry."""
    with closing(sqlite3.connect(path)) as connection, connection:
        found = [row[0] for row in connection.execute("SELECT body FROM seal ORDER BY seq")]
    connection.close()
    return found
