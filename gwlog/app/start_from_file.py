"""A logbook begun from a file that somebody has: an export, a record pack, a handover, a backup, or a site file.

What the file is, it says itself; everything in it is verified before anything is made.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from gwlog.app.imports import Mind, restore, taken_as_it_is
from gwlog.errors import BadInput
from gwlog.importers.entries import entries_in, kind_of
from gwlog.journal import backup, exchange, reader


@dataclass(frozen=True, slots=True)
class Started:
    """What a logbook was begun from, and what came in or would.

    `entries`: how many; `restored`: of a backup; `setup`: each description of a site file in a line, and its warnings.
    """

    kind: str
    entries: int
    restored: backup.Restored | None = None
    setup: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()


def begin(file: Path, logbook: Path, now: datetime, *, dry: bool, mind: Mind = lambda _: None) -> Started:
    """Make the logbook (or fill an empty one) from the file, all or nothing; `dry`: only find what would be made.

    `mind` is told of a seal number that could not be noted.

    Raises what reading that kind of file raises; then nothing was made.
    """
    kind = kind_of(file)
    if logbook.exists() and reader.last_seal(logbook)[0]:
        raise BadInput(f"The logbook {logbook} holds entries already; nothing was changed.",
                       hint="A logbook begins from a file only where it is new or empty.")
    if kind == "site file":
        return _described(file, logbook, now, dry=dry, mind=mind)
    if kind == "backup":
        done = restore(file, logbook, now, dry=dry, mind=mind)
        return Started(kind, done.entries, done)
    content = entries_in(file)
    if dry:
        return Started(kind, len(exchange.read_export(content)))
    count = exchange.import_into(logbook, content)
    taken_as_it_is(logbook, now, mind)
    return Started(kind, count)


def _described(file: Path, logbook: Path, now: datetime, *, dry: bool, mind: Mind) -> Started:
    from gwlog.app.door import describe as begin_with
    from gwlog.setup.describe import describe
    from gwlog.setup.read import read_site_path
    from gwlog.state import fold

    site = read_site_path(file, now=now)
    if not dry:
        begin_with(logbook, site.facts, now, mind=lambda words: mind(str(words)))
    return Started("site file", len(site.facts), None, tuple(describe(site.facts, fold([]))), tuple(site.warnings))
