"""Real watchers in processes of their own: told of entries, ended, killed and started again."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from gwlog.cli.main import run as main
from gwlog.errors import BUSY_OR_NEWER
from gwlog.journal import reader
from gwlog.notify.watcher import GRACE_S, TICK_S, Watcher
from tests.conftest import SITE

GWLOG = [sys.executable, "-m", "gwlog"]
NEVER_S = 150.0
"""Nothing here is measured in seconds; after so many of them it is clear that a thing will not happen."""
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
                    "HOME": str(folder), "PYTHONFAULTHANDLER": "1"}
        since = f"{datetime.now(ZoneInfo('America/Los_Angeles')) - timedelta(days=1):%Y-%m-%d}"
        (folder / "site.toml").write_text(SITE.replace("since = 2026-05-01", f"since = {since}"))
        assert main(["--logbook", str(self.logbook), "begin", str(folder / "site.toml")]) == 0
        self.watchers: list[subprocess.Popen[str]] = []

    def watch(self) -> subprocess.Popen[str]:
        watcher = subprocess.Popen([*GWLOG, "watch"], env=self.env, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
                                   text=True)
        self.watchers.append(watcher)
        assert watcher.stderr is not None
        assert "Watching" in watcher.stderr.readline()
        return watcher

    def log(self, *words: str) -> None:
        """An entry by this process, which is another one than the watchers'."""
        assert main(["--logbook", str(self.logbook), *words]) == 0

    def told(self) -> list[str]:
        return self.out.read_text().splitlines() if self.out.exists() else []


def until(holds: Callable[[], object]) -> None:
    """Wait for something that happens in another process. Only what never happens ends it otherwise."""
    given_up = time.monotonic() + NEVER_S
    while not holds():
        assert time.monotonic() < given_up, "it does not happen"
        time.sleep(0.05)


def ended(watcher: subprocess.Popen[str]) -> int:
    """Tell a watcher to stop, and wait for its end. Returns its exit code."""
    watcher.send_signal(signal.SIGTERM)
    try:
        return watcher.wait(NEVER_S)
    except subprocess.TimeoutExpired:
        watcher.send_signal(signal.SIGABRT)
        raise AssertionError("it does not end; its threads:\n" + watcher.communicate()[1]) from None


@pytest.fixture
def yard(tmp_path: Path) -> Iterator[Yard]:
    made = Yard(tmp_path)
    yield made
    for watcher in made.watchers:
        if watcher.poll() is None:
            watcher.kill()
        watcher.communicate()


def test_it_looks_often_enough_to_tell_within_five_seconds_and_waits_little_enough_to_end_within_two() -> None:
    # an entry may just have missed a look, and a message may take two graces on the way out
    assert 2 * TICK_S < 5
    assert 2 * GRACE_S < 2


def test_a_round_that_waits_for_another_does_not_keep_the_process_once_the_watcher_has_ended(yard: Yard) -> None:
    watcher = Watcher(yard.logbook, lambda _: None)
    watcher._begin()
    watcher._end()
    late = threading.Thread(target=watcher.round, daemon=True)
    late.start()
    late.join(NEVER_S)
    assert not late.is_alive(), "the process would wait for this thread for ever"


def test_an_entry_of_another_process_is_told_once_and_sigterm_ends_it(yard: Yard) -> None:
    watcher = yard.watch()
    yard.log("observe", "ponding", "Fig")
    until(lambda: any("ponding at Fig" in line for line in yard.told()))
    yard.log("observe", "leak", "Fig")
    until(lambda: any("leak at Fig" in line for line in yard.told()))
    assert ended(watcher) == 0
    out, err = watcher.communicate()
    assert out == "" and "Traceback" not in err
    assert len([line for line in yard.told() if "ponding at Fig" in line]) == 1


def test_three_watchers_killed_and_started_again_tell_once(yard: Yard) -> None:
    first = [yard.watch() for _ in range(3)]
    yard.log("observe", "ponding", "Fig")
    until(lambda: any("ponding" in line for line in yard.told()))
    for watcher in first:
        watcher.kill()
    for words in (("observe", "odour", "Fig"), ("observe", "leak", "Fig"), ("observe", "runoff", "Fig")):
        yard.log(*words)
    seen = next(fact for fact in reversed(reader.read(yard.logbook)) if fact.KIND == "observation")
    yard.log("resolve", str(seen.id))   # settled while nobody watched
    again = yard.watch()
    until(lambda: any("leak" in line for line in yard.told()))
    assert ended(again) == 0
    # One more round, by whoever comes next, finds nothing that was not told.
    once = subprocess.run([*GWLOG, "watch", "--once"], env=yard.env, capture_output=True, text=True, check=False)
    assert once.returncode == 0 and "Traceback" not in once.stderr
    told = [line for line in yard.told() if line.startswith(("Look again", "Overdue"))]
    assert len(told) == len(set(told))
    assert not any("runoff" in line or "odour" in line for line in told)


def test_a_command_that_hangs_does_not_keep_the_watcher_from_ending(yard: Yard) -> None:
    (yard.folder / "tell me").write_text(f"#!/bin/sh\necho on >> '{yard.out}'\nsleep 60\n")
    watcher = yard.watch()
    yard.log("observe", "ponding", "Fig")
    until(yard.told)
    assert ended(watcher) == 0
    assert len(yard.told()) == 1, "the command was ended in the middle of its minute, and not started again"


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
    until(lambda: any("ponding at Fig" in line for line in yard.told()))


def test_a_logbook_of_a_newer_gwlog_ends_the_watcher(yard: Yard) -> None:
    import sqlite3

    watcher = yard.watch()
    connection = sqlite3.connect(yard.logbook)
    connection.execute("UPDATE alembic_version SET version_num = '9999'")
    connection.commit()
    connection.close()
    assert watcher.wait(NEVER_S) == BUSY_OR_NEWER
    assert watcher.stderr is not None and "newer gwlog" in watcher.stderr.read()
