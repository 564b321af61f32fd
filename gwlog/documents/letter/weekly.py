"""The landlord's annex: the same figures week by week, every exception, every condition, every task; no single day."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from gwlog import clock
from gwlog.documents.letter.model import Letter
from gwlog.documents.letter.page_one import gravest, of_earlier, wrong_clock, wrong_table
from gwlog.documents.letter.page_two import how_to_check
from gwlog.documents.record.model import BasinWeek
from gwlog.documents.render.blocks import Block, Cell, Column, Document, Heading, Para, litres, table
from gwlog.reference.source import CHECK_LOCAL
from gwlog.text import listed, plural
from gwlog.units import Reader

MOST_PER_TABLE = 5


def document(letter: Letter, *, full: bool = False, mark: str = "") -> Document:
    """The annex to a letter. `full`: every week, not only those with a basin above its limit; `mark`: as for others."""
    seal = f"Seal number {letter.seal.number}" if letter.seal.number else "No entries yet"
    period = letter.period if letter.last >= letter.first else "no whole week yet"
    return Document(
        "Laundry water: annex to the letter for the landlord", f"{period} · by whole weeks",
        f"{seal} · {CHECK_LOCAL}", tuple(_blocks(letter, full=full)), letter.zone, letter.system,
        clock.day_start(letter.made, letter.zone), mark=mark)


def _blocks(letter: Letter, *, full: bool) -> Iterator[Block]:
    yield Heading(1, "Loads that had to go to the sewer and did not")
    lines = gravest(letter)
    yield wrong_table(letter, lines) if lines else Para("No such load is known.")
    for one in letter.earlier:
        yield Para(of_earlier(letter, one))
    yield from _weeks(letter, full=full)
    yield Heading(1, "The code's conditions, one by one")
    yield Para(f"As gwlog restates the code for {letter.profile.place}, in short words: {CHECK_LOCAL}.")
    yield table("conditions", (Column("condition", 2.4), Column("kept", 0.7), Column("what the log shows", 3.2)),
                [(one.rule, one.finding, one.shown) for one in letter.conditions], "The code profile holds none.")
    yield Heading(1, "Upkeep")
    yield table("upkeep", (
        Column("task", 3.0), Column("every", 0.9), Column("in time", 0.6, right=True), Column("late", 0.5, right=True),
        Column("missed", 0.6, right=True), Column("open", 0.5, right=True), Column("last done, week of", 1.2)),
        [(one.name, one.every, one.in_time, one.late, one.missed, one.open, _monday(one.last)) for one in letter.tasks],
        "Nothing was due in this time.")
    yield Heading(1, "Seen in the garden")
    yield table("seen", (Column("what", 2.5), Column("week of", 1.2), Column("resolved, week of", 1.2)),
                [(one.what, _monday(one.day), _monday(one.resolved) or "open") for one in letter.seen],
                "Nothing was seen in the garden in this time.")
    if said := wrong_clock(letter):
        yield Heading(1, "Under a wrong clock")
        yield Para(said.strip())
    yield Heading(1, "How to check this record")
    yield from how_to_check(letter)


def _weeks(letter: Letter, *, full: bool) -> Iterator[Block]:
    """The sums of each week, and each basin against its limit."""
    every = letter.weeks
    weeks = every if full else tuple(week for week in every if any(one.days_over for one in week.basins.values()))
    yield Heading(1, "Water week by week" if full else "Weeks in which a basin got too much")
    if not weeks:
        yield Para("No basin got more water in a day than its soil can absorb." if every else "No week is over yet.")
        return
    names = [name for name in letter.basin_names if any(one.basins[name].loads for one in every if name in one.basins)]
    for first in range(0, max(1, len(names)), MOST_PER_TABLE):
        part = names[first:first + MOST_PER_TABLE]
        yield table("weeks" if first == 0 else f"weeks {first // MOST_PER_TABLE + 1}", (
            Column("week of", 1.2), Column("loads", 0.6, right=True), Column("to the garden", 0.9, "volume", True),
            Column("to the sewer", 0.9, "volume", True),
            *(column for name in part for column in (Column(name, 0.9, "volume", True), Column("*", 0.15)))),
            [(week.first, week.loads, litres(round(week.litres - week.sewer_l, 3)), litres(week.sewer_l),
              *(cell for name in part for cell in _cells(week.basins.get(name)))) for week in weeks])
    last = weeks[-1]
    limits = [f"{name} {_limit(letter, last.basins[name])}" for name in names if name in last.basins]
    yield Para(f"A * marks a week in which a basin got more in a day than its soil can absorb. The limits of the last "
               f"week shown: {listed(limits) or 'none'}. {plural(len(every), 'week')} in all.")


def _limit(letter: Letter, week: BasinWeek) -> str:
    return Reader(letter.system).volume(week.allowance_l)


def _cells(week: BasinWeek | None) -> tuple[Cell, ...]:
    if week is None or not week.loads:
        return None, ""
    return litres(week.litres), "*" if week.days_over else ""


def _monday(day: date | None) -> date | None:
    return None if day is None else clock.monday(day)
