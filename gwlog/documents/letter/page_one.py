"""The first page: what this is, the answer, the exceptions, the rules, upkeep, who can vouch for it, signatures.

It has to stay one page on Letter and A4, whatever the household: what does not fit is told in the annex, and how much.
"""

from __future__ import annotations

from collections.abc import Iterator

from gwlog import clock
from gwlog.documents.letter.model import Earlier, Letter, Task, Wrong, share
from gwlog.documents.render.blocks import (
    Block,
    Cell,
    Column,
    Document,
    Heading,
    Para,
    Points,
    Signatures,
    Table,
    litres,
    said,
    table,
)
from gwlog.documents.render.columns import PAD, SIZE, parts
from gwlog.documents.render.faces import widths
from gwlog.journal.disclosure import LANDLORD, NEXT_TENANT
from gwlog.reference.codes import PERMISSIONS
from gwlog.reference.source import CHECK_LOCAL
from gwlog.text import listed, plural
from gwlog.units import Reader

PAGE_HIGH = 652.0
"""What may stand below the subtitle on a Letter page, with a line to spare [pt]."""
PAGE_WIDE = 493.0
"""The width of the text on A4, the narrower of the two [pt]."""
BODY = 10.0
LINE, AFTER = 12.4, 3.0
"""From one line to the next, and what a paragraph takes more [pt]; as document.typ sets a compact document."""
MOST_NAMED = 5
MOST_TOPICS = 9
BARE = -1
"""Instead of signs for what shows a rule: one sentence each, and a few of the topics that a log does not show."""

_LEVELS = (
    *((most, room, True) for most in (12, 10, 8, 7, 6, 5, 4) for room in (220, 130, 90)),
    *((3, room, True) for room in (130, 90, 60)), (3, 60, False), (2, 60, False), (2, 0, False), (1, 0, False),
    (1, BARE, False))
"""What is tried until the page holds it: exceptions in full, signs of what shows a rule, whether what was seen and is
not resolved is named."""


def first_page(letter: Letter) -> tuple[Block, ...]:
    """The blocks of the first page."""
    for exceptions, room, seen in _LEVELS:
        made = tuple(_blocks(letter, exceptions, room, seen=seen))
        if sum(_high(letter, block) for block in made) <= PAGE_HIGH:
            break
    return made


def _blocks(letter: Letter, exceptions: int, room: int, *, seen: bool) -> Iterator[Block]:
    yield Para(_what_it_is(letter))
    if not letter.seal.holds:
        yield Para(f"The seal does not hold: {letter.seal.broken or 'the guards were changed'}. What follows may have "
                   "been altered after it was logged.", strong=True)
    yield Para(answer(letter), strong=True)
    yield Para(_in_all(letter))
    yield Heading(1, "Loads that had to go to the sewer and did not")
    yield from _wrong(letter, exceptions)
    if points := tuple(_besides(letter, seen=seen)):
        yield Points(points)
    yield Heading(1, "The rules, and what shows that they were kept")
    yield from _rules(letter, room)
    yield Heading(1, "Upkeep, and how far the record can be relied on")
    yield Para(upkeep(letter.tasks))
    yield Para(_record(letter))
    yield Signatures(signed_by(letter.reader))


def signed_by(reader: str) -> tuple[str, ...]:
    """Who signs: the household, and whoever receives the letter."""
    other = {LANDLORD: "the landlord, as received", NEXT_TENANT: "the next tenant, as received"}
    return "for the household", other.get(reader, "as received")


def _what_it_is(letter: Letter) -> str:
    where = "here" if letter.site == "this household" else f"at {letter.site}"
    by = ", by whole weeks and without private details" if letter.by_week else ""
    return (f"The water of the washing machine {where} may run through a pipe to the garden, into basins filled with "
            "mulch, where plants use it; a valve sends it to the sewer instead whenever the wash or the ground is not "
            f"fit for that. The household logs every load; this letter sums up its log{by}.")


def answer(letter: Letter) -> str:
    """The answer in a sentence or two."""
    if not letter.loads:
        return "No wash load was logged in this time."
    if not letter.due:
        return "No load had to go to the sewer, by what was logged."
    went = f"{letter.went:,} of {plural(letter.due, 'load')} that had to go to the sewer did: " \
           f"{share(letter.went, letter.due)}."
    if not letter.wrong:
        return went
    wrong, followed = len(letter.wrong), sum(one.followed is not None for one in letter.wrong)
    if wrong == 1:
        return f"{went} 1 went to the garden instead, and was {'' if followed else 'not '}followed up."
    seen_to = "all of them were" if followed == wrong else \
        f"{followed or 'none'} of them {'were' if followed > 1 else 'was'}"
    return f"{went} {wrong} went to the garden instead; {seen_to} followed up."


