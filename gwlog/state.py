"""The fold: from facts, in the order they happened, to what stands where. No rule, no clock, no database.

Here whole small units become SI: litres, mm, m2, degC.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date, datetime, timedelta
from typing import Any

from gwlog.actions import Action, Hint, Words
from gwlog.clock import Locale, day_start, local_day, locale
from gwlog.history import History, Lookup
from gwlog.journal.facts import (
    HANDED_ON,
    Attestation,
    Basin,
    Fact,
    Mulch,
    Observation,
    OtherWater,
    Outlet,
    OutletMove,
    Person,
    PlannedLoad,
    Product,
    ReminderAnswer,
    Resolution,
    Site,
    SoilReading,
    UpkeepDone,
    UpkeepTask,
    UsualLoad,
    ValveSwitch,
    Washer,
    WashLoad,
    WeatherDay,
)
from gwlog.values import dataclass, field, fields, replace


@dataclass(frozen=True, slots=True)
class Problem:
    """Odd data, told instead of raised: which entry, what is odd, and a way out."""

    entry_id: int
    text: str
    way_out: Words


@dataclass(frozen=True, slots=True)
class Delivery:
    """Graywater that reached one basin from one load [L]."""

    load_id: int
    at: datetime
    day: date
    outlet: str
    basin: str
    litres: float


@dataclass(frozen=True, slots=True)
class LoadRun:
    """A wash load as it ran: the fact, its products as described then, and where the water went.

    `litres`: the whole load. `valve`: where the valve stood by the log. `open_observations`: ids open then.
    `weather`: of that day and of the day before, as far as it was logged for moments up to the load.
    """

    fact: WashLoad
    day: date
    litres: float
    products: tuple[Product, ...]
    deliveries: tuple[Delivery, ...]
    valve: str | None
    open_observations: tuple[int, ...] = ()
    weather: tuple[Weather | None, Weather | None] = (None, None)

    @property
    def to_garden(self) -> bool:
        return self.fact.went_to == "garden"


@dataclass(frozen=True, slots=True)
class Weather:
    """Weather of one local day, measured or forecast; None where nobody said anything. mm and degC."""

    rain_mm: float | None = None
    tmin_c: float | None = None
    tmax_c: float | None = None

    def over(self, other: Weather | None) -> Weather:
        """This weather, and of the other what this one does not know."""
        if other is None:
            return self
        return Weather(other.rain_mm if self.rain_mm is None else self.rain_mm,
                       other.tmin_c if self.tmin_c is None else self.tmin_c,
                       other.tmax_c if self.tmax_c is None else self.tmax_c)


@dataclass(frozen=True, slots=True)
class Forecast:
    """What was expected of a local day, and when it was said. It counts until the day is over, and never as measured.
    """

    made_at: datetime
    weather: Weather


@dataclass(frozen=True, slots=True)
class Gauge:
    """A rain gauge's total of the local days `first` to `last`, both included [mm]."""

    entry_id: int
    first: date
    last: date
    rain_mm: float


@dataclass(frozen=True, slots=True)
class Watering:
    """Other water than the washing machine's that one basin got [L]; `way` as people carry it."""

    entry_id: int
    at: datetime
    day: date
    basin: str
    litres: float
    way: str


@dataclass(frozen=True, slots=True)
class Place:
    """Where an outlet lies, and since when."""

    basin: str
    since: datetime


