"""How soon the screens paint, how soon they answer a key on two busy cores, and what a foreign entry costs them.

    python -m tests.bench.screens [--runs 7] [--years 10] [--keys 171] [--every]

Targets, on the demo and on a ten-year logbook: first paint <= 1.35 x that of the smallest Textual app, in turn in one
run; while a season is rehearsed and every core is kept busy beside it, a key is answered within 50 ms at the 95th
percentile and none takes 150. How long the thread of the keys is held at most, and what a refresh costs after an entry
of another process, is told in processor time. Exit code 1 when a target is missed.
"""

from __future__ import annotations

import argparse
import asyncio
import contextlib
import os
import pty
import select
import signal
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

if TYPE_CHECKING:
    from gwlog.tui.app import GwlogApp
from gwlog.worker import orders

ROOT = Path(__file__).parents[2]
LIMIT_PAINT, LIMIT_KEY_MS, LIMIT_SLOWEST_MS = 1.35, 50.0, 150.0
LONG_MS = 10.0
KEYS = ("2", "right", "left", "3", "4", "down", "down", "up", "5", "down", "up", "1", "down", "up", "l", "down", "down",
        "up", "escape", "v", "right", "escape", "6", "down", "7", "down", "1")
BETWEEN_S = 0.15
"""A fast hand: what the app still does for the key before counts against the next one."""

FIRST = ("2", "3", "4", "5", "6", "7", "1", "l", "escape", "v", "escape")
"""Screens and dialogs opened for the first time: once somebody has looked at Today, and looks at each."""

LOOKED_AT_S, FIRST_BETWEEN_S = 6.0, 1.0

PAINTED = "[1 Today]"
SMALLEST = """
from textual.app import App
from textual.widgets import Static
class Smallest(App):
    def compose(self):
        yield Static("[[1 Today]")
Smallest().run()
"""
BUSY = "import os; os.nice(10)\nwhile True: pass"
"""Work beside the screens that gives way as theirs does; what does not is for the system to share out."""


def first_paint(words: Sequence[str], logbook: Path) -> float:
    """Wall seconds from the start of a process to its first words on a terminal of 80x24."""
    start = time.perf_counter()
    process, line = pty.fork()
    if process == 0:
        os.environ.update(TERM="xterm-256color", COLUMNS="80", LINES="24", GWLOG_LOGBOOK=str(logbook))
        os.environ.pop("PYTHONDONTWRITEBYTECODE", None)   # an installed gwlog has its bytecode, as the library has
        os.execv(words[0], list(words))
    drawn = ""
    while PAINTED not in drawn:
        if not select.select([line], [], [], 30.0)[0]:
            raise SystemExit(f"nothing was painted: {drawn[-300:]!r}")
        drawn += os.read(line, 65_536).decode(errors="replace")
    taken = time.perf_counter() - start
    os.kill(process, signal.SIGKILL)
    os.waitpid(process, 0)
    os.close(line)
    return taken


def paints(logbooks: dict[str, Path], runs: int) -> dict[str, list[float]]:
    """Measure in turn A B C A B C; the first round warms up and counts for nothing."""
    commands = {"smallest app": ([sys.executable, "-c", SMALLEST], Path("none"))}
    for name, path in logbooks.items():
        commands[name] = ([sys.executable, "-m", "gwlog"], path)
    taken: dict[str, list[float]] = {name: [] for name in commands}
    for run in range(runs + 1):
        for name, (words, path) in commands.items():
            seconds = first_paint(words, path)
            if run:
                taken[name].append(seconds)
    return taken


def watched(path: Path) -> GwlogApp:
    """The screens, noting when a key has been taken in and when the screen is drawn after that."""
    from textual import events

    from gwlog import clock
    from gwlog.tui.app import GwlogApp

    class Watched(GwlogApp):
        drawn = asyncio.Event()
        taken_in = False

        async def on_event(self, event: events.Event) -> None:
            await super().on_event(event)
            self.taken_in |= isinstance(event, events.Key)

        def _display(self, *drawing: Any) -> None:
            super()._display(*drawing)
            if self.taken_in:
                self.drawn.set()

    return Watched(path, clock.now)


class Took(NamedTuple):
    """What a key took, in milliseconds: on the clock, and of the thread of the keys."""

    wall: float
    own: float


async def press(app: Any, key: str) -> Took:
    """Milliseconds from a key, sent as the terminal's driver sends it, to the first drawing after it was taken in.

    `pilot.press` adds pauses of a fixed length (60 ms) to what the app needs, so it cannot measure this.
    """
    from textual import events

    app.drawn.clear()
    app.taken_in = False
    start, own = time.perf_counter(), time.thread_time()
    app._driver.send_message(events.Key(key, key if len(key) == 1 else None))
    await asyncio.wait_for(app.drawn.wait(), 10.0)
    return Took((time.perf_counter() - start) * 1000, (time.thread_time() - own) * 1000)


@contextlib.contextmanager
def steps() -> Iterator[list[float]]:
    """How long each step of the thread of the keys took, in milliseconds of its own processor time."""
    held: list[float] = []
    real = asyncio.events.Handle._run

    def run(handle: asyncio.events.Handle) -> None:
        start = time.thread_time()
        real(handle)
        held.append((time.thread_time() - start) * 1000)

    asyncio.events.Handle._run = run  # type: ignore[method-assign]
    try:
        yield held
    finally:
        asyncio.events.Handle._run = real  # type: ignore[method-assign]


