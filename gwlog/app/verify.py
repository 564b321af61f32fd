"""Verifies a seal: the logbook's own, another logbook's, a backup's, or a record pack's.

No file is changed by it, but for the own logbook, which is brought to the present layout like at any other reading.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from gwlog.errors import BadInput

if TYPE_CHECKING:
    from gwlog.journal.seal import Verification


@dataclass(frozen=True, slots=True)
class Verified:
    """What verifying found. `unchecked`: what a record pack asks of others; empty for a logbook."""

    found: Verification
    unchecked: tuple[str, ...] = ()

    @property
    def holds(self) -> bool:
        """Whether every level holds, also the comparison with a seal number noted earlier."""
        return all(level.holds for level in self.found.levels)


def verify(path: Path, noted: str | None, *, own: bool) -> Verified:
    """Verify a file. `own`: it is the logbook in use; `noted`: a seal number noted earlier, “412:9f3a…”.

    Raises BadInput when there is no such file or the seal number is none; what opening the file raises.
    """
    from gwlog import files
    from gwlog.journal import pack, seal, store
    from gwlog.journal.check_seal import NOT_CHECKED

    if own:
        store.ready(path)
        return Verified(seal.verify(path, noted=noted))
    if not path.exists():
        raise BadInput(f"There is no file {path} to verify.")
    if not files.is_database(path):
        return Verified(pack.verify(path, noted=noted), tuple(NOT_CHECKED))
    if not store.stale(path):
        return Verified(seal.verify(path, noted=noted))
    return Verified(_in_a_copy(path, noted))


def _in_a_copy(path: Path, noted: str | None) -> Verification:
    """A logbook of an older layout is upgraded in a copy, so that somebody else's file stays as it is."""
    from tempfile import TemporaryDirectory

    from gwlog.journal import backup, seal, store

    with TemporaryDirectory(prefix="gwlog-") as folder:
        copy = Path(folder) / "logbook.db"
        backup.copy(path, copy)
        store.upgrade(copy)
        return seal.verify(copy, noted=noted)
