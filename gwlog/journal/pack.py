"""The record pack: every entry with its seal, and what a third party needs to verify it without gwlog.

What a pack holds besides the entries follows from them and from what was asked of it, so that it can be made again and
compared. The same entries packed at the same moment make the same bytes.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from hashlib import sha256
from pathlib import Path
from typing import Any

from gwlog import __version__
from gwlog.actions import Action, Hint
from gwlog.clock import iso
from gwlog.errors import NotVerified
from gwlog.journal import chain, check_seal, exchange, seal
from gwlog.journal.check_seal import ANNEX, ENTRIES, FORM, LETTER, MANIFEST, PROGRAM
from gwlog.journal.disclosure import DISCLOSURES, EVERYTHING, WHEN
from gwlog.journal.editions import EDITIONS
from gwlog.journal.facts import Fact
from gwlog.journal.level import Level
from gwlog.journal.seal_number import SealNumber, number_of
from gwlog.journal.zipped import zipped
from gwlog.text import clean, plural

README_NAME, NUMBERS = "README.txt", "noted.txt"

README = """\
A record pack of a household's laundry water logbook, made by gwlog {version} on {made} for: {reader}.

{papers}

The rule: Every entry was written once, as the text "body" of its line in entries.jsonl, and numbered from 1 on.
Its hash is the SHA-256 digest, in hex, of the word gwlog-seal-1, the hash of the entry before and that body, joined by
line feeds in UTF-8; before the first entry stand 64 zeros. A note is in the body only as the SHA-256 digest of the
word gwlog-note-1, a random salt and its words, joined the same way, so that the words can be left out and the rest
still holds. In the same way the parts "what", "when", "who" and "private" of newer entries are in the body as digests
of the word gwlog-part-1, a salt and the part's text; of older entries a copy may hold the hashes alone. So an entry
that is changed, removed from the middle, added or moved breaks every hash from there on.

To check it, with any Python from 3.8 on and nothing else installed:
    python3 -I check_seal.py
The program is short: read it before you trust it. It says what it did NOT check; above all it cannot make the letter
and the annex. With gwlog, "gwlog verify PACK.zip" makes them again from the entries and compares every byte, where the
pack shows what that takes. What can be found, and what nobody can find: gwlog verify --promise
Exit code 0: the pack holds; 4: not. A pack holds these files and nothing else; one that was packed again does not.

The seal number of this pack is  {number}
Compare it with one that somebody noted earlier: on a report, a card, in a letter. A cut-off end, an older state or a
full rewrite shows only if you compare with such a number, noted at or after the place:
    python3 -I check_seal.py --noted 412:9f3a6c0b12d4e877
The seal numbers in noted.txt were written with the pack; they help if you know them from elsewhere. Nothing
proves that an entry is true, or that everything was written down.

{notes}
"""
ABOUT = {LETTER: "letter.html   read this: how it was run, and what to look at", ANNEX: "annex.html    the details"}


@dataclass(frozen=True, slots=True)
class Packed:
    """A pack that was made: its bytes, its seal number “412:9f3a…”, entries and notes withheld."""

    content: bytes
    seal_number: str
    entries: int
    withheld: int


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked of a pack: when it is made, for whom, the kinds of entry whose notes are left out, seal numbers
    noted earlier."""

    made: datetime
    reader: str = EVERYTHING
    without_notes_of: tuple[str, ...] = ()
    noted: tuple[str, ...] = ()

    @property
    def coarse(self) -> bool:
        """Whether nothing finer than a week may be told."""
        return WHEN not in DISCLOSURES[self.reader].parts


@dataclass(frozen=True, slots=True)
class About:
    """What is told of a household: its site's name, its papers and the answers of witnesses by name, and the figures
    for whoever receives many."""

    site: str | None
    papers: Mapping[str, bytes]
    answers: Mapping[str, bytes]
    summary: Mapping[str, str | int | None]


class Told:
    """What is told of the entries beside them. `facts`: what the entries say, in order of their numbers."""

    def __init__(self, entries: Iterable[exchange.Sealed], facts: Sequence[Fact], asked: Asked) -> None:
        self.entries = self.withheld = 0
        self.home, self.seal_number = chain.START, f"0:{chain.START}"
        self.counts: dict[str, int] = {}
        self.months: dict[str, str] = {}
        self.noted = dict.fromkeys(map(_number, asked.noted), "-")
        days: set[date] = set()
        digest = sha256()
        for entry, fact in zip(entries, facts, strict=True):
            if self.entries == 0:
                self.home = entry.hash
            self.entries += 1
            self.seal_number = f"{entry.seq}:{entry.hash}"
            if entry.body is not None:
                self.withheld += entry.note is None and '"note_sha256":null' not in entry.body
                if entry.kind:
                    self.counts[entry.kind] = self.counts.get(entry.kind, 0) + 1
            days.add(fact.happened_at.date())
            recorded = fact.recorded_at.date().isoformat()
            said = recorded[:7] if asked.coarse else recorded
            self.months[recorded[:7]] = f"{said} {self.seal_number} last entry recorded in that month"
            if self.entries in self.noted:
                self.noted[self.entries] = said
            digest.update(f"{entry.line}\n".encode())
        self.digest = digest.hexdigest()
        self.period = [day_told(day, coarse=asked.coarse) for day in (min(days), max(days))] if days else None


def day_told(day: date, *, coarse: bool) -> str:
    """A day as a reader is told it: its week's Monday where nothing finer may be told."""
    return (day - timedelta(days=day.weekday() if coarse else 0)).isoformat()


