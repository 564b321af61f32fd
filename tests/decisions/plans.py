"""Plans asked of the rotation by itself: with no Monday to carry on, after an earlier plan, or kept for a week."""

from __future__ import annotations

from datetime import datetime, timedelta

from gwlog.decisions.plan_cost import Weights
from gwlog.decisions.rotation import DAYS, MOST_DAYS, Look, Plan, Rotation
from gwlog.decisions.steady import held_by
from gwlog.decisions.what_if import WhatIf
from gwlog.state import State
from gwlog.water.garden import Garden


def plan(state: State, garden: Garden, now: datetime, *, days: int = DAYS, weights: Weights | None = None,
         what_if: WhatIf | None = None, previous: Plan | None = None) -> Plan:
    """The plan at a moment, with no Monday to carry on. `previous`: a plan that people follow instead; its
    arrangements are kept unless a new plan saves more than KEEP_GAIN.
    """
    made = Rotation(state, garden, now)
    if previous is not None and previous.outlets == tuple(state.shares()):
        held = held_by(previous.steps, previous.days, previous.at)
        made.anchors = {day - timedelta(days=day.weekday()): held
                        for day in (garden.today + timedelta(days=number) for number in range(MOST_DAYS))}
    return made.plan(days=days, weights=weights, what_if=what_if)


def steady_plan(look: Look, now: datetime, zone: str, *, days: int = DAYS, weights: Weights | None = None,
                what_if: WhatIf | None = None) -> Plan:
    """The plan as people following it since Monday know it: kept steady through the week without being stored.

    `look(moment)` gives the state and the garden at a moment, from the entries up to then. Mondays before the
    logbook began count for nothing.
    """
    state, garden = look(now)
    return Rotation(state, garden, now, look).plan(days=days, weights=weights, what_if=what_if)
