"""Loads that ran to the garden against a rule: shown as they happened, and whether they were followed up.

Judged by what was in the load, by what was open in the log then, and by the basins as described then.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator
from datetime import date, datetime
from typing import TYPE_CHECKING

from gwlog.decisions.garden_rules import GARDEN_RULES, out_of_season, passed_limit
from gwlog.decisions.ground import FrozenThen, rain_soaks
from gwlog.decisions.load_rules import LoadQuery, Reason, load_reasons
from gwlog.decisions.outlet_assignment import SHUT_BY, TOLERANCE_L, thin
from gwlog.decisions.query import profile_at, reader_of
from gwlog.history import History
from gwlog.text import capital, seen_word
from gwlog.units import Reader
from gwlog.values import dataclass
from gwlog.water.basin import DRAINABLE_POROSITY
from gwlog.water.before import before_of
from gwlog.water.garden import described_cover
from gwlog.water.growth import spec_of
from gwlog.water.mulch import Reckoning, known_depth, reckoning

if TYPE_CHECKING:
    from gwlog.journal.facts import Site
    from gwlog.reference.codes import Profile
    from gwlog.state import LoadRun, State
    from gwlog.water.garden import Garden

FOLLOW_UP = "Keep people and pets off the basin. With gloves, cover the wet spot with mulch; look for standing " \
            "water. Then log it as followed up."

_SOURCES = {rule.id: rule.source for rule in GARDEN_RULES}
_HOUSEHOLD = {
    "illness": ("illness in the household", "Illness in the household was logged and not resolved"),
    "soaked ground": ("soaked ground", "Soaked ground was logged and not resolved"),
    "frozen ground": ("frozen ground", "Frozen ground was logged and not resolved"),
}


@dataclass(frozen=True, slots=True)
class LoadException:
    """A load that the rules would have sent to the sewer, and why. Settled by a resolution of the load's number."""

    load: LoadRun
    reasons: tuple[Reason, ...]
    followed_up: bool


def exceptions(state: State, garden: Garden) -> tuple[LoadException, ...]:
    """Return the loads run to the garden against a rule, oldest first.

    Weather counts as far as it was logged for moments up to the load: rain typed in the evening was not known at
    the machine in the morning. What the log itself contradicts (an outlet out of reach, a retired basin) is a
    problem of the log, told as one. `garden` gives the day: what is later is not judged.
    """
    return against_musts(state, garden.now)


def against_musts(state: State, now: datetime) -> tuple[LoadException, ...]:
    """The same, of the loads up to `now`."""
    return tuple(_against(state, now, Judge(state, reader_of(state)), state.loads))


def open_exceptions(state: State, now: datetime) -> tuple[LoadException, ...]:
    """Return those of the exceptions up to `now` that nobody has followed up, without asking for the whole history."""
    before = before_of(state)
    judge = Judge(state, reader_of(state), at_hand=True)
    runs = (*(() if before is None else (one.run for one in before.judged)), *state.loads.known)
    return tuple(one for one in _against(state, now, judge, runs) if not one.followed_up)


def _against(state: State, now: datetime, judge: Judge, runs: Iterable[LoadRun]) -> Iterator[LoadException]:
    for run in runs:
        if run.to_garden and run.fact.happened_at <= now:
            reasons = judge.reasons(run)
            if reasons:
                yield LoadException(run, reasons, run.fact.id in state.resolved)


