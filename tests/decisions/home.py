"""A small invented household for the tests of the rules: facts with sensible defaults, looked at from a moment."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from gwlog.decisions.reminders import Reminder, reminders
from gwlog.decisions.routing import LoadQuery, Verdict, query_for, verdict
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
    surge 150 L, TAW 0.13 x 800 mm x 3 m2 = 312 L, RAW 156 L, deficit 160 L at the start, ET 4.5 L/day, no rain.
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
            "plants": name.lower(), "canopy_cm2": 30_000, "wetted_cm2": 30_000, "plant_factor_milli": 500,
            "root_depth_mm": 800, "depletion_milli": 500, "edible": "off the ground", "started": SINCE,
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

    def verdict(self, now: datetime, **words: Any) -> Verdict:
        return verdict(self.state(now), self.garden(now), self.query(now, **words), now)

    def reminders(self, now: datetime, **words: Any) -> tuple[Reminder, ...]:
        return reminders(self.state(now), self.garden(now), now, **words)

    def reminded(self, now: datetime, kind: str, **words: Any) -> list[Reminder]:
        return [one for one in self.reminders(now, **words) if one.kind == kind]
