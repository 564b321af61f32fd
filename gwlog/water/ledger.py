"""A basin's water from the day its balance starts until now: day by day up to yesterday, and today so far.

Each local day uses the basin's description in force at that day's end; the deficit is carried in litres.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime, timedelta
from functools import lru_cache
from weakref import WeakKeyDictionary

from gwlog.clock import day_start, local_day
from gwlog.history import History, Older
from gwlog.history import known as at_hand
from gwlog.journal.facts import Basin
from gwlog.state import Delivery, Watering
from gwlog.values import NamedTuple, dataclass, field
from gwlog.water.growth import Growth, growth_of
from gwlog.water.rest import DRY_ENOUGH, TINY_L, Morning, Ponding, Rest, follow
from gwlog.water.rootzone import LEAST_DEPLETION, MOST_DEPLETION, depletion_fraction
from gwlog.water.weather import Climate, Sky

LONGEST_YEARS, STEP_YEARS = 20, 5
"""A balance that is said to have started longer ago starts with a year so long ago, which moves on every five years: it
forgets its start in a year."""

SAME_SHARE, MOST_YEARS = 1e-5, 50
"""Two years' ends are the same within this share of the TAW; they are with far fewer years than that many."""

_ONE = timedelta(days=1)


class LedgerDay(NamedTuple):
    """One closed local day: the deficit at its end, what percolated, plants used and asked for [L]; weather.

    All of the wetted zone. `other_l`: water that did not come from the washing machine. `beside_l`: what fell or was
    poured beside the roots of a young plant. `outer_l`: the deficit of the roots beyond the wetted zone at its end.
    `raw_l`: what the roots readily held that day, by its ETc.
    """

    day: date
    deficit_l: float
    percolated_l: float
    used_l: float
    demand_l: float
    rain_mm: float
    graywater_l: float
    eto_mm: float
    ks: float
    other_l: float = 0.0
    beside_l: float = 0.0
    outer_l: float = 0.0
    raw_l: float = 0.0


@dataclass(frozen=True, slots=True)
class Ledger:
    """A basin's closed days and where it stands now.

    `deficit_l`: the last closed day's end, `deficit_now_l`: less the day's rain and all water so far [L].
    `used_today_l`: the day's graywater, `other_today_l`: its other water. `outer_l`: see LedgerDay.
    `surplus_today_l`: what came beyond the deficit so far; the evening's use may still take some of it.
    `filled_at`: the last filling or ponding, whether or not the rest is over. `not_before`: the rest's hours.
    `rested_today`: a rest ended in the course of today. `behind`: what it was carried on from;
    `rest`: how the rest stands, to be carried on.
    """

    days: History[LedgerDay]
    today: date
    deficit_l: float
    deficit_now_l: float
    used_today_l: float
    surplus_today_l: float
    filled_at: datetime | None
    resting: bool
    rest_reason: str | None
    not_before: datetime | None
    starts: date
    rested_today: bool = False
    other_today_l: float = 0.0
    outer_l: float = 0.0
    behind: LedgerStart | None = field(default=None, compare=False, repr=False)
    rest: Rest = field(default_factory=Rest, compare=False, repr=False)

    @property
    def started(self) -> bool:
        """Whether the balance has started; before, the ledger is empty and only today's graywater counts."""
        return self.starts <= self.today

    def percolated_over(self, days: int) -> float:
        """What percolated over the last `days` closed days [L]."""
        return sum(one.percolated_l for one in self._last(days))

    def beside_over(self, days: int) -> float:
        """What passed beside the roots of a young plant over the last `days` closed days [L]."""
        return sum(one.beside_l for one in self._last(days))

    def _last(self, days: int) -> list[LedgerDay]:
        first = self.today - timedelta(days=days)
        return [one for one in self.days[-days:] if one.day >= first] if days > 0 else []


class Stores(NamedTuple):
    """What the roots lack in the wetted zone, and beyond it [L]."""

    deficit_l: float
    outer_l: float


