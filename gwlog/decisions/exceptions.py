"""Loads that ran to the garden against a must: shown as they happened, and whether they were followed up.

Judged by what was in the load, by what was open in the log then, and by the basins as described then.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from datetime import date, datetime
from typing import TYPE_CHECKING

from gwlog.decisions.ground import GARDEN_RULES
from gwlog.decisions.placing import SHUT_BY, TOLERANCE_L
from gwlog.decisions.routing import reader_of
from gwlog.decisions.rules import LoadQuery, Reason, load_reasons
from gwlog.journal.facts import Basin
from gwlog.units import Reader
from gwlog.water.basin import BasinSpec
from gwlog.water.ledger import spec_of

if TYPE_CHECKING:
    from gwlog.state import LoadRun, State
    from gwlog.water.garden import Garden

FOLLOW_UP = "Look at the basin, put right what went wrong, and note it as followed up."

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
    """Return the loads run to the garden against a must, oldest first.

    Weather is left out: rain typed in the evening was not known at the machine in the morning; what somebody
    had logged as seen (soaked, frozen ground) counts. `garden` gives the day: what is later is not judged.
    """
    judge = _Judge(state, reader_of(state))
    found = []
    for run in state.loads:
        if run.to_garden and run.fact.happened_at <= garden.now:
            reasons = judge.reasons(run)
            if reasons:
                found.append(LoadException(run, reasons, run.fact.id in state.resolved))
    return tuple(found)


class _Judge:
    """Goes through the loads in order; keeps what repeats itself over thousands of them."""

    def __init__(self, state: State, read: Reader) -> None:
        self.state, self.read = state, read
        self.by_content: dict[tuple[object, ...], tuple[Reason, ...]] = {}
        self.since = {name: [basin.happened_at for basin in history]
                      for name, history in state.basin_history.items()}
        self.day: date | None = None
        self.taken: dict[str, float] = {}

    def reasons(self, run: LoadRun) -> tuple[Reason, ...]:
        found = list(self._of_content(run))
        if run.open_observations:
            found += self._of_observations(run)
        found += self._of_limits(run)
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
                rule, words = seen.observed, f"{seen.observed.capitalize()}{where} was logged and not resolved"
            elif seen.observed in _HOUSEHOLD:
                rule, words = _HOUSEHOLD[seen.observed]
            else:
                continue
            found.setdefault(words, Reason(rule, "must", f"{words} when this load ran.", _SOURCES[rule], FOLLOW_UP))
        return list(found.values())

    def _of_limits(self, run: LoadRun) -> list[Reason]:
        if run.day != self.day:
            self.day, self.taken = run.day, {}
        litres: dict[str, float] = {}
        for delivery in run.deliveries:
            litres[delivery.basin] = litres.get(delivery.basin, 0.0) + delivery.litres
        found = []
        for name, got in litres.items():
            spec = self._spec(name, run.fact.happened_at)
            total = self.taken[name] = self.taken.get(name, 0.0) + got
            if spec is None:
                continue
            if got > spec.surge_room_l + TOLERANCE_L:
                found.append(self._over("surge room", f"{name} got {self.read.volume(got)} at once; its mulch "
                                                      f"holds {self.read.volume(spec.surge_room_l)}."))
            if total > spec.allowance_l + TOLERANCE_L:
                found.append(self._over("absorption allowance",
                                        f"{name} had got {self.read.volume(total)} that day; its soil may soak "
                                        f"in {self.read.volume(spec.allowance_l)}."))
        return found

    def _spec(self, name: str, at: datetime) -> BasinSpec | None:
        """The basin as described when the load ran; its first description where the load came before."""
        since = self.since.get(name)
        if not since:
            return None
        basin: Basin = self.state.basin_history[name][max(0, bisect_right(since, at) - 1)]
        return spec_of(basin)

    def _over(self, rule: str, words: str) -> Reason:
        return Reason(rule, "must", words, _SOURCES[rule], FOLLOW_UP)
