"""The record pack and the housekeeping commands as people and third parties use them."""

from __future__ import annotations

import ast
import hashlib
import json
import subprocess
import sys
import zipfile
from datetime import timedelta
from pathlib import Path

import pytest

from gwlog.journal import check_seal, reader
from gwlog.journal.facts import WashLoad
from gwlog.journal.writer import append
from tests.conftest import NOW, Runner
from tests.journal.tampering import members_of, relisted, repacked

NOTES = ("the hose slipped off, put it back", "=HYPERLINK(\"//example.invalid\")<script>alert(1)</script>")


@pytest.fixture
def used(home: Runner, tmp_path: Path) -> Runner:
    """A household with some history, notes in it."""
    home("load", "towels", "--at", "2026-06-05 18:30", "--note", NOTES[0])
    home("observe", "ponding", "fig", "--at", "2026-06-06 9am", "--note", NOTES[1])
    home("load", "diapers", "--to", "sewer", "--at", "2026-06-07 18:30")
    return home


def packed(home: Runner, tmp_path: Path, *words: str, name: str = "record.zip", reader: str = "everything") -> Path:
    answer = home("pack", str(tmp_path / name), "--for", reader, *words)
    assert answer.code == 0, answer.err
    return tmp_path / name


def run_verifier(*words: str | Path) -> subprocess.CompletedProcess[str]:
    """The pack's own program, isolated: no package, no environment, no folder of ours."""
    return subprocess.run([sys.executable, "-I", *map(str, words)], capture_output=True, text=True, cwd="/",
                          env={"PATH": "/nowhere"}, check=False)


def test_a_pack_holds_every_entry_the_report_and_a_program_that_verifies_it(used: Runner, tmp_path: Path) -> None:
    members = members_of(packed(used, tmp_path).read_bytes())
    assert sorted(members) == ["README.txt", "annex.html", "check_seal.py", "entries.jsonl", "letter.html",
                               "manifest.json", "noted.txt"]
    entries = reader.read(tmp_path / "logbook.db")
    lines = [json.loads(line) for line in members["entries.jsonl"].decode().split("\n")[:-1]]
    assert [line["seq"] for line in lines] == [entry.id for entry in entries]
    manifest = json.loads(members["manifest.json"])
    number, head, _ = reader.last_seal(tmp_path / "logbook.db")
    assert manifest["seal_number"] == f"{number}:{head}" and manifest["made"] == "2026-07-14T18:00:00Z"
    assert manifest["period"][0] == "2026-05-01" and manifest["counts"]["wash_load"] == 2
    assert (tmp_path / "record.zip").stat().st_mode & 0o777 == 0o600


def test_the_digests_are_what_the_sha256sum_program_says(used: Runner, tmp_path: Path) -> None:
    # GNU coreutils sha256sum: of the files as unpacked, and of one entry's rule written out by hand.
    with zipfile.ZipFile(packed(used, tmp_path)) as archive:
        archive.extractall(tmp_path / "out")
    manifest = json.loads((tmp_path / "out" / "manifest.json").read_text())
    listing = "".join(f"{digest}  {name}\n" for name, digest in manifest["files"].items())
    done = subprocess.run(["sha256sum", "--check", "--strict"], input=listing, cwd=tmp_path / "out", text=True,
                          capture_output=True, check=True)
    assert done.stdout.count(": OK\n") == 6
    first, second = map(json.loads, (tmp_path / "out" / "entries.jsonl").read_text().split("\n")[:2])
    (tmp_path / "rule").write_text(f"gwlog-seal-1\n{first['hash']}\n{second['body']}")
    said = subprocess.run(["sha256sum", tmp_path / "rule"], check=True, capture_output=True, text=True).stdout
    assert said.split()[0] == second["hash"]


