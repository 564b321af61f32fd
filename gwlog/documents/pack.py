"""The record pack with its papers, as `gwlog pack` and the handover give it, and as a verifier makes it again.

The papers are made of a logbook that holds nothing but the entries as the reader has them: so whoever has the pack can
make the very same bytes.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from gwlog import __version__, clock, drafts
from gwlog.errors import BadInput, GwlogError
from gwlog.household import Household, look
from gwlog.journal import attached, backup, check_seal, exchange, seal, writer
from gwlog.journal import pack as packs
from gwlog.journal.check_seal import ANNEX, ENTRIES, LETTER, MANIFEST, PROGRAM
from gwlog.journal.disclosure import DISCLOSURES, LANDLORD, READERS
from gwlog.journal.facts import KINDS
from gwlog.journal.level import Level
from gwlog.journal.pack import About, Asked, Packed, Told
from gwlog.journal.reader import reading
from gwlog.journal.seal_number import number_of
from gwlog.text import listed

LARGEST_REMADE = 18_000_000
"""Bytes of entries of which papers are made again: what more would take could pass 200 MB of memory. The invented
household writes some 0.7 MB a year."""


@dataclass(frozen=True, slots=True)
class MadeAgain:
    """What came of making a pack's files again: a level of its verification, or why they could not be made."""

    level: Level | None = None
    why_not: str | None = None


def packed(home: Household, *, reader: str = LANDLORD, withhold: Collection[str] = (), noted: Sequence[str] = ()
           ) -> Packed:
    """Pack a household's logbook for a reader. `withhold`: kinds of entry whose notes are left out as well.

    `noted`: seal numbers noted earlier, “412:9f3a…”, checked and told. Raises NotVerified when the seal or a number
    noted does not hold, BadInput for a number of another form or a reader that there is none.
    """
    if reader not in READERS:
        raise BadInput(f"“{reader[:40]}” is no reader of packs; {listed(READERS, 'or')} is accepted.")
    numbers = tuple(str(number_of(known)) for known in noted)
    packs.refuse_broken(seal.verify(home.path, noted=numbers))
    asked = Asked(datetime.fromisoformat(clock.iso(home.now)), reader,
                  tuple(sorted(withhold if DISCLOSURES[reader].notes else KINDS)), numbers)
    shown = DISCLOSURES[reader]
    with ExitStack() as stack:
        snapshot = stack.enter_context(drafts.folder()) / "snapshot.db"
        backup.copy(home.path, snapshot)   # all that is packed is of one moment
        # Who is not shown the days cannot make the papers again; the others make them of what they were given.
        then = look(snapshot, asked.made) if asked.coarse else stack.enter_context(
            _made_of(exchange.export(snapshot, disclosure=shown, withhold=asked.without_notes_of), asked.made,
                     attached.every(snapshot)))
        connection = stack.enter_context(reading(snapshot))

        def entries() -> Iterator[exchange.Sealed]:
            return exchange.sealed_entries(connection, disclosure=shown, withhold=asked.without_notes_of)

        return packs.written(asked, Told(entries(), then.entries, asked), _about(then, asked), entries())


@contextmanager
def _made_of(entries: bytes, made: datetime, answers: Collection[bytes]) -> Iterator[Household]:
    """A household of which nothing is known but these entries, and the answers of its witnesses."""
    with drafts.folder() as folder:
        copy = folder / "logbook.db"
        exchange.import_into(copy, entries)
        del entries   # there may be much of it
        writer.attach_to(copy, answers)
        yield look(copy, made)


def _about(home: Household, asked: Asked) -> About:
    site = home.state.site
    with reading(home.path) as connection:
        answers = attached.files(connection)
    return About(None if site is None else site.name, papers(home, asked.reader, asked.without_notes_of), answers,
                 summary(home, coarse=asked.coarse))


