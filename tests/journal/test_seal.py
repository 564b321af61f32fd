"""The seal: its spelling and hash against independent ones, and every kind of tampering found."""

from __future__ import annotations

import hashlib
import json
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from contextlib import closing
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
import rfc8785
from hypothesis import given, settings
from hypothesis import strategies as st

from gwlog.errors import BadInput, NotALogbook
from gwlog.journal import chain, reader, seal
from gwlog.journal.facts import KINDS, Fact
from gwlog.journal.guards import triggers
from gwlog.journal.writer import append, withhold_note
from tests.journal.samples import NOW, ONE_OF_EACH, load, made_up


@given(st.sampled_from(list(KINDS)).flatmap(made_up), st.integers(1, 2**53 - 1))
@settings(max_examples=80)
def test_a_body_is_spelled_as_rfc_8785_says(fact: Fact, number: int) -> None:
    # The independent spelling: the rfc8785 package (Trail of Bits), RFC 8785 "JSON Canonicalization Scheme".
    from gwlog.journal.writer import _cleaned

    body = chain.body_of(_cleaned(fact, NOW), number, "ab" * 32)
    assert chain.canonical(body).encode() == rfc8785.dumps(body)
    assert json.loads(chain.canonical(body))["id"] == number


def test_the_hash_is_what_the_sha256sum_program_says(tmp_path: Path) -> None:
    # GNU coreutils sha256sum, on the rule written out by hand.
    body = chain.canonical(chain.body_of(replace(load(usual_load="towels"), id=1, recorded_at=NOW), 1, None))
    before = "0" * 64
    (tmp_path / "sealed").write_text(f"gwlog-seal-1\n{before}\n{body}", encoding="utf-8")
    said = subprocess.run(["sha256sum", tmp_path / "sealed"], check=True, capture_output=True, text=True).stdout
    assert chain.link(before, body) == said.split()[0]
    assert before == chain.START


def test_a_body_holds_every_column_and_only_the_digest_of_the_note() -> None:
    fact = replace(load(note="secret", usual_load="towels"), id=7, recorded_at=NOW)
    assert chain.body_of(fact, 7, "d" * 64) == {
        "kind": "wash_load", "id": 7, "happened_at": "2026-07-14T09:30:12.345678Z",
        "recorded_at": "2026-07-14T18:00:00Z", "zone": "America/Los_Angeles", "recorded_by": None,
        "corrects_id": None, "note_sha256": "d" * 64, "usual_load": "towels", "washer": "front loader",
        "volume_ml": 68_137, "products": (), "contents": (), "went_to": "garden",
    }


def test_a_note_is_sealed_with_a_salt_of_its_own(logbook: Path) -> None:
    append(logbook, [load(note="the same"), load(note="the same")], now=NOW)
    with reader.reading(logbook) as connection:
        salts = [row[0] for row in connection.execute("SELECT salt FROM note_salt ORDER BY seq")]
        bodies = [json.loads(row[0]) for row in connection.execute("SELECT body FROM seal ORDER BY seq")]
    assert salts[0] != salts[1] and all(len(salt) == 32 for salt in salts)
    for salt, body in zip(salts, bodies, strict=True):
        assert body["note_sha256"] == hashlib.sha256(f"gwlog-note-1\n{salt}\nthe same".encode()).hexdigest()


def test_a_sound_logbook_holds_on_every_level(logbook: Path) -> None:
    assert seal.verify(logbook) == seal.Verification((
        seal.Level("chain", True, "0 links"), seal.Level("entries as sealed", True, "every row"),
        seal.Level("nothing unsealed", True, "0 entries"),
        seal.Level("write protection", True, f"{len(triggers())} triggers"),
        seal.Level("values", True, "as every kind accepts them"),
    ), 0, 0, chain.START, None)
    append(logbook, ONE_OF_EACH, now=NOW)
    found = seal.verify(logbook)
    assert found.holds and found.first_broken is None and found.entries == len(ONE_OF_EACH)
    assert (found.last_number, found.last_hash, NOW) == reader.last_seal(logbook)


# What somebody does to a closed file with the guards taken away, and the first entry that must be named.
def _resealed(connection: sqlite3.Connection) -> None:
    """Change entry 4 and give it, and it alone, a new hash."""
    body, previous = connection.execute("SELECT body, prev FROM seal WHERE seq = 4").fetchone()
    body = body.replace("Pomegranate", "Pomegranite")
    connection.execute("UPDATE seal SET body = ?, hash = ? WHERE seq = 4", (body, chain.link(previous, body)))


def _swapped(connection: sqlite3.Connection) -> None:
    five, six = (connection.execute("SELECT body FROM seal WHERE seq = ?", (n,)).fetchone() for n in (5, 6))
    connection.execute("UPDATE seal SET body = ? WHERE seq = 5", six)
    connection.execute("UPDATE seal SET body = ? WHERE seq = 6", five)


def _sql(*statements: str) -> Callable[[sqlite3.Connection], None]:
    def done(connection: sqlite3.Connection) -> None:
        for statement in statements:
            connection.execute(statement)

    return done


