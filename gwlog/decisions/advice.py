"""The one engine of advice: every face tells what is decided here, and nothing else.

The answer to “this load, now” is the first decision of the rotation plan made at that moment with this load run now,
in place of today's expected run of it, if there is one. What must or should keep a load from the garden comes first.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from gwlog.clock import local_day
from gwlog.decisions.answer import Answer, Side, run_minutes
from gwlog.decisions.answer_words import PLAN_SOURCE, why_garden
from gwlog.decisions.cautions import basin_warnings, household_warnings, load_warnings, percolates
from gwlog.decisions.coming import Expect
from gwlog.decisions.expected import UNNAMED, ExpectedLoad
from gwlog.decisions.follow_up import keep_off, not_followed_up
from gwlog.decisions.garden_rules import (
    BASIN_RULES,
    DAY_RULES,
    DayCase,
    day_reasons,
)
from gwlog.decisions.load_rules import LOAD_RULES, LoadQuery, Reason
from gwlog.decisions.plan_cost import Step
from gwlog.decisions.query import aim_of, profile_of, query_for, reader_of
from gwlog.decisions.rotation import DAYS, Look, Plan, Rotation
from gwlog.decisions.salt_warnings import salt_warnings, told
from gwlog.decisions.settled import Settled, Settling, delivered, moved, next_to_garden
from gwlog.decisions.steady import Decision
from gwlog.decisions.told import notices, passed_figures
from gwlog.errors import BadInput, UnknownName

if TYPE_CHECKING:
    from gwlog.decisions.exceptions import LoadException
    from gwlog.decisions.plan_cost import Weights
    from gwlog.decisions.what_if import WhatIf
    from gwlog.state import State
    from gwlog.water.garden import Garden

AHEAD_HOURS = 36
"""How far ahead a load to come is told of."""

OF_THE_LOAD = frozenset(rule.id for rule in LOAD_RULES) | {rule.id for rule in BASIN_RULES if rule.about == "load"}
"""Rules after which the next load may go to the garden again."""

OF_THE_DAY = frozenset(rule.id for rule in DAY_RULES)


class Advice:
    """Everything that one household is advised at `now`. Answers and plan come of one computation and are kept.

    `look`: state and garden at an earlier moment, for the plan of this week's Monday. `exceptions`: gives the loads
    run against a must, when they are needed. `expect`: see Rotation.
    """

    def __init__(self, state: State, garden: Garden, now: datetime, look: Look | None = None, *,
                 exceptions: Callable[[], Sequence[LoadException]] | None = None,
                 expect: Expect | None = None) -> None:
        self.state, self.garden, self.now = state, garden, now
        self.rotation = Rotation(state, garden, now, look, expect)
        self.settled = Settling(self.rotation)
        self.read, self.aim = reader_of(state), aim_of(state)
        self._exceptions = exceptions
        self._open: dict[str, list[LoadException]] | None = None
        self._plan: Plan | None = None
        self._loads: tuple[Answer, ...] | None = None
        self._answers: dict[tuple[LoadQuery, datetime], Answer] = {}

    # --- one load ---------------------------------------------------------------------------------------------

    def answer(self, query: LoadQuery, at: datetime | None = None) -> Answer:
        """Where this load goes when it runs at `at` (default: now; never earlier), and what to do about it."""
        moment = self.now if at is None else max(at, self.now)
        known = self._answers.get((query, moment))
        if known is None:
            known = self._answers[query, moment] = self._answer(query, moment)._replace(water=told(self.state, query))
        return known

    def _answer(self, query: LoadQuery, at: datetime) -> Answer:
        found = self.settled.of(query, at)
        if found.side == "garden" and found.decision is not None:
            return self._to_garden(query, at, found, found.decision)
        return self._to_sewer(query, at, found.reasons, found)

    def _to_garden(self, query: LoadQuery, at: datetime, found: Settled, decision: Decision) -> Answer:
        garden, placing = found.garden, found.placing
        moves, deliveries = self.settled.ways_of(decision.steps, query.volume_l)
        basins = list(dict.fromkeys(one.basin for one in deliveries))
        given = {name: sum(one.litres for one in deliveries if one.basin == name) for name in basins}
        planned = self.settled.said(garden, query, decision.steps[0]) if moves and not placing.hindered else ()
        return Answer(
            query.name or UNNAMED, at, "garden", None, moves, deliveries, None if self.state.valve == "garden" else
            "garden", False, None, query.volume_l,
            sum(percolates(garden.basins[name], litres) for name, litres in given.items()),
            why_garden(garden, moves, basins, placing.hindered, planned, self.read),
            (*self._warnings(query), *passed_figures(self.state, local_day(at, self.state.zone), query.volume_l),
             *basin_warnings(self.state, garden, given.items(), self.read, aim=self.aim),
             *self._salt(query, basins), *self._out_of_turn(query, at),
             *self._keep_off([*basins, *(one.origin for one in moves)])),
            self.settled.other(garden, decision, query.volume_l), run_minutes(self.state, query.name),
        )

    def _to_sewer(self, query: LoadQuery, at: datetime, reasons: tuple[Reason, ...], found: Settled | None,
                  back: bool = False) -> Answer:
        """A load for the sewer. `found`: None for one of the plan that goes there whatever the basins say. `back`: of
        such a one, whether the valve is turned back as soon as the machine has drained.
        """
        decision = found.decision if found is not None else None
        watered = [name for name, _ in found.placing.current or ()] if found is not None else []
        valve = self.state.valve
        minutes = run_minutes(self.state, query.name)
        open_again = bool(self.state.shares()) and all(one.rule not in OF_THE_DAY for one in reasons)
        back_now = open_again and (self._goes_back(query, at, reasons, decision) if found is not None else back)
        # On sewer already, the valve stays there unless it was only this load that had to go that way.
        turns = back_now or valve != "sewer" or all(one.rule in OF_THE_LOAD for one in reasons)
        return Answer(
            query.name or UNNAMED, at, "sewer", reasons[0].strength, (), (), None if valve == "sewer" else "sewer",
            turns, at + timedelta(minutes=minutes) if back_now else None, query.volume_l, 0.0, reasons,
            (*self._warnings(query), *(self._out_of_turn(query, at) if decision is not None else ()),
             *self._keep_off(watered)),
            self.settled.other(found.garden, decision, query.volume_l) if found is not None and decision is not None
            else None, minutes,
        )

    def _goes_back(self, query: LoadQuery, at: datetime, reasons: Sequence[Reason], decision: Decision | None) -> bool:
        """Whether the valve is turned back as soon as the machine has drained: where the next load goes to the garden,
        and where none is near, after one that went to the sewer for what is in it.
        """
        after, _ = self.rotation.expect(at, DAYS, query.name or UNNAMED)
        following = after[0] if after and after[0].when <= at + timedelta(hours=AHEAD_HOURS) else None
        if following is None:
            return all(one.rule in OF_THE_LOAD for one in reasons)
        if self.rotation.coming.against.both(following):
            return False
        if decision is not None:
            return next_to_garden(decision)
        try:
            query = query_for(self.state, following.usual_load)
        except UnknownName:
            return False
        return self.settled.of(query, max(following.when, at)).side == "garden"

    def _warnings(self, query: LoadQuery) -> Iterator[Reason]:
        yield from notices(self.state, self.garden.today)
        yield from load_warnings(query)
        yield from household_warnings(self.state, self.garden)

    def _salt(self, query: LoadQuery, basins: Sequence[str]) -> Iterator[Reason]:
        """What this load's own water says against it, as far as it is known."""
        water = told(self.state, query)
        if water is not None:
            yield from salt_warnings(self.garden, water, basins)

    def _out_of_turn(self, query: LoadQuery, at: datetime) -> Iterator[Reason]:
        """That another load comes first today, after which this one may be answered otherwise."""
        ahead = self.rotation.coming
        if at == self.now and ahead.first is not None and ahead.first.usual_load != query.name and \
                ahead.first.day == self.garden.today and any(
                    one.usual_load == query.name and one.day == ahead.first.day for one in ahead.after):
            yield Reason("out of turn", None, f"“{ahead.first.name}” is expected before it; this holds if it runs "
                         "first.", "the loads that are planned or usual", None)

    def _keep_off(self, basins: Sequence[str]) -> Iterator[Reason]:
        if self._exceptions is None:
            return
        if self._open is None:
            self._open = not_followed_up(self._exceptions())
        yield from keep_off(self._open, basins, self.state.zone.system)

    # --- all of them ------------------------------------------------------------------------------------------

    def plan(self, *, days: int = DAYS, weights: Weights | None = None, what_if: WhatIf | None = None) -> Plan:
        """The rotation plan, whose first decision is the answer to the next load. Raises BadInput (see Rotation)."""
        usual = days == DAYS and weights is None and what_if is None
        if usual and self._plan is not None:
            return self._plan
        made = self.rotation.plan(days=days, weights=weights, what_if=what_if)
        if weights is None and what_if is None:
            made = self._with_answer(made)
        if usual:
            self._plan = made
        return made

    def _with_answer(self, plan: Plan) -> Plan:
        """The plan with the reasons of its first decision as the answer tells them."""
        number = next((n for n, step in enumerate(plan.steps) if step.load.must_sewer is None), None)
        answer = self._of_first() if number is not None else None
        if number is None or answer is None:
            return plan
        why = (*plan.why[:number], tuple(one.text for one in answer.reasons), *plan.why[number + 1:])
        sewer = plan.sewer
        if plan.steps[number].arrangement is None:
            place = sum(one.arrangement is None for one in plan.steps[:number])
            sewer = (*sewer[:place], sewer[place]._replace(reason=answer.why), *sewer[place + 1:])
        return plan._replace(why=why, sewer=sewer)

    def _of_first(self) -> Answer | None:
        """The answer to the next load that is free to choose; None where it lies behind loads that are kept from the
        garden by what was seen and is not resolved: nobody knows whether it still will be by then.
        """
        ahead = self.rotation.coming
        if ahead.first is None:
            return None
        case = DayCase(self.state, ahead.first.day, self.read, profile_of(self.state))
        return None if day_reasons(case) else self._of_expected(ahead.first, ahead.at)

    @property
    def loads(self) -> tuple[Answer, ...]:
        """The answer to every load of the plan, in its order; without a plan, what the rules say of each."""
        if self._loads is None:
            self._loads = tuple(self._with_water(one) for one in self._every())
        return self._loads

    def _with_water(self, answer: Answer) -> Answer:
        """An answer of the plan with what the load's water holds."""
        if answer.water is not None:
            return answer
        try:
            return answer._replace(water=told(self.state, query_for(self.state, answer.load)))
        except UnknownName:
            return answer

    def next(self, hours: float = AHEAD_HOURS) -> tuple[Answer, ...]:
        """The answers to the loads expected within so many hours."""
        until = self.now + timedelta(hours=hours)
        return tuple(one for one in self.loads if one.at <= until)

    def _every(self) -> Iterator[Answer]:
        ahead = self.rotation.coming
        try:
            plan: Plan | None = self.plan()
        except BadInput:
            plan = None
        loads = plan.expected if plan is not None else ahead.every
        if plan is None:
            for load in loads:
                yield (self._of_expected(load, max(load.when, self.now)) or self._forced(load, False))._replace(
                    expected=load)
            return
        lies = {name: self.state.outlet_at[name].basin for name in self.state.shares()}
        valve = self.state.valve
        for number, (load, step) in enumerate(zip(loads, plan.steps, strict=True)):
            back = self._back_after(load, loads[number + 1:number + 2], plan.steps[number + 1:number + 2])
            answer = None
            if load is ahead.first:
                answer = self._of_first()
            elif number < len(ahead.before) and load.day == self.garden.today:
                answer = self._of_expected(load, max(load.when, self.now))
            if answer is None and step.load.must_sewer is not None:
                answer = self._forced(load, back)
            elif answer is None:
                answer = self._planned(load, step, plan.why[number], lies, back)
            if step.arrangement is not None:
                lies = dict(zip(plan.outlets, step.arrangement, strict=True))
            yield answer._replace(turn_valve=None if valve == answer.verdict else answer.verdict, expected=load)
            valve = "garden" if answer.turn_back_at is not None else answer.verdict

    def _back_after(self, load: ExpectedLoad, following: Sequence[ExpectedLoad], steps: Sequence[Step]) -> bool:
        """Whether the valve is turned back after a load of the plan, by what follows it."""
        near = bool(following) and following[0].when <= load.when + timedelta(hours=AHEAD_HOURS)
        if near:
            return steps[0].arrangement is not None
        return bool(self.rotation.coming.against.of_load(load.usual_load))

    def _of_expected(self, load: ExpectedLoad, at: datetime) -> Answer | None:
        try:
            query = query_for(self.state, load.usual_load)
        except UnknownName:
            return None
        return self.answer(query, at)

    def _forced(self, load: ExpectedLoad, back: bool) -> Answer:
        """A load that goes to the sewer whatever the basins say."""
        try:
            query = query_for(self.state, load.usual_load)
        except UnknownName:
            query = LoadQuery(load.usual_load, load.litres)
        reasons = self.rotation.coming.against.both(load)
        return self._to_sewer(query, max(load.when, self.now), reasons, None, back)

    def _planned(self, load: ExpectedLoad, step: Step, why: tuple[str, ...], lies: dict[str, str],
                 back: bool) -> Answer:
        """A load after the next one, as the plan has it."""
        at, minutes = max(load.when, self.now), run_minutes(self.state, load.usual_load)
        side: Side = "sewer" if step.arrangement is None else "garden"
        moves = moved(lies, step.arrangement) if step.arrangement is not None else ()
        deliveries = delivered(self.state, step.arrangement, load.litres) if step.arrangement is not None else ()
        reasons = tuple(Reason("planned", "should" if side == "sewer" else None, words, PLAN_SOURCE)
                        for words in dict.fromkeys(why))
        try:
            warnings = tuple(load_warnings(query_for(self.state, load.usual_load)))
        except UnknownName:
            warnings = ()
        if side == "garden":
            warnings = (*notices(self.state, self.garden.today), *warnings)
        touched = [*(one.basin for one in deliveries), *(one.origin for one in moves)]
        turned = side == "sewer" and back
        return Answer(load.name, at, side, "should" if side == "sewer" else None, moves, deliveries, None, turned,
                      at + timedelta(minutes=minutes) if turned else None, load.litres, 0.0, reasons,
                      (*warnings, *self._keep_off(touched)), None, minutes)
