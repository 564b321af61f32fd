"""What a logbook's first part comes to, as plain data: numbers of entries, and figures derived from them.

No word of anybody is in it: names stand in the entries, which are fetched by their number when it is used.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime, timedelta
from typing import Any

from gwlog.checkpoints.keys import digest_of
from gwlog.clock import day_start, local_day
from gwlog.decisions.exceptions import Judge, open_exceptions
from gwlog.decisions.ground import freezing, frost_between, thawed_on
from gwlog.decisions.query import reader_of
from gwlog.history import History
from gwlog.journal.facts import VALVE, Fact, Mulch, OutletMove, Standing, UpkeepDone, WashLoad
from gwlog.state import Problem, State, Weather, against_valve, fold, moved_early, without_outlet
from gwlog.water.frost import CARRIED_DAYS, carried
from gwlog.water.garden import deliveries_by_basin, ledger_of, rests_until
from gwlog.water.growth import growth_of
from gwlog.water.ledger import Ledger, dry_on
from gwlog.water.mulch import Fit, fit
from gwlog.water.oddities import astray
from gwlog.water.rest import Rest
from gwlog.water.salts import LEDGER_YEAR, sodium_parts
from gwlog.water.soil_salt import SaltStart, Soil, salts_start
from gwlog.water.weather import Sky, sky_of

WEATHER_DAYS = 470
"""So many days of weather before the moment are at hand: odd sums of rain and frost look so far back."""

TOLD_DAYS = 460
"""So many days of a basin's salts: a year's rise."""

LEAST_ROWS, MOST_ROWS = 3, 200
"""Closed days of a balance: from the last one on that lacked nothing, so long as it is not too long ago."""


class Unfit(ValueError):
    """The first part cannot be told by numbers alone: something in it was never described."""


Number = int | list[int]
"""A fact: its number, with its last wording's where that is another."""


def number_of(one: Number) -> int:
    """The number of a fact, without its wording's."""
    return one if isinstance(one, int) else one[0]


class _Numbers:
    """Facts as numbers: its own, and its last wording's where that is another."""

    def __init__(self, standing: Standing, kinds: Mapping[str, Sequence[str]]) -> None:
        self.last: dict[int, int] = {}
        for number, first in standing.root.items():
            self.last[first] = max(number, self.last.get(first, 0))
        self.places = {kind: {name: place for place, name in enumerate(names)} for kind, names in kinds.items()}

    def of(self, fact: Fact) -> Number:
        if not fact.id:
            raise Unfit
        last = self.last.get(fact.id, fact.id)
        return fact.id if last == fact.id else [fact.id, last]

    def all(self, facts: Iterable[Fact]) -> list[Number]:
        return [self.of(fact) for fact in facts]

    def place(self, kind: str, name: str) -> int:
        found = self.places[kind].get(name)
        if found is None:
            raise Unfit
        return found


def content(standing: Standing, moment: datetime, day: date) -> dict[str, Any]:
    """What the standing facts before `moment`, the first of the local `day`, come to. Raises Unfit."""
    facts = {fact.id: fact for fact in standing.facts if fact.happened_at < moment}
    state = fold(facts.values())
    put = _Numbers(standing, {"basin": list(state.basin_history), "outlet": list(state.outlets)})
    for name in (*deliveries_by_basin(state), *state.other_water, *state.mulch, *state.soil_readings):
        put.place("basin", name)
    sky, poured = sky_of(state, day), deliveries_by_basin(state)
    every = {name: ledger_of(state, name, sky, moment, poured.get(name, ())) for name in state.active_basins()}
    starts = {name: ledger.starts for name, ledger in every.items()}
    ledgers = {name: ledger for name, ledger in every.items() if ledger.starts < day}
    rests = {name: ledger_of(state, name, sky, moment - timedelta(microseconds=1), poured.get(name, ()), ledger,
                             day).rest for name, ledger in ledgers.items()}
    judged = _judged(state, moment, put)
    return {
        "described": _described(state, put),
        "stands": _stands(state, facts, put),
        "counts": [len(one) for one in (state.valve_log, state.outlet_log, state.loads)],
        "weather": _weather(state, day),
        "forecasts": [[one.toordinal(), said.made_at.isoformat(), *_figures(said.weather)]
                      for one, said in state.forecasts.items()],
        "seen_at": None if state.seen_at is None else state.seen_at.isoformat(),
        "gauges": _gauges(state, sky, day),
        "seen": _seen(state, facts, rests, judged, day, put),
        "mulch": [_mulch(name, entries, put) for name, entries in state.mulch.items()],
        "soil": [[put.place("basin", name), put.all(found)] for name, found in state.soil_readings.items()],
        "upkeep": [_upkeep(entries, put) for entries in state.upkeep_done.values()],
        "water": [[put.place("basin", name), len(given)] for name, given in state.other_water.items()],
        "attested": put.all(state.attestations),
        "answers": {digest_of(key): put.of(fact) for key, fact in state.answers.items()},
        "problems": [_problem(problem, facts, put) for problem in state.problems],
        "starts": [[put.place("basin", name), first.toordinal()] for name, first in starts.items()],
        "sodium": [[one.at.isoformat(), put.place("basin", one.basin), one.litres, one.sodium_g]
                   for one in sodium_parts(state.loads, moment - LEDGER_YEAR, moment)],
        "astray": [[kind, put.place("basin", name), numbers[0], len(numbers)]
                   for (kind, name), numbers in astray(state, starts, moment).items()],
        "judged": judged,
        "frost": _frost(state, sky, day),
        "ledgers": [_ledger(state, name, ledgers[name], rests[name], sky, day, put) for name in ledgers],
        "salts": _salts(state, ledgers, day, put),
    }


