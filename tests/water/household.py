"""Small invented households for the water tests: facts with sensible defaults, folded into a state."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import UTC, date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from gwlog.journal.facts import Basin, Fact, Mulch, Observation, Outlet, Resolution, Site, Washer, WashLoad
from gwlog.state import Delivery, State, Watering, Weather, fold
from gwlog.water.ledger import Ledger, run
from gwlog.water.rest import Ponding
from gwlog.water.weather import Climate, Sky

ZONE = "America/Los_Angeles"
SINCE = date(2026, 3, 1)

STEADY = Climate((93.0, 84.0, 93.0, 90.0, 93.0, 90.0, 93.0, 93.0, 90.0, 93.0, 90.0, 93.0), (0.0,) * 12)
"""Three millimetres of ETo a day (3.0 in February of a common year too), never any rain."""


def at(day: date, hour: float = 12.0, zone: str = ZONE) -> datetime:
    """A local wall time as UTC; whole minutes."""
    minutes = round(hour * 60)
    wall = datetime(day.year, day.month, day.day, minutes // 60, minutes % 60, tzinfo=ZoneInfo(zone))
    return wall.astimezone(UTC)


def basin(name: str = "Quince", since: date = SINCE, **changes: Any) -> Basin:
    """A 2 m2 basin under an equal canopy with an equal wetted zone.

    TAW 0.13 x 500 mm x 2 m2 = 130 L; at 3 mm of ETo p is 0.36 + 0.04 (5 - 1.5) = 0.5, so RAW is half of it. Allowance
    101.9 x 2 = 203.7 L/day, surge 100 L. A hedge uses the same all year.
    """
    words: dict[str, Any] = {
        "id": 10, "happened_at": at(since, 0.0), "zone": ZONE, "name": name, "area_cm2": 20_000,
        "mulch_mm": 100, "soil": "sandy loam", "texture": "sandy loam", "plants": "hedge",
        "canopy_cm2": 20_000, "wetted_cm2": 20_000, "plant_factor_milli": 500, "root_depth_mm": 500,
        "depletion_milli": 360, "started": since, "start_deficit_ml": 0,
    }
    return Basin(**{**words, **changes})


def pour(day: date, litres: float, hour: float = 12.0, number: int = 100, to: str = "Quince") -> Delivery:
    return Delivery(number, at(day, hour), day, "Hose", to, litres)


def ledger(
    history: Sequence[Basin], deliveries: Sequence[Delivery], now: datetime, *, climate: Climate = STEADY,
    weather: Mapping[date, Weather] | None = None, ponding: Sequence[Ponding] = (), zone: str = ZONE,
    latitude: float = 36.9, other: Sequence[Watering] = (),
) -> Ledger:
    return run(history, deliveries, Sky(climate, weather or {}, latitude), ponding, zone, now, other=other)


def site(**changes: Any) -> Site:
    words: dict[str, Any] = {
        "id": 1, "happened_at": at(SINCE, 0.0), "zone": ZONE, "name": "Alder Row 3", "latitude_udeg": 36_900_000,
        "units": "us", "occupants": 2, "code": "us-ca-washer",
        "monthly_eto_um": tuple(int(mm * 1000) for mm in STEADY.monthly_eto_mm),
        "monthly_rain_um": (0,) * 12,
    }
    return Site(**{**words, **changes})


def washer(litres: float = 60.0, **changes: Any) -> Washer:
    words: dict[str, Any] = {
        "id": 2, "happened_at": at(SINCE, 0.0), "zone": ZONE, "name": "washer", "machine": "front-load",
        "volume_ml": round(litres * 1000),
    }
    return Washer(**{**words, **changes})


def outlet(name: str = "Hose", to: str = "Quince", **changes: Any) -> Outlet:
    words: dict[str, Any] = {"id": 20, "happened_at": at(SINCE, 0.0), "zone": ZONE, "name": name, "basin": to}
    return Outlet(**{**words, **changes})


def load(number: int, day: date, litres: float, hour: float = 12.0, went_to: str = "garden",
         products: tuple[str, ...] = ()) -> WashLoad:
    return WashLoad(id=number, happened_at=at(day, hour), zone=ZONE, washer="washer", products=products,
                    volume_ml=round(litres * 1000), went_to=went_to)


def observed(number: int, day: date, what: str = "ponding", hour: float = 12.0,
             where: str | None = "Quince") -> Observation:
    return Observation(id=number, happened_at=at(day, hour), zone=ZONE, observed=what, basin=where)


def resolved(number: int, day: date, of: int, hour: float = 12.0) -> Resolution:
    return Resolution(id=number, happened_at=at(day, hour), zone=ZONE, resolves_id=of)


def mulch(number: int, day: date, action: str, mm: int, hour: float = 12.0) -> Mulch:
    return Mulch(id=number, happened_at=at(day, hour), zone=ZONE, basin="Quince", action=action, depth_mm=mm)


def folded(*facts: Fact) -> State:
    return fold(sorted(facts, key=lambda fact: (fact.happened_at, fact.id)))