@dataclass(slots=True)
class State:
    """What stands where after the facts so far. Descriptions hold the wording in force, retired ones too.

    Long histories may know their latest part alone and fetch the rest when it is asked for (see history). `before`:
    what that rest comes to for who need not walk it (water.before.Before), None where all is at hand.
    """

    site: Site | None = None
    sites: list[Site] = field(default_factory=list)
    people: dict[str, Person] = field(default_factory=dict)
    washers: dict[str, Washer] = field(default_factory=dict)
    basins: dict[str, Basin] = field(default_factory=dict)
    basin_history: dict[str, list[Basin]] = field(default_factory=dict)
    outlets: dict[str, Outlet] = field(default_factory=dict)
    products: dict[str, Product] = field(default_factory=dict)
    usual_loads: dict[str, UsualLoad] = field(default_factory=dict)
    planned_loads: dict[str, PlannedLoad] = field(default_factory=dict)
    upkeep_tasks: dict[str, UpkeepTask] = field(default_factory=dict)

    valve: str | None = None
    valve_since: datetime | None = None
    valve_log: History[tuple[datetime, str, int]] = field(default_factory=History)
    outlet_at: dict[str, Place] = field(default_factory=dict)
    outlet_log: History[tuple[datetime, str, str, int]] = field(default_factory=History)
    loads: History[LoadRun] = field(default_factory=History)
    weather: Lookup[date, Weather] = field(default_factory=Lookup)
    forecasts: dict[date, Forecast] = field(default_factory=dict)
    gauges: History[Gauge] = field(default_factory=History)
    other_water: dict[str, History[Watering]] = field(default_factory=dict)
    soil_readings: dict[str, list[SoilReading]] = field(default_factory=dict)
    mulch: dict[str, History[Mulch]] = field(default_factory=dict)
    observations: Lookup[int, Observation] = field(default_factory=Lookup)
    resolved: Lookup[int, Resolution] = field(default_factory=Lookup)
    upkeep_done: dict[str, History[UpkeepDone]] = field(default_factory=dict)
    attestations: list[Attestation] = field(default_factory=list)
    answers: Lookup[str, ReminderAnswer] = field(default_factory=Lookup)
    problems: list[Problem] = field(default_factory=list)
    seen_at: datetime | None = None
    """The moment looked at: of the last fact so far, in the end that up to which was folded."""
    before: object = field(default=None, compare=False, repr=False)

    @property
    def zone(self) -> Locale:
        """The household's time zone (UTC before a site was described), with its habits of writing days and times."""
        return locale(self.site.zone, self.site.units) if self.site else locale("UTC", "us")

    @property
    def eras(self) -> tuple[datetime, ...]:
        """When the logbook was handed on: what happened before belongs to the household before."""
        return tuple(one.happened_at for one in self.attestations if one.attested == HANDED_ON)

    def active_basins(self) -> dict[str, Basin]:
        """Basins in use, in the order in which they were first described."""
        return {name: basin for name, basin in self.basins.items() if basin.active}

    def active_outlets(self) -> dict[str, Outlet]:
        """Outlets in use."""
        return {name: outlet for name, outlet in self.outlets.items() if outlet.active}

    def reach(self, outlet: str) -> list[str]:
        """The active basins that an outlet can be put at."""
        reaches = self.outlets[outlet].reaches
        return [name for name in self.active_basins() if reaches is None or name in reaches]

    def open_observations(self) -> list[Observation]:
        """Observations that nobody has resolved yet, oldest first."""
        resolved = self.resolved.known_items()
        return [seen for seen in self.observations.known_values() if seen.id not in resolved]

    def shares(self) -> dict[str, float]:
        """Each active outlet's share of a load (they sum to 1; empty without outlets)."""
        active = self.active_outlets()
        total = sum(outlet.share_milli for outlet in active.values())
        return {name: outlet.share_milli / total for name, outlet in active.items()} if total else {}


FORECASTS_KEPT = timedelta(days=31)
"""How long after its day a forecast is remembered, so that it can be told that nothing was measured."""

GAUGE_TELLS_DAYS = 7
"""A gauge's total says something of its single days where it is of so many at most. Working assumption: a week."""


def believed_weather(state: State, day: date, *, as_expected: bool = False) -> Weather | None:
    """A day's weather as measured, and what is forecast of a day that is not over at the moment looked at.

    `as_expected`: what was forecast of a day that is over counts too, as people knew it before the day.
    """
    measured, ahead = state.weather.get(day), state.forecasts.get(day)
    if ahead is None or state.seen_at is None or not (
            as_expected or day >= local_day(state.seen_at, state.zone)):
        return measured
    return (measured or Weather()).over(ahead.weather)


def known_weather(state: State, day: date, *, as_expected: bool = False) -> Weather | None:
    """What is known of a day's weather: as believed_weather() has it, else the day's even share of a short gauge's
    total, less what was logged for single days of it.
    """
    measured = believed_weather(state, day, as_expected=as_expected)
    if not state.gauges or (measured is not None and measured.rain_mm is not None):
        return measured
    for gauge in state.gauges.newest_first(day):
        count = (gauge.last - gauge.first).days + 1
        if gauge.first <= day <= gauge.last and count <= GAUGE_TELLS_DAYS:
            own = [state.weather.get(gauge.first + timedelta(days=n), Weather()).rain_mm for n in range(count)]
            rest = gauge.rain_mm - sum(rain for rain in own if rain is not None)
            return replace(measured or Weather(), rain_mm=max(0.0, rest) / own.count(None))
    return measured


