"""The command in a process of its own: what it says, how soon it answers beside `gwlog where`, and how it ends."""

from __future__ import annotations

import os
import re
import shutil
import signal
import stat
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from statistics import median
from time import perf_counter

from gwlog.journal import store
from gwlog.phone.keys import Keys
from tests.conftest import NOW
from tests.phone.conftest import Web

ROOT = Path(__file__).parents[2]


def seconds(act: Callable[[], object]) -> float:
    """How long it takes [s]."""
    began = perf_counter()
    act()
    return perf_counter() - began


def test_it_says_where_it_serves_answers_soon_and_ends_when_it_is_told(two_people: Path, tmp_path: Path) -> None:
    """A page and the command are timed in turns on the same machine; a page may take three times as long."""
    path = tmp_path / "logbook.db"
    shutil.copyfile(two_people, path)
    there = {**os.environ, "XDG_CONFIG_HOME": str(tmp_path / "config"), "HOME": str(tmp_path)}
    at_now = [sys.executable, "-m", "tests.phone.serve_at", NOW.isoformat(), "--logbook", str(path)]
    with subprocess.Popen([*at_now, "phone", "serve", "--address", "127.0.0.1", "--port", "0"], cwd=ROOT, text=True,
                          env=there, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as process:
        try:
            assert process.stdout is not None and process.stderr is not None
            found = re.fullmatch(r"The phone's pages are at (http://127\.0\.0\.1:(\d+)/)\n", process.stdout.readline())
            assert found is not None
            keys = Keys(str(store.logbook_id(path)))
            keys.folder = tmp_path / "config" / "gwlog" / "phones" / keys.folder.name
            noted = keys.folder / "address.json"
            assert found[1] in noted.read_text() and stat.S_IMODE(noted.stat().st_mode) == 0o600
            phone = Web(int(found[2]))
            assert phone.pair(keys.offer("Ines", NOW).phrase).status == 200
            times = [(seconds(lambda: phone.get("/")), seconds(lambda: subprocess.run(
                [*at_now, "where", "towels"], cwd=ROOT, env=there, check=True, capture_output=True)))
                for _ in range(3)]
            assert median(page for page, _ in times) < 3 * median(command for _, command in times)
            process.send_signal(signal.SIGTERM)
            said = process.stderr.read()
            assert process.wait(timeout=20) == 0
        finally:
            process.kill()
    assert "Ctrl-C" in said and "whoever is on the same Wi-Fi" in said and said.endswith("Stopped serving.\n")
    assert "Ines" not in said and "GET" not in said and "127.0.0.1" not in said
