"""Seal numbers noted at each commit: what is written where, what is kept of it, and what reading finds by it."""

from __future__ import annotations

import os
import shutil
import sqlite3
import stat
import subprocess
import sys
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gwlog.journal import noted_lines, reader
from gwlog.journal.noted_number import ACCEPTED, Noted
from tests.conftest import NOW, Answer, Runner

HOUR = timedelta(hours=1)
HASH = "ab" * 32


@pytest.fixture
def folder(home: Runner, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Where the numbers go, away from the logbook, which was made before."""
    made = tmp_path / "settings" / "noted"
    monkeypatch.setenv("GWLOG_NOTED", str(made))
    return made


@pytest.fixture
def logbook(home: Runner, tmp_path: Path) -> Path:
    return tmp_path / "logbook.db"


def the_file(folder: Path) -> Path:
    found = list(folder.glob("*-*.txt"))
    assert len(found) == 1
    return found[0]


def logged(gwlog: Runner, frozen: Callable[[datetime], None], hours: int) -> Answer:
    frozen(NOW + hours * HOUR)
    return gwlog("load", "towels", "--to", "sewer")


def cut(logbook: Path, last: int) -> None:
    """Take the end off, as somebody does who knows where the file is and drops its guards."""
    with closing(sqlite3.connect(logbook)) as connection:
        for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
            connection.execute(f'DROP TRIGGER "{name}"')
        for (kind,) in connection.execute("SELECT DISTINCT entry_kind FROM seal WHERE seq > ?", (last,)).fetchall():
            connection.execute(f"DELETE FROM {kind} WHERE id > ?", (last,))
        connection.execute("DELETE FROM seal WHERE seq > ?", (last,))
        connection.commit()


def test_each_commit_leaves_one_line_that_only_its_owner_reads(
        folder: Path, home: Runner, logbook: Path, frozen: Callable[[datetime], None]) -> None:
    for hours in (1, 2):
        assert logged(home, frozen, hours).code == 0
    number, digits, _ = reader.last_seal(logbook)
    file = the_file(folder)
    lines = noted_lines.read(file)
    assert len(lines) == 2 and lines[-1] == Noted("2026-07-14T20:00:00Z", number, digits)
    assert file.read_text().splitlines()[-1] == f"2026-07-14T20:00:00Z {number}:{digits}"
    assert str(logbook) in file.read_text().splitlines()[0] and logbook.parent != file.parent
    if os.name == "posix":
        assert stat.S_IMODE(file.stat().st_mode) == 0o600 and stat.S_IMODE(folder.stat().st_mode) == 0o700
    home("withdraw", str(number), "--note", "a slip")
    home("erase-note", str(number + 1), "--yes")   # no entry, no number
    assert [line.number for line in noted_lines.read(file)][-1] == number + 1 and len(noted_lines.read(file)) == 3


def test_nothing_is_noted_where_nobody_wants_it(
        home: Runner, tmp_path: Path, frozen: Callable[[datetime], None]) -> None:
    assert logged(home, frozen, 1).code == 0 and not (tmp_path / "settings").exists()
    assert "GWLOG_NOTED is empty" in home("noted").out


def test_a_cut_off_end_is_told_at_once_with_the_backup_that_holds_it(
        folder: Path, home: Runner, logbook: Path, frozen: Callable[[datetime], None]) -> None:
    logged(home, frozen, 1)
    logged(home, frozen, 2)
    last = reader.last_seal(logbook)[0]
    home("backup")
    saved = next((logbook.parent / "backups").glob("*.db"))
    cut(logbook, last - 1)
    for words in (("where", "towels"), ("today",), ("basins",)):
        said = home(*words).err
        assert f"1 entry at the end is gone: this logbook ends at entry {last - 1}" in said, words
        assert f"gwlog restore {saved}" in said and "gwlog noted --as-it-is" in said
    assert "1 entry at the end is gone" in home("entries", "--odd").out
    verified = home("verify")
    assert verified.code == 4 and "noted here: 1 entry at the end is gone" in " ".join(verified.out.split())
    checked = home("check", "--json")
    assert checked.code == 4
    part = next(part for part in checked.json["parts"] if part["name"] == "noted numbers")
    assert part["state"] == "fault" and str(saved) in part["hint"]
    assert home("noted", "--json").json["as_noted"] is False
    # the way out that was told
    assert home("restore", str(saved)).code == 0
    assert "gone" not in home("today").err and home("noted").code == 0


def test_an_older_copy_put_back_and_written_on_is_told_until_somebody_says_it_was_meant(
        folder: Path, home: Runner, logbook: Path, frozen: Callable[[datetime], None], tmp_path: Path) -> None:
    shutil.copyfile(logbook, tmp_path / "older.db")
    logged(home, frozen, 1)
    logged(home, frozen, 2)
    shutil.copyfile(tmp_path / "older.db", logbook)
    assert "3 entries at the end are gone" in home("today").err   # the valve was turned as well
    assert "look for another copy" in home("today").err
    said = logged(home, frozen, 3)
    assert said.code == 0 and "1 entry at the end is gone" in home("today").err   # the new ones hide nothing
    logged(home, frozen, 4)
    assert "is not the one that was noted on" in home("today").err
    assert home("noted", "--as-it-is").code == 2
    assert "is not the one" in home("today").err
    assert home("noted", "--as-it-is", "--yes").code == 0
    assert home("today").err == "" and home("verify").out.startswith("The seal holds.")
    assert [line.mark for line in noted_lines.read(the_file(folder))][-1] == ACCEPTED


def test_a_restore_says_by_itself_that_it_was_meant(
        folder: Path, home: Runner, logbook: Path, frozen: Callable[[datetime], None]) -> None:
    home("backup")
    saved = next((logbook.parent / "backups").glob("*.db"))
    logged(home, frozen, 1)
    assert home("restore", str(saved)).code == 0
    assert home("today").err == "" and home("check").code == 0 and home("verify").code == 0
    assert home("noted").out.endswith("The logbook holds everything that was noted.\n")


def test_a_deleted_write_ahead_file_is_told(folder: Path, home: Runner, logbook: Path) -> None:
    """A real process that is killed right after its commit leaves the entry in the -wal file alone."""
    code = f"""
import os
from datetime import UTC, datetime
from pathlib import Path
from gwlog.journal import writer
from gwlog.journal.facts import ValveSwitch
hold = __import__("sqlite3").connect({str(logbook)!r})
hold.execute("SELECT count(*) FROM seal").fetchone()
now = datetime(2026, 7, 14, 17, 0, tzinfo=UTC)
writer.append(Path({str(logbook)!r}), [ValveSwitch(happened_at=now, zone="UTC", position="sewer")], now=now)
os._exit(0)
"""
    subprocess.run([sys.executable, "-c", code], check=True)
    wal = Path(f"{logbook}-wal")
    assert wal.stat().st_size
    assert home("today").err == ""
    wal.unlink()
    Path(f"{logbook}-shm").unlink()
    assert "the file beside it that ends in -wal was deleted" in home("today").err


def test_a_logbook_ahead_of_what_was_noted_is_fine(
        folder: Path, home: Runner, logbook: Path, frozen: Callable[[datetime], None],
        monkeypatch: pytest.MonkeyPatch) -> None:
    logged(home, frozen, 1)
    monkeypatch.setenv("GWLOG_NOTED", "")   # another machine
    logged(home, frozen, 2)
    monkeypatch.setenv("GWLOG_NOTED", str(folder))
    assert home("today").err == "" and home("check").code == 0


def test_a_copy_elsewhere_speaks_for_itself_and_a_moved_logbook_is_known_again(
        folder: Path, home: Runner, logbook: Path, frozen: Callable[[datetime], None], tmp_path: Path) -> None:
    (tmp_path / "copies").mkdir()
    copy = tmp_path / "copies" / "copy.db"
    shutil.copyfile(logbook, copy)
    logged(home, frozen, 1)
    assert home("--logbook", str(copy), "today").err == ""   # an older copy, but not in the place of the logbook
    assert home("--logbook", str(copy), "valve", "sewer").code == 0
    assert home("today").err == "" and len(list(folder.glob("*-*.txt"))) == 2   # what the copy holds is its own
    logbook.rename(tmp_path / "moved.db")
    moved = ("--logbook", str(tmp_path / "moved.db"))
    assert home(*moved, "today").err == ""
    cut(tmp_path / "moved.db", reader.last_seal(tmp_path / "moved.db")[0] - 1)
    assert "1 entry at the end is gone" in home(*moved, "today").err


def test_a_clock_gone_back_is_told_by_whoever_looks(
        folder: Path, home: Runner, frozen: Callable[[datetime], None]) -> None:
    logged(home, frozen, 1)
    frozen(NOW - timedelta(days=60))
    for words in (("where", "towels"), ("basins",)):
        assert "This machine's clock says Fri, May 15, 2026" in home(*words).err, words
    said = home("load", "towels", "--to", "sewer").err
    assert said.count("This machine's clock says") == 1


def test_what_cannot_be_noted_is_kept_all_the_same_and_told(
        folder: Path, home: Runner, logbook: Path, frozen: Callable[[datetime], None]) -> None:
    folder.parent.mkdir()
    folder.write_text("a file in the place of the folder")
    before = reader.last_seal(logbook)[0]
    said = logged(home, frozen, 1)
    assert said.code == 0 and "could not be noted" in said.err and "What was written is kept." in said.err
    assert reader.last_seal(logbook)[0] > before
    assert home("today").code in (0, 3)


@pytest.mark.parametrize("call", ["write", "fsync"])
def test_a_full_disk_leaves_the_file_as_it_was(
        folder: Path, home: Runner, frozen: Callable[[datetime], None], monkeypatch: pytest.MonkeyPatch, call: str
) -> None:
    logged(home, frozen, 1)
    before = the_file(folder).read_bytes()
    real = getattr(os, call)

    def refuse(handle: int, *more: object) -> int:
        if os.path.realpath(f"/proc/self/fd/{handle}") == str(the_file(folder)):
            raise OSError(28, "No space left on device")
        return int(real(handle, *more) or 0)

    monkeypatch.setattr(os, call, refuse)
    said = logged(home, frozen, 2)
    assert said.code == 0 and "no space left on device" in said.err
    monkeypatch.undo()
    assert the_file(folder).read_bytes() == before


def test_a_second_place_that_was_away_is_caught_up(
        folder: Path, home: Runner, logbook: Path, frozen: Callable[[datetime], None], tmp_path: Path) -> None:
    disk = tmp_path / "disk"
    assert home("noted", "--second-place", str(disk)).code == 2
    assert home("noted", "--second-place", str(tmp_path)).code == 2   # the logbook's own folder
    disk.mkdir()
    logged(home, frozen, 1)
    assert home("noted", "--second-place", str(disk)).code == 0
    logged(home, frozen, 2)
    there = next(disk.iterdir())
    assert noted_lines.read(there) == noted_lines.read(the_file(folder)) and len(noted_lines.read(there)) == 2
    disk.rename(tmp_path / "away")
    assert logged(home, frozen, 3).err == ""
    part = next(part for part in home("check", "--json").json["parts"] if part["name"] == "second place")
    assert part["state"] == "mind" and "is not there at the moment" in part["detail"]
    (tmp_path / "away").rename(disk)
    logged(home, frozen, 4)
    assert noted_lines.read(there) == noted_lines.read(the_file(folder)) and len(noted_lines.read(there)) == 4
    # the file beside the settings was lost together with the logbook's end: the second place still knows
    the_file(folder).unlink()
    cut(logbook, reader.last_seal(logbook)[0] - 1)
    assert home("verify").code == 4 and home("noted").code == 4
    assert home("noted", "--second-place", "none").code == 0 and home("noted", "--json").json["second_place"] is None


def test_the_file_stays_small_and_keeps_what_matters() -> None:
    start = datetime(2020, 1, 1, tzinfo=UTC)
    lines = [Noted(f"{start + day * timedelta(days=1):%Y-%m-%dT%H:%M:%SZ}", day + 1, HASH) for day in range(3000)]
    lines[700] = lines[700]._replace(mark=ACCEPTED)
    lines[1000] = lines[1000]._replace(number=9000)   # what the logbook must hold, though others were noted since
    kept = noted_lines.thinned(lines)
    assert len(kept) < 310 and kept[0] == lines[0] and kept[-200:] == lines[-200:]
    assert {line.at[:7] for line in kept} == {line.at[:7] for line in lines}
    assert lines[700] in kept and noted_lines.expected(kept) == noted_lines.expected(lines) == lines[1000]
    assert noted_lines.thinned(kept) == kept


def test_a_long_file_is_thinned_out_when_it_is_written(folder: Path, blank: Path, tmp_path: Path) -> None:
    sealed = noted_lines.Sealed("an-id", 1, HASH)
    file = noted_lines.file_of(tmp_path / "x.db", "an-id")
    assert file is not None
    for day in range(3):
        assert noted_lines.keep(tmp_path / "x.db", sealed._replace(number=day), NOW) is None
    with file.open("a") as more:
        more.writelines(Noted("2026-07-15T00:00:00Z", 3 + number, HASH).line for number in range(600))
    assert noted_lines.keep(tmp_path / "x.db", sealed._replace(number=700), NOW + timedelta(days=2)) is None
    assert len(noted_lines.read(file)) < 210 and file.stat().st_size < noted_lines.LARGEST
    assert file.read_text().startswith(noted_lines.HEAD)


@settings(max_examples=60)
@given(st.text(max_size=300) | st.binary(max_size=300))
def test_a_damaged_file_is_read_as_far_as_it_goes(damaged: str | bytes) -> None:
    line = Noted("2026-07-14T18:00:00Z", 7, HASH).line
    text = damaged if isinstance(damaged, str) else damaged.decode("ascii", "replace")
    found = noted_lines._lines(f"{text}\n{line}{line[:50]}")
    assert found[-1] == Noted("2026-07-14T18:00:00Z", 7, HASH) and all(one.line for one in found)
