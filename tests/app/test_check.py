"""Checking a logbook: what is told of file, seal, clock and backup; what is repaired; what is said of the rest."""

from __future__ import annotations

import random
import shutil
import sqlite3
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from gwlog.app.check import check, quick
from gwlog.errors import BadInput, GwlogError, NoLogbook
from gwlog.journal import backup, exchange, reader, soundness, store
from gwlog.journal.disclosure import DISCLOSURES, NEXT_TENANT
from gwlog.journal.writer import append, withhold_note
from tests.conftest import NOW, Runner
from tests.journal.first_form import written_first
from tests.journal.samples import ONE_OF_EACH, load

SOUND = ["file", "references", "chain", "entries as sealed", "nothing unsealed", "write protection", "values",
         "entries ahead of now",
         "clock", "noted numbers", "leftovers", "newest backup"]


@pytest.fixture
def logbook(blank: Path, tmp_path: Path) -> Path:
    """A logbook with an entry of each kind and one with a note, and a backup of it."""
    path = tmp_path / "logbook.db"
    shutil.copyfile(blank, path)
    append(path, [*ONE_OF_EACH, load(note="ring the plumber")], now=NOW)
    backup.backup(path, now=NOW)
    return path


def states(path: Path, now: datetime = NOW, **how: bool) -> dict[str, str]:
    return {part.name: part.state for part in check(path, now, **how).parts}


def sealed(path: Path) -> list[str]:
    with reader.reading(path) as connection:
        return [entry.line for entry in exchange.sealed_entries(connection)]


def bodies(path: Path) -> list[tuple[str, str]]:
    with reader.reading(path) as connection:
        return [(entry.body, entry.hash) for entry in exchange.sealed_entries(connection)]


def damage(path: Path, *statements: str) -> None:
    """Change the file as another program could, with its guards put back afterwards."""
    connection = sqlite3.connect(path)
    guards = connection.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
    for name, _ in guards:
        connection.execute(f"DROP TRIGGER {name}")
    for statement in statements:
        connection.execute(statement)
    for _, sql in guards:
        connection.execute(sql)
    connection.commit()
    connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    connection.close()


def index_that_lies(path: Path) -> None:
    """An index from which a row is missing: what a hash chain does not see."""
    connection = sqlite3.connect(path)
    connection.execute("CREATE TABLE aside AS SELECT sql FROM sqlite_master WHERE name = 'ix_delivery_token'")
    connection.execute("PRAGMA writable_schema = ON")
    connection.execute("UPDATE sqlite_master SET sql = replace(sql, '(token)', '(token) WHERE 0') "
                       "WHERE name = 'ix_delivery_token'")
    connection.commit()
    connection.close()
    connection = sqlite3.connect(path)
    connection.execute("INSERT INTO delivery VALUES ('k', 'r', 'p', 'c', 'told', 't', '2026-07-14 18:00:00.000000', 1, "
                       "NULL, NULL)")
    connection.execute("PRAGMA writable_schema = ON")
    connection.execute("UPDATE sqlite_master SET sql = (SELECT sql FROM aside) WHERE name = 'ix_delivery_token'")
    connection.execute("PRAGMA writable_schema = OFF")
    connection.execute("DROP TABLE aside")
    connection.commit()
    connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    connection.close()


def test_a_sound_logbook_is_sound_in_every_part_and_nothing_is_repaired(logbook: Path) -> None:
    before = logbook.read_bytes()
    found = check(logbook, NOW, repair=True)
    assert [(part.name, part.state) for part in found.parts] == [(name, "sound") for name in SOUND]
    assert found.repaired is not None and (found.repaired.done, found.repaired.kept) == ((), None)
    assert logbook.read_bytes() == before and quick(logbook, NOW) == ()


def test_a_damaged_index_is_seen_by_everybody_and_made_anew(logbook: Path) -> None:
    index_that_lies(logbook)
    assert not soundness.examine(logbook).holds
    made = backup.backup(logbook, now=NOW + timedelta(days=1))
    assert not made.verification.holds and made.removed == ()
    with pytest.raises(GwlogError, match="index ix_delivery_token"):
        backup.restore(made.file, logbook.with_name("other.db"), now=NOW)
    before = sealed(logbook)
    done = check(logbook, NOW, repair=True)
    assert done.repaired is not None and done.repaired.done == ("The indexes were rebuilt from their tables.",)
    assert done.repaired.kept is not None and done.repaired.kept.stat().st_mode & 0o777 == 0o600
    assert soundness.examine(logbook).holds and sealed(logbook) == before


