"""The light commands stay light: which libraries a fresh process loads, on a real logbook."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.conftest import Runner

HEAVY = ("sqlmodel", "sqlalchemy", "pydantic", "textual", "rich", "alembic", "apscheduler", "typer", "fpdf",
         "icalendar", "dateutil")

PROBE = """
import sys
from gwlog.cli.main import run
code = run(sys.argv[1:])
print("LOADED", *sorted({name.partition(".")[0] for name in sys.modules}))
"""


@pytest.mark.parametrize("words", [("where", "towels"), ("today",), ("reminders",), ("basins",), ("log",),
                                   ("where", "whites", "--json")])
def test_reading_commands_load_no_heavy_library(home: Runner, tmp_path: Path, words: tuple[str, ...]) -> None:
    done = subprocess.run([sys.executable, "-c", PROBE, *words], capture_output=True, text=True, check=True,
                          env={**os.environ, "GWLOG_LOGBOOK": str(tmp_path / "logbook.db")})
    loaded = done.stdout.rsplit("LOADED", 1)[1].split()
    assert not set(loaded) & set(HEAVY)


def test_writing_commands_load_the_pen_but_no_screen_and_no_migrations(home: Runner, tmp_path: Path) -> None:
    done = subprocess.run([sys.executable, "-c", PROBE, "load", "towels"], capture_output=True, text=True, check=True,
                          env={**os.environ, "GWLOG_LOGBOOK": str(tmp_path / "logbook.db")})
    loaded = set(done.stdout.rsplit("LOADED", 1)[1].split())
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
