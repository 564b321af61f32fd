"""Collects the letter from the household at one moment, by the same decisions as every other face."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator
from dataclasses import replace
from datetime import date, datetime, timedelta

from gwlog import __version__, clock, text
from gwlog.decisions.clock_faults import clock_marks
from gwlog.decisions.compliance import evidence
from gwlog.decisions.period import Past
from gwlog.decisions.query import profile_of
from gwlog.decisions.sewer_loads import SewerLoad, sewer_loads
from gwlog.decisions.upkeep_past import Round, rounds
from gwlog.documents.letter import conditions
from gwlog.documents.letter.model import Earlier, Letter, Seen, Task, Wrong
from gwlog.documents.letter.witness import witness_state
from gwlog.documents.record.changes import mended_in
from gwlog.documents.record.gather import seal_of
from gwlog.documents.record.privacy import Privacy, privacy
from gwlog.documents.record.span import Span, span
from gwlog.documents.record.weeks import weeks
from gwlog.household import Household
from gwlog.journal.disclosure import LANDLORD

_DAY = timedelta(days=1)
NOT_OF_THE_GARDEN = ("illness", "other")
"""What is seen about people, or told only by a note: the landlord is not told of it."""


def letter(home: Household, reader: str = LANDLORD, start: date | None = None, end: date | None = None, *,
           without_notes: bool | Collection[str] = False, roles: bool = False) -> Letter:
    """Return the letter of `start`..`end` (local days, both included; default: everything up to now).

    Raises BadInput when nothing lies between, or for a reader or a kind of entry that does not exist.
    """
    words = privacy(home.entries, reader=reader, without_notes=without_notes, roles=roles)
    return Gathering(home, span(home, start, end, reader), words).letter()


class Gathering:
    """One letter in the making; `words.shown_sentences` holds afterwards which notes it quotes."""

    def __init__(self, home: Household, days: Span, words: Privacy) -> None:
        self.home, self.days, self.words = home, days, words
        self.state, self.zone = home.state, home.zone
        self.duties = sewer_loads(self.state, home.exceptions)
        self.rounds = rounds(self.state, days.last)
        close = clock.day_start(days.last + _DAY, self.zone) - timedelta(seconds=1)
        self.then = home if close >= home.now or days.empty else home.at(close)

    def letter(self) -> Letter:
        home, state, words, days = self.home, self.state, self.words, self.days
        past = Past(state, self.then.garden, days.first, days.last, self.duties, self.rounds, words.by_week,
                    words.names)
        found = evidence(past)
        every = [] if days.empty else list(past.loads())
        duties = [one for one in self.duties if past.within(one.load.day)]
        by_week = () if days.empty else weeks(home, days.first, days.last)
        seal = seal_of(home)
        return Letter(
            reader=words.reader, by_week=words.by_week, site=words.home(state.site.name if state.site else ""),
            zone=self.zone, system=home.system, profile=profile_of(state), first=days.first, last=days.last,
            made=clock.local_day(home.now, self.zone), version=__version__, seal=seal,
            witness=witness_state(home, seal, words), loads=len(every), litres=sum(run.litres for run in every),
            garden_loads=sum(run.to_garden for run in every),
            garden_l=sum(run.litres for run in every if run.to_garden), due=len(duties),
            wrong=tuple(self._wrong(one) for one in duties if not one.diverted),
            over=sum(basin.days_over for week in by_week for basin in week.basins.values()),
            seen=tuple(self._seen()), kept=conditions.grouped(found, past, words),
            not_shown=conditions.not_shown(found, words), conditions=tuple(conditions.each(found, past, words)),
            tasks=tuple(self._tasks()),
            weeks=tuple(replace(week, basins={words.words(name): one for name, one in week.basins.items()})
                        for week in by_week),
            earlier=tuple(earlier(home, days, self.duties)),
            problems=sum(self._within_known(problem.entry_id) for problem in home.problems),
            mended=dict(Counter(mended_in(home, self._within))), wrong_clock=tuple(sorted(clock_marks(home.entries))),
        )

    def _within(self, moment: datetime) -> bool:
        return self.days.first <= clock.local_day(moment, self.zone) <= self.days.last

    def _within_known(self, number: int) -> bool:
        return any(fact.id == number and self._within(fact.happened_at) for fact in self.home.standing.facts)

    def _wrong(self, one: SewerLoad) -> Wrong:
        words, answer = self.words, self.state.resolved.get(one.load.fact.id)
        done = ""
        if answer is not None:
            done = words.about_exception(answer) if words.by_week else words.note(answer)
        return Wrong(
            one.load.fact.id, one.load.day, one.load.litres,
            tuple(dict.fromkeys(words.words(delivery.basin) for delivery in one.load.deliveries)),
            () if words.by_week else tuple(words.words(reason.text) for reason in one.reasons),
            clock.local_day(answer.happened_at, self.zone) if answer is not None else None, done)

    def _seen(self) -> Iterator[Seen]:
        for seen in self.state.observations.values():
            if self.words.by_week and seen.observed in NOT_OF_THE_GARDEN:
                continue
            answer = self.state.resolved.get(seen.id)
            day = clock.local_day(seen.happened_at, self.zone)
            ended = clock.local_day(answer.happened_at, self.zone) if answer else None
            if day > self.days.last or (day < self.days.first and ended is not None and ended < self.days.first):
                continue
            what = text.seen_word(seen.observed) + (f" at {seen.basin}" if seen.basin else "")
            yield Seen(self.words.words(what), day, ended)

    def _tasks(self) -> Iterator[Task]:
        by_task: dict[str, list[Round]] = {}
        for one in self.rounds:
            if self.days.first <= one.day <= self.days.last:
                by_task.setdefault(one.task, []).append(one)
        for name, these in by_task.items():
            count = Counter(one.state for one in these)
            yield Task(self.words.task(name), these[0].every, count["in time"], count["late"], count["missed"],
                       count["open"], max((one.done for one in these if one.done), default=None))


def earlier(home: Household, days: Span, duties: Collection[SewerLoad]) -> Iterator[Earlier]:
    """The households before, each with its own figures and no names."""
    for first, last in days.earlier:
        these = [one for one in duties if first <= one.load.day <= last]
        missed = sum(one.state == "missed" and first <= one.day <= last for one in rounds(home.state, last))
        yield Earlier(first, last, len(these), sum(one.diverted for one in these),
                      sum(not one.diverted and one.followed_up for one in these), missed)
