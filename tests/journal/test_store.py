"""The file: made whole and private, never over another; and every wrong file or place told in plain words."""

from __future__ import annotations

import os
import shutil
import sqlite3
import stat
import tempfile
import uuid
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest

from gwlog.errors import BadInput, GwlogError, LogbookNewer, NoLogbook, NotALogbook
from gwlog.journal import reader, store
from gwlog.journal.writer import append
from tests.journal.samples import NOW, load

NOBODY = 65_534


@contextmanager
def unprivileged() -> Iterator[None]:
    """File permissions as an ordinary user meets them, also when the tests run as root."""
    if os.geteuid() != 0:
        yield
        return
    os.seteuid(NOBODY)
    try:
        yield
    finally:
        os.seteuid(0)


@pytest.fixture
def shared() -> Iterator[Path]:
    """A folder that an unprivileged user can reach."""
    folder = Path(tempfile.mkdtemp(prefix="gwlog-"))
    folder.chmod(0o777)
    yield folder
    for part in (folder, *folder.rglob("*")):
        part.chmod(0o777)
    shutil.rmtree(folder)


def test_a_new_logbook_is_private_whole_and_alone_in_its_folder(tmp_path: Path) -> None:
    path = tmp_path / "deep" / "er" / "logbook.db"
    before = os.umask(0)
    try:
        store.create(path)
    finally:
        os.umask(before)
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert stat.S_IMODE(path.parent.stat().st_mode) == 0o700
    assert list(path.parent.iterdir()) == [path]
    with closing(sqlite3.connect(path)) as connection, connection:
        assert connection.execute("PRAGMA application_id").fetchone() == (store.APPLICATION_ID,)
        assert connection.execute("PRAGMA journal_mode").fetchone() == ("wal",)
        assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        assert connection.execute("SELECT count(*) FROM sqlite_master WHERE type = 'view'").fetchone()[0] > 8
    connection.close()


def test_the_files_beside_it_are_private_too(logbook: Path) -> None:
    logbook.chmod(0o600)
    with reader.reading(logbook):
        append(logbook, [load()], now=NOW)
        beside = [part for part in logbook.parent.iterdir() if part.name.endswith(("-wal", "-shm"))]
        assert beside and {stat.S_IMODE(part.stat().st_mode) for part in beside} == {0o600}


def test_each_logbook_has_an_id_of_its_own(logbook: Path, tmp_path: Path) -> None:
    store.create(tmp_path / "other.db")
    first, second = store.logbook_id(logbook), store.logbook_id(tmp_path / "other.db")
    assert first != second and first == store.logbook_id(logbook)
    assert isinstance(first, uuid.UUID) and first.version == 4


def test_the_writers_connection_is_set_up_for_safety(logbook: Path) -> None:
    engine = store.engine(logbook)
    with engine.begin() as connection:
        told = {name: connection.exec_driver_sql(f"PRAGMA {name}").scalar() for name in (
            "journal_mode", "synchronous", "foreign_keys", "busy_timeout", "trusted_schema", "recursive_triggers")}
        other = sqlite3.connect(logbook, timeout=0)
        with pytest.raises(sqlite3.OperationalError, match="locked"):
            other.execute("BEGIN IMMEDIATE")
        other.close()
    engine.dispose()
    assert told == {"journal_mode": "wal", "synchronous": 2, "foreign_keys": 1, "busy_timeout": 5_000,
                    "trusted_schema": 0, "recursive_triggers": 1}


def test_nothing_that_exists_is_written_over(logbook: Path, tmp_path: Path) -> None:
    (tmp_path / "folder").mkdir()
    (tmp_path / "link").symlink_to(tmp_path / "nowhere")
    (tmp_path / "words").write_text("mine")
    for taken in ("logbook.db", "folder", "link", "words"):
        before = reader.read(logbook), sorted(part.name for part in tmp_path.iterdir() if "-" not in part.name)
        with pytest.raises(BadInput) as refused:
            store.create(tmp_path / taken)
        assert refused.value.hint and "--logbook" in str(refused.value.hint)
        files = sorted(part.name for part in tmp_path.iterdir() if "-" not in part.name)
        assert (reader.read(logbook), files) == before
    assert (tmp_path / "words").read_text() == "mine"