def _in_all(letter: Letter) -> str:
    read = Reader(letter.system)
    if not letter.loads:
        return "So there is nothing to tell of where the water went."
    sewer, rest = letter.loads - letter.garden_loads, read.volume(letter.litres - letter.garden_l)
    return (f"In all, {plural(letter.loads, 'load')}: {letter.garden_loads:,} ({read.volume(letter.garden_l)}) watered "
            f"the garden, {f'{sewer:,} ({rest})' if sewer else 'none'} went to the sewer, whether they had to or not.")


def gravest(letter: Letter) -> list[Wrong]:
    """The exceptions: those that nobody followed up first, then the newest."""
    return sorted(letter.wrong, key=lambda one: (one.followed is not None, -one.day.toordinal(), -one.id))


def wrong_table(letter: Letter, lines: list[Wrong]) -> Table:
    """Exceptions with what was done; the landlord is not told why a load had to go to the sewer."""
    head = [Column("entry", 0.5, right=True), Column("when", 1.5), Column("water", 0.6, "volume", True),
            Column("went to", 1.4), *([] if letter.by_week else [Column("reason", 2.4)]),
            Column("what was done", 3.4 if letter.by_week else 1.6)]
    rows: list[list[Cell]] = []
    for one in lines:
        why: list[Cell] = [] if letter.by_week else [" ".join(one.reasons)]
        rows.append([str(one.id), letter.when(one.day).removeprefix("the "), litres(one.litres),
                     listed(one.basins) or "the garden", *why, done(letter, one)])
    return table("exceptions", head, rows)


def done(letter: Letter, one: Wrong) -> str:
    """What was done about an exception, in a sentence or two."""
    if one.followed is None:
        return "Not followed up yet."
    when = f"Followed up {'in' if letter.by_week else 'on'} {letter.when(one.followed)}."
    return f"{one.done.rstrip('.')}. {when}" if one.done else when


def _wrong(letter: Letter, most: int) -> Iterator[Block]:
    if not letter.wrong:
        yield Para("No load is known to have gone to the garden that had to go to the sewer.")
    else:
        lines = gravest(letter)
        yield wrong_table(letter, lines[:most])
        left = lines[most:]
        if left:
            still = sum(one.followed is None for one in left)
            rest = f"{still} of them not followed up" if still else "followed up"
            yield Para(f"{plural(len(left), 'more exception')}, {rest}: see the annex, which the household can print.")
    for one in letter.earlier:
        yield Para(of_earlier(letter, one))


def of_earlier(letter: Letter, one: Earlier) -> str:
    """What is told of a household before, by its role only."""
    if not one.due:
        told = "no load had to go to the sewer"
    elif not one.wrong:
        told = f"all {plural(one.due, 'load')} that had to go to the sewer did"
    else:
        told = (f"{one.went} of {plural(one.due, 'load')} that had to go to the sewer did; of the {one.wrong} others, "
                f"{one.followed} {'was' if one.followed == 1 else 'were'} followed up")
    return (f"The household before, from {letter.when(one.first)} to {letter.when(one.last)}, is not counted above: "
            f"{told}; {plural(one.missed, 'round')} of upkeep missed.")


def _besides(letter: Letter, *, seen: bool) -> Iterator[str]:
    if letter.over:
        yield f"A basin got more water in a day than its soil can absorb: {plural(letter.over, 'time')}."
    still = [one for one in letter.seen if one.resolved is None]
    if still:
        named = [f"{one.what} ({letter.when(one.day)})" for one in still[-3:]] if seen else []
        yield f"{plural(len(still), 'thing')} seen in the garden {'is' if len(still) == 1 else 'are'} not resolved" + (
            f": {listed(named)}." if named and len(named) == len(still) else f", the last: {listed(named)}." if named
            else ".")
    if letter.problems:
        yield f"{plural(letter.problems, 'entry contradicts', 'entries contradict')} another one or the clock."


def _rules(letter: Letter, room: int) -> Iterator[Block]:
    profile = letter.profile
    yield Para(f"{profile.place}: {PERMISSIONS[profile.permission]}. The code is restated in short words: "
               f"{CHECK_LOCAL}.")
    yield table("rules", (Column("rule", 2.3), Column("kept", 0.6), Column("what the log shows", 3.6)),
                [(one.rule, one.finding, _short(one.shown, room)) for one in letter.kept],
                "The log shows nothing for any condition yet.")
    if topics := letter.not_shown:
        most = 3 if room == BARE else MOST_TOPICS
        more = f" and {len(topics) - most} more" if len(topics) > most else ""
        named = ", ".join(topics[:most]) if more else listed(topics)
        yield Para(f"Not shown by a log, so somebody has to look or ask: {named}{more}.")


