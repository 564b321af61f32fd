"""What a wrong clock left in the log: entries dated ahead of the time at which they were written.

The order of the entries' numbers is the order in which they were written, whatever the clock said.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from datetime import datetime
from itertools import pairwise

from gwlog import clock
from gwlog.actions import Action, Hint
from gwlog.journal.clock_marks import AHEAD, BEHIND, FAR_AHEAD, marks
from gwlog.journal.facts import Fact, Standing
from gwlog.state import Problem
from gwlog.text import listed, plural

SET_IT = "If the clock is wrong, set it right: entries are dated by it."

TOLD_ONE_BY_ONE = 3
MOST_NUMBERS = 12


def clock_words(last: datetime, present: datetime, zone: str) -> str | None:
    """What is odd about the clock that says `present`, where the last entry was written at `last`; None: nothing."""
    if present > last + FAR_AHEAD:
        return (f"This machine's clock says {clock.echo(present, zone)}, more than a year after the last entry "
                f"({clock.echo(last, zone)}). {SET_IT}")
    return clock_gone_back(last, present, zone)


def clock_gone_back(last: datetime, present: datetime, zone: str) -> str | None:
    """What is odd about a clock that says `present`, before the last entry was written; None where it does not."""
    if present >= last - AHEAD:
        return None
    return (f"This machine's clock says {clock.echo(present, zone)}, before the last entry was written "
            f"({clock.echo(last, zone)}). {SET_IT}")


def dated_ahead(entries: Sequence[Fact], standing: Standing, present: datetime) -> list[tuple[Fact, datetime]]:
    """The standing entries that say they happened after an entry that was written later, or after `present`.

    Each with the moment at which it had been written by. They do not count before their time, and count wrongly after
    it. `entries`: all of the logbook, in order of their numbers.
    """
    ahead = _written_ahead(entries, present)
    return [(fact, ahead[fact.id]) for fact in standing.facts
            if fact.id in ahead and fact.happened_at > ahead[fact.id] + AHEAD] if ahead else []


def problems(entries: Sequence[Fact], standing: Standing, present: datetime, zone: str) -> tuple[Problem, ...]:
    """The same as problems: one by one where they are few, else one for all."""
    found = dated_ahead(entries, standing, present)
    if len(found) > TOLD_ONE_BY_ONE:
        first, last = found[0][0], max(found, key=lambda one: one[0].happened_at)[0]
        return (Problem(
            min(fact.id for fact, _ in found),
            f"{plural(len(found), 'entry', 'entries')} are dated up to {clock.echo(last.happened_at, zone)}, but were "
            f"written before {clock.echo(found[0][1], zone)}: the clock ran ahead. None counts before its date.",
            Hint("Say of each when it was: ", Action("correct", number=first.id, at="WHEN"), ", or withdraw it: ",
                 Action("withdraw", number=first.id, note="WHY"))),)
    return tuple(_each(found, zone))


def _each(found: Sequence[tuple[Fact, datetime]], zone: str) -> Iterator[Problem]:
    for fact, bound in found:
        yield Problem(
            fact.id, f"Entry {fact.id} is dated {clock.echo(fact.happened_at, zone)}, but was written before "
                     f"{clock.echo(bound, zone)}: the clock ran ahead. It does not count before its date.",
            Hint("Say when it was: ", Action("correct", number=fact.id, at="WHEN"), ", or withdraw it: ",
                 Action("withdraw", number=fact.id, note="WHY")))


def clock_marks(entries: Sequence[Fact]) -> dict[int, str]:
    """Number -> “clock behind” or “clock ahead”, of all entries of a logbook in order of their numbers."""
    return marks([(entry.id, entry.recorded_at) for entry in entries])


def clock_behind(entries: Sequence[Fact]) -> tuple[Fact, ...]:
    """The entries that were written under a clock behind an earlier entry's moment of writing."""
    found = clock_marks(entries)
    return tuple(entry for entry in entries if found.get(entry.id) == BEHIND)


def marked_words(found: dict[int, str]) -> tuple[str, ...]:
    """The marked entries in words, a sentence for each mark."""
    told = []
    for mark in dict.fromkeys(found.values()):
        numbers = [number for number, word in found.items() if word == mark]
        said = listed([f"{number:,}" for number in numbers[:MOST_NUMBERS]])
        more = f" and {len(numbers) - MOST_NUMBERS:,} more" if len(numbers) > MOST_NUMBERS else ""
        why = "an earlier entry says a later time" if mark == BEHIND else \
            "more than a year ahead, while later entries say an earlier time"
        those, they = ("entry", "it was") if len(numbers) == 1 else ("entries", "they were")
        told.append(f"{mark}: {those} {said}{more} ({why}); when {they} written is not known by the clock.")
    return tuple(told)


def gone_back(moments: Sequence[datetime]) -> bool:
    """Whether the clock went back between two of the moments, in the order in which they were written."""
    return any(one > after + AHEAD for one, after in pairwise(moments))


def _written_ahead(entries: Sequence[Fact], present: datetime) -> dict[int, datetime]:
    """Entry -> the earliest moment at which a right clock had already written something after it.

    Right are the clocks of the longest row of entries whose moments do not go back, of several the latest one.
    """
    moments = [entry.recorded_at for entry in entries]
    if not gone_back([*moments, present]):
        return {}
    known = [number for number, moment in enumerate(moments) if moment <= present + AHEAD]
    right = set(_longest_row(moments, known))
    found: dict[int, datetime] = {}
    bound = present
    for number in range(len(entries) - 1, -1, -1):
        if number in right:
            bound = min(bound, moments[number])
        elif moments[number] > bound + AHEAD:
            found[entries[number].id] = bound
    return found


def _longest_row(moments: Sequence[datetime], numbers: Sequence[int]) -> list[int]:
    """The longest row of `numbers` whose moments do not go back (patience sorting), of equals the one written last."""
    ends: list[datetime] = []
    tops: list[int] = []
    before: dict[int, int | None] = {}
    for number in numbers:
        place = bisect_right(ends, moments[number])
        before[number] = tops[place - 1] if place else None
        ends[place:place + 1] = [moments[number]]
        tops[place:place + 1] = [number]
    row: list[int] = []
    at: int | None = tops[-1] if tops else None
    while at is not None:
        row.append(at)
        at = before[at]
    return row
