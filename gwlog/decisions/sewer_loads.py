"""Every load that had to go to the sewer by what was in it or by what was logged as seen, and whether it did.

The loads that went to the garden all the same are the exceptions; here the others stand beside them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from gwlog.decisions.ground import GARDEN_RULES
from gwlog.decisions.placing import SHUT_BY
from gwlog.decisions.rules import LoadQuery, Reason, load_reasons

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

    Rain is left out on both sides, as in the exceptions: what was typed in the evening was not known at the
    machine in the morning. What somebody had logged as seen counts.
    """
    wrong = {one.load.fact.id: one for one in exceptions}
    moves = iter(state.outlet_log)
    move = next(moves, None)
    lies: dict[str, str] = {}
    by_content: dict[tuple[object, ...], tuple[Reason, ...]] = {}
    found = []
    for run in state.loads:
        if run.to_garden:
            exception = wrong.get(run.fact.id)
            if exception is not None:
                found.append(SewerLoad(run, exception.reasons, exception.followed_up))
            continue
        while move is not None and move[0] <= run.fact.happened_at:
            lies[move[1]] = move[2]
            move = next(moves, None)
        key = (run.fact.usual_load, tuple(map(id, run.products)), run.fact.contents)
        known = by_content.get(key)
        if known is None:
            query = LoadQuery(run.fact.usual_load, run.litres, run.products, run.fact.contents)
            known = by_content[key] = tuple(one for one in load_reasons(query) if one.strength == "must")
        reasons = (*known, *_seen(state, run, set(lies.values())))
        if reasons:
            found.append(SewerLoad(run, reasons, False))
    return tuple(found)


def _seen(state: State, run: LoadRun, watered: set[str]) -> Iterator[Reason]:
    for number in run.open_observations:
        seen = state.observations[number]
        rule = HOUSEHOLD.get(seen.observed)
        if seen.observed in SHUT_BY and (seen.basin is None or seen.basin in watered):
            rule = seen.observed
        if rule is not None:
            where = f" at {seen.basin}" if seen.basin else ""
            yield Reason(rule, "must", f"{seen.observed.capitalize()}{where} was logged and not resolved then.",
                         _SOURCES[rule])
