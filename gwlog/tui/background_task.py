"""One long task beside the screens, in a process of its own, with how far it is; it is stopped at a key.

A thread would share the interpreter with the keys; a process cannot hold one up.
"""

from __future__ import annotations

import asyncio
import json
import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from textual.app import App
from textual.content import Content

import gwlog
from gwlog import actions, stopping
from gwlog.tui.widgets.cells import plain

if TYPE_CHECKING:
    from gwlog.worker.orders import Order

PATIENCE_SECONDS = 3.0
"""How long a task may take to stop by itself before it is killed."""

LONGEST_LINE = 64_000_000
OWN_GROUP: int = getattr(subprocess, "CREATE_NEW_PROCESS_GROUP", 0) | getattr(subprocess, "CREATE_NO_WINDOW", 0)
"""For Windows, what `start_new_session` is elsewhere."""

FULL, LIGHT = "█", "░"
Done = Callable[[dict[str, Any]], None]


@dataclass
class Progress:
    """How far the task is: its title, `done` of `of`, in words, and whether it was asked to stop."""

    title: str
    done: int = 0
    of: int = 1
    words: str = "beginning"
    stopping: bool = False

    def bar(self, width: int) -> Content:
        """Title, bar, share and words on one line of about `width` columns."""
        cells = max(8, min(30, width - 50))
        full = self.done * cells // max(1, self.of)
        words = "stopping …" if self.stopping else self.words
        return Content.assemble((f"{self.title}  ", "bold"), (FULL * full, "$primary"), LIGHT * (cells - full),
                                f" {self.done * 100 // max(1, self.of):3} %  ", plain(words))


class BackgroundTask:
    """Runs one order at a time. `progress`: of the task under way, if any; `changed`: called whenever it changes."""

    def __init__(self, app: App[Any], changed: Callable[[], None]) -> None:
        self.progress: Progress | None = None
        self.process: asyncio.subprocess.Process | None = None
        self._killed: asyncio.subprocess.Process | None = None
        self._app = app
        self._changed = changed

    def begin(self, title: str, order: Order, done: Done) -> bool:
        """Begin an order; `done` gets its outcome {lines, fine, ...} or {refused, hint}. False while another runs."""
        if self.progress is not None:
            return False
        self.progress = Progress(title)
        self._changed()
        self._app.run_worker(self._run(order, done), group="background task")
        return True

    def stop(self) -> None:
        """Ask the task under way to stop: by an interrupt, and a while later for certain."""
        if self.progress is None or self.progress.stopping:
            return
        self.progress.stopping = True
        self._changed()
        if (process := self.process) is not None:
            self._if_it_runs(process, lambda: process.send_signal(stopping.ASK))
            self._app.set_timer(PATIENCE_SECONDS, lambda: self._if_it_runs(process, lambda: self._kill(process)))

    def _kill(self, process: asyncio.subprocess.Process) -> None:
        process.kill()
        self._killed = process

    @staticmethod
    def _if_it_runs(process: asyncio.subprocess.Process, do: Callable[[], None]) -> None:
        if process.returncode is None:
            try:
                do()
            except ProcessLookupError:
                pass

    async def _run(self, order: Order, done: Done) -> None:
        outcome: dict[str, Any] = {"refused": "It stopped without a result.", "hint": None}
        # the child must find the very gwlog that runs here, wherever it was started from
        package = str(Path(gwlog.__file__).resolve().parent.parent)
        paths = os.pathsep.join([package, *filter(None, [os.environ.get("PYTHONPATH")])])
        child = await asyncio.create_subprocess_exec(
            sys.executable, "-m", "gwlog.worker.process", stdin=asyncio.subprocess.PIPE, stdout=asyncio.subprocess.PIPE,
            stderr=asyncio.subprocess.DEVNULL, start_new_session=True, creationflags=OWN_GROUP, limit=LONGEST_LINE,
            env={**os.environ, "PYTHONPATH": paths})
        self.process = child
        try:
            assert child.stdin is not None and child.stdout is not None
            try:
                child.stdin.write(await asyncio.to_thread(_as_json, order))
                await child.stdin.drain()
                child.stdin.close()
            except ConnectionError:
                pass
            while line := await child.stdout.readline():
                report = json.loads(line)
                if "done" in report and self.progress is not None:
                    self.progress.done, self.progress.of = report["done"], report["of"]
                    self.progress.words = report["words"]
                    self._changed()
                elif "done" not in report:
                    outcome = report.get("outcome", report)
                    outcome["hint"] = actions.of_json(outcome.get("hint"))
            await child.wait()
        finally:
            # also when the app is left: nothing goes on unseen
            if child.returncode is None:
                child.kill()
                await asyncio.shield(child.wait())
            stopped = self.progress is not None and self.progress.stopping
            self.progress = self.process = None
        if stopped and "refused" in outcome:
            outcome = {"refused": _stopped(order, killed=self._killed is child), "hint": None}
        self._changed()
        done(outcome)


def _as_json(order: Order) -> bytes:
    from gwlog.worker.orders import as_json

    return as_json(order)


def _stopped(order: Order, *, killed: bool) -> str:
    """What is true of a task that was stopped. Each writes all or nothing; killed, it could not say which."""
    if order.work == "spreadsheets":
        return "Stopped; what was written before that stays."
    return "Stopped at the last step: either all of it was written or nothing." if killed else \
        "Stopped; nothing was written."
