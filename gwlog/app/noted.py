"""The seal numbers that gwlog notes by itself: where they are kept, whether the logbook is as they say, a second place.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from gwlog import clock, settings
from gwlog.actions import Words
from gwlog.app.imports import taken_as_it_is
from gwlog.decisions import lost_entries
from gwlog.errors import BadInput, GwlogError
from gwlog.household import read_zone
from gwlog.journal import kept_backups, noted_lines, store
from gwlog.journal.backup import FOLDER
from gwlog.journal.noted_number import Noted
from gwlog.state import Problem
from gwlog.text import plural


@dataclass(frozen=True, slots=True)
class NotedNumbers:
    """What is noted of a logbook. `file`: where, None where nothing is; `second`: the other folder, `behind`: why it is
    not up to date; `problem`: how the logbook is not what was noted.
    """

    file: Path | None
    lines: tuple[Noted, ...]
    second: Path | None
    behind: str | None
    problem: Problem | None
    zone: clock.Locale

    @property
    def told(self) -> list[Words]:
        """All of it in lines, what is wrong first."""
        if self.file is None:
            return [f"No seal numbers are kept on this machine: {settings.NOTED_VARIABLE} is empty."]
        made: list[Words] = [] if self.problem is None else [self.problem.text, self.problem.way_out]
        if self.lines:
            last = self.lines[-1]
            made.append(f"{plural(len(self.lines), 'seal number')} noted, the last one "
                        f"{clock.echo(last.moment, self.zone)}: {last.number}:{last.hash[:16]}")
        else:
            made.append("No seal number is noted yet; the next entry is.")
        made.append(f"Kept in {self.file}")
        made.append("Second place: none" if self.second is None else f"Second place: {self.second}"
                    + (f" ({self.behind}; brought up to date with the next entry)" if self.behind else ""))
        fits = self.problem is None and self.lines
        return [*made, *(["The logbook holds everything that was noted."] if fits else [])]


def noted(path: Path) -> NotedNumbers:
    """What is noted of the logbook at a path, and whether it is so. Raises what opening the logbook raises."""
    store.ready(path)
    zone, found = read_zone(path), noted_lines.compared(path)
    behind = noted_lines.catch_up(found.file) if found.file is not None and found.lines else None
    problem = None
    if found.difference is not None:
        holder = kept_backups.holding(path.absolute().parent / FOLDER, path, found.difference.noted)
        problem = lost_entries.problem(found.difference, holder, zone)
    return NotedNumbers(found.file, tuple(found.lines), noted_lines.second_place(), behind, problem, zone)


def second_place(typed: str, path: Path) -> str:
    """Keep the numbers in a second folder as well (“none” or nothing: no longer); returns what was done, in words.

    Raises BadInput for what is no folder, or lies with the logbook.
    """
    if typed.strip().casefold() in ("", "none"):
        noted_lines.set_second_place(None)
        return "There is no second place any more; what is there stays."
    folder = settings.typed_path(typed).absolute()
    if not folder.is_dir():
        raise BadInput(f"There is no folder {folder}; name one that is there, like a synchronized one or a disk.")
    if folder.resolve() == path.absolute().parent.resolve():
        raise BadInput(f"{folder} is the logbook's own folder; what takes the logbook would take the numbers too.",
                       hint="Name a folder on another disk, or one that is synchronized.")
    noted_lines.set_second_place(folder)
    return f"Seal numbers go to {folder} as well, from the next entry on and what was noted before."


def as_it_is(path: Path, now: datetime) -> str:
    """Take the logbook as it is now: what was noted of entries that it no longer holds is not asked for any more.

    Raises GwlogError where that cannot be noted.
    """
    untold: list[str] = []
    taken_as_it_is(path, now, untold.append)
    if untold:
        raise GwlogError(untold[0])
    if settings.noted_folder() is None:
        raise BadInput(f"No seal numbers are kept on this machine: {settings.NOTED_VARIABLE} is empty.")
    return "The logbook counts as it is now. What was noted before stays in the file and is not asked for any more."
