"""Which way a load goes at a moment, and what that rests on: the rules first, then the plan's first decision."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import TYPE_CHECKING

from gwlog.clock import local_day
from gwlog.decisions.answer import Delivery, OtherWay, Side, Walk
from gwlog.decisions.answer_words import NOW_SOURCE, Cost, costs, why_sewer
from gwlog.decisions.coming import asked
from gwlog.decisions.expected import UNNAMED
from gwlog.decisions.garden_rules import WHEN_ROOM, Case, DayCase, basin_reasons, day_reasons
from gwlog.decisions.load_rules import LoadQuery, Reason, load_reasons, strongest_first
from gwlog.decisions.outlet_assignment import Placing, closures, place
from gwlog.decisions.plan_cost import PlanLoad, Step, Totals
from gwlog.decisions.plan_garden import beds_of, day_of, outlets_of
from gwlog.decisions.query import aim_of, asked_cover, profile_of, reader_of
from gwlog.decisions.rotation import DAYS, Rotation
from gwlog.decisions.steady import Decision
from gwlog.decisions.turns import tell
from gwlog.values import NamedTuple
from gwlog.water.rest import TINY_L

if TYPE_CHECKING:
    from gwlog.state import State
    from gwlog.water.garden import Garden


class Settled(NamedTuple):
    """Which way a load goes, and what it rests on. `decision` None: it is not the plan's to decide."""

    side: Side
    garden: Garden
    placing: Placing
    reasons: tuple[Reason, ...]
    decision: Decision | None


class Settling:
    """Settles loads of one household at one moment; what was settled is kept."""

    def __init__(self, rotation: Rotation) -> None:
        self.rotation, self.state = rotation, rotation.state
        self.read, self.aim = reader_of(self.state), aim_of(self.state)
        self._found: dict[tuple[LoadQuery, datetime], Settled] = {}

    def of(self, query: LoadQuery, at: datetime) -> Settled:
        """Which way a load goes at a moment, and what speaks against the garden."""
        known = self._found.get((query, at))
        if known is None:
            known = self._found[query, at] = self._settle(query, at)
        return known

    def _settle(self, query: LoadQuery, at: datetime) -> Settled:
        garden = self.rotation.garden_at(at)
        case = self._case(query, garden, at)
        reasons = [*load_reasons(query), *day_reasons(DayCase(self.state, case.today, self.read, case.profile))]
        decision = None
        if not reasons and self.state.shares() and garden.basins:
            after, _ = self.rotation.expect(at, DAYS, query.name or UNNAMED)
            decision = self.rotation.decide(asked(query, at, self.state.zone), at, after)
        if decision is not None and decision.way != "sewer":
            return Settled("garden", garden, case.placing, (), decision)
        if decision is None or not _garden_ways(decision):
            reasons += basin_reasons(case)
        if not reasons and decision is not None:
            reasons.append(self._plan_reason(garden, decision, query.volume_l))
        return Settled("sewer", garden, case.placing, strongest_first(reasons), decision)

    def _case(self, query: LoadQuery, garden: Garden, at: datetime) -> Case:
        profile = profile_of(self.state)
        closed = closures(self.state, garden, *asked_cover(self.state))
        placing = place(self.state, garden, query.volume_l, closed, self.read, root_zone_binds=self.aim != "garden")
        return Case(self.state, garden, query, self.read, profile, placing, local_day(at, self.state.zone))

    def ways_of(self, steps: Sequence[Step], litres: float) -> tuple[tuple[Walk, ...], tuple[Delivery, ...]]:
        """What the first step of a plan carries and brings."""
        first = steps[0].arrangement
        if first is None:
            return (), ()
        lies = {name: self.state.outlet_at[name].basin for name in self.state.shares()}
        return moved(lies, first), delivered(self.state, first, litres)

    def said(self, garden: Garden, query: LoadQuery, step: Step) -> tuple[str, ...]:
        """The plan's own sentences on its first step."""
        beds, outlets = beds_of(self.state, garden), outlets_of(self.state, garden)
        day = day_of(self.state, garden, garden.today, (PlanLoad(query.name or UNNAMED, query.volume_l),))
        told = tell(beds, outlets, (day,), (step._replace(day=0, load=day.loads[0]),), self.read)
        return told.why[0]

    def _plan_reason(self, garden: Garden, decision: Decision, litres: float) -> Reason:
        if decision.other_totals is None or decision.other == "sewer":
            return Reason("no arrangement", "should", "The outlets cannot be put so that the garden takes this load "
                          "now.", NOW_SOURCE, WHEN_ROOM)
        cost = self._cost(garden, decision, decision.other_totals, litres)
        lies = [self.state.outlet_at[name].basin for name in self.state.shares()]
        there = decision.other_steps[0].arrangement or ()
        moved = [basin for here, basin in zip(lies, there, strict=True) if decision.other == "stay" or here != basin]
        return why_sewer(decision.open_ways, moved, cost, back=next_to_garden(decision))

    def other(self, garden: Garden, decision: Decision, litres: float) -> OtherWay | None:
        if decision.other is None or decision.other_totals is None:
            return None
        moves, deliveries = self.ways_of(decision.other_steps, litres)
        return OtherWay("sewer" if decision.other == "sewer" else "garden", moves, deliveries,
                        self._cost(garden, decision, decision.other_totals, litres).words)

    def _cost(self, garden: Garden, decision: Decision, other: Totals, litres: float) -> Cost:
        _, deliveries = self.ways_of(decision.other_steps, litres)
        given: dict[str, float] = {}
        for one in deliveries:
            given[one.basin] = given.get(one.basin, 0.0) + one.litres
        fills = [name for name, part in given.items() if part >= garden.basins[name].deficit_l - TINY_L]
        return costs(decision.totals, other, self.rotation.weights, litres, fills, self.read)


def _garden_ways(decision: Decision) -> bool:
    """Whether the hard limits leave the first load a way to the garden."""
    return any(way != "sewer" for way in decision.open_ways)


def next_to_garden(decision: Decision) -> bool:
    """Whether the load after the first one goes to the garden."""
    return len(decision.steps) > 1 and decision.steps[1].arrangement is not None


def moved(lies: dict[str, str], arrangement: Sequence[str]) -> tuple[Walk, ...]:
    return tuple(Walk(name, here, there) for (name, here), there in zip(lies.items(), arrangement, strict=True)
                 if here != there)


def delivered(state: State, arrangement: Sequence[str], litres: float) -> tuple[Delivery, ...]:
    return tuple(Delivery(name, basin, litres * share)
                 for (name, share), basin in zip(state.shares().items(), arrangement, strict=True))