REPAIRED: dict[str, tuple[tuple[str, ...], str, str]] = {
    "a row changed": (("UPDATE wash_load SET volume_ml = 1",), "entries as sealed", "A new file was made"),
    "a row taken away": (("DELETE FROM valve_switch",), "entries as sealed", "A new file was made"),
    "a seal changed": (("UPDATE seal SET body = replace(body, 'Pomegranate', 'Pomegranite') WHERE seq = 4",), "chain",
                       "A new file was made"),
    "parts changed": (("UPDATE seal_part SET parts = replace(parts, 'towels', 'sheets')",), "entries as sealed",
                      "A new file was made"),
    "all salts taken away": (("DELETE FROM seal_part",), "entries as sealed", "A new file was made"),
    "a row and other parts taken away": (("DELETE FROM valve_switch", "DELETE FROM seal_part WHERE seq = 10",
                                          "UPDATE wash_load SET contents = '[]' WHERE id = 22"), "entries as sealed",
                                         "A new file was made"),
    "a seal and its parts taken away": (("UPDATE seal SET body = '{}' WHERE seq = 7",
                                         "DELETE FROM seal_part WHERE seq = 7"), "chain", "A new file was made"),
    "a guard taken away": (("CREATE TRIGGER strange AFTER INSERT ON seal BEGIN SELECT 1; END",), "write protection",
                           "The write protection and the views were rebuilt"),
}


@pytest.mark.parametrize("what", list(REPAIRED))
def test_what_the_chain_proves_is_made_anew(what: str, logbook: Path) -> None:
    statements, part, said = REPAIRED[what]
    before, identity = sealed(logbook), store.logbook_id(logbook)
    damage(logbook, *statements)
    assert states(logbook)[part] == "fault"
    done = check(logbook, NOW, repair=True)
    assert done.sound and done.repaired is not None and said in done.repaired.done[0]
    assert sealed(logbook) == before and store.logbook_id(logbook) == identity
    append(logbook, [load()], now=NOW)
    assert states(logbook)["chain"] == "sound"


def test_an_entry_that_stands_nowhere_is_named_and_nothing_is_made_without_it(logbook: Path) -> None:
    append(logbook, [load(), load()], now=NOW)
    number = len(ONE_OF_EACH) + 2
    damage(logbook, f"UPDATE seal SET body = replace(body, 'id', 'ix') WHERE seq = {number}",
           f"DELETE FROM wash_load WHERE id = {number}")
    before = logbook.read_bytes()
    files = set(logbook.parent.iterdir())
    done = check(logbook, NOW, repair=True)
    assert not done.sound and done.repaired is not None and done.repaired.done == ()
    assert f"Entry {number} of {number + 1}" in (done.repaired.left or "")
    assert str(done.repaired.hint).startswith("Restore the newest backup: gwlog restore")
    assert logbook.read_bytes() == before
    assert {file for file in logbook.parent.iterdir() if file.suffix not in (".db-wal", ".db-shm")} == files


def test_an_entry_that_only_a_backup_has_comes_from_it(logbook: Path) -> None:
    before = sealed(logbook)
    number = len(ONE_OF_EACH)
    damage(logbook, f"UPDATE seal SET body = replace(body, 'id', 'ix') WHERE seq = {number}",
           *(f"DELETE FROM {kind} WHERE id = {number}" for kind in ("attestation", "withdrawal", "other_water")))
    done = check(logbook, NOW, repair=True)
    assert done.sound and done.repaired is not None and sealed(logbook) == before


def test_parts_that_stand_nowhere_come_from_a_backup_or_are_named(logbook: Path) -> None:
    before = sealed(logbook)
    lost = "DELETE FROM seal_part WHERE seq = 10", "UPDATE wash_load SET contents = '[]' WHERE id = 10"
    damage(logbook, *lost)
    assert check(logbook, NOW, repair=True).sound and sealed(logbook) == before
    damage(logbook, *lost)
    (elsewhere := logbook.parent / "elsewhere").mkdir()
    done = check(logbook, NOW, repair=True, backups=elsewhere)
    assert not done.sound and done.repaired is not None
    assert "Entry 10 of" in (done.repaired.left or "")


def test_an_old_logbook_with_entries_in_both_forms_is_made_anew(blank: Path, tmp_path: Path) -> None:
    path = tmp_path / "old.db"
    shutil.copyfile(blank, path)
    written_first(path, ONE_OF_EACH, NOW)
    append(path, [load(note="later")], now=NOW)
    before = sealed(path)
    damage(path, f"UPDATE wash_load SET volume_ml = 1 WHERE id <= {len(ONE_OF_EACH)}", "DELETE FROM seal_part",
           "DELETE FROM outlet")
    assert check(path, NOW, repair=True).sound and sealed(path) == before


