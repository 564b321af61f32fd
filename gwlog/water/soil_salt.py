"""Salt, sodium and boron in the root zone of a basin over its days: what loads brought, what percolated, what a soil
test found. Judged by the saturation extract, as soil tests are.

Asked for only where it is told (Garden, plan, report): ten years of six basins take some tenths of a second.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from math import sqrt

from gwlog.clock import local_day
from gwlog.history import History, Older
from gwlog.journal.facts import Basin, Product, SoilReading
from gwlog.reference.salinity import EXTRACT_FACTORS, ME_PER_L_PER_DS_M, MG_PER_L_PER_DS_M, sar_of_exchangeable
from gwlog.reference.soils import SOILS, TEXTURES
from gwlog.reference.source import assumed
from gwlog.span import Span
from gwlog.state import LoadRun, State
from gwlog.values import NamedTuple, dataclass
from gwlog.water.basin import BasinSpec
from gwlog.water.dose import together
from gwlog.water.growth import SLOWEST_SOIL, Growth, growth_of
from gwlog.water.ledger import Ledger, LedgerDay
from gwlog.water.load_water import Water, load_salts, tap_salts
from gwlog.water.report import tap_water
from gwlog.water.salt_layers import EFFICIENCY, Layers, Masses, Zone
from gwlog.water.tap import TapWater
from gwlog.water.weather import NO_SITE_LATITUDE

START_ECE = assumed(0.5, "garden soil before any graywater, its salts as in the tap water")
"""Conductivity of the saturation extract at the start [dS/m], where nobody has measured it."""

KG_PER_ME = MG_PER_L_PER_DS_M.value / ME_PER_L_PER_DS_M / 1e6
"""Salt that goes with a milliequivalent of cations [kg]."""

PARTS = len(Water._fields)
"""The masses that are carried: cations, sodium, calcium with magnesium, the same by Cax [me], boron [mg]; once where
all that came is exact, else the least of each and then the most."""


class Soil(NamedTuple):
    """A root zone's saturation extract: conductivity [dS/m], sodium ratios, boron [mg/L]. `sar` None: not known."""

    day: date
    ece: Span
    sar: Span | None
    boron: Span
    salt_kg: Span


class Compared(NamedTuple):
    """A soil reading, and what the reckoning said on that day before the reading corrected it."""

    reading: SoilReading
    day: date
    measured_ece: float | None
    measured_sar: float | None
    measured_boron: float | None
    reckoned: Soil


class Balance(NamedTuple):
    """Salt of a root zone [kg], the middle of what labels leave open: nothing is lost between these."""

    at_start: float
    brought: float
    drained: float
    grown: float
    left: float
    corrected: float
    stored: float


@dataclass(frozen=True, slots=True)
class SoilSalt:
    """One basin's salts up to its last closed day. `history`: the first of every month, and the last day.

    `layers`: the root zone as it stands, to ask what leaching would do. `not_known`: what the figures would need.
    """

    basin: str
    history: Sequence[Soil]
    compared: tuple[Compared, ...]
    balance: Balance
    layers: Layers
    tap: Water
    not_known: tuple[str, ...]

    @property
    def now(self) -> Soil:
        """The last closed day's end."""
        return self.history[-1]

    @property
    def tap_ecw(self) -> float:
        """The tap water's conductivity [dS/m]."""
        return self.tap.cations.middle / ME_PER_L_PER_DS_M


def tap_of(state: State) -> TapWater:
    """Return the household's tap water; the newest report counts for earlier days too: it is knowledge, no change."""
    return tap_water(*reported_tap(state))


def products_known(state: State, load: LoadRun) -> tuple[Product, ...]:
    """Return a load's products as they were described then; by a later description where nothing was known then."""
    return tuple(
        state.products.get(one.name, one) if one.label is None and one.sodium_mg is None else one
        for one in load.products
    )


def texture_of(basin: Basin) -> str:
    """Return a basin's texture; the soil's usual one where it is not in the table."""
    if basin.texture in TEXTURES:
        return basin.texture
    return SOILS.get(basin.soil, SLOWEST_SOIL).default_texture.value


def zone_of(spec: BasinSpec, texture: str) -> Zone:
    """Return the root zone of a basin in litres, as it is on one day."""
    soil = TEXTURES[texture]
    return Zone(spec.taw_l * soil.field_capacity / soil.available, spec.taw_l, EFFICIENCY[texture].value)


