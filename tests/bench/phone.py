"""Phones that log at once, beside the screens' look for changes and the watcher: what is lost, what is doubled, how
soon a page answers beside `gwlog where`, and what the server takes.

    python -m tests.bench.phone [--loads 1000] [--phones 8] [--together]

Each load is said by one phone and sent twice, as a double tap does. Server and watcher are processes of
their own, or one (`--together`), under the clock of the machine; the command is timed while the phones go on.
"""

from __future__ import annotations

import argparse
import json
import os
import re
import shutil
import signal
import subprocess
import sys
import threading
from collections import Counter
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from datetime import timedelta
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from time import perf_counter

from gwlog import clock
from gwlog.journal import reader, seal, store, writer
from gwlog.journal.changes import Writes
from gwlog.journal.facts import WashLoad
from gwlog.phone.keys import Keys
from gwlog.setup.read import read_site_file
from tests.conftest import SITE
from tests.phone.conftest import Web

ROOT = Path(__file__).parents[2]
TOLD = 'import sys, os; open(os.environ["BENCH_TOLD"], "a").write(sys.stdin.read())'
DAYS, ZONE = timedelta(days=60), "America/Los_Angeles"
"""How long ago the household began, and where it is."""

TIMES = 20
"""How often a phone agrees to a new answer before it gives up."""

MOST_MB = 80
"""What the server may take [MB]."""


@dataclass
class Served:
    """The server in its process, and a phone for each of several people's hands."""

    path: Path
    process: subprocess.Popen[str]
    phones: list[Web]
    command: list[str]
    env: dict[str, str]
    told: Path

    def memory(self) -> str:
        """The most that the server has taken so far, and what of that is its own; “” where the system does not tell."""
        try:
            told = Path(f"/proc/{self.process.pid}/status").read_text()
        except OSError:
            return ""
        most, own = (int(found[1]) / 1024 if (found := re.search(rf"{name}:\s+(\d+) kB", told)) else 0
                     for name in ("VmHWM", "RssAnon"))
        return f"{most:.0f} MB (at most {MOST_MB}), {own:.0f} MB of them no other program's"


@dataclass
class Result:
    """What came of it: seconds [s], and numbers of loads."""

    said: int = 0
    accepted: set[str] = field(default_factory=set)
    refused: list[str] = field(default_factory=list)
    pages_s: list[float] = field(default_factory=list)
    where_s: list[float] = field(default_factory=list)
    changes: int = 0


@contextmanager
def served(folder: Path, phones: int, *, together: bool = False) -> Iterator[Served]:
    """A household, its pages and its reminders; `together`: in one process."""
    path, config = folder / "logbook.db", folder / "config" / "gwlog"
    begins = clock.now() - DAYS
    writer.create(path, read_site_file(SITE, now=begins).facts, now=begins)
    config.mkdir(parents=True)
    channels = config / "channels.toml"
    channels.write_text(f"[desk]\ncommand = {json.dumps([sys.executable, '-c', TOLD])}\n")
    channels.chmod(0o600)
    (config / "settings.toml").write_text('[[tell]]\nperson = "Ines"\nchannels = ["desk"]\n')
    told = folder / "told.txt"
    env = {**os.environ, "XDG_CONFIG_HOME": str(folder / "config"), "HOME": str(folder), "BENCH_TOLD": str(told)}
    command = [sys.executable, "-m", "gwlog", "--logbook", str(path)]
    serve = [*command, "phone", "serve", "--address", "127.0.0.1", "--port", "0", *(["--watch"] if together else [])]
    with ExitStack() as stack, subprocess.Popen(serve, cwd=ROOT, text=True, env=env, stdout=subprocess.PIPE,
                                                stderr=subprocess.PIPE) as process:
        if not together:
            watch = stack.enter_context(subprocess.Popen([*command, "watch"], cwd=ROOT, env=env,
                                                         stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL))
            stack.callback(watch.terminate)
        assert process.stdout is not None and process.stderr is not None
        line = process.stdout.readline()
        found = re.search(r":(\d+)/", line)
        assert found is not None, process.stderr.read()
        keys = Keys(str(store.logbook_id(path)))
        keys.folder = config / "phones" / keys.folder.name
        made = [Web(int(found[1])) for _ in range(phones)]
        for one in made:
            one.patience_s = 120
            assert one.pair(keys.offer("Ines", clock.now()).phrase).status == 200
        try:
            yield Served(path, process, made, command, env, told)
        finally:
            process.send_signal(signal.SIGTERM)
            process.stderr.read()
            process.wait(timeout=30)


