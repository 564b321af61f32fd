"""Verifies a logbook (its file and its seal), the own one, another's or a backup; or a record pack.

No file is changed by it, but for the own logbook, which is brought to the present layout like at any other reading.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from gwlog import drafts
from gwlog.actions import joined
from gwlog.decisions.lost_entries import words
from gwlog.errors import BadInput, GwlogError, NotALogbook
from gwlog.text import plural

if TYPE_CHECKING:
    from gwlog.journal.seal import Verification


@dataclass(frozen=True, slots=True)
class Verified:
    """What verifying found. `unchecked`: what a record pack asks of others; empty for a logbook. `odd`: entries dated
    ahead of when they were written, which the seal does not show.
    """

    found: Verification
    unchecked: tuple[str, ...] = ()
    odd: tuple[str, ...] = ()

    @property
    def told(self) -> tuple[str, ...]:
        """Everything that holds and is odd."""
        return (*self.odd, *self.found.odd)

    @property
    def holds(self) -> bool:
        """Whether every level holds, also the comparison with a seal number noted earlier."""
        return all(level.holds for level in self.found.levels)


def verify(path: Path, noted: Sequence[str] = (), *, own: bool, now: datetime) -> Verified:
    """Verify a file at `now`. `own`: it is the logbook in use; `noted`: seal numbers noted earlier, “412:9f3a…”.

    Raises BadInput when there is no such file or a seal number is none; what opening the file raises.
    """
    from gwlog import files
    from gwlog.journal import soundness, store

    if own:
        store.ready(path)
        return Verified(_as_noted(path, soundness.examine(path, noted=noted, now=now)), odd=_dated_ahead(path, now))
    if not path.exists():
        raise BadInput(f"There is no file {path} to verify.")
    if not path.is_dir():   # a pack may be unpacked
        files.refuse_odd(path)
    if not files.is_database(path):
        return _not_a_logbook(path, noted, now)
    try:
        stale = store.stale(path)
    except NotALogbook as fault:
        return Verified(soundness.unreadable(fault))
    if stale:
        return Verified(_in_a_copy(path, noted, now))
    return Verified(_as_noted(path, soundness.examine(path, noted=noted, now=now)))


def _not_a_logbook(path: Path, noted: Sequence[str], now: datetime) -> Verified:
    from gwlog import files
    from gwlog.documents import handover_check
    from gwlog.journal import export_file
    from gwlog.journal.seal import number_of

    numbers = [":".join(map(str, number_of(known))) for known in noted]
    if path.is_file() and handover_check.is_handover(path):
        found, unchecked = handover_check.verify(path, numbers, now)
        return Verified(found, unchecked)
    if files.beginning(path, 1) == b"{":
        found, unchecked = export_file.verify(path, numbers, now)
        return Verified(found, unchecked)
    return _pack(path, numbers, now)


def _pack(path: Path, noted: Sequence[str], now: datetime) -> Verified:
    """A pack: what the program in it checks, that program, and its papers made again from the entries."""
    from gwlog.documents.pack import made_again
    from gwlog.journal import pack
    from gwlog.journal.check_seal import NOT_CHECKED

    found = pack.verify(path, noted=noted, now=now)
    if not found.holds:
        return Verified(found, tuple(NOT_CHECKED))
    again = made_again(path)
    if again.level is None:
        return Verified(found, (*NOT_CHECKED, str(again.why_not)))
    return Verified(replace(found, levels=(*found.levels, again.level)), tuple(NOT_CHECKED))


def _as_noted(path: Path, found: Verification) -> Verification:
    """The verification with one level more where gwlog itself noted seal numbers of the logbook at this place."""
    from gwlog.journal import noted_lines
    from gwlog.journal.seal import Level

    try:
        compared = noted_lines.compared(path)
    except GwlogError:
        return found   # it cannot be read, as its other levels say
    if not compared.asked:
        return found
    different = compared.difference
    level = Level("noted here", True, f"{plural(compared.asked, 'number')}, the last is entry "
                                      f"{max(line.number for line in compared.lines[-compared.asked:])}'s") \
        if different is None else Level("noted here", False, words(different, _zone(path)))
    return replace(found, levels=(*found.levels, level))


def _zone(path: Path) -> str:
    from gwlog.household import read_zone

    try:
        return read_zone(path)
    except GwlogError:
        return "UTC"


def _dated_ahead(path: Path, now: datetime) -> tuple[str, ...]:
    from gwlog.decisions.clock_faults import problems
    from gwlog.household import look

    try:
        home = look(path, now)
    except GwlogError:
        return ()  # the seal's answer says which entry cannot be read
    found = problems(home.entries, home.standing, now, home.zone)
    return tuple(str(joined([one.text, one.way_out], " ")) for one in found)


def _in_a_copy(path: Path, noted: Sequence[str], now: datetime) -> Verification:
    """A logbook of an older layout is upgraded in a copy, so that somebody else's file stays as it is."""
    from gwlog.journal import backup, soundness, store

    with drafts.folder() as folder:
        copy = folder / "logbook.db"
        backup.copy(path, copy)
        store.upgrade(copy)
        return soundness.examine(copy, noted=noted, now=now)