def fold(facts: Iterable[Fact], start: State | None = None, *, until: datetime | None = None) -> State:
    """Fold standing facts, ordered by when they happened, onto `start` (which is left as it was).

    `until`: facts that happened later are left out. Odd data ends in State.problems.
    """
    state = _copy(start) if start is not None else State()
    for fact in facts:
        if until is not None and fact.happened_at > until:
            break
        step = _STEPS.get(type(fact))
        if step is not None:
            state.seen_at = fact.happened_at
            step(state, fact)
    if until is not None:
        state.seen_at = until
    return state


def _copy(state: State) -> State:
    copied = State()
    for part in fields(State):
        value = getattr(state, part.name)
        if isinstance(value, (list, History, Lookup)):
            value = value.copy()
        elif isinstance(value, dict):
            value = {key: v.copy() if isinstance(v, (list, History)) else v for key, v in value.items()}
        setattr(copied, part.name, value)
    return copied


def _site(state: State, fact: Site) -> None:
    if state.site is None and fact.valve != "unknown":
        state.valve, state.valve_since = fact.valve, fact.happened_at
        state.valve_log.append((fact.happened_at, fact.valve, fact.id))
    state.site = fact
    state.sites.append(fact)


def _basin(state: State, fact: Basin) -> None:
    state.basins[fact.name] = fact
    state.basin_history.setdefault(fact.name, []).append(fact)


def _outlet(state: State, fact: Outlet) -> None:
    known = state.outlets.get(fact.name)
    state.outlets[fact.name] = fact
    if known is None or not known.active:
        _place(state, fact, fact.name, fact.basin)


def _person(state: State, fact: Person) -> None:
    state.people[fact.name] = fact


def _washer(state: State, fact: Washer) -> None:
    state.washers[fact.name] = fact


def _product(state: State, fact: Product) -> None:
    state.products[fact.name] = fact


def _usual_load(state: State, fact: UsualLoad) -> None:
    state.usual_loads[fact.name] = fact


def _planned_load(state: State, fact: PlannedLoad) -> None:
    state.planned_loads[fact.name] = fact


def _upkeep_task(state: State, fact: UpkeepTask) -> None:
    state.upkeep_tasks[fact.name] = fact


def _place(state: State, fact: Fact, outlet: str, basin: str) -> None:
    state.outlet_at[outlet] = Place(basin, fact.happened_at)
    state.outlet_log.append((fact.happened_at, outlet, basin, fact.id))


def moved_early(fact: OutletMove) -> Problem:
    """An outlet that was moved before anybody described it."""
    return Problem(
        fact.id, f"Entry {fact.id} moves the outlet “{fact.outlet}” before it was described.",
        Hint("Correct its time or withdraw it: ", Action("withdraw", number=fact.id)),
    )


def out_of_reach(fact: OutletMove) -> Problem:
    """An outlet that was moved to where it does not reach."""
    return Problem(
        fact.id, f"Entry {fact.id} moves “{fact.outlet}” to “{fact.basin}”, out of its reach at that time.",
        Hint("Correct it, or widen the outlet's reach in the setup: ", Action("correct", number=fact.id)),
    )


def without_outlet(load_id: int) -> Problem:
    """A load to the garden while no outlet was in use."""
    return Problem(
        load_id, f"Entry {load_id} sends a load to the garden, but no outlet was in use then.",
        "Correct its time, or describe the outlet from an earlier date.",
    )


def against_valve(load_id: int, went_to: str, valve: str) -> Problem:
    """A load that went another way than the valve stood by the log."""
    return Problem(
        load_id, f"Load {load_id} went to the {went_to}, but the log has the valve on {valve}.",
        Hint("Log the missing turn of the valve (", Action("valve", to=went_to, at="..."),
             ") or correct the load."),
    )


def _outlet_move(state: State, fact: OutletMove) -> None:
    if fact.outlet not in state.outlets:
        state.problems.append(moved_early(fact))
        return
    basin = state.basins.get(fact.basin)
    if basin is None or fact.basin not in state.reach(fact.outlet):
        state.problems.append(out_of_reach(fact))
    _place(state, fact, fact.outlet, fact.basin)


def _valve_switch(state: State, fact: ValveSwitch) -> None:
    if state.valve != fact.position:
        state.valve_since = fact.happened_at
    state.valve = fact.position
    state.valve_log.append((fact.happened_at, fact.position, fact.id))