def test_the_program_in_the_pack_runs_isolated_on_the_zip_and_on_the_folder(used: Runner, tmp_path: Path) -> None:
    pack = packed(used, tmp_path)
    with zipfile.ZipFile(pack) as archive:
        archive.extractall(tmp_path / "out")
    program = tmp_path / "out" / "check_seal.py"
    for words in ((program,), (program, pack), (program, tmp_path / "out")):
        done = run_verifier(*words)
        assert (done.returncode, done.stderr) == (0, "")
        assert done.stdout.endswith("The pack holds.\n") and "NOT checked:" in done.stdout
    number, head, _ = reader.last_seal(tmp_path / "logbook.db")
    assert run_verifier(program, "--noted", f"{number}:{head[:16]}").returncode == 0
    assert run_verifier(program, "--noted", f"{number + 1}:{head[:16]}").returncode == 4
    assert run_verifier(program, "--noted", f"{number}:{'0' * 16}").returncode == 4
    assert run_verifier(program, "--noted", "yesterday").returncode == 4
    assert run_verifier(program, "--other").returncode == 2
    lines = tmp_path / "out" / "entries.jsonl"
    lines.write_text(lines.read_text().replace('\\"volume_ml\\":68137', '\\"volume_ml\\":68138', 1))
    done = run_verifier(program)
    assert done.returncode == 4 and "First broken: entry " in done.stdout and "does NOT hold" in done.stdout
    assert run_verifier(program, tmp_path).returncode == 4
    assert run_verifier(program, tmp_path / "logbook.db").returncode == 4


def test_the_program_is_short_standard_and_runs_on_old_pythons() -> None:
    text = Path(check_seal.__file__).read_text()
    tree = ast.parse(text, feature_version=(3, 8))
    imported = {name.name.partition(".")[0] for node in ast.walk(tree) if isinstance(node, ast.Import)
                for name in node.names}
    imported |= {str(node.module).partition(".")[0] for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)}
    assert imported <= {"__future__", "collections", "contextlib", "datetime", "functools", "hashlib", "json", "os",
                        "pathlib", "re", "struct", "sys", "typing", "zlib"}
    assert imported - {"__future__"} <= set(sys.stdlib_module_names)
    assert len(text.splitlines()) <= 745 and text.isascii()
    assert not {node.attr for node in ast.walk(tree) if isinstance(node, ast.Attribute)} & {
        "removeprefix", "removesuffix", "is_relative_to", "readlink", "hardlink_to"}   # newer than 3.8


def test_the_same_content_at_the_same_moment_makes_the_same_bytes(used: Runner, tmp_path: Path) -> None:
    one = packed(used, tmp_path, name="one.zip").read_bytes()
    assert packed(used, tmp_path, name="two.zip").read_bytes() == one
    with zipfile.ZipFile(tmp_path / "one.zip") as archive:
        assert {member.date_time for member in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}
    # The same logbook in another file and another folder.
    used("export", str(tmp_path / "all.jsonl"))
    other = str(tmp_path / "other" / "copy.db")
    assert used("import", str(tmp_path / "all.jsonl"), "--logbook", other).code == 0
    assert used("pack", str(tmp_path / "three.zip"), "--for", "everything", "--logbook", other).code == 0
    assert (tmp_path / "three.zip").read_bytes() == one
    used("load", "towels")
    assert packed(used, tmp_path, name="four.zip").read_bytes() != one


