"""A season rehearsed: the same loads and weather through the plan and through simpler habits, side by side.

The plan is made anew on every wash day with only what could be known that morning.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING, Literal

from gwlog.clock import local_day
from gwlog.decisions.expected import HABIT_DAYS, expected, whole_loads
from gwlog.decisions.plan_cost import WILT_AT, Bed, PlanBasin, PlanDay, PlanLoad, PlanOutlet, Weights, arranged
from gwlog.decisions.plan_search import WIDTH, check
from gwlog.decisions.query import aim_of
from gwlog.decisions.watering_policies import HABITS, Habit, Outlook
from gwlog.errors import BadInput
from gwlog.water.basin import close_day
from gwlog.water.growth import Growth
from gwlog.water.ledger import steady_stores
from gwlog.water.rest import TINY_L
from gwlog.water.weather import normals

if TYPE_CHECKING:
    from gwlog.state import State
    from gwlog.water.garden import Garden
    from gwlog.water.weather import Climate

LONGEST_DAYS = 1830
WEEK = 7

RainAfter = Literal["normals", "none"]
EtoAhead = Literal["normals", "last week"]


@dataclass(frozen=True, slots=True)
class Foresight:
    """What is known of the weather on the morning of a wash day.

    Rain of `rain_days` days from that day on, then the normals or none; ETo by the normals or last week's mean.
    """

    rain_days: int = 1
    rain_after: RainAfter = "normals"
    eto: EtoAhead = "normals"
    horizon_days: int = 14


@dataclass(frozen=True, slots=True)
class Scenario:
    """A garden, and day by day the weather and the loads that really come.

    `normals`: each day's (ETo, rain) [mm] as the climate has it; None where there are none. `usual_week`: mean
    loads on Monday..Sunday before the rehearsal begins. `rest`: whether a filled basin rests. `fits`: whether the
    advice gives a basin no more than its root zone takes.
    """

    basins: tuple[PlanBasin, ...]
    outlets: tuple[PlanOutlet, ...]
    days: tuple[PlanDay, ...]
    usual: PlanLoad
    normals: Mapping[date, tuple[float, float]] | None = None
    usual_week: tuple[float, ...] = (0.0,) * WEEK
    foresight: Foresight = field(default_factory=Foresight)
    rest: bool = True
    fits: bool = True


@dataclass(frozen=True, slots=True)
class BasinSeries:
    """One basin day by day [L]: deficit at the day's end, graywater, what percolated of it; and over all days its
    demand and what was unmet of it [L], and the days that ended at 95 % of the TAW or beyond.
    """

    deficit_l: tuple[float, ...]
    graywater_l: tuple[float, ...]
    percolated_l: tuple[float, ...]
    demand_l: float = 0.0
    unmet_l: float = 0.0
    wilting_days: int = 0


@dataclass(frozen=True, slots=True)
class HabitResult:
    """What one habit came to [L]. `over_allowance_l` did not soak in that day and counts nowhere else.

    `percolated_l`: graywater that sank below the roots. `stress_days`: basin-days on which plants went short,
    `wilting_days`: those that ended at 95 % of the TAW or beyond.
    """

    habit: str
    over_allowance_l: float
    percolated_l: float
    unmet_l: float
    sewer_l: float
    stress_days: int
    moves: int
    valve_turns: int
    series: dict[str, BasinSeries]
    wilting_days: int = 0


@dataclass(frozen=True, slots=True)
class Rehearsal:
    """The habits side by side; `complete` False when it was called off, with what was finished by then."""

    first: date
    last: date
    loads: int
    litres: float
    results: tuple[HabitResult, ...]
    complete: bool = True


Progress = Callable[[int, int], None]


def rehearse(scenario: Scenario, *, habits: Sequence[Habit] = HABITS, weights: Weights | None = None,
             width: int = WIDTH, progress: Progress | None = None,
             cancelled: Callable[[], bool] | None = None) -> Rehearsal:
    """Run the scenario through each habit. `progress(done, total)` counts days; `cancelled()` is asked every day.

    Raises BadInput without basins, outlets or days, or for more than LONGEST_DAYS days.
    """
    check(scenario.basins, scenario.outlets, scenario.days)
    if len(scenario.days) > LONGEST_DAYS:
        raise BadInput(f"A rehearsal of {len(scenario.days)} days is too long; up to {LONGEST_DAYS} are accepted.")
    weights = weights or Weights()
    total = len(habits) * len(scenario.days)
    results: list[HabitResult] = []
    for number, habit in enumerate(habits):
        course = _Course(scenario, habit, weights, width)
        for day in range(len(scenario.days)):
            if cancelled is not None and cancelled():
                return _rehearsal(scenario, results, complete=False)
            course.live(day)
            if progress is not None:
                progress(number * len(scenario.days) + day + 1, total)
        results.append(course.result())
    return _rehearsal(scenario, results, complete=True)


def _rehearsal(scenario: Scenario, results: list[HabitResult], *, complete: bool) -> Rehearsal:
    loads = [load for day in scenario.days for load in day.loads]
    return Rehearsal(scenario.days[0].day, scenario.days[-1].day, len(loads), sum(load.litres for load in loads),
                     tuple(results), complete)


class _Course:
    """One habit lived through the scenario."""

    def __init__(self, scenario: Scenario, habit: Habit, weights: Weights, width: int) -> None:
        self.scenario, self.habit = scenario, habit
        self.beds = {basin.name: Bed(basin) for basin in scenario.basins}
        # The same garden without a load: what percolates there is the rain's, not the laundry's.
        self.rained = {basin.name: min(basin.deficit_l, basin.spec.taw_l) for basin in scenario.basins}
        self.at = tuple(outlet.at for outlet in scenario.outlets)
        self.look = Outlook(scenario.outlets, weights, width, scenario.rest, scenario.fits)
        self.over = self.percolated = self.unmet = self.sewer = 0.0
        self.stress_days = self.moves = self.valve_turns = 0
        self.valve = "garden"
        self.rows: dict[str, list[tuple[float, float, float]]] = {name: [] for name in self.beds}
        self.demand, self.short, self.wilting = (dict.fromkeys(self.beds, 0.0) for _ in range(3))

    def live(self, number: int) -> None:
        scenario = self.scenario
        day = scenario.days[number]
        for bed in self.beds.values():
            bed.open_day(day)
        self.look.prepare(number, self.beds, self.at, lambda: ahead(scenario, number))
        if self.habit.begin_week is not None and day.day.weekday() == 0:
            self.habit.begin_week(self.look)
        if day.loads:
            places = self.habit.places(self.look, day.loads)
            for load, chosen in zip(day.loads, places, strict=False):
                self._run(load, chosen)
        for name, bed in self.beds.items():
            alone = close_day(bed.today, self.rained[name], 0.0)
            end = bed.end_day()
            self.rained[name] = alone.deficit_l
            caused = end.percolated_l - alone.percolated_l
            self.percolated += caused
            short = end.demand_l - end.used_l
            self.unmet += short
            self.stress_days += short > TINY_L
            self.demand[name] += end.demand_l
            self.short[name] += short
            self.wilting[name] += end.deficit_l >= WILT_AT * bed.today.taw_l > 0.0
            self.rows[name].append((end.deficit_l, bed.graywater, caused))

    def _run(self, load: PlanLoad, chosen: tuple[str, ...] | None) -> None:
        valve = "sewer" if chosen is None else "garden"
        self.valve_turns += valve != self.valve
        self.valve = valve
        if chosen is None:
            self.sewer += load.litres
            return
        self.moves += sum(old != new for old, new in zip(self.at, chosen, strict=True))
        self.at = chosen
        self.look.at = chosen
        for name, litres in arranged(self.scenario.outlets, chosen, load.litres).items():
            bed = self.beds[name]
            taken = min(litres, max(0.0, bed.basin.spec.allowance_l - bed.graywater))
            self.over += litres - taken
            bed.give(taken, rest=self.scenario.rest)

    def result(self) -> HabitResult:
        series = {
            name: BasinSeries(tuple(r[0] for r in rows), tuple(r[1] for r in rows), tuple(r[2] for r in rows),
                              self.demand[name], self.short[name], int(self.wilting[name]))
            for name, rows in self.rows.items()
        }
        return HabitResult(self.habit.name, self.over, max(0.0, self.percolated), self.unmet, self.sewer,
                           self.stress_days, self.moves, self.valve_turns, series, int(sum(self.wilting.values())))


def ahead(scenario: Scenario, number: int) -> tuple[PlanDay, ...]:
    """The coming days as they look on the morning of day `number`: today's loads, then the habit so far."""
    seen, days = scenario.foresight, scenario.days
    today = days[number]
    counts = _weekday_counts(scenario, number)
    past = days[max(0, number - WEEK):number]
    last_week = sum(day.eto_mm for day in past) / len(past) if past else today.eto_mm
    made = []
    for step in range(seen.horizon_days):
        day = today.day + timedelta(days=step)
        usual = (scenario.normals or {}).get(day)
        eto = usual[0] if seen.eto == "normals" and usual is not None else last_week
        rain = usual[1] if seen.rain_after == "normals" and usual is not None else 0.0
        if step < seen.rain_days and number + step < len(days):
            rain = days[number + step].rain_mm
        loads = today.loads if step == 0 else (scenario.usual,) * counts[day.weekday()]
        made.append(PlanDay(day, eto, rain, loads, limit_l=today.limit_l))
    return tuple(made)


