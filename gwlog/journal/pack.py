"""The record pack: every entry with its seal, and what a third party needs to verify it without gwlog.

The same logbook content packed at the same moment makes the same bytes.
"""

from __future__ import annotations

import io
import json
import zipfile
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from gwlog import __version__
from gwlog.actions import Action, Hint
from gwlog.clock import iso
from gwlog.errors import BadInput, NotVerified
from gwlog.journal import chain, check_seal, exchange, seal
from gwlog.journal.seal import number_of
from gwlog.text import clean, plural

FORM = check_seal.FORM
ZIP_DATE = (1980, 1, 1, 0, 0, 0)   # the earliest that the zip format knows, so that the bytes depend on nothing else
MEMBERS = ("README.txt", "check_seal.py", "entries.jsonl", "manifest.json", "noted.txt")

README = """\
A record pack of a household's laundry water logbook, made by gwlog {version} on {made}.

The rule: Every entry was written once, as the text "body" of its line in entries.jsonl, and numbered from 1 on.
Its hash is the SHA-256 digest, in hex, of the word gwlog-seal-1, the hash of the entry before and that body, joined by
line feeds in UTF-8; before the first entry stand 64 zeros. A note is in the body only as the SHA-256 digest of the
word gwlog-note-1, a random salt and its words, joined the same way, so that the words can be withheld and the rest
still holds. So an entry that is changed, taken out of the middle, put in or moved breaks every hash from there on.

To check it, with any Python from 3.8 on and nothing else installed:
    python3 -I check_seal.py
The program is short: read it before you trust it. It says what it did NOT check. Exit code 0: the pack holds; 4: not.

The seal number of this pack is  {number}
Compare it with one that somebody noted earlier: on a report, a card, in a letter. Entries cut off at the end, an older
state packed again, or everything rewritten from some entry on show only against such a number, at or after the place:
    python3 -I check_seal.py --noted 412:9f3a6c0b12d4e877
The seal numbers in noted.txt were written with the pack; they help where you know them from elsewhere. Nothing
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


def pack(path: Path | str, *, now: datetime, withhold: Collection[str] = (), noted: Sequence[str] = (),
         extra: Mapping[str, bytes] | None = None) -> Packed:
    """Pack a logbook. `withhold`: kinds whose notes are left out; `noted`: seal numbers, checked and told.

    `extra`: more files to put in (the report). Raises NotVerified when the seal or a number noted does not hold,
    BadInput for a number of another form.
    """
    for known in noted or (None,):
        _refuse_broken(seal.verify(path, noted=known))
    entries = exchange.sealed_entries(path, withhold=withhold)
    bodies = [json.loads(entry.body) for entry in entries]
    number = f"{entries[-1].seq}:{entries[-1].hash}" if entries else f"0:{chain.START}"
    withheld = sum(1 for entry, body in zip(entries, bodies, strict=True)
                   if body["note_sha256"] is not None and entry.note is None)
    made = {
        "README.txt": README.format(version=__version__, made=iso(now), number=number, notes=_notes(withheld)).encode(),
        "noted.txt": _noted_file(entries, bodies, noted).encode(),
        "entries.jsonl": "".join(f"{entry.line}\n" for entry in entries).encode(),
        "check_seal.py": Path(check_seal.__file__).read_bytes(),
    }
    taken = sorted(set(MEMBERS) & set(extra or {}))
    if taken:
        raise BadInput(f"A pack has its own {taken[0]}.")
    made |= extra or {}
    made["manifest.json"] = _manifest(bodies, number, withheld, made, now)
    return Packed(_zipped(made), number, len(entries), withheld)


def _refuse_broken(found: seal.Verification) -> None:
    if not found.holds:
        broken = next(f"{level.name}: {level.detail}" for level in found.levels if not level.holds)
        raise NotVerified(f"The seal does not hold ({broken}); nothing was packed.",
                          hint=Hint("See more: ", Action("verify")))


def _notes(withheld: int) -> str:
    if withheld == 0:
        return "All notes are in the pack."
    return f"{plural(withheld, 'note')} withheld: the digests are in the bodies, and the seal still holds."


def _noted_file(entries: list[exchange.Sealed], bodies: list[dict[str, Any]], noted: Sequence[str]) -> str:
    lines = ["# date (UTC)  number:hash  what it is",
             "# The last entry recorded in each month, and seal numbers noted earlier."]
    last: dict[str, tuple[exchange.Sealed, str]] = {}
    for entry, body in zip(entries, bodies, strict=True):
        last[body["recorded_at"][:7]] = entry, body["recorded_at"][:10]
    lines += [f"{day} {entry.seq}:{entry.hash} last entry recorded in that month" for entry, day in last.values()]
    for known in noted:
        number = int(known.partition(":")[0])
        day = bodies[number - 1]["recorded_at"][:10] if number else "-"
        lines.append(f"{day} {number}:{known.partition(':')[2].strip().casefold()} a seal number noted earlier")
    return "\n".join(lines) + "\n"


def _manifest(bodies: list[dict[str, Any]], seal_number: str, withheld: int, made: Mapping[str, bytes],
              now: datetime) -> bytes:
    counts: dict[str, int] = {}
    for body in bodies:
        counts[body["kind"]] = counts.get(body["kind"], 0) + 1
    days = sorted(body["happened_at"][:10] for body in bodies)
    manifest: dict[str, Any] = {
        "form": FORM, "gwlog": __version__, "made": iso(now), "seal_number": seal_number, "counts": counts,
        "notes_withheld": withheld, "period": [days[0], days[-1]] if days else None,
        "files": {name: check_seal.sha256(content) for name, content in made.items()},
    }
    manifest["digest"] = check_seal.sha256(check_seal.canonical(manifest).encode())
    return (json.dumps(manifest, sort_keys=True, indent=1, ensure_ascii=False) + "\n").encode()


def _zipped(made: Mapping[str, bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as archive:
        for name in sorted(made):
            member = zipfile.ZipInfo(name, ZIP_DATE)
            member.compress_type = zipfile.ZIP_DEFLATED
            member.create_system = 3
            member.external_attr = 0o100600 << 16
            archive.writestr(member, made[name])
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
    return check_seal.files_of(Path(path))["entries.jsonl"]
