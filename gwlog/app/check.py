"""Whether a logbook is sound, and what lies around it: file, seal, clock, leftovers, and whether its backup comes back.

`check` looks at everything; `quick` at what costs next to nothing, for each start of the screens.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from gwlog.actions import Action, Hint
from gwlog.errors import BadInput, GwlogError, LogbookBusy, LogbookNewer, NoLogbook, NotALogbook
from gwlog.text import plural
from gwlog.views.check_report import Part

if TYPE_CHECKING:
    from gwlog.journal.facts import Fact
    from gwlog.journal.repair import Repaired

TOLERANCE = timedelta(minutes=5)
"""How far two clocks of a household may differ before it is told."""


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
    return Check((*_soundness(path), *_moments(path, now), _leftovers(swept), _trial(path, folder, now)), done)


def quick(path: Path, now: datetime) -> tuple[Part, ...]:
    """What is wrong that can be seen at next to no cost: pages, guards, the clock; and leftovers are removed.

    Empty where nothing is. Raises nothing: a logbook that cannot be opened says so by itself.
    """
    from gwlog import drafts
    from gwlog.journal import reader, soundness
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
        last = reader.last_seal(path)[2]
        if last is not None and last > now + TOLERANCE:
            found.append(_behind(last))
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
    from gwlog.journal import reader
    from gwlog.journal.facts import standing_entries

    try:
        facts = reader.read(path)
    except NotALogbook:
        return []   # which row it is stands above already
    ahead = [fact for fact in standing_entries(facts).facts if fact.happened_at > now + TOLERANCE]
    parts = [_ahead([fact for fact in ahead if fact.recorded_at > now + TOLERANCE],
                    [fact for fact in ahead if fact.recorded_at <= now + TOLERANCE])]
    last = max((fact.recorded_at for fact in facts), default=None)
    if last is not None and last > now + TOLERANCE:
        parts.append(_behind(last))
    else:
        parts.append(Part("clock", "sound", "not before the last entry"))
    return parts


def _ahead(wrong: Sequence[Fact], meant: Sequence[Fact]) -> Part:
    name = "entries ahead of now"
    if wrong:
        first = min(wrong, key=lambda fact: fact.id)
        return Part(name, "fault",
                    f"{plural(len(wrong), 'entry', 'entries')} written while the clock was ahead, the first is "
                    f"{first.id}, of {first.happened_at:%Y-%m-%d %H:%M} UTC: nothing comes of them until then",
                    Hint("Say when it was: ", Action("correct", number=first.id, at="WHEN"), ", or withdraw it: ",
                         Action("withdraw", number=first.id, note="the clock was ahead")))
    later = f"{plural(len(meant), 'entry', 'entries')} to come into force later"
    return Part(name, "sound", later if meant else "none")


def _behind(last: datetime) -> Part:
    return Part("clock", "mind", f"it is before the last entry, which was written on {last:%Y-%m-%d %H:%M} UTC: the "
                "clock is wrong now, or it was then", "Set the clock of this machine if it is wrong.")


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