class SaltStart(NamedTuple):
    """One basin's salts as the day began on which its ledger is carried on: its layers and how it was described then,
    what plants took since water last moved [L], what readings changed [kg], what was there at the very start [kg].

    `told`: what was told of it that is at hand; `older`: that before.
    """

    described: Basin
    layers: Layers
    waiting: float
    corrected: float
    at_start: float
    compared: Sequence[Compared]
    told: Sequence[Soil]
    older: Older | None = None


class SaltsStart(NamedTuple):
    """Where the salts are carried on, and what they rest on: the tap water, the latitude, products that were described
    after their loads only (name and description), whether all of it was exact. `doses`: the products of loads of which
    something is not known.
    """

    tap: tuple[tuple[str, ...] | None, bool]
    latitude: float
    later: Sequence[tuple[str, Product]]
    exact: bool
    doses: Sequence[tuple[Product, ...]]
    basins: Mapping[str, SaltStart]


def reported_tap(state: State) -> tuple[tuple[str, ...] | None, bool]:
    """Return what the household says of its tap water: the lines of the newest report, and whether it is softened."""
    reported = next((site for site in reversed(state.sites) if site.tap_water), None)
    softened = state.site.softened_water if state.site is not None else False
    return reported.tap_water if reported is not None else None, softened


def soil_salts(state: State, ledgers: Mapping[str, Ledger], start: SaltsStart | None = None) -> dict[str, SoilSalt]:
    """Return the salts of each basin with a ledger; none where the tap water's conductivity is not known.

    `start`: where they are carried on with the ledgers, as far as they rest on the same.
    """
    tap = tap_of(state)
    salts = tap_salts(tap)
    if salts is None:
        return {}
    if start is not None and not (
            start.tap == reported_tap(state) and start.latitude == _latitude(state)
            and all(state.products.get(name) == product for name, product in start.later)
            and all(name in start.basins for name, ledger in ledgers.items() if ledger.behind is not None)):
        start = None
    loads = state.loads.known if start is not None and _at_hand(state, ledgers, start) else state.loads.whole()
    waters, not_known = _waters(state, loads, tap, start.doses if start is not None else ())
    exact = (start is None or start.exact) and all(
        span.exact for water in (salts, *waters.values()) for span in water)
    poured = _poured(state, loads, waters, exact)
    missing = tuple(f"the tap water: {words}" for words in tap.missing)
    return {
        name: follow(name, state.basin_history[name], ledger, poured.get(name, {}), salts,
                     state.soil_readings.get(name, ()), state.zone, (*missing, *not_known), exact, _latitude(state),
                     start.basins.get(name) if start is not None and ledger.behind is not None else None)
        for name, ledger in ledgers.items()
    }


def salts_start(state: State, ledgers: Mapping[str, Ledger]) -> SaltsStart | None:
    """Return where the salts stand as the day of these ledgers begins; None where they are not known, or rest on a
    product that was never described.
    """
    tap = tap_of(state)
    salts = tap_salts(tap)
    if salts is None:
        return None
    later: dict[str, Product] = {}
    doses: dict[tuple[Product, ...], None] = {}
    for load in state.loads:
        if not load.deliveries or load.litres <= 0.0:
            continue
        for one in load.products:
            if one.label is None and one.sodium_mg is None:
                if one.name not in state.products:
                    return None
                later[one.name] = state.products[one.name]
        doses[products_known(state, load)] = None
    waters, _ = _waters(state, state.loads, tap, ())
    exact = all(span.exact for water in (salts, *waters.values()) for span in water)
    poured = _poured(state, state.loads, waters, exact)
    return SaltsStart(
        reported_tap(state), _latitude(state), tuple(later.items()), exact,
        tuple(one for one in doses if together(one).not_known),
        {name: start_of(state.basin_history[name], ledger, poured.get(name, {}), salts,
                        state.soil_readings.get(name, ()), state.zone, exact, _latitude(state))
         for name, ledger in ledgers.items()})


def _at_hand(state: State, ledgers: Mapping[str, Ledger], start: SaltsStart) -> bool:
    """Whether the loads at hand are all that the salts of these basins need."""
    older = state.loads.older
    return older is None or all(ledger.behind is not None or ledger.starts >= older.day
                                or state.basin_history[name][0].happened_at >= older.moment
                                for name, ledger in ledgers.items())


def _latitude(state: State) -> float:
    return state.site.latitude_udeg / 1e6 if state.site is not None else NO_SITE_LATITUDE


_Waters = dict[tuple[tuple[Product, ...], float], Water]


