"""The record pack: every entry with its seal, and what a third party needs to verify it without gwlog.

The same logbook content packed at the same moment makes the same bytes.
"""

from __future__ import annotations

import io
import json
import zipfile
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from pathlib import Path
from typing import Any

from gwlog import __version__
from gwlog.actions import Action, Hint
from gwlog.clock import iso
from gwlog.errors import BadInput, NotVerified
from gwlog.journal import chain, check_seal, exchange, reader, seal
from gwlog.journal.disclosure import DISCLOSURES, EVERYTHING, Disclosure
from gwlog.journal.seal import number_of
from gwlog.text import clean, plural

FORM = check_seal.FORM
ZIP_DATE = (1980, 1, 1, 0, 0, 0)
"""The earliest that the zip format knows, so that the bytes depend on nothing else; a member that is opened by its name
has it."""
ENTRIES = "entries.jsonl"
MEMBERS = ("README.txt", "check_seal.py", ENTRIES, "manifest.json", "noted.txt")

README = """\
A record pack of a household's laundry water logbook, made by gwlog {version} on {made}.

The rule: Every entry was written once, as the text "body" of its line in entries.jsonl, and numbered from 1 on.
Its hash is the SHA-256 digest, in hex, of the word gwlog-seal-1, the hash of the entry before and that body, joined by
line feeds in UTF-8; before the first entry stand 64 zeros. A note is in the body only as the SHA-256 digest of the
word gwlog-note-1, a random salt and its words, joined the same way, so that the words can be left out and the rest
still holds. Newer entries hold four parts in that way, with the word gwlog-part-1: what it was, when it happened, who
wrote it, and what is the household's own affair. Of older ones a copy made for fewer eyes holds only the hashes.
So an entry that is changed, removed from the middle, added or moved breaks every hash from there on.

To check it, with any Python from 3.8 on and nothing else installed:
    python3 -I check_seal.py
The program is short: read it before you trust it. It says what it did NOT check. Exit code 0: the pack holds; 4: not.

The seal number of this pack is  {number}
Compare it with one that somebody noted earlier: on a report, a card, in a letter. A cut-off end, an older state or a
full rewrite shows only if you compare with such a number, noted at or after the place:
    python3 -I check_seal.py --noted 412:9f3a6c0b12d4e877
The seal numbers in noted.txt were written with the pack; they help if you know them from elsewhere. Nothing
proves that an entry is true, or that everything was written down.

{notes}
"""


@dataclass(frozen=True, slots=True)
class Packed:
    """A pack that was made: its bytes, its seal number “412:9f3a…”, entries and notes withheld."""

    content: bytes
    seal_number: str
    entries: int
    withheld: int


def pack(path: Path | str, *, now: datetime, disclosure: Disclosure = DISCLOSURES[EVERYTHING],
         withhold: Collection[str] = (), noted: Sequence[str] = (),
         extra: Mapping[str, bytes] | None = None) -> Packed:
    """Pack a logbook. `disclosure`: what the reader is shown; `withhold`: kinds whose notes are left out all the same;
    `noted`: seal numbers, checked and told.

    `extra`: more files to put in (the report). Raises NotVerified when the seal or a number noted does not hold,
    BadInput for a number of another form.
    """
    for known in noted or (None,):
        _refuse_broken(seal.verify(path, noted=known))
    with reader.reading(path) as connection:   # all that is packed is of one moment
        told = _Told(exchange.sealed_entries(connection, disclosure=disclosure, withhold=withhold), noted)
        made: dict[str, bytes] = {
            "README.txt": README.format(version=__version__, made=iso(now), number=told.seal_number,
                                        notes=_notes(told.withheld)).encode(),
            "noted.txt": told.noted_file(noted).encode(),
            "check_seal.py": Path(check_seal.__file__).read_bytes(),
        }
        taken = sorted(set(MEMBERS) & set(extra or {}))
        if taken:
            raise BadInput(f"A pack has its own {taken[0]}.")
        made |= extra or {}
        digests = {name: check_seal.sha256(content) for name, content in made.items()}
        made["manifest.json"] = _manifest(told, {**digests, ENTRIES: told.digest}, now)
        entries = exchange.sealed_entries(connection, disclosure=disclosure, withhold=withhold)
        content = _zipped({**made, ENTRIES: (f"{entry.line}\n".encode() for entry in entries)})
    return Packed(content, told.seal_number, told.entries, told.withheld)


