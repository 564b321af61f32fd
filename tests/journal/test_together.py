"""Many at once, and killed in the middle: one chain without a fork, nothing acknowledged lost, nothing half."""

from __future__ import annotations

import random
import signal
import sqlite3
import subprocess
import sys
import threading
from pathlib import Path
from typing import Any

import pytest

from gwlog.errors import LogbookBusy
from gwlog.journal import reader, seal
from gwlog.journal.facts import Fact
from gwlog.journal.writer import append
from tests.journal.samples import NOW, load

# A process that appends `count` times two entries at once, and says each time what it was told. Several names: one
# process each, forked from the first once the libraries are loaded, and let go together.
WRITER = """
import os, sys
from gwlog.journal.writer import append
from tests.journal.samples import NOW, load
path, count, *names = sys.argv[1:]
append(path, [], now=NOW)
print("ready", flush=True)
sys.stdin.readline()
for name in names[1:]:
    if os.fork() == 0:
        break
else:
    name = names[0]
for number in range(int(count)):
    written = append(path, [load(note=f"{name} {number} first"), load(note=f"{name} {number} second")], now=NOW)
    os.write(1, (" ".join(str(fact.id) for fact in written) + "\\n").encode())   # a line at once, or none of it
if name == names[0]:
    sys.exit(any(os.wait()[1] for _ in names[1:]))
"""


def started(path: Path, count: int, *names: str) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-c", WRITER, str(path), str(count), *names],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
    )


def go(process: subprocess.Popen[str]) -> None:
    assert process.stdout is not None and process.stdin is not None
    assert process.stdout.readline() == "ready\n"
    process.stdin.write("\n")
    process.stdin.flush()


def test_four_processes_at_once_make_one_chain(logbook: Path) -> None:
    processes = started(logbook, 15, *"abcd")
    go(processes)
    out, _ = processes.communicate()
    assert processes.returncode == 0
    assert sorted(int(number) for number in out.split()) == list(range(1, 121))
    facts = reader.read(logbook)
    assert [fact.id for fact in facts] == list(range(1, 121))
    assert seal.verify(logbook).holds
    for name in "abcd":
        own = [(fact.note or "").split() for fact in facts if (fact.note or "").startswith(name)]
        assert [(int(number), which) for _, number, which in own] == [
            (number, which) for number in range(15) for which in ("first", "second")
        ]


@pytest.mark.parametrize("acknowledged", [3, 14])
def test_a_writer_killed_loses_nothing_acknowledged_and_leaves_nothing_half(acknowledged: int, logbook: Path) -> None:
    process = started(logbook, 100_000, "k")
    go(process)
    assert process.stdout is not None
    said = [process.stdout.readline() for _ in range(acknowledged)]
    sum(range(random.Random(acknowledged).randrange(1_000_000)))   # somewhere within the next entries
    process.send_signal(signal.SIGKILL)
    said += process.communicate(timeout=30)[0].splitlines(keepends=True)
    whole = [line for line in said if line.endswith("\n")]
    last = max(int(number) for line in whole for number in line.split())
    facts = reader.read(logbook)
    assert last <= len(facts) <= last + 2
    assert len(facts) % 2 == 0
    assert seal.verify(logbook).holds
    assert append(logbook, [load()], now=NOW)[0].id == len(facts) + 1


@pytest.mark.parametrize("point", ["SealRow", "NoteSalt"])
def test_a_writer_killed_before_the_commit_leaves_no_trace(point: str, logbook: Path) -> None:
    append(logbook, [load(note="there before")], now=NOW)
    code = (
        "import os, signal, sys\n"
        "from sqlalchemy import event, Engine\n"
        "from gwlog.journal.writer import append\n"
        "from tests.journal.samples import NOW, load\n"
        "@event.listens_for(Engine, 'after_cursor_execute')\n"
        "def after(connection, cursor, statement, *rest):\n"
        f"    if statement.startswith('INSERT INTO {'seal' if point == 'SealRow' else 'note_salt'}'):\n"
        "        os.kill(os.getpid(), signal.SIGKILL)\n"
        f"append({str(logbook)!r}, [load(note='lost')] * 50, now=NOW)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], check=False)
    assert done.returncode == -signal.SIGKILL
    assert [fact.note for fact in reader.read(logbook)] == ["there before"]
    assert seal.verify(logbook).entries == 1 and seal.verify(logbook).holds
    assert append(logbook, [load()], now=NOW)[0].id == 2


def waits_asked_of_sqlite(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    """The seconds for which every connection from now on waits for a lock."""
    asked = []
    connect = sqlite3.connect

    def noted(*words: Any, **more: Any) -> sqlite3.Connection:
        asked.append(more.get("timeout", 5.0))
        return connect(*words, **more)

    monkeypatch.setattr(sqlite3, "connect", noted)
    return asked


def test_a_lock_held_by_another_process_is_told_after_the_wait(
        logbook: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    code = (
        "import sqlite3, sys\n"
        f"connection = sqlite3.connect({str(logbook)!r}, isolation_level=None)\n"
        "connection.execute('BEGIN IMMEDIATE')\n"
        "print('held', flush=True)\n"
        "sys.stdin.readline()\n"
    )
    holder = subprocess.Popen([sys.executable, "-c", code], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
    assert holder.stdout is not None and holder.stdout.readline() == "held\n"
    assert reader.BUSY_MS == 5_000
    monkeypatch.setattr(reader, "BUSY_MS", 50)
    asked = waits_asked_of_sqlite(monkeypatch)
    with pytest.raises(LogbookBusy, match="another program is writing") as busy:
        append(logbook, [load()], now=NOW)
    assert set(asked) == {0.05}, "SQLite itself waits, as long as it is told to"
    assert busy.value.exit_code == 5 and busy.value.hint and "Nothing was changed" in str(busy.value.hint)
    assert reader.read(logbook) == []
    holder.communicate("\n", timeout=10)
    assert len(append(logbook, [load()], now=NOW)) == 1


def test_an_append_waits_for_a_writer_that_is_soon_done(logbook: Path) -> None:
    other = sqlite3.connect(logbook, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    written: list[Fact] = []
    waiting = threading.Thread(target=lambda: written.extend(append(logbook, [load()], now=NOW)))
    waiting.start()
    waiting.join(0.3)   # one that does not wait has ended by then, in LogbookBusy
    assert waiting.is_alive() and not written
    other.execute("ROLLBACK")
    waiting.join()
    assert [fact.id for fact in written] == [1]
    other.close()
