"""Everything for the next household: manual, card, report, record pack, setup and a logbook to go on with.

Notes are left out; the chain of the seal continues unbroken.
"""

from __future__ import annotations

import io
import zipfile
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from gwlog import __version__, clock, drafts
from gwlog.actions import Action, Hint
from gwlog.errors import NotVerified
from gwlog.household import Household, look_set_up
from gwlog.journal import backup, exchange, reader, seal, store
from gwlog.journal.facts import KINDS, Fact
from gwlog.journal.pack import ZIP_DATE
from gwlog.text import listed, plural

README = """\
{site}: the laundry water, handed on {day}. Written by gwlog {version}.

What is here
    manual.pdf   how the system works, how to run it, shut it down and look after it; stays with the building
    card.pdf     the card for the wall by the machine
    report.pdf   how it was run up to today: mistakes, what was done about them, and the evidence for each condition
    pack.zip     every entry with its seal, and a program that verifies them without gwlog
    site.toml    the setup: washer, basins, outlets, products, usual loads
    logbook.db   the logbook, to go on with

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
    digests. Who wrote an entry is part of what was sealed, and cannot be taken out without breaking the seal; the
    report says roles instead of names.
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
    store.ready(path)
    found = seal.verify(path)
    if not found.holds:
        broken = next(f"{level.name}: {level.detail}" for level in found.levels if not level.holds)
        raise NotVerified(f"The seal does not hold ({broken}); nothing was handed on.",
                          hint=Hint("See more: ", Action("verify")))
    with drafts.folder() as folder:
        copy = folder / "logbook.db"
        # Into a new file, so that no words are left between its pages.
        exchange.import_into(copy, exchange.export(path, withhold=list(KINDS)))
        retired = _retired(copy, now)
        home = look_set_up(copy, now)
        number, digits, _ = reader.last_seal(copy)
        done = HandedOn(len(home.entries), _withheld(copy), retired, f"{number}:{digits}")
        made = _documents(home) | {"README.txt": _readme(home, done).encode()}
        backup.copy(copy, closed := folder / "closed.db")
        made["logbook.db"] = closed.read_bytes()
    return _zipped(made), done


def _retired(copy: Path, now: datetime) -> tuple[str, ...]:
    """Retire everybody in the copy; returns their names."""
    from gwlog.journal.writer import append

    home = look_set_up(copy, now)
    people = [person for person in home.state.people.values() if person.active]
    leaving: list[Fact] = [replace(person, id=0, active=False, happened_at=now, recorded_by=None, corrects_id=None)
                           for person in people]
    append(copy, leaving, now=now)
    return tuple(person.name for person in people)


def _withheld(copy: Path) -> int:
    with reader.reading(copy) as connection:
        return int(connection.execute("SELECT count(*) FROM note_salt").fetchone()[0])


def _documents(home: Household) -> dict[str, bytes]:
    from gwlog.documents.card.card import card
    from gwlog.documents.manual.manual import manual
    from gwlog.documents.pack import packed
    from gwlog.documents.record.chapters import document
    from gwlog.documents.record.gather import record
    from gwlog.documents.render.forms import rendered
    from gwlog.setup.show import show

    return {
        "manual.pdf": manual(home), "card.pdf": card(home),
        "report.pdf": rendered(document(record(home, without_notes=True, roles=True)), ".pdf"),
        "pack.zip": packed(home, withhold=list(KINDS)).content, "site.toml": show(home.state).encode(),
    }


def _readme(home: Household, done: HandedOn) -> str:
    assert home.state.site is not None
    number, _, digits = done.seal_number.partition(":")
    day = clock.local_day(home.now, home.zone)
    return README.format(
        site=home.state.site.name, day=day, version=__version__, number=done.seal_number,
        short=f"{number}:{digits[:16]}", people=listed(done.retired) or "none were named",
        notes=plural(done.withheld, "note"))


def _zipped(made: dict[str, bytes]) -> bytes:
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as archive:
        for name in sorted(made):
            member = zipfile.ZipInfo(name, ZIP_DATE)
            member.compress_type = zipfile.ZIP_DEFLATED
            member.create_system, member.external_attr = 3, 0o100600 << 16
            archive.writestr(member, made[name])
    return target.getvalue()
