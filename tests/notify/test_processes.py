"""Real watchers in processes of their own: seen within seconds, ended within two, killed and started again."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from gwlog.cli.main import run as main
from gwlog.errors import BUSY_OR_NEWER
from gwlog.journal import reader
from tests.conftest import SITE

GWLOG = [sys.executable, "-m", "gwlog"]
PROGRAM = """#!{python}
import os, sys, time
line = sys.stdin.read()
with open({out!r}, "ab", buffering=0) as out:
    out.write(line.encode())
time.sleep(0.5)
print("garbage \\x1b[31m" * 1000)
"""


class Yard:
    """A logbook whose household lives now, settings that tell everything to a file, and watchers in processes."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.logbook, self.out = folder, folder / "logbook.db", folder / "told.txt"
        config = folder / "config" / "gwlog"
        config.mkdir(parents=True)
        program = folder / "tell me"
        program.write_text(PROGRAM.format(python=sys.executable, out=str(self.out)))
        program.chmod(0o755)
        (config / "settings.toml").write_text('[[tell]]\nperson = "Ines"\nchannels = ["file"]\n')
        (config / "channels.toml").write_text(f'[file]\ncommand = ["{program}"]\n')
        (config / "channels.toml").chmod(0o600)
        self.env = {**os.environ, "GWLOG_LOGBOOK": str(self.logbook), "XDG_CONFIG_HOME": str(folder / "config"),
                    "HOME": str(folder)}
        since = f"{datetime.now(ZoneInfo('America/Los_Angeles')) - timedelta(days=1):%Y-%m-%d}"
        (folder / "site.toml").write_text(SITE.replace("since = 2026-05-01", f"since = {since}"))
        assert main(["--logbook", str(self.logbook), "init", str(folder / "site.toml")]) == 0
        self.watchers: list[subprocess.Popen[str]] = []

    def watch(self) -> subprocess.Popen[str]:
        watcher = subprocess.Popen([*GWLOG, "watch"], env=self.env, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
                                   text=True)
        self.watchers.append(watcher)
        assert watcher.stderr is not None
        assert "Watching" in watcher.stderr.readline()
        return watcher

    def log(self, *words: str) -> None:
        subprocess.run([*GWLOG, *words], env=self.env, check=True, capture_output=True)

    def told(self) -> list[str]:
        return self.out.read_text().splitlines() if self.out.exists() else []


def until(holds: Callable[[], object], seconds: float) -> float:
    """Wait until something holds; how long it took. Fails when it takes longer."""
    begun = time.monotonic()
    while not holds():
        assert time.monotonic() - begun < seconds, f"not within {seconds} s"
        time.sleep(0.05)
    return time.monotonic() - begun


@pytest.fixture
def yard(tmp_path: Path) -> Iterator[Yard]:
    made = Yard(tmp_path)
    yield made
    for watcher in made.watchers:
        if watcher.poll() is None:
            watcher.kill()
        watcher.communicate()


def test_an_entry_of_another_process_is_told_within_five_seconds_and_sigterm_ends_within_two(yard: Yard) -> None:
    watcher = yard.watch()
    yard.log("observe", "ponding", "Fig")
    until(lambda: any("ponding at Fig" in line for line in yard.told()), 5)
    yard.log("observe", "leak", "Fig")
    until(lambda: any("leak at Fig" in line for line in yard.told()), 5)
    watcher.send_signal(signal.SIGTERM)
    until(lambda: watcher.poll() is not None, 2)
    assert watcher.returncode == 0
    out, err = watcher.communicate()
    assert out == "" and "Traceback" not in err
    assert len([line for line in yard.told() if "ponding at Fig" in line]) == 1


def test_three_watchers_killed_and_started_again_tell_once(yard: Yard) -> None:
    first = [yard.watch() for _ in range(3)]
    yard.log("observe", "ponding", "Fig")
    until(lambda: any("ponding" in line for line in yard.told()), 10)
    for watcher in first:
        watcher.kill()
    here = ("--logbook", str(yard.logbook))
    for words in (("observe", "odour", "Fig"), ("observe", "leak", "Fig"), ("observe", "runoff", "Fig")):
        assert main([*here, *words]) == 0
    seen = next(fact for fact in reversed(reader.read(yard.logbook)) if fact.KIND == "observation")
    assert main([*here, "resolve", str(seen.id)]) == 0   # settled while nobody watched
    yard.watch()
    until(lambda: any("leak" in line for line in yard.told()), 10)
    time.sleep(2)
    told = [line for line in yard.told() if line.startswith(("Look again", "Overdue"))]
    assert len(told) == len(set(told))
    assert not any("runoff" in line or "odour" in line for line in told)


def test_a_command_that_hangs_does_not_keep_the_watcher_from_ending(yard: Yard) -> None:
    (yard.folder / "tell me").write_text(f"#!/bin/sh\necho on >> '{yard.out}'\nsleep 60\n")
    watcher = yard.watch()
    yard.log("observe", "ponding", "Fig")
    until(yard.told, 5)
    watcher.send_signal(signal.SIGTERM)
    until(lambda: watcher.poll() is not None, 2)
    assert watcher.returncode == 0


def test_a_logbook_that_is_moved_away_is_told_and_watched_again_when_it_is_back(yard: Yard) -> None:
    watcher = yard.watch()
    away = yard.folder / "away.db"
    yard.logbook.rename(away)
    assert watcher.stderr is not None
    lines = [watcher.stderr.readline()]
    while "There is no logbook at" not in lines[-1]:   # at first it may be found gone in the middle of a look
        assert "cannot be opened" in lines[-1] or lines[-1].startswith("→")
        lines.append(watcher.stderr.readline())
    away.rename(yard.logbook)
    yard.log("observe", "ponding", "Fig")
    until(lambda: any("ponding at Fig" in line for line in yard.told()), 8)


def test_a_logbook_of_a_newer_gwlog_ends_the_watcher(yard: Yard) -> None:
    import sqlite3

    watcher = yard.watch()
    connection = sqlite3.connect(yard.logbook)
    connection.execute("UPDATE alembic_version SET version_num = '9999'")
    connection.commit()
    connection.close()
    until(lambda: watcher.poll() is not None, 8)
    assert watcher.returncode == BUSY_OR_NEWER
    assert watcher.stderr is not None and "newer gwlog" in watcher.stderr.read()