def test_a_logbook_without_names_is_made_anew_without_them(logbook: Path, tmp_path: Path) -> None:
    append(logbook, [load(recorded_by="Ilse")], now=NOW)
    path = tmp_path / "next" / "logbook.db"
    exchange.import_into(path, exchange.export(logbook, disclosure=DISCLOSURES[NEXT_TENANT]))
    before = sealed(path)
    damage(path, "UPDATE wash_load SET volume_ml = 1", "DELETE FROM person")
    assert check(path, NOW, repair=True).sound and sealed(path) == before


def test_an_erased_note_does_not_come_back_from_a_backup(logbook: Path) -> None:
    withhold_note(logbook, len(ONE_OF_EACH) + 1)
    damage(logbook, "UPDATE wash_load SET volume_ml = 1")
    assert check(logbook, NOW, repair=True).sound
    assert b"ring the plumber" not in b"".join(file.read_bytes() for file in logbook.parent.glob("logbook.db*"))


def test_a_file_that_cannot_be_read_at_all_says_so_and_the_backup_is_named(logbook: Path) -> None:
    logbook.write_bytes(b"no database at all" * 100)
    found = check(logbook, NOW, repair=True)
    assert [part.state for part in found.parts] == ["fault", "sound", "sound"]
    assert found.repaired is not None and "cannot be repaired" in (found.repaired.left or "")
    assert "logbook-2026-07-14T180000Z.db" in str(found.repaired.hint)


def test_entries_of_a_clock_that_ran_ahead_are_told_until_they_are_mended(
        home: Runner, tmp_path: Path, frozen: Callable[[datetime], None]) -> None:
    frozen(NOW + timedelta(days=365))
    assert home("valve", "sewer").code == 0
    number = reader.last_seal(tmp_path / "logbook.db")[0]
    frozen(NOW)
    said = home("check")
    assert said.code == 4 and f"Entry {number} is dated Wed, Jul 14, 2027, 11:00 am" in said.out
    assert "MIND   clock: This machine" in said.out
    assert home("withdraw", str(number), "--note", "the clock was ahead").code == 0
    assert home("check").code == 0
    assert [part.name for part in quick(tmp_path / "logbook.db", NOW)] == []


def test_the_command_says_it_in_words_json_and_exit_codes(home: Runner, tmp_path: Path) -> None:
    assert home("check", "--json").json["sound"] is True
    assert home("check").out.endswith("The logbook is sound.\n")
    damage(tmp_path / "logbook.db", "UPDATE site SET name = 'Elsewhere'")
    said = home("check")
    assert said.code == 4 and "FAULT  entries as sealed" in said.out and "gwlog check --repair" in said.out
    assert home("check", "--repair").code == 0
    assert home("check", "--repair").out.startswith("There was nothing to repair")
    assert home("check", "--backups", str(tmp_path / "none")).code == 2
    with pytest.raises(NoLogbook):
        check(tmp_path / "none.db", NOW)
    with pytest.raises(BadInput, match="no folder"):
        check(tmp_path / "logbook.db", NOW, backups=tmp_path / "none")


@pytest.mark.parametrize("seed", [0, 1, *(pytest.param(seed, marks=pytest.mark.long) for seed in range(2, 6))])
def test_what_a_backup_calls_verified_a_restore_accepts(seed: int, logbook: Path, tmp_path: Path) -> None:
    whole, chance = logbook.read_bytes(), random.Random(seed)
    good = next((tmp_path / "backups").iterdir())
    before = bodies(logbook)
    for number in range(4):
        bytes_ = bytearray(whole)
        for _ in range(chance.choice((1, 1, 5))):
            bytes_[chance.randrange(len(bytes_))] ^= 1 << chance.randrange(8)
        logbook.write_bytes(bytes_)
        try:
            made = backup.backup(logbook, now=NOW + timedelta(seconds=number + 1), keep=1)
        except GwlogError:
            made = None
        if made is not None:
            try:
                backup.restore(made.file, tmp_path / "back.db", now=NOW)
                accepted = True
            except GwlogError:
                accepted = False
            assert accepted == made.verification.holds
            made.file.unlink()
            if made.verification.holds:
                shutil.copyfile(tmp_path / "back.db", good)
        assert good.exists(), "the last good one gave way to one that does not verify"
        if check(logbook, NOW, repair=True).sound:
            # The words of a note may be lost, and are told; no entry is.
            assert bodies(logbook) == before
        assert not list(tmp_path.rglob("*draft*"))