class LedgerStart(NamedTuple):
    """Where a balance that started on `starts` is carried on: on `day`, with the rest as that day began.

    `rows`: the closed days before it that are at hand, one at least; `older`: those before them. `dry`: see Dry.
    """

    starts: date
    day: date
    rest: Rest
    rows: Sequence[LedgerDay]
    older: Older | None = None
    dry: Dry | None = None


class Dry(NamedTuple):
    """The first closed day, but for the last one, after which a basin that was filled was dry enough again, None where
    there was none yet; with what the hours of the rest were, and how its plants grow.
    """

    filled_at: datetime
    earliest: datetime
    growth: Growth
    day: date | None


@lru_cache(maxsize=256)
def steady_stores(growth: Growth, climate: Climate, day: date) -> Stores:
    """Return the deficits with which `day` opens in a usual year without graywater, the plants as large as that day.

    The year of normals before `day` is run from field capacity until it ends as it began, so that nothing of that
    first filling is left; a deep root zone of a thrifty plant without rain takes years to dry out.
    """
    sky, spec, first = _usual_sky(climate), growth.on(day), day - timedelta(days=365)
    p_at_rest = spec.raw_mm / spec.taw_mm if spec.taw_mm > 0.0 else 0.0
    year = []
    last = day - _ONE
    for (_, eto, rain), factor in zip(_weather(sky, first, last), growth.factors(first, last), strict=True):
        et = eto * factor
        year.append((et, rain, depletion_fraction(p_at_rest, et)))
    inner, outer = min(spec.canopy_m2, spec.wetted_m2), spec.outer_m2
    beyond, given = 0.0, [0.0] * len(year)
    if outer > 0.0:
        taw = spec.outer_taw_l
        beyond, given = _steady(taw, [(et * outer, rain * outer, p * taw) for et, rain, p in year])
    taw, reached = spec.taw_l, spec.wetted_m2 * spec.share
    deficit, _ = _steady(taw, [(et * inner + (et * outer - used), rain * reached, p * taw)
                               for (et, rain, p), used in zip(year, given, strict=True)])
    return Stores(deficit, beyond)


def _steady(taw: float, year: Sequence[tuple[float, float, float]]) -> tuple[float, list[float]]:
    """Run a year of (demand, rain, RAW) [L] from full until it ends as it began: the deficit then, each day's use."""
    deficit, close = 0.0, SAME_SHARE * taw
    for _ in range(MOST_YEARS):
        before, taken = deficit, []
        for asked, rain, raw in year:
            used = asked
            if deficit > raw:
                used = asked * (taw - deficit) / (taw - raw)
            deficit += used - rain
            if deficit < 0.0:
                deficit = 0.0
            elif deficit > taw:
                used -= deficit - taw
                deficit = taw
            taken.append(used)
        if deficit - before <= close:
            break
    return deficit, taken


@lru_cache(maxsize=8)
def _usual_sky(climate: Climate) -> Sky:
    return Sky(climate, {}, 0.0)  # without temperatures the latitude does not matter


class _Stretch(NamedTuple):
    """Days first..last (included) under one description; `restart` set where the balance starts over with it."""

    growth: Growth
    first: date
    last: date
    restart: Basin | None
    climate: Climate

    @property
    def opening(self) -> Stores:
        """What a balance starts with; where the household says what is missing, the roots beyond lack as many mm."""
        if self.restart is None or self.restart.start_deficit_ml is None:
            return steady_stores(self.growth, self.climate, self.first)
        spec = self.growth.on(self.first)
        missing = min(self.restart.start_deficit_ml / 1000.0, spec.taw_l)
        return Stores(missing, missing / spec.taw_l * spec.outer_taw_l if spec.taw_l > 0.0 else 0.0)


