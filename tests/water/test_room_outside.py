"""What every basin can take now, against a second reckoning: slow, plain, from the entries alone, hour by hour.

The second reckoning shares no code with the balance, the rests, the weather or the mulch; its tables stand below.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from math import acos, cos, pi, radians, sin, sqrt, tan
from statistics import median
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from gwlog.journal.facts import (
    Basin,
    Fact,
    Mulch,
    Observation,
    Outlet,
    OutletMove,
    Resolution,
    Site,
    Washer,
    WashLoad,
    WeatherDay,
)
from gwlog.state import fold
from gwlog.water.garden import garden

# CPC/UPC graywater chapter, design of six typical soils, gal/ft2/day (memory); 1 gal = 3.785411784 L
GAL_PER_FT2 = {"sandy loam": 2.5, "clay with a small amount of sand or gravel": 0.8}
L_PER_M2 = 3.785411784 / (0.3048 * 0.3048)
# FAO-56 (1998) table 19, the middle of the available range: sandy loam .11-.15, clay .12-.20
AVAILABLE = {"sandy loam": 0.13, "clay": 0.16}
LATITUDE = 36.9
ETO = (47, 57, 94, 122, 134, 145, 142, 134, 107, 87, 61, 47)   # mm a month
RAIN = {"wet winter": (60, 50, 40, 20, 5, 0, 0, 0, 5, 20, 40, 60), "hardly any": (4, 3, 2, 2, 1, 0, 0, 0, 0, 1, 2, 4)}
AHEAD = 60   # days for which a rest's end is looked for
HOUR, DAY = timedelta(hours=1), timedelta(days=1)
NEVER = datetime(2100, 1, 1, tzinfo=UTC)


@dataclass
class Number:
    """What the second reckoning says of one basin at a moment."""

    deficit: float = 0.0
    used_today: float = 0.0
    allowance_left: float = 0.0
    surge: float = 0.0
    root: float = 0.0
    room: float = 0.0
    standing: str = ""
    percolated: float = 0.0
    need: float = 0.0
    cover: float = 0.0
    rest_day: date | None = None
    ponds_open: bool = False


@dataclass
class Pour:
    """Graywater at one basin."""

    at: datetime
    litres: float


@dataclass
class Reckoning:
    """The entries up to a moment, read anew for every question."""

    facts: Sequence[Fact]
    now: datetime
    zone: ZoneInfo
    site: Site
    usual_rain: tuple[int, ...]
    known: list[Fact] = field(init=False)

    def __post_init__(self) -> None:
        self.known = sorted((one for one in self.facts if one.happened_at <= self.now),
                            key=lambda one: (one.happened_at, one.id))

    def local(self, moment: datetime) -> date:
        return moment.astimezone(self.zone).date()

    @property
    def today(self) -> date:
        return self.local(self.now)

    # --- weather: measured days win part by part, the latest entry for a day wins, then forecasts, then the normal

    def measured(self, day: date, part: str) -> int | None:
        found = None
        for one in self.known:
            if isinstance(one, WeatherDay) and one.day == day and getattr(one, part) is not None \
                    and self.local(one.happened_at) >= day:
                found = getattr(one, part)
        if found is None and day >= self.today:   # a forecast: said before its day, and good until it is over
            for one in self.known:
                if isinstance(one, WeatherDay) and one.day == day and getattr(one, part) is not None:
                    found = getattr(one, part)
        return found

    def rain(self, day: date) -> float:
        typed = self.measured(day, "rain_um")
        return self.usual_rain[day.month - 1] / days_of_month(day) if typed is None else typed / 1000.0

    def eto(self, day: date) -> float:
        low, high = self.measured(day, "tmin_mdegc"), self.measured(day, "tmax_mdegc")
        if low is None or high is None or low > high:
            return ETO[day.month - 1] / days_of_month(day)
        return hargreaves(low / 1000.0, high / 1000.0, day.timetuple().tm_yday)

    # --- the basin as described at a day's end

    def described(self, name: str, day: date) -> Basin:
        history = [one for one in self.known if isinstance(one, Basin) and one.name == name]
        return [one for one in history if one is history[0] or self.local(one.happened_at) <= day][-1]

    def pours(self, name: str) -> list[Pour]:
        lies: dict[str, str] = {}
        share: dict[str, int] = {}
        found = []
        for one in self.known:
            if isinstance(one, Outlet):
                share[one.name] = one.share_milli
                lies.setdefault(one.name, one.basin)
            elif isinstance(one, OutletMove):
                lies[one.outlet] = one.basin
            elif isinstance(one, WashLoad) and one.went_to == "garden":
                found += [Pour(one.happened_at, one.volume_ml / 1000.0 * share[outlet] / sum(share.values()))
                          for outlet in share if lies[outlet] == name]
        return found

    def ponds(self, name: str) -> list[tuple[datetime, datetime]]:
        return [(seen.happened_at, min((max(answer.happened_at, seen.happened_at) for answer in self.known
                                        if isinstance(answer, Resolution) and answer.resolves_id == seen.id),
                                       default=NEVER))
                for seen in self.known
                if isinstance(seen, Observation) and seen.observed == "ponding" and seen.basin == name]

    # --- the balance, FAO-56 eq. 84-88, and the same for the roots beyond the wetted zone, which only rain reaches

    def one_day(self, basin: Basin, opening: tuple[float, float], eto: float, rain: float,
                graywater: float) -> tuple[tuple[float, float], float]:
        """What is missing in both zones at the day's end, and what percolated in the wetted one."""
        wet, out = wetted(basin), max(0.0, basin.canopy_cm2 / 1e4 - wetted(basin))
        e = eto * basin.plant_factor_milli / 1000.0
        p = self.fraction(basin, eto)
        beyond, given = 0.0, 0.0
        if out:
            full = taw_l(basin) / wet * out
            missing = min(opening[1], full)
            given = e * out * min(1.0, (full - missing) / (full - p * full))
            beyond = missing - rain * out + given
            given -= max(0.0, beyond - full)
            beyond = min(max(beyond, 0.0), full)
        demand = e * min(basin.canopy_cm2 / 1e4, wet) + e * out - given
        taw = taw_l(basin)
        ks = min(1.0, (taw - opening[0]) / (taw - p * taw))
        end = opening[0] - rain * wet - graywater + ks * demand
        return (min(max(end, 0.0), taw), beyond), max(-end, 0.0)

    def fraction(self, basin: Basin, eto: float) -> float:
        """p of the day, the note to FAO-56 table 22."""
        etc = eto * basin.plant_factor_milli / 1000.0
        return min(0.8, max(0.1, basin.depletion_milli / 1000.0 + 0.04 * (5.0 - etc)))

    def raw(self, basin: Basin, day: date) -> float:
        return self.fraction(basin, self.eto(day)) * taw_l(basin)

    def steady(self, basin: Basin, day: date) -> tuple[float, float]:
        missing, before = (0.0, 0.0), (-1.0, -1.0)
        while max(missing[0] - before[0], missing[1] - before[1]) > 1e-7:
            before = missing
            for back in range(365, 0, -1):
                when = day - back * DAY
                month, long = when.month - 1, days_of_month(when)
                missing, _ = self.one_day(basin, missing, ETO[month] / long, self.usual_rain[month] / long, 0.0)
        return missing

    def openings(self, name: str, last: date) -> Iterator[tuple[date, float, float]]:
        """Each day from the start to `last`: with what deficit it opens, and what percolates in it."""
        pours = self.pours(name)
        first = next(one for one in self.known if isinstance(one, Basin) and one.name == name)
        day, started = first.started, None
        missing = (0.0, 0.0)
        while day <= last:
            basin = self.described(name, day)
            if basin.started == day and started != day:
                started = day
                said, out = basin.start_deficit_ml, max(0.0, basin.canopy_cm2 / 1e4 - wetted(basin))
                stated = min((said or 0) / 1000.0, taw_l(basin))
                missing = self.steady(basin, day) if said is None else (stated, stated / wetted(basin) * out)
            missing = (min(missing[0], taw_l(basin)), missing[1])
            opening = missing[0]
            graywater = sum(one.litres for one in pours if self.local(one.at) == day)
            missing, lost = self.one_day(basin, missing, self.eto(day), self.rain(day), graywater)
            yield day, opening, lost
            day += DAY

    # --- rests, looked at every hour, on into the days to come

    def rest(self, name: str, opening: dict[date, float]) -> tuple[bool, date | None]:
        """Whether the basin rests now, and the day on which that ends where it lies within AHEAD days."""
        pours, ponds = self.pours(name), self.ponds(name)
        start = datetime.combine(min(opening), datetime.min.time(), self.zone).astimezone(UTC)
        resting, not_before, resting_now = False, start, False
        moment, today, poured = start, min(opening), 0.0
        while self.local(moment) <= max(opening):
            day = self.local(moment)
            if day != today:
                today, poured = day, 0.0
            basin = self.described(name, min(day, self.today))
            morning = opening[day] - self.rain(day) * wetted(basin)
            limit = GAL_PER_FT2[basin.soil] * L_PER_M2 * basin.area_cm2 / 1e4
            future = moment > self.now   # what is open then is taken to be resolved

            def over(at: datetime, left: float, half: float, later: bool, earliest: datetime) -> bool:
                still = not later and any(seen < at and end >= at for seen, end in ponds)
                return not still and at >= earliest and max(0.0, left) >= half - 1e-6

            half = 0.5 * self.raw(basin, day)
            if resting and over(moment, morning - poured, half, future, not_before):
                resting = False
                if future:
                    return True, day
            if future and not resting_now:
                return False, None
            for one in pours:
                if one.at == moment:
                    poured += one.litres
                    if one.litres > 0 and (morning - poured <= 1e-6 or poured > limit + 1e-6):
                        resting, not_before = True, max(not_before, moment + 24 * HOUR)
            if any(seen == moment for seen, _ in ponds):
                resting, not_before = True, max(not_before, moment + 48 * HOUR)
            if resting and not any(seen <= moment < end for seen, end in ponds) and moment >= not_before \
                    and max(0.0, morning - poured) >= half - 1e-6:
                resting = False
            if moment == self.now:
                resting_now = resting
                # Ponding that is open now may be resolved at once: the rest then ends this very day.
                if resting and moment >= not_before and max(0.0, morning - poured) >= half - 1e-6:
                    return True, day
            moment += HOUR
        return resting_now, None

    # --- mulch

    def mulch(self, name: str) -> tuple[float, float]:
        """The depth that was described or measured last, and the cover as it goes on from there [mm]."""
        stated: Basin | None = None
        known = cover = 0.0
        at = self.now
        for one in self.known:
            if isinstance(one, Basin) and one.name == name and (stated is None or one.mulch_mm != stated.mulch_mm):
                stated, known, cover, at = one, float(one.mulch_mm), float(one.mulch_mm), one.happened_at
            elif isinstance(one, Mulch) and one.basin == name and stated is not None:
                left = cover * 0.6 ** ((one.happened_at - at) / timedelta(days=365.25))
                cover = one.depth_mm + (left if one.action == "added" else 0.0)
                known = min(stated.mulch_mm, one.depth_mm + (known if one.action == "added" else 0.0))
                at = one.happened_at
        return known, cover * 0.6 ** ((self.now - at) / timedelta(days=365.25))

    # --- all of it

    def least_share(self) -> float:
        """What the smallest outlet would bring of a usual load; every outlet reaches every basin here."""
        loads = [one for one in self.known if isinstance(one, WashLoad)]
        recent = [one.volume_ml / 1000.0 for one in loads if self.now - one.happened_at < timedelta(weeks=8)]
        washer = next(one for one in self.known if isinstance(one, Washer))
        shares = {one.name: one.share_milli for one in self.known if isinstance(one, Outlet)}
        return (median(recent) if recent else washer.volume_ml / 1000.0) * min(shares.values()) / sum(shares.values())

    def number(self, name: str) -> Number:
        today, basin, told = self.today, self.described(name, self.today), Number()
        days = list(self.openings(name, today + AHEAD * DAY))
        opening = {day: deficit for day, deficit, _ in days}
        area = basin.area_cm2 / 1e4
        told.used_today = sum(one.litres for one in self.pours(name) if self.local(one.at) == today)
        told.deficit = max(0.0, opening[today] - self.rain(today) * wetted(basin) - told.used_today)
        told.allowance_left = max(0.0, GAL_PER_FT2[basin.soil] * L_PER_M2 * area - told.used_today)
        depth, told.cover = self.mulch(name)
        told.surge = area * depth * 0.5
        told.root = told.deficit / 0.85
        told.room = min(told.allowance_left, told.surge, *([] if self.site.aim == "garden" else [told.root]))
        told.percolated = sum(lost for day, _, lost in days if today - 30 * DAY <= day < today)
        told.need = sum(self.eto(today + n * DAY) for n in range(7)) * basin.plant_factor_milli / 1000.0 \
            * basin.canopy_cm2 / 1e4
        told.ponds_open = any(end == NEVER for _, end in self.ponds(name))
        resting, told.rest_day = self.rest(name, opening)
        if resting:
            told.standing = "resting"
        elif told.deficit >= self.raw(basin, today) - 1e-6:
            told.standing = "wants water"
        else:
            told.standing = "has had enough" if self.least_share() > told.room + 1e-6 else "can take more"
        return told


