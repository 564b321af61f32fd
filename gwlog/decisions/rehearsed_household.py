"""A household laid out for a rehearsal: its garden, its loads, and the weather of the days to come or gone by."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING

from gwlog.clock import local_day
from gwlog.decisions.coming import Against
from gwlog.decisions.expected import expected
from gwlog.decisions.plan_cost import PlanBasin, PlanDay, PlanLoad
from gwlog.decisions.plan_garden import beds_of, day_of, outlets_of
from gwlog.decisions.query import aim_of
from gwlog.decisions.rotation import Rotation
from gwlog.decisions.simulation import LONGEST_DAYS, WEEK, Foresight, Scenario
from gwlog.errors import BadInput
from gwlog.water.growth import Growth
from gwlog.water.ledger import steady_stores
from gwlog.water.weather import normals

if TYPE_CHECKING:
    from gwlog.state import State
    from gwlog.water.garden import Garden
    from gwlog.water.weather import Climate


def household_scenario(state: State, garden: Garden, now: datetime, *, days: int = 365,
                       weather: Mapping[date, tuple[float, float]] | None = None, first: date | None = None,
                       then: tuple[State, Garden] | None = None) -> Scenario:
    """This household's garden as it stands, its expected loads, and normals or a series of (ETo, rain) [mm].

    `weather`: by local day from the first day on; days that are missing in it take what was logged, else the normals.
    `first`: a day gone by on which it begins, None for today; `then`: state and garden as that day began, None where
    the basins of today were not described yet: they begin at the climate's steady state, but not so dry that plants
    feel it. Raises BadInput.
    """
    if isinstance(days, bool) or not 1 <= days <= LONGEST_DAYS:
        raise BadInput(f"“{days}” is not a number of days to rehearse; 1 to {LONGEST_DAYS} are accepted.")
    today = local_day(now, state.zone)
    begins = today if first is None else first
    if begins > today:
        raise BadInput(f"{begins.isoformat()} has not come yet; a rehearsal begins today or on a day gone by.")
    horizon = [begins + timedelta(days=n) for n in range(days + Foresight().horizon_days)]
    usual = {day: normals(garden.climate, day) for day in horizon}
    series = weather or {}
    made = []
    for day in _laid(state, garden, now, begins, days):
        eto, rain = series.get(day.day, (day.eto_mm, day.rain_mm) if begins < today else usual[day.day])
        made.append(PlanDay(day.day, eto, rain, day.loads, limit_l=day.limit_l))
    week = [0.0] * WEEK
    for day in made:
        week[day.day.weekday()] += sum(load.must_sewer is None for load in day.loads) / (days / WEEK)
    beds, outlets = beds_of(*(then or (state, garden))), outlets_of(*(then or (state, garden)))
    if begins < today and then is None:
        beds = tuple(_as_of(bed, garden.climate, begins) for bed in beds)
    return Scenario(beds, outlets, tuple(made), PlanLoad("usual load", garden.usual_load_l), usual, tuple(week),
                    fits=aim_of(state) != "garden")


def _as_of(bed: PlanBasin, climate: Climate, day: date) -> PlanBasin:
    """A basin as a day gone by opens in a usual year, but not so dry that its plants feel it."""
    growth = bed.growth or Growth(bed.spec)
    steady = steady_stores(growth, climate, day)
    return replace(bed, used_today_l=0.0, resting_until=None, other_today_l=0.0, outer_l=steady.outer_l,
                   deficit_l=min(growth.on(day).raw_l, steady.deficit_l))


def _laid(state: State, garden: Garden, now: datetime, begins: date, days: int) -> tuple[PlanDay, ...]:
    """The days with their loads: those that are expected; of days gone by those that were logged, and before the first
    of them what is expected now, weekday by weekday.
    """
    today = local_day(now, state.zone)
    if begins == today:
        return Rotation(state, garden, now).plan_days(garden, expected(state, now, days)[0], days)
    against = Against(state, date.min)
    by_day: dict[date, list[PlanLoad]] = {}
    logged_from = min((run.day for run in state.loads), default=date.max)
    ahead_days = (begins.weekday() - today.weekday()) % WEEK
    for load in expected(state, now, days + WEEK)[0]:
        for day in ((begins + (load.day - today) - timedelta(days=ahead_days)), load.day):
            pattern = day != load.day and day < min(logged_from, today)
            if pattern or (day == load.day and day >= today):
                reasons = against.both(replace(load, day=day))
                by_day.setdefault(day, []).append(
                    PlanLoad(load.name, load.litres, reasons[0].text if reasons else None))
    for run in state.loads:
        if run.day < today:
            kept = (*against.of_load(run.fact.usual_load), *against.of_day(run.day))
            by_day.setdefault(run.day, []).append(
                PlanLoad(run.fact.usual_load or "load", run.litres, kept[0].text if kept else None))
    return tuple(day_of(state, garden, day, tuple(by_day.get(day, ())))
                 for day in (begins + timedelta(days=number) for number in range(days)))
