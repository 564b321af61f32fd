"""Reading a logbook by the help of its checkpoints, and making them anew when the answer has been given.

A checkpoint only saves time: with it and without it every answer is the same.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

from gwlog import clock
from gwlog.checkpoints import file
from gwlog.checkpoints.log import UNSOUND, Log, part_of
from gwlog.journal import reader

BEHIND_DAYS = 77
"""So far behind a checkpoint stays at the least: the habit's eight weeks before this week began, and a week or two of
looks at days gone by."""

LONGEST_TAIL_DAYS = 112
"""A longer part behind the youngest checkpoint asks for a new one."""

BANDS = ((BEHIND_DAYS, 140), (366, 800), (1826, 2700))
"""How many days ago the checkpoints lie, at least and at most: of late, of a year, of five."""

HABIT = timedelta(days=58)
"""How far back the loads of late are asked for; a checkpoint farther behind serves better."""

LEAST_ENTRIES = 400
"""A shorter logbook is read as quickly as a checkpoint."""

_read: dict[Path, tuple[str, str, Log]] = {}
"""What was read of each logbook last, for keep_up()."""


def read(path: Path, now: datetime) -> Log:
    """Read the logbook: behind the youngest checkpoint that serves a look at `now`, else all of it.

    Raises as journal.reader.read() does.
    """
    with reader.reading(path) as connection:
        head = connection.execute("SELECT coalesce(max(seq), 0) FROM seal").fetchone()[0]
        if head < LEAST_ENTRIES:
            return Log(reader.select(connection, path), path=path, head=head)
        row = connection.execute("SELECT value FROM meta WHERE key = 'logbook_id'").fetchone()
        logbook, rules = str(row[0]) if row is not None else "", file.rules()
        found = None
        for held in file.read(logbook, rules):
            try:
                part = part_of(connection, path, head, held)
            except UNSOUND:
                continue
            if part is not None and part.serves(now):
                found = part
                if part.serves(now - HABIT):
                    break
        log = Log(None if found else reader.select(connection, path), path=path, head=head, part=found)
    if logbook:
        _read[path] = logbook, rules, log
    return log


def keep_up() -> None:
    """Make the checkpoints anew of what was read last, where they are missing or far behind.

    Called when the answer was given. What cannot be made or written is left: the next reading takes longer.
    """
    now = clock.now()
    for path, (logbook, rules, log) in list(_read.items()):
        del _read[path]
        part = log.part
        if part is not None and (clock.local_day(now, part.zone) - part.day).days <= LONGEST_TAIL_DAYS:
            continue
        if tried(logbook, rules, now):
            continue
        lines = _made(path, logbook, rules, now)
        file.write(logbook, rules, lines or [file.line_of({"tried": now.isoformat()})])


def tried(logbook: str, rules: str, now: datetime) -> bool:
    """Whether no checkpoint could be made of this logbook in the last week."""
    return any(timedelta() <= now - datetime.fromisoformat(held["tried"]) < timedelta(days=7)
               for held in file.read(logbook, rules) if "tried" in held)


def _made(path: Path, logbook: str, rules: str, now: datetime) -> list[str]:
    """The lines of the checkpoints, the youngest first; those that still hold are kept as they are."""
    from gwlog.checkpoints.make import Unfit, content
    from gwlog.checkpoints.parts import clean_day, ranges, raw_numbers
    from gwlog.journal.facts import standing_entries

    with reader.reading(path) as connection:
        last = connection.execute("SELECT seq, hash FROM seal ORDER BY seq DESC LIMIT 1").fetchone()
        kept = _kept(connection, path, last[0], logbook, rules)
        entries = reader.select(connection, path)
    standing = standing_entries(entries)
    lines: list[str] = []
    for number, (least, most) in enumerate(BANDS):
        today = now.date()
        latest, earliest = today - timedelta(days=least), today - timedelta(days=most)
        same = next((line for day, line in kept if earliest <= day <= latest), None) if number else None
        if same is not None:
            lines.append(same)
            continue
        found = clean_day(standing.facts, latest, earliest)
        if found is None:
            continue
        day, moment, zone = found
        try:
            made = content(standing, moment, day)
        except Unfit:
            continue
        lines.append(file.line_of({
            "number": last[0], "hash": last[1], "moment": moment.isoformat(), "day": day.toordinal(), "zone": zone,
            "behind": ranges(raw_numbers(standing, moment)), "content": made}))
    return lines


def _kept(connection: Any, path: Path, head: int, logbook: str, rules: str) -> Sequence[tuple[date, str]]:
    """The checkpoints that still hold: their days and lines."""
    found = []
    for held in file.read(logbook, rules):
        try:
            part = part_of(connection, path, head, held)
        except UNSOUND:
            continue
        if part is not None:
            found.append((part.day, held["line"]))
    return found