class _Told:
    """What is told of the entries beside them: gone through once, nothing kept of them but this."""

    def __init__(self, entries: Iterable[exchange.Sealed], noted: Sequence[str]) -> None:
        self.entries = self.withheld = 0
        self.seal_number = f"0:{chain.START}"
        self.counts: dict[str, int] = {}
        self.period: list[str] | None = None
        self._months: dict[str, str] = {}
        self._noted = {int(known.partition(":")[0]): "-" for known in noted}
        digest = sha256()
        for entry in entries:
            said = entry.said
            self.entries += 1
            self.seal_number = f"{entry.seq}:{entry.hash}"
            if said:
                self.withheld += said["note_sha256"] is not None and entry.note is None
                if entry.kind:
                    self.counts[entry.kind] = self.counts.get(entry.kind, 0) + 1
            if "happened_at" in said:
                day, recorded = said["happened_at"][:10], said["recorded_at"][:10]
                first, last = self.period or (day, day)
                self.period = [min(first, day), max(last, day)]
                self._months[recorded[:7]] = f"{recorded} {self.seal_number} last entry recorded in that month"
                if self.entries in self._noted:
                    self._noted[self.entries] = recorded
            digest.update(f"{entry.line}\n".encode())
        self.digest = digest.hexdigest()

    def noted_file(self, noted: Sequence[str]) -> str:
        """The seal numbers of the months, and those noted earlier."""
        lines = ["# date (UTC)  number:hash  what it is",
                 "# The last entry recorded in each month, and seal numbers noted earlier.", *self._months.values()]
        for known in noted:
            number, hashed = int(known.partition(":")[0]), known.partition(":")[2].strip().casefold()
            lines.append(f"{self._noted[number]} {number}:{hashed} a seal number noted earlier")
        return "\n".join(lines) + "\n"


def _refuse_broken(found: seal.Verification) -> None:
    if not found.holds:
        broken = next(f"{level.name}: {level.detail}" for level in found.levels if not level.holds)
        raise NotVerified(f"The seal does not hold ({broken}); nothing was packed.",
                          hint=Hint("See more: ", Action("verify")))


def _notes(withheld: int) -> str:
    if withheld == 0:
        return "All notes are in the pack."
    return f"{plural(withheld, 'note')} left out; their fingerprints stay, so the seal still holds."


def _manifest(told: _Told, digests: Mapping[str, str], now: datetime) -> bytes:
    manifest: dict[str, Any] = {
        "form": FORM, "gwlog": __version__, "made": iso(now), "seal_number": told.seal_number, "counts": told.counts,
        "notes_withheld": told.withheld, "period": told.period, "files": dict(digests),
    }
    manifest["digest"] = check_seal.sha256(check_seal.canonical(manifest).encode())
    return (json.dumps(manifest, sort_keys=True, indent=1, ensure_ascii=False) + "\n").encode()


def _zipped(made: Mapping[str, bytes | Iterable[bytes]]) -> bytes:
    """The zip's bytes; what is given as parts is compressed as they are made."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name in sorted(made):
            content = made[name]
            with archive.open(name, "w") as file:
                for part in (content,) if isinstance(content, bytes) else content:
                    file.write(part)
            member = archive.getinfo(name)
            member.create_system = 3
            member.external_attr = 0o100600 << 16
    return out.getvalue()


def verify(path: Path | str, *, noted: str | None = None) -> seal.Verification:
    """Verify a pack as the program in it does. `noted`: a seal number. Raises BadInput for another form."""
    number_of(noted)
    found = check_seal.examine(Path(path), [] if noted is None else [noted])
    number, _, hashed = found.seal_number.partition(":")
    levels = tuple(seal.Level(level.name, level.holds, clean(level.detail)) for level in found.levels)
    return seal.Verification(levels, found.entries, int(number or 0), hashed or chain.START, found.first_broken)


def entries_of(path: Path | str) -> bytes:
    """The entries of a pack as an export, after verifying it. Raises NotVerified when it does not hold."""
    found = verify(path)
    if not found.holds:
        broken = next(f"{level.name}: {level.detail}" for level in found.levels if not level.holds)
        raise NotVerified(f"{path} does not hold as a record pack ({broken}); nothing was imported.",
                          hint=Hint("See more: ", Action("verify", file=path)))
    content: bytes = check_seal.files_of(Path(path))[ENTRIES]
    return content
