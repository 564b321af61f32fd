"""How the weather command fared on this machine: its last run, its last success, failures in a row. No entries.

Kept in a small file beside the logbook, so that the watcher, the commands and the screens tell the same.
"""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict
from datetime import UTC, datetime, timedelta
from pathlib import Path

from gwlog.errors import GwlogError
from gwlog.files import write_whole
from gwlog.values import dataclass, replace

WAITS = (timedelta(minutes=1), timedelta(minutes=5), timedelta(minutes=30))
"""The pauses after the first failures of a day; after the last one it is tried on the next day."""

_SPELL = timedelta(hours=2)
"""Failures within that time of each other are tries of one day."""

TOLD_AFTER = timedelta(days=2)
"""How long the command may fail before it is told where everybody looks."""


@dataclass(frozen=True, slots=True)
class Runs:
    """The record of runs, moments UTC. `failures`: in a row; `trouble`: the last one's words; `taken`: in words;
    `tries`: failures of one day.

    `failing_since`: the first failure after the last success; `later`: the command itself asked to be tried later.
    """

    last_run: datetime | None = None
    last_success: datetime | None = None
    taken: str = ""
    failures: int = 0
    failing_since: datetime | None = None
    trouble: str = ""
    later: bool = False
    tries: int = 0

    def succeeded(self, now: datetime, taken: str) -> Runs:
        """After a run that was taken."""
        return Runs(last_run=now, last_success=now, taken=taken)

    def failed(self, now: datetime, trouble: str, *, later: bool = False) -> Runs:
        """After a run of which nothing was taken."""
        again = self.tries > 0 and self.last_run is not None and timedelta(0) <= now - self.last_run < _SPELL
        return replace(self, last_run=now, failures=self.failures + 1, failing_since=self.failing_since or now,
                       trouble=trouble[:500], later=later, tries=self.tries + 1 if again else 1)

    def due(self, now: datetime, slot: datetime) -> bool:
        """Whether the run of a day, due from `slot` on, is to be made: once, and again a few times after failures.

        Moments in the future come from a clock that was set back and keep nothing waiting.
        """
        if now < slot:
            return False
        if self.last_success is not None and slot <= self.last_success <= now:
            return False
        if self.last_run is None or not slot <= self.last_run <= now or not self.tries:
            return True
        return self.tries <= len(WAITS) and now >= self.last_run + WAITS[self.tries - 1]

    def long_failing(self, now: datetime) -> bool:
        """Whether it has failed for so long that it is told."""
        return self.failing_since is not None and now - self.failing_since >= TOLD_AFTER


def runs_path(logbook: Path) -> Path:
    """Where the record of a logbook's weather command is."""
    return logbook.with_name(f"{logbook.name}.weather.json")


def read(logbook: Path) -> Runs:
    """The record; an empty one where there is none or it cannot be read."""
    try:
        kept = json.loads(runs_path(logbook).read_bytes())
        moments = {name: None if kept[name] is None else datetime.fromisoformat(kept[name]).astimezone(UTC)
                   for name in ("last_run", "last_success", "failing_since")}
        return Runs(**moments, taken=str(kept["taken"]), failures=int(kept["failures"]), trouble=str(kept["trouble"]),
                    later=bool(kept["later"]), tries=int(kept["tries"]))
    except (OSError, ValueError, KeyError, TypeError):
        return Runs()


def note(logbook: Path, runs: Runs) -> None:
    """Keep the record. Raises GwlogError where the folder refuses."""
    write_whole(runs_path(logbook), json.dumps(asdict(runs), default=lambda moment: moment.isoformat()).encode(),
                replace=True)


@contextmanager
def alone(logbook: Path) -> Iterator[None]:
    """Hold the lock: one run at a time, whoever makes it. Raises GwlogError naming the process that holds it."""
    where = logbook.with_name(f"{logbook.name}.weather.lock")
    try:
        handle = os.open(where, os.O_RDWR | os.O_CREAT, 0o600)
    except OSError as fault:
        raise GwlogError(f"Nothing can be written beside the logbook: {(fault.strerror or 'no reason').lower()}.") \
            from None
    try:
        try:
            _lock(handle)
        except OSError:
            holder = os.read(handle, 20).decode("ascii", "replace").strip() or "unknown"
            raise GwlogError(f"The weather command runs already (process {holder}); wait for it.") from None
        os.ftruncate(handle, 0)
        os.write(handle, str(os.getpid()).encode())
        yield
    finally:
        os.close(handle)


def _lock(handle: int) -> None:
    """Hold the open file for this process until it is closed. Raises OSError where another holds it."""
    if sys.platform == "win32":
        import msvcrt

        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
    else:
        import fcntl

        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
