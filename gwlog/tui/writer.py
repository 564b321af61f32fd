"""The journal's writer as the screens use it: its libraries are loaded in the background after the first paint.

They take longer to load than everything else together, so nobody who only looks waits for them.
"""

from __future__ import annotations

from threading import Thread

from gwlog.libraries import WRITER, load


def load_in_background() -> Thread:
    """Load the writer's libraries in a thread that nobody waits for when leaving."""
    thread = Thread(target=_load, name="load the writer", daemon=True)
    thread.start()
    return thread


def _load() -> None:
    load(*WRITER, "gwlog.journal.writer")
