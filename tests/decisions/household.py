"""A small invented household in facts, for the tests of the plan: four basins, one hose, two usual loads."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

from gwlog.clock import attach
from gwlog.journal.facts import (
    Basin,
    Fact,
    Outlet,
    PlannedLoad,
    Site,
    UsualLoad,
    Washer,
    WashLoad,
)
from gwlog.state import State, fold
from gwlog.water.garden import Garden, garden

ZONE = "America/Los_Angeles"
SETUP = datetime(2026, 3, 1, 17, 0, tzinfo=UTC)
NOW = datetime(2026, 6, 3, 15, 0, tzinfo=UTC)  # a Wednesday, 08:00 local

# name, area ft2, canopy ft2, soil, plant factor, root depth mm
BASINS = (("Fig", 20, 60, "sandy loam", 0.5, 600), ("Lemon", 12, 30, "sandy loam", 0.65, 500),
          ("Olive", 30, 100, "clay with considerable sand or gravel", 0.4, 800),
          ("Roses", 10, 24, "sandy loam", 0.7, 450))


def household(*, zone: str = ZONE, zone_eto: int | None = 12, aim: str = "plants", basins=BASINS,
              at: str = "Fig", when: datetime = SETUP, units: str = "us") -> list[Fact]:
    """The description of the household, numbered from 1."""
    made: list[Fact] = [
        Site(happened_at=when, zone=zone, name="Quarry Lane", latitude_udeg=36_900_000, units=units, occupants=3,
             code="us-ca-washer", aim=aim, eto_zone=zone_eto),
        Washer(happened_at=when, zone=zone, name="front loader", machine="front-load", volume_ml=68_000),
    ]
    for name, area, canopy, soil, factor, root in basins:
        made.append(Basin(
            happened_at=when, zone=zone, name=name, area_cm2=round(area * 929.0304), mulch_mm=120, soil=soil,
            texture="sandy loam", plants=name.lower(), canopy_cm2=round(canopy * 929.0304),
            plant_factor_milli=round(factor * 1000), root_depth_mm=root, depletion_milli=500,
            started=date(2026, 3, 1),
        ))
    if basins:
        made.append(Outlet(happened_at=when, zone=zone, name="hose", basin=at))
    made += [UsualLoad(happened_at=when, zone=zone, name="towels", washer="front loader"),
             UsualLoad(happened_at=when, zone=zone, name="diapers", washer="front loader", contents=("diapers",))]
    return numbered(made)


def numbered(facts: list[Fact]) -> list[Fact]:
    """The facts with entry numbers in order."""
    from dataclasses import replace

    return [replace(fact, id=number) for number, fact in enumerate(facts, 1)]


def run(wall: str, *, load: str | None = "towels", zone: str = ZONE, to: str = "garden",
        litres: float = 68.0) -> WashLoad:
    """A load run at a local wall time."""
    return WashLoad(happened_at=attach(datetime.fromisoformat(wall), zone), zone=zone, usual_load=load,
                    washer="front loader", volume_ml=round(litres * 1000), went_to=to)


def planned(starts: str, every: str | None = None, *, load: str = "towels", name: str | None = None,
            skips: tuple[str, ...] = (), zone: str = ZONE, when: datetime = SETUP) -> PlannedLoad:
    """A planned load."""
    return PlannedLoad(happened_at=when, zone=zone, name=name or load, load=load, starts=starts, every=every,
                       skips=skips)


def habit(weeks: int = 8, weekdays: tuple[int, ...] = (1, 3, 5), *, until: datetime = NOW, to: str = "sewer",
          zone: str = ZONE) -> list[Fact]:
    """Towels at 10:00 on the given weekdays of the weeks before `until`."""
    last = until.date() - timedelta(days=1)
    days = [last - timedelta(days=n) for n in range(weeks * 7)]
    return [run(f"{day}T10:00", to=to, zone=zone) for day in sorted(days) if day.weekday() in weekdays]


def folded(*groups: list[Fact], now: datetime = NOW) -> State:
    """The state after all these facts, in order of time."""
    facts = [fact for group in groups for fact in group]
    return fold(numbered(sorted(facts, key=lambda fact: fact.happened_at)), until=now)


def seen(*groups: list[Fact], now: datetime = NOW) -> tuple[State, Garden]:
    """State and garden at a moment."""
    state = folded(*groups, now=now)
    return state, garden(state, now)