def _waters(state: State, loads: Sequence[LoadRun], tap: TapWater,
            doses: Sequence[tuple[Product, ...]]) -> tuple[_Waters, tuple[str, ...]]:
    """The water of every kind of load that reached the garden, by products and volume; what is not known of them, and
    of `doses` before them.
    """
    waters: _Waters = {}
    not_known: dict[str, None] = {}
    for products in doses:
        not_known.update(dict.fromkeys(together(products).not_known))
    for load in loads:
        key = (products_known(state, load), load.litres)
        if not load.deliveries or load.litres <= 0.0 or key in waters:
            continue
        dose = together(key[0])
        water = load_salts(tap, dose.content, load.litres)
        assert water is not None
        waters[key] = water
        not_known.update(dict.fromkeys(dose.not_known))
    return waters, tuple(not_known)


def _poured(state: State, loads: Sequence[LoadRun], waters: _Waters, exact: bool) -> dict[str, dict[date, Masses]]:
    """The masses that loads brought to each basin by day."""
    poured: dict[str, dict[date, Masses]] = {}
    for load in loads:
        water = waters.get((products_known(state, load), load.litres)) if load.deliveries else None
        if water is None:
            continue
        for delivery in load.deliveries:
            days = poured.setdefault(delivery.basin, {})
            brings = masses_of(water, delivery.litres, exact)
            known = days.get(delivery.day)
            days[delivery.day] = brings if known is None else [a + b for a, b in zip(known, brings, strict=True)]
    return poured


def masses_of(water: Water, litres: float, exact: bool = False) -> Masses:
    """Return the masses in so much of a water: of each part once where all is exact, else the least, then the most."""
    least = [span.low * litres for span in water]
    return least if exact else least + [span.high * litres for span in water]


def follow(
    name: str, history: Sequence[Basin], ledger: Ledger, poured: dict[date, Masses], tap: Water,
    readings: Sequence[SoilReading], zone: str, not_known: tuple[str, ...] = (), exact: bool = False,
    latitude: float = NO_SITE_LATITUDE, behind: SaltStart | None = None,
) -> SoilSalt:
    """Carry one basin's salts through the closed days of its water balance.

    Only days on which water comes in or leaves move salt; the plants' use in between is taken in one go. What passes
    beside the roots of a young plant leaves its salt there: it does not count. A reading from before the balance
    starts says with what it starts. `behind`: where they are carried on, with the ledger.
    """
    by_day = _by_day(readings, zone)
    course, day = _walk(history, ledger, poured, tap, by_day, zone, exact, latitude, behind)
    told = course.told
    if ledger.today in by_day and ledger.started:
        day = ledger.today
        course.catch_up()
        for reading in by_day[day]:
            course.read(reading, day)
    course.catch_up()
    if not told or told[-1].day != day or day in by_day:
        told.append(course.soil(day))
    layers = course.layers
    balance = Balance(course.at_start, _kg(layers.brought), _kg(layers.drained), _kg(layers.grown), _kg(layers.left),
                      course.corrected, _kg(layers.total()))
    older = behind.older if behind is not None else None
    return SoilSalt(name, History(told, older), tuple(course.compared), balance, layers, tap, not_known)


def start_of(
    history: Sequence[Basin], ledger: Ledger, poured: dict[date, Masses], tap: Water, readings: Sequence[SoilReading],
    zone: str, exact: bool, latitude: float,
) -> SaltStart:
    """Return one basin's salts as the first day begins that is not closed; for `follow`, to be carried on from."""
    course, _ = _walk(history, ledger, poured, tap, _by_day(readings, zone), zone, exact, latitude, None)
    return SaltStart(course.described, course.layers, course.waiting, course.corrected, course.at_start,
                     course.compared, course.told)


def _walk(
    history: Sequence[Basin], ledger: Ledger, poured: dict[date, Masses], tap: Water,
    by_day: Mapping[date, Sequence[SoilReading]], zone: str, exact: bool, latitude: float, behind: SaltStart | None,
) -> tuple[_Course, date]:
    """Carry the salts through the closed days; the last of them."""
    changes = {local_day(basin.happened_at, zone): basin for basin in history}
    first = changes[max((day for day in changes if day <= ledger.starts), default=min(changes))]
    carried_on = behind is not None and ledger.behind is not None
    course = _Course(first, ledger, tap, exact, latitude, carried_on=carried_on)
    day, month = ledger.starts, 0
    rows: Sequence[LedgerDay] = ledger.days
    if behind is not None and ledger.behind is not None:
        course.carry_on(behind, ledger.behind.day - timedelta(days=1))
        day = ledger.behind.day - timedelta(days=1)
        month = day.month
        rows = ledger.days.known
        rows = rows[(ledger.behind.day - rows[0].day).days:]
    else:
        for early in sorted(by_day):
            for reading in by_day[early] if early < ledger.starts else ():
                course.read(reading, early)
    for row in rows:
        day = row.day
        if day in changes:
            course.describe(changes[day], day)
        course.day(row, poured.get(day))
        if day.month != month:
            month = day.month
            course.told.append(course.soil(day))
        for reading in by_day.get(day, ()):
            course.read(reading, day)
    return course, day


