"""Ctrl-C at any moment of the start: one sentence, exit code 130, no traceback."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.conftest import Runner

# Ctrl-C comes when the given module is about to be imported, by the import system itself
STOPPED_AT = """
import os, runpy, signal, sys
at = sys.argv.pop(1)
class Stop:
    def find_spec(self, name, path=None, target=None):
        if name == at:
            sys.meta_path.remove(self)
            signal.raise_signal(signal.SIGINT)
sys.meta_path.insert(0, Stop())
runpy.run_module("gwlog", run_name="__main__", alter_sys=True)
"""
STARTED = """
import sys
from gwlog.cli.main import run
before = set(sys.modules)
code = run(sys.argv[1:])
print("IMPORTED", *[name for name in sys.modules if name.startswith("gwlog")])
"""


def started(*words: str, logbook: Path, code: str = STOPPED_AT) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, "-c", code, *words], capture_output=True, text=True, timeout=60,
                          check=False, env={**os.environ, "GWLOG_LOGBOOK": str(logbook)})


@pytest.mark.parametrize("module", ["gwlog.cli", "click", "gwlog.cli.today", "gwlog.app.entries",
                                    "gwlog.decisions.advice"])
def test_ctrl_c_while_something_is_imported(module: str, home: Runner, tmp_path: Path) -> None:
    done = started(module, "today", logbook=tmp_path / "logbook.db")
    assert (done.returncode, done.stdout) == (130, "")
    assert done.stderr.strip() in ("Stopped; nothing was written.", "Stopped; nothing more was written.")


def test_what_is_tried_above_is_imported(home: Runner, tmp_path: Path) -> None:
    names = started("today", logbook=tmp_path / "logbook.db", code=STARTED).stdout.split("IMPORTED")[1].split()
    assert {"gwlog.cli.today", "gwlog.app.entries", "gwlog.decisions.advice"} <= set(names)


def test_a_process_that_ignores_ctrl_c_goes_on_ignoring_it(home: Runner, tmp_path: Path) -> None:
    code = "import signal; signal.signal(signal.SIGINT, signal.SIG_IGN)\n" + STOPPED_AT
    done = started("gwlog.cli.main", "today", logbook=tmp_path / "logbook.db", code=code)
    assert done.returncode == 0 and "Pomegranate" in done.stdout