@contextlib.contextmanager
def busy_cores() -> Iterator[None]:
    """Something at work on every core."""
    burning = [subprocess.Popen([sys.executable, "-c", BUSY]) for _ in range(os.cpu_count() or 1)]
    try:
        yield
    finally:
        for one in burning:
            one.kill()
            one.wait()


async def answers(path: Path, keys: int, size: tuple[int, int], held: list[float]) -> dict[str, list[Took]]:
    """What each of many keys took, pressed one after the other while rehearsals run. `held`: steps of those keys."""
    app = watched(path)
    taken: dict[str, list[Took]] = {}
    async with app.run_test(size=size) as pilot:
        while app.home is None:
            await pilot.pause(0.05)
        await pilot.pause(LOOKED_AT_S)
        rehearsing(app)
        held.clear()
        for key in FIRST:
            taken[f"first time: {key}"] = [await press(app, key)]
            await asyncio.sleep(FIRST_BETWEEN_S)
        for number in range(keys):
            rehearsing(app)
            key = KEYS[number % len(KEYS)]
            taken.setdefault(f"{app.current_mode}: {key}", []).append(await press(app, key))
            await asyncio.sleep(BETWEEN_S)
        app.background_task.stop()
        while app.background_task.progress is not None:
            await pilot.pause(0.05)
    return taken


def rehearsing(app: GwlogApp) -> None:
    """See to it that a rehearsal of a season is under way."""
    if app.background_task.progress is None:
        order = orders.Rehearse(logbook=app.path, now=app.now(), days=730)
        app.background_task.begin("Rehearsing", order, lambda _: None)


async def refresh(path: Path, entries: int = 5) -> float:
    """Milliseconds of processor time that an entry of another process costs the screens, at the median."""
    app = watched(path)
    taken = []
    async with app.run_test(size=(80, 24)) as pilot:
        while app.home is None:
            await pilot.pause(0.05)
        await pilot.pause(3.0)
        for _ in range(entries):
            known = app.home
            child = await asyncio.create_subprocess_exec(
                sys.executable, "-m", "gwlog", "--logbook", str(path), "observe", "other", stdout=subprocess.DEVNULL)
            await child.wait()
            start = time.process_time()
            while app.home is known:
                await asyncio.sleep(0.02)
            await pilot.pause(0.5)
            taken.append((time.process_time() - start) * 1000)
    return statistics.median(taken)


def keys_missed(name: str, by_key: dict[str, list[Took]], held: Sequence[float], size: tuple[int, int], *,
                every: bool) -> bool:
    """Print what the keys took; whether the target is missed."""
    took, own = (sorted(one[part] for each in by_key.values() for one in each) for part in (0, 1))
    high = took[int(len(took) * 0.95)]
    if every:
        for key, each in by_key.items():
            walls, owns = zip(*each, strict=True)
            print(f"  {key:<16} median {statistics.median(walls):4.0f} ms, slowest {max(walls):4.0f} ms; of its own "
                  f"{statistics.median(owns):4.0f} and {max(owns):4.0f} ms")
    late = high > LIMIT_KEY_MS or took[-1] > LIMIT_SLOWEST_MS
    print(f"keys, {name}, {size[0]}x{size[1]}: median {statistics.median(took):.0f} ms, 95 % within {high:.0f} ms, "
          f"slowest {took[-1]:.0f} ms   limits {LIMIT_KEY_MS:.0f} and {LIMIT_SLOWEST_MS:.0f} ms"
          f"{'   MISSED' if late else ''}")
    print(f"  in processor time: median {statistics.median(own):.0f} ms, 95 % within "
          f"{own[int(len(own) * 0.95)]:.0f} ms, slowest {own[-1]:.0f} ms")
    print(f"  the thread of the keys: {len(held)} steps, {sum(one > LONG_MS for one in held)} of them over "
          f"{LONG_MS:.0f} ms, the longest {max(held):.0f} ms")
    return late


def main() -> int:
    """Write the logbooks, measure, print medians, ratios and percentiles."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--runs", type=int, default=7)
    parser.add_argument("--years", type=int, default=10)
    parser.add_argument("--keys", type=int, default=171)
    parser.add_argument("--every", action="store_true", help="show what each key took")
    chosen = parser.parse_args()
    missed = False
    with tempfile.TemporaryDirectory() as folder:
        logbooks = {"demo": Path(folder) / "demo.db", f"{chosen.years} years": Path(folder) / "years.db"}
        for path, longer in zip(logbooks.values(), ([], ["--years", str(chosen.years)]), strict=True):
            subprocess.run([sys.executable, str(ROOT / "demo_seed.py"), "--logbook", str(path), *longer],
                           check=True, capture_output=True)
        taken = paints(logbooks, chosen.runs)
        base = statistics.median(taken["smallest app"])
        for name, seconds in taken.items():
            median = statistics.median(seconds)
            late = name != "smallest app" and median / base > LIMIT_PAINT
            missed |= late
            print(f"first paint, {name:<14} {median * 1000:6.0f} ms   {median / base:5.2f} x   "
                  f"limit {LIMIT_PAINT:.2f} x{'   MISSED' if late else ''}")
        for name, path in logbooks.items():
            for size in ((80, 24), (140, 50)):
                with busy_cores(), steps() as held:
                    took = asyncio.run(answers(path, chosen.keys, size, held))
                missed |= keys_missed(name, took, held, size, every=chosen.every)
        for name, path in logbooks.items():
            print(f"an entry of another process, {name}: {asyncio.run(refresh(path)):.0f} ms of processor time")
    return int(missed)


if __name__ == "__main__":
    sys.exit(main())