def papers(home: Household, reader: str, without_notes_of: Collection[str]) -> dict[str, bytes]:
    """The papers for a reader, by their names in a pack: the letter, and where days may be told, its annex."""
    from gwlog.documents.papers import annex, letter
    from gwlog.documents.render.html import html

    made = {LETTER: letter(home, reader, without_notes=without_notes_of)}
    if reader != LANDLORD:
        made[ANNEX] = annex(home, reader, without_notes=without_notes_of)
    return {name: html(document).encode() for name, document in made.items()}


def summary(home: Household, *, coarse: bool) -> dict[str, str | int | None]:
    """The figures for whoever receives the records of many homes; each is decided where it is decided for everybody."""
    from gwlog.decisions.clock_faults import clock_behind
    from gwlog.decisions.sewer_loads import sewer_loads
    from gwlog.decisions.witnessed import of_state

    graded = of_state(home.state, len(home.entries))
    known = graded.witnessed
    duties = sewer_loads(home.state, home.exceptions)
    last = home.entries[-1].recorded_at.date() if home.entries else None
    return {
        "had_to_go_to_sewer": len(duties), "went_to_sewer": sum(one.diverted for one in duties),
        "exceptions_open": len(home.open_exceptions),
        "upkeep_overdue": sum(item.state == "overdue" for item in home.upkeep),
        "witnessed_until": graded.until_day.isoformat() if known and graded.until_day is not None else None,
        "witnessed_number": graded.until_number if known else None,
        "last_entry": None if last is None else packs.day_told(last, coarse=coarse),
        "clock_behind": len(clock_behind(home.entries)),
    }


def made_again(path: Path) -> MadeAgain:
    """Make everything in a verified pack again from its entries, and compare every byte."""
    with check_seal.opened(path) as files:
        manifest = check_seal.strict_json(files.whole(MANIFEST).decode())
        why_not = _why_not(manifest, files.sizes[ENTRIES])
        if why_not is not None:
            return MadeAgain(why_not=why_not)
        try:
            made = _again(manifest, files)
        except (GwlogError, *check_seal.DAMAGED) as fault:
            return MadeAgain(Level("papers", False, f"nothing can be made of the entries: {fault}"))
        differ = [name for name in sorted(made) if name not in files.sizes or files.whole(name) != made[name]]
        more = sorted(set(files.sizes) - set(made) - {ENTRIES, PROGRAM})
    told = [f"{name} is not what the entries say" for name in differ] + \
        [f"{name} does not belong to this pack" for name in more]
    return MadeAgain(Level("papers", not told, "; ".join(told) or f"made again from the entries: {len(made)}"))


def _why_not(manifest: dict[str, Any], size: int) -> str | None:
    if manifest["form"] != check_seal.FORM:
        return ("whether the report says what the entries say: this pack is of an older form, whose report cannot be "
                "made again")
    if manifest["gwlog"] != __version__:
        return (f"whether the papers say what the entries say: gwlog {manifest['gwlog']} made them, and gwlog "
                f"{__version__} cannot make the very same")
    if manifest["reader"] == LANDLORD:
        return ("whether the letter says what the entries say: a landlord's pack does not show the days, so that the "
                "letter cannot be made again; a pack for an inspector can be compared")
    if size > LARGEST_REMADE:
        return "whether the papers say what the entries say: there are too many entries to make them again"
    return None


def _again(manifest: dict[str, Any], files: check_seal.Files) -> dict[str, bytes]:
    asked = Asked(datetime.fromisoformat(manifest["made"]), manifest["reader"], tuple(manifest["without_notes_of"]),
                  tuple(manifest["noted"]))
    answers = [files.whole(name) for name in files.sizes if name.startswith(f"{attached.FOLDER}/")]
    with _made_of(files.whole(ENTRIES), asked.made, answers) as home, reading(home.path) as connection:
        told = Told(exchange.sealed_entries(connection), home.entries, asked)
        return packs.files_beside(asked, told, _about(home, asked), packs.edition())
