"""What is kept is said to be kept, whatever fails after it; and every console can show every word."""

from __future__ import annotations

import contextlib
import io
import json
import os
import subprocess
import sys
from datetime import timedelta
from pathlib import Path
from typing import Any, NamedTuple, TextIO

import pytest

from gwlog.cli.main import run
from gwlog.journal import reader, writer
from tests.conftest import NOW, Runner

AT_THE_MOMENT = """
import sys
from datetime import UTC, datetime
from gwlog import clock
clock.now = lambda: datetime(2026, 7, 14, 18, tzinfo=UTC)
from gwlog.__main__ import main
main()
"""
FULL = Path("/dev/full")
needs_full = pytest.mark.skipif(not FULL.exists(), reason="a device that is always full")


@pytest.fixture
def logbook(home: Runner, tmp_path: Path) -> Path:
    return tmp_path / "logbook.db"


class Said(NamedTuple):
    """An exit code, and the bytes that went out."""

    code: int
    out: bytes
    err: bytes


def command(*words: str, out: TextIO | None = None, err: TextIO | None = None, coding: str = "utf-8") -> Said:
    """Run a command line with such a console."""
    made = [io.TextIOWrapper(io.BytesIO(), encoding=coding) for _ in range(2)]
    with contextlib.redirect_stdout(out or made[0]), contextlib.redirect_stderr(err or made[1]):
        code = run(words)
    return Said(code, *(one.buffer.getvalue() for one in made))  # type: ignore[attr-defined]


def last(logbook: Path) -> int:
    return reader.last_seal(logbook)[0]


@needs_full
class TestAFullConsole:
    """Standard output that takes nothing."""

    def test_an_entry_that_is_kept_is_said_to_be(self, logbook: Path) -> None:
        before = last(logbook)
        with FULL.open("wb") as full:
            done = subprocess.run([sys.executable, "-c", AT_THE_MOMENT, "valve", "sewer"], stdout=full,
                                  stderr=subprocess.PIPE, check=False, timeout=120,
                                  env={**os.environ, "PYTHONPATH": str(Path(writer.__file__).parents[2])})
        assert last(logbook) == before + 1
        assert done.returncode == 6
        assert done.stderr.decode() == f"Entry {before + 1} is kept; it could not be shown: " \
                                       "No space left on device.\n"

    def test_what_only_reads_says_that_it_could_not_be_shown(self, logbook: Path) -> None:
        for words in (["today"], ["today", "--help"]):
            with FULL.open("w") as full:
                done = command(*words, out=full)
            assert done.code == 1
            assert b"could not be shown: No space left" in done.err and b"kept" not in done.err

    def test_where_nothing_can_be_told_the_next_command_tells_it_once(self, logbook: Path) -> None:
        before = last(logbook)
        with FULL.open("w") as full, FULL.open("w") as too:
            done = command("load", "towels", "--to", "sewer", out=full, err=too)
        assert (done.code, last(logbook)) == (6, before + 2)
        untold = logbook.with_name("logbook.db.untold")
        assert untold.stat().st_mode & 0o777 == 0o600
        said = command("today").err.decode()
        assert f"An earlier command could not say this: Entries {before + 1} to {before + 2} are kept" in said
        assert not untold.exists() and b"earlier" not in command("today").err

    def test_talk_that_cannot_be_said_stops_nothing(self, logbook: Path) -> None:
        with FULL.open("w") as full:
            done = command("today", "--at", "yesterday", err=full)
        assert done.code == 0 and b"Pomegranate" in done.out


def test_a_reader_that_went_away_hears_on_stderr_that_it_is_kept(logbook: Path) -> None:
    before = last(logbook)
    end, start = os.pipe()
    os.close(end)
    with os.fdopen(start, "w") as pipe:
        done = command("valve", "sewer", out=pipe)
    assert (done.code, last(logbook)) == (6, before + 1)
    assert f"Entry {before + 1} is kept" in done.err.decode()


def test_a_refusal_after_the_commit_does_not_say_that_nothing_was_logged(
        home: Runner, monkeypatch: pytest.MonkeyPatch) -> None:
    from gwlog.errors import BadInput
    from gwlog.views import consequences

    def refuse(*_: object) -> None:
        raise BadInput("No.", hint="Nothing was logged.")

    with monkeypatch.context() as patch:
        patch.setattr(consequences, "late", refuse)
        said = home("valve", "sewer")
    assert said.code == 6 and "is kept; it could not be shown: No." in said.err and "Nothing" not in said.err
    with monkeypatch.context() as patch:
        patch.setattr(consequences, "late", lambda *_: 1 / 0)
        said = home("valve", "garden", "--at", "10:59")
    assert said.code == 6 and "ZeroDivisionError" in said.err and "Nothing" not in said.err


def test_ctrl_c_while_it_is_written_is_answered_when_it_is(
        home: Runner, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import signal

    write = writer._write
    before = last(tmp_path / "logbook.db")

    def stopped(*words: Any) -> Any:
        signal.raise_signal(signal.SIGINT)
        return write(*words)

    monkeypatch.setattr(writer, "_write", stopped)
    said = home("valve", "sewer")
    assert (said.code, said.err.strip()) == (130, f"Stopped; Entry {before + 1} is kept.")
    assert last(tmp_path / "logbook.db") == before + 1


PAGES = ("today", "where towels", "basins", "plan", "entries", "--help", "load --help", "reminders", "salts")


def test_every_console_can_show_every_page(logbook: Path) -> None:
    pages = {}
    for coding in ("utf-8", "latin-1", "cp1252", "ascii"):
        said = [command(*words.split(), coding=coding) for words in PAGES]
        assert {one.code for one in said} <= {0, 3} and all(one.err == b"" for one in said)
        pages[coding] = b"".join(one.out for one in said).decode(coding)
    assert "→" in pages["utf-8"] and "->" in pages["ascii"] and "“" in pages["cp1252"]
    assert {words.count("?") for words in pages.values()} == {pages["utf-8"].count("?")}, "each sign has a plain form"


def test_json_and_exports_lose_nothing_on_a_poor_console(logbook: Path) -> None:
    command("load", "towels", "--note", "Füße → “nass”")
    for coding in ("ascii", "cp1252"):
        found = json.loads(command("entries", "--json", coding=coding).out.decode(coding))
        assert found["entries"][-1]["note"] == "Füße → “nass”"
        assert "Füße → “nass”".encode() in command("export", "-", coding=coding).out
        assert command("begin", "--example", coding=coding).out.decode().startswith("#")


def test_a_clock_that_is_behind_is_told_before_it_is_logged(home: Runner, frozen: Any) -> None:
    frozen(NOW + timedelta(days=400))
    assert "more than a year after the last entry" in home("valve", "sewer").err
    frozen(NOW)
    said = home("valve", "garden")
    assert said.code == 0
    assert "before the last entry was written" in said.err and "Logged" in said.out
    assert "1 entry to check" in home("today").out
    odd = home("entries", "--odd").out
    assert "is dated Wed, Aug 18, 2027" in odd and "gwlog withdraw" in odd
    assert "check: Entry" in home("verify").out
    assert "1 entry to check" in home("today", "--at", "yesterday").out, "by the clock, not by the moment asked for"
