"""The handover: the next household goes on with the same seal, under new names, without the old people's words."""

from __future__ import annotations

import tomllib
import zipfile
from pathlib import Path

import pytest
from pypdf import PdfReader

from gwlog.journal import reader
from gwlog.journal.facts import Person
from gwlog.journal.zipped import zipped
from tests.conftest import Runner

SECRETS = ("Ines was away and cross about it", "the neighbour complained on the phone", "typed while asleep")


@pytest.fixture
def used(home: Runner) -> Runner:
    home("load", "towels", "--at", "2026-06-05 18:30", "--by", "Ines", "--note", SECRETS[0])
    home("observe", "ponding", "fig", "--at", "2026-06-06 9am", "--note", SECRETS[1])
    home("load", "whites", "--to", "sewer", "--at", "2026-06-07 18:30")
    last = home("entries", "--json", "--kind", "wash load").json["entries"]
    home("withdraw", str(max(entry["id"] for entry in last)), "--note", SECRETS[2])
    return home


@pytest.fixture
def handed(used: Runner, tmp_path: Path) -> Path:
    """The unpacked handover."""
    answer = used("handover", str(tmp_path / "next.zip"))
    assert answer.code == 0, answer.err
    assert "3 notes left out, 1 person marked as moved out" in answer.out
    with zipfile.ZipFile(tmp_path / "next.zip") as archive:
        archive.extractall(tmp_path / "next")
    return tmp_path / "next"


def test_everything_for_the_next_household_is_in_it(handed: Path) -> None:
    assert sorted(file.name for file in handed.iterdir()) == [
        "README.txt", "annex.pdf", "card.pdf", "logbook.db", "manifest.json", "manual.pdf", "pack.zip", "report.pdf",
        "site.toml"]
    for name in ("card.pdf", "manual.pdf", "report.pdf"):
        assert "Tern Cottage" in "".join(page.extract_text() for page in PdfReader(handed / name).pages)
    assert (handed.parent / "next.zip").stat().st_mode & 0o777 == 0o600


def test_no_word_of_a_note_is_in_any_of_it(handed: Path) -> None:
    texts = [(handed / name).read_bytes() for name in ("README.txt", "site.toml", "logbook.db")]
    with zipfile.ZipFile(handed / "pack.zip") as archive:
        texts += [archive.read(name) for name in archive.namelist()]
    texts += ["".join(page.extract_text() for page in PdfReader(file).pages).replace("\n", " ").encode()
              for file in handed.glob("*.pdf")]
    for secret in SECRETS:
        assert not any(secret.encode() in text for text in texts)
    assert any(b"withheld" in text for text in texts)


def test_the_seal_goes_on_and_the_old_people_are_retired(used: Runner, handed: Path, tmp_path: Path) -> None:
    theirs = reader.last_seal(tmp_path / "logbook.db")
    told = used("verify", str(handed / "logbook.db"), "--noted", f"{theirs[0]}:{theirs[1]}", "--json").json
    assert told["holds"] and told["entries"] == theirs[0] + 2   # handed on, and Ines moved out
    assert used("verify", str(handed / "pack.zip"), "--noted", f"{theirs[0]}:{theirs[1]}").code == 0
    [*_, last] = reader.read(handed / "logbook.db")
    assert isinstance(last, Person) and (last.name, last.active) == ("resident 2", False)
    assert b"Ines" not in (handed / "logbook.db").read_bytes()
    assert "person" not in tomllib.loads((handed / "site.toml").read_text())
    assert f"--noted {told['seal_number']}" in (handed / "README.txt").read_text()


def test_the_old_household_keeps_its_own_logbook_as_it_was(used: Runner, tmp_path: Path) -> None:
    before = reader.read(tmp_path / "logbook.db")
    used("handover", str(tmp_path / "next.zip"))
    assert reader.read(tmp_path / "logbook.db") == before
    assert [fact.note for fact in before if fact.note] == list(SECRETS)
    answer = used("handover", str(tmp_path / "next.zip"))
    assert answer.code == 2 and "--replace" in answer.err
    assert used("handover", str(tmp_path / "next.zip"), "--replace").code == 0
    assert used("handover", str(tmp_path / "logbook.db"), "--replace").code == 2


def test_the_next_household_goes_on_as_the_readme_tells(used: Runner, handed: Path, tmp_path: Path) -> None:
    new = ("--logbook", str(tmp_path / "theirs" / "logbook.db"))
    assert used("restore", str(handed / "logbook.db"), *new).code == 0
    site = handed / "site.toml"
    site.write_text(site.read_text().replace("occupants = 3", "occupants = 2") + '\n[[person]]\nname = "Benno"\n')
    for words in (("--dry-run",), ()):
        answer = used("setup", "apply", str(site), *words, *new)
        assert answer.code == 0, answer.err
    assert used("load", "towels", "--by", "Benno", *new).code == 0
    assert used("load", "towels", "--by", "Ines", "--at", "1 hour ago", *new).code == 2
    theirs = reader.last_seal(tmp_path / "logbook.db")
    assert used("verify", "--noted", f"{theirs[0]}:{theirs[1][:16]}", *new).code == 0
    assert used("today", *new).code == 0


def test_a_broken_logbook_is_not_handed_on(used: Runner, tmp_path: Path) -> None:
    import sqlite3

    connection = sqlite3.connect(tmp_path / "logbook.db")
    connection.execute("DROP TRIGGER wash_load_no_change")
    connection.execute("UPDATE wash_load SET volume_ml = 1")
    connection.commit()
    connection.close()
    answer = used("handover", str(tmp_path / "next.zip"))
    assert answer.code == 4 and not (tmp_path / "next.zip").exists()
    assert used("handover", str(tmp_path / "next.zip"), "--logbook", str(tmp_path / "none.db")).code == 2


def test_a_handover_is_verified_whole(used: Runner, handed: Path, tmp_path: Path) -> None:
    told = used("verify", str(tmp_path / "next.zip"), "--json").json
    names = [level["name"] for level in told["levels"]]
    assert told["holds"] and names[:2] == ["files", "manifest"] and names[-2:] == ["pack", "papers"]
    assert told["seal_number"] == used("verify", str(handed / "logbook.db"), "--json").json["seal_number"]
    assert used("verify", str(tmp_path / "next.zip"), "--noted", told["seal_number"]).code == 0
    assert used("verify", str(tmp_path / "next.zip"), "--noted", told["seal_number"][:-1] + "g").code == 2
    files = {file.name: file.read_bytes() for file in handed.iterdir()}
    for name, part in (("report.pdf", "files"), ("logbook.db", "files")):
        (tmp_path / "other.zip").write_bytes(zipped({**files, name: files["card.pdf"]}))
        answer = used("verify", str(tmp_path / "other.zip"))
        assert answer.code == 4 and f"BROKEN  {part}" in answer.out
    assert used("verify", str(tmp_path / "next.zip")).out.count("\nok ") == len(names)