def _described(state: State, put: _Numbers) -> dict[str, Any]:
    return {
        "site": put.all(state.sites), "person": put.all(state.people.values()),
        "washer": put.all(state.washers.values()), "outlet": put.all(state.outlets.values()),
        "product": put.all(state.products.values()), "usual_load": put.all(state.usual_loads.values()),
        "planned_load": put.all(state.planned_loads.values()), "upkeep_task": put.all(state.upkeep_tasks.values()),
        "basin": [put.all(history) for history in state.basin_history.values()],
    }


def _stands(state: State, facts: Mapping[int, Fact], put: _Numbers) -> list[Any]:
    lies: dict[str, int] = {}
    for _, outlet, _, number in state.outlet_log:
        lies[outlet] = number
    return [state.valve, None if state.valve_since is None else state.valve_since.isoformat(),
            [[facts[lies[name]].KIND, put.of(facts[lies[name]])] for name in state.outlet_at]]


def _weather(state: State, day: date) -> list[Any]:
    first = day - timedelta(days=WEATHER_DAYS)
    return [
        first.toordinal(), len(state.weather),
        [[noted.toordinal(), *_figures(one)] for noted, one in sorted(state.weather.items()) if noted >= first],
        [[noted.toordinal(), one.tmin_c, one.tmax_c] for noted, one in sorted(state.weather.items())
         if noted < first and one.tmin_c is not None and one.tmax_c is not None and one.tmin_c > one.tmax_c],
    ]


def _figures(one: Weather) -> tuple[float | None, ...]:
    return one.rain_mm, one.tmin_c, one.tmax_c


def _gauges(state: State, sky: Sky, day: date) -> list[Any]:
    """Those from a place on at which no earlier one reaches into the days of a later one."""
    gauges, first = state.gauges, day - timedelta(days=WEATHER_DAYS)
    cut, begins = len(gauges), first
    for place in range(len(gauges) - 1, -1, -1):
        if max(one.last for one in gauges[:place + 1]) < begins:
            break
        cut, begins = place, min(begins, gauges[place].first)
    older = {one.entry_id for one in gauges[:cut]}
    return [
        cut, begins.toordinal(),
        [[one.entry_id, one.first.toordinal(), one.last.toordinal(), one.rain_mm] for one in gauges[cut:]],
        [[one.entry_id, one.first.toordinal(), one.last.toordinal(), one.rain_mm, held]
         for one, held in sky.uncounted if one.entry_id in older],
    ]


def _seen(state: State, facts: Mapping[int, Fact], rests: Mapping[str, Rest], judged: list[Any], day: date,
          put: _Numbers) -> list[Any]:
    """How many observations there are, and the numbers of all that is resolved; observations that are open, of late, of
    frozen ground, that began a rest, or that a load is judged anew by; what resolved them, or one of these loads, or
    what happens later only.
    """
    loads, open_then = {number_of(one[0]) for one in judged}, {number for one in judged for number in one[6]}
    late = day_start(day - timedelta(days=WEATHER_DAYS), state.zone)
    if state.valve_since is not None:
        late = min(late, state.valve_since)
    filled = {rest.filled_at for rest in rests.values()}
    kept = [seen for seen in state.observations.values()
            if seen.id not in state.resolved or state.resolved[seen.id].happened_at >= late
            or seen.observed == "frozen ground" or seen.happened_at in filled or seen.id in open_then]
    shown = {seen.id for seen in kept}
    return [len(state.observations), sorted(state.resolved), put.all(kept), [
        [put.of(answer), target] for target, answer in state.resolved.items()
        if target in shown or target in loads or target not in facts]]