class _Course:
    """One basin's salts under way. `waiting`: what plants took since water last moved [L]."""

    def __init__(self, first: Basin, ledger: Ledger, tap: Water, exact: bool, latitude: float, *,
                 carried_on: bool = False) -> None:
        self.described, self.latitude = first, latitude
        self.growth: Growth = growth_of(first, latitude)
        self.spec = self.growth.size_on(ledger.starts)
        zone = zone_of(self.spec, texture_of(first))
        self.fresh = _start(zone, tap) * (1 if exact else 2)
        self.litre = masses_of(tap, 1.0, exact)
        self.layers = Layers(zone, [one * zone.field_capacity_l for one in self.fresh],
                             0.0 if carried_on else min(_opening(ledger, self.spec), zone.taw_l))
        self.at_start = _kg(self.layers.total())
        self.told: list[Soil] = []
        self.waiting = 0.0
        self.corrected = 0.0
        self.compared: list[Compared] = []

    def carry_on(self, behind: SaltStart, day: date) -> None:
        """Take over where the salts stood at the end of a day."""
        self.described, self.growth = behind.described, growth_of(behind.described, self.latitude)
        self.spec = self.growth.size_on(day)
        self.layers = behind.layers.copy(len(self.fresh))
        self.waiting, self.corrected, self.at_start = behind.waiting, behind.corrected, behind.at_start
        self.compared, self.told = list(behind.compared), list(behind.told)

    def catch_up(self) -> None:
        """Let the plants take what they took since water last moved."""
        if self.waiting:
            self.layers.take(self.waiting)
            self.waiting = 0.0

    def describe(self, basin: Basin, day: date) -> None:
        """Take over another description of the basin."""
        self.described, self.growth = basin, growth_of(basin, self.latitude)
        self._grow(day)

    def _grow(self, day: date) -> None:
        """Take over the root zone of a day, as far as the roots have come."""
        self.catch_up()
        self.spec = self.growth.size_on(day)
        self.layers.resize(zone_of(self.spec, texture_of(self.described)), self.fresh)

    def day(self, row: LedgerDay, graywater: Masses | None) -> None:
        """Take one closed day of the water balance."""
        if self.growth.planted is not None and self.growth.size_on(row.day) is not self.spec:
            self._grow(row.day)
        water = inflow(row, self.spec)
        if water <= 0.0 and row.percolated_l <= 0.0:
            self.waiting += row.used_l
            return
        self.catch_up()
        self.layers.water(water, self._brought(row.other_l, graywater), row.used_l, row.percolated_l)
        self.layers.settle(row.deficit_l)

    def _brought(self, other_l: float, graywater: Masses | None) -> Masses | None:
        """The masses that reached the roots with a day's water."""
        brings = graywater
        if other_l > 0.0:
            other = [one * other_l for one in self.litre]
            brings = other if brings is None else [a + b for a, b in zip(brings, other, strict=True)]
        share = self.spec.share
        return brings if brings is None or share >= 1.0 else [one * share for one in brings]

    def soil(self, day: date) -> Soil:
        """What a test would say now."""
        return soil_of(self.layers, day)

    def read(self, reading: SoilReading, day: date) -> None:
        """Let a reading correct what was reckoned."""
        found = measured(reading, day, self.soil(day), texture_of(self.described))
        self.compared.append(found)
        before = _kg(self.layers.total())
        _correct(self.layers, found)
        self.corrected += _kg(self.layers.total()) - before


def _opening(ledger: Ledger, spec: BasinSpec) -> float:
    """The deficit with which the first day opened [L]: what it ended with, less what changed in its course."""
    if not ledger.days:
        return ledger.deficit_l
    row = ledger.days[0]
    return max(0.0, row.deficit_l + inflow(row, spec) - row.used_l - row.percolated_l)


def inflow(row: LedgerDay, spec: BasinSpec) -> float:
    """Water that reached the roots on a day [L]."""
    return (row.rain_mm * spec.wetted_m2 + row.graywater_l + row.other_l) * spec.share


