"""Long work beside the screens: one at a time, in a process of its own, shown with a bar, and stopped at a key.

A thread would share the interpreter with the keys; a process cannot hold one up.
"""

from __future__ import annotations

import asyncio
import json
import os
import signal
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from textual import work
from textual.app import App
from textual.content import Content

import gwlog
from gwlog import actions
from gwlog.tui.widgets.cells import plain

PATIENCE_SECONDS = 3.0
LONGEST_LINE = 64_000_000
FULL, LIGHT = "█", "░"
Done = Callable[[dict[str, Any]], None]


@dataclass
class Running:
    """Work under way: its title, how far it is, and whether it was asked to stop."""

    title: str
    done: int = 0
    of: int = 1
    words: str = "beginning"
    stopping: bool = False

    def bar(self, width: int) -> Content:
        """Title, bar, share and words on one line."""
        cells = max(8, min(30, width - 50))
        full = self.done * cells // max(1, self.of)
        words = "stopping …" if self.stopping else self.words
        return Content.assemble((f"{self.title}  ", "bold"), (FULL * full, "$primary"), LIGHT * (cells - full),
                                f" {self.done * 100 // max(1, self.of):3} %  ", plain(words))


class LongWork(App[None]):
    """The part of the app that runs long work. `running`: the work under way, if any."""

    running: Running | None = None
    _child: asyncio.subprocess.Process | None = None

    def show_running(self) -> None:
        """Show how far the work is, wherever it is looked at."""
        for screen in self.screen_stack:
            shown = getattr(screen, "show_running", None)
            if shown is not None:
                shown()

    def begin_work(self, title: str, order: dict[str, Any], done: Done) -> bool:
        """Begin work; `done` gets its outcome {lines, fine, ...} or {refused, hint}. False while other work runs."""
        if self.running is not None:
            return False
        self.running = Running(title)
        self.show_running()
        self._run_work(order, done)
        return True

    def stop_work(self) -> None:
        """Ask the work under way to stop: politely, then surely."""
        if self.running is None or self.running.stopping:
            return
        self.running.stopping = True
        self.show_running()
        self._send(signal.SIGINT)
        self.set_timer(PATIENCE_SECONDS, lambda: self._send(signal.SIGKILL))

    def _send(self, sign: signal.Signals) -> None:
        if self._child is not None and self._child.returncode is None:
            try:
                self._child.send_signal(sign)
            except ProcessLookupError:
                pass

    def action_rehearse(self) -> None:
        """Open the rehearsal of a season."""
        from gwlog.tui.dialogs.rehearsal import RehearsalBox

        if not isinstance(self.screen, RehearsalBox):
            self.push_screen(RehearsalBox())

    @work(group="long work")
    async def _run_work(self, order: dict[str, Any], done: Done) -> None:
        outcome: dict[str, Any] = {"refused": "The work ended without a word.", "hint": None}
        # the child must find the very gwlog that runs here, wherever it was started from
        home = str(Path(gwlog.__file__).resolve().parent.parent)
        paths = os.pathsep.join([home, *filter(None, [os.environ.get("PYTHONPATH")])])
        child = await asyncio.create_subprocess_exec(
            sys.executable, "-m", "gwlog.worker.process", stdin=asyncio.subprocess.PIPE, stdout=asyncio.subprocess.PIPE,
            stderr=asyncio.subprocess.DEVNULL, start_new_session=True, limit=LONGEST_LINE,
            env={**os.environ, "PYTHONPATH": paths})
        self._child = child
        try:
            assert child.stdin is not None and child.stdout is not None
            try:
                child.stdin.write(json.dumps(order).encode())
                await child.stdin.drain()
                child.stdin.close()
            except ConnectionError:
                pass
            while line := await child.stdout.readline():
                told = json.loads(line)
                if "done" in told and self.running is not None:
                    self.running.done, self.running.of, self.running.words = told["done"], told["of"], told["words"]
                    self.show_running()
                elif "done" not in told:
                    outcome = told.get("outcome", told)
                    outcome["hint"] = actions.of_json(outcome.get("hint"))
            await child.wait()
        finally:
            # also when the app is left: nothing goes on unseen
            if child.returncode is None:
                child.kill()
                await asyncio.shield(child.wait())
            stopped = self.running is not None and self.running.stopping
            self.running = self._child = None
        if stopped and "refused" in outcome:
            outcome = {"refused": _stopped(order["work"], killed=child.returncode == -signal.SIGKILL), "hint": None}
        self.show_running()
        done(outcome)


def _stopped(work: str, *, killed: bool) -> str:
    """What is true of work that was stopped. Every work writes all or nothing; killed, it could not say which."""
    if work == "spreadsheets":
        return "Stopped; what was written before that is there."
    return "Stopped before it could tell its end: all of it was written, or nothing." if killed else \
        "Stopped; nothing was written."