class Judge:
    """Goes through the loads in order; keeps what repeats itself over thousands of them."""

    def __init__(self, state: State, read: Reader, *, at_hand: bool = False) -> None:
        self.state, self.read = state, read
        before = before_of(state) if at_hand else None
        self.noted = {} if before is None else {one.run.fact.id: one.covers for one in before.judged}
        self.by_content: dict[tuple[object, ...], tuple[Reason, ...]] = {}
        self.since = {name: [basin.happened_at for basin in history]
                      for name, history in state.basin_history.items()}
        self.codes: dict[int, tuple[Site | None, Profile]] = {}
        self.sites = [site.happened_at for site in state.sites]
        self.frozen_then = FrozenThen(state, read, at_hand=at_hand)
        self.mulch = {name: entries if at_hand else History(entries) for name, entries in state.mulch.items()}
        self.mulched = {name: [one.happened_at for one in entries.known] for name, entries in self.mulch.items()}
        self.covers: dict[tuple[str, int, int], tuple[Reckoning, float]] = {}
        self.day: date | None = None
        self.taken: dict[str, float] = {}
        self.sent = 0.0

    def reasons(self, run: LoadRun) -> tuple[Reason, ...]:
        if run.day != self.day:
            self.day, self.taken, self.sent = run.day, {}, 0.0
        self.sent += run.litres
        found = list(self._of_content(run))
        if run.open_observations:
            found += self._of_observations(run)
        site, profile = self._site(run.fact.happened_at)
        found += self._of_code(run, site, profile, {reason.rule for reason in found})
        found += self._of_limits(run, profile)
        return tuple(found)

    def _of_content(self, run: LoadRun) -> tuple[Reason, ...]:
        fact = run.fact
        if not run.products and not fact.contents:
            return ()
        key = (fact.usual_load, tuple(map(id, run.products)), fact.contents)
        known = self.by_content.get(key)
        if known is None:
            query = LoadQuery(fact.usual_load, run.litres, run.products, fact.contents)
            known = tuple(Reason(one.rule, one.strength, one.text, one.source, FOLLOW_UP)
                          for one in load_reasons(query) if one.strength == "must")
            self.by_content[key] = known
        return known

    def _of_observations(self, run: LoadRun) -> list[Reason]:
        watered = {delivery.basin for delivery in run.deliveries}
        found: dict[str, Reason] = {}
        for number in run.open_observations:
            seen = self.state.observations[number]
            if seen.observed in SHUT_BY and (seen.basin is None or seen.basin in watered):
                where = f" at {seen.basin}" if seen.basin else ""
                rule, words = seen.observed, f"{capital(seen_word(seen.observed))}{where} was logged and not resolved"
            elif seen.observed in _HOUSEHOLD:
                rule, words = _HOUSEHOLD[seen.observed]
            else:
                continue
            found.setdefault(words, self._must(rule, f"{words} when this load ran."))
        return list(found.values())

    def _of_code(self, run: LoadRun, site: Site | None, profile: Profile, told: set[str]) -> Iterator[Reason]:
        """The weather as it was logged then, and the code's season and daily limit."""
        day, before = run.weather
        logged = "" if day is None and before is None else "As it was logged then: "
        wet = rain_soaks(day, before, self.read, when_raining=profile.when_raining)
        for rule, words in (("soaked ground", wet), ("frozen ground", self.frozen_then.at(run))):
            if words and rule not in told:
                yield self._must(rule, f"{logged}{words}")
        if (words := out_of_season(profile, run.day)) is not None:
            yield self._must("season", words)
        if (words := passed_limit(profile, site, self.sent, self.read)) is not None:
            yield self._must("daily limit",
                             f"With this load {self.read.volume(self.sent)} had gone out that day; {words}.")

    def _of_limits(self, run: LoadRun, profile: Profile) -> Iterator[Reason]:
        """The cover, the surge room and the absorption allowance of every basin that got water."""
        at, read, least_mm = run.fact.happened_at, self.read, profile.cover_mm.value
        litres: dict[str, float] = {}
        for delivery in run.deliveries:
            litres[delivery.basin] = litres.get(delivery.basin, 0.0) + delivery.litres
        for name, got in litres.items():
            total = self.taken[name] = self.taken.get(name, 0.0) + got
            since = self.since.get(name)
            if not since:
                continue
            # what came into force or was noted up to the load; its first description where it came before that
            described = max(1, bisect_right(since, at))
            depth, depth_mm = self._cover(run.fact.id, name, described, at)
            spec = spec_of(self.state.basin_history[name][described - 1])
            surge = spec.area_m2 * min(spec.mulch_mm, depth_mm) * DRAINABLE_POROSITY
            if depth < least_mm:
                asked = thin(depth, least_mm, read, profile.asked_by(profile.cover_mm))
                yield self._must("cover", f"When this load ran, the mulch at {name} was {asked}.")
            if got > surge + TOLERANCE_L:
                yield self._must("surge room", f"{name} got {read.volume(got)} at once; its mulch holds "
                                               f"{read.volume(surge)}.")
            if total > spec.allowance_l + TOLERANCE_L:
                yield self._must("absorption allowance", f"{name} had got {read.volume(total)} that day; its soil "
                                                         f"can absorb {read.volume(spec.allowance_l)}.")

    def _site(self, at: datetime) -> tuple[Site | None, Profile]:
        """The dwelling as described then, and its code."""
        number = max(0, bisect_right(self.sites, at) - 1)
        known = self.codes.get(number)
        if known is None:
            site = self.state.sites[number] if self.sites else None
            known = self.codes[number] = site, profile_at(site)
        return known

    def covers_of(self, run: LoadRun) -> dict[str, tuple[float, float]]:
        """The cover and the known depth of mulch [mm] of each described basin that got water of a load."""
        at = run.fact.happened_at
        return {name: self._cover(run.fact.id, name, max(1, bisect_right(self.since[name], at)), at)
                for name in dict.fromkeys(one.basin for one in run.deliveries) if self.since.get(name)}

    def _cover(self, load_id: int, name: str, described: int, at: datetime) -> tuple[float, float]:
        """The cover at a basin and the known depth of mulch [mm] when a load ran."""
        if load_id in self.noted:
            return self.noted[load_id][name]
        cover, depth = self._mulch(name, described, bisect_right(self.mulched.get(name, ()), at), at)
        return cover.depth(at), depth

    def _mulch(self, name: str, described: int, noted: int, at: datetime) -> tuple[Reckoning, float]:
        """How the cover is reckoned and the depth known [mm], by so many descriptions and entries of mulch."""
        known = self.covers.get((name, described, noted))
        if known is None:
            kept = self.mulch.get(name, History())
            entries = kept[:noted] if kept.older is None else kept   # what came after `at` is left out there
            stated = described_cover(self.state.basin_history[name][:described])
            known = self.covers[name, described, noted] = (
                reckoning(entries, at, *stated), known_depth(entries, at, *stated))
        return known

    def _must(self, rule: str, words: str) -> Reason:
        return Reason(rule, "must", words, _SOURCES[rule], FOLLOW_UP)
