"""The chapters of the annex, the same for every form it is written in. Exceptions come first.

Without `Record.full` its long tables hold only what is remarkable, and say how much they leave out.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import TYPE_CHECKING

from gwlog import clock
from gwlog.documents.record import chapters_gave as gave
from gwlog.documents.record import chapters_salt as soil
from gwlog.documents.record import chapters_water as water
from gwlog.documents.record.for_reader import for_reader
from gwlog.documents.record.model import EventLine, LoadLine, Record
from gwlog.documents.render.blocks import Block, Cell, Column, Document, Heading, Para, Points, litres, table
from gwlog.reference.source import CHECK_LOCAL, MARKS_NOTE, citation, marked
from gwlog.text import listed, plural
from gwlog.units import Reader
from gwlog.views.code_profile import SILENT, silent, text_of

if TYPE_CHECKING:
    from gwlog.decisions.compliance import Evidence
    from gwlog.reference.codes import Condition

WHAT_THE_SEAL_PROVES = (
    "Each entry is sealed: its content, together with the seal of the entry before, went into a checksum (SHA-256). "
    "Changing, deleting or reordering entries afterward breaks the chain and is found.",
    "Entries cut off at the end, or a logbook rewritten as a whole, are found only by comparing with a seal number "
    "that was noted earlier, outside the logbook. So note this one, or keep this report.",
    "It does not show when an entry was written: only somebody outside of the household who holds a seal number, or an "
    "authority's time stamp, can.",
    "It does not prove that an entry is true, that it was written by the person named, or that everything was written "
    "down.",
)


ENTRY, WHEN = Column("entry", 0.5, right=True), Column("when", 1.3)
WATER = Column("water", 0.6, "volume", True)


def document(record: Record, mark: str = "") -> Document:
    """The whole report. `mark`: what the file is known by when it is written again."""
    period = _period(record)
    seal = f"Seal number {record.seal.number}" if record.seal.number else "No entries yet"
    return Document(
        f"Laundry water record: {record.site}", f"{period}{'' if record.full else ' · what is remarkable'}",
        f"{seal} · {CHECK_LOCAL}", tuple(for_reader(record, block) for block in _blocks(record)), record.zone,
        record.system, record.made_at, mark=mark)


def _period(record: Record) -> str:
    return f"{clock.long_date(record.first, record.system)} to {clock.long_date(record.last, record.system)}"


def _blocks(record: Record) -> Iterator[Block]:
    yield from _exceptions(record)
    yield from _earlier(record)
    yield from _household(record)
    yield from _summary(record)
    yield from water.basins_by_week(record)
    yield from gave.other_water(record)
    yield from gave.gave(record)
    yield from _sewer(record)
    yield from _events(record, "Where the valve stood", "valve", "turned to", record.valve,
                       "The valve was not turned in this period.")
    yield from _events(record, "Where the outlets were", "outlet moves", "moved", record.moves,
                       "No outlet was moved in this period.")
    yield from water.cover(record)
    yield from _upkeep(record)
    yield from _observations(record)
    yield from _corrections(record)
    yield from _conditions(record)
    yield from _seal(record)
    yield from soil.salt(record.salt, full=record.full)
    yield Heading(1, "Cautions")
    yield Points(tuple(f"{words} ({marked(source)})" for words, source in record.cautions))


def _exceptions(record: Record) -> Iterator[Block]:
    yield Heading(1, "Exceptions first")
    if not record.seal.holds:
        yield Para(f"The seal does not hold: {record.seal.broken or 'the guards were changed'}. What follows may have "
                   "been altered after it was written.", strong=True)
    wrong = record.wrong
    still = [one for one in record.observations if one.resolved_at is None]
    missed = [one for one in record.upkeep if one.state == "missed"]
    over = sum(basin.days_over for week in record.weeks for basin in week.basins.values())
    against = [one for one in record.evidence if one.against]
    followed = sum(one.followed_up for one in wrong)
    points = [
        f"{plural(len(wrong), 'load')} went to the garden that should have gone to the sewer; "
        f"{followed} {'was' if followed == 1 else 'were'} followed up." if wrong else
        "No load is known to have gone to the garden that should have gone to the sewer.",
        f"A basin received more in a day than its soil can absorb: {plural(over, 'time')}." if over else
        "No basin received more in a day than its soil can absorb.",
        f"{plural(len(missed), 'round')} of upkeep missed." if missed else "No upkeep was missed.",
        f"{plural(len(still), 'observation')} not resolved." if still else "Everything seen is resolved.",
        f"{plural(len(against), 'code condition')} {'has' if len(against) == 1 else 'have'} exceptions." if against else
        "No code condition has exceptions.",
    ]
    points += [f"Check: {problem.text}" for problem in record.problems]
    yield Points(tuple(points))
    if wrong:
        yield table("exceptions", (
            ENTRY, WHEN, Column("load", 1.0), WATER,
            Column("why it should have gone to the sewer", 2.2), Column("by", 0.7), Column("note", 1.5),
            Column("followed up", 1.8)),
            [(str(one.id), one.at, one.load, litres(one.litres), " ".join(one.reasons), one.by, one.note,
              one.followed or ("yes" if one.followed_up else "no")) for one in wrong])


def _earlier(record: Record) -> Iterator[Block]:
    """The exceptions of the households before, by their role only."""
    if not record.earlier:
        return
    yield Heading(1, "The household before")
    yield Para("What follows was before the household of now took the logbook over, and is counted nowhere else here.")
    yield table("household before", (
        Column("household", 0.8), Column("day", 1.0), WATER, Column("went to", 2.0), Column("followed up", 1.0)),
        [(f"household {one.household}", one.day, litres(one.litres), listed(one.basins) or "garden",
          one.followed or "no") for one in record.earlier])


def _household(record: Record) -> Iterator[Block]:
    yield Heading(1, "Who and where")
    rows: list[tuple[Cell, ...]] = [
        ("household", record.site), ("period", _period(record)),
        *([("people in the logbook", ", ".join(record.people) or "none described")] if record.names else []),
        ("occupants", record.occupants), ("entries in the period", record.totals.entries),
        *((label, marked(said)) for label, said in record.code_said),
        ("made", f"{_moment(record, record.made_at)}{f' ({record.zone})' if record.names else ''} by gwlog "
                 f"{record.version}"),
    ]
    yield table("household", (Column("", 1.0), Column("", 4.0)), rows)
    if not record.notes:
        # without their number: a copy that lacks them does not know it, and has to give this same paper
        yield Para("Notes are left out; their fingerprints stay, so the seal still holds.")
    elif record.notes_withheld:
        yield Para(f"{plural(record.notes_withheld, 'note')} left out; their fingerprints stay, so the seal still "
                   "holds.")
    if record.roles:
        yield Para("People are named by their role, in the order in which they came into the logbook.")


def _moment(record: Record, moment: datetime) -> str:
    """A moment, or its day where hours are not told."""
    if record.names:
        return clock.echo(moment, record.zone)
    return clock.echo_date(clock.local_day(moment, record.zone), record.system)


def rest(record: Record, listed_rows: int, of: int, what: str) -> Iterator[Block]:
    """What a table leaves out where only the remarkable is listed."""
    if record.full or listed_rows == of:
        return
    every = plural(of, what, "entries" if what == "entry" else None)
    yield Para(f"Listed are {listed_rows:,} of {every}, those with a remark; the full annex has all."
               if listed_rows else f"None of {every} bears a remark; the full annex lists them.")


def _summary(record: Record) -> Iterator[Block]:
    totals, read = record.totals, Reader(record.system)
    yield Heading(1, "In plain words")
    if not totals.loads:
        yield Para("No wash load was logged in this period.")
        return
    due = len(record.sewer)
    went = due - len(record.wrong)
    done = [one for one in record.upkeep if one.done is not None]
    late = sum(one.state == "late" for one in done)
    lowest = min((one.depth_mm for one in record.cover if one.action == "measured"), default=None)
    yield Points(tuple(sentence for sentence in (
        f"The washing machine ran {plural(totals.loads, 'time')}, {read.volume(totals.litres)} of water.",
        f"{plural(totals.garden_loads, 'load')}, {read.volume(totals.garden_l)}, watered the garden; "
        f"{plural(totals.sewer_loads, 'load')}, {read.volume(totals.sewer_l)}, went to the sewer.",
        f"{plural(due, 'load')} should go to the sewer; {went} did." if due else
        "No load had to go to the sewer, by what was logged.",
        f"The valve was turned {plural(sum(not one.as_set_up for one in record.valve), 'time')}, an outlet moved "
        f"{plural(sum(not one.as_set_up for one in record.moves), 'time')}.",
        f"The least mulch that was measured is {read.length(lowest)}; the code requires "
        f"{read.length(record.profile.cover_mm.value)}." if lowest is not None else "The mulch was not measured.",
        f"Upkeep was done {plural(len(done), 'time')}, {late} of them late; "
        f"{plural(sum(one.state == 'missed' for one in record.upkeep), 'round')} missed.",
        f"{plural(len(record.observations), 'observation')} logged, "
        f"{sum(one.resolved_at is not None for one in record.observations)} resolved.",
    )))


def _load_rows(lines: tuple[LoadLine, ...]) -> list[tuple[Cell, ...]]:
    return [(str(one.id), one.at, one.load, litres(one.litres), " ".join(one.reasons),
             "sewer" if one.diverted else "GARDEN", one.by, one.note) for one in lines]


def _sewer(record: Record) -> Iterator[Block]:
    yield Heading(1, "Loads that should go to the sewer")
    yield Para("By what was in them, what was logged as seen and not resolved, the weather logged up to then, and the "
               "code's season and daily limit. What a single basin could take (mulch, soil) is asked of the "
               "loads that went to the garden.")
    # those that went to the garden stand among the exceptions already
    lines = record.sewer if record.full else tuple(one for one in record.sewer if one.note and one.diverted)
    if lines or record.full:
        yield table("sewer loads", (
            ENTRY, WHEN, Column("load", 1.0), WATER,
            Column("why", 2.6), Column("went to", 0.7), Column("by", 0.7), Column("note", 1.4)), _load_rows(lines))
    yield from rest(record, len(lines), len(record.sewer), "load")


def _events(record: Record, title: str, name: str, head: str, every: tuple[EventLine, ...],
            empty: str) -> Iterator[Block]:
    yield Heading(1, title)
    lines = every if record.full else tuple(one for one in every if one.note or one.as_set_up)
    if lines or record.full or not every:
        yield table(name, (ENTRY, WHEN, Column(head, 2.0), Column("by", 0.8), Column("note", 2.6)),
                    [(str(one.id), one.at, one.what, one.by, one.note) for one in lines], empty)
    yield from rest(record, len(lines), len(every), "entry")


def _upkeep(record: Record) -> Iterator[Block]:
    yield Heading(1, "Upkeep")
    tasks = dict.fromkeys(one.task for one in record.upkeep)
    states = ["in time", "late", "missed", "open"]
    if any(one.state == "clock behind" for one in record.upkeep):
        states.append("clock behind")
    rows: list[tuple[Cell, ...]] = []
    for task in tasks:
        rounds = [one for one in record.upkeep if one.task == task]
        counts = [sum(one.state == state for one in rounds) for state in states]
        rows.append((task, rounds[0].every, *counts, max((one.done for one in rounds if one.done), default=None)))
    yield table("upkeep by task", (
        Column("task", 3.0), Column("every", 0.9), Column("in time", 0.6, right=True), Column("late", 0.5, right=True),
        Column("missed", 0.6, right=True), Column("open", 0.5, right=True),
        *(Column(state, 0.6, right=True) for state in states[4:]), Column("last done", 1.2)), rows,
        "Nothing was due in this period.")
    yield Heading(2, "Every round" if record.full else "Rounds late, missed or open")
    yield table("upkeep", (Column("task", 3.0), Column("due", 1.2), Column("done", 1.2), Column("was", 0.8)),
                [(one.task, one.due, one.done, one.state) for one in record.upkeep
                 if record.full or one.state != "in time"],
                "Nothing was due in this period." if not record.upkeep else "Every round was done in time.")
    if record.besides and record.full:
        yield Heading(2, "Done besides")
        yield table("upkeep besides", (Column("what", 3.0), Column("day", 1.2)),
                    [(name, day) for name, day in record.besides])


def _observations(record: Record) -> Iterator[Block]:
    yield Heading(1, "What was seen, and how it ended")
    yield table("observations", (
        ENTRY, WHEN, Column("seen", 1.5), Column("by", 0.7), Column("note", 1.8),
        Column("resolved", 1.3), Column("by", 0.7), Column("how", 1.8)),
        [(str(one.id), one.at, one.what, one.by, one.note, one.resolved_at or "open", one.resolved_by, one.resolution)
         for one in record.observations], "Nothing was logged as seen in this period.")


def _corrections(record: Record) -> Iterator[Block]:
    yield Heading(1, "Entries made late, corrected or withdrawn")
    yield Para("Late: logged more than a day after it happened. A correction or withdrawal is a new entry; the first "
               "version stays in the logbook."
               + (" Clock behind or ahead: the entries around it say that the clock was wrong when it was written, so "
                  "nobody knows when that was." if any(one.what.startswith("clock ") for one in record.corrections)
                  else ""))
    yield table("mended", (
        Column("entry", 0.5, right=True), Column("what", 0.8), Column("happened", 1.3), Column("logged", 1.3),
        Column("said before", 1.8), Column("says since", 3.0), Column("by", 0.7), Column("note", 1.2)),
        [(str(one.id), one.what, one.happened_at, one.recorded_at, one.before, one.since, one.by, one.note)
         for one in record.corrections], "Every entry was logged within a day and left as it was.")


def _conditions(record: Record) -> Iterator[Block]:
    profile = record.profile
    yield Heading(1, "The code's conditions, one by one")
    yield Para(f"{profile.document}, {profile.edition or 'no edition'}, restated in short words: {CHECK_LOCAL}. What "
               "the logbook shows is what people logged in it.")
    yield Heading(2, "The system itself, as the household answered it")
    yield table("gate", (Column("asked", 2.0), Column("answer", 0.9), Column("by the code", 2.6)),
                list(record.gate), "Nothing is asked of it.")
    yield Heading(2, "Condition by condition")
    yield table("conditions", (
        Column("condition", 2.4), Column("finding", 0.9), Column("what the logbook shows", 3.2),
        Column("known from", 1.2)),
        [*((text_of(one.condition), one.finding, _said_of(one), _known_from(record, one.condition))
           for one in record.evidence),
         *((f"{topic[:1].upper()}{topic[1:]}.", "not asked", SILENT, "") for topic in silent(profile))],
        "The profile holds no conditions.")
    yield Para(MARKS_NOTE)


def _said_of(one: Evidence) -> str:
    return " ".join((*one.shows, *(f"But: {line}" for line in one.against), *((one.remark,) if one.remark else ())))


def _known_from(record: Record, condition: Condition) -> str:
    profile = record.profile
    if (condition.source, condition.edition) == (profile.document, profile.edition):
        return marked(f"as above ({condition.sure})")
    return marked(citation(condition))


def _seal(record: Record) -> Iterator[Block]:
    seal = record.seal
    yield Heading(1, "The seal")
    if seal.number is None:
        yield Para("The logbook holds no entry yet; there is nothing to seal.")
        return
    yield Para(f"Seal number {seal.number}" + (f", logged {_moment(record, seal.recorded_at)}."
                                        if seal.recorded_at else "."), strong=True)
    yield table("seal", (Column("checked", 1.2), Column("holds", 0.6), Column("found", 3.0)),
                [(name, "yes" if holds else "NO", detail) for name, holds, detail in seal.levels])
    yield Points(WHAT_THE_SEAL_PROVES)
    yield Para("To compare later: gwlog verify --noted " + seal.number)
