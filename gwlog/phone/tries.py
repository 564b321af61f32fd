"""How often an address may try a phrase: a few wrong ones, then it waits."""

from __future__ import annotations

from collections import deque
from datetime import datetime, timedelta
from threading import Lock

WITHIN = timedelta(minutes=10)
MOST, MOST_OF_ALL = 5, 50
"""Wrong phrases within that time, from one address and from all."""


class Tries:
    """The wrong tries of late."""

    def __init__(self) -> None:
        self._wrong: deque[tuple[datetime, str]] = deque()
        self._lock = Lock()

    def too_many(self, peer: str, now: datetime) -> bool:
        """Whether an address, or all together, must wait."""
        with self._lock:
            while self._wrong and not timedelta(0) <= now - self._wrong[0][0] <= WITHIN:
                self._wrong.popleft()
            return len(self._wrong) >= MOST_OF_ALL or sum(one == peer for _, one in self._wrong) >= MOST

    def wrong(self, peer: str, now: datetime) -> None:
        """A wrong phrase came from that address."""
        with self._lock:
            self._wrong.append((now, peer))