def _number(known: str) -> int:
    return int(known.partition(":")[0])


def files_beside(asked: Asked, told: Told, about: About, program: str) -> dict[str, bytes]:
    """What a pack holds beside its entries and its program, by name. `program`: the program's digest."""
    made: dict[str, bytes] = {
        README_NAME: README.format(
            version=__version__, made=iso(asked.made), reader=asked.reader, number=told.seal_number,
            papers="\n".join(ABOUT[name] for name in ABOUT if name in about.papers),
            notes=_notes(told.withheld)).encode(),
        NUMBERS: _numbers(asked, told).encode(), **about.papers, **about.answers,
    }
    digests = {name: check_seal.sha256(content) for name, content in made.items()}
    manifest: dict[str, Any] = {
        "form": FORM, "gwlog": __version__, "made": iso(asked.made), "reader": asked.reader, "home": told.home,
        "site": about.site, "seal_number": told.seal_number, "entries": told.entries, "counts": told.counts,
        "notes_withheld": told.withheld, "without_notes_of": list(asked.without_notes_of), "period": told.period,
        "noted": list(asked.noted), "summary": dict(about.summary),
        "files": {**digests, ENTRIES: told.digest, PROGRAM: program},
    }
    return {**made, MANIFEST: manifest_bytes(manifest)}


def manifest_bytes(manifest: Mapping[str, Any]) -> bytes:
    """A manifest as it is written, with the digest of the rest of it."""
    without = {key: value for key, value in manifest.items() if key != "digest"}
    signed = {**without, "digest": check_seal.sha256(check_seal.canonical(without).encode())}
    return (json.dumps(signed, sort_keys=True, indent=1, ensure_ascii=False) + "\n").encode()


def written(asked: Asked, told: Told, about: About, entries: Iterable[exchange.Sealed]) -> Packed:
    """The pack, of entries that are gone through once more."""
    program = Path(check_seal.__file__).read_bytes()
    content = zipped({
        **files_beside(asked, told, about, check_seal.sha256(program)), PROGRAM: program,
        ENTRIES: (f"{entry.line}\n".encode() for entry in entries)})
    return Packed(content, told.seal_number, told.entries, told.withheld)


def _numbers(asked: Asked, told: Told) -> str:
    """The seal numbers of the months, and those noted earlier."""
    lines = ["# date (UTC)  number:hash  what it is",
             "# The last entry recorded in each month, and seal numbers noted earlier.", *told.months.values()]
    lines += [f"{told.noted[_number(known)]} {known} a seal number noted earlier" for known in asked.noted]
    return "\n".join(lines) + "\n"


def refuse_broken(found: seal.Verification) -> None:
    """Raise NotVerified unless the seal holds: nothing is packed of what does not."""
    if not found.holds:
        broken = next(f"{level.name}: {level.detail}" for level in found.levels if not level.holds)
        raise NotVerified(f"The seal does not hold ({broken}); nothing was packed.",
                          hint=Hint("See more: ", Action("verify")))


def _notes(withheld: int) -> str:
    if withheld == 0:
        return "All notes are in the pack."
    return f"{plural(withheld, 'note')} left out; their fingerprints stay, so the seal still holds."


def verify(path: Path | str, *, noted: Sequence[str | SealNumber] = (), now: datetime | None = None
           ) -> seal.Verification:
    """Verify a pack as the program in it does, at `now`, and that it is gwlog's program. `noted`: seal numbers.

    Raises BadInput for a number of another form.
    """
    numbers = [str(number_of(known)) for known in noted]
    found = check_seal.examine(Path(path), numbers, now)
    number, _, hashed = found.seal_number.partition(":")
    levels = [Level(level.name, level.holds, clean(level.detail)) for level in found.levels]
    if number:
        levels.append(_program(Path(path)))
    return seal.Verification(tuple(levels), found.entries, int(number or 0), hashed or chain.START, found.first_broken,
                             tuple(map(clean, found.odd)))


def _program(path: Path) -> Level:
    """Whether the program in a pack is one that gwlog puts into packs."""
    try:
        with check_seal.opened(path) as files:
            name = next(name for name in (PROGRAM, "verify_pack.py") if name in files.sizes)
            ours = files.digest(name) in (edition(), *EDITIONS)
    except (StopIteration, *check_seal.DAMAGED, OSError):
        return Level("program", False, "there is none that can be read")
    return Level("program", ours, "one of gwlog's" if ours else f"{name} is not a program of gwlog's")


def edition() -> str:
    """The digest of the program that this gwlog puts into packs."""
    return check_seal.sha256(Path(check_seal.__file__).read_bytes())


def manifest_of(path: Path | str) -> dict[str, Any]:
    """What a pack says of itself. Raises NotVerified where it cannot be read."""
    try:
        with check_seal.opened(Path(path)) as files:
            return check_seal.strict_json(files.whole(MANIFEST).decode())
    except (OSError, *check_seal.DAMAGED) as fault:
        raise NotVerified(f"{path} cannot be read as a record pack: {clean(str(fault))[:120]}.") from None


def entries_of(path: Path | str) -> bytes:
    """The entries of a pack as an export, after verifying it. Raises NotVerified when it does not hold."""
    found = verify(path)
    if not found.holds:
        broken = next(f"{level.name}: {level.detail}" for level in found.levels if not level.holds)
        raise NotVerified(f"{path} does not hold as a record pack ({broken}); nothing was imported.",
                          hint=Hint("See more: ", Action("verify", file=path)))
    with check_seal.opened(Path(path)) as files:
        return files.whole(ENTRIES)
