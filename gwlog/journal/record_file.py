"""One record that somebody handed in: what its manifest says, whether it holds, and whether it continues the last one.

The figures of the manifest's summary are the household's own; that the entries hold is verified here.
"""

from __future__ import annotations

import json
import re
import struct
import zipfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from gwlog import files
from gwlog.errors import BadInput
from gwlog.journal import check_seal, pack
from gwlog.text import one_line

ZIP_HEAD = b"PK"
_LONGEST_NAME = 80


@dataclass(frozen=True, slots=True)
class Summary:
    """What the household's gwlog told of the record, for a table; None where it told nothing.

    `had_to_go`, `went`: loads that had to go to the sewer, and those of them that did.
    """

    had_to_go: int | None = None
    went: int | None = None
    open_exceptions: int | None = None
    overdue_upkeep: int | None = None
    clock_behind: int | None = None
    last_entry: date | None = None
    witnessed_until: date | None = None


@dataclass(frozen=True, slots=True)
class RecordFile:
    """A record that was read. `home`: the first entry's hash, by which a home is known again whatever it calls itself.

    `number`, `digest`: the last entry and its hash; `fault`: why it does not hold, None where it does; `numbers`: of
    the seal numbers that were asked about, those that are not in it.
    """

    file: Path
    site: str
    home: str
    number: int
    digest: str
    made: str
    period: tuple[date, date] | None
    summary: Summary
    fault: str | None = None
    missing: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class NoRecord:
    """A file that is no record, or that cannot be read as one. `damaged`: it says that it is one."""

    file: Path
    why: str
    damaged: bool = False


def is_candidate(path: Path) -> bool:
    """Whether a folder is a record that was unpacked."""
    return path.is_dir() and (path / check_seal.MANIFEST).is_file()


def read(path: Path, known: Mapping[str, Sequence[str]]) -> RecordFile | NoRecord:
    """Read and verify one record. `known`: home -> seal numbers “412:9f3a…” that it has to hold.

    Raises nothing: whatever is wrong with a file from elsewhere is told.
    """
    try:
        found = _manifest(path)
        if isinstance(found, NoRecord):
            return found
        return _verified(path, found, known)
    except MemoryError:
        return NoRecord(path, "it takes more memory than any record", damaged=True)
    except (BadInput, OSError) as fault:
        return NoRecord(path, one_line(str(fault))[:160])


def _manifest(path: Path) -> dict[str, Any] | NoRecord:
    """What the manifest says, before anything is believed of it."""
    if not path.is_dir():
        files.refuse_odd(path)
        if files.beginning(path, len(ZIP_HEAD)) != ZIP_HEAD:
            return NoRecord(path, "it is no record pack")
    try:
        with check_seal.opened(path) as opened:
            if check_seal.MANIFEST not in opened.sizes:
                return NoRecord(path, "it is a zip file, but no record pack")
            manifest = check_seal.strict_json(opened.whole(check_seal.MANIFEST).decode())
    except (ValueError, OSError, struct.error) as fault:
        return NoRecord(path, one_line(str(fault))[:160], damaged=_says_it_is_one(path))
    except Exception as fault:   # a hostile file can fail in any way; it is told, and the others are gone through
        return NoRecord(path, f"it cannot be read ({type(fault).__name__})", damaged=True)
    form = manifest.get("form")
    if isinstance(form, str) and form.startswith("gwlog-pack-"):
        return manifest
    if isinstance(form, str) and form.startswith("gwlog-handover-"):
        return NoRecord(path, "it is a handover, for whoever lives there next")
    return NoRecord(path, "its manifest is of no record pack")


def _says_it_is_one(path: Path) -> bool:
    """Whether a file that cannot be read by the strict rule names a record's files, or is cut off."""
    try:
        with zipfile.ZipFile(path) as archive:
            return check_seal.MANIFEST in archive.namelist()
    except zipfile.BadZipFile:
        return True
    except Exception:   # as above
        return True


def _verified(path: Path, manifest: dict[str, Any], known: Mapping[str, Sequence[str]]) -> RecordFile | NoRecord:
    found = pack.verify(path)
    broken = next((f"{level.name}: {level.detail}" for level in found.levels if not level.holds), None)
    fault = None if broken is None else one_line(found.first_broken or broken)[:160]
    hashes, names = ([], []) if fault is not None else _entries(path)
    home = hashes[1] if len(hashes) > 1 else ""
    site = _word(manifest.get("site")) or (names[-1] if names else "")
    try:
        summary, period = _summary(manifest), _period(manifest.get("period"))
    except (ValueError, TypeError, KeyError):
        summary, period, fault = Summary(), None, fault or "its summary says what no gwlog writes"
    if fault is None and not home:
        fault = "it holds no entry"
    if fault is None and names and site not in names:
        fault = "its manifest gives the home another name than its entries do"
    missing = _missing(hashes, known.get(home, ()))
    return RecordFile(path, site, home, found.last_number, found.last_hash,
                      _word(manifest.get("made")), period, summary, fault, missing)


def _entries(path: Path) -> tuple[list[str], list[str]]:
    """The hash of each entry by its number, 64 zeros before the first; and the names that the home had, in order."""
    hashes, names = [check_seal.START], []
    with check_seal.opened(path) as opened:
        for line in opened.lines(check_seal.ENTRIES):
            entry = json.loads(line)
            hashes.append(entry["hash"])
            body = entry.get("body", "")
            if '"kind":"site"' in body:
                names.append(_word(json.loads(body).get("name")))
    return hashes, names


def missing_in(path: Path, numbers: Sequence[str]) -> tuple[str, ...]:
    """Of seal numbers “412:9f3a…”, those that are not in a record that was verified; all, where it cannot be read."""
    try:
        hashes, _ = _entries(path)
    except Exception:   # it changed since it was verified, and can fail in any way
        return tuple(numbers)
    return _missing(hashes, numbers)


def _missing(hashes: Sequence[str], numbers: Sequence[str]) -> tuple[str, ...]:
    return tuple(one for one in numbers if not _holds(hashes, one))


def _holds(hashes: Sequence[str], number: str) -> bool:
    count, _, digest = number.partition(":")
    return int(count) < len(hashes) and hashes[int(count)].startswith(digest)


def _word(value: object) -> str:
    return one_line(value)[:_LONGEST_NAME] if isinstance(value, str) else ""


def _period(value: object) -> tuple[date, date] | None:
    if value is None:
        return None
    if not (isinstance(value, list) and len(value) == 2):
        raise ValueError
    return _day(value[0]), _day(value[1])


def _day(value: object) -> date:
    if not (isinstance(value, str) and re.fullmatch(r"\d{4}-\d{2}-\d{2}", value, re.ASCII)):
        raise ValueError
    return date.fromisoformat(value)


def _summary(manifest: dict[str, Any]) -> Summary:
    """The summary of a manifest; empty of the forms that had none. Raises ValueError for what gwlog does not write."""
    said = manifest.get("summary")
    if said is None:
        return Summary()

    def count(name: str) -> int | None:
        value = said.get(name)
        if value is not None and (type(value) is not int or not 0 <= value < 10**9):
            raise ValueError
        return value

    def day(name: str) -> date | None:
        value = said.get(name)
        return None if value is None else _day(value)

    if not isinstance(said, dict):
        raise ValueError
    made = Summary(count("had_to_go_to_sewer"), count("went_to_sewer"), count("exceptions_open"),
                   count("upkeep_overdue"), count("clock_behind"), day("last_entry"), day("witnessed_until"))
    if (made.went or 0) > (made.had_to_go or 0):
        raise ValueError
    return made