TAMPERED = {
    "a volume edited": (_sql("UPDATE wash_load SET volume_ml = 1 WHERE id = 10"), "entries as sealed", "entry 10 (w"),
    "a note reworded": (_sql("UPDATE observation SET note = 'all fine'"), "entries as sealed", "entry 16 (obs"),
    "a note added": (_sql("UPDATE valve_switch SET note = 'by Ines'"), "entries as sealed", "entry 12 (valve"),
    "a salt replaced": (_sql("UPDATE note_salt SET salt = 'other' WHERE seq = 17"), "entries as sealed", "entry 17"),
    "a time moved": (_sql("UPDATE mulch SET happened_at = '2026-07-13 09:30:12.345678'"), "entries as sealed",
                     "entry 13 (mulch)"),
    "a yes that is neither": (_sql("UPDATE person SET active = 5"), "entries as sealed", "entry 2 (person)"),
    "a list that is none": (_sql("UPDATE outlet SET reaches = '[oops]'"), "entries as sealed", "entry 5 (outlet)"),
    "a damaged byte": (_sql("UPDATE washer SET name = CAST(x'66ff6f' AS TEXT)"), "entries as sealed", "entry 3 (wash"),
    "a row removed": (_sql("DELETE FROM product"), "entries as sealed", "entry 6 (product) was sealed"),
    "a body edited": (_sql("UPDATE seal SET body = replace(body, 'front', 'back') WHERE seq = 7"), "chain",
                      "entry 7's hash"),
    "a hash edited": (_sql("UPDATE seal SET hash = 'ab' || substr(hash, 3) WHERE seq = 8"), "chain", "entry 8's"),
    "an entry resealed": (_resealed, "chain", "entry 4 (basin) is not what was sealed"),
    "two bodies swapped": (_swapped, "chain", "entry 5"),
    "an entry cut out": (_sql("DELETE FROM seal WHERE seq = 9", "DELETE FROM upkeep_task"), "chain",
                         "entry 9 is missing from the seal"),
    "an entry slipped in": (_sql("INSERT INTO valve_switch SELECT 23, happened_at, recorded_at, zone, recorded_by, "
                                 "note, corrects_id, position FROM valve_switch"), "nothing unsealed",
                            "entry 23 (valve_switch) is not sealed"),
    "a number used twice": (_sql("INSERT INTO person SELECT 12, happened_at, recorded_at, zone, recorded_by, note, "
                                 "corrects_id, name, active FROM person"), "nothing unsealed", "entry 12"),
}


def tampered(path: Path, act: Callable[[sqlite3.Connection], None]) -> None:
    """Act on the file as somebody would who first takes the guards away and puts them back afterwards."""
    connection = sqlite3.connect(path)
    connection.execute("PRAGMA ignore_check_constraints = ON")
    guards = connection.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
    for name, _ in guards:
        connection.execute(f"DROP TRIGGER {name}")
    act(connection)
    for _, sql in guards:
        connection.execute(sql)
    connection.commit()
    connection.close()


