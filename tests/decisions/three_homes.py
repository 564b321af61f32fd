"""Three invented households to walk through a year: the demo, a metric one, and a dry one with many hose ends.

A walk stops twice a day and holds what every part of the program says of the next load against all the others.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Any

from gwlog.actions import Action
from gwlog.clock import attach, local_day
from gwlog.decisions.answer import Answer
from gwlog.decisions.basin_words import basin_words
from gwlog.decisions.expected import ExpectedLoad
from gwlog.decisions.query import query_for
from gwlog.decisions.reminders import AT_A_TIME
from gwlog.decisions.valve_reminders import LATE, draining
from gwlog.household import Household
from gwlog.journal.facts import (
    Basin,
    Fact,
    Outlet,
    OutletMove,
    PlannedLoad,
    Product,
    Site,
    UsualLoad,
    ValveSwitch,
    Washer,
    WashLoad,
    WeatherDay,
)
from gwlog.views import next_load, today

NOWHERE = Path("/nowhere/logbook.db")
NO_ROOM = ("has had enough", "resting", "not for graywater", "too small for one load", "out of reach")
HOURS = (8, 20)
DEMO_DAY = date(2026, 11, 26)


@dataclass
class Lived:
    """A household's entries in order of time, with their numbers."""

    zone: str
    entries: list[Fact] = field(default_factory=list)

    def add(self, kind: type[Fact], when: datetime, **words: Any) -> None:
        self.entries.append(kind(id=len(self.entries) + 1, happened_at=when, zone=self.zone, **words))

    def at(self, now: datetime, known: datetime | None = None) -> Household:
        """The household at a moment; `known`: by the entries up to an earlier one."""
        until = known or now
        return Household(NOWHERE, now, [fact for fact in self.entries if fact.happened_at <= until])


def demo() -> Lived:
    """The demo's story as it was written, mistakes included."""
    import demo_seed

    return Lived("America/Los_Angeles", [fact for batch in demo_seed.story(DEMO_DAY) for fact in batch.facts])


def metric() -> Lived:
    """One outlet, three basins, metric; loads on three days a week, one of them for the sewer."""
    made = Lived("Europe/Berlin")
    start = attach(datetime.combine(date(2026, 1, 1), time()), made.zone)
    made.add(Site, start, name="Lindenweg 4", latitude_udeg=52_500_000, units="metric", occupants=3, code="generic",
             monthly_eto_um=tuple(1000 * n for n in (12, 20, 45, 75, 105, 120, 125, 105, 65, 35, 15, 10)),
             monthly_rain_um=tuple(1000 * n for n in (40, 30, 35, 30, 45, 60, 60, 55, 45, 40, 45, 45)))
    for name, area, canopy, factor, root in (("Apfel", 2.4, 6.0, 0.6, 700), ("Quitte", 2.0, 4.5, 0.55, 650),
                                             ("Rosen", 1.6, 3.0, 0.7, 500)):
        basin(made, start, name, area, canopy, factor, root)
    made.add(Washer, start, name="Maschine", machine="front-load", volume_ml=55_000)
    made.add(Product, start, name="flüssig", product_kind="detergent", form="liquid", chlorine_bleach=False,
             borax=False, sodium_mg=2000)
    for name, contents in (("Handtücher", ()), ("Buntes", ()), ("Windeln", ("diapers",))):
        made.add(UsualLoad, start, name=name, washer="Maschine", products=("flüssig",), contents=contents)
    made.add(Outlet, start, name="Schlauch", basin="Apfel")
    for name, wall, every in (("Handtücher", "2026-01-03T10:00", "FREQ=WEEKLY;BYDAY=SA"),
                              ("Buntes", "2026-01-06T19:00", "FREQ=WEEKLY;BYDAY=TU,TH"),
                              ("Windeln", "2026-01-04T21:00", "FREQ=WEEKLY;BYDAY=SU,WE")):
        made.add(PlannedLoad, start, name=name, load=name, starts=wall, every=every)
    return made


def dry() -> Lived:
    """Six outlets, twelve basins, a hot dry place; a load almost every day, by habit alone but for two."""
    made = Lived("America/Los_Angeles")
    start = attach(datetime.combine(date(2026, 1, 1), time()), made.zone)
    made.add(Site, start, name="Mesa 12", latitude_udeg=33_400_000, units="us", occupants=5, code="us-ca-washer",
             eto_zone=18, monthly_rain_um=tuple(1000 * n for n in (15, 12, 10, 3, 1, 0, 3, 5, 4, 5, 6, 12)))
    chance = random.Random(4)
    names = [f"Bed {number}" for number in range(1, 13)]
    for name in names:
        area = chance.uniform(0.8, 2.2)
        basin(made, start, name, area, area * chance.uniform(1.2, 2.6), chance.choice((0.3, 0.5, 0.6)),
              chance.choice((400, 600, 800)), texture=chance.choice(("sandy loam", "loam")))
    made.add(Washer, start, name="top loader", machine="top-load-efficient", volume_ml=95_000)
    for name, contents in (("towels", ()), ("work clothes", ()), ("colours", ()), ("diapers", ("diapers",))):
        made.add(UsualLoad, start, name=name, washer="top loader", contents=contents)
    for number in range(6):
        reach = tuple(names[(2 * number + step) % 12] for step in range(4))
        made.add(Outlet, start, name=f"End {number + 1}", basin=reach[0], reaches=reach, share_milli=1000)
    made.add(PlannedLoad, start, name="diapers", load="diapers", starts="2026-01-02T19:00",
             every="FREQ=WEEKLY;BYDAY=MO,FR")
    made.add(PlannedLoad, start, name="towels", load="towels", starts="2026-01-03T09:30", every="FREQ=WEEKLY;BYDAY=SA")
    return made


