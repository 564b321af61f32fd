"""Takes in the records of many homes: each verified, each compared with the last one received of the same home.

Nothing is remembered of a record that does not verify, or that does not continue the last one.
"""

from __future__ import annotations

import json
import os
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from datetime import datetime
from functools import partial
from multiprocessing import get_context
from pathlib import Path
from typing import Any

from gwlog import clock, files
from gwlog.errors import BadInput, GwlogError
from gwlog.journal.received import Last, Received, compared, number_of
from gwlog.journal.record_file import NoRecord, RecordFile, is_candidate, missing_in, read
from gwlog.text import one_line

MOST_FILES = 20_000
_LARGEST_MEMORY = 20_000_000
_ALONE = 6
"""So few files are gone through faster than other processes start."""

_NUMBER = re.compile(r"[1-9]\d{0,14}:[0-9a-f]{64}", re.ASCII)


def receive(folder: Path, now: datetime, memory: Path, *, accept: Sequence[Path] = ()) -> Received:
    """Verify every record in a folder and those below it, and remember the last seal number of each that holds.

    `memory`: the file in which they are remembered; `accept`: records of homes that are new under a known name. Raises
    BadInput for a folder that is none or a memory that is none, GwlogError when the disk fails; then nothing is
    remembered.
    """
    known = _remembered(memory)
    paths = list(_paths(folder))
    found = list(_each(paths, {home: [one.number] for home, one in known.items()}))
    records = [one for one in found if isinstance(one, RecordFile)]
    others = [one for one in found if isinstance(one, NoRecord)]
    accepted = {path.resolve() for path in accept}
    strange = accepted - {one.file.resolve() for one in records}
    if strange:
        raise BadInput(f"{min(strange)} is no record in {folder}; name one of those that were found there.")
    homes = tuple(sorted(compared(records, known, accepted, missing_in), key=lambda one: (one.record.site.casefold(),
                                                                           str(one.record.file))))
    fresh = {home.record.home: _last(home.record, now) for home in homes if not home.faults and home.same_as is None}
    if fresh:
        _remember(memory, known | fresh)
    return Received(folder, now, homes, tuple(one for one in others if not one.damaged),
                    tuple(one for one in others if one.damaged))


def _paths(folder: Path) -> Iterator[Path]:
    """The files of a folder and those below it, by name; an unpacked record is one. Links are not followed."""
    if not folder.is_dir():
        raise BadInput(f"{folder} is no folder; name the one in which the records are.")
    if is_candidate(folder):
        yield folder
        return
    count = 0
    for where, below, names in os.walk(folder):
        here = Path(where)
        below[:] = sorted(name for name in below if not name.startswith(".") and not (here / name).is_symlink())
        unpacked = [name for name in below if is_candidate(here / name)]
        below[:] = [name for name in below if name not in unpacked]
        for name in sorted([*unpacked, *(name for name in names if not name.startswith("."))]):
            count += 1
            if count > MOST_FILES:
                raise BadInput(f"{folder} holds more than {MOST_FILES:,} files; name a folder with the records alone.")
            yield here / name


def _each(paths: Sequence[Path], known: Mapping[str, Sequence[str]]) -> Iterable[RecordFile | NoRecord]:
    """Every file read and verified, on all processors where they are many."""
    one = partial(read, known=known)
    if len(paths) <= _ALONE:
        return map(one, paths)
    count = min(os.cpu_count() or 1, 8)
    with ProcessPoolExecutor(count, mp_context=get_context("spawn")) as pool:
        return list(pool.map(one, paths, chunksize=max(1, min(16, len(paths) // (count * 4)))))


def _last(record: RecordFile, now: datetime) -> Last:
    return Last(record.site, number_of(record), clock.iso(now))


def _remembered(memory: Path) -> dict[str, Last]:
    """What was remembered. Raises BadInput where the file is not one of these."""
    if not memory.exists():
        return {}
    content = files.read_whole(memory, _LARGEST_MEMORY, "no memory of records is")
    try:
        return {home: _checked(one) for home, one in json.loads(content)["homes"].items()
                if re.fullmatch("[0-9a-f]{64}", home) or _refuse()}
    except (ValueError, KeyError, TypeError, AttributeError):
        raise BadInput(f"{memory} does not hold the seal numbers of records received before; nothing was changed.",
                       hint="Move it away to begin again, or name another: --memory FILE") from None


def _checked(one: dict[str, Any]) -> Last:
    made = Last(one["site"], one["number"], one["received"])
    if not all(isinstance(word, str) for word in (made.site, made.number, made.received)) \
            or not _NUMBER.fullmatch(made.number):
        _refuse()
    return replace(made, site=one_line(made.site))


def _refuse() -> bool:
    raise ValueError("not as it was written")


def _remember(memory: Path, homes: Mapping[str, Last]) -> None:
    content = {"homes": {home: {"site": one.site, "number": one.number, "received": one.received}
                         for home, one in sorted(homes.items())}}
    try:
        files.make_folder(memory.absolute().parent)
        files.write_whole(memory, (json.dumps(content, ensure_ascii=False, indent=1) + "\n").encode(), replace=True)
    except GwlogError as fault:
        raise GwlogError(f"Everything was verified, but nothing of it is remembered: {fault}", hint=fault.hint) \
            from None
