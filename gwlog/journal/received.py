"""What records of many homes come to: each compared with the last one received of its home and with those beside it.

Pure; the files are read by record_file.py.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from gwlog.journal.record_file import NoRecord, RecordFile
from gwlog.text import plural

Missing = Callable[[Path, Sequence[str]], Sequence[str]]


@dataclass(frozen=True, slots=True)
class Last:
    """What is remembered of a home: what it calls itself, its last seal number, and when that was received (UTC)."""

    site: str
    number: str
    received: str


@dataclass(frozen=True, slots=True)
class Home:
    """One home's newest record. `before`: what was remembered of it; `older`: how many older records lay beside it;
    `faults`: what is wrong, in sentences; `known_since`: ISO day on which the same record was received before.
    """

    record: RecordFile
    before: Last | None
    faults: tuple[str, ...] = ()
    older: int = 0
    same_as: str | None = None


@dataclass(frozen=True, slots=True)
class Received:
    """What lay in a folder: the homes by name, and the files that are no records, or damaged ones."""

    folder: Path
    at: datetime
    homes: tuple[Home, ...]
    passed_over: tuple[NoRecord, ...]
    damaged: tuple[NoRecord, ...]

    @property
    def fine(self) -> bool:
        """Whether every record holds and continues the last one of its home."""
        return not self.damaged and not any(home.faults for home in self.homes)


def compared(records: Sequence[RecordFile], known: Mapping[str, Last], accepted: set[Path],
             missing: Missing) -> Iterator[Home]:
    """The newest record of each home with what is wrong with it.

    `known`: what is remembered, by home; `accepted`: files of homes that are new under a known name; `missing`: of
    seal numbers, those that are not in a record.
    """
    by_home: dict[str, list[RecordFile]] = {}
    for record in records:
        by_home.setdefault(record.home if record.fault is None else f"at fault: {record.file}", []).append(record)
    newest = {home: max(those, key=lambda one: (one.number, one.made, str(one.file))) for home, those in
              by_home.items()}
    names: dict[str, set[str]] = {}
    for home, one in known.items():
        names.setdefault(one.site.casefold(), set()).add(home)
    here: dict[str, list[str]] = {}
    for home, record in newest.items():
        if record.fault is None:
            here.setdefault(record.site.casefold(), []).append(home)
    for home, record in newest.items():
        older = [one for one in by_home[home] if one is not record]
        before = known.get(record.home)
        if record.fault is not None:
            yield Home(record, None, (f"It does not hold: {record.fault}.",))
            continue
        faults = [*_against_last(record, before), *_against_older(record, older, missing)]
        if before is None and record.file.resolve() not in accepted:
            faults += _against_names(record, names.get(record.site.casefold(), set()),
                                     [newest[one] for one in here[record.site.casefold()] if one != home])
        same = before.received[:10] if before is not None and before.number == number_of(record) else None
        yield Home(record, before, tuple(faults), len(older), same)


def _against_last(record: RecordFile, before: Last | None) -> list[str]:
    if before is None or not record.missing:
        return []
    count = int(before.number.partition(":")[0])
    day = before.received[:10]
    if record.number < count:
        return [f"It is older than the one received on {day}: {plural(record.number, 'entry', 'entries')}, and that "
                f"one had {count:,}."]
    return [f"It does not continue the one received on {day}: entry {count:,} is another one than it was then."]


def _against_older(record: RecordFile, older: Sequence[RecordFile], missing: Missing) -> list[str]:
    """Whether the older records of the same home beside it are its beginning."""
    gone = set(missing(record.file, [number_of(one) for one in older])) if older else set()
    return [f"It does not continue {one.file.name}: entry {one.number:,} is another one there."
            for one in older if number_of(one) in gone]


def _against_names(record: RecordFile, known: set[str], beside: Sequence[RecordFile]) -> list[str]:
    if known:
        return [f"It is of another home than the one that was called “{record.site}” before. If it is a new logbook, "
                "take it in by its name: --accept FILE"]
    return [f"Two homes are called “{record.site}”: here and in {one.file.name}. If both are right, take each in by "
            "its name: --accept FILE" for one in beside[:1]]


def number_of(record: RecordFile) -> str:
    """The seal number of a record, “412:9f3a…” with all its digits."""
    return f"{record.number}:{record.digest}"