def basin(made: Lived, when: datetime, name: str, area: float, canopy: float, factor: float, root: int, *,
          texture: str = "sandy loam") -> None:
    made.add(Basin, when, name=name, area_cm2=round(area * 1e4), mulch_mm=150, soil="sandy loam", texture=texture,
             plants=name.lower(), canopy_cm2=round(canopy * 1e4), plant_factor_milli=round(factor * 1000),
             root_depth_mm=root, depletion_milli=500, started=local_day(when, made.zone))


# weekday -> loads by wall time, for the two households that are not the demo
WEEKS: dict[str, dict[int, tuple[tuple[str, float], ...]]] = {
    "metric": {1: (("Buntes", 19.0),), 2: (("Windeln", 21.0),), 3: (("Buntes", 19.0),), 5: (("Handtücher", 10.0),),
               6: (("Windeln", 21.0),)},
    "dry": {0: (("diapers", 19.0),), 1: (("work clothes", 18.0),), 2: (("colours", 9.0),), 3: (("work clothes", 18.0),),
            4: (("diapers", 19.0), ("colours", 20.5)), 5: (("towels", 9.5), ("work clothes", 16.0)),
            6: (("colours", 10.0),)},
}


def days(name: str, first: date, number: int, seed: int) -> Iterator[tuple[date, list[tuple[datetime, str]], float]]:
    """Each day with its loads (a few late, left out or put in) and its rain [mm]."""
    chance = random.Random(seed)
    zone = {"metric": "Europe/Berlin", "dry": "America/Los_Angeles"}[name]
    for step in range(number):
        day = first + timedelta(days=step)
        loads = []
        for load, hour in WEEKS[name].get(day.weekday(), ()):
            if chance.random() < 0.06:
                continue
            late = chance.choice((0, 0, 0, 7, 25, 90))
            wall = datetime.combine(day, time()) + timedelta(minutes=round(hour * 60) + late)
            loads.append((attach(wall, zone), load))
        wet = {"metric": 0.3, "dry": 0.05 if day.month in (11, 12, 1, 2, 3) else 0.0}[name]
        yield day, sorted(loads), round(chance.uniform(1, 14), 1) if chance.random() < wet else 0.0


def live(name: str, made: Lived, first: date, number: int, *, seed: int = 1, obeys: bool = True) -> None:
    """Let the household live so many days: with `obeys` it asks before every load and does what it is told, else it
    carries a hose now and then and sends every load the way the valve happens to stand.
    """
    chance = random.Random(seed + 99)
    for day, loads, rain in days(name, first, number, seed):
        for when, load in loads:
            if obeys:
                obey(made, when, load)
            else:
                drift(made, when, load, chance)
        if rain:
            made.add(WeatherDay, attach(datetime.combine(day, time(22)), made.zone), day=day,
                     rain_um=round(rain * 1000))


def obey(made: Lived, when: datetime, load: str) -> Answer:
    """Ask, carry and turn what the answer says, run the load, and turn the valve back when it says so."""
    home = made.at(when)
    answer = home.answer(query_for(home.state, load))
    for move in answer.moves:
        made.add(OutletMove, when, outlet=move.outlet, basin=move.basin)
    if answer.turn_valve is not None:
        made.add(ValveSwitch, when, position=answer.turn_valve)
    run(made, home, when, load, answer.verdict)
    if answer.turn_back_at is not None:
        made.add(ValveSwitch, answer.turn_back_at, position="garden")
    return answer


def drift(made: Lived, when: datetime, load: str, chance: random.Random) -> None:
    home = made.at(when)
    sewer = load in ("diapers", "Windeln") or chance.random() < 0.45
    if chance.random() < 0.25:
        outlet = chance.choice(list(home.state.active_outlets()))
        made.add(OutletMove, when, outlet=outlet, basin=chance.choice(home.state.reach(outlet)))
    side = "sewer" if sewer else "garden"
    if home.state.valve != side:
        made.add(ValveSwitch, when, position=side)
    run(made, home, when, load, side)


def run(made: Lived, home: Household, when: datetime, load: str, side: str) -> None:
    usual = home.state.usual_loads[load]
    made.add(WashLoad, when, usual_load=load, washer=usual.washer, products=usual.products, contents=usual.contents,
             volume_ml=home.state.washers[usual.washer].volume_ml, went_to=side)


