"""Entries made late, under a wrong clock, corrected or withdrawn: what each said before, and what it says since.

The first wording stays in the logbook and is printed here.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import datetime
from typing import Any

from gwlog import clock, text
from gwlog.decisions.attested_words import attested_words
from gwlog.decisions.clock_faults import clock_marks
from gwlog.documents.record.model import CorrectionLine
from gwlog.documents.record.privacy import Privacy
from gwlog.household import Household
from gwlog.journal.facts import (
    Attestation,
    Fact,
    Person,
    PlannedLoad,
    Product,
    ReminderAnswer,
    UpkeepDone,
    UpkeepTask,
    UsualLoad,
    WashLoad,
    Withdrawal,
)
from gwlog.views.log import DONE_BY_PEOPLE, kind_words, sentence

LATE_SECONDS = 86_400
"""An entry written more than a day after it happened counts as late."""

STRUCK = "withdrawn"


def corrections(home: Household, words: Privacy, within: Callable[[datetime], bool]) -> Iterator[CorrectionLine]:
    """Those that happened or were corrected `within` the period, in the order in which they were written."""
    current: dict[int, Fact] = {}
    root = home.standing.root
    clocks = clock_marks(home.entries)
    for entry in home.entries:
        if entry.recorded_at > home.now:
            continue
        if entry.id in clocks and (within(entry.happened_at) or within(entry.recorded_at)):
            yield CorrectionLine(entry.id, clocks[entry.id], entry.happened_at, entry.recorded_at, "",
                                 said(home, words, entry), words.by(entry), words.note(entry))
        if isinstance(entry, Withdrawal):
            number = root.get(entry.withdraws_id, entry.withdraws_id)
            before = current.pop(number, None)
            if before is not None and (within(before.happened_at) or within(entry.recorded_at)):
                yield _line(home, words, number, "withdrawn", before, entry, STRUCK)
            continue
        if entry.corrects_id is not None:
            number = root.get(entry.corrects_id, entry.corrects_id)
            before = current.get(number)
            if before is None:
                continue
            current[number] = entry
            if within(before.happened_at) or within(entry.happened_at) or within(entry.recorded_at):
                yield _line(home, words, number, "corrected", before, entry, _wording(home, words, entry, before))
            continue
        current[entry.id] = entry
        late = (entry.recorded_at - entry.happened_at).total_seconds()
        if isinstance(entry, DONE_BY_PEOPLE) and late > LATE_SECONDS and within(entry.happened_at):
            days = text.plural(round(late / LATE_SECONDS), "day")
            yield CorrectionLine(entry.id, "late", entry.happened_at, entry.recorded_at, "",
                             f"{said(home, words, entry)}; logged {days} later", words.by(entry), words.note(entry))


def mended_in(home: Household, within: Callable[[datetime], bool]) -> Iterator[str]:
    """“late”, “corrected”, “withdrawn” or the mark of a wrong clock of each such entry `within` the period."""
    return (one.what for one in corrections(home, Privacy(), within))


def _line(home: Household, words: Privacy, number: int, what: str, before: Fact, entry: Fact,
          since: str) -> CorrectionLine:
    corrected = what == "corrected"
    wording = _wording(home, words, before, entry if corrected else None)
    # A correction's own note is part of what it says since.
    note = "" if corrected else words.note(entry)
    return CorrectionLine(number, what, before.happened_at, entry.recorded_at, wording, since, words.by(entry), note)


def _wording(home: Household, words: Privacy, fact: Fact, other: Fact | None) -> str:
    """What a wording says; of what its sentence leaves out, that in which it differs from the other wording."""
    parts = [said(home, words, fact)]
    if other is None or other.happened_at != fact.happened_at:
        parts.append(f"at {clock.echo(fact.happened_at, home.zone)}" if words.names else
                     f"on {clock.echo_date(clock.local_day(fact.happened_at, home.zone), home.system)}")
    for name in ("products", "washer", "day"):
        value = getattr(fact, name, None)
        if other is not None and value != getattr(other, name, None):
            parts.append(f"{name}: {words.words(_in_words(value))}")
    if fact.note and words.notes and (other is None or other.note != fact.note):
        parts.append(f"note: {words.note(fact)}")
    return "; ".join(parts)


def said(home: Household, words: Privacy, fact: Fact) -> str:
    """What an entry says; for a reader who is told no names, without what the household called loads and tasks."""
    if words.names:
        return words.words(sentence(home, fact))
    if isinstance(fact, WashLoad):
        return words.words(sentence(home, replace(fact, usual_load=None)))
    if isinstance(fact, UpkeepDone):
        return f"done: {words.task(fact.task)}"
    if isinstance(fact, Person | Product | UsualLoad | PlannedLoad | UpkeepTask):
        return f"{kind_words(fact.KIND)} {'described' if fact.active else 'retired'}"
    if isinstance(fact, Attestation):
        return attested_words(replace(fact, party=None, file_name=None))
    return "reminder answered" if isinstance(fact, ReminderAnswer) else words.words(sentence(home, fact))


def _in_words(value: Any) -> str:
    return text.listed(value) or "none" if isinstance(value, tuple) else str(value)