def _wash_load(state: State, fact: WashLoad) -> None:
    day = local_day(fact.happened_at, state.zone)
    litres = fact.volume_ml / 1000.0
    deliveries: tuple[Delivery, ...] = ()
    if fact.went_to == "garden":
        deliveries = tuple(
            Delivery(fact.id, fact.happened_at, day, outlet, state.outlet_at[outlet].basin, litres * share)
            for outlet, share in state.shares().items()
        )
        if not deliveries:
            state.problems.append(without_outlet(fact.id))
    if state.valve is not None and state.valve != fact.went_to:
        state.problems.append(against_valve(fact.id, fact.went_to, state.valve))
    products = tuple(
        state.products.get(name)
        or Product(happened_at=fact.happened_at, zone=fact.zone, name=name, product_kind="other")
        for name in fact.products
    )
    state.loads.append(LoadRun(
        fact, day, litres, products, deliveries, state.valve,
        tuple(seen.id for seen in state.open_observations()),
        (known_weather(state, day), known_weather(state, day - timedelta(days=1))),
    ))


def _mulch(state: State, fact: Mulch) -> None:
    state.mulch.setdefault(fact.basin, History()).append(fact)


def _other_water(state: State, fact: OtherWater) -> None:
    state.other_water.setdefault(fact.basin, History()).append(Watering(
        fact.id, fact.happened_at, local_day(fact.happened_at, state.zone), fact.basin, fact.volume_ml / 1000.0,
        fact.way))


def _soil_reading(state: State, fact: SoilReading) -> None:
    state.soil_readings.setdefault(fact.basin, []).append(fact)


def forecast_made_at(fact: WeatherDay) -> datetime | None:
    """When a weather day was forecast; None where it was measured. What was logged before its day began is a forecast.
    """
    if fact.forecast_made_at is not None:
        return datetime.fromisoformat(fact.forecast_made_at)
    ahead = fact.rain_from is None and fact.happened_at < day_start(fact.day, fact.zone)
    return fact.happened_at if ahead else None


def _forecast(state: State, fact: WeatherDay, made_at: datetime) -> None:
    said = Weather(*(None if small is None else small / 1000.0
                     for small in (fact.rain_um, fact.tmin_mdegc, fact.tmax_mdegc)))
    known = state.forecasts.get(fact.day)
    newer = known is None or known.made_at <= made_at
    if known is not None:
        said = said.over(known.weather) if newer else known.weather.over(said)
    forgotten = local_day(fact.happened_at, state.zone) - FORECASTS_KEPT
    state.forecasts = {day: one for day, one in state.forecasts.items() if day >= forgotten}
    state.forecasts[fact.day] = Forecast(made_at if known is None or newer else known.made_at, said)


def _weather_day(state: State, fact: WeatherDay) -> None:
    made_at = forecast_made_at(fact)
    if made_at is not None:
        _forecast(state, fact, made_at)
        return
    known = state.weather.get(fact.day, Weather())
    rain_um = fact.rain_um
    if fact.rain_from is not None and rain_um is not None:
        state.gauges.append(Gauge(fact.id, fact.rain_from, fact.day, rain_um / 1000.0))
        rain_um = None
    if rain_um is None and fact.tmin_mdegc is None and fact.tmax_mdegc is None:
        return
    state.weather[fact.day] = Weather(
        known.rain_mm if rain_um is None else rain_um / 1000.0,
        known.tmin_c if fact.tmin_mdegc is None else fact.tmin_mdegc / 1000.0,
        known.tmax_c if fact.tmax_mdegc is None else fact.tmax_mdegc / 1000.0,
    )


def _observation(state: State, fact: Observation) -> None:
    state.observations[fact.id] = fact


def _resolution(state: State, fact: Resolution) -> None:
    state.resolved.setdefault(fact.resolves_id, fact)


def _upkeep_done(state: State, fact: UpkeepDone) -> None:
    state.upkeep_done.setdefault(fact.task, History()).append(fact)


def _attestation(state: State, fact: Attestation) -> None:
    state.attestations.append(fact)


def _reminder_answer(state: State, fact: ReminderAnswer) -> None:
    state.answers[fact.key] = fact


_STEPS: dict[type[Fact], Callable[[State, Any], None]] = {
    Site: _site, Person: _person, Washer: _washer, Basin: _basin, Outlet: _outlet, Product: _product,
    UsualLoad: _usual_load, PlannedLoad: _planned_load, UpkeepTask: _upkeep_task, WashLoad: _wash_load,
    OutletMove: _outlet_move, ValveSwitch: _valve_switch, Mulch: _mulch, WeatherDay: _weather_day,
    Observation: _observation, Resolution: _resolution, UpkeepDone: _upkeep_done,
    ReminderAnswer: _reminder_answer, OtherWater: _other_water,
    SoilReading: _soil_reading, Attestation: _attestation,
}
