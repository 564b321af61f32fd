"""A state made of what the first part of a logbook comes to: the entries it names, and the figures beside them.

Its histories know their end alone; `Whole` fetches what is before it when somebody asks.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from datetime import date, datetime, timedelta
from functools import cached_property
from typing import TYPE_CHECKING, Any

from gwlog.checkpoints.keys import digest_of
from gwlog.history import History, Lookup, Older
from gwlog.journal.facts import Fact, Product, Resolution
from gwlog.state import (
    Delivery,
    Forecast,
    Gauge,
    LoadRun,
    Place,
    Problem,
    State,
    Weather,
    against_valve,
    fold,
    moved_early,
    out_of_reach,
    without_outlet,
)
from gwlog.values import replace
from gwlog.water.before import Before, FrostStart, Judged
from gwlog.water.growth import growth_of
from gwlog.water.ledger import Dry, LedgerDay, LedgerStart
from gwlog.water.mulch import Fit
from gwlog.water.rest import Rest
from gwlog.water.salts import SodiumPart
from gwlog.water.weather import Uncounted

if TYPE_CHECKING:
    from gwlog.water.garden import Garden
    from gwlog.water.soil_salt import SaltsStart, Soil

Fetch = Callable[[Mapping[str, Iterable[int]]], Iterable[Fact]]
_DAY = date.fromordinal
_AT = datetime.fromisoformat


class Whole:
    """The first part of a logbook, folded whole from its standing facts when somebody needs it."""

    def __init__(self, moment: datetime, standing: Callable[[], Iterable[Fact]]) -> None:
        self.moment, self._standing = moment, standing

    @cached_property
    def state(self) -> State:
        """The state at the moment."""
        return fold(fact for fact in self._standing() if fact.happened_at < self.moment)

    @cached_property
    def garden(self) -> Garden:
        """The garden at the moment."""
        from gwlog.water.garden import garden

        return garden(self.state, self.moment)


def restore(data: Mapping[str, Any], moment: datetime, day: date, fetch: Fetch, again: Fetch,
            whole: Whole) -> State:
    """Make the state before `moment`, the first of the local `day`.

    `fetch`: gives entries by kind and number, `again`: at a later time.
    Raises ValueError, KeyError, TypeError, IndexError or AttributeError where the data are not sound.
    """
    return _Restored(data, moment, day, fetch, again, whole).state()


class _Restored:

    def __init__(self, data: Mapping[str, Any], moment: datetime, day: date, fetch: Fetch, again: Fetch,
                 whole: Whole) -> None:
        self.data, self.moment, self.day, self.whole, self.again = data, moment, day, whole, again
        kinds: dict[str, dict[int, int]] = {}
        for kind, one in self._named():
            number, wording = (one, one) if isinstance(one, int) else one
            kinds.setdefault(kind, {})[wording] = number
        self.facts: dict[str, dict[int, Any]] = {kind: {} for kind in kinds}
        for fact in fetch(kinds):
            number = kinds[fact.KIND][fact.id]
            self.facts[fact.KIND][number] = fact if number == fact.id else replace(fact, id=number)
        self.basin_names = [self.of("basin", history[0]).name for history in data["described"]["basin"]]
        self.outlet_names = [self.of("outlet", one).name for one in data["described"]["outlet"]]

    def _named(self) -> Iterator[tuple[str, Any]]:
        """Every entry that the data name, with its kind."""
        data = self.data
        for kind, found in data["described"].items():
            for one in found:
                if kind == "basin":
                    yield from (("basin", each) for each in one)
                else:
                    yield kind, one
        yield from data["stands"][2]
        for kind, found in (("observation", data["seen"][2]), ("resolution", [one[0] for one in data["seen"][3]])):
            yield from ((kind, one) for one in found)
        for kind, key in (("mulch", "mulch"), ("soil_reading", "soil"), ("upkeep_done", "upkeep")):
            yield from ((kind, one) for each in data[key] for one in each[-1])
        yield from (("attestation", one) for one in data["attested"])
        yield from (("outlet_move", one[1]) for one in data["problems"] if one[0] in ("early", "reach"))
        for one in data["judged"]:
            yield "wash_load", one[0]
            yield from (("product", each) for each in one[3])
        if data["salts"] is not None:
            yield from (("product", one) for one in data["salts"][3])
            yield from (("product", one) for each in data["salts"][5] for one in each)
            for one in data["salts"][6]:
                yield "basin", one[1]
                yield from (("soil_reading", each[0]) for each in one[7])

    def of(self, kind: str, one: Any) -> Any:
        return self.facts[kind][one if isinstance(one, int) else one[0]]

    def all(self, kind: str, found: Iterable[Any]) -> list[Any]:
        return [self.of(kind, one) for one in found]

    def older(self, number: int, fetch: Callable[[State], Any], comes_to: object = None) -> Older:
        return Older(lambda: fetch(self.whole.state), number, self.moment, self.day, comes_to)

    def state(self) -> State:
        data, described, name = self.data, self.data["described"], self.basin_names
        valve, since, lies = data["stands"]
        valves, moves, loads = data["counts"]
        first, noted, days, _ = data["weather"]
        begins = _DAY(first)
        cut, bound, gauges, _ = data["gauges"]
        sites = self.all("site", described["site"])
        history = {names: self.all("basin", one) for names, one in zip(name, described["basin"], strict=True)}
        state = State(
            site=sites[-1], sites=sites,
            people=self._by_name("person"), washers=self._by_name("washer"),
            basins={names: one[-1] for names, one in history.items()}, basin_history=history,
            outlets=self._by_name("outlet"), products=self._by_name("product"),
            usual_loads=self._by_name("usual_load"), planned_loads=self._by_name("planned_load"),
            upkeep_tasks=self._by_name("upkeep_task"),
            valve=valve, valve_since=None if since is None else _AT(since),
            valve_log=History((), self.older(valves, lambda state: state.valve_log)),
            outlet_at=dict(self._place(kind, one) for kind, one in lies),
            outlet_log=History((), self.older(moves, lambda state: state.outlet_log)),
            loads=History((), self.older(loads, lambda state: state.loads)),
            weather=Lookup({_DAY(day): Weather(*figures) for day, *figures in days},
                           self.older(noted, lambda state: state.weather), lambda day: day >= begins),
            forecasts={_DAY(day): Forecast(_AT(made_at), Weather(*said))
                       for day, made_at, *said in data["forecasts"]},
            seen_at=None if data["seen_at"] is None else _AT(data["seen_at"]),
            gauges=History([Gauge(number, _DAY(one), _DAY(last), mm) for number, one, last, mm in gauges],
                           self.older(cut, lambda state: state.gauges[:cut])._replace(day=_DAY(bound))),
            other_water={name[place]: self._water(name[place], count) for place, count in data["water"]},
            soil_readings={name[place]: self.all("soil_reading", found) for place, found in data["soil"]},
            mulch={name[place]: self._mulch(name[place], last, Fit(timedelta(microseconds=span), weighed), found)
                   for place, last, span, weighed, found in data["mulch"]},
            upkeep_done=dict(self._upkeep(last, found) for last, found in data["upkeep"]),
            attestations=self.all("attestation", data["attested"]),
            answers=self._answers(),
            problems=[self._problem(*one) for one in data["problems"]],
        )
        self._seen(state)
        state.before = self._before(state)
        return state

    def _by_name(self, kind: str) -> dict[str, Any]:
        return {fact.name: fact for fact in self.all(kind, self.data["described"][kind])}

    def _place(self, kind: str, one: Any) -> tuple[str, Place]:
        fact = self.of(kind, one)
        return (fact.name if kind == "outlet" else fact.outlet), Place(fact.basin, fact.happened_at)

    def _water(self, name: str, count: int) -> History[Any]:
        return History((), self.older(count, lambda state: state.other_water[name]))

    def _mulch(self, name: str, last: int, comes_to: Fit, found: list[Any]) -> History[Any]:
        return History(self.all("mulch", found),
                       self.older(last, lambda state: state.mulch[name][:last], comes_to))

    def _upkeep(self, last: int, found: list[Any]) -> tuple[str, History[Any]]:
        done = self.all("upkeep_done", found)
        name = done[-1].task
        return name, History(done, self.older(last, lambda state: state.upkeep_done[name][:last]))

    def _answers(self) -> Lookup[str, Any]:
        held = self.data["answers"]
        return Lookup(_Answers(held, self.again), self.older(len(held), lambda state: state.answers),
                      lambda key: digest_of(key) not in held)

    def _problem(self, what: str, one: Any, *more: str) -> Problem:
        if what == "valve":
            return against_valve(one, *more)
        if what == "outlet":
            return without_outlet(one)
        return (moved_early if what == "early" else out_of_reach)(self.of("outlet_move", one))

    def _seen(self, state: State) -> None:
        observed, answered, seen, answers = self.data["seen"]
        known = {fact.id: fact for fact in self.all("observation", seen)}
        resolved: dict[int, Resolution] = {
            target: replace(self.of("resolution", one), resolves_id=target) for one, target in answers}
        settled = frozenset(answered)
        state.observations = Lookup(known, self.older(observed, lambda state: state.observations))
        state.resolved = Lookup(resolved, self.older(len(answered), lambda state: state.resolved),
                                lambda number: number not in settled)

    def _before(self, state: State) -> Before:
        data, name = self.data, self.basin_names
        frost = data["frost"]
        return Before(
            self.moment, self.day,
            {name[place]: _DAY(first) for place, first in data["starts"]},
            [SodiumPart(_AT(at), name[place], litres, grams) for at, place, litres, grams in data["sodium"]],
            {(kind, name[place]): (first, count) for kind, place, first, count in data["astray"]},
            [(_DAY(day), low, high) for day, low, high in data["weather"][3]],
            [Uncounted(Gauge(number, _DAY(first), _DAY(last), mm), held)
             for number, first, last, mm, held in data["gauges"][3]],
            [self._judged(*one) for one in data["judged"]],
            None if frost is None else FrostStart(frost[0], tuple(frost[1]), frost[2]),
            {name[one[0]]: self._ledger(state, *one) for one in data["ledgers"]},
            self._salts(state),
        )

    def _judged(self, number: Any, day: int, litres: float, products: list[Any], deliveries: list[Any],
                valve: str | None, seen: list[int], weather: list[Any], covers: list[Any],
                frost: Any) -> Judged:
        fact, basins = self.of("wash_load", number), self.basin_names
        run = LoadRun(
            fact, _DAY(day), litres, tuple(self.all("product", products)),
            tuple(Delivery(fact.id, fact.happened_at, _DAY(day), self.outlet_names[outlet], basins[basin], part)
                  for outlet, basin, part in deliveries),
            valve, tuple(seen), tuple(None if one is None else Weather(*one) for one in weather))  # type: ignore[arg-type]
        return Judged(run, {basins[place]: (depth, known) for place, depth, known in covers},
                      None if frost is None else (frost[0], frost[1]))

    def _ledger(self, state: State, place: int, starts: int, rest: list[Any], older: int, rows: list[Any],
                dry: list[Any] | None) -> LedgerStart:
        name = self.basin_names[place]
        resting, filled, reason, until, ponds = rest
        filled_at = None if filled is None else _AT(filled)
        known = None
        if dry is not None and filled_at is not None and state.site is not None:
            growth = growth_of(state.basins[name], state.site.latitude_udeg / 1e6)
            known = Dry(filled_at, _AT(dry[0]), growth, None if dry[1] is None else _DAY(dry[1]))
        return LedgerStart(
            _DAY(starts), self.day,
            Rest(resting, filled_at, reason, None if until is None else _AT(until), ponds),
            [LedgerDay(_DAY(day), *figures) for day, *figures in rows],
            Older(lambda: self.whole.garden.basins[name].ledger.days[:older], older, self.moment,
                  _DAY(rows[0][0])), known)

    def _salts(self, state: State) -> SaltsStart | None:
        held = self.data["salts"]
        if held is None:
            return None
        from gwlog.water.salt_layers import Layers, Zone
        from gwlog.water.soil_salt import Compared, SaltsStart, SaltStart

        tap, softened, latitude, later, exact, doses, basins = held

        def start(place: int, described: Any, zone: list[float], masses: list[Any], waiting: float, corrected: float,
                  at_start: float, compared: list[Any], older: int, told: list[Any]) -> SaltStart:
            name = self.basin_names[place]
            layers = Layers.carried_on(Zone(*zone), *masses)
            return SaltStart(
                self.of("basin", described), layers, waiting, corrected, at_start,
                [Compared(self.of("soil_reading", one), _DAY(day), ece, sar, boron, _soil(*soil))
                 for one, day, ece, sar, boron, soil in compared],
                [_soil(*one) for one in told],
                Older(lambda: self.whole.garden.salts[name].history[:older], older, self.moment, _DAY(told[0][0])))

        products: list[Product] = self.all("product", later)
        return SaltsStart(
            (None if tap is None else self.of("site", tap).tap_water, softened), latitude,
            [(product.name, product) for product in products], exact,
            [tuple(self.all("product", one)) for one in doses],
            {self.basin_names[one[0]]: start(*one) for one in basins})


class _Answers(Mapping[str, Any]):
    """Answers to reminders by their keys, each fetched when it is asked for."""

    def __init__(self, held: Mapping[str, Any], fetch: Fetch) -> None:
        self._held, self._fetch = held, fetch

    def __getitem__(self, key: str) -> Any:
        one = self._held[digest_of(key)]
        number, wording = (one, one) if isinstance(one, int) else one
        (fact,) = self._fetch({"reminder_answer": [wording]})
        return fact if number == wording else replace(fact, id=number)

    def __iter__(self) -> Iterator[str]:
        raise NotImplementedError   # the keys themselves are not held

    def __len__(self) -> int:
        return len(self._held)


def _soil(day: int, ece: list[float], sar: list[float] | None, boron: list[float], salt: list[float]) -> Soil:
    from gwlog.span import Span
    from gwlog.water.soil_salt import Soil

    return Soil(_DAY(day), Span(*ece), None if sar is None else Span(*sar), Span(*boron), Span(*salt))
