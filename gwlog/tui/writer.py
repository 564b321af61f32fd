"""The journal's writer as the screens use it: its libraries are loaded in the background after the first paint.

They take longer to load than everything else together, so nobody who only looks waits for them.
"""

from __future__ import annotations

from datetime import datetime
from importlib import import_module
from pathlib import Path
from threading import Thread

from gwlog.journal.facts import Fact

LIBRARIES = ("gwlog.journal.tables", "gwlog.journal.writer")


def write(path: Path, facts: list[Fact], now: datetime) -> list[Fact]:
    """Append entries: all or none. Raises what the writer raises."""
    from gwlog.journal.writer import append

    return append(path, facts, now=now)


def load_in_background() -> Thread:
    """Load the writer's libraries in a thread that nobody waits for when leaving."""
    thread = Thread(target=_load, name="load the writer", daemon=True)
    thread.start()
    return thread


def _load() -> None:
    for name in LIBRARIES:
        import_module(name)
