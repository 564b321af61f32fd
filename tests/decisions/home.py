"""A small invented household for the tests of the rules: facts with sensible defaults, looked at from a moment."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from gwlog.clock import local_day
from gwlog.decisions.advice import Advice
from gwlog.decisions.answer import Answer
from gwlog.decisions.coming import Expect
from gwlog.decisions.exceptions import exceptions
from gwlog.decisions.expected import ExpectedLoad, usual_litres
from gwlog.decisions.load_rules import LoadQuery
from gwlog.decisions.query import query_for
from gwlog.decisions.reminders import Reminder, reminders
from gwlog.journal.facts import (
    Basin,
    Fact,
    Mulch,
    Observation,
    Outlet,
    OutletMove,
    Product,
    Resolution,
    Site,
    UpkeepDone,
    UpkeepTask,
    UsualLoad,
    ValveSwitch,
    Washer,
    WashLoad,
    WeatherDay,
)
from gwlog.state import State, fold
from gwlog.water.garden import Garden, garden

ZONE = "America/Los_Angeles"
SINCE = date(2026, 6, 1)
LOAD_L = 57.0


def at(day: date, hour: float = 9.0) -> datetime:
    """A local wall time as UTC; whole minutes."""
    minutes = round(hour * 60)
    wall = datetime(day.year, day.month, day.day, minutes // 60, minutes % 60, tzinfo=ZoneInfo(ZONE))
    return wall.astimezone(UTC)


def day(number: int) -> date:
    """The number-th day of the household: 0 is the day of its setup."""
    return SINCE + timedelta(days=number)


class Home:
    """Facts piled up in order; looked at from any moment they give state, garden, verdicts and reminders.

    Each basin: 3 m2 of sandy loam under an equal canopy and wetted zone, 100 mm of mulch. Allowance 305.6 L/day,
    surge 150 L, TAW 0.13 x 800 mm x 3 m2 = 312 L, RAW 156 L (p 0.36 + 0.04 (5 - 1.5)), deficit 160 L at the start,
    ET 4.5 L/day, no rain. At once it may get 112 L (p 0.36).
    """

    def __init__(self, basins: Sequence[str] = ("Fig",), outlets: Sequence[str] = ("Hose",), **site: Any) -> None:
        self.facts: list[Fact] = []
        self.add(Site, day(0), 0.0, **{
            "name": "Wren Court 2", "latitude_udeg": 36_900_000, "units": "us", "occupants": 2,
            "code": "us-ca-washer", "monthly_eto_um": tuple(3000 * n for n in
                                                            (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)),
            "monthly_rain_um": (0,) * 12, **site})
        self.add(Washer, day(0), 0.0, name="washer", machine="front-load", volume_ml=round(LOAD_L * 1000))
        for name in basins:
            self.basin(name)
        for name in outlets:
            self.add(Outlet, day(0), 0.0, name=name, basin=basins[0] if basins else "nowhere")
        self.product("plain liquid")
        self.add(UsualLoad, day(0), 0.0, name="towels", washer="washer", products=("plain liquid",))

    def add(self, kind: type[Fact], when: date, hour: float = 9.0, **words: Any) -> int:
        """Append a fact and return its number."""
        number = len(self.facts) + 1
        self.facts.append(kind(id=number, happened_at=at(when, hour), zone=ZONE, **words))
        return number

    def basin(self, name: str, when: date = SINCE, **changes: Any) -> int:
        return self.add(Basin, when, 0.0, **{
            "name": name, "area_cm2": 30_000, "mulch_mm": 100, "soil": "sandy loam", "texture": "sandy loam",
            "plants": "hedge", "canopy_cm2": 30_000, "wetted_cm2": 30_000, "plant_factor_milli": 500,
            "root_depth_mm": 800, "depletion_milli": 360, "edible": "off the ground", "started": SINCE,
            "start_deficit_ml": 160_000, **changes})

    def product(self, name: str, when: date = SINCE, **changes: Any) -> int:
        return self.add(Product, when, 0.0, **{
            "name": name, "product_kind": "detergent", "form": "liquid", "chlorine_bleach": False, "borax": False,
            "sodium_mg": 3000, **changes})

    def usual(self, name: str, **words: Any) -> int:
        return self.add(UsualLoad, day(0), 0.0, **{"name": name, "washer": "washer", **words})

    def load(self, when: date, hour: float = 9.0, *, litres: float = LOAD_L, to: str = "garden",
             name: str | None = "towels", products: tuple[str, ...] = (), contents: tuple[str, ...] = ()) -> int:
        return self.add(WashLoad, when, hour, usual_load=name, washer="washer", volume_ml=round(litres * 1000),
                        products=products, contents=contents, went_to=to)

    def see(self, what: str, when: date, where: str | None = None, hour: float = 9.0) -> int:
        return self.add(Observation, when, hour, observed=what, basin=where)

    def resolve(self, number: int, when: date, hour: float = 9.0) -> int:
        return self.add(Resolution, when, hour, resolves_id=number)

    def move(self, outlet: str, basin: str, when: date, hour: float = 9.0) -> int:
        return self.add(OutletMove, when, hour, outlet=outlet, basin=basin)

    def valve(self, position: str, when: date, hour: float = 9.0) -> int:
        return self.add(ValveSwitch, when, hour, position=position)

    def mulch(self, basin: str, when: date, action: str, mm: int) -> int:
        return self.add(Mulch, when, basin=basin, action=action, depth_mm=mm)

    def weather(self, when: date, typed: date | None = None, **words: int) -> int:
        """The weather of a day, typed in its first hour unless `typed` on another day."""
        return self.add(WeatherDay, typed or when, 0.5, day=when, **words)

    def done(self, task: str, when: date) -> int:
        return self.add(UpkeepDone, when, task=task)

    def task(self, name: str, every: str, when: date = SINCE, **words: Any) -> int:
        return self.add(UpkeepTask, when, 0.0, name=name, every=every, **words)

    def state(self, now: datetime) -> State:
        return fold(sorted(self.facts, key=lambda fact: (fact.happened_at, fact.id)), until=now)

    def garden(self, now: datetime) -> Garden:
        return garden(self.state(now), now)

    def query(self, now: datetime, **words: Any) -> LoadQuery:
        return query_for(self.state(now), words.pop("name", "towels"), **words)

    def advice(self, now: datetime, coming: Sequence[tuple[datetime, str]] | None = None) -> Advice:
        """What the household is advised. `coming`: the loads to expect, None for those it plans or is used to."""
        state, garden = self.state(now), self.garden(now)
        return Advice(state, garden, now, self.look, exceptions=lambda: exceptions(state, garden),
                      expect=None if coming is None else expecting_only(state, coming))

    def look(self, moment: datetime) -> tuple[State, Garden]:
        return self.state(moment), self.garden(moment)

    def verdict(self, now: datetime, **words: Any) -> Answer:
        return self.advice(now).answer(self.query(now, **words))

    def reminders(self, now: datetime, *, expected: Sequence[tuple[datetime, str]] | None = None,
                  ) -> tuple[Reminder, ...]:
        return reminders(self.advice(now, expected))

    def reminded(self, now: datetime, kind: str, **words: Any) -> list[Reminder]:
        return [one for one in self.reminders(now, **words) if one.kind == kind]


def expecting_only(state: State, coming: Sequence[tuple[datetime, str]]) -> Expect:
    """These loads and no others; one that was run within three hours of its time is not expected any more."""
    near = timedelta(hours=3)

    def expect(moment: datetime, days: int, ran: str | None) -> tuple[tuple[ExpectedLoad, ...], tuple[()]]:
        runs = [(run.fact.usual_load, run.fact.happened_at) for run in state.loads]
        today = local_day(moment, state.zone)
        found, left = [], list(coming)
        if ran is not None and (same := [one for one in left if one[1] == ran]):
            left.remove(min(same, key=lambda one: abs(one[0] - moment)))
        for when, name in sorted(left):
            done = any(load == name and abs(at - when) <= near for load, at in runs)
            on = local_day(when, state.zone)
            if not done and when > moment - timedelta(hours=36) and on < today + timedelta(days):
                found.append(ExpectedLoad(when, max(today, on), name, usual_litres(state, name), True, name))
        return tuple(found), ()

    return expect
