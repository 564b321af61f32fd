"""Every load that had to go to the sewer by what was known when it ran, and whether it did.

The loads that went to the garden all the same are the exceptions; here the others stand beside them.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from gwlog.decisions.garden_rules import GARDEN_RULES, out_of_season, passed_limit
from gwlog.decisions.ground import FrozenThen, rain_soaks
from gwlog.decisions.load_rules import LoadQuery, Reason, load_reasons
from gwlog.decisions.outlet_assignment import SHUT_BY
from gwlog.decisions.query import profile_at, reader_of
from gwlog.text import capital, seen_word

if TYPE_CHECKING:
    from gwlog.decisions.exceptions import LoadException
    from gwlog.state import LoadRun, State

HOUSEHOLD = {
    "illness": "illness in the household", "soaked ground": "soaked ground", "frozen ground": "frozen ground",
}
"""What is seen about the household or the ground as a whole -> the rule it belongs to."""

_SOURCES = {rule.id: rule.source for rule in GARDEN_RULES}


@dataclass(frozen=True, slots=True)
class SewerLoad:
    """A load that had to go to the sewer, and why. `followed_up`: settled, where it went to the garden."""

    load: LoadRun
    reasons: tuple[Reason, ...]
    followed_up: bool

    @property
    def diverted(self) -> bool:
        """Whether it did go to the sewer."""
        return not self.load.to_garden


def sewer_loads(state: State, exceptions: Iterable[LoadException]) -> tuple[SewerLoad, ...]:
    """Return the loads that had to go to the sewer, oldest first. `exceptions`: those that did not.

    Those that did are judged by what was in them, by what was logged as seen, by the weather as it was logged up to
    then, and by the code's season and daily limit. What a single basin could have taken is not asked of a load that
    never reached one.
    """
    wrong = {one.load.fact.id: one for one in exceptions}
    past = _Past(state)
    found = []
    for run in state.loads:
        past.advance(run)
        if run.to_garden:
            exception = wrong.get(run.fact.id)
            if exception is not None:
                found.append(SewerLoad(run, exception.reasons, exception.followed_up))
            continue
        reasons = tuple(past.reasons(run))
        if reasons:
            found.append(SewerLoad(run, reasons, False))
    return tuple(found)


class _Past:
    """Goes through the loads in order, knowing where the outlets lay and what had gone out that day."""

    def __init__(self, state: State) -> None:
        self.state, self.read = state, reader_of(state)
        self.sites = [site.happened_at for site in state.sites]
        self.frozen_then = FrozenThen(state, self.read)
        self.by_content: dict[tuple[object, ...], tuple[Reason, ...]] = {}
        self.moves = iter(state.outlet_log)
        self.move = next(self.moves, None)
        self.lies: dict[str, str] = {}
        self.day: date | None = None
        self.sent = 0.0

    def advance(self, run: LoadRun) -> None:
        if run.day != self.day:
            self.day, self.sent = run.day, 0.0
        if run.to_garden:
            self.sent += run.litres
        while self.move is not None and self.move[0] <= run.fact.happened_at:
            self.lies[self.move[1]] = self.move[2]
            self.move = next(self.moves, None)

    def reasons(self, run: LoadRun) -> Iterator[Reason]:
        yield from self._of_content(run)
        told = {reason.rule: reason for reason in self._of_observations(run)}
        for rule, words in self._of_code(run):
            if words:
                told.setdefault(rule, _must(rule, words))
        yield from told.values()

    def _of_content(self, run: LoadRun) -> tuple[Reason, ...]:
        key = (run.fact.usual_load, tuple(map(id, run.products)), run.fact.contents)
        known = self.by_content.get(key)
        if known is None:
            query = LoadQuery(run.fact.usual_load, run.litres, run.products, run.fact.contents)
            known = self.by_content[key] = tuple(one for one in load_reasons(query) if one.strength == "must")
        return known

    def _of_observations(self, run: LoadRun) -> Iterator[Reason]:
        watered = set(self.lies.values())
        for number in run.open_observations:
            seen = self.state.observations[number]
            rule = HOUSEHOLD.get(seen.observed)
            if seen.observed in SHUT_BY and (seen.basin is None or seen.basin in watered):
                rule = seen.observed
            if rule is not None:
                where = f" at {seen.basin}" if seen.basin else ""
                yield _must(rule, f"{capital(seen_word(seen.observed))}{where} was logged and not resolved then.")

    def _of_code(self, run: LoadRun) -> Iterator[tuple[str, str | None]]:
        state, read = self.state, self.read
        site = state.sites[max(0, bisect_right(self.sites, run.fact.happened_at) - 1)] if state.sites else None
        profile = profile_at(site)
        day, before = run.weather
        if day is not None or before is not None:
            yield "soaked ground", rain_soaks(day, before, read, when_raining=profile.when_raining)
        yield "frozen ground", self.frozen_then.at(run)
        yield "season", out_of_season(profile, run.day)
        total = self.sent + run.litres
        allowed = passed_limit(profile, site, total, read)
        if allowed:
            yield "daily limit", f"With it {read.volume(total)} would have gone out that day; {allowed}."


def _must(rule: str, words: str) -> Reason:
    return Reason(rule, "must", words, _SOURCES[rule])
