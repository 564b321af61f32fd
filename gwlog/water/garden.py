"""The garden as it stands now: every basin's room, standing, rest, cover and need, drawn up from the state.

This is what decisions and faces read. Volumes in litres, depths in mm, areas in m2.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING, Literal

from gwlog.clock import day_start, local_day
from gwlog.history import known as known_part
from gwlog.history import newest_first
from gwlog.journal.facts import Basin
from gwlog.reference.codes import held_by
from gwlog.reference.plants import find_plant
from gwlog.state import Delivery, LoadRun, Problem, State, Watering
from gwlog.units import LITRES_PER_GALLON
from gwlog.values import dataclass, field
from gwlog.water.ahead import rest_until
from gwlog.water.basin import DRAINABLE_POROSITY, BasinSpec, root_zone_room
from gwlog.water.before import before_of
from gwlog.water.growth import Growth, growth_of
from gwlog.water.ledger import Ledger, LedgerStart, dry_on, raw_on, run, starts_on
from gwlog.water.mulch import cover, cover_due, known_depth
from gwlog.water.oddities import oddities
from gwlog.water.rest import REST_AFTER_FILLING, REST_AFTER_PONDING, TINY_L, Ponding
from gwlog.water.salts import SodiumYear, leaching_share_for, sodium_ledger
from gwlog.water.weather import Climate, Sky, differ_from, eras, sky_of

if TYPE_CHECKING:
    from gwlog.water.leaching import Owed
    from gwlog.water.soil_salt import SoilSalt

Standing = Literal["wants water", "can take more", "has had enough", "resting"]

RECENT = timedelta(weeks=8)
"""The household's habit is read from so much of the log."""

FALLBACK_LOAD_L = 15.0 * LITRES_PER_GALLON
"""A front-load run, where no washer was described yet (UC ANR: 10-25 gal, read)."""

NEED_DAYS = 7
PERCOLATED_DAYS = 30


@dataclass(frozen=True, slots=True)
class BasinNow:
    """One basin now. Volumes [L], wetted area [m2], cover [mm]; `room_l` is what it can take at this moment.

    `spec`: as it is today, `growth`: on other days. `raw_l`: of today, by the day's ETc.
    `root_room_l`: the root zone's part of the room, D / (share (1 - leaching share)); it does not bind when the site's
    aim is “garden”. `used_today_l`: graywater, `other_today_l`: other water. `rest_until`: the day on which the rest
    ends, None when it does not rest or the climate's normals show no end. `standing`: has had enough when not even the
    smallest outlet in reach may bring its share of a usual load. `too_small`: one usual load passes what the plants can
    readily use. `owed`: how it stands with its salts, None where the tap water is not known.
    """

    name: str
    fact: Basin
    spec: BasinSpec
    growth: Growth
    ledger: Ledger
    standing: Standing
    room_l: float
    allowance_l_per_day: float
    allowance_left_l: float
    used_today_l: float
    other_today_l: float
    surge_room_l: float
    root_room_l: float
    deficit_l: float
    taw_l: float
    raw_l: float
    wetted_m2: float
    need_l_per_week: float
    percolated_30d_l: float
    beside_30d_l: float
    rest_until: date | None
    rest_reason: str | None
    cover_mm: float
    cover_due: date | None
    leaching_share: float
    too_small: bool
    ponding_open: bool
    owed: Owed | None = None

    @property
    def rests_today(self) -> bool:
        """Whether it rests, or rested until some hour of today: for the rest of the day no load is sent there."""
        return self.standing == "resting" or self.ledger.rested_today

    def fits(self, litres: float) -> bool:
        """Whether `litres` of one load go into the room there is now."""
        return litres <= self.room_l + TINY_L


@dataclass(frozen=True, slots=True)
class Garden:
    """Every basin in use, by name in the order of description; the weather; the household's usual load [L].

    `usual_share_l`: what one basin gets of a usual load, by the largest share of an outlet in use. `salts`: of each
    basin, none where the tap water is not known.
    """

    now: datetime
    today: date
    sky: Sky
    climate: Climate
    basins: dict[str, BasinNow]
    usual_load_l: float
    usual_share_l: float
    problems: tuple[Problem, ...]
    salts: dict[str, SoilSalt] = field(default_factory=dict)


