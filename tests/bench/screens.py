"""How soon the screens paint, and how soon they answer a key while a season is rehearsed in the background.

    python -m tests.bench.screens [--runs 7] [--years 10] [--keys 120]

Targets: first paint < 1.6 x that of the smallest Textual app, on the demo and on a ten-year logbook, measured in
turn in one run; a key answered within 50 ms at the 95th percentile while a rehearsal runs. Exit code 1 when one is
missed.
"""

from __future__ import annotations

import argparse
import asyncio
import os
import pty
import select
import signal
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from gwlog.tui.app import GwlogApp
from gwlog.worker import orders

ROOT = Path(__file__).parents[2]
LIMIT_PAINT, LIMIT_KEY_MS = 1.6, 50.0
KEYS = ("2", "right", "left", "3", "4", "down", "down", "up", "5", "down", "up", "1", "down", "up", "l", "down", "down",
        "up", "escape", "v", "right", "escape", "6", "down", "7", "down", "1")
BETWEEN_S = 0.15
"""A fast hand: what the app still does for the key before counts against the next one."""

PAINTED = "[1 Today]"
SMALLEST = """
from textual.app import App
from textual.widgets import Static
class Smallest(App):
    def compose(self):
        yield Static("[[1 Today]")
Smallest().run()
"""


def first_paint(words: Sequence[str]) -> float:
    """Wall seconds from the start of a process to its first words on a terminal of 80x24."""
    start = time.perf_counter()
    process, line = pty.fork()
    if process == 0:
        os.environ.update(TERM="xterm-256color", COLUMNS="80", LINES="24")
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
    commands = {"smallest app": [sys.executable, "-c", SMALLEST]}
    for name, path in logbooks.items():
        commands[name] = [sys.executable, "-m", "gwlog", "--logbook", str(path)]
    taken: dict[str, list[float]] = {name: [] for name in commands}
    for run in range(runs + 1):
        for name, words in commands.items():
            seconds = first_paint(words)
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


async def press(app: Any, key: str) -> float:
    """Milliseconds from a key, sent as the terminal's driver sends it, to the first drawing after it was taken in.

    `pilot.press` adds pauses of a fixed length (60 ms) to what the app needs, so it cannot measure this.
    """
    from textual import events

    app.drawn.clear()
    app.taken_in = False
    start = time.perf_counter()
    app._driver.send_message(events.Key(key, key if len(key) == 1 else None))
    await asyncio.wait_for(app.drawn.wait(), 10.0)
    return (time.perf_counter() - start) * 1000


async def answers(path: Path, keys: int, size: tuple[int, int] = (80, 24), *,
                  busy: bool = True) -> dict[str, list[float]]:
    """What each of many keys took, pressed one after the other while rehearsals run (if `busy`)."""
    app = watched(path)
    taken: dict[str, list[float]] = {}
    async with app.run_test(size=size) as pilot:
        while app.home is None:
            await pilot.pause(0.05)
        for warming in ("1", "2", "3", "4", "5", "6", "7", "1", "l", "escape", "v", "escape"):
            await pilot.press(warming)
            await pilot.pause(1.0)
        for number in range(keys):
            if busy:
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


def keys_missed(by_key: dict[str, list[float]], size: tuple[int, int], *, every: bool) -> bool:
    """Print what the keys took; whether the target is missed."""
    took = sorted(one for each in by_key.values() for one in each)
    high = took[int(len(took) * 0.95)]
    if every:
        for key, each in by_key.items():
            print(f"  {key:<14} median {statistics.median(each):4.0f} ms  slowest {max(each):4.0f} ms")
    print(f"keys at {size[0]}x{size[1]} while a rehearsal runs: median {statistics.median(took):.0f} ms, 95 % within "
          f"{high:.0f} ms, slowest {took[-1]:.0f} ms   limit {LIMIT_KEY_MS:.0f} ms"
          f"{'   MISSED' if high > LIMIT_KEY_MS else ''}")
    return high > LIMIT_KEY_MS


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
        for size in ((80, 24), (140, 50)):
            missed |= keys_missed(asyncio.run(answers(logbooks["demo"], chosen.keys, size)), size, every=chosen.every)
    return int(missed)


if __name__ == "__main__":
    sys.exit(main())