def run(
    history: Sequence[Basin],
    deliveries: Iterable[Delivery],
    sky: Sky,
    ponding: Sequence[Ponding],
    zone: str,
    now: datetime,
    known: Ledger | None = None,
    same_before: date = date.min,
    other: Iterable[Watering] = (),
    behind: LedgerStart | None = None,
) -> Ledger:
    """Run one basin's balance from the day it starts up to `now`.

    `history`: the basin's descriptions in the order in which they came into force, one at least.
    `deliveries`: to this basin, in order of time, and `other` water that it got; those after `now` or before the
    balance starts are left out. `ponding`: the ponding seen at this basin. `known`: the same basin's ledger at another
    moment, whose days before `same_before` came about by the same entries; they are taken over instead of reckoned
    again. `behind`: where the balance is carried on, if it still starts on the same day (see starts_on); deliveries,
    water and ponding from before that day are not asked for.
    """
    today = local_day(now, zone)
    stretches = _stretches(history, sky, zone, today)
    first = stretches[0].first
    poured = [one for one in deliveries if one.at <= now and one.day <= today]
    watered = [one for one in other if one.at <= now and one.day <= today]
    used_today = sum(one.litres for one in poured if one.day == today)
    other_today = sum(one.litres for one in watered if one.day == today)
    if first > today:
        opening = stretches[0].opening
        return Ledger(History(), today, opening.deficit_l, opening.deficit_l, used_today, 0.0, None, False, None, None,
                      first, other_today_l=other_today, outer_l=opening.outer_l)
    if behind is not None and (behind.starts != first or behind.day > today):
        behind = None
    counts = first if behind is None else behind.day
    poured = [one for one in poured if one.day >= counts]
    watered = [one for one in watered if one.day >= counts]
    graywater, other_water = _by_day(poured), _by_day(watered)
    days: list[LedgerDay] = list(behind.rows) if behind is not None else []
    stores = Stores(0.0, 0.0)
    origin = counts - len(days) * _ONE
    if known is not None and known.starts == first:
        days += _rows(known, counts, min(same_before, today))
    taken = origin + len(days) * _ONE
    if days:
        stores = Stores(days[-1].deficit_l, days[-1].outer_l)
    for stretch in stretches:
        if stretch.last < taken:
            continue
        if stretch.first < taken:
            stretch = stretch._replace(first=taken, restart=None)
        opening = stores if stretch.restart is None else stretch.opening
        stores = _close_days(stretch, opening, min(stretch.last, today - _ONE), sky, graywater, other_water, days)

    latest = stretches[-1]

    def morning(day: date) -> Morning:
        stretch = latest if latest.first <= day else next(one for one in reversed(stretches) if one.first <= day)
        number = (day - origin).days
        spec = stretch.growth.size_on(day)
        if day == stretch.first and stretch.restart is not None:
            before = stretch.opening.deficit_l
        else:
            before = days[number - 1].deficit_l
        if number < len(days):
            rain, raw = days[number].rain_mm, days[number].raw_l
        else:
            rain, raw = sky.day(day).rain_mm, raw_on(stretch.growth, day, sky)
        return Morning(min(before, spec.taw_l) - rain * spec.wetted_m2 * spec.share, raw, spec.allowance_l, spec.share)

    rest = follow(first, today, morning, poured, ponding, zone, now, watered,
                  None if behind is None else (counts, behind.rest))
    return _ledger(History(days, None if behind is None else behind.older), first, today, stores, morning(today),
                   used_today, other_today, rest, behind)