def garden(state: State, now: datetime, known: tuple[State, Garden] | None = None) -> Garden:
    """Draw up the garden at `now` from the state (facts up to `now`). Odd data ends in Garden.problems.

    `known`: the garden at another moment with its state, folded from the same entries, the one state up to an
    earlier moment than the other. Days that came about alike are not reckoned again; the result is the same. Its
    salts are taken over as they are: they change over months.
    """
    sky = sky_of(state, local_day(now, state.zone))
    same_before = _same_before(state, now, known) if known is not None else date.min
    climate = sky.climate
    usual = usual_load_litres(state, now)
    usual_share = usual * max(state.shares().values(), default=1.0)
    reaching: dict[str, list[float]] = {}
    for outlet, share in state.shares().items():
        for name in state.reach(outlet):
            reaching.setdefault(name, []).append(share)
    poured = _by_basin(known_part(state.loads))
    before = before_of(state)
    sodium = sodium_ledger(known_part(state.loads), now, before.sodium if before is not None else ())
    ledgers = {}
    for name in state.active_basins():
        other = known[1].basins.get(name) if known is not None else None
        alike = known is not None and state.basin_history[name] == known[0].basin_history.get(name)
        ledgers[name] = _ledger_of(state, name, sky, now, poured,
                                   other.ledger if other is not None and alike else None, same_before)
    salts = known[1].salts if known is not None else _salts(state, ledgers)
    owing = _owing(state, salts, local_day(now, state.zone))
    basins = {}
    for name, fact in state.active_basins().items():
        salt = salts.get(name)
        share = leaching_share_for(sodium.get(name, SodiumYear()), find_plant(fact.plants),
                                   0.0 if salt is None else salt.tap_ecw)
        basins[name] = _basin_now(state, fact, ledgers[name], sky, now, usual_share, share, owing.get(name),
                                  usual * min(reaching.get(name, ()), default=1.0))
    starts = {name: basin.ledger.starts for name, basin in basins.items()}
    return Garden(
        now, local_day(now, state.zone), sky, climate, basins, usual, usual_share,
        tuple(oddities(state, sky, starts, now)), salts,
    )


def _salts(state: State, ledgers: dict[str, Ledger]) -> dict[str, SoilSalt]:
    """The salts of each basin; none, and nothing loaded for it, without a report of the tap water."""
    if not any(site.tap_water for site in state.sites):
        return {}
    from gwlog.water.soil_salt import soil_salts

    before = before_of(state)
    return soil_salts(state, ledgers, before.salts if before is not None else None)


def _owing(state: State, salts: dict[str, SoilSalt], today: date) -> dict[str, Owed]:
    """How each basin stands with its salts."""
    if not salts:
        return {}
    from gwlog.water.leaching import owed

    return {name: owed(salt, state.basins[name], today) for name, salt in salts.items() if name in state.basins}


def deliveries_by_basin(state: State) -> dict[str, list[Delivery]]:
    """Return all graywater that reached the garden, by basin, in order of time."""
    return _by_basin(state.loads)


def _by_basin(loads: Iterable[LoadRun]) -> dict[str, list[Delivery]]:
    poured: dict[str, list[Delivery]] = {}
    for load in loads:
        for delivery in load.deliveries:
            poured.setdefault(delivery.basin, []).append(delivery)
    return poured


def ledger_of(
    state: State, name: str, sky: Sky, now: datetime, deliveries: Sequence[Delivery] | None = None,
    known: Ledger | None = None, same_before: date = date.min,
) -> Ledger:
    """Return one basin's ledger up to `now`, of a retired one too. `deliveries`: supposed instead of those logged.

    `known`, `same_before`: see ledger.run.
    """
    if deliveries is None:
        return _ledger_of(state, name, sky, now, _by_basin(known_part(state.loads)), known, same_before)
    return run(state.basin_history[name], deliveries, sky, ponding_at(state, name), state.zone, now, known, same_before,
               state.other_water.get(name, ()))


