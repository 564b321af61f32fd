"""The seal number given to witnesses, their answers stored only where they verify, and the grade that follows."""

from __future__ import annotations

import shutil
import sqlite3
from contextlib import closing
from pathlib import Path
from shutil import which

import pytest

from gwlog import settings
from gwlog.app import witness_answers
from gwlog.journal import attached, reader
from gwlog.journal.facts import Attestation, UpkeepDone
from gwlog.journal.reader import read
from gwlog.journal.seal_number import number_of, spoken
from tests.app.authority import make, run
from tests.conftest import SITE, Runner
from tests.journal.test_seal import _sql, tampered

needs_ssh = pytest.mark.skipif(which("ssh-keygen") is None, reason="ssh-keygen is not on this machine")


@pytest.fixture(autouse=True)
def machine(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Settings of a machine that trusts nobody yet."""
    monkeypatch.setattr(settings, "config_folder", lambda: tmp_path / "settings")
    (tmp_path / "settings").mkdir()
    return tmp_path / "settings"


def entries(folder: Path) -> int:
    return len(read(folder / "logbook.db"))


def test_the_number_is_shown_in_every_form_and_given(home: Runner, tmp_path: Path) -> None:
    count, hashed, _ = reader.last_seal(tmp_path / "logbook.db")
    answer = home("witness")
    assert f"gwlog seal number {count}:{hashed}" in answer.out and spoken(count, hashed) in answer.out
    assert "ssh-keygen -Y sign" in answer.out and "█" in answer.out and entries(tmp_path) == count
    assert home("witness", "--json").json["words"] == spoken(count, hashed)
    given = home("witness", "--to", "Ruth Abara", "--means", "by e-mail")
    assert given.code == 0 and "given to Ruth Abara, by e-mail." in given.out
    entry = read(tmp_path / "logbook.db")[-1]
    assert isinstance(entry, Attestation) and entry.number == f"{count}:{hashed}"
    told = home("verify")
    assert told.code == 0 and f"Entries 1 to {count} existed by Jul 14, 2026 if the copy of Ruth Abara says so" in \
        " ".join(told.out.split())
    assert home("verify", "--json").json["witnessed"]["grade"] == "given"
    for words in (("--means", "by e-mail"), ("--by", "x"), ("--store", "x"), ("--to", " ")):
        assert home("witness", *words).code == 2


@pytest.mark.parametrize("ending", [".html", ".md", ".pdf"])
def test_a_slip_for_paper(home: Runner, tmp_path: Path, ending: str) -> None:
    slip = tmp_path / f"slip{ending}"
    assert home("witness", "--slip", str(slip)).code == 0
    count, hashed, _ = reader.last_seal(tmp_path / "logbook.db")
    content = slip.read_bytes()
    assert content.startswith(b"%PDF") if ending == ".pdf" else spoken(count, hashed).encode() in content
    assert home("witness", "--slip", str(slip)).code == 2
    assert home("witness", "--slip", str(tmp_path / "slip.doc")).code == 2


def test_noted_numbers_are_judged_one_by_one_and_mail_is_read(home: Runner, tmp_path: Path) -> None:
    path = tmp_path / "logbook.db"
    count, hashed, _ = reader.last_seal(path)
    mail = tmp_path / "mail.txt"
    mail.write_text(f"> On Wed Ruth wrote:\n> 2026-07-14 {count}:{hashed[:16]}, thanks\n{spoken(count, hashed)}\n")
    answer = home("verify", "--noted", str(mail), "--noted", spoken(count, hashed), "--noted", f"{count}:{hashed}")
    assert answer.code == 0 and answer.out.count("the seal number noted earlier fits") == 4
    assert f"Entries 1 to {count} existed" in answer.out.replace("\n", " ")
    assert home("verify", "--noted", str(mail), "--json").json["witnessed"]["until_day"] == "2026-07-14"
    wrong = f"{count}:{'0' * 16}"
    for order in ((wrong, f"{count}:{hashed}"), (f"{count}:{hashed}", wrong)):
        assert home("verify", "--noted", order[0], "--noted", order[1]).code == 4
    (tmp_path / "empty.txt").write_text("no number here, 12:30")
    assert home("verify", "--noted", str(tmp_path / "empty.txt")).code == 2
    misread = home("verify", "--noted", spoken(count, hashed)[:-1] + "qq")
    assert misread.code == 2 and "the nearest is" in misread.err


def test_a_statement_is_stored_with_its_words(home: Runner, tmp_path: Path) -> None:
    count, hashed, _ = reader.last_seal(tmp_path / "logbook.db")
    letter = tmp_path / "letter.txt"
    letter.write_text(f"I got {count}:{hashed[:16]} on July 14.")
    assert home("witness", "--store", str(letter), "--by", "Ruth Abara").code == 0
    with reader.reading(tmp_path / "logbook.db") as connection:
        assert attached.files(connection) == {f"witness/{count + 1}.txt": letter.read_bytes()}
    told = home("verify").out.replace("\n", " ")
    assert f"Entries 1 to {count} existed by Jul 14, 2026, as the statement of Ruth Abara says; 1 later one is" in told
    before = entries(tmp_path)
    assert home("export", str(tmp_path / "all.jsonl")).code == 0
    assert home("--logbook", str(tmp_path / "again.db"), "import", str(tmp_path / "all.jsonl")).code == 0
    told = home("verify", str(tmp_path / "again.db"))
    assert told.code == 0 and "(1 number, 1 answer not here)" in told.out
    tampered(tmp_path / "logbook.db", _sql("UPDATE seal SET body = replace(body, 'id', 'ix') WHERE seq = 2"))
    assert home("check", "--repair").code == 0
    with reader.reading(tmp_path / "logbook.db") as connection:
        assert list(attached.files(connection).values()) == [letter.read_bytes()]
    letter.write_text(f"I got {count}:{'0' * 16}")
    refused = home("witness", "--store", str(letter), "--by", "Ruth Abara")
    assert refused.code == 4 and "is not a seal number of this logbook" in refused.err
    letter.write_text("I got it.")
    assert home("witness", "--store", str(letter), "--by", "Ruth Abara").code == 2
    letter.write_bytes(b"\xff\xfe\x00")
    assert home("witness", "--store", str(letter), "--by", "Ruth Abara").code == 2
    assert entries(tmp_path) == before


@needs_ssh
def test_a_signature_is_stored_once_its_key_is_known_and_verified_again(home: Runner, tmp_path: Path,
                                                                       machine: Path) -> None:
    count, _, _ = reader.last_seal(tmp_path / "logbook.db")
    assert home("witness", "--line", str(tmp_path / "number.txt")).code == 0
    key = tmp_path / "ruth"
    run("ssh-keygen", "-q", "-t", "ed25519", "-N", "", "-C", "", "-f", str(key))
    run("ssh-keygen", "-q", "-Y", "sign", "-f", str(key), "-n", "gwlog-seal", str(tmp_path / "number.txt"))
    store = ("witness", "--store", str(tmp_path / "number.txt.sig"), "--by", "Ruth Abara")
    unknown = home(*store)
    assert unknown.code == 2 and "No file of known signers" in unknown.err
    (machine / "witnesses").write_text("ola@example.org ssh-ed25519 "
                                       "AAAAC3NzaC1lZDI1NTE5AAAAIAABAgMEBQYHCAkKCwwNDg8QERITFBUWFxgZGhscHR4f\n")
    unknown = home(*store)
    assert unknown.code == 4 and "by an unknown key" in unknown.err and entries(tmp_path) == count
    (machine / "witnesses").write_text(f"ruth@example.org {key.with_suffix('.pub').read_text()}")
    assert home(*store).code == 0
    told = home("verify")
    assert told.code == 0 and "verifies, by ruth@example.org." in told.out.replace("\n", " ")
    assert home("verify", "--json").json["witnessed"]["grade"] == "SSH signature"
    (machine / "witnesses").unlink()
    assert "whether it is theirs was not checked here" in home("verify").out.replace("\n", " ")

    path = tmp_path / "logbook.db"
    tampered(path, _sql("UPDATE attached SET content = 'other'"))
    broken = home("verify")
    assert broken.code == 4 and "is not the one that was sealed" in broken.out.replace("\n", " ")


@pytest.mark.skipif(which("openssl") is None, reason="openssl is not on this machine")
def test_a_time_stamp_is_stored_with_its_authority(home: Runner, tmp_path: Path,
                                                   monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("rfc3161_client")
    text = SITE + '\n[[upkeep]]\nname = "have the seal number witnessed"\nevery = "1 month"\n'
    (tmp_path / "more.toml").write_text(text, encoding="utf-8")
    assert home("setup", "apply", str(tmp_path / "more.toml")).code == 0
    count, _, _ = reader.last_seal(tmp_path / "logbook.db")
    north = make(tmp_path, "North Stamp")
    assert home("witness", "--query", str(tmp_path / "n.tsq")).code == 0
    north.answer(tmp_path / "n.tsq", tmp_path / "n.tsr")
    store = ("witness", "--store", str(tmp_path / "n.tsr"), "--by", "North Stamp")
    assert "No certificate of the authority" in home(*store).err
    done = home(*store, "--authority", str(north.root))
    assert done.code == 0 and "It says: " in done.out, done.err
    assert isinstance(read(tmp_path / "logbook.db")[-1], UpkeepDone)
    told = home("verify")
    assert told.code == 0 and f"Entries 1 to {count} existed by" in told.out and "as the time stamp of" in \
        told.out.replace("\n", " ")
    with reader.reading(tmp_path / "logbook.db") as connection:
        assert [name.rpartition(".")[2] for name in attached.files(connection)] == ["tsr", "pem"]
    cut = tmp_path / "cut.tsr"
    cut.write_bytes((tmp_path / "n.tsr").read_bytes()[:300])
    assert home("witness", "--store", str(cut), "--by", "North Stamp", "--authority", str(north.root)).code == 2
    monkeypatch.setattr(witness_answers, "find_spec", lambda _: None)
    assert "not verified here, since the library" in home("verify").out.replace("\n", " ")
    assert home(*store, "--authority", str(north.root)).code == 2


def test_a_number_that_is_not_the_chains_is_a_fault(home: Runner, tmp_path: Path) -> None:
    home("witness", "--to", "Ruth Abara")
    copy = tmp_path / "rewritten.db"
    shutil.copyfile(tmp_path / "logbook.db", copy)
    assert number_of(home("verify", "--json").json["seal_number"]).entries == entries(tmp_path)
    with closing(sqlite3.connect(tmp_path / "logbook.db")) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    shutil.copyfile(tmp_path / "logbook.db", copy)
    tampered(copy, _sql("UPDATE attestation SET number = '3:0123456789abcdef'"))
    answer = home("verify", str(copy))
    assert answer.code == 4 and "holds the seal number 3:0123456789abcdef, which is not the chain's" in \
        answer.out.replace("\n", " ")