def days_of_month(day: date) -> int:
    return ((day.replace(day=28) + 4 * DAY).replace(day=1) - day.replace(day=1)).days


def wetted(basin: Basin) -> float:
    if basin.wetted_cm2 is not None:
        return basin.wetted_cm2 / 1e4
    area, canopy = basin.area_cm2 / 1e4, basin.canopy_cm2 / 1e4
    return min(max(canopy, area), (sqrt(area) + 0.6) ** 2)


def taw_l(basin: Basin) -> float:
    return 1000.0 * AVAILABLE[basin.texture] * (basin.root_depth_mm / 1000.0) * wetted(basin)


def hargreaves(low: float, high: float, day_of_year: int) -> float:
    """FAO-56 (1998) eq. 52 with Ra of eq. 21-25 [mm/day]."""
    phi, turn = radians(LATITUDE), 2 * pi * day_of_year / 365
    decline = 0.409 * sin(turn - 1.39)
    sunset = acos(-tan(phi) * tan(decline))
    ra = 24 * 60 / pi * 0.0820 * (1 + 0.033 * cos(turn)) * (
        sunset * sin(phi) * sin(decline) + cos(phi) * cos(decline) * sin(sunset))
    return max(0.0, 0.0023 * ((low + high) / 2 + 17.8) * sqrt(high - low) * ra / 2.45)