# --- what is held against what ------------------------------------------------------------------------------------

Told = tuple[str, frozenset[tuple[str, str, str]], frozenset[tuple[str, str, float]]]


def told(answer: Answer) -> Told:
    return (answer.verdict, frozenset(tuple(one) for one in answer.moves),
            frozenset((one.outlet, one.basin, round(one.litres, 6)) for one in answer.deliveries))


def differences(made: Lived, now: datetime) -> list[str]:
    """Everything that two parts of the program say differently at a moment, and everything that no advice may say."""
    home = made.at(now)
    advice, found = home.advice, []
    coming = advice.next()
    found += list(_reminders(home, coming[0] if coming else None))
    if not coming:
        return found
    first = coming[0]
    load = first.expected
    assert load is not None
    shown = next_load.next_loads(home)[0]
    voices = {"today.next": first, "plan.loads": advice.loads[0], "the Today screen": shown,
              "where --at its time": advice.answer(query_for(home.state, load.usual_load), first.at)}
    then = made.at(first.at, known=now)
    voices["where, asked at its time"] = then.answer(query_for(then.state, load.usual_load))
    words = basin_words(then.state, then.garden, then.advice.loads)
    found += [f"delivers to {place.basin}, which {words[place.basin].word}" for place in first.deliveries
              if words[place.basin].word in NO_ROOM]
    if local_day(first.at, home.zone) == local_day(now, home.zone):
        voices["where now"] = home.answer(query_for(home.state, load.usual_load))
    if advice.loads != advice.loads or made.at(now).advice.loads != advice.loads:
        found.append("asked again, it is another plan")
    if today.as_json(home)["next"][0] != first.as_json():
        found.append("today --json says otherwise")
    for name, answer in voices.items():
        if told(answer) != told(first):
            found.append(f"{name}: {told(answer)} instead of {told(first)}")
    found += _plan(home, first)
    return found


def _plan(home: Household, first: Answer) -> Iterator[str]:
    plan = home.plan
    step = plan.steps[0]
    places = {} if step.arrangement is None else dict(zip(plan.outlets, step.arrangement, strict=True))
    if places != {one.outlet: one.basin for one in first.deliveries}:
        yield f"the plan's first step puts {places}"
    load: ExpectedLoad | None = first.expected
    assert load is not None
    walks = {(move.outlet, move.origin, move.basin) for move in plan.moves if move.day == load.day and move.before == 0}
    if walks != {tuple(one) for one in first.moves}:
        yield f"the plan carries {walks}"
    if (first.verdict == "sewer") != bool(plan.sewer and plan.sewer[0].day == load.day
                                          and plan.sewer[0].load == load.name and step.arrangement is None):
        yield "the plan's sewer days say otherwise"


def _reminders(home: Household, first: Answer | None) -> Iterator[str]:
    reminders = home.every_reminder
    if draining(home.state, home.now) is not None and any(one.kind == "valve to garden" for one in reminders):
        yield "the valve is to be turned back while the machine drains"
    acts = [(one.kind, str(one.action), one.due) for one in reminders if one.kind in AT_A_TIME]
    if len(set(acts)) < len(acts) or len({one.key for one in reminders}) < len(reminders):
        yield "an act is told twice"
    soon = home.now + timedelta(hours=1)
    now_acts = [str(one.action) for one in reminders if one.kind in AT_A_TIME and one.due <= soon]
    if len(set(now_acts)) < len(now_acts):
        yield f"an act is told twice: {now_acts}"
    if first is None or first.expected is None:
        return
    when, tomorrow = first.expected.when, local_day(home.now, home.zone) + timedelta(days=1)
    if first.expected.day <= tomorrow:
        walks = {one.action for one in reminders if one.kind == "move outlet" and one.due == when}
        if walks != {Action("move", outlet=one.outlet, basin=one.basin) for one in first.moves}:
            yield f"the reminders carry {walks}"
    to_sewer = [one for one in reminders if str(one.action) == "gwlog valve sewer" and one.due == when]
    if to_sewer and first.verdict == "garden":
        yield "a reminder turns the valve to sewer for it"
    if first.verdict == "sewer" and home.state.valve != "sewer" and when >= home.now - LATE and not any(
            str(one.action) == "gwlog valve sewer" for one in reminders):
        rules = {reason.rule for reason in first.reasons}
        if not rules <= {"absorption allowance", "daily limit"}:
            yield "no reminder turns the valve to sewer for it"
    back = [one for one in reminders if one.kind == "valve to garden"]
    if back and first.verdict == "sewer" and when >= home.now - LATE:
        yield "the valve is to be turned back before a load for the sewer"



def moments(made: Lived, first: date, number: int, *, every: int = 1) -> Iterator[datetime]:
    """Two moments a day, of every so-many-th day."""
    for step in range(0, number, every):
        day = first + timedelta(days=step)
        for hour in HOURS:
            yield attach(datetime.combine(day, time(hour)), made.zone)
