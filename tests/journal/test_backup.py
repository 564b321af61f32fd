"""Backups while others write, and the way back: verified first, nothing overwritten without a copy."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from contextlib import closing
from datetime import timedelta
from pathlib import Path

import pytest

from gwlog.errors import BadInput, GwlogError, LogbookBusy, NoLogbook, NotALogbook, NotVerified
from gwlog.journal import backup, delivery, exchange, kept_backups, reader, seal, store
from gwlog.journal.writer import append
from tests.journal.samples import NOW, ONE_OF_EACH, load
from tests.journal.test_upgrade import later

WRITER = """
import sys
from gwlog.journal.writer import append
from tests.journal.samples import NOW, load
for _ in range(25):
    append(sys.argv[1], [load(note="while it is backed up"), load()], now=NOW)
    print("written", flush=True)
"""


@pytest.fixture
def filled(logbook: Path) -> Path:
    append(logbook, ONE_OF_EACH, now=NOW)
    return logbook


def test_a_backup_is_one_closed_file_of_its_owner_named_with_the_moment(filled: Path) -> None:
    made = backup.backup(filled, now=NOW)
    assert made.file == filled.parent / "backups" / "logbook-2026-07-14T180000Z.db"
    assert made.file.stat().st_mode & 0o777 == 0o600 and made.file.parent.stat().st_mode & 0o777 == 0o700
    assert made.verification.holds and made.verification.entries == len(ONE_OF_EACH)
    assert reader.read(made.file) == reader.read(filled)
    with closing(sqlite3.connect(made.file)) as connection, connection:
        assert connection.execute("PRAGMA journal_mode").fetchone() == ("delete",)
    connection.close()
    assert [file.name for file in made.file.parent.iterdir()] == [made.file.name]


def test_entries_that_are_still_in_the_write_ahead_file_are_in_the_backup(filled: Path, tmp_path: Path) -> None:
    holder = sqlite3.connect(filled)
    holder.execute("SELECT count(*) FROM seal").fetchone()   # keeps the write-ahead file from being emptied
    append(filled, [load()], now=NOW)
    assert Path(f"{filled}-wal").stat().st_size > 0
    assert backup.backup(filled, now=NOW).verification.entries == len(ONE_OF_EACH) + 1
    holder.close()


def test_backups_made_while_another_process_writes_are_whole(filled: Path, tmp_path: Path) -> None:
    found = []
    with subprocess.Popen([sys.executable, "-c", WRITER, str(filled)], stdout=subprocess.PIPE, text=True) as writer:
        assert writer.stdout is not None and writer.stdout.readline() == "written\n"
        while writer.poll() is None and len(found) < 12:
            found.append(backup.backup(filled, now=NOW, keep=50))
        writer.stdout.read()
        assert writer.wait() == 0
    assert len(found) >= 2
    for one in found:
        # Two entries are written at a time: a backup has both or none of them.
        assert one.verification.holds and (one.verification.entries - len(ONE_OF_EACH)) % 2 == 0
    assert seal.verify(filled).entries == len(ONE_OF_EACH) + 50


def test_the_last_n_are_kept_and_nothing_else_is_touched(filled: Path, blank: Path) -> None:
    folder = filled.parent / "backups"
    folder.mkdir()
    others = [folder / "logbook-2020-01-01T000000Z.db", folder / "logbook-old.db", folder / "notes.txt"]
    shutil.copyfile(blank, others[0])                              # another household's, of the same name
    with closing(sqlite3.connect(others[0])) as connection, connection:
        connection.execute("DROP TRIGGER meta_no_change")
        connection.execute("UPDATE meta SET value = '00000000-0000-4000-8000-000000000000' WHERE key = 'logbook_id'")
    connection.close()
    shutil.copyfile(filled, others[1])
    others[2].write_text("mine")
    made = [backup.backup(filled, now=NOW + timedelta(hours=hour // 2), keep=3) for hour in range(6)]
    assert [file.name for file in kept_backups.named_like(folder, "logbook")] == [
        "logbook-2020-01-01T000000Z.db", "logbook-2026-07-14T190000Z-2.db", "logbook-2026-07-14T200000Z.db",
        "logbook-2026-07-14T200000Z-2.db"]
    assert made[-1].removed == (folder / "logbook-2026-07-14T190000Z.db",)
    assert all(file.exists() for file in others)
    with pytest.raises(BadInput, match="1 or more"):
        backup.backup(filled, now=NOW, keep=0)


def test_a_logbook_whose_seal_is_broken_does_not_push_out_sound_backups(filled: Path) -> None:
    sound = backup.backup(filled, now=NOW, keep=1)
    _change(filled, "UPDATE wash_load SET volume_ml = 1")
    made = backup.backup(filled, now=NOW + timedelta(days=1), keep=1)
    assert not made.verification.holds and made.removed == ()
    assert sound.file.exists() and made.file.exists()


def test_a_clock_that_was_a_year_ahead_pushes_nothing_out(filled: Path) -> None:
    made = []
    for number, days in enumerate((0, 365, 366, 1, 2, 3)):   # the clock ran ahead for two of them, and was put back
        append(filled, [load()], now=NOW)
        made.append(backup.backup(filled, now=NOW + timedelta(days=days), keep=3))
        kept = kept_backups.of_logbook(filled.parent / "backups", "logbook", store.logbook_id(filled))
        assert kept[-1].file == made[-1].file and kept[-1].number == len(ONE_OF_EACH) + number + 1
    assert [one.number for one in kept] == [len(ONE_OF_EACH) + number for number in (4, 5, 6)]


def test_the_newest_that_verifies_stays_when_later_ones_do_not(filled: Path) -> None:
    append(filled, [load(), load()], now=NOW)
    newest = backup.backup(filled, now=NOW)
    older = backup.backup(filled, now=NOW + timedelta(days=1)).file
    backup.restore(newest.file, filled, now=NOW)
    short = filled.with_name("short") / "logbook.db"
    short.parent.mkdir()
    _copy_of_the_first(filled, short)
    for file in (older,):
        _change(file, "UPDATE wash_load SET volume_ml = 1")
    made = backup.backup(short, now=NOW + timedelta(days=2), folder=newest.file.parent, keep=1)
    # The logbook of before the two loads was put back: its backup has fewer entries and is the latest all the same.
    assert made.verification.entries == len(ONE_OF_EACH) and made.removed == (older,)
    assert newest.file.exists() and made.file.exists()


def _copy_of_the_first(logbook: Path, where: Path) -> None:
    """The logbook as it was before the two loads, with its own id."""
    store.create(where, identity=store.logbook_id(logbook))
    content = exchange.export(logbook).splitlines(keepends=True)
    exchange.import_into(where, b"".join(content[:len(ONE_OF_EACH)]))


def test_what_was_told_stays_told_when_a_backup_is_put_back(filled: Path) -> None:
    def tell(key: str) -> tuple[str, ...]:
        token, mine = delivery.claim(filled, [delivery.Wanted(key, key, "Ines", "stdout")], NOW)
        delivery.hand_over(filled, token, NOW)
        delivery.settle(filled, token, NOW)
        return mine

    assert tell("before the backup") == ("before the backup",)
    made = backup.backup(filled, now=NOW)
    assert tell("after the backup") == ("after the backup",)
    backup.restore(made.file, filled, now=NOW)
    assert tell("before the backup") == () and tell("after the backup") == ()
    assert {one.state for one in delivery.deliveries(filled).values()} == {"told"}
    with closing(sqlite3.connect(filled)) as connection, connection:
        connection.execute("UPDATE delivery SET state = 'failed' WHERE key = 'before the backup'")
    connection.close()
    backup.restore(made.file, filled, now=NOW)   # which of both is true nobody knows: once told counts
    assert tell("before the backup") == ()
    other = filled.with_name("other.db")
    store.create(other)
    backup.restore(made.file, other, now=NOW)
    assert set(delivery.deliveries(other)) == {"before the backup"}


@pytest.mark.parametrize("call", ["replace", "link", "fsync"])
def test_a_disk_that_fails_during_a_restore_is_told_and_the_logbook_is_there(
        filled: Path, call: str, monkeypatch: pytest.MonkeyPatch) -> None:
    made = backup.backup(filled, now=NOW)
    filled.write_bytes(b"damaged")

    def fail(*_: object, **__: object) -> None:
        raise OSError(5, "Input/output error")

    with monkeypatch.context() as patch:
        if call == "replace":
            patch.setattr(Path, "replace", fail)
        else:
            patch.setattr(os, call, fail)
            if call == "link":
                patch.setattr(Path, "rename", fail)
        with pytest.raises(GwlogError, match="input/output error"):
            backup.restore(made.file, filled, now=NOW)
    assert filled.read_bytes() == b"damaged" and not list(filled.parent.glob(".*draft*"))
    backup.restore(made.file, filled, now=NOW)
    assert reader.read(filled) == reader.read(made.file)


def test_a_logbook_that_cannot_be_read_again_after_a_restore_is_told_in_words(
        filled: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    made = backup.backup(filled, now=NOW)
    real, asked = backup._entries, []

    def once(where: Path) -> object:
        asked.append(where)
        return real(where) if len(asked) < 4 else None

    monkeypatch.setattr(backup, "_entries", once)
    with pytest.raises(GwlogError, match="cannot be read again") as told:
        backup.restore(made.file, filled, now=NOW)
    assert "before-restore" in str(told.value.hint)


def _change(path: Path, *statements: str) -> None:
    connection = sqlite3.connect(path)
    for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
        connection.execute(f"DROP TRIGGER {name}")
    for statement in statements:
        connection.execute(statement)
    connection.commit()
    connection.close()


def test_restoring_keeps_what_was_there_and_says_what_only_that_has(filled: Path) -> None:
    made = backup.backup(filled, now=NOW)
    append(filled, [load(), load()], now=NOW)
    later = reader.read(filled)
    done = backup.restore(made.file, filled, now=NOW)
    assert (done.entries, done.only_in_kept) == (len(ONE_OF_EACH), 2)
    assert reader.read(filled) == reader.read(made.file)
    assert done.kept is not None and reader.read(done.kept) == later and done.kept.stat().st_mode & 0o777 == 0o600
    back = backup.restore(done.kept, filled, now=NOW)
    assert reader.read(filled) == later and back.only_in_kept == 0 and back.kept not in (None, done.kept)
    append(filled, [load()], now=NOW)
    assert seal.verify(filled).holds


def test_a_program_that_has_the_logbook_open_goes_on_with_the_restored_entries(filled: Path) -> None:
    made = backup.backup(filled, now=NOW)
    append(filled, [load()], now=NOW)
    other = sqlite3.connect(filled)
    assert other.execute("SELECT count(*) FROM seal").fetchone() == (len(ONE_OF_EACH) + 1,)
    backup.restore(made.file, filled, now=NOW)
    assert other.execute("SELECT count(*) FROM seal").fetchone() == (len(ONE_OF_EACH),)
    other.close()


def test_restoring_waits_for_a_writer_only_so_long(filled: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(reader, "BUSY_MS", 100)
    made = backup.backup(filled, now=NOW)
    before = reader.read(filled)
    writer = sqlite3.connect(filled, isolation_level=None)
    writer.execute("BEGIN IMMEDIATE")
    with pytest.raises(LogbookBusy):
        backup.restore(made.file, filled, now=NOW)
    writer.execute("ROLLBACK")
    writer.close()
    assert reader.read(filled) == before and seal.verify(filled).holds


@pytest.mark.parametrize("damage", [b"no database at all" * 100, b"", b"SQLite format 3\0" + b"\xff" * 5000])
def test_a_logbook_damaged_beyond_reading_is_kept_as_it_lies_and_replaced(filled: Path, damage: bytes) -> None:
    made = backup.backup(filled, now=NOW)
    filled.write_bytes(damage)
    done = backup.restore(made.file, filled, now=NOW)
    assert reader.read(filled) == reader.read(made.file) and seal.verify(filled).holds
    assert done.kept is not None and done.kept.read_bytes() == damage
    assert done.only_in_kept is None


def test_a_logbook_that_is_gone_comes_back(filled: Path) -> None:
    made = backup.backup(filled, now=NOW)
    for file in filled.parent.glob("logbook.db*"):
        file.unlink()
    assert backup.restore(made.file, filled, now=NOW) == backup.Restored(len(ONE_OF_EACH), None, None)
    assert reader.read(filled) == reader.read(made.file) and filled.stat().st_mode & 0o777 == 0o600


def _reseal(path: Path) -> None:
    _change(path, "UPDATE seal SET body = replace(body, 'Pomegranate', 'Pomegranite') WHERE seq = 4")


REFUSED: dict[str, tuple[Callable[[Path], object], type[GwlogError], str]] = {
    "another file": (lambda file: file.write_text("a letter"), NotALogbook, "not a gwlog logbook"),
    "another program's database": (lambda file: _change(file, "PRAGMA application_id = 7"), NotALogbook, "not a gwlog"),
    "an edited row": (lambda file: _change(file, "UPDATE wash_load SET volume_ml = 1"), NotVerified, "entry 10"),
    "an edited seal": (_reseal, NotVerified, "entry 4"),
    "guards taken away": (lambda file: _change(file), NotVerified, "write protection"),
    "cut short": (lambda file: file.write_bytes(file.read_bytes()[:-4096]), NotALogbook, ""),
    "gone": (lambda file: file.unlink(), BadInput, "no file"),
}


@pytest.mark.parametrize("what", list(REFUSED))
def test_a_backup_that_does_not_verify_is_refused_and_nothing_changes(what: str, filled: Path) -> None:
    change, error, said = REFUSED[what]
    made = backup.backup(filled, now=NOW)
    append(filled, [load()], now=NOW)
    before, files = reader.read(filled), sorted(filled.parent.iterdir())
    change(made.file)
    with pytest.raises(error, match=said or None):
        backup.restore(made.file, filled, now=NOW)
    assert reader.read(filled) == before
    assert sorted(filled.parent.iterdir()) == files


def test_the_logbook_itself_is_no_backup_and_none_is_made_of_nothing(filled: Path, tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="the logbook itself"):
        backup.restore(filled, filled, now=NOW)
    with pytest.raises(NoLogbook):
        backup.backup(tmp_path / "none.db", now=NOW)
    assert not (tmp_path / "backups").exists()


def test_a_backup_of_an_older_layout_is_verified_and_restored_in_the_present_one(
        filled: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from click.testing import CliRunner

    from gwlog.cli.main import cli

    made = backup.backup(filled, now=NOW)
    before = made.file.read_bytes()
    later(tmp_path, monkeypatch)
    said = CliRunner().invoke(cli, ["verify", str(made.file)], standalone_mode=False)
    assert said.return_value == 0 and "The seal holds." in said.output
    done = backup.restore(made.file, filled, now=NOW)
    assert done.entries == len(ONE_OF_EACH) and seal.verify(filled).holds
    assert made.file.read_bytes() == before
    assert not [file for file in filled.parent.iterdir() if "draft" in file.name or "layout" in file.name]
    append(filled, [load()], now=NOW)
    assert seal.verify(filled).holds