def _short(shown: str, room: int) -> str:
    """As many whole sentences as there is room for, and in any case what speaks against."""
    parts = [part if part.endswith(".") else f"{part}." for part in shown.split(". ") if part]
    against = [part for part in parts if part.startswith("But: ")]
    if room == BARE:
        return (against or parts)[0] if parts else ""
    kept: list[str] = []
    for part in (*parts[:1], *against, *parts):
        if part not in kept and (not kept or part in against or sum(map(len, kept)) + len(part) <= room):
            kept.append(part)
    return " ".join(part for part in parts if part in kept)


def upkeep(tasks: tuple[Task, ...]) -> str:
    """How upkeep went, in one or two sentences."""
    rounds = sum(one.in_time + one.late + one.missed for one in tasks)
    if not rounds:
        return "No upkeep was due in this time."
    in_time, late = (sum(getattr(one, state) for one in tasks) for state in ("in_time", "late"))
    missed = [one for one in tasks if one.missed]
    gone = sum(one.missed for one in missed)
    names = listed([f"“{one.name}”" + (f" ({one.missed} times)" if one.missed > 1 else "") for one in missed[:3]])
    more = f" and {plural(len(missed) - 3, 'other task')}" if len(missed) > 3 else ""
    return (f"{in_time} of {plural(rounds, 'round')} of upkeep done in time, {late} late, "
            f"{f'{gone} missed: {names}{more}' if missed else 'none missed'}.")


def _record(letter: Letter) -> str:
    if not letter.seal.number:
        return letter.witness
    words = {"late": "were logged more than a day late", "corrected": "corrected", "withdrawn": "withdrawn"}
    mended = [f"{letter.mended[what]:,} {said}" for what, said in words.items() if letter.mended.get(what)]
    stays = "; what was changed stays readable" if set(letter.mended) & {"corrected", "withdrawn"} else ""
    how = f" Of the entries of this time {listed(mended)}{stays}." if mended else ""
    return f"Every entry is sealed, so that later changes show. {letter.witness}{how}{wrong_clock(letter)}"


def wrong_clock(letter: Letter) -> str:
    """Which entries were written under a wrong clock, behind a space; empty where none was."""
    if not letter.wrong_clock:
        return ""
    named = listed([f"{number:,}" for number in letter.wrong_clock[:MOST_NAMED]])
    more = f" and {len(letter.wrong_clock) - MOST_NAMED:,} more" if len(letter.wrong_clock) > MOST_NAMED else ""
    one = len(letter.wrong_clock) == 1
    return (f" {'Entry' if one else 'Entries'} {named}{more} {'was' if one else 'were'} written under a wrong clock "
            "(clock behind, or far ahead): nobody knows when that was.")


def _high(letter: Letter, block: Block) -> float:
    """How high a block is on the page, by the lines that its words take [pt]."""
    if isinstance(block, Heading):
        return 26.0
    if isinstance(block, Para):
        return _lines(said(block.words), PAGE_WIDE - 16 * block.strong, BODY, bold=block.strong) * LINE + AFTER + (
            15.0 * block.strong)
    if isinstance(block, Points):
        return sum(_lines(said(one), PAGE_WIDE - 16, BODY) * LINE + AFTER for one in block.words)
    if isinstance(block, Signatures):
        return 42.0
    if not isinstance(block, Table):
        return 0.0
    page = Document("", "", "", (), letter.zone, letter.system, clock.day_start(letter.made, letter.zone))
    rooms = [wide - 2 * PAD for wide in parts(page, block, PAGE_WIDE)[0].widths]
    heads = max(_lines(column.head(letter.system), room, SIZE, bold=True)
                for column, room in zip(block.columns, rooms, strict=True))
    rows = [max(_lines(page.under(column, cell), room, SIZE)
                for column, cell, room in zip(block.columns, row, rooms, strict=True)) for row in block.rows]
    return 9.0 + sum(1.0 + 11.2 * lines for lines in (heads, *rows))


def _lines(words: str, room: float, size: float, *, bold: bool = False) -> int:
    """The lines that words take, filled as far as each goes."""
    face, count, used = widths(bold=bold), 1, 0.0
    space = face.of(" ") * size
    for word in words.split(" "):
        wide = face.of(word) * size
        if used and used + space + wide > room:
            count, used = count + 1, wide
        else:
            used += (space if used else 0.0) + wide
    return count