# --- small histories ----------------------------------------------------------------------------------------

DAYS = 20
hours = st.integers(0, DAYS * 24 - 1)
describe = st.fixed_dictionaries({
    "area_cm2": st.integers(4_000, 40_000), "canopy_cm2": st.integers(2_000, 90_000),
    "wetted_cm2": st.none() | st.integers(4_000, 60_000), "plant_factor_milli": st.integers(200, 1_200),
    "root_depth_mm": st.sampled_from([80, 120, 200, 400, 900]), "depletion_milli": st.integers(200, 800),
    "soil": st.sampled_from(sorted(GAL_PER_FT2)), "texture": st.sampled_from(sorted(AVAILABLE)),
    "mulch_mm": st.integers(30, 200), "start_deficit_ml": st.none() | st.integers(0, 150_000),
})
happenings = st.one_of(
    st.tuples(st.just("load"), hours, st.integers(0, 120_000), st.sampled_from(["garden", "garden", "sewer"])),
    st.tuples(st.just("load"), hours, st.integers(20_000, 80_000), st.just("garden")),
    st.tuples(st.just("load"), hours, st.integers(20_000, 80_000), st.just("garden")),
    st.tuples(st.just("move"), hours, st.sampled_from(["Hose", "Pipe"]), st.sampled_from(["Fig", "Plum"])),
    st.tuples(st.just("ponding"), hours, st.sampled_from(["Fig", "Plum", None]), st.none() | st.integers(-5, 90)),
    st.tuples(st.just("weather"), hours, st.integers(-3, 12), st.none() | st.sampled_from([0, 3_000, 25_000]),
              st.none() | st.tuples(st.integers(-5, 20), st.integers(-2, 22))),
    st.tuples(st.just("mulch"), hours, st.sampled_from(["added", "measured"]), st.integers(0, 150)),
    st.tuples(st.just("basin"), hours, describe, st.booleans(), st.booleans()),
)


