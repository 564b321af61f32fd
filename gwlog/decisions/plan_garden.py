"""The household's garden as the plan takes it: basins, outlets, and what the code allows on a day."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

from gwlog.clock import local_day
from gwlog.decisions.outlet_assignment import TOUCHES_FOOD, closures
from gwlog.decisions.plan_cost import PlanBasin, PlanDay, PlanLoad, PlanOutlet
from gwlog.decisions.query import asked_cover, profile_of
from gwlog.values import replace
from gwlog.water.basin import DRAINABLE_POROSITY

if TYPE_CHECKING:
    from gwlog.state import State
    from gwlog.water.garden import Garden


def beds_of(state: State, garden: Garden) -> tuple[PlanBasin, ...]:
    """The basins as the search takes them: mulch as deep as its surge room says, rests and closures as they stand.

    One that rests, or rested until some hour of today, is not used today.
    """
    shut = closures(state, garden, *asked_cover(state))
    tomorrow = garden.today + timedelta(days=1)
    beds = []
    for name, basin in garden.basins.items():
        until = None
        if basin.rests_today:
            until = max(basin.rest_until or date.max, tomorrow) if basin.standing == "resting" else tomorrow
        spec = replace(basin.spec, mulch_mm=basin.surge_room_l / (basin.spec.area_m2 * DRAINABLE_POROSITY))
        closed = shut.get(name)
        beds.append(PlanBasin(spec, basin.ledger.deficit_l, basin.used_today_l, until, basin.leaching_share,
                              closed[0].clause if closed else None, basin.spec.most_l, basin.growth,
                              basin.ledger.outer_l, basin.other_today_l))
    return tuple(beds)


def outlets_of(state: State, garden: Garden) -> tuple[PlanOutlet, ...]:
    """The outlets in use; none is ever carried to a basin whose food touches the soil."""
    outlets = []
    for name, share in state.shares().items():
        within, lies = state.reach(name), state.outlet_at[name].basin
        reach = tuple(b for b in within if b in garden.basins and garden.basins[b].fact.edible not in TOUCHES_FOOD)
        astray = "is no longer in use" if lies not in garden.basins else \
            "is out of its reach" if lies not in within else None
        since = state.outlet_at[name].since
        moved = local_day(since, state.zone) == garden.today and since != state.outlets[name].happened_at
        outlets.append(PlanOutlet(name, reach, lies, share, astray, moved))
    return tuple(outlets)


def day_of(state: State, garden: Garden, day: date, loads: tuple[PlanLoad, ...]) -> PlanDay:
    """One of the coming days with its weather, its loads and what the code allows."""
    profile, weather = profile_of(state), garden.sky.day(day)
    limit = profile.limit(state.site.occupants) if state.site is not None else None
    most = profile.daily_limit_l(state.site.occupants) if state.site is not None else None
    return PlanDay(day, weather.eto_mm, weather.rain_mm, loads,
                   limit_l=most - 1e-3 if most is not None and limit is not None and limit.below else most)
