"""Checks a seal: the logbook's own, another logbook's, a backup's, or a record pack's; and what that leaves open.

No file is changed by it, but for the own logbook, which is brought to the present layout like at any other reading.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from gwlog.errors import BadInput
from gwlog.views.seal_report import PROMISE

if TYPE_CHECKING:
    from gwlog.journal.seal import Verification


def verified(path: Path, against: str | None, *, own: bool) -> tuple[Verification, list[str]]:
    """What verifying found, and sentences on what it does not prove. `against`: a head noted earlier, “412:9f3a…”.

    Raises BadInput when there is no such file or the head is none; what opening the file raises.
    """
    from gwlog.journal import files, pack, seal, store
    from gwlog.journal.verify_pack import NOT_CHECKED

    if own:
        store.ready(path)
        return seal.verify(path, anchor=against), [PROMISE]
    if not path.exists():
        raise BadInput(f"There is no file {path} to verify.")
    if not files.is_database(path):
        return pack.verify(path, anchor=against), [f"not checked: {each}" for each in NOT_CHECKED]
    if not store.stale(path):
        return seal.verify(path, anchor=against), [PROMISE]
    return _in_a_copy(path, against), [PROMISE]


def _in_a_copy(path: Path, against: str | None) -> Verification:
    """A logbook of an older layout is upgraded in a copy, so that somebody else's file stays as it is."""
    from tempfile import TemporaryDirectory

    from gwlog.journal import backup, seal, store

    with TemporaryDirectory(prefix="gwlog-") as folder:
        copy = Path(folder) / "logbook.db"
        backup.copy(path, copy)
        store.upgrade(copy)
        return seal.verify(copy, anchor=against)