def entries(
    zone: ZoneInfo, first: date, aim: str, usual_rain: tuple[int, ...], basins: Sequence[dict[str, Any]],
    shares: tuple[int, int | None], happened: Sequence[tuple[Any, ...]],
) -> list[Fact]:
    start = datetime.combine(first, datetime.min.time(), zone).astimezone(UTC)
    said: dict[str, Any] = {"happened_at": start, "zone": zone.key}
    um = {"monthly_eto_um": tuple(mm * 1000 for mm in ETO), "monthly_rain_um": tuple(mm * 1000 for mm in usual_rain)}
    facts: list[Fact] = [
        Site(id=1, **said, name="Alder Row 3", latitude_udeg=36_900_000, units="us", occupants=2,
             code="us-ca-washer", aim=aim, **um),
        Washer(id=2, **said, name="washer", machine="front-load", volume_ml=57_000),
    ]
    words = {"plants": "hedge", "started": first}
    for name, described in zip(("Fig", "Plum"), basins, strict=True):
        facts.append(Basin(id=len(facts) + 1, **said, **words, name=name, **described))
    for name, basin, share in zip(("Hose", "Pipe"), ("Fig", "Plum"), shares, strict=True):
        if share is not None:
            facts.append(Outlet(id=len(facts) + 1, **said, name=name, basin=basin, share_milli=share))
    measured = False
    for kind, hour, *rest in happened:
        number, when = len(facts) + 1, {"happened_at": start + hour * HOUR, "zone": zone.key}
        day = (start + hour * HOUR).astimezone(zone).date()
        if kind == "load":
            facts.append(WashLoad(id=number, **when, washer="washer", volume_ml=rest[0], went_to=rest[1]))
        elif kind == "move" and (rest[0] == "Hose" or shares[1] is not None):
            facts.append(OutletMove(id=number, **when, outlet=rest[0], basin=rest[1]))
        elif kind == "ponding":
            facts.append(Observation(id=number, **when, observed="ponding", basin=rest[0]))
            if rest[1] is not None:
                facts.append(Resolution(id=number + 1, happened_at=start + max(0, hour + rest[1]) * HOUR, zone=zone.key,
                                        resolves_id=number))
        elif kind == "weather":
            low, high = (None, None) if rest[2] is None else (rest[2][0] * 1000, sum(rest[2]) * 1000)
            facts.append(WeatherDay(id=number, **when, day=day + rest[0] * DAY, rain_um=rest[1], tmin_mdegc=low,
                                    tmax_mdegc=high))
        elif kind == "mulch" and not (measured and rest[0] == "measured"):   # a second would fit the rate
            measured = measured or rest[0] == "measured"
            facts.append(Mulch(id=number, **when, basin="Fig", action=rest[0], depth_mm=rest[1]))
        elif kind == "basin":
            started = day if rest[1] else first
            facts.append(Basin(id=number, **when, **{**words, "started": started}, name="Plum", **rest[0],
                               active=rest[2]))
    return facts