def longest_ago(today: date) -> date:
    """Return the day on which a balance starts at the earliest: 20 to 25 years ago."""
    return date(max(1, today.year // STEP_YEARS * STEP_YEARS - LONGEST_YEARS), 1, 1)


def starts_on(history: Sequence[Basin], sky: Sky, zone: str, today: date) -> date:
    """Return the day on which the balance of a basin with these descriptions starts."""
    return _stretches(history, sky, zone, today)[0].first


def _rows(ledger: Ledger, first: date, before: date) -> Sequence[LedgerDay]:
    """The closed days of a ledger from `first` on, up to the day before `before`."""
    rows = at_hand(ledger.days)
    if not rows or rows[0].day > first:
        rows = ledger.days.whole()
    if not rows:
        return ()
    start = max(0, (first - rows[0].day).days)
    return rows[start:max(start, (before - rows[0].day).days)]


def raw_on(growth: Growth, day: date, sky: Sky) -> float:
    """Return the readily available water of the roots in the wetted zone on `day` [L], by that day's ETc."""
    spec = growth.on(day)
    if spec.taw_mm <= 0.0:
        return 0.0
    return depletion_fraction(spec.raw_mm / spec.taw_mm, sky.day(day).eto_mm * spec.plant_factor) * spec.taw_l


def dry_on(
    ledger: Ledger, growth: Growth, sky: Sky, zone: str, filled_at: datetime, earliest: datetime,
    last: date = date.max,
) -> date | None:
    """Return the first closed day of a rest that began with `filled_at` after which the basin was dry enough, and the
    hours of the rest were over the morning after; None where there was none.

    A day's balance is struck at its end: the next morning, by that day's weather, is the first moment that is dry
    enough. `last`: the last day to look at.
    """
    first, behind = local_day(filled_at, zone), ledger.behind
    rows: Sequence[LedgerDay] = ledger.days
    if behind is not None:
        first = max(first, local_day(earliest, zone) - 2 * _ONE)
        dry = behind.dry
        if first < behind.day and dry is not None and dry[:3] == (filled_at, earliest, growth):
            if dry.day is not None:
                return dry.day
            first = max(first, behind.day - _ONE)
        rows = _rows(ledger, first, ledger.today) if first < ledger.today else ()
    for row in rows:
        if row.day > last:
            break
        if row.day < first or row.deficit_l < DRY_ENOUGH * raw_on(growth, row.day + _ONE, sky) - TINY_L:
            continue
        if day_start(row.day + 2 * _ONE, zone) > earliest:
            return row.day
    return None


def _by_day(waters: Iterable[Delivery | Watering]) -> dict[date, float]:
    litres: dict[date, float] = {}
    for one in waters:
        litres[one.day] = litres.get(one.day, 0.0) + one.litres
    return litres


def _ledger(
    days: History[LedgerDay], starts: date, today: date, stores: Stores, opening: Morning, used_today: float,
    other_today: float, rest: Rest, behind: LedgerStart | None,
) -> Ledger:
    balance = opening.deficit_l - (used_today + other_today) * opening.share
    return Ledger(
        days, today, stores.deficit_l, max(0.0, balance), used_today, max(0.0, -balance), rest.filled_at,
        rest.resting, rest.reason if rest.resting else None, rest.not_before if rest.resting else None, starts,
        not rest.resting and rest.ended_on == today, other_today, stores.outer_l,
        behind, rest,
    )


def _close_days(
    stretch: _Stretch, opening: Stores, last: date, sky: Sky, graywater: Mapping[date, float],
    other: Mapping[date, float], days: list[LedgerDay],
) -> Stores:
    """Append the stretch's days up to `last` to `days` and return the deficits at its end.

    This is basin.day_step written out in the loop, in the same order of operations: ten years of six basins are
    22,000 days, and the calls alone would take longer than the sums. A deficit is never above the TAW here, and a RAW
    of a day never reaches it.
    """
    deficit, beyond = opening
    poured, close, new = graywater.get, days.append, tuple.__new__
    watered = other.get if other else None
    least, most = LEAST_DEPLETION, MOST_DEPLETION
    first_part, more = True, 0.0
    for spec, first, end in stretch.growth.parts(stretch.first, last):
        taw, taw_mm, share = spec.taw_l, spec.taw_mm, spec.share
        wetted, inner, outer_m2 = spec.wetted_m2, min(spec.canopy_m2, spec.wetted_m2), spec.canopy_m2 - spec.wetted_m2
        outer_taw = taw_mm * outer_m2
        p_at_rest = spec.raw_mm / taw_mm + 0.2 if taw_mm > 0.0 else 0.0
        if first_part:
            deficit, first_part = min(deficit, taw), False
        if outer_m2 <= 0.0:
            beyond = 0.0
        elif beyond > outer_taw:
            beyond = outer_taw
        weather = _weather(sky, first, end)
        for (day, eto, rain), factor in zip(weather, stretch.growth.factors(first, end), strict=True):
            et = eto * factor
            p = p_at_rest - 0.04 * et
            p = least if p < least else most if p > most else p
            raw = p * taw
            demand = et * inner
            rain_l = rain * wetted
            if outer_m2 > 0.0:
                asked, outer_raw = et * outer_m2, p * outer_taw
                used = asked
                if beyond > outer_raw:
                    used = (outer_taw - beyond) / (outer_taw - outer_raw) * asked
                beyond = beyond - rain * outer_m2 + used
                if beyond < 0.0:
                    beyond = 0.0
                elif beyond > outer_taw:
                    used -= beyond - outer_taw
                    beyond = outer_taw
                demand += asked - used
            ks = 1.0
            if deficit > raw:
                ks = (taw - deficit) / (taw - raw)
            used = ks * demand
            water = gray = poured(day, 0.0)
            if watered is not None:
                more = watered(day, 0.0)
                water += more
            deficit = deficit - rain_l * share - water * share + used
            percolated = 0.0
            if deficit < 0.0:
                percolated, deficit = -deficit, 0.0
            elif deficit > taw:
                used -= deficit - taw
                deficit = taw
            beside = rain_l - rain_l * share + (water - water * share) if share < 1.0 else 0.0
            close(new(LedgerDay, (day, deficit, percolated, used, demand, rain, gray, eto, ks, more, beside, beyond,
                                  raw)))
    return Stores(deficit, beyond)


_Row = tuple[date, float, float]
_seen: WeakKeyDictionary[Sky, tuple[date, list[_Row]]] = WeakKeyDictionary()


def _weather(sky: Sky, first: date, last: date) -> list[_Row]:
    """Each day first..last with its ETo and rain [mm], looked up once for all basins.

    A list that was handed out never grows: a screen and the plan's thread may ask the same sky at once.
    """
    start, rows = _seen.get(sky, (first, []))
    if first < start:
        start, rows = first, []
    days = map(date.fromordinal, range(start.toordinal() + len(rows), last.toordinal() + 1))
    if more := [(day, *sky.day(day)[:2]) for day in days]:
        rows = rows + more
        _seen[sky] = start, rows
    begin = (first - start).days
    return rows[begin:max(begin, (last - start).days + 1)]


def _stretches(history: Sequence[Basin], sky: Sky, zone: str, today: date) -> list[_Stretch]:
    """Cut the time from the basin's start into stretches under one description each; the last is open-ended.

    The first description also covers the days before it was written. One that comes into force before the
    balance has started replaces it. A later one with a new `started`, not before its own first day, starts
    the balance over on that day (a new planting in the old place); otherwise the deficit carries on. A site moved
    to another latitude cuts them too: the plants' year is another one from that day on.
    """
    cuts: list[tuple[date, Basin, bool]] = []
    started: date | None = None
    for basin in history:
        day = local_day(basin.happened_at, zone)
        if cuts and day > today:
            break
        if not cuts or day <= cuts[0][0]:
            cuts = [(max(basin.started, longest_ago(today)), basin, True)]
        else:
            # the day's end counts: what an earlier description said of this day or later ones is void, but
            # for a start that this one repeats
            pending = set()
            while cuts[-1][0] >= day:
                pending.add(cuts.pop()[0])
            starts_over = basin.started >= day and (basin.started != started or basin.started in pending)
            if not starts_over or basin.started > day:
                cuts.append((day, basin, False))
            if starts_over:
                cuts.append((basin.started, basin, True))
        started = basin.started
    cuts = [cut for number, cut in enumerate(cuts) if number == 0 or cut[0] <= today]
    ends = [cut[0] - _ONE for cut in cuts[1:]] + [date.max]
    pieces = [(first, growth_of(basin, latitude), basin if starts_over and first == day else None)
              for (day, basin, starts_over), end in zip(cuts, ends, strict=True)
              for first, latitude in sky.latitudes(day, end)]
    ends = [piece[0] - _ONE for piece in pieces[1:]] + [date.max]
    return [
        _Stretch(growth, day, end, restart, sky.climate_on(day))
        for (day, growth, restart), end in zip(pieces, ends, strict=True)
    ]