def _ledger_of(
    state: State, name: str, sky: Sky, now: datetime, poured: Mapping[str, Sequence[Delivery]],
    known: Ledger | None, same_before: date,
) -> Ledger:
    """The same, carried on where it can be. `poured`: the deliveries at hand."""
    start, whole = _carried_on(state, name, sky, local_day(now, state.zone))
    deliveries = (_by_basin(state.loads) if whole else poured).get(name, ())
    other: Sequence[Watering] = state.other_water.get(name, ())
    return run(state.basin_history[name], deliveries, sky, ponding_at(state, name, at_hand=not whole), state.zone, now,
               known, same_before, other if whole else known_part(other), start)


def _carried_on(state: State, name: str, sky: Sky, today: date) -> tuple[LedgerStart | None, bool]:
    """Where a basin's balance is carried on, None where it starts anew; and whether that takes the whole history."""
    before, history = before_of(state), state.basin_history[name]
    if before is None:
        return None, False
    starts = starts_on(history, sky, state.zone, today)
    start = before.ledgers.get(name)
    if start is not None and start.starts == starts:
        return start, False
    return None, starts < before.day and history[0].happened_at < before.moment


def _same_before(state: State, now: datetime, known: tuple[State, Garden]) -> date:
    """Before which local day the balance of both moments rests on the same weather, site and loads."""
    other, garden_then = known
    if state.zone != other.zone:
        return date.min
    first = min(local_day(now, state.zone), garden_then.today)
    if state.sites != other.sites:
        first = min(first, differ_from(eras(state.sites), eras(other.sites)) or first)
    if state.weather is not other.weather:
        same = state.weather.older is other.weather.older
        longer, shorter = sorted((one.added if same else one.whole() for one in (state.weather, other.weather)),
                                 key=len, reverse=True)
        for day, weather in longer.items():
            if day < first and (noted := shorter.get(day)) is not weather and noted != weather:
                first = day
    same = state.gauges.older is other.gauges.older
    mine, theirs = (set(one.known if same else one.whole()) for one in (state.gauges, other.gauges))
    first = min([first, *(gauge.first for gauge in mine ^ theirs)])
    # a gauge's total is spread over all its days: one that differs changes the others
    for gauge in sorted(mine | theirs, key=lambda gauge: gauge.first, reverse=True):
        if gauge.first < first <= gauge.last:
            first = gauge.first
    return first


def ponding_at(state: State, name: str, *, at_hand: bool = False) -> list[Ponding]:
    """Return the ponding seen at one basin, oldest first. `at_hand`: what is open, and what was seen of late."""
    seen = []
    for observation in state.observations.known_values() if at_hand else state.observations.values():
        if observation.observed == "ponding" and observation.basin == name:
            answer = state.resolved.get(observation.id)
            seen.append(Ponding(observation.happened_at, answer.happened_at if answer else None))
    return seen


def rest_ended(state: State, basin: BasinNow, sky: Sky) -> datetime | None:
    """Return when the basin's last rest ended, None when it rests still or never did."""
    ledger = basin.ledger
    if ledger.filled_at is None or basin.standing == "resting":
        return None
    earliest = rests_until(state, basin.name, ledger.filled_at)
    day = dry_on(ledger, basin.growth, sky, state.zone, ledger.filled_at, earliest)
    return None if day is None else max(day_start(day + timedelta(days=1), state.zone), earliest)


def rests_until(state: State, name: str, filled_at: datetime) -> datetime:
    """Return until when the hours of a rest go that began with a filling or with ponding; at least."""
    pond = next((seen for seen in state.observations.known_values() if seen.observed == "ponding"
                 and seen.basin == name and seen.happened_at == filled_at), None)
    earliest = filled_at + (REST_AFTER_FILLING if pond is None else REST_AFTER_PONDING)
    answer = state.resolved.get(pond.id) if pond is not None else None
    return earliest if answer is None else max(earliest, answer.happened_at)


def usual_load_litres(state: State, now: datetime) -> float:
    """Return the household's usual load [L]: the median of the last eight weeks' loads, else of the usual
    loads as described, else the first washer's run, else 57 L.
    """
    recent = [load.litres for load in newest_first(state.loads, now - RECENT)
              if now - RECENT < load.fact.happened_at <= now]
    if recent:
        return _median(recent)
    washers = {washer.name: washer.volume_ml / 1000.0 for washer in state.washers.values() if washer.active}
    described = [
        load.volume_ml / 1000.0 if load.volume_ml is not None else washers.get(load.washer)
        for load in state.usual_loads.values() if load.active
    ]
    known = [litres for litres in described if litres is not None]
    return _median(known) if known else next(iter(washers.values()), FALLBACK_LOAD_L)


