"""The light commands stay light: which libraries a fresh process loads, on a real logbook."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from tests.conftest import Runner

HEAVY = ("sqlmodel", "sqlalchemy", "pydantic", "textual", "rich", "alembic", "apscheduler", "typer", "fpdf",
         "icalendar", "dateutil")

PROBE = """
import sys
from gwlog.cli.main import run
for words in sys.argv[1:]:
    code = run(words.split())
    print("LOADED", code, *sorted({name.partition(".")[0] for name in sys.modules}))
"""
READING = ("where towels", "today", "reminders", "basins", "entries", "where whites --json")


def probed(tmp_path: Path, *commands: str) -> list[set[str]]:
    """What a fresh process has loaded after each of some commands, one after the other."""
    done = subprocess.run([sys.executable, "-c", PROBE, *commands], capture_output=True, text=True, check=True,
                          env={**os.environ, "GWLOG_LOGBOOK": str(tmp_path / "logbook.db")})
    loaded = [line.split()[1:] for line in done.stdout.splitlines() if line.startswith("LOADED")]
    assert all(code in ("0", "3") for code, *_ in loaded), done.stderr
    return [set(names) for _, *names in loaded]


def test_reading_commands_load_no_heavy_library(home: Runner, tmp_path: Path) -> None:
    for words, loaded in zip(READING, probed(tmp_path, *READING), strict=True):
        assert not loaded & set(HEAVY), words


def test_writing_commands_load_the_pen_but_no_screen_and_no_migrations(home: Runner, tmp_path: Path) -> None:
    (loaded,) = probed(tmp_path, "load towels")
    assert "sqlmodel" in loaded
    assert not loaded & {"textual", "alembic", "apscheduler", "typer"}


def test_a_process_answers_on_stdout_talks_on_stderr_and_exits_with_its_code(home: Runner, tmp_path: Path) -> None:
    gwlog = [sys.executable, "-m", "gwlog"]
    env = {**os.environ, "GWLOG_LOGBOOK": str(tmp_path / "logbook.db")}
    sewer = subprocess.run([*gwlog, "where", "whites"], capture_output=True, text=True, env=env)
    assert (sewer.returncode, sewer.stderr) == (3, "")
    wrong = subprocess.run([*gwlog, "load", "towls"], capture_output=True, text=True, env=env)
    assert (wrong.returncode, wrong.stdout) == (2, "")
    assert "Traceback" not in wrong.stderr
    bare = subprocess.run(gwlog, capture_output=True, text=True, env=env)
    assert bare.returncode == 2
    assert "gwlog today" in bare.stderr
