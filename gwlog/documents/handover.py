"""Everything for the next household: manual, card, report, record pack, setup and a logbook to go on with.

Notes are left out; the chain of the seal continues unbroken.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from gwlog import __version__, clock, drafts
from gwlog.actions import Action, Hint
from gwlog.errors import NotVerified
from gwlog.household import Household, look_set_up
from gwlog.journal import attached, backup, chain, check_seal, exchange, reader, seal, store
from gwlog.journal.check_seal import MANIFEST
from gwlog.journal.disclosure import DISCLOSURES, NEXT_TENANT
from gwlog.journal.facts import HANDED_ON, Attestation, Fact
from gwlog.journal.pack import manifest_bytes
from gwlog.journal.zipped import zipped
from gwlog.text import listed, plural

FORM = "gwlog-handover-1"
LOGBOOK, PACK = "logbook.db", "pack.zip"
NAMES = frozenset((LOGBOOK, PACK, "README.txt", "site.toml", "manual.pdf", "card.pdf", "report.pdf", "annex.pdf"))
"""What is in a handover, besides its manifest."""

README = """\
{site}: the laundry water, handed on {day}. Written by gwlog {version}.

What is here
    manual.pdf   how the system works, how to run it, shut it down and look after it; stays with the building
    card.pdf     the card for the wall by the machine
    report.pdf   how it was run up to today: mistakes, what was done about them, and the evidence for each condition
    annex.pdf    the tables behind the report
    pack.zip     every entry with its seal, and a program that verifies them without gwlog
    site.toml    the setup: washer, basins, outlets, products, usual loads
    logbook.db   the logbook, to go on with
    manifest.json what is in this file, with its digests: gwlog verify HANDOVER.zip checks all of it

To go on with the same logbook
 1. Install gwlog, unpack this file, and put the logbook in place; it is verified first:
        gwlog restore logbook.db
 2. Edit site.toml: a [[person]] for each of you, your products and your usual loads, number of occupants. Then:
        gwlog setup apply site.toml --dry-run
        gwlog setup apply site.toml
    What was in force before stays in the record; from now on yours is in force. Planned loads of the household before
    are in site.toml too: take out what you do not do.
 3. Ask what the code asks of a new tenant or owner, and read the manual together with the system once.
 4. From then on: gwlog today

What was left out
    The words of {notes}. Nobody can get them back from here; the seal still holds, since it keeps only their
    digests. Who wrote an entry is left out in the same way, except in entries that were written before gwlog could do
    that: there it is part of what was sealed. The report says roles instead of names.
    People who no longer write in it: {people}.

The seal number of the logbook as it was handed on is  {number}
Both households note it: later it shows that nothing from before was rewritten.
        gwlog verify --noted {short}
"""


@dataclass(frozen=True, slots=True)
class HandedOn:
    """What was handed on: entries in the logbook, notes withheld, people retired, the seal number “412:9f3a…”."""

    entries: int
    withheld: int
    retired: tuple[str, ...]
    seal_number: str


def handover(path: Path, now: datetime) -> tuple[bytes, HandedOn]:
    """The handover of the logbook at `path` as a zip file's bytes; the logbook itself is left as it is.

    The next household's logbook holds the same entries under the same seal, no note, and an entry for each person
    that retires them. Raises NotVerified when the seal does not hold; whatever looking at the logbook raises.
    """
    now = now.replace(microsecond=0)   # what its manifest can say, so that the papers can be made again
    from gwlog.journal.writer import attach_to

    store.ready(path)
    found = seal.verify(path)
    if not found.holds:
        broken = next(f"{level.name}: {level.detail}" for level in found.levels if not level.holds)
        raise NotVerified(f"The seal does not hold ({broken}); nothing was handed on.",
                          hint=Hint("See more: ", Action("verify")))
    with drafts.folder() as folder:
        copy = folder / "logbook.db"
        # Into a new file, so that no words are left between its pages.
        exchange.import_into(copy, exchange.export(path, disclosure=DISCLOSURES[NEXT_TENANT]))
        attach_to(copy, attached.every(path))
        _hand_on(copy, now)
        home = look_set_up(copy, now)
        done = handed_on(home)
        made = {name: make() for name, make in documents(home).items()}
        backup.copy(copy, closed := folder / "closed.db")
        made[LOGBOOK] = closed.read_bytes()
        return zipped({**made, MANIFEST: manifest(home, done, made)}), done


def handed_on(home: Household) -> HandedOn:
    """What a logbook that was handed on at this moment tells of it."""
    number, digits, _ = reader.last_seal(home.path)
    gone = tuple(name for name, one in home.state.people.items() if not one.active and one.happened_at == home.now)
    return HandedOn(len(home.entries), _withheld(home.path), gone, f"{number}:{digits}")


def manifest(home: Household, done: HandedOn, made: Mapping[str, bytes]) -> bytes:
    """What a handover says of itself: whose it is, and the digest of each of its files."""
    with reader.reading(home.path) as connection:
        first = next((entry.hash for entry in exchange.sealed_entries(connection)), chain.START)
    return manifest_bytes({
        "form": FORM, "gwlog": __version__, "made": clock.iso(home.now), "home": first,
        "site": home.state.site.name if home.state.site else None, "seal_number": done.seal_number,
        "entries": done.entries, "notes_withheld": done.withheld,
        "files": {name: check_seal.sha256(content) for name, content in made.items()}})


def _hand_on(copy: Path, now: datetime) -> None:
    """Begin an era in the copy: it is handed on, and everybody of before is retired."""
    from gwlog.journal.writer import append

    home = look_set_up(copy, now)
    leaving: list[Fact] = [replace(person, id=0, active=False, happened_at=now, recorded_by=None, corrects_id=None)
                           for person in home.state.people.values() if person.active]
    begun = Attestation(happened_at=now, zone=str(home.zone), attested=HANDED_ON)
    append(copy, [begun, *leaving], now=now)


def _withheld(copy: Path) -> int:
    with reader.reading(copy) as connection:
        return int(connection.execute("SELECT count(*) FROM note_salt").fetchone()[0])


def documents(home: Household) -> dict[str, Callable[[], bytes]]:
    """The papers of a handover, by their names in it, each as its way to be made, the quick ones first.

    They follow from the logbook that is handed on.
    """
    from gwlog.documents.card.card import card
    from gwlog.documents.manual.manual import manual
    from gwlog.documents.pack import packed
    from gwlog.documents.papers import annex, letter
    from gwlog.documents.render.forms import rendered
    from gwlog.setup.show import show

    return {
        "README.txt": lambda: _readme(home, handed_on(home)).encode(), "site.toml": lambda: show(home.state).encode(),
        "card.pdf": lambda: card(home), "manual.pdf": lambda: manual(home),
        "report.pdf": lambda: rendered(letter(home, NEXT_TENANT), ".pdf"),
        "annex.pdf": lambda: rendered(annex(home, NEXT_TENANT), ".pdf"),
        PACK: lambda: packed(home, reader=NEXT_TENANT).content,
    }


def _readme(home: Household, done: HandedOn) -> str:
    assert home.state.site is not None
    number, _, digits = done.seal_number.partition(":")
    day = clock.local_day(home.now, home.zone)
    return README.format(
        site=home.state.site.name, day=day, version=__version__, number=done.seal_number,
        short=f"{number}:{digits[:16]}", people=listed(done.retired) or "none were named",
        notes=plural(done.withheld, "note"))