def _weekday_counts(scenario: Scenario, number: int) -> tuple[int, ...]:
    """Whole loads expected by weekday from the last eight weeks, the usual week standing in before the start."""
    back = min(number, HABIT_DAYS)
    sums = [0.0] * WEEK
    for day in scenario.days[number - back:number]:
        sums[day.day.weekday()] += sum(load.must_sewer is None for load in day.loads)
    weeks = HABIT_DAYS // WEEK
    missing = HABIT_DAYS - back
    for step in range(1, missing + 1):
        weekday = (scenario.days[number].day - timedelta(days=back + step)).weekday()
        sums[weekday] += scenario.usual_week[weekday]
    return whole_loads([total / weeks for total in sums])


def household_scenario(state: State, garden: Garden, now: datetime, *, days: int = 365,
                       weather: Mapping[date, tuple[float, float]] | None = None, first: date | None = None,
                       then: tuple[State, Garden] | None = None) -> Scenario:
    """This household's garden as it stands, its expected loads, and normals or a series of (ETo, rain) [mm].

    `weather`: by local day from the first day on; days that are missing in it take what was logged, else the normals.
    `first`: a day gone by on which it begins, None for today; `then`: state and garden as that day began, None where
    the basins of today were not described yet: they begin at the climate's steady state, but not so dry that plants
    feel it. Raises BadInput.
    """
    from gwlog.decisions.plan_garden import beds_of, outlets_of

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
    from gwlog.decisions.coming import Against
    from gwlog.decisions.plan_garden import day_of
    from gwlog.decisions.rotation import Rotation

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
