"""Drafts of stopped commands are removed by the next one; those of living processes, and files of people, never."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from gwlog import drafts
from tests.conftest import Runner

WORK = """
import sys
from pathlib import Path
from gwlog import drafts
with drafts.beside(Path(sys.argv[1])) as draft, drafts.folder() as folder:
    draft.write_text("what somebody wrote down")
    Path(f"{draft}-wal").write_text("and more of it")
    (folder / "logbook.db").write_text("all of it")
    print(draft, folder, flush=True)
    sys.stdin.read()
"""


@pytest.fixture
def temporary(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The system's folder for temporary files, here and in the processes that are started."""
    place = tmp_path / "temporary"
    place.mkdir()
    monkeypatch.setenv("TMPDIR", str(place))
    monkeypatch.setattr("tempfile.tempdir", None)
    yield place
    monkeypatch.undo()
    import tempfile

    tempfile.tempdir = None


def at_work(where: Path) -> tuple[subprocess.Popen[str], list[Path]]:
    """A process that is in the middle of writing, and its drafts."""
    process = subprocess.Popen([sys.executable, "-c", WORK, str(where)], stdin=subprocess.PIPE, stdout=subprocess.PIPE,
                               text=True)
    assert process.stdout is not None
    return process, [Path(word) for word in process.stdout.readline().split()]


def end(process: subprocess.Popen[str], *, killed: bool) -> None:
    """Stop a process and let go of its pipes."""
    if killed:
        process.kill()
    process.communicate()


def test_only_what_a_stopped_command_left_is_removed(tmp_path: Path, temporary: Path) -> None:
    killed, left = at_work(tmp_path / "killed.md")
    living, kept = at_work(tmp_path / "living.md")
    end(killed, killed=True)
    mine = [tmp_path / name for name in (".notes.draft", "a.draft", ".garden.12345678.draft", "gwlog-drafts")]
    for file in mine:
        file.write_text("mine")
    assert set(drafts.sweep(tmp_path)) == {left[0], Path(f"{left[0]}-wal")}
    assert drafts.sweep(temporary) == [left[1]]
    assert all(path.exists() for path in (*kept, *mine)) and not any(path.exists() for path in left)
    end(living, killed=False)
    assert not any(path.exists() for path in kept)


def test_a_number_that_another_process_has_by_now_is_no_life(tmp_path: Path) -> None:
    pid, start, boot, machine = drafts.owner().split("-")
    assert drafts.gone(int(pid), int(start), boot, machine) is False
    assert drafts.gone(int(pid), int(start) + 1, boot, machine) is True
    assert drafts.gone(int(pid), int(start), "000000" if boot != "000000" else "111111", machine) is True
    assert drafts.gone(2**22 + 1, 0, boot, machine) is True
    # On another machine, which may share the folder, the same number means nothing.
    assert drafts.gone(2**22 + 1, 0, boot, "000000" if machine != "000000" else "111111") is None


@pytest.mark.parametrize("name", [".l.db.7-7-aaaaaa-bbbbbb.12345678.draft", ".l.db.1234abcd.draft",
                                  ".l.db.1234abcd.draft-wal"])
def test_where_the_process_cannot_be_known_a_day_goes_by_first(tmp_path: Path, name: str) -> None:
    left = tmp_path / name
    left.write_text("from another machine, or an earlier gwlog")
    assert drafts.sweep(tmp_path) == [] and left.exists()
    before = left.stat().st_mtime - 90_000
    os.utime(left, (before, before))
    assert drafts.sweep(tmp_path) == [left] and list(tmp_path.iterdir()) == []


def test_long_names_and_names_in_other_letters_have_drafts_too(tmp_path: Path) -> None:
    for name in ("x" * 255, "ä" * 127, "🪴" * 63):
        with drafts.beside(tmp_path / name) as draft, drafts.beside(draft) as second:
            assert second.exists() and len(os.fsencode(f"{second.name}-journal")) <= 255
    assert list(tmp_path.iterdir()) == []


def test_check_names_what_was_left_and_the_next_command_removes_it(home: Runner, tmp_path: Path,
                                                                   temporary: Path) -> None:
    for look in ("check", "today"):
        process, left = at_work(tmp_path / "logbook.db")
        end(process, killed=True)
        assert left[0].exists() and left[1].exists()
        said = home(look)
        assert not left[0].exists()
        if look == "check":
            assert "3 drafts of commands that were stopped, removed" in said.out and not left[1].exists()


def test_a_note_that_is_erased_is_in_no_leftover(home: Runner, tmp_path: Path, temporary: Path) -> None:
    assert home("observe", "leak", "Fig", "--note", "what somebody wrote down").code == 0
    number = home("entries", "--json").json["entries"][-1]["id"]
    (tmp_path / "backups").mkdir()
    stopped = [at_work(where) for where in (tmp_path / "logbook.db", tmp_path / "backups" / "logbook-x.db")]
    for process, _ in stopped:
        end(process, killed=True)
    assert home("erase-note", str(number), "--yes").code == 0
    assert not [file for file in tmp_path.rglob("*") if file.is_file() and b"what somebody" in file.read_bytes()]
    assert not any(path.exists() for _, left in stopped for path in left)


def test_a_temporary_folder_of_an_earlier_gwlog_goes_after_a_day_and_nobody_elses(tmp_path: Path) -> None:
    ours, foreign = tmp_path / "gwlog-ab_12xyz", tmp_path / "gwlog-notes123"
    for folder, name in ((ours, "logbook.db"), (foreign, "garden.txt")):
        folder.mkdir()
        (folder / name).write_text("all of it")
    assert drafts.sweep(tmp_path) == []
    before = ours.stat().st_mtime - 90_000
    for folder in (ours, foreign):
        os.utime(folder, (before, before))
    assert drafts.sweep(tmp_path) == [ours] and foreign.exists()