def test_withheld_notes_are_nowhere_in_the_pack_and_the_chain_holds(used: Runner, tmp_path: Path) -> None:
    whole = b"".join(members_of(packed(used, tmp_path, name="whole.zip").read_bytes()).values())
    assert NOTES[0].encode() in whole and b"HYPERLINK" in whole and b"<script>alert" not in \
        members_of((tmp_path / "whole.zip").read_bytes())["letter.html"]
    answer = used("pack", str(tmp_path / "some.zip"), "--for", "everything",
                  "--without-notes-of", "observation")
    assert "1 note left out" in answer.out
    some = b"".join(members_of((tmp_path / "some.zip").read_bytes()).values())
    assert NOTES[0].encode() in some and b"HYPERLINK" not in some
    none = b"".join(members_of(packed(used, tmp_path, "--without-notes", name="none.zip").read_bytes()).values())
    assert NOTES[0].encode() not in none and b"HYPERLINK" not in none
    for name in ("whole.zip", "some.zip", "none.zip"):
        told = used("verify", str(tmp_path / name), "--json").json
        assert told["holds"] and told["seal_number"] == used("verify", "--json").json["seal_number"]
    assert used("pack", str(tmp_path / "x.zip"), "--without-notes-of", "hosepipe").code == 2


def test_verify_names_the_levels_and_the_first_broken_entry_of_a_pack(used: Runner, tmp_path: Path) -> None:
    pack = packed(used, tmp_path)
    told = used("verify", str(pack), "--json").json
    assert [level["name"] for level in told["levels"]] == [
        "files", "manifest", "chain", "bodies", "notes", "parts", "values", "noted", "program", "papers"]
    answer = used("verify", str(pack))
    assert answer.code == 0 and answer.out.count("\nok ") == 10
    assert "not checked: whether what the entries say" in answer.out
    members = members_of(pack.read_bytes())
    wrong = members["entries.jsonl"].replace(b'\\"volume_ml\\":68137', b'\\"volume_ml\\":68138')
    assert wrong != members["entries.jsonl"]
    (tmp_path / "edited.zip").write_bytes(repacked(relisted({**members, "entries.jsonl": wrong})))
    answer = used("verify", str(tmp_path / "edited.zip"))
    assert answer.code == 4 and "BROKEN  chain" in answer.out
    washer = next(n for n, line in enumerate(members["entries.jsonl"].split(b"\n"), 1) if b'volume_ml\\":68137' in line)
    assert f"First broken: entry {washer} does not follow" in answer.out
    assert used("verify", str(pack), "--noted", "1:" + "0" * 16).code == 4
    assert used("verify", str(pack), "--noted", "soon").code == 2
    assert used("verify", str(tmp_path / "none.zip")).code == 2
    (tmp_path / "words.zip").write_text("a letter")
    assert used("verify", str(tmp_path / "words.zip")).code == 4


def test_a_seal_number_given_is_checked_and_stands_in_the_pack(used: Runner, tmp_path: Path) -> None:
    head = used("verify", "--json").json["seal_number"]
    used("load", "towels")
    members = members_of(packed(used, tmp_path, "--noted", head).read_bytes())
    anchors = members["noted.txt"].decode().split("\n")
    assert f"2026-07-14 {head} a seal number noted earlier" in anchors
    assert any(line.endswith("last entry recorded in that month") for line in anchors)
    answer = used("pack", str(tmp_path / "x.zip"), "--noted", head.split(":")[0] + ":" + "0" * 16)
    assert answer.code == 4 and "rewritten" in answer.err and not (tmp_path / "x.zip").exists()


def test_a_pack_goes_into_a_new_logbook_with_the_same_seal(used: Runner, tmp_path: Path) -> None:
    pack = packed(used, tmp_path, "--without-notes")
    new = str(tmp_path / "new.db")
    dry = used("import", str(pack), "--dry-run", "--logbook", new)
    assert dry.code == 0 and "would come in" in dry.out and not Path(new).exists()
    answer = used("import", str(pack), "--logbook", new)
    assert answer.code == 0 and used("verify", "--json").json["seal_number"] in answer.out
    assert used("verify", new).code == 0
    refused = used("import", str(pack))
    assert refused.code == 2 and "holds entries already" in refused.err
    members = members_of(pack.read_bytes())
    (tmp_path / "bad.zip").write_bytes(repacked({**members, "README.txt": b"trust me"}))
    assert used("import", str(tmp_path / "bad.zip"), "--logbook", str(tmp_path / "no.db")).code == 4


