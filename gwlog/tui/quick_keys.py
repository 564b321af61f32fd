"""What keeps the keys quick beside the work in threads: short turns, modules loaded ahead, a collector that waits.

What one key costs is said in DEVELOPERS.md and measured by tests/bench/screens.py.
"""

from __future__ import annotations

import gc
import sys
from collections.abc import Sequence
from importlib import import_module
from threading import Thread

TURN_S = 0.0005
"""How long a thread may keep the interpreter from the keys: a tenth of what Python grants it."""

AHEAD = (
    "gwlog.tui.dialogs.load", "gwlog.tui.dialogs.form", "gwlog.app.forms.entries", "gwlog.tui.screens.garden",
    "gwlog.tui.screens.plan", "gwlog.tui.screens.log", "gwlog.tui.screens.upkeep", "gwlog.tui.screens.records",
    "gwlog.tui.screens.setup", "gwlog.tui.dialogs.quick_entry", "gwlog.tui.dialogs.help",
)
"""Modules of the screens and the dialogs that people open most, in the order in which they are likely to."""

PAUSE_TICKS = 3
"""Ticks without a key, a second each, that count as a pause."""

ENOUGH, FAR_TOO_MUCH = 10, 200
"""From how many thousands of new objects on, about seven each, everything is searched in a pause, or at once."""

NEVER = 1_000_000_000


class QuickKeys:
    """Between `begin` and `end` the interpreter is shared in short turns, and searched for garbage in pauses.

    Search for cycles through everything stops every thread for 50 to 300 ms once the libraries are loaded; the usual
    searches, through what is new, take a few and stay as they are.
    """

    def __init__(self) -> None:
        self._before: tuple[float, tuple[int, int, int]] | None = None
        self._ticks = 0

    def begin(self) -> None:
        """Call it once everything that lasts as long as the screens is there."""
        self._before = sys.getswitchinterval(), gc.get_threshold()
        sys.setswitchinterval(TURN_S)
        gc.freeze()
        young, middle, _ = gc.get_threshold()
        gc.set_threshold(young, middle, NEVER)

    def end(self) -> None:
        """Leave the interpreter as it was."""
        if self._before is not None:
            interval, thresholds = self._before
            sys.setswitchinterval(interval)
            gc.set_threshold(*thresholds)
            self._before = None

    def key(self) -> None:
        """Somebody is at the keys."""
        self._ticks = 0

    def tick(self) -> None:
        """A second has passed: search everything where there is enough to search, and a pause to do it in."""
        self._ticks += 1
        found = gc.get_count()[2]
        if self._before is not None and (
                (found >= ENOUGH and self._ticks >= PAUSE_TICKS) or found >= FAR_TOO_MUCH):
            gc.collect()


def load_ahead(after: Thread, modules: Sequence[str] = AHEAD) -> Thread:
    """Load modules in a thread, once another has ended: two that load at once may wait for each other."""
    def load() -> None:
        after.join()
        for name in modules:
            import_module(name)

    thread = Thread(target=load, name="load the screens", daemon=True)
    thread.start()
    return thread
