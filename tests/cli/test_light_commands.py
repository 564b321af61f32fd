"""The light commands stay light: which libraries a fresh process loads, on a real logbook."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.conftest import Runner

HEAVY = ("sqlmodel", "sqlalchemy", "pydantic", "textual", "rich", "alembic", "apscheduler", "typer", "typst",
         "fontTools", "icalendar", "dateutil")

PROBE = """
import sys
from gwlog.cli.main import run
for words in sys.argv[1:]:
    code = run(words.split())
    print("LOADED", code, *sorted({name.partition(".")[0] for name in sys.modules}))
"""
PROBE_BUILT = """
import sys
from gwlog.cli.main import run
run(sys.argv[1].split())
modules = [module for name, module in sys.modules.items() if name.startswith("gwlog")]
own = {one for module in modules for one in vars(module).values()
       if isinstance(one, type) and one.__module__ == module.__name__}
print("MODULES", len(modules), len(sys.modules))
print("COMPILED", *sorted(f"{one.__module__}.{one.__name__}" for one in own
                          if "__dataclass_fields__" in vars(one) and "__value_fields__" not in vars(one)
                          or "__orig_bases__" in vars(one) and "_fields" in vars(one)))
print("LATER", sum("__value_fields__" in vars(one) for one in own))
"""
WITH_A_DICT = {"gwlog.household.Household", "gwlog.water.growth.Growth"}
"""Keep what they have worked out in their `__dict__`, which value classes lack."""

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


@pytest.mark.parametrize(("words", "most"), [
    ("where towels", 110), ("today", 132), ("basins", 115), ("plan", 116), ("load towels", 118),
])
def test_light_commands_compile_no_classes_and_load_few_modules(
        home: Runner, tmp_path: Path, words: str, most: int) -> None:
    """What is counted here is what a start costs; classes come from gwlog.values, imports stand where they are used."""
    done = subprocess.run([sys.executable, "-c", PROBE_BUILT, words], capture_output=True, text=True, check=True,
                          env={**os.environ, "GWLOG_LOGBOOK": str(tmp_path / "logbook.db")})
    said = {line.split()[0]: line.split()[1:] for line in done.stdout.splitlines() if line[:5].isupper()}
    assert set(said["COMPILED"]) <= WITH_A_DICT
    assert int(said["LATER"][0]) > 50   # the probe knows a value class when it sees one
    assert int(said["MODULES"][0]) <= most


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
