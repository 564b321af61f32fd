"""What of Windows can be tried without it: no POSIX calls and signals, no locks, a console coded cp1252, its paths.

A real Windows is still another thing: its file locks and its console are not imitated here.
"""

from __future__ import annotations

import json
import os
import signal
import socket
import subprocess
import sys
import threading
from pathlib import Path, PureWindowsPath

import pytest

from gwlog.notify import service_files
from gwlog.notify.watcher import Watcher
from tests.conftest import SITE
from tests.windows.commands import COMMANDS

ROOT = Path(__file__).resolve().parents[2]
WITHOUT = Path(__file__).with_name("site")
PURE = ("tests/reference", "tests/importers", "tests/setup", "tests/water/test_basin_day.py",
        "tests/water/test_ledger.py", "tests/decisions/test_routing.py", "tests/decisions/test_reminders.py",
        "tests/test_units.py", "tests/test_clock.py", "tests/test_text.py", "tests/test_state.py")
NOT_HERE = "import_nothing_heavy or any_rule_that_is_planned or any_setup_shown"
"""One counts what is imported, the others take long."""


def surroundings(folder: Path) -> dict[str, str]:
    """The environment of a process that has no more than Windows gives it; what is not said to be UTF-8 is ASCII."""
    kept = {key: value for key, value in os.environ.items() if not key.startswith(("GWLOG", "PYTEST", "LC_", "LANG"))}
    return {**kept, "PYTHONPATH": os.pathsep.join([str(WITHOUT), str(ROOT)]), "PYTHONIOENCODING": "cp1252",
            "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0", "LC_ALL": "C", "LOCALAPPDATA": str(folder / "appdata"),
            "TMPDIR": str(folder), "GWLOG_TRACEBACK": "1"}


def test_every_kind_of_command_runs_without_posix_and_on_a_cp1252_console(tmp_path: Path) -> None:
    (tmp_path / "appdata").mkdir()
    (tmp_path / "site.toml").write_text(SITE, encoding="utf-8")
    done = subprocess.run([sys.executable, "-m", "tests.windows.commands", str(tmp_path)], env=surroundings(tmp_path),
                          cwd=ROOT, capture_output=True, check=False)
    assert done.returncode == 0, done.stderr.decode("cp1252")[-2000:]
    answers = json.loads((tmp_path / "answers.json").read_text(encoding="utf-8"))
    assert {words: code for words, code in answers.items() if code not in (0, 3)} == {}
    assert len(answers) == len(COMMANDS) + 1
    shown = done.stdout.decode("cp1252")
    assert "→" not in shown and "->" in shown and "GARDEN" in shown


@pytest.mark.long
def test_the_pure_part_of_the_suite_passes_without_posix(tmp_path: Path) -> None:
    done = subprocess.run([sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", "-p", "no:xdist", "-x",
                           f"--basetemp={tmp_path / 'base'}", "-k", f"not ({NOT_HERE})", *PURE],
                          env=surroundings(tmp_path), cwd=ROOT, capture_output=True, check=False)
    assert done.returncode == 0, done.stdout.decode("utf-8", "replace")[-3000:]


def test_the_program_without_a_window_stands_beside_the_other() -> None:
    found = PureWindowsPath(service_files._without_window(r"C:\Program Files\Python\python.exe"))
    assert found == PureWindowsPath(r"C:\Program Files\Python\pythonw.exe")
    assert service_files._without_window("/usr/bin/python3.11") == "/usr/bin/python3.11"


def test_the_wait_of_the_watcher_ends_where_no_signal_wakes_it(tmp_path: Path,
                                                               monkeypatch: pytest.MonkeyPatch) -> None:
    # As where a signal's handler is called only between two steps of the interpreter: nobody rings the bell.
    monkeypatch.setattr("gwlog.notify.watcher.WAIT_S", 0.01)
    watcher = Watcher(tmp_path / "none.db", lambda _: None)
    told, bell = socket.socketpair()
    with told, bell:
        waiting = threading.Thread(target=watcher._wait, args=(told,))
        waiting.start()
        watcher._signal_came(signal.SIGINT, None)
        waiting.join(30)
        assert not waiting.is_alive()