def test_two_that_make_the_same_logbook_leave_the_first(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "logbook.db"
    place = store._place

    def overtaken(draft: Path, where: Path) -> None:
        where.write_text("the other was faster")
        place(draft, where)

    monkeypatch.setattr(store, "_place", overtaken)
    with pytest.raises(BadInput, match="is there already"):
        store.create(path)
    assert [(part.name, part.read_text()) for part in tmp_path.iterdir()] == [("logbook.db", "the other was faster")]


def test_a_place_without_links_between_files_gets_its_logbook_too(
        tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> None:
        raise PermissionError("no hard links here")

    monkeypatch.setattr(os, "link", refuse)
    store.create(tmp_path / "logbook.db")
    store.check(tmp_path / "logbook.db")
    assert [part.name for part in tmp_path.iterdir() if "-" not in part.name] == ["logbook.db"]


def test_a_place_that_cannot_be_written_is_told(shared: Path, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    for place in (tmp_path / "file" / "logbook.db", tmp_path / ("x" * 300), Path("/proc/logbook.db"), Path("a\0b")):
        with pytest.raises(BadInput, match="No logbook can be made"):
            store.create(place)
    shared.chmod(0o555)
    with unprivileged(), pytest.raises(BadInput, match="permission denied"):
        store.create(shared / "logbook.db")


def _words(path: Path) -> None:
    path.write_text("these are words and no database, however long they may go on " * 20)


def _other_database(path: Path) -> None:
    connection = sqlite3.connect(path)
    connection.execute("CREATE TABLE wash_load (id)")
    connection.close()


def _no_layout(path: Path) -> None:
    _other_database(path)
    connection = sqlite3.connect(path)
    connection.execute(f"PRAGMA application_id = {store.APPLICATION_ID}")
    connection.close()


def _loop(path: Path) -> None:
    path.symlink_to(path)


@pytest.mark.parametrize(("make", "error", "said"), [
    (lambda path: None, NoLogbook, "There is no logbook at"),
    (lambda path: path.symlink_to(path.with_name("nowhere")), NoLogbook, "is a link to .*nowhere, where there is no"),
    (_loop, NoLogbook, "cannot be reached"),
    (Path.mkdir, NotALogbook, "is a folder"),
    (os.mkfifo, NotALogbook, "not an ordinary file"),
    (Path.touch, NotALogbook, "is not a gwlog logbook"),
    (_words, NotALogbook, "is not a gwlog logbook"),
    (_other_database, NotALogbook, "is not a gwlog logbook"),
    (_no_layout, NotALogbook, "is damaged"),
], ids=["nothing", "dangling link", "loop", "folder", "pipe", "empty", "words", "other database", "no layout"])
def test_what_is_not_a_logbook_is_told(
        make: Callable[[Path], object], error: type[GwlogError], said: str, tmp_path: Path) -> None:
    path = tmp_path / "logbook.db"
    make(path)
    for use in (store.check, store.ready, lambda place: append(place, [load()], now=NOW)):
        with pytest.raises(error, match=said) as told:
            use(path)
        assert told.value.hint


def test_a_link_to_a_logbook_is_followed(logbook: Path, tmp_path: Path) -> None:
    link = tmp_path / "link.db"
    link.symlink_to(logbook)
    append(link, [load()], now=NOW)
    assert len(reader.read(logbook)) == 1 == len(reader.read(link))


def test_a_newer_layout_is_told_and_left_alone(logbook: Path) -> None:
    with closing(sqlite3.connect(logbook)) as connection, connection:
        connection.execute("UPDATE alembic_version SET version_num = '0999'")
    connection.close()
    before = logbook.read_bytes()
    for use in (store.check, store.ready, store.stale):
        with pytest.raises(LogbookNewer, match="made by a newer gwlog") as newer:
            use(logbook)
        assert newer.value.exit_code == 5
    assert logbook.read_bytes() == before


def test_a_file_that_may_not_be_read_is_told(blank: Path, shared: Path) -> None:
    path = shared / "logbook.db"
    shutil.copyfile(blank, path)
    path.chmod(0o000)
    with unprivileged(), pytest.raises(GwlogError, match="cannot be read: permission denied"):
        store.check(path)


@pytest.mark.parametrize(("folder", "file"), [(0o777, 0o444), (0o555, 0o444), (0o555, 0o666)])
def test_a_logbook_that_may_not_be_written_is_read_and_the_writer_told(
        folder: int, file: int, blank: Path, shared: Path) -> None:
    path = shared / "logbook.db"
    shutil.copyfile(blank, path)
    written = append(path, [load()], now=NOW)
    path.chmod(file)
    shared.chmod(folder)
    with unprivileged():
        store.check(path)
        assert reader.read(path) == written
        with pytest.raises(GwlogError, match="may not be written to") as refused:
            append(path, [load()], now=NOW)
    assert refused.value.exit_code == 1 and refused.value.hint
    assert reader.read(path) == written


def test_a_full_disk_is_told_as_such_and_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(_path: Path) -> None:
        error = sqlite3.OperationalError("database or disk is full")
        error.sqlite_errorcode = sqlite3.SQLITE_FULL
        raise error

    monkeypatch.setattr(store, "_migrate", full)
    with pytest.raises(GwlogError, match=r"logbook\.db is full|disk is full"):
        store.create(tmp_path / "logbook.db")
    assert list(tmp_path.iterdir()) == []
