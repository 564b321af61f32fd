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
from gwlog.journal import chain, exchange, reader, seal, verify_pack
from gwlog.journal.seal import _anchor
from gwlog.text import clean, plural

FORM = "gwlog-pack-1"
ZIP_DATE = (1980, 1, 1, 0, 0, 0)
"""The earliest that the zip format knows, so that the bytes depend on nothing else; a member that is opened by its name
has it."""
ENTRIES = "entries.jsonl"
MEMBERS = ("README.txt", "anchors.txt", ENTRIES, "manifest.json", "verify_pack.py")

README = """\
A record pack of a household's laundry water logbook, made by gwlog {version} on {made}.

The rule: Every entry was written once, as the text "body" of its line in entries.jsonl, and numbered from 1 on.
Its hash is the SHA-256 digest, in hex, of the word gwlog-seal-1, the hash of the entry before and that body, joined by
line feeds in UTF-8; before the first entry stand 64 zeros. A note is in the body only as the SHA-256 digest of the
word gwlog-note-1, a random salt and its words, joined the same way, so that the words can be withheld and the rest
still holds. So an entry that is changed, taken out of the middle, put in or moved breaks every hash from there on.

To check it, with any Python from 3.8 on and nothing else installed:
    python3 -I verify_pack.py
The program is short: read it before you trust it. It says what it did NOT check. Exit code 0: the pack holds; 4: not.

The head of this pack is  {head}
Compare it with one that somebody noted earlier: on a report, a card, in a letter. Entries cut off at the end, an older
state packed again, or everything rewritten from some entry on show only against such a head, at or after the place:
    python3 -I verify_pack.py --anchor 412:9f3a6c0b12d4e877
The heads in anchors.txt were written with the pack; they help where you know them from elsewhere. Nothing proves that
an entry is true, or that everything was written down.

{notes}
"""


@dataclass(frozen=True, slots=True)
class Packed:
    """A pack that was made: its bytes, its head “412:9f3a…”, entries and notes withheld."""

    content: bytes
    head: str
    entries: int
    withheld: int


def pack(path: Path | str, *, now: datetime, withhold: Collection[str] = (), anchors: Sequence[str] = (),
         extra: Mapping[str, bytes] | None = None) -> Packed:
    """Pack a logbook. `withhold`: kinds whose notes are left out; `anchors`: heads noted earlier, checked and told.

    `extra`: more files to put in (the report). Raises NotVerified when the seal or an anchor does not hold,
    BadInput for an anchor of another form.
    """
    for anchor in anchors or (None,):
        _refuse_broken(seal.verify(path, anchor=anchor))
    with reader.reading(path) as connection:   # all that is packed is of one moment
        told = _Told(exchange.sealed_entries(connection, withhold=withhold), anchors)
        made: dict[str, bytes] = {
            "README.txt": README.format(version=__version__, made=iso(now), head=told.head,
                                        notes=_notes(told.withheld)).encode(),
            "anchors.txt": told.anchors_file(anchors).encode(),
            "verify_pack.py": Path(verify_pack.__file__).read_bytes(),
        }
        taken = sorted(set(MEMBERS) & set(extra or {}))
        if taken:
            raise BadInput(f"A pack has its own {taken[0]}.")
        made |= extra or {}
        digests = {name: verify_pack.sha256(content) for name, content in made.items()}
        made["manifest.json"] = _manifest(told, {**digests, ENTRIES: told.digest}, now)
        entries = exchange.sealed_entries(connection, withhold=withhold)
        content = _zipped({**made, ENTRIES: (f"{entry.line}\n".encode() for entry in entries)})
    return Packed(content, told.head, told.entries, told.withheld)


class _Told:
    """What is told of the entries beside them: gone through once, nothing kept of them but this."""

    def __init__(self, entries: Iterable[exchange.Sealed], anchors: Sequence[str]) -> None:
        self.entries = self.withheld = 0
        self.head = f"0:{chain.START}"
        self.counts: dict[str, int] = {}
        self.period: list[str] | None = None
        self._months: dict[str, str] = {}
        self._noted = {int(anchor.partition(":")[0]): "-" for anchor in anchors}
        digest = sha256()
        for entry in entries:
            body = json.loads(entry.body)
            self.entries += 1
            self.head = f"{entry.seq}:{entry.hash}"
            self.withheld += body["note_sha256"] is not None and entry.note is None
            self.counts[body["kind"]] = self.counts.get(body["kind"], 0) + 1
            day, recorded = body["happened_at"][:10], body["recorded_at"][:10]
            first, last = self.period or (day, day)
            self.period = [min(first, day), max(last, day)]
            self._months[recorded[:7]] = f"{recorded} {self.head} last entry recorded in that month"
            if self.entries in self._noted:
                self._noted[self.entries] = recorded
            digest.update(f"{entry.line}\n".encode())
        self.digest = digest.hexdigest()

    def anchors_file(self, anchors: Sequence[str]) -> str:
        """The heads of the months, and those noted earlier."""
        lines = ["# date (UTC)  number:hash  what it is",
                 "# The last entry recorded in each month, and heads noted earlier.", *self._months.values()]
        for anchor in anchors:
            number, _, hashed = anchor.partition(":")
            lines.append(f"{self._noted[int(number)]} {int(number)}:{hashed.strip().casefold()} a head noted earlier")
        return "\n".join(lines) + "\n"


def _refuse_broken(found: seal.Verification) -> None:
    if not found.holds:
        broken = next(f"{level.name}: {level.detail}" for level in found.levels if not level.holds)
        raise NotVerified(f"The seal does not hold ({broken}); nothing was packed.",
                          hint=Hint("See more: ", Action("verify")))


def _notes(withheld: int) -> str:
    if withheld == 0:
        return "All notes are in the pack."
    return f"{plural(withheld, 'note')} withheld: the digests are in the bodies, and the seal still holds."


def _manifest(told: _Told, digests: Mapping[str, str], now: datetime) -> bytes:
    manifest: dict[str, Any] = {
        "form": FORM, "gwlog": __version__, "made": iso(now), "head": told.head, "counts": told.counts,
        "notes_withheld": told.withheld, "period": told.period, "files": dict(digests),
    }
    manifest["digest"] = verify_pack.sha256(verify_pack.canonical(manifest).encode())
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


def verify(path: Path | str, *, anchor: str | None = None) -> seal.Verification:
    """Verify a pack as the program in it does. `anchor`: a head noted earlier. Raises BadInput for another form."""
    _anchor(anchor)
    found = verify_pack.examine(Path(path), [] if anchor is None else [anchor])
    number, _, hashed = found.head.partition(":")
    levels = tuple(seal.Level(level.name, level.holds, clean(level.detail)) for level in found.levels)
    return seal.Verification(levels, found.entries, int(number or 0), hashed or chain.START, found.first_broken)


def entries_of(path: Path | str) -> bytes:
    """The entries of a pack as an export, after verifying it. Raises NotVerified when it does not hold."""
    found = verify(path)
    if not found.holds:
        broken = next(f"{level.name}: {level.detail}" for level in found.levels if not level.holds)
        raise NotVerified(f"{path} does not hold as a record pack ({broken}); nothing was imported.",
                          hint=Hint("See more: ", Action("verify", file=path)))
    return verify_pack.files_of(Path(path))[ENTRIES]
