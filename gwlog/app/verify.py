"""Verifies a logbook (its file and its seal), the own one, another's or a backup; a record pack, a handover, an export.

No file is changed by it, but for the own logbook, which is brought to the present layout like at any other reading.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from gwlog import drafts
from gwlog.actions import joined
from gwlog.clock import Locale, echo
from gwlog.decisions.lost_entries import words
from gwlog.errors import BadInput, GwlogError, NotALogbook
from gwlog.journal import reader
from gwlog.journal.facts import standing_entries
from gwlog.text import plural

if TYPE_CHECKING:
    from gwlog.app.witness import Again
    from gwlog.decisions.witnessed import Graded
    from gwlog.journal.seal import Verification
    from gwlog.journal.seal_number import SealNumber


@dataclass(frozen=True, slots=True)
class Verified:
    """What verifying found. `unchecked`: what a record pack asks of others; empty for a logbook. `odd`: entries dated
    ahead of when they were written, which the seal does not show.
    """

    found: Verification
    unchecked: tuple[str, ...] = ()
    odd: tuple[str, ...] = ()
    graded: Graded | None = None
    told: tuple[str, ...] = ()
    """The grade in words, and what each stored answer of a witness shows now."""

    @property
    def all_odd(self) -> tuple[str, ...]:
        """Everything that holds and is odd."""
        return (*self.odd, *self.found.odd)

    @property
    def holds(self) -> bool:
        """Whether every level holds, also the comparison with every seal number noted earlier."""
        return all(level.holds for level in self.found.levels)


def verify(path: Path, noted: Sequence[str], *, own: bool, now: datetime) -> Verified:
    """Verify a file at `now`. `own`: it is the logbook in use; `noted`: seal numbers noted earlier, in digits or words,
    or files that hold some: each is judged, all must hold.

    Raises BadInput when there is no such file or a seal number is none; what opening the file raises.
    """
    from gwlog import files
    from gwlog.app.witness import noted_of
    from gwlog.journal import backup, soundness, store

    known = noted_of(noted)
    numbers = [number for number, _ in known]
    if own:
        store.ready(path)
        found = _as_noted(path, soundness.examine(path, noted=numbers, now=now))
        return _with_witnesses(path, found, known, odd=_dated_ahead(path, now))
    if not path.exists():
        raise BadInput(f"There is no file {path} to verify.")
    if not path.is_dir():   # a pack may be unpacked
        files.refuse_odd(path)
    if not files.is_database(path):
        return _not_a_logbook(path, numbers, now)
    try:
        stale = store.stale(path)
    except NotALogbook as fault:
        return Verified(soundness.unreadable(fault))
    if not stale:
        return _with_witnesses(path, _as_noted(path, soundness.examine(path, noted=numbers, now=now)), known)
    with drafts.folder() as folder:   # upgraded in a copy, so that somebody else's file stays as it is
        copy = folder / "logbook.db"
        backup.copy(path, copy)
        store.upgrade(copy)
        return _with_witnesses(copy, soundness.examine(copy, noted=numbers, now=now), known)


def _not_a_logbook(path: Path, noted: Sequence[SealNumber], now: datetime) -> Verified:
    from gwlog import files
    from gwlog.documents import handover_check
    from gwlog.journal import export_file

    if path.is_file() and handover_check.is_handover(path):
        found, unchecked = handover_check.verify(path, noted, now)
        return Verified(found, unchecked)
    if files.beginning(path, 1) == b"{":
        found, unchecked = export_file.verify(path, [str(number) for number in noted], now)
        return Verified(found, unchecked)
    return _pack(path, noted, now)


def _pack(path: Path, noted: Sequence[SealNumber], now: datetime) -> Verified:
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
    from gwlog.journal.level import Level

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


def _with_witnesses(path: Path, found: Verification, noted: Sequence[tuple[SealNumber, str | None]],
                    odd: tuple[str, ...] = ()) -> Verified:
    """What was found, with the grade of the record and each stored answer verified again."""
    from gwlog.app.witness import verified_again
    from gwlog.decisions.witnessed import SHOWS, witnessed
    from gwlog.journal.level import Level
    from gwlog.state import fold

    try:
        state = fold(standing_entries(reader.read(path)).facts)
    except GwlogError:
        return Verified(found, odd=odd)   # a level says which entry cannot be read
    again = verified_again(path, state.attestations)
    faults = [f"entry {one.entry.id}: {one.fault}" for one in again if one.fault is not None]
    if again:
        level = Level("answers", not faults, faults[0] if faults else f"{plural(len(again), 'answer')} looked at")
        found = replace(found, levels=(*found.levels, level))
    days = [(number.entries, None if day is None else date.fromisoformat(day)) for number, day in noted]
    graded = witnessed(state.attestations, found.entries, state.zone,
                       stamped={one.entry.id: one.judged.at for one in again if one.judged and one.judged.at},
                       failed=[one.entry.id for one in again if one.judged is None], noted=days if found.holds else ())
    told = [_told(one, state.zone) for one in again if one.fault is None]
    if found.holds:
        told = [graded.sentence(state.zone.system), SHOWS[graded.grade], *told]
    return Verified(found, odd=odd, graded=graded, told=tuple(told))


def _told(one: Again, zone: Locale) -> str:
    """What a stored answer shows as it verifies now."""
    assert one.entry.number is not None
    what = f"Entry {one.entry.id}, {one.entry.means} for {one.entry.number.partition(':')[0]}"
    if one.judged is None:
        return f"{what}: not verified here, since {one.missing}."
    moment = "" if one.judged.at is None else f", of {echo(one.judged.at, zone)}"
    known = "" if one.judged.trusted else "; whether it is theirs was not checked here: compare it"
    key = "by the key" if one.entry.means == "SSH signature" and not one.judged.trusted else "by"
    return f"{what}: verifies{moment}, {key} {one.judged.who}{known}."


def _dated_ahead(path: Path, now: datetime) -> tuple[str, ...]:
    from gwlog.decisions.clock_faults import problems
    from gwlog.household import look

    try:
        home = look(path, now)
    except GwlogError:
        return ()  # the seal's answer says which entry cannot be read
    found = problems(home.entries, home.standing, now, home.zone)
    return tuple(str(joined([one.text, one.way_out], " ")) for one in found)
