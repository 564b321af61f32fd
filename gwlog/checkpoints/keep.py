"""Reading a logbook by the help of its checkpoints, and keeping them when the answer has been given.

A checkpoint only saves time: with it and without it every answer is the same.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import suppress
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

from gwlog import clock
from gwlog.checkpoints import file
from gwlog.checkpoints.log import UNSOUND, Log, Part, part_of
from gwlog.decisions.clock_faults import gone_back
from gwlog.errors import GwlogError
from gwlog.journal import noted_lines, reader
from gwlog.values import NamedTuple

if TYPE_CHECKING:
    import sqlite3

    from gwlog.journal.facts import Fact, Standing

BEHIND_DAYS = 77
"""So far behind a checkpoint stays at the least: the habit's eight weeks before this week began, and a week or two of
looks at days gone by."""

LONGEST_TAIL_DAYS = 112
"""A longer part behind the youngest checkpoint asks for a new one."""

LATE, YEAR = (BEHIND_DAYS, 140), (366, 800)
"""How many days ago the checkpoints lie, at least and at most: of late, and of a year ago for what reaches back."""

HABIT = timedelta(days=58)
"""How far back the loads of late are asked for; a checkpoint farther behind serves better."""

LEAST_ENTRIES = 400
"""A shorter logbook is read as quickly as a checkpoint."""

AGAIN, LONGEST_NOTE = timedelta(days=7), 120
"""So long a checkpoint that could not be made is left alone; how long a line that notes it is at most."""


class _Read(NamedTuple):
    """What was read of a logbook last: under which id and rules, how old its youngest checkpoint is, what was made."""

    logbook: str
    rules: str
    day: date | None
    made: str | None


_read: dict[Path, _Read] = {}


def read(path: Path, now: datetime) -> Log:
    """Read the logbook: behind the youngest checkpoint that serves a look at `now`, else all of it.

    Where none holds any more, one is made of what was read, and the look is carried on from there as the next one will
    be. Raises as journal.reader.read() does.
    """
    with reader.reading(path) as connection:
        head = connection.execute("SELECT coalesce(max(seq), 0) FROM seal").fetchone()[0]
        row = connection.execute("SELECT value FROM meta WHERE key = 'logbook_id'").fetchone()
        differs = None if row is None else noted_lines.difference(connection, path, str(row[0]), head)
        if head < LEAST_ENTRIES or row is None:
            return Log(reader.select(connection, path), path=path, head=head, differs=differs)
        logbook, rules = str(row[0]), file.rules()
        youngest: date | None = None
        found: Part | None = None
        for part, _ in _holding(connection, path, head, logbook, rules):
            youngest = youngest or part.day
            if part.serves(now):
                found = part
                if part.serves(now - HABIT):
                    break
        line = None
        if found is not None:
            log = Log(path=path, head=head, part=found, differs=differs)
        else:
            log = Log(reader.select(connection, path), path=path, head=head, differs=differs)
            if youngest is None and file.kept(logbook) and not _tried(file.lines(logbook, rules)):
                line = _line(connection, log.entries, log.standing, LATE)
                found = _part(connection, path, head, line, log) if line is not None else None
                if found is not None and found.serves(now):
                    log = Log(log.entries, path=path, head=head, part=found, differs=differs)
    _read[path] = _Read(logbook, rules, youngest, line)
    return log


def keep_up() -> None:
    """Write the checkpoints that were made, and make those that are missing or far behind.

    Called when the answer was given. What cannot be made or written is left: the next reading takes longer.
    """
    while _read:
        path, known = _read.popitem()
        with suppress(GwlogError):
            if known.made is not None:
                file.write(known.logbook, known.rules, [known.made])
            elif file.kept(known.logbook) and not _in_order(known):
                _keep_up(path, known)


def _in_order(known: _Read) -> bool:
    """Whether there is nothing to make: the youngest is not far behind, and the other is there or was tried."""
    lines = file.lines(known.logbook, known.rules)
    if known.day is None or (clock.now().date() - known.day).days > LONGEST_TAIL_DAYS:
        return _tried(lines)
    return len(lines) > 1 and (len(lines[1]) > LONGEST_NOTE or _tried(lines[1:]))


def _keep_up(path: Path, known: _Read) -> None:
    today = clock.now().date()
    with reader.reading(path) as connection:
        head = connection.execute("SELECT coalesce(max(seq), 0) FROM seal").fetchone()[0]
        held = [(part.day, line) for part, line in _holding(connection, path, head, known.logbook, known.rules)]
        late = [line for day, line in held if (today - day).days <= LONGEST_TAIL_DAYS]
        old = [line for day, line in held if YEAR[0] <= (today - day).days <= YEAR[1]]
        from gwlog.journal.facts import standing_entries

        entries = reader.select(connection, path)
        standing = standing_entries(entries)
        made = [late[0] if late else _line(connection, entries, standing, LATE),
                old[0] if old else _line(connection, entries, standing, YEAR) if late else None]
    lines = [line for line in made if line is not None]
    if late or not lines:
        lines += [file.line_of({"tried": clock.now().isoformat()})] * (len(made) - len(lines))
    file.write(known.logbook, known.rules, lines)


def _holding(connection: sqlite3.Connection, path: Path, head: int, logbook: str,
             rules: str) -> Iterator[tuple[Part, str]]:
    """The checkpoints that hold, the youngest first, with their lines."""
    for held, line in file.read(logbook, rules):
        try:
            part = part_of(connection, path, head, held)
        except UNSOUND:
            continue
        if part is not None:
            yield part, line


def _tried(lines: Sequence[str]) -> bool:
    """Whether the lines note that a checkpoint could not be made of late."""
    try:
        notes = [file.held_in(line) for line in lines if len(line) <= LONGEST_NOTE]
        return any(timedelta() <= clock.now() - datetime.fromisoformat(note["tried"]) < AGAIN for note in notes)
    except UNSOUND:
        return False


def _line(connection: sqlite3.Connection, entries: Sequence[Fact], standing: Standing,
          band: tuple[int, int]) -> str | None:
    """A checkpoint of some days ago, None where none can be made."""
    from gwlog.checkpoints.make import content
    from gwlog.checkpoints.parts import clean_day, ranges, raw_numbers

    today = clock.now().date()
    found = clean_day(standing.facts, today - timedelta(days=band[0]), today - timedelta(days=band[1]))
    if found is None:
        return None
    day, moment, zone = found
    try:
        made = content(standing, moment, day)
    except UNSOUND:   # something in it was never described
        return None
    last = connection.execute("SELECT seq, hash FROM seal ORDER BY seq DESC LIMIT 1").fetchone()
    written = [fact.recorded_at for fact in entries]
    return file.line_of({
        "written": None if gone_back(written) else written[-1].isoformat(),
        "number": last[0], "hash": last[1], "moment": moment.isoformat(), "day": day.toordinal(), "zone": zone,
        "behind": ranges(raw_numbers(standing, moment)), "content": made})


def _part(connection: sqlite3.Connection, path: Path, head: int, line: str, log: Log) -> Part | None:
    """The part behind a checkpoint that was just made."""
    held: dict[str, Any] = file.held_in(line)
    return part_of(connection, path, head, held, lambda: log.standing.facts)
