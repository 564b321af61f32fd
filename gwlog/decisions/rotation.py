"""The rotation plan of this household: where each load of the coming days goes, and when an outlet is carried.

Draws basins, outlets, weather and expected loads from the logbook's state, searches, and tells the result.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING, Any

from gwlog.clock import day_start, local_day
from gwlog.decisions.expected import UNNAMED, ExpectedLoad, MissedLoad, expected, rule_problems
from gwlog.decisions.garden_rules import frozen, frozen_by_cold, soaked, soaked_by_rain
from gwlog.decisions.load_rules import load_reasons
from gwlog.decisions.outlet_assignment import TOUCHES_FOOD, closures
from gwlog.decisions.plan_cost import PlanBasin, PlanDay, PlanLoad, PlanOutlet, Step, Totals, Weights
from gwlog.decisions.plan_search import WIDTH, SearchResult, search
from gwlog.decisions.routing import profile_of, query_for, reader_of
from gwlog.decisions.turns import Move, SewerLoad, Turn, sewer_note, tell
from gwlog.decisions.what_if import WhatIf, suppose
from gwlog.errors import BadInput, UnknownName
from gwlog.water.basin import DRAINABLE_POROSITY

if TYPE_CHECKING:
    from gwlog.state import Problem, State
    from gwlog.water.garden import Garden

DAYS = 14
MOST_DAYS = 92

KEEP_GAIN = 30.0
"""A new plan replaces the one that people follow already only if it saves more than so many litre-equivalents.
Working assumption: what a walk weighs."""


@dataclass(frozen=True, slots=True)
class Plan:
    """The plan from `first` on. `steps`: each load's place in order; `moves`: the walks, `note`: what it cannot do.

    `kept`: it follows an earlier plan. `width` 0: the garden is too large to search, the simple rule was used.
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
    kept: bool = False
    at: tuple[str, ...] = ()
    supposed: WhatIf = field(default_factory=WhatIf)

    def as_json(self) -> dict[str, Any]:
        """The plan for programs: turns, sewer, totals, in SI units."""
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
        }


def plan(state: State, garden: Garden, now: datetime, *, days: int = DAYS, weights: Weights | None = None,
         what_if: WhatIf | None = None, previous: Plan | None = None, width: int = WIDTH,
         within_room: bool = False) -> Plan:
    """Plan the rotation from today through `days` local days.

    `weights` None: the usual ones for the site's aim. `previous`: the plan that people follow now; its turns
    are kept unless a new plan saves more than KEEP_GAIN. Raises BadInput without a basin, without an outlet,
    or for a number of days that cannot be planned.
    """
    if isinstance(days, bool) or not 1 <= days <= MOST_DAYS:
        raise BadInput(f"“{days}” is not a number of days to plan; 1 to {MOST_DAYS} are accepted.")
    if weights is None:
        weights = Weights.for_aim(state.site.aim if state.site is not None else "plants")
    supposed = what_if or WhatIf()
    loads, missed = expected(state, now, days)
    basins, outlets = beds_of(state, garden), outlets_of(state, garden)
    plan_days = suppose(days_of(state, garden, loads, days), supposed, _usual(garden, loads))
    found = search(basins, outlets, plan_days, weights, width=width, within_room=within_room)
    kept = False
    if previous is not None and found.width:
        found, kept = _keep(found, previous, basins, outlets, plan_days, weights, width, within_room)
    read = reader_of(state)
    turns, moves, sewer = tell(basins, outlets, plan_days, found.steps, read)
    total = sum(step.load.litres for step in found.steps)
    forced = [step for step in found.steps if step.load.must_sewer is not None]
    note = sewer_note(total, found.totals.sewer_l, len(sewer) - len(forced),
                      sum(step.load.litres for step in forced), plan_days, read)
    if not found.steps:
        note = "No load is expected: nothing is planned, and there is no habit to go by yet."
    return Plan(
        plan_days[0].day, plan_days, tuple(outlet.name for outlet in outlets), found.steps, turns, moves, sewer,
        found.totals, loads, missed, rule_problems(state, now), note, found.width, kept,
        tuple(outlet.at for outlet in outlets), supposed,
    )


def _keep(found: SearchResult, previous: Plan, basins: tuple[PlanBasin, ...], outlets: tuple[PlanOutlet, ...],
          days: tuple[PlanDay, ...], weights: Weights, width: int, within_room: bool) -> tuple[SearchResult, bool]:
    """The earlier plan carried on where it reaches, unless the new one saves enough."""
    if previous.outlets != tuple(outlet.name for outlet in outlets):
        return found, False
    held = _arrangements(previous)
    bound = tuple(replace(day, arrangements=held.get(day.day)) for day in days)
    carried = search(basins, outlets, bound, weights, width=width, within_room=within_room)
    if carried.totals.cost - found.totals.cost > KEEP_GAIN:
        return found, False
    return carried, True


def _arrangements(previous: Plan) -> dict[date, frozenset[tuple[str, ...]]]:
    """How the outlets lie on each day of a plan: as its garden loads have them, else as the day opens."""
    at = previous.at
    held: dict[date, frozenset[tuple[str, ...]]] = {}
    by_day: dict[int, list[tuple[str, ...]]] = {}
    for step in previous.steps:
        if step.arrangement is not None:
            by_day.setdefault(step.day, []).append(step.arrangement)
    for number, day in enumerate(previous.days):
        placed = by_day.get(number, [])
        held[day.day] = frozenset(placed or [at])
        at = placed[-1] if placed else at
    return held


