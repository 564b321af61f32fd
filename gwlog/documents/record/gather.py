"""Collects the record of a period from the household at one moment.

Events are taken as they are known now, with every correction; basins stand as they stood at the period's end.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta

from gwlog import __version__, clock, text
from gwlog.decisions.benefit import benefit
from gwlog.decisions.clock_faults import clock_marks
from gwlog.decisions.compliance import Evidence, evidence
from gwlog.decisions.period import Past
from gwlog.decisions.query import profile_of
from gwlog.decisions.sewer_loads import SewerLoad, sewer_loads
from gwlog.decisions.shortage_words import short_text
from gwlog.decisions.upkeep_past import done_besides, rounds
from gwlog.documents.record.changes import corrections
from gwlog.documents.record.model import (
    HEAD_DIGITS,
    BasinLine,
    CoverLine,
    EarlierLoad,
    EventLine,
    GaveLine,
    LoadLine,
    ObservationLine,
    OtherWaterLine,
    Record,
    SaltLine,
    SaltPage,
    Seal,
    Totals,
    Week,
)
from gwlog.documents.record.privacy import Privacy, privacy
from gwlog.documents.record.span import Span, span
from gwlog.documents.record.weeks import weeks
from gwlog.errors import BadInput
from gwlog.household import Household
from gwlog.journal import seal
from gwlog.journal.disclosure import EVERYTHING
from gwlog.journal.facts import Outlet, Site, WashLoad
from gwlog.journal.reader import last_seal
from gwlog.reference.source import citation
from gwlog.state import Problem, Watering
from gwlog.views import basins as basin_table
from gwlog.views import benefit as benefit_page
from gwlog.views import code_profile

_DAY = timedelta(days=1)


def record(home: Household, start: date | None = None, end: date | None = None, *, reader: str = EVERYTHING,
           without_notes: bool | Collection[str] = False, roles: bool = False, full: bool = True) -> Record:
    """Return the record of `start`..`end` (local days, both included; default: all the days of the household of now).

    `reader`: for whom, of those who are told days (disclosure.READERS without the landlord); `full`: every entry, not
    only what is remarkable. Raises BadInput as span() and privacy() do.
    """
    words = privacy(home.entries, reader=reader, without_notes=without_notes, roles=roles)
    return replace(_Gathering(home, span(home, start, end, reader), words).record(), full=full)


class _Gathering:
    def __init__(self, home: Household, days: Span, words: Privacy) -> None:
        self.home, self.days, self.first, self.last, self.words = home, days, days.first, days.last, words
        last = days.last
        self.state, self.zone = home.state, home.zone
        self.by_id = {fact.id: fact for fact in home.standing.facts}
        close = clock.day_start(last + _DAY, self.zone) - timedelta(seconds=1)
        self.then = home if close >= home.now else home.at(close)

    def within(self, moment: datetime) -> bool:
        return self.first <= clock.local_day(moment, self.zone) <= self.last

    def record(self) -> Record:
        home, state, words = self.home, self.state, self.words
        duties = sewer_loads(state, home.exceptions)
        root = home.standing.root
        behind = {root.get(number, number) for number in clock_marks(home.entries)}
        past = Past(state, self.then.garden, self.first, self.last, duties, rounds(state, self.last, behind),
                    parties=words.names)
        profile = profile_of(state)
        sewer = tuple(self._load(one) for one in duties if self.within(one.load.fact.happened_at))
        valve, moves, cover = tuple(self._valve()), tuple(self._moves()), tuple(self._cover())
        observations = tuple(self._observations())
        changed = tuple(corrections(home, words, self.within))
        gave = benefit(state, home.garden, self.first, self.last)
        return Record(
            site=words.words(state.site.name) if state.site else "a household not described yet",
            zone=self.zone, system=home.system, occupants=state.site.occupants if state.site else 0, profile=profile,
            people=tuple(words.words(name) for name, person in state.people.items() if person.active and words.names),
            first=self.first, last=self.last, made_at=home.now, version=__version__, seal=seal_of(home),
            totals=self._totals(), weeks=tuple(self._weeks()),
            other_water=tuple(self._other_water()), currency=gave.currency,
            gave=tuple(GaveLine(date(*month, 1), *given, gave.worth(given)) for month, given in gave.months.items()),
            gave_notes=tuple(benefit_page.notes(home, gave)), salt=self._salt(), sewer=sewer, valve=valve, moves=moves,
            cover=cover, basins=tuple(self._basins()),
            upkeep=tuple(replace(one, task=words.task(one.task)) for one in past.rounds
                         if self.first <= one.day <= self.last),
            besides=tuple((words.task(name), day) for name, day in done_besides(state, self.last) if day >= self.first),
            observations=observations, corrections=changed, evidence=tuple(map(self._evidence, evidence(past))),
            problems=tuple(replace(p, text=self._odd(p)) for p in home.problems
                           if p.entry_id in self.by_id and self.within(self.by_id[p.entry_id].happened_at)),
            cautions=tuple((one.value, citation(one)) for one in profile.cautions),
            code_said=tuple((label, words.words(one)) for label, one in code_profile.said(
                state, clock.local_day(home.now, self.zone))),
            gate=tuple(code_profile.gate(state.site, home.reader)),
            notes_withheld=words.withheld, roles=bool(words.roles), short=tuple(self._short()),
            reader=words.reader, names=words.names, notes=words.notes, earlier=tuple(self._earlier(duties)),
        )

    def _odd(self, problem: Problem) -> str:
        if self.words.names:
            return self.words.words(problem.text)
        return f"entry {problem.entry_id} does not fit the entries beside it."

    def _earlier(self, duties: Sequence[SewerLoad]) -> Iterator[EarlierLoad]:
        """Those of the households before: by their day and what became of them, without a name or a note."""
        for number, (first, last) in enumerate(self.days.earlier, 1):
            for one in duties:
                if first <= one.load.day <= last and not one.diverted:
                    answer = self.state.resolved.get(one.load.fact.id)
                    followed = clock.local_day(answer.happened_at, self.zone) if answer is not None else None
                    yield EarlierLoad(number, first, last, one.load.day, one.load.litres, tuple(
                        self.words.words(delivery.basin) for delivery in one.load.deliveries), followed)

    def _short(self) -> Iterator[str]:
        """What is said of basins short of water, where the period ends today."""
        if self.then is not self.home:
            return
        try:
            short = self.home.plan.short
        except BadInput:
            return
        for one in short:
            yield self.words.words(short_text(one, self.home.reader))

    def _who(self, number: int) -> tuple[str, str]:
        fact = self.by_id.get(number)
        return (self.words.by(fact), self.words.note(fact)) if fact is not None else ("", "")

    def _salt(self) -> SaltPage | None:
        """The annex on salt; None where the tap water is not known."""
        from gwlog.views import salts
        from gwlog.views.log import soil_words

        home = self.home
        if not salts.known(home):
            return None
        lines, readings = [], []
        for name, basin in home.garden.basins.items():
            found, salt = salts.years(home, name), home.garden.salts.get(name)
            if found is None or salt is None:
                continue
            rows = tuple(cells for day, cells in salts.month_cells(found) if self.first <= day <= self.last)
            lines.append(SaltLine(self.words.words(name), self.words.words(salts.outlook(home, basin)), rows))
            readings += [(one.day, self.words.words(name), soil_words(one.reading), salts.soil_cells(one.reckoned))
                         for one in salt.compared if self.first <= one.day <= self.last]
        loads = salts.load_rows(home) if self.words.names else []
        return SaltPage(
            tuple(lines), tuple(sorted(readings)), salts.LOAD_HEAD,
            tuple(salts.load_cells(home, row) for row in loads), tuple(salts.notes(home, loads)))

    def _totals(self) -> Totals:
        loads = [fact for fact in self.home.standing.facts
                 if isinstance(fact, WashLoad) and fact.happened_at <= self.home.now and self.within(fact.happened_at)]
        garden = [fact.volume_ml for fact in loads if fact.went_to == "garden"]
        sewer = [fact.volume_ml for fact in loads if fact.went_to == "sewer"]
        entries = sum(entry.happened_at <= self.home.now and self.within(entry.happened_at)
                      for entry in self.home.entries)
        return Totals(entries, len(loads), (sum(garden) + sum(sewer)) / 1000, len(garden), sum(garden) / 1000,
                      len(sewer), sum(sewer) / 1000)

    def _weeks(self) -> Iterator[Week]:
        for week in weeks(self.home, self.first, self.last):
            yield replace(week, basins={self.words.words(name): figures for name, figures in week.basins.items()})

    def _load(self, one: SewerLoad) -> LoadLine:
        fact = one.load.fact
        by, note = self._who(fact.id)
        answer = self.state.resolved.get(fact.id) if one.followed_up and not one.diverted else None
        followed = ""
        if answer is not None:
            answer_note = self.words.note(answer)
            followed = (clock.echo(answer.happened_at, self.zone) + (f": {answer_note}" if answer_note else "")
                        if self.words.names else
                        clock.echo_date(clock.local_day(answer.happened_at, self.zone), self.home.system))
        return LoadLine(fact.id, fact.happened_at, self.words.load(fact.usual_load), one.load.litres,
                        tuple(self.words.words(reason.text) for reason in one.reasons), one.diverted,
                        one.followed_up, by, note, followed)

    def _valve(self) -> Iterator[EventLine]:
        for at, position, number in self.state.valve_log:
            if self.within(at):
                yield self._event(number, at, position)

    def _moves(self) -> Iterator[EventLine]:
        for at, outlet, basin, number in self.state.outlet_log:
            if self.within(at):
                yield self._event(number, at, self.words.words(f"{outlet} to {basin}"))

    def _event(self, number: int, at: datetime, what: str) -> EventLine:
        by, note = self._who(number)
        as_set_up = isinstance(self.by_id.get(number), Site | Outlet)
        return EventLine(number, at, f"{what} (as set up)" if as_set_up else what, by, note, as_set_up)

    def _other_water(self) -> Iterator[OtherWaterLine]:
        months: dict[tuple[date, str], list[Watering]] = {}
        for name, every in self.state.other_water.items():
            for one in every:
                if self.first <= one.day <= self.last:
                    months.setdefault((one.day.replace(day=1), name), []).append(one)
        for (month, name), given in sorted(months.items()):
            yield OtherWaterLine(month, self.words.words(name), len(given), round(sum(one.litres for one in given), 3),
                                 tuple(dict.fromkeys(one.way for one in given)))

    def _cover(self) -> Iterator[CoverLine]:
        entries = [one for found in self.state.mulch.values() for one in found if self.within(one.happened_at)]
        for one in sorted(entries, key=lambda entry: (entry.happened_at, entry.id)):
            yield CoverLine(one.id, one.happened_at, self.words.words(one.basin), one.action, float(one.depth_mm),
                            self.words.by(one), self.words.note(one))

    def _basins(self) -> Iterator[BasinLine]:
        for row in basin_table.as_json(self.then)["basins"]:
            fact = self.then.garden.basins[row["name"]].fact
            yield BasinLine(
                self.words.words(row["name"]), self.words.words(fact.plants), fact.soil, fact.area_cm2 / 1e4,
                row["standing"], row["allowance_l_per_day"], row["need_l_per_week"], row["percolated_30d_l"],
                row["cover_mm"], date.fromisoformat(row["cover_due"]) if row["cover_due"] else None)

    def _observations(self) -> Iterator[ObservationLine]:
        for seen in self.state.observations.values():
            answer = self.state.resolved.get(seen.id)
            day = clock.local_day(seen.happened_at, self.zone)
            open_then = answer is None or clock.local_day(answer.happened_at, self.zone) >= self.first
            if day > self.last or (day < self.first and not open_then):
                continue
            what = text.seen_word(seen.observed) + (f" at {seen.basin}" if seen.basin else "")
            yield ObservationLine(
                seen.id, seen.happened_at, self.words.words(what), self.words.by(seen), self.words.note(seen),
                answer.happened_at if answer else None, self.words.by(answer) if answer else "",
                self.words.note(answer) if answer else "")

    def _evidence(self, one: Evidence) -> Evidence:
        condition = replace(one.condition, text=self.words.words(one.condition.text)) \
            if one.condition.sure == "household" else one.condition
        return replace(one, condition=condition, shows=tuple(map(self.words.words, one.shows)),
                       against=tuple(map(self.words.words, one.against)))


def seal_of(home: Household) -> Seal:
    """The seal's number, and whether it holds now."""
    seq, digits, recorded = last_seal(home.path)
    found = seal.verify(home.path)
    return Seal(seq, digits[:HEAD_DIGITS], recorded, found.holds,
                tuple((level.name, level.holds, level.detail) for level in found.levels), found.first_broken)



