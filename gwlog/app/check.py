"""Whether a logbook is sound, and what lies around it: file, seal, clock, leftovers, and whether its backup comes back.

`check` looks at everything; `quick` at what costs next to nothing, for each start of the screens.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from gwlog import clock
from gwlog.actions import Action, Hint
from gwlog.errors import BadInput, GwlogError, LogbookBusy, LogbookNewer, NoLogbook, NotALogbook
from gwlog.text import plural
from gwlog.views.check_report import Part

if TYPE_CHECKING:
    from gwlog.journal.repair import Repaired


@dataclass(frozen=True, slots=True)
class Check:
    """Everything that was looked at, and what was repaired before that."""

    parts: tuple[Part, ...]
    repaired: Repaired | None = None

    @property
    def sound(self) -> bool:
        """Whether nothing is at fault."""
        return all(part.state != "fault" for part in self.parts)


def check(path: Path, now: datetime, *, repair: bool = False, backups: Path | None = None) -> Check:
    """Look at a logbook in every respect; with `repair` what can be made anew is, before that.

    `backups`: the folder of its backups (default: “backups” beside it). Leftovers of stopped commands are removed.
    Raises NoLogbook, LogbookNewer, LogbookBusy, BadInput for a folder that is none, GwlogError when the disk fails.
    """
    from gwlog import drafts
    from gwlog.journal import backup, kept_backups, store
    from gwlog.journal import repair as repairs

    folder = path.absolute().parent / backup.FOLDER if backups is None else backups
    if backups is not None and not folder.is_dir():
        raise BadInput(f"There is no folder {folder} with backups.")
    swept = drafts.sweep_around(path, folder)
    done = None
    try:
        store.ready(path)
        broken = None
    except (NoLogbook, LogbookNewer, LogbookBusy):
        raise
    except NotALogbook as fault:
        broken = fault
    if repair:
        same = [one.file for one in reversed(kept_backups.of_household(folder, path))]
        done = repairs.repair(path, now=now, backups=same)
        broken = None if done.done else broken
    if broken is not None:
        file = Part("file", "fault", str(broken), broken.hint)
        return Check((file, _leftovers(swept), _trial(path, folder, now)), done)
    return Check((*_soundness(path), *_moments(path, now), *_noted(path, folder), _leftovers(swept),
                  _trial(path, folder, now)), done)


def quick(path: Path, now: datetime) -> tuple[Part, ...]:
    """What is wrong that can be seen at next to no cost: pages, guards, the clock; and leftovers are removed.

    Empty where nothing is. Raises nothing: a logbook that cannot be opened says so by itself.
    """
    from gwlog import drafts
    from gwlog.household import read_zone
    from gwlog.journal import reader, soundness
    from gwlog.journal.backup import FOLDER
    from gwlog.journal.guards import triggers

    drafts.sweep(path.absolute().parent)
    more = Hint("See more: ", Action("check"))
    found = []
    try:
        level = soundness.quick(path)
        if not level.holds:
            found.append(Part("file", "fault", level.detail, more))
        with reader.reading(path) as connection:
            guards = dict(connection.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall())
        if guards != triggers():
            found.append(Part("write protection", "fault", "the write protection is not as it should be", more))
        if (odd := _clock(path, now, read_zone(path))) is not None:
            found.append(odd)
        found += [part for part in _noted(path, path.absolute().parent / FOLDER) if part.state == "fault"]
    except GwlogError:
        return tuple(found)
    return tuple(found)


def _leftovers(swept: Sequence[Path]) -> Part:
    if not swept:
        return Part("leftovers", "sound", "none")
    named = ", ".join(one.name[:60] for one in swept[:3]) + (" and others" if len(swept) > 3 else "")
    return Part("leftovers", "mind", f"{plural(len(swept), 'draft')} of commands that were stopped, removed: {named}")


def _soundness(path: Path) -> list[Part]:
    from gwlog.journal import soundness

    found = soundness.examine(path)
    mend = Hint("Repair it: ", Action("check", repair=""))
    return [Part(level.name, "sound" if level.holds else "fault", level.detail, None if level.holds else mend)
            for level in found.levels]


def _moments(path: Path, now: datetime) -> list[Part]:
    """Entries that a clock dated ahead, and the clock against the last entry."""
    from gwlog.decisions.clock_faults import clock_marks, marked_words, problems
    from gwlog.household import look

    try:
        home = look(path, now)
        ahead = problems(home.entries, home.standing, now, home.zone)
    except GwlogError:
        return []   # which row it is stands above already
    name = "entries ahead of now"
    parts = [Part(name, "fault", one.text, one.way_out) for one in ahead] or [Part(name, "sound", "none")]
    marked = marked_words(clock_marks(home.entries))
    return [*parts, *(Part("clock when they were written", "mind", words) for words in marked),
            _clock(path, now, home.zone) or Part("clock", "sound", "not before the last entry")]


def _clock(path: Path, now: datetime, zone: str) -> Part | None:
    """What is odd about the clock, against the moment at which the last entry was written."""
    from gwlog.decisions.clock_faults import clock_words
    from gwlog.journal import reader

    last = reader.last_seal(path)[2]
    words = None if last is None else clock_words(last, now, zone)
    return None if words is None else Part("clock", "mind", words)


def _noted(path: Path, folder: Path) -> list[Part]:
    """The logbook against the seal numbers that gwlog noted by itself, and whether the second place has them too."""
    from gwlog import settings
    from gwlog.decisions import lost_entries
    from gwlog.household import read_zone
    from gwlog.journal import kept_backups, noted_lines

    name, again = "noted numbers", "second place"
    try:
        found = noted_lines.compared(path)
        zone = read_zone(path)
    except GwlogError:
        return []   # what keeps the file from being read stands above already
    if found.difference is not None:
        holder = kept_backups.holding(folder, path, found.difference.noted)
        return [Part(name, "fault", lost_entries.words(found.difference, zone), lost_entries.way_out(holder))]
    if settings.noted_folder() is None:
        return [Part(name, "sound", f"none are kept on this machine ({settings.NOTED_VARIABLE} is empty)")]
    if not found.lines or found.file is None:
        return [Part(name, "sound", "none yet; the next entry is noted")]
    fits = Part(name, "sound", f"{plural(len(found.lines), 'number')} since "
                               f"{clock.echo(found.lines[0].moment, zone)}, as the logbook is")
    behind = noted_lines.catch_up(found.file)
    if behind is not None:
        return [fits, Part(again, "mind", f"{behind}; it is brought up to date with the next entry")]
    place = noted_lines.second_place()
    return [fits, *([Part(again, "sound", f"{place} has them too")] if place is not None else [])]


def _trial(path: Path, folder: Path, now: datetime) -> Part:
    """The newest backup restored on trial, into a temporary place."""
    from gwlog import drafts
    from gwlog.journal import backup, kept_backups, reader

    name = "newest backup"
    kept = kept_backups.of_household(folder, path)
    if not kept:
        return Part(name, "mind", f"there is none in {folder}", Hint("Make one: ", Action("backup")))
    newest = kept[-1]
    try:
        with drafts.folder() as place:
            done = backup.restore(newest.file, place / "logbook.db", now=now)
    except GwlogError as fault:
        return Part(name, "fault", f"{newest.file.name} cannot be restored: {fault}",
                    Hint("Make a new one: ", Action("backup")))
    try:
        since = max(0, reader.last_seal(path)[0] - done.entries)
    except GwlogError:
        since = 0
    return Part(name, "sound", f"{newest.file.name}: {plural(done.entries, 'entry', 'entries')} restored on trial"
                + (f"; {plural(since, 'entry', 'entries')} since" if since else ""))