def _median(numbers: list[float]) -> float:
    # the statistics module would cost a light command 10 ms of imports
    ordered = sorted(numbers)
    half = len(ordered) // 2
    return ordered[half] if len(ordered) % 2 else (ordered[half - 1] + ordered[half]) / 2.0


def minimum_cover_mm(state: State) -> float:
    """Return the cover [mm] that the site's code profile asks for; the generic one's for an unknown code."""
    return float(held_by(state.site).cover_mm.value)


def described_cover(history: Sequence[Basin]) -> tuple[float, datetime]:
    """Return the mulch depth last stated in a description [mm], and since when: a changed depth is news,
    the same depth repeated in a later description is not.
    """
    stated = history[0]
    for basin in history[1:]:
        if basin.mulch_mm != stated.mulch_mm:
            stated = basin
    return float(stated.mulch_mm), stated.happened_at


def _basin_now(
    state: State, fact: Basin, ledger: Ledger, sky: Sky, now: datetime, usual_l: float, share: float,
    owes: Owed | None, least_l: float,
) -> BasinNow:
    name, zone = fact.name, state.zone
    growth = growth_of(fact, sky.latitude_deg)
    today = ledger.today
    spec, raw = growth.on(today), raw_on(growth, today, sky)
    depth, since = described_cover(state.basin_history[name])
    mulch = state.mulch.get(name, ())
    # mulch that was measured gone leaves no room between its chips
    surge = spec.area_m2 * min(spec.mulch_mm, known_depth(mulch, now, depth, since)) * DRAINABLE_POROSITY
    deficit = ledger.deficit_now_l
    if owes is not None:
        share = max(share, owes.share_of_a_load(deficit))
    root_room = root_zone_room(deficit, share, spec.share)
    allowance_left = max(0.0, spec.allowance_l - ledger.used_today_l)
    room = min(allowance_left, surge)
    if state.site is None or state.site.aim != "garden":
        room = min(room, root_room)
    if not ledger.started:
        room = 0.0
    standing: Standing = "can take more"
    if ledger.resting or not ledger.started:
        standing = "resting"
    elif deficit >= raw - TINY_L:
        standing = "wants water"
    elif least_l > room + TINY_L:
        standing = "has had enough"
    return BasinNow(
        name=name, fact=fact, spec=spec, growth=growth, ledger=ledger, standing=standing, room_l=room,
        allowance_l_per_day=spec.allowance_l, allowance_left_l=allowance_left,
        used_today_l=ledger.used_today_l, other_today_l=ledger.other_today_l, surge_room_l=surge,
        root_room_l=root_room, deficit_l=deficit,
        taw_l=spec.taw_l, raw_l=raw, wetted_m2=spec.wetted_m2, need_l_per_week=_need(growth, today, sky),
        percolated_30d_l=ledger.percolated_over(PERCOLATED_DAYS),
        beside_30d_l=ledger.beside_over(PERCOLATED_DAYS),
        rest_until=rest_until(ledger, growth, sky, zone) if ledger.started else ledger.starts,
        rest_reason=ledger.rest_reason if ledger.started else f"its balance starts on {ledger.starts:%Y-%m-%d}",
        cover_mm=cover(mulch, now, depth, since),
        cover_due=cover_due(mulch, now, depth, since, minimum_cover_mm(state), zone),
        leaching_share=share, too_small=spec.too_small_for(usual_l),
        ponding_open=any(
            pond.seen_at <= now and (pond.resolved_at is None or pond.resolved_at > now)
            for pond in ponding_at(state, name, at_hand=True)
        ),
        owed=owes,
    )


def _need(growth: Growth, today: date, sky: Sky) -> float:
    """What the plants would use from today on in NEED_DAYS, were they never short of it [L]."""
    total = 0.0
    for number in range(NEED_DAYS):
        day = today + timedelta(days=number)
        spec = growth.on(day)
        total += sky.day(day).eto_mm * spec.plant_factor * spec.canopy_m2
    return total