def _mulch(name: str, entries: History[Mulch], put: _Numbers) -> list[Any]:
    """From the last measurement on, which takes the place of what was before it."""
    ordered = sorted(entries, key=lambda one: (one.happened_at, one.id))
    last = max((place for place, one in enumerate(ordered) if one.action != "added"), default=0)
    span, weighed = fit(ordered[:last + 1]) if last else Fit()
    return [put.place("basin", name), last, span // timedelta(microseconds=1), weighed, put.all(ordered[last:])]


def _upkeep(entries: History[UpkeepDone], put: _Numbers) -> list[Any]:
    """From the last time on, by the local day."""
    days = [local_day(one.happened_at, one.zone) for one in entries]
    last = max(range(len(days)), key=lambda place: (days[place], place))
    return [last, put.all(entries[last:])]


def _problem(problem: Problem, facts: Mapping[int, Fact], put: _Numbers) -> list[Any]:
    fact = facts[problem.entry_id]
    if isinstance(fact, OutletMove):
        return ["early" if problem == moved_early(fact) else "reach", put.of(fact)]
    if problem == without_outlet(fact.id):
        return ["outlet", fact.id]
    for valve in VALVE:
        if isinstance(fact, WashLoad) and problem == against_valve(fact.id, fact.went_to, valve):
            return ["valve", fact.id, fact.went_to, valve]
    raise Unfit


def _judged(state: State, moment: datetime, put: _Numbers) -> list[Any]:
    """The loads that ran against a must and were not followed up, and those before them on the same day."""
    unsettled = {one.load.fact.id: one for one in open_exceptions(state, moment)}
    days = {one.load.day for one in unsettled.values()}
    if not days:
        return []
    judge = Judge(state, reader_of(state))
    ran = [run.day for run in state.loads]
    frost = frost_between(state, min(ran), max(ran))
    return [[put.of(run.fact), run.day.toordinal(), run.litres, put.all(run.products),
             [[put.place("outlet", one.outlet), put.place("basin", one.basin), one.litres] for one in run.deliveries],
             run.valve, run.open_observations, [None if one is None else _figures(one) for one in run.weather],
             [[put.place("basin", name), *covers] for name, covers in judge.covers_of(run).items()],
             frost.get(run.day)]
            for run in state.loads if run.to_garden and run.day in days]


def _frost(state: State, sky: Sky, day: date) -> list[Any] | None:
    """How the index stands, carried from a year before the first load as the loads are judged by it."""
    if not state.loads:
        return None
    first = min(run.day for run in state.loads)
    back = [first + timedelta(days=number) for number in range(-CARRIED_DAYS, (day - first).days)]
    froze = any(freezing(state.weather.get(one)) for one in back)
    index = 0.0
    for _, frost in carried(sky, first, day - timedelta(days=1), thawed_on(state)):
        index = frost.degree_days
    return [index, [sky.mean_c(day - timedelta(days=number))[1] for number in range(30, 0, -1)], froze]


def _ledger(state: State, name: str, ledger: Ledger, rest: Rest, sky: Sky, day: date, put: _Numbers) -> list[Any]:
    rows, growth = ledger.days, growth_of(state.basins[name], sky.latitude_deg)
    wet = next((place for place, row in enumerate(reversed(rows), 1) if row.deficit_l <= row.raw_l), MOST_ROWS)
    kept = min(len(rows), max(LEAST_ROWS, min(wet + LEAST_ROWS, MOST_ROWS)))
    dry = None
    if rest.filled_at is not None:
        earliest = rests_until(state, name, rest.filled_at)
        found = dry_on(ledger, growth, sky, state.zone, rest.filled_at, earliest, day - timedelta(days=2))
        dry = [earliest.isoformat(), None if found is None else found.toordinal()]
    return [
        put.place("basin", name), ledger.starts.toordinal(),
        [rest.resting, _moment(rest.filled_at), rest.reason, _moment(rest.not_before), rest.open_ponding],
        len(rows) - kept, [[row.day.toordinal(), *row[1:]] for row in rows[len(rows) - kept:]], dry,
    ]


def _moment(at: datetime | None) -> str | None:
    return None if at is None else at.isoformat()


def _salts(state: State, ledgers: Mapping[str, Ledger], day: date, put: _Numbers) -> list[Any] | None:
    start = salts_start(state, ledgers)
    if start is None:
        return None
    reported = next((site for site in reversed(state.sites) if site.tap_water), None)
    return [
        None if reported is None else put.of(reported), start.tap[1], start.latitude,
        put.all(product for _, product in start.later), start.exact, [put.all(one) for one in start.doses],
        [_salt(name, one, day, put) for name, one in start.basins.items()],
    ]


def _salt(name: str, one: SaltStart, day: date, put: _Numbers) -> list[Any]:
    layers, late = one.layers, day - timedelta(days=TOLD_DAYS)
    kept = sum(soil.day < late for soil in one.told)
    kept = max(0, min(kept, len(one.told) - 1))
    return [
        put.place("basin", name), put.of(one.described), list(layers.zone),
        [layers.missing, layers.masses, layers.brought, layers.drained, layers.grown, layers.left],
        one.waiting, one.corrected, one.at_start,
        [[put.of(found.reading), found.day.toordinal(), found.measured_ece, found.measured_sar, found.measured_boron,
          _soil(found.reckoned)] for found in one.compared],
        kept, [_soil(soil) for soil in one.told[kept:]],
    ]


def _soil(soil: Soil) -> list[Any]:
    return [soil.day.toordinal(), soil.ece, soil.sar, soil.boron, soil.salt_kg]
