"""The export as a file: its entries as JSON lines, and one closing line that says what they are and binds them.

Exports of older versions have no closing line; they are read and verified as they are.
"""

from __future__ import annotations

import hashlib
from collections.abc import Collection, Iterable, Iterator, Sequence
from datetime import datetime
from pathlib import Path
from typing import Any

from gwlog import __version__, files
from gwlog.errors import GwlogError
from gwlog.journal import chain, check_seal, exchange, reader
from gwlog.journal.level import Level
from gwlog.journal.seal import Verification
from gwlog.text import clean

FORM = "gwlog-export-1"
MOST_SPELLED = 18_000_000
"""Bytes of an export of which every entry is also read as an import would read it."""
NO_CLOSING_LINE = ("whether its end was cut off: this export has no closing line, as older versions of gwlog wrote "
                   "them; compare with a seal number noted earlier")
TOO_LONG = "whether every entry is spelled as gwlog seals it: there are too many; an import looks at it"
_KEYS = frozenset(("entries", "form", "gwlog", "home", "notes_withheld", "seal_number", "sha256"))


def lines(path: Path | str, *, withhold: Collection[str] = ()) -> Iterator[bytes]:
    """An export's lines with their line feeds, as they are read; the closing line last."""
    digest, count, withheld, home, number = hashlib.sha256(), 0, 0, chain.START, f"0:{chain.START}"
    with reader.reading(path) as connection:
        for entry in exchange.sealed_entries(connection, withhold=withhold):
            home, number, count = (entry.hash if count == 0 else home), f"{entry.seq}:{entry.hash}", count + 1
            withheld += entry.body is not None and entry.note is None and '"note_sha256":null' not in entry.body
            line = f"{entry.line}\n".encode()
            digest.update(line)
            yield line
    if count:
        yield (chain.canonical({
            "form": FORM, "gwlog": __version__, "home": home, "entries": count, "notes_withheld": withheld,
            "seal_number": number, "sha256": digest.hexdigest()}) + "\n").encode()


def entries_alone(content: bytes) -> bytes:
    """An export without its closing line, where it has one that fits what stands before it.

    One that does not fit stays, and is refused as no entry.
    """
    place = content.rfind(b"\n", 0, len(content) - 1) + 1
    closing = _closing(content[place:].rstrip(b"\n")) if len(content) - place < exchange.LONGEST_LINE else None
    if closing is None or closing.get("sha256") != check_seal.sha256(content[:place]):
        return content
    return content[:place]


def _closing(line: bytes) -> dict[str, Any] | None:
    """The closing line that a line is, None for an entry or anything else."""
    if not line.startswith(b'{"entries":'):
        return None
    try:
        found = check_seal.strict_json(line.decode())
    except check_seal.DAMAGED:
        return None
    return found if found.get("form") == FORM else None


class _Entries:
    """The lines of an export as they are read, without the closing line, which is kept with the digest before it."""

    def __init__(self, pieces: Iterable[bytes]) -> None:
        self.pieces, self.digest = pieces, hashlib.sha256()
        self.closing: dict[str, Any] | None = None

    def __iter__(self) -> Iterator[bytes]:
        last: bytes | None = None
        for line in check_seal.lines_of(self.pieces):
            if last is not None:
                yield self._told(last)
            last = line
        if last is not None:
            self.closing = _closing(last)
            if self.closing is None:
                yield self._told(last)

    def _told(self, line: bytes) -> bytes:
        self.digest.update(line + b"\n")
        return line


def verify(path: Path, noted: Sequence[str] = (), now: datetime | None = None
           ) -> tuple[Verification, tuple[str, ...]]:
    """Verify an export at `now`; also what of it could not be checked. `noted`: seal numbers.

    Raises BadInput for what is no file.
    """
    try:
        with files.opened(path) as file:
            if file.seek(0, 2) > exchange.LARGEST:
                raise ValueError("it is larger than any export")
            file.seek(0)
            entries = _Entries(iter(lambda: file.read(check_seal.PIECE), b""))
            levels, found, broken = check_seal.walked(entries, list(noted))
    except (OSError, *check_seal.DAMAGED) as fault:
        level = Level("file", False, f"cannot be read as an export: {clean(str(fault))[:120]}")
        return Verification((level,), 0, 0, chain.START, None), ()
    told = [Level(level.name, level.holds, clean(level.detail)) for level in levels]
    unchecked = [] if entries.closing else [NO_CLOSING_LINE]
    if entries.closing:
        told.insert(0, _closed(entries.closing, entries.digest.hexdigest(), found))
    if all(level.holds for level in told):
        if path.stat().st_size > MOST_SPELLED:
            unchecked.append(TOO_LONG)
        else:
            told.append(_spelled(path))
    odd = tuple(map(clean, found.judged.odd(now)))
    return Verification(tuple(told), found.number, found.number, found.last, broken, odd), tuple(unchecked)


def _closed(closing: dict[str, Any], digest: str, found: check_seal.Entries) -> Level:
    compared = {
        "what it tells of": set(closing) == _KEYS, "digest": closing.get("sha256") == digest,
        "entries": closing.get("entries") == found.number, "home": closing.get("home") == found.first,
        "notes withheld": closing.get("notes_withheld") == found.withheld,
        "seal number": closing.get("seal_number") == f"{found.number}:{found.last}",
    }
    wrong = [name for name, holds in compared.items() if not holds]
    return Level("closing line", not wrong, "differs from the entries: " + ", ".join(wrong) if wrong else
                 "agrees with the entries")


def _spelled(path: Path) -> Level:
    """Whether every entry is one that gwlog writes, as an import asks."""
    try:
        count = len(exchange.read_export(entries_alone(files.read_whole(path, exchange.LARGEST, "no logbook is"))))
    except GwlogError as fault:
        return Level("spelling", False, clean(str(fault)).removesuffix(" Nothing was imported."))
    return Level("spelling", True, f"entries: {count}")
