"""One rule for every file beside the logbook: whole, for its owner only, and nobody else's file written over."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from gwlog.errors import BadInput, GwlogError
from gwlog.files import made_for, write_whole
from gwlog.journal.zipped import zipped
from tests.conftest import Runner

PAPERS = (("report", "r.pdf"), ("report", "r.html"), ("report", "r.md"), ("report", "r.csv"), ("manual", "m.pdf"),
          ("card", "c.pdf"), ("calendar", "c.ics"))


def test_a_file_replaces_the_old_one_and_only_its_owner_reads_it(tmp_path: Path) -> None:
    out = tmp_path / "r.md"
    out.write_text("old")
    out.chmod(0o644)
    write_whole(out, b"new", replace=True)
    assert out.read_bytes() == b"new"
    assert out.stat().st_mode & 0o777 == 0o600


def test_only_a_file_made_for_the_same_purpose_gives_way_unasked(tmp_path: Path) -> None:
    out = tmp_path / "c.pdf"
    card, manual = made_for("card"), made_for("manual")
    write_whole(out, f"one ({card})".encode(), mark=card)
    write_whole(out, f"two ({card})".encode(), mark=card)
    assert out.read_bytes().startswith(b"two")
    with pytest.raises(BadInput, match="it was left as it is"):
        write_whole(out, b"a manual", mark=manual)
    with pytest.raises(BadInput, match="it was left as it is"):
        write_whole(out, b"no purpose")
    assert out.read_bytes().startswith(b"two")


def test_when_writing_fails_the_old_file_stays_and_no_piece_is_left(tmp_path: Path,
                                                                    monkeypatch: pytest.MonkeyPatch) -> None:
    out = tmp_path / "r.md"
    out.write_text("old")

    def full(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    with pytest.raises(GwlogError, match="no space left"):
        write_whole(out, b"new", replace=True)
    assert out.read_text() == "old"
    assert [path.name for path in tmp_path.iterdir()] == ["r.md"]


def test_the_file_and_its_name_are_put_on_the_disk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    synced: list[tuple[int, int]] = []
    real = os.fsync

    def spy(handle: int) -> None:
        found = os.fstat(handle)
        synced.append((found.st_dev, found.st_ino))
        real(handle)

    monkeypatch.setattr("os.fsync", spy)
    write_whole(tmp_path / "r.md", b"new")
    files = [(found.st_dev, found.st_ino) for found in ((tmp_path / "r.md").stat(), tmp_path.stat())]
    assert synced == files


def test_a_folder_a_database_or_a_missing_folder_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="is a folder"):
        write_whole(tmp_path, b"x", replace=True)
    with pytest.raises(BadInput, match="does not exist"):
        write_whole(tmp_path / "none" / "r.md", b"x", replace=True)
    assert not (tmp_path / "none").exists()
    (tmp_path / "l.db").write_bytes(b"SQLite format 3\0 and more")
    with pytest.raises(BadInput, match="never written over"):
        write_whole(tmp_path / "l.db", b"x", replace=True)


@pytest.mark.parametrize(("command", "name"), PAPERS)
def test_every_paper_gives_way_to_its_own_kind_and_to_nothing_else(home: Runner, tmp_path: Path, command: str,
                                                                   name: str) -> None:
    out = tmp_path / name
    assert home(command, str(out)).code == 0
    first = out.read_bytes()
    assert out.stat().st_mode & 0o777 == 0o600
    assert home(command, str(out)).code == 0
    for foreign in (b"my shopping list\n", b""):
        out.write_bytes(foreign)
        refused = home(command, str(out))
        assert refused.code == 2 and "is there already" in refused.err and "--replace" in refused.err
        assert out.read_bytes() == foreign
        assert home(command, str(out), "--replace").code == 0
        assert out.read_bytes()[:200] == first[:200]
    other = tmp_path / "elsewhere" / name
    missing = home(command, str(other))
    assert missing.code == 2 and "does not exist; nothing was written" in missing.err and not other.parent.exists()


def test_a_paper_of_another_purpose_is_left_alone(home: Runner, tmp_path: Path) -> None:
    out = tmp_path / "paper.pdf"
    assert home("manual", str(out)).code == 0
    manual = out.read_bytes()
    for command in ("card", "report"):
        refused = home(command, str(out))
        assert refused.code == 2 and "it was left as it is" in refused.err
    assert out.read_bytes() == manual


def test_a_paper_to_which_somebody_added_something_is_theirs(home: Runner, tmp_path: Path) -> None:
    out = tmp_path / "notes.md"
    assert home("report", str(out)).code == 0
    mine = out.read_bytes() + b"\nAsk the plumber about the valve.\n"
    out.write_bytes(mine)
    refused = home("report", str(out))
    assert refused.code == 2 and "is there already" in refused.err and out.read_bytes() == mine
    out.write_text("What to put into the next gwlog record: nothing.")
    assert home("report", str(out)).code == 2


@pytest.mark.parametrize("typed", ["x" * 300, "folder/" + "ä" * 200 + "/x.md", "~nobody-of-that-name/x.md", "a\0b.md",
                                   "half\ud83d.md"])
def test_what_can_be_no_path_is_refused_in_a_sentence(home: Runner, typed: str) -> None:
    for words in (("report", typed), ("import", typed), ("verify", typed), ("restore", typed), ("calendar", typed),
                  ("today", "--logbook", typed), ("weather", "import", typed), ("setup", "apply", typed),
                  ("rehearse", "--weather", typed), ("backup", "--to", typed), ("export", typed)):
        said = home(*words)
        assert said.code == 2 and len(said.err.splitlines()) == 1, (words, said)
        assert "a path" in said.err or "no path" in said.err or "the folder of" in said.err, (words, said)


def test_a_pipe_or_a_device_is_refused_at_once(home: Runner, tmp_path: Path) -> None:
    pipe = tmp_path / "pipe.csv"
    os.mkfifo(pipe)
    for odd in (str(pipe), "/dev/zero"):
        for words in (("import", odd), ("import", odd, "--columns", "date=Day"), ("verify", odd), ("restore", odd),
                      ("weather", "import", odd), ("setup", "apply", odd), ("calendar", odd),
                      ("rehearse", "--weather", odd)):
            said = home(*words)
            assert said.code != 0 and "mistake" not in said.err, (words, said)
            assert "device" in said.err or "ordinary file" in said.err or "there already" in said.err, (words, said)


def test_every_file_is_its_owners_alone_whatever_the_mask(home: Runner, tmp_path: Path) -> None:
    before = os.umask(0)
    try:
        for mask in (0o000, 0o777):
            os.umask(mask)
            for command, name in (("report", "r.md"), ("calendar", "c.ics"), ("export", "e.jsonl")):
                out = tmp_path / f"{mask}-{name}"
                assert home(command, str(out)).code == 0
                assert out.stat().st_mode & 0o777 == 0o600, name
    finally:
        os.umask(before)


def _bomb(where: Path) -> None:
    where.write_bytes(zipped({"manifest.json": b"{}", "entries.jsonl": b"\n" * 110_000_000}))


OVERFULL: dict[str, tuple[Callable[[Path], object], tuple[str, ...], str]] = {
    "p.zip": (_bomb, ("verify",), "is larger than any record pack"),
    "lines.jsonl": (lambda file: file.write_bytes(b"\n" * 49_000_000), ("import",), "Line 1 is not an entry"),
    "rows.csv": (lambda file: file.write_bytes(b"date,load\n" + b"a,b\n" * 1_200_000),
                 ("import", "--columns", "date=date,load=load"), "more than 100,000 rows"),
    "cells.csv": (lambda file: file.write_bytes(b"date," * 900_000), ("import", "--columns", "date=date"),
                  "20,000 characters or more"),
    "site.toml": (lambda file: file.write_bytes(b"\n" * 60_000_000), ("setup", "apply"), "larger than 1 MB"),
}


@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="only Linux tells a process's own peak there")
@pytest.mark.parametrize("name", list(OVERFULL))
def test_no_file_that_comes_in_fills_the_memory(home: Runner, tmp_path: Path, name: str) -> None:
    make, words, said = OVERFULL[name]
    make(tmp_path / name)
    program = ("import re, sys\nfrom pathlib import Path\nfrom gwlog.cli.main import run\ncode = run(sys.argv[1:])\n"
               "print(re.search(r'VmHWM:\\s+(\\d+)', Path('/proc/self/status').read_text())[1])\nsys.exit(code)")
    done = subprocess.run([sys.executable, "-c", program, *words, str(tmp_path / name)], capture_output=True, text=True)
    assert done.returncode in (2, 4) and said in " ".join((done.stdout + done.stderr).split())
    peak_kb = int(done.stdout.splitlines()[-1])
    assert peak_kb < 200_000, f"{peak_kb / 1000:.0f} MB"