def steady_plan(look: Callable[[datetime], tuple[State, Garden]], now: datetime, zone: str, *, days: int = DAYS,
                weights: Weights | None = None, what_if: WhatIf | None = None) -> Plan:
    """The plan as people following it since Monday know it: kept steady through the week without being stored.

    `look(moment)` gives the state and the garden at a moment, from the entries up to then. The plan of this
    week's Monday is made again from what was known then (itself carrying on that of the Monday before), and
    today's plan keeps its turns unless a change saves enough. Mondays before the logbook began count for nothing.
    """
    today = local_day(now, zone)
    monday = today - timedelta(days=today.weekday())
    earlier: Plan | None = None
    for day in (monday - timedelta(days=7), monday):
        moment = day_start(day, zone)
        if moment >= now:
            continue
        then, garden = look(moment)
        try:
            earlier = plan(then, garden, moment, days=days, weights=weights, previous=earlier)
        except BadInput:
            earlier = None
    state, garden = look(now)
    return plan(state, garden, now, days=days, weights=weights, what_if=what_if, previous=earlier)


def beds_of(state: State, garden: Garden) -> tuple[PlanBasin, ...]:
    """The basins as the search takes them: mulch as deep as its surge room says, rests and closures as they stand."""
    shut = closures(state, garden, profile_of(state).cover_mm.value, reader_of(state))
    beds = []
    for name, basin in garden.basins.items():
        until = basin.rest_until
        if until is None and basin.standing == "resting":
            until = date.max
        spec = replace(basin.spec, mulch_mm=basin.surge_room_l / (basin.spec.area_m2 * DRAINABLE_POROSITY))
        closed = shut.get(name)
        beds.append(PlanBasin(spec, basin.ledger.deficit_l, basin.used_today_l, until, basin.leaching_share,
                              closed[0].clause if closed else None))
    return tuple(beds)


def outlets_of(state: State, garden: Garden) -> tuple[PlanOutlet, ...]:
    """The outlets in use; none is ever carried to a basin whose food touches the soil."""
    outlets = []
    for name, share in state.shares().items():
        reach = tuple(b for b in state.reach(name)
                      if b in garden.basins and garden.basins[b].fact.edible not in TOUCHES_FOOD)
        outlets.append(PlanOutlet(name, reach, state.outlet_at[name].basin, share))
    return tuple(outlets)


def days_of(state: State, garden: Garden, loads: Iterable[ExpectedLoad], days: int) -> tuple[PlanDay, ...]:
    """The coming days with their weather and loads, and the reason where a load must or should not go out."""
    by_day: dict[date, list[PlanLoad]] = {}
    of_load: dict[str | None, str | None] = {}
    for load in loads:
        if load.usual_load not in of_load:
            of_load[load.usual_load] = _load_reason(state, load.usual_load)
        by_day.setdefault(load.day, []).append(PlanLoad(load.name, load.litres, of_load[load.usual_load]))
    profile = profile_of(state)
    limit = profile.daily_limit_l(state.site.occupants) if state.site is not None else None
    made = []
    for number in range(days):
        day = garden.today + timedelta(days=number)
        weather = garden.sky.day(day)
        hold = _day_reason(state, day, garden.today)
        found = tuple(replace(load, must_sewer=load.must_sewer or hold) for load in by_day.get(day, ()))
        made.append(PlanDay(day, weather.eto_mm, weather.rain_mm, found,
                            limit_l=limit - 1e-3 if limit is not None and profile.limit_below else limit))
    return tuple(made)


def _usual(garden: Garden, loads: tuple[ExpectedLoad, ...]) -> PlanLoad:
    unnamed = next((load.name for load in loads if load.usual_load is None), UNNAMED)
    return PlanLoad(unnamed, garden.usual_load_l)


def _load_reason(state: State, name: str | None) -> str | None:
    """Why a usual load does not go to the garden by what is in it, None when nothing speaks against it."""
    try:
        reasons = load_reasons(query_for(state, name))
    except UnknownName:
        return None
    if state.site is not None and state.site.softened_water and not reasons:
        return "The house's water is softened with salt, and its sodium harms the soil."
    return reasons[0].text if reasons else None


def _day_reason(state: State, day: date, today: date) -> str | None:
    """Why nothing goes to the garden on a day: the season, wet or frozen ground, illness in the house.

    What was seen and is not resolved holds for today; nobody knows how long it will last.
    """
    profile, read = profile_of(state), reader_of(state)
    if not profile.in_season(day.month):
        return f"{day:%B} is outside the growing season, to which this code limits graywater."
    if day == today:
        if any(seen.observed == "illness" for seen in state.open_observations()):
            return "Somebody in the household is ill."
        return soaked(state, day, read, code=profile.id) or frozen(state, day, read)
    return soaked_by_rain(state, day, read, code=profile.id) or frozen_by_cold(state, day, read)


__all__ = ["DAYS", "Plan", "WhatIf", "plan", "steady_plan"]