def _start(zone: Zone, tap: Water) -> Masses:
    """The masses per litre of field capacity in soil that nothing is known of."""
    ratio = zone.saturation_l / zone.field_capacity_l
    cations = START_ECE.value * ME_PER_L_PER_DS_M * ratio
    ions = tap.sodium.middle + tap.hard.middle
    sodium = cations * tap.sodium.middle / ions if ions > 0.0 else 0.0
    hard = cations - sodium if ions > 0.0 else 0.0
    return [cations, sodium, hard, hard, tap.boron.middle]


def _kg(masses: Masses) -> float:
    return (masses[0] + masses[-PARTS]) / 2.0 * KG_PER_ME


def soil_of(layers: Layers, day: date) -> Soil:
    """Return what a test of the whole root zone would say."""
    masses, litres = layers.total(), layers.zone.saturation_l
    low, high = masses[:PARTS], masses[-PARTS:]
    ece = Span(low[0], high[0]).times(1.0 / (litres * ME_PER_L_PER_DS_M))
    sar = None
    hard, adjusted = Span(*sorted((low[2], high[2]))), Span(*sorted((low[3], high[3])))
    if hard.low > 0.0 and adjusted.low > 0.0:
        # the larger of SAR and adj RNa: the smaller of the two hardnesses
        least, most = min(hard.low, adjusted.low), min(hard.high, adjusted.high)
        sar = Span(low[1] / sqrt(most * litres / 2.0), high[1] / sqrt(least * litres / 2.0))
    return Soil(day, ece, sar, Span(low[4], high[4]).times(1.0 / litres),
                Span(low[0], high[0]).times(KG_PER_ME))


def _by_day(readings: Sequence[SoilReading], zone: str) -> dict[date, list[SoilReading]]:
    by_day: dict[date, list[SoilReading]] = {}
    for reading in readings:
        by_day.setdefault(local_day(reading.happened_at, zone), []).append(reading)
    return by_day


def measured(reading: SoilReading, day: date, reckoned: Soil, texture: str) -> Compared:
    """A reading in terms of the saturation extract; SAR and boron of another extract say nothing of it."""
    of_paste = reading.extract == "saturation"
    factor = 1.0 if of_paste else EXTRACT_FACTORS[texture].value
    ece = None if reading.ec_us_cm is None else reading.ec_us_cm / 1000.0 * factor
    ratio = None if reading.sar_milli is None or not of_paste else reading.sar_milli / 1000.0
    if ratio is None and reading.esp_milli is not None:
        ratio = sar_of_exchangeable(reading.esp_milli / 1000.0)
    boron = None if reading.boron_ug_l is None or not of_paste else reading.boron_ug_l / 1000.0
    return Compared(reading, day, ece, ratio, boron, reckoned)


def _correct(layers: Layers, found: Compared) -> None:
    """Make the layers say what was measured; how it lies over the depth stays as it was reckoned."""
    litres = layers.zone.saturation_l
    masses = layers.total()
    middle = [(one + two) / 2.0 for one, two in zip(masses[:PARTS], masses[-PARTS:], strict=True)]
    cations = middle[0] if found.measured_ece is None else found.measured_ece * ME_PER_L_PER_DS_M * litres
    times = cations / middle[0] if middle[0] > 0.0 else 1.0
    sodium, hard, adjusted = (middle[part] * times for part in (1, 2, 3))
    if found.measured_sar is not None:
        ions = (sodium + hard if sodium + hard > 0.0 else cations) / litres
        half = found.measured_sar / sqrt(2.0)
        root = (-half + sqrt(half * half + 4.0 * ions)) / 2.0
        sodium, hard = (ions - root * root) * litres, root * root * litres
        adjusted = hard
    boron = middle[4] if found.measured_boron is None else found.measured_boron * litres
    wanted = {0: cations, 1: sodium, 2: hard, 3: adjusted, 4: boron}
    exact = {part for part, known in ((0, found.measured_ece), (1, found.measured_sar), (2, found.measured_sar),
                                      (3, found.measured_sar), (4, found.measured_boron)) if known is not None}
    for part in range(PARTS):
        for place in range(part, len(masses), PARTS):
            if part in exact:
                _scale(layers, place, wanted[part])
            elif part in (1, 2, 3) and 0 in exact:
                _scale(layers, place, masses[place] * times)


def _scale(layers: Layers, place: int, wanted: float) -> None:
    """Make one part's mass over all layers what is wanted, as it was spread; evenly where there was none."""
    present = sum(layer[place] for layer in layers.masses)
    for layer in layers.masses:
        layer[place] = layer[place] * wanted / present if present > 0.0 else wanted * layers.share