def logging(phone: Web, numbers: range, result: Result, lock: threading.Lock) -> None:
    """One phone logs its loads, each at a minute of its own and sent twice."""
    for number in numbers:
        moment = clock.now() - timedelta(days=2) + timedelta(minutes=2 * (number - 1_000))
        values = {"load": "towels", "to": ("sewer", "Fig")[number % 2], "note": f"load {number}",
                  "at": f"{clock.local(moment, ZONE):%Y-%m-%dT%H:%M}"}
        page = phone.get("/log/load?load=towels")
        form, took, agreed, told = page.value("form"), [], False, [page]
        for _ in range(TIMES):
            if not agreed:
                began = perf_counter()
                told = [phone.post("/log/load", {**values, "form": form, "step": "look"})]
                took.append(perf_counter() - began)
            form = told[-1].value("form")
            agreed, told = True, []
            for _ in range(2):
                began = perf_counter()
                told.append(phone.post("/log/load", {**values, "form": form, "step": "log"}, follow=False))
                took.append(perf_counter() - began)
            if told[-1].status != 409:      # else somebody wrote meanwhile: look at the new answer, and agree to it
                break
        with lock:
            result.said += 1
            result.pages_s += took
            if any(one.status == 303 for one in told):
                result.accepted.add(f"load {number}")
            else:
                result.refused.append(f"{told[-1].status} {told[-1].words[:300]}")


def run(folder: Path, loads: int, phones: int, timed: int, *,
        together: bool = False) -> tuple[Result, Served, str]:
    """Have them log, beside whoever looks for changes; `timed`: how often the command is timed meanwhile."""
    result, lock, done = Result(), threading.Lock(), threading.Event()
    with served(folder, phones, together=together) as there:
        def looks() -> None:
            writes = Writes(there.path)
            while not done.wait(0.25):
                result.changes += writes.since_last(clock.now())

        hands = [threading.Thread(target=logging, args=(phone, range(number, loads, phones), result, lock))
                 for number, phone in enumerate(there.phones)]
        screens = threading.Thread(target=looks)
        for one in (*hands, screens):
            one.start()
        for _ in range(timed):
            began = perf_counter()
            subprocess.run([*there.command, "where", "towels"], cwd=ROOT, env=there.env, capture_output=True,
                           check=False)
            result.where_s.append(perf_counter() - began)
        for one in hands:
            one.join()
        done.set()
        screens.join()
        return result, there, there.memory()


def counted(path: Path) -> Counter[str]:
    """How often each load stands in the logbook."""
    return Counter(fact.note or "" for fact in reader.read(path) if isinstance(fact, WashLoad))


def main() -> None:
    """Run it and tell the figures."""
    asked = argparse.ArgumentParser()
    asked.add_argument("--loads", type=int, default=1_000)
    asked.add_argument("--phones", type=int, default=8)
    asked.add_argument("--together", action="store_true")
    said = asked.parse_args()
    folder = Path(TemporaryDirectory().name)
    folder.mkdir()
    try:
        began = perf_counter()
        result, there, memory = run(folder, said.loads, said.phones, timed=9, together=said.together)
        found = counted(there.path)
        print(f"{said.phones} phones, {result.said} loads said, each sent twice, in {perf_counter() - began:.0f} s")
        print(f"logged {len(result.accepted)}, lost {len(result.accepted - set(found))}, "
              f"doubled {sum(found.values()) - len(found)}, not said {len(set(found) - result.accepted)}, "
              f"refused {len(result.refused)} {result.refused[:2]}, "
              f"the seal {'holds' if seal.verify(there.path).holds else 'does not hold'}")
        pages, where = median(result.pages_s), median(result.where_s)
        print(f"an answer takes {pages:.2f} s in the median, gwlog where {where:.2f} s: {pages / where:.2f} times")
        print(f"the server took {memory}; the screens saw {result.changes} changes; "
              f"the watcher sent {len(there.told.read_text().splitlines()) if there.told.exists() else 0} lines")
    finally:
        shutil.rmtree(folder)


if __name__ == "__main__":
    main()