@pytest.fixture(scope="module")
def filled(blank: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("sealed") / "logbook.db"
    shutil.copyfile(blank, path)
    append(path, ONE_OF_EACH, now=NOW)
    return path


@pytest.mark.parametrize("what", list(TAMPERED))
def test_tampering_is_found_and_the_first_broken_entry_named(what: str, filled: Path, tmp_path: Path) -> None:
    act, level, named = TAMPERED[what]
    path = tmp_path / "tampered.db"
    shutil.copyfile(filled, path)
    tampered(path, act)
    found = seal.verify(path)
    assert not found.holds
    assert level in {each.name for each in found.levels if not each.holds}
    assert found.first_broken is not None and named in found.first_broken


def test_guards_taken_away_or_weakened_are_named(filled: Path, tmp_path: Path) -> None:
    path = tmp_path / "bare.db"
    shutil.copyfile(filled, path)
    with closing(sqlite3.connect(path)) as connection, connection:
        connection.execute("DROP TRIGGER wash_load_no_change")
        connection.execute("DROP TRIGGER seal_no_delete")
        connection.execute("CREATE TRIGGER seal_no_delete BEFORE DELETE ON seal WHEN 0 BEGIN SELECT 1; END")
        connection.execute("CREATE TRIGGER sly AFTER INSERT ON mulch BEGIN SELECT 1; END")
    connection.close()
    found = seal.verify(path)
    [broken] = [level for level in found.levels if not level.holds]
    assert broken.name == "write protection" and found.first_broken is None
    assert broken.detail == "missing: wash_load_no_change; changed: seal_no_delete; not gwlog's: sly"


def test_a_tail_cut_off_shows_only_against_a_number_noted_earlier(filled: Path, tmp_path: Path) -> None:
    path = tmp_path / "cut.db"
    shutil.copyfile(filled, path)
    number, head, _ = reader.last_seal(path)
    noted = f"{number}:{head[:16]}"
    assert seal.verify(path, noted=[noted]).holds
    tampered(path, _sql("DELETE FROM attestation", "DELETE FROM seal_part WHERE seq = 22",
                        "DELETE FROM seal WHERE seq = 22"))
    assert seal.verify(path).holds
    found = seal.verify(path, noted=[noted])
    assert not found.holds and found.levels[-1].name == "noted" and "the end was cut" in found.levels[-1].detail


def test_a_logbook_written_anew_shows_only_against_a_number_noted_earlier(logbook: Path, filled: Path) -> None:
    append(logbook, ONE_OF_EACH[:15], now=NOW)
    append(logbook, [load(volume_ml=1)] * 7, now=NOW)
    number, head, _ = reader.last_seal(filled)
    assert seal.verify(logbook).holds
    found = seal.verify(logbook, noted=[f"{number}:{head}"])
    assert not found.holds and "rewritten" in found.levels[-1].detail
    assert seal.verify(logbook, noted=[" 0:0000000000000000"]).holds


@pytest.mark.parametrize("noted", ["", "12", "12:abc", "x:0123456789abcdef", "1:0123456789abcdeg", "1:" + "a" * 65])
def test_a_head_in_another_form_is_refused(noted: str, logbook: Path) -> None:
    with pytest.raises(BadInput, match="is not a seal number"):
        seal.verify(logbook, noted=[noted])


def test_a_file_that_is_no_logbook_is_told(tmp_path: Path) -> None:
    (tmp_path / "words.db").write_text("no database at all, and long enough to look at" * 10)
    with pytest.raises(NotALogbook):
        seal.verify(tmp_path / "words.db")


class Steps:
    """Calls of functions, and the statements asked of SQLite: how much is done, whatever the machine does besides."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.calls = 0
        self.asked: list[str] = []
        connect = sqlite3.connect

        def traced(*words: Any, **more: Any) -> sqlite3.Connection:
            connection = connect(*words, **more)
            connection.set_trace_callback(self.asked.append)
            return connection

        monkeypatch.setattr(sqlite3, "connect", traced)

    def of(self, does: Callable[[], Any]) -> tuple[Any, int, int]:
        """What it gives, the calls that it took and the statements."""
        self.calls = 0
        self.asked.clear()

        def count(_frame: Any, event: str, _argument: Any) -> None:
            self.calls += event in ("call", "c_call")

        sys.setprofile(count)
        try:
            given = does()
        finally:
            sys.setprofile(None)
        return given, self.calls, len(self.asked)


@pytest.mark.long
def test_twenty_thousand_entries_are_read_and_verified_in_a_few_steps_each(
        logbook: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    append(logbook, [load(note="n", usual_load="towels", recorded_by="Ines", products=("a", "b"))], now=NOW)
    connection = sqlite3.connect(logbook)
    row = connection.execute("SELECT * FROM wash_load").fetchone()
    body, previous = connection.execute("SELECT body, hash FROM seal").fetchone()
    salt = connection.execute("SELECT salt FROM note_salt").fetchone()[0]
    parts = connection.execute("SELECT parts FROM seal_part").fetchone()[0]
    seals = []
    for seq in range(2, 20_001):
        own = body.replace('"id":1,', f'"id":{seq},')
        seals.append((seq, "wash_load", seq, own, previous, previous := chain.link(previous, own)))
    rows = [(seq, *row[1:]) for seq in range(2, 20_001)]
    salts = [(seq, salt) for seq in range(2, 20_001)]
    connection.executemany("INSERT INTO seal VALUES (?, ?, ?, ?, ?, ?)", seals)
    connection.executemany(f"INSERT INTO wash_load VALUES ({', '.join('?' * len(row))})", rows)
    connection.executemany("INSERT INTO note_salt VALUES (?, ?)", salts)
    connection.executemany("INSERT INTO seal_part VALUES (?, ?)", [(seq, parts) for seq in range(2, 20_001)])
    connection.commit()
    connection.close()

    # How long that takes is measured by tests/bench/proof.py, in processor time.
    steps = Steps(monkeypatch)
    facts, calls, statements = steps.of(lambda: reader.read(logbook))
    assert len(facts) == 20_000
    assert calls < 10 * 20_000 and statements < 2 * len(KINDS), (calls, statements)
    found, calls, statements = steps.of(lambda: seal.verify(logbook))
    assert found.holds
    assert calls < 205 * 20_000 and statements < 2 * len(KINDS), (calls, statements)


def test_a_withheld_note_is_counted_and_an_edit_beside_it_still_found(logbook: Path) -> None:
    append(logbook, [load(note="one"), load(note="two")], now=NOW)
    withhold_note(logbook, 1)
    assert seal.verify(logbook).levels[1] == seal.Level("entries as sealed", True, "1 note left out")
    tampered(logbook, _sql("UPDATE wash_load SET volume_ml = 9 WHERE id = 1"))
    assert seal.verify(logbook).first_broken == "entry 1 (wash_load) is not what was sealed"