def test_a_broken_logbook_is_not_packed_but_can_be_exported_with_a_warning(used: Runner, tmp_path: Path) -> None:
    import sqlite3

    connection = sqlite3.connect(tmp_path / "logbook.db")
    connection.execute("DROP TRIGGER wash_load_no_change")
    connection.execute("UPDATE wash_load SET volume_ml = 1")
    connection.commit()
    connection.close()
    answer = used("pack", str(tmp_path / "x.zip"))
    assert answer.code == 4 and "does not hold" in answer.err and not (tmp_path / "x.zip").exists()
    answer = used("export", str(tmp_path / "all.jsonl"))
    assert answer.code == 4 and (tmp_path / "all.jsonl").exists()
    assert used("backup").code == 4


def test_nothing_is_written_over_unasked_and_a_database_never(used: Runner, tmp_path: Path) -> None:
    logbook = tmp_path / "logbook.db"
    before = hashlib.sha256(logbook.read_bytes()).digest()
    for command in ("export", "pack"):
        for words in ((), ("--replace",)):
            answer = used(command, str(logbook), *words)
            assert answer.code == 2 and "never written over" in answer.err
        out = tmp_path / command
        assert used(command, str(out)).code == 0
        answer = used(command, str(out))
        assert answer.code == 2 and "--replace" in answer.err
        assert used(command, str(out), "--replace").code == 0
        assert used(command, str(tmp_path)).code == 2
        assert used(command, "/proc/none/x").code == 2
    assert hashlib.sha256(logbook.read_bytes()).digest() == before
    assert not list(tmp_path.glob(".*draft*"))


def test_export_prints_the_lines_or_writes_csv_into_a_folder(used: Runner, tmp_path: Path) -> None:
    printed = used("export", "-").out
    used("export", str(tmp_path / "all.jsonl"))
    assert printed == (tmp_path / "all.jsonl").read_text(encoding="utf-8")
    assert used("export", "--csv", str(tmp_path / "sheets")).code == 0
    sheet = (tmp_path / "sheets" / "observation.csv").read_text(encoding="utf-8-sig")
    assert "'=HYPERLINK" in sheet and ",=HYPERLINK" not in sheet
    assert used("export", "--csv", str(tmp_path / "sheets")).code == 2
    assert used("export", "--csv", str(tmp_path / "sheets"), "--replace").code == 0


def test_backup_and_restore_go_round(used: Runner, tmp_path: Path) -> None:
    told = used("backup", "--to", str(tmp_path / "away"), "--json").json
    assert told["holds"] and told["removed"] == [] and Path(told["file"]).parent == tmp_path / "away"
    used("load", "towels")
    answer = used("restore", told["file"])
    assert answer.code == 0 and "Only there: 1 entry." in answer.out
    assert used("verify", "--json").json["seal_number"] == told["seal_number"]
    kept = next(tmp_path.glob("logbook-before-restore-*.db"))
    assert used("restore", str(kept), "--json").json["only_in_kept"] == 0
    assert used("verify", str(kept)).code == 0
    (tmp_path / "letter.db").write_text("a letter")
    assert used("restore", str(tmp_path / "letter.db")).code == 1
    assert used("backup", "--keep", "0").code == 2


def test_another_logbook_is_verified_as_it_lies_and_never_changed(used: Runner, tmp_path: Path) -> None:
    file = Path(used("backup", "--json").json["file"])
    before = file.read_bytes()
    append(tmp_path / "logbook.db", [next(fact for fact in reader.read(tmp_path / "logbook.db")
                                          if isinstance(fact, WashLoad))], now=NOW + timedelta(days=1))
    told = used("verify", str(file), "--json").json
    assert told["holds"] and told["entries"] < used("verify", "--json").json["entries"]
    assert file.read_bytes() == before
    assert used("verify", str(file), "--noted", used("verify", "--json").json["seal_number"]).code == 4
