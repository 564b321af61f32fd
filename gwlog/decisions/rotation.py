"""The rotation plan of this household: where each load of the coming days goes, and when an outlet is carried.

The plan is made for the moment of the next load that is free to go to the garden: its first decision is the answer
to that load. It always looks DAYS ahead, so that a shorter plan is its beginning and a longer one carries it on.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING, Any

from gwlog.clock import day_start, local_day
from gwlog.decisions.coming import Coming, Expect, coming, expecting
from gwlog.decisions.expected import UNNAMED, ExpectedLoad, MissedLoad, rule_problems
from gwlog.decisions.plan_account import account
from gwlog.decisions.plan_cost import PlanBasin, PlanDay, PlanLoad, PlanOutlet, Step, Totals, Weights
from gwlog.decisions.plan_garden import beds_of, day_of, outlets_of
from gwlog.decisions.plan_search import Bound, Search, check, search
from gwlog.decisions.query import aim_of, reader_of
from gwlog.decisions.shortage import Short, shortages
from gwlog.decisions.steady import KEEP_GAIN, Decision, decide, held_by
from gwlog.decisions.turns import Move, SewerLoad, Turn, narrowed_note, sewer_note, tell
from gwlog.errors import BadInput
from gwlog.values import NamedTuple, replace

if TYPE_CHECKING:
    from gwlog.decisions.what_if import WhatIf
    from gwlog.state import Problem, State
    from gwlog.water.garden import Garden

DAYS = 14
MOST_DAYS = 92

Look = Callable[[datetime], tuple["State", "Garden"]]


class Plan(NamedTuple):
    """The plan from `first` on. `steps`: each load's place in order; `moves`: the walks, `note`: what it cannot do.

    `why`: for each step what a gardener would say of it, the load itself first. `kept`: it follows an earlier plan.
    `width`: states kept by the search. `at`: where the outlets lie now. `short`: the basins that need other water in
    the coming two weeks; none is told where no load is expected.
    """

    first: date
    days: tuple[PlanDay, ...]
    outlets: tuple[str, ...]
    steps: tuple[Step, ...]
    turns: tuple[Turn, ...]
    moves: tuple[Move, ...]
    sewer: tuple[SewerLoad, ...]
    totals: Totals
    expected: tuple[ExpectedLoad, ...]
    missed: tuple[MissedLoad, ...]
    problems: tuple[Problem, ...]
    note: str | None
    width: int
    kept: bool
    at: tuple[str, ...]
    supposed: WhatIf | None
    why: tuple[tuple[str, ...], ...]
    short: tuple[Short, ...] = ()

    def as_json(self) -> dict[str, Any]:
        """The plan for programs: turns, sewer, totals, what is short of water, in SI units."""
        totals = self.totals
        return {
            "turns": [
                {"outlet": t.outlet, "basin": t.basin, "from": t.first.isoformat(), "to": t.last.isoformat(),
                 "loads": t.loads, "volume_l": round(t.volume_l, 3), "reason": t.reason} for t in self.turns
            ],
            "sewer": [
                {"date": s.day.isoformat(), "load": s.load, "volume_l": round(s.volume_l, 3), "reason": s.reason}
                for s in self.sewer
            ],
            "totals": {
                "percolated_l": round(totals.percolated_l, 3), "unmet_l": round(totals.unmet_l, 3),
                "sewer_l": round(totals.sewer_l, 3), "moves": totals.moves, "cost": round(totals.cost, 3),
            },
            "short": [one.as_json() for one in self.short],
        }


class Rotation:
    """One household at one moment, planned as often as somebody asks. What was worked out once is kept.

    `look`: gives state and garden at an earlier moment, from the entries up to then; None: no plan of this week's
    Monday is carried on. `expect`: the loads to expect, by default what the household plans and is used to.
    """

    def __init__(self, state: State, garden: Garden, now: datetime, look: Look | None = None,
                 expect: Expect | None = None) -> None:
        self.state, self.garden, self.now, self.look = state, garden, now, look
        self.expect = expect or expecting(state)
        self.anchors: dict[date, Bound | None] = {}
        self._gardens: dict[date, Garden] = {garden.today: garden}
        self._decided: dict[tuple[object, ...], Decision] = {}
        self._coming: Coming | None = None

    @property
    def coming(self) -> Coming:
        """The loads of the coming DAYS."""
        if self._coming is None:
            self._coming = coming(self.state, self.now, DAYS, self.expect)
        return self._coming

    def garden_at(self, at: datetime) -> Garden:
        """The garden on the local day of a moment to come, as it will be when nothing is logged until then."""
        day = local_day(at, self.state.zone)
        if day not in self._gardens:
            from gwlog.water.garden import garden

            self._gardens[day] = garden(self.state, at, (self.state, self.garden))
        return self._gardens[day]

    def decide(self, load: ExpectedLoad, at: datetime, after: Sequence[ExpectedLoad]) -> Decision:
        """Plan from the moment `at` with `load` run then, and `after` it what may be expected. Steps: see below."""
        garden = self.garden_at(at)
        return self.decide_days(garden, at, self.plan_days(garden, [load, *after], DAYS))

    def decide_days(self, garden: Garden, at: datetime, days: tuple[PlanDay, ...],
                    weights: Weights | None = None) -> Decision:
        """The same for days that are laid out already. Only the loads that are free to go to the garden make steps."""
        bare = tuple(replace(day, loads=tuple(PlanLoad("", load.litres) for load in day.loads
                                              if load.must_sewer is None)) for day in days)
        key = (local_day(at, self.state.zone), bare, weights)
        known = self._decided.get(key)
        if known is None:
            known = self._decided[key] = decide(
                beds_of(self.state, garden), outlets_of(self.state, garden), bare, weights or self.weights,
                anchor=self.anchor(at), fits=aim_of(self.state) != "garden")
        return known

    @property
    def weights(self) -> Weights:
        """The usual ones for the household's aim."""
        return Weights.for_aim(aim_of(self.state))

    def anchor(self, at: datetime) -> Bound | None:
        """How the plan of this week's Monday has the outlets lie, made from what was known then, day by day.

        None on the Monday's first moment, and where nothing could be planned then. The plan of that Monday carries
        on none before it, so that nothing has to be stored and a month of Mondays need not be planned again.
        """
        today = local_day(at, self.state.zone)
        monday = today - timedelta(days=today.weekday())
        if monday not in self.anchors:
            moment = day_start(monday, self.state.zone)
            self.anchors[monday] = None if self.look is None or moment >= at else self._held(self.look, moment)
        return self.anchors[monday]

    def _held(self, look: Look, moment: datetime) -> Bound | None:
        state, garden = look(moment)
        then = Rotation(state, garden, moment)
        outlets = outlets_of(state, garden)
        if tuple(state.shares()) != tuple(self.state.shares()):
            return None
        loads, _ = expecting(state)(moment, DAYS, None)
        days = then.plan_days(garden, loads, DAYS)
        if all(load.must_sewer is not None for day in days for load in day.loads):
            return None   # nothing was planned that people could have followed
        try:
            found = search(beds_of(state, garden), outlets, days, then.weights)
        except BadInput:
            return None
        return held_by(found.steps, days, tuple(outlet.at for outlet in outlets))

    def plan_days(self, garden: Garden, loads: Sequence[ExpectedLoad], days: int) -> tuple[PlanDay, ...]:
        """So many days from the garden's today with these loads, and what speaks against each."""
        against = self.coming.against
        by_day: dict[date, list[PlanLoad]] = {}
        for load in loads:
            reasons = against.both(load)
            by_day.setdefault(load.day, []).append(
                PlanLoad(load.name, load.litres, reasons[0].text if reasons else None))
        return tuple(day_of(self.state, garden, day, tuple(by_day.get(day, ())))
                     for day in (garden.today + timedelta(days=number) for number in range(days)))

    def plan(self, *, days: int = DAYS, weights: Weights | None = None, what_if: WhatIf | None = None) -> Plan:
        """Plan the rotation from today through `days` local days.

        `weights` None: the usual ones for the site's aim. Raises BadInput without a basin, without an outlet, or
        for a number of days that cannot be planned.
        """
        if isinstance(days, bool) or not 1 <= days <= MOST_DAYS:
            raise BadInput(f"“{days}” is not a number of days to plan; 1 to {MOST_DAYS} are accepted.")
        ahead, garden, state = self.coming, self.garden, self.state
        beds, outlets = beds_of(state, garden), outlets_of(state, garden)
        start = local_day(ahead.at, state.zone) if ahead.first is not None else garden.today
        span = (start - garden.today).days + max(DAYS, days)
        loads = list(ahead.every)
        if days > DAYS and ahead.first is not None:
            later = self.expect(ahead.at, days, ahead.first.usual_load or UNNAMED)[0]
            loads += [load for load in later if load.day >= start + timedelta(days=DAYS)]
        elif days > DAYS:
            loads = list(self.expect(self.now, days, None)[0])
        laid = self.plan_days(garden, loads, span)
        check(beds, outlets, laid)
        at = ahead.at
        if what_if is not None:
            laid, at = self._supposing(laid, what_if, loads, days, at)
        decision, steps = self._steps(laid, at, weights, beds, outlets)
        # where water stands on the mulch nobody is asked to bring more
        ponding = [name for name, basin in garden.basins.items() if basin.ponding_open]
        short = tuple(one for one in shortages(beds, outlets, laid, steps) if one.basin not in ponding) if steps else ()
        shown = laid[:days]
        steps = tuple(step for step in steps if step.day < days)
        return self._told(shown, steps, [load for load in loads if load.day < garden.today + timedelta(days=days)],
                          decision, weights or self.weights, beds, outlets, what_if)._replace(short=short)

    def _supposing(self, laid: tuple[PlanDay, ...], what_if: WhatIf, loads: Sequence[ExpectedLoad], days: int,
                   at: datetime) -> tuple[tuple[PlanDay, ...], datetime]:
        from gwlog.decisions.what_if import suppose

        unnamed = next((load.name for load in loads if load.usual_load is None), UNNAMED)
        supposed = suppose(laid[:days], what_if, PlanLoad(unnamed, self.garden.usual_load_l))
        laid = (*supposed, *laid[days:])
        first = next((day.day for day in laid if any(load.must_sewer is None for load in day.loads)), None)
        if first is not None and first != local_day(at, self.state.zone):
            at = max(self.now, day_start(first, self.state.zone))
        return laid, at

    def _steps(self, laid: tuple[PlanDay, ...], at: datetime, weights: Weights | None,
               beds: Sequence[PlanBasin], outlets: Sequence[PlanOutlet]) -> tuple[Decision, tuple[Step, ...]]:
        """Each load's place: what the decision says for DAYS from its day on, and that carried on beyond."""
        first = next((number for number, day in enumerate(laid)
                      if any(load.must_sewer is None for load in day.loads)), 0)
        decision = self.decide_days(self.garden_at(at) if first else self.garden, at, laid[first:first + DAYS], weights)
        placed = [step.arrangement for step in decision.steps]
        if len(laid) > first + DAYS:
            made = Search(beds, outlets, laid, weights or self.weights)
            carried = made.run(given=placed)
            if carried is not None:
                return decision, carried.steps
        placed.reverse()
        return decision, tuple(
            Step(number, load, placed.pop() if load.must_sewer is None and placed else None)
            for number, day in enumerate(laid) for load in day.loads)

    def _told(self, days: tuple[PlanDay, ...], steps: tuple[Step, ...], loads: Sequence[ExpectedLoad],
              decision: Decision, weights: Weights, beds: Sequence[PlanBasin], outlets: Sequence[PlanOutlet],
              what_if: WhatIf | None) -> Plan:
        read = reader_of(self.state)
        told = tell(beds, outlets, days, steps, read)
        totals = account(beds, outlets, days, steps, weights).totals
        forced = [step for step in steps if step.load.must_sewer is not None]
        note = sewer_note(sum(step.load.litres for step in steps), totals.sewer_l, len(told.sewer) - len(forced),
                          sum(step.load.litres for step in forced), days, read)
        if decision.narrowed:
            note = " ".join(one for one in (note, narrowed_note(decision.width)) if one)
        if not steps:
            note = "No load is planned, and there are too few past loads to guess from."
        return Plan(days[0].day, days, tuple(outlet.name for outlet in outlets), steps, told.turns, told.moves,
                    told.sewer, totals, tuple(loads), self.coming.missed, rule_problems(self.state, self.now), note,
                    decision.width, decision.kept, tuple(outlet.at for outlet in outlets), what_if, told.why)


__all__ = ["DAYS", "KEEP_GAIN", "Plan", "Rotation"]
