"""Whether a logbook's files were written to, for those who ask every second: the system is asked, the file stays shut.

What was written is for reader.data_version() to tell; here a False alone is sure.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

SETTLED = timedelta(seconds=3)
"""How old the last write has to be: a second one within the step of the system's clock (up to 2 s) would look the same.
"""


class Writes:
    """Looks at the logbook and at the log of writes that SQLite keeps beside it."""

    def __init__(self, path: Path) -> None:
        self._files = (path, Path(f"{path}-wal"))
        self._seen: list[tuple[int, ...]] | None = None

    def since_last(self, now: datetime) -> bool:
        """Whether there may have been writes since the last call; always where the file is gone. `now`: aware."""
        found = [_signature(file) for file in self._files]
        same = found == self._seen
        settled = found[0] and all(
            not one or now - datetime.fromtimestamp(one[0] / 1e9, UTC) > SETTLED for one in found)
        self._seen = found if settled else None
        return not same


def _signature(file: Path) -> tuple[int, ...]:
    """When it was written to [ns], its size, and which file it is; nothing where there is none, or nothing in it.

    Whoever reads leaves an empty log of writes behind.
    """
    try:
        known = file.stat()
    except OSError:
        return ()
    return (known.st_mtime_ns, known.st_size, known.st_ino, known.st_dev) if known.st_size else ()