SMALL = {"area_cm2": 4000, "canopy_cm2": 2000, "wetted_cm2": None, "plant_factor_milli": 200, "root_depth_mm": 80,
         "depletion_milli": 200, "soil": "clay with a small amount of sand or gravel", "texture": "clay",
         "mulch_mm": 30, "start_deficit_ml": None}


@pytest.mark.long
@example(("America/Los_Angeles", date(2026, 3, 1)), "plants", "hardly any", (SMALL, SMALL), (200, None),
         [("load", 478, 0, "garden"), ("ponding", 0, "Fig", None)], 0, 0)   # looked at in the last hour of a day
@settings(max_examples=120)
@given(
    st.sampled_from([("America/Los_Angeles", date(2026, 3, 1)), ("America/Los_Angeles", date(2026, 10, 20)),
                     ("Pacific/Auckland", date(2026, 3, 25)), ("Europe/Berlin", date(2026, 7, 1))]),
    st.sampled_from(["plants", "plants", "garden"]), st.sampled_from(sorted(RAIN)), st.tuples(describe, describe),
    st.tuples(st.integers(200, 1000), st.none() | st.integers(200, 1000)),
    st.lists(happenings, min_size=8, max_size=24), st.integers(0, 23),
    st.sampled_from([0, 1, 5, 23, 24, 24, 47, 48, 49, 120]),
)
def test_room_and_standing_agree_with_a_second_reckoning_from_the_entries_alone(
    place: tuple[str, date], aim: str, climate: str, basins: tuple[dict[str, Any], ...], shares: tuple[int, int | None],
    happened: list[tuple[Any, ...]], which: int, later: int,
) -> None:
    zone, first = ZoneInfo(place[0]), place[1]
    facts = entries(zone, first, aim, RAIN[climate], basins, shares, happened)
    # a while after one of the things that happened: where rests, days and allowances change
    now = facts[0].happened_at + (happened[which % len(happened)][1] + later) * HOUR
    site = facts[0]
    assert isinstance(site, Site)
    second = Reckoning(facts, now, zone, site, RAIN[climate])
    ours = garden(fold(sorted(facts, key=lambda one: (one.happened_at, one.id)), until=now), now)
    in_use = {name for name in ("Fig", "Plum") if second.described(name, second.today).active}
    assert set(ours.basins) == in_use
    for name, mine in ours.basins.items():
        theirs = second.number(name)
        close = {"rel": 1e-6, "abs": 2e-4 * mine.taw_l}   # the steady state is found to a ten-thousandth of the TAW
        assert mine.used_today_l == pytest.approx(theirs.used_today)
        assert mine.allowance_left_l == pytest.approx(theirs.allowance_left)
        assert mine.surge_room_l == pytest.approx(theirs.surge)
        assert mine.cover_mm == pytest.approx(theirs.cover)
        assert mine.need_l_per_week == pytest.approx(theirs.need)
        assert mine.deficit_l == pytest.approx(theirs.deficit, **close)
        assert mine.root_room_l == pytest.approx(theirs.root, **close)
        assert mine.room_l == pytest.approx(theirs.room, **close)
        assert mine.percolated_30d_l == pytest.approx(theirs.percolated, rel=1e-6, abs=1e-3 * mine.taw_l)
        assert mine.standing == theirs.standing
        if theirs.rest_day is not None:
            assert mine.rest_until == theirs.rest_day
        elif mine.standing == "resting":
            assert mine.rest_until is None or mine.rest_until > second.today + (AHEAD - 2) * DAY
        else:
            assert mine.rest_until is None
