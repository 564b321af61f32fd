"""Reminders that take somebody into the garden: move an outlet, a rest is over, the mulch is getting thin."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from gwlog.clock import echo_day, local_day
from gwlog.decisions.outlet_assignment import TOUCHES_FOOD, closures
from gwlog.decisions.reminder_model import Look, Reminder, Stage
from gwlog.decisions.routing import profile_of
from gwlog.water.rest import DRY_ENOUGH, REST_AFTER_FILLING, REST_AFTER_PONDING, TINY_L

if TYPE_CHECKING:
    from gwlog.decisions.rotation import Plan
    from gwlog.water.garden import BasinNow

MULCH_AHEAD_DAYS = 14
MULCH_PATIENCE = timedelta(days=14)
MOVE_PATIENCE = timedelta(days=3)
NEWS = timedelta(days=7)
"""How long the end of a rest is news."""


def garden_reminders(look: Look) -> Iterator[Reminder]:
    """Everything in the garden at this moment."""
    yield from _moves(look) if look.plan is None else _planned_moves(look, look.plan)
    yield from _rests_over(look)
    yield from _mulch(look)


def _planned_moves(look: Look, plan: Plan) -> Iterator[Reminder]:
    """Each outlet's next walk of the plan, from the day before it."""
    told: set[str] = set()
    for move in plan.moves:
        place = look.state.outlet_at.get(move.outlet)
        if place is None or move.outlet in told or move.day > look.today + timedelta(days=1):
            continue
        told.add(move.outlet)
        if place.basin == move.basin:
            continue
        due = look.start_of(move.day)
        why = next((turn.reason for turn in plan.turns
                    if (turn.outlet, turn.basin) == (move.outlet, move.basin) and turn.first >= move.day), "")
        yield look.reminder("move outlet", move.outlet, due, look.stage(due, MOVE_PATIENCE),
                            f"Move {move.outlet} from {place.basin} to {move.basin} on {echo_day(move.day)}."
                            f"{f' {why}' if why else ''}", "move", move.outlet, move.basin,
                            timing="the evening before")


def _moves(look: Look) -> Iterator[Reminder]:
    """An outlet lies at a basin that takes no load, while another in its reach wants water and can take one."""
    state, basins = look.state, look.garden.basins
    shares = state.shares()
    closed = closures(state, look.garden, profile_of(state).cover_mm.value, look.read)
    taken = {place.basin for name, place in state.outlet_at.items() if state.outlets[name].active}
    for outlet in state.active_outlets():
        place = state.outlet_at[outlet]
        here = basins.get(place.basin)
        if here is not None and here.standing not in ("resting", "has had enough"):
            continue
        thirsty = [basins[name] for name in state.reach(outlet)
                   if name not in taken and name in basins and basins[name].standing == "wants water"
                   and not closed[name] and basins[name].fact.edible not in TOUCHES_FOOD
                   and basins[name].fits(look.garden.usual_load_l * shares[outlet])]
        if not thirsty:
            continue
        there = max(thirsty, key=lambda basin: basin.deficit_l / basin.raw_l if basin.raw_l > 0 else 0.0)
        taken.add(there.name)
        due = min(look.now, max(place.since, _enough_since(look, here), _thirsty_since(look, there)))
        why = f"{place.basin} is out of use" if here is None else \
            f"{here.name} is resting" if here.standing == "resting" else f"{here.name} has had enough"
        yield look.reminder("move outlet", outlet, due, look.stage(due, MOVE_PATIENCE),
                            f"Move {outlet} from {place.basin} to {there.name}: {why}, {there.name} wants water.",
                            "move", outlet, there.name)


def _enough_since(look: Look, here: BasinNow | None) -> datetime:
    """When the basin came to have enough: its filling, else its last delivery."""
    start = datetime.min.replace(tzinfo=look.now.tzinfo)
    if here is None:
        return start
    if here.standing == "resting" and here.ledger.filled_at is not None:
        return here.ledger.filled_at
    return next((run.fact.happened_at for run in reversed(look.state.loads)
                 if any(one.basin == here.name for one in run.deliveries)), start)


def _thirsty_since(look: Look, basin: BasinNow) -> datetime:
    """The first moment of the stretch of days on which a basin has wanted water."""
    first = None
    for day in reversed(basin.ledger.days):
        if day.deficit_l < basin.raw_l - TINY_L:
            break
        first = day.day
    # A day's balance is struck at its end: the basin wants water from the next morning on.
    return look.now if first is None else look.start_of(first + timedelta(days=1))


def _rests_over(look: Look) -> Iterator[Reminder]:
    state = look.state
    for name, basin in look.garden.basins.items():
        over = _rest_ended(look, basin)
        if over is None or not over <= look.now <= over + NEWS:
            continue
        if any(run.fact.happened_at >= over and any(one.basin == name for one in run.deliveries)
               for run in reversed(state.loads[-40:])):
            continue
        lying = [outlet for outlet in state.active_outlets() if state.outlet_at[outlet].basin == name]
        if any(state.outlet_at[outlet].since >= over for outlet in lying):
            continue
        able = next((outlet for outlet in state.active_outlets() if name in state.reach(outlet)), None)
        command = () if lying or able is None else ("move", able, name)
        what = "loads may go there again" if lying else "an outlet may go back there"
        yield look.reminder("rest over", name, over, "due", f"The rest of {name} is over: {what}.", *command,
                            timing="that morning")


def _rest_ended(look: Look, basin: BasinNow) -> datetime | None:
    """When the basin's last rest ended, None when it rests still or never did."""
    ledger = basin.ledger
    if ledger.filled_at is None or basin.standing == "resting":
        return None
    pond = next((seen for seen in look.state.observations.values() if seen.observed == "ponding"
                 and seen.basin == basin.name and seen.happened_at == ledger.filled_at), None)
    earliest = ledger.filled_at + (REST_AFTER_FILLING if pond is None else REST_AFTER_PONDING)
    answer = look.state.resolved.get(pond.id) if pond is not None else None
    if answer is not None:
        earliest = max(earliest, answer.happened_at)
    filled = local_day(ledger.filled_at, look.state.zone)
    for day in ledger.days:
        if day.day < filled or day.deficit_l < DRY_ENOUGH * basin.raw_l - TINY_L:
            continue
        # A day's balance is struck at its end: the next morning is the first moment that is dry enough.
        if look.start_of(day.day + timedelta(days=2)) > earliest:
            return max(look.start_of(day.day + timedelta(days=1)), earliest)
    return None


def _mulch(look: Look) -> Iterator[Reminder]:
    least = profile_of(look.state).cover_mm.value
    for name, basin in look.garden.basins.items():
        if basin.cover_due is None or (basin.cover_due - look.today).days > MULCH_AHEAD_DAYS:
            continue
        due = look.start_of(basin.cover_due)
        thin = basin.cover_mm < least
        stage: Stage = "overdue" if thin else look.stage(due, MULCH_PATIENCE)
        add = max(25.0, basin.spec.mulch_mm - basin.cover_mm)
        why = f"below the code's {look.read.length(least)}" if thin else f"the code asks for {look.read.length(least)}"
        yield look.reminder(
            "mulch due", name, due, stage,
            f"Top up the mulch at {name}: about {look.read.length(basin.cover_mm)} is left, {why}.",
            "mulch", name, "--added", look.read.length(add).replace(" ", ""), timing="that morning")
