"""Invented households whose logbooks hold everything at once, by chance: for tests of what is read of them."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta
from random import Random
from typing import Any

from gwlog.clock import local_day
from gwlog.journal.facts import (
    Attestation,
    Basin,
    Fact,
    Mulch,
    Observation,
    OtherWater,
    Outlet,
    OutletMove,
    Person,
    PlannedLoad,
    Product,
    ReminderAnswer,
    Resolution,
    Site,
    SoilReading,
    UpkeepDone,
    UpkeepTask,
    UsualLoad,
    ValveSwitch,
    Washer,
    WashLoad,
    WeatherDay,
    Withdrawal,
)
from tests.water.household import ZONE, at, basin

FIRST = date(2025, 3, 3)
BASINS, OUTLETS = ("Quince", "Medlar", "Sorrel"), ("Hose", "Spout")
PRODUCTS = ("plain liquid", "soda powder", "bleach")
TAP = ("ec_us_cm=600", "calcium_mg_l=40", "magnesium_mg_l=12", "sodium_mg_l=45", "bicarbonate_mg_l=150")
COLD = (-4000, -3000, 1000, 6000, 11000, 15000, 18000, 17000, 13000, 8000, 2000, -3000)
EXPOSED = ("ponding", "soaked ground", "frozen ground", "illness", "odour", "runoff")


class Life:
    """A household's entries, numbered as they are written; `write` adds days of its life by chance.

    `cold`: in a climate that freezes the ground; `tap`: with a report of its tap water.
    """

    def __init__(self, seed: int, *, cold: bool, tap: bool) -> None:
        self.chance = Random(seed)
        self.entries: list[Fact] = []
        self.today = FIRST
        monthly = COLD if cold else None
        self.site = {
            "name": "Heron Yard 5", "latitude_udeg": 44_000_000, "units": "metric", "occupants": 3,
            "code": "us-mt" if cold else "us-ca-washer", "eto_zone": 6, "monthly_rain_um": (30_000,) * 12,
            "monthly_tmean_mdegc": monthly, "tap_water": TAP if tap else None}
        self.add(Site, 0.0, **self.site)
        self.add(Person, 0.0, name="Odile")
        self.add(Washer, 0.0, name="washer", machine="front-load", volume_ml=57_000)
        for place, name in enumerate(BASINS):
            self.basin(name, plants=("hedge", "apple", "carrot")[place], start_deficit_ml=None if place else 20_000)
        self.add(Outlet, 0.0, name="Hose", basin="Quince")
        self.add(Outlet, 0.0, name="Spout", basin="Medlar", reaches=("Medlar", "Sorrel"))
        self.add(Product, 0.0, name="plain liquid", product_kind="detergent", form="liquid", chlorine_bleach=False,
                 borax=False, sodium_mg=900)
        self.add(Product, 0.0, name="soda powder", product_kind="booster")
        self.add(Product, 0.0, name="bleach", product_kind="bleach", chlorine_bleach=True, sodium_mg=3000)
        self.add(UsualLoad, 0.0, name="towels", washer="washer", products=("plain liquid",))
        self.add(UsualLoad, 0.0, name="whites", washer="washer", products=("plain liquid", "bleach"))
        self.add(PlannedLoad, 0.0, name="towels", load="towels", starts="2025-03-05T18:00", every="FREQ=WEEKLY")
        self.add(UpkeepTask, 0.0, name="sweep lint", every="4 weeks")

    def add(self, kind: type[Fact], hour: float | None = None, on: date | None = None, **words: Any) -> int:
        """Write an entry of a day (today's), at an hour (by chance); returns its number."""
        when = at(on or self.today, self.chance.randint(0, 1439) / 60 if hour is None else hour)
        self.entries.append(kind(id=len(self.entries) + 1, happened_at=words.pop("happened_at", when), zone=ZONE,
                                 **words))
        return len(self.entries)

    def basin(self, name: str, **changes: Any) -> None:
        made = basin(name, **{"started": FIRST, **changes})
        self.entries.append(replace(made, id=len(self.entries) + 1, happened_at=at(self.today, 0.0)))

    def write(self, days: int, *, back: int = 0) -> None:
        """Live so many days. `back`: how many days back at the most late entries and corrections reach."""
        for _ in range(days):
            self.today += timedelta(days=1)
            for _ in range(self.chance.choice((0, 1, 1, 2, 3))):
                self._one(back)

    @property
    def now(self) -> datetime:
        return at(self.today, 23.5)

    def _day(self, back: int) -> date:
        if back and self.chance.random() < 0.15:
            return max(FIRST + timedelta(days=1), self.today - timedelta(days=self.chance.randint(0, back)))
        return self.today

    def _one(self, back: int) -> None:
        chance, day = self.chance, self._day(back)
        what = chance.choices(
            ("load", "weather", "forecast", "gauge", "water", "move", "valve", "mulch", "seen", "resolve", "done",
             "answer", "reading", "correct", "withdraw", "describe"),
            (30, 22, 6, 3, 5, 6, 6, 4, 5, 6, 2, 2, 2, 5, 2, 2))[0]
        getattr(self, f"_{what}")(day, back)

    def _load(self, day: date, back: int) -> None:
        chance = self.chance
        usual = chance.choice(("towels", "whites", None))
        self.add(WashLoad, None, day, usual_load=usual, washer="washer", volume_ml=chance.randint(20, 260) * 1000,
                 products=tuple(chance.sample(PRODUCTS, chance.randint(0, 2))),
                 contents=chance.choice(((), (), (), ("diapers",))),
                 went_to=chance.choice(("garden", "garden", "sewer")))

    def _weather(self, day: date, back: int) -> None:
        chance, low = self.chance, self.chance.randint(-9000, 15000)
        self.add(WeatherDay, 23.9, day, day=day, rain_um=chance.choice((None, 0, 2000, 18_000)), tmin_mdegc=low,
                 tmax_mdegc=low + chance.randint(0, 12_000))

    def _forecast(self, day: date, back: int) -> None:
        chance, low = self.chance, self.chance.randint(-9000, 15000)
        self.add(WeatherDay, 6.5, day, day=day + timedelta(days=chance.randint(0, 6)),
                 rain_um=chance.choice((None, 0, 9000)), tmin_mdegc=low, tmax_mdegc=low + chance.randint(0, 12_000),
                 forecast_made_at=f"{day}T05:00:00Z")

    def _gauge(self, day: date, back: int) -> None:
        first = max(FIRST, day - timedelta(days=self.chance.randint(0, 12)))
        self.add(WeatherDay, 23.8, day, day=day, rain_um=self.chance.randint(0, 40_000), rain_from=first)

    def _water(self, day: date, back: int) -> None:
        self.add(OtherWater, None, day, basin=self.chance.choice(BASINS), volume_ml=self.chance.randint(5, 300) * 1000,
                 way=self.chance.choice(("can", "hose", "flush")))

    def _move(self, day: date, back: int) -> None:
        self.add(OutletMove, None, day, outlet=self.chance.choice(OUTLETS), basin=self.chance.choice(BASINS))

    def _valve(self, day: date, back: int) -> None:
        self.add(ValveSwitch, None, day, position=self.chance.choice(("garden", "sewer")))

    def _mulch(self, day: date, back: int) -> None:
        self.add(Mulch, None, day, basin=self.chance.choice(BASINS), action=self.chance.choice(("added", "measured")),
                 depth_mm=self.chance.randint(5, 100))

    def _seen(self, day: date, back: int) -> None:
        self.add(Observation, None, day, observed=self.chance.choice(EXPOSED),
                 basin=self.chance.choice((*BASINS, None)))

    def _resolve(self, day: date, back: int) -> None:
        last = self._last_wordings()
        taken = {fact.resolves_id for fact in self.entries if isinstance(fact, Resolution)}
        open_ones = [number for number, fact in last.items() if isinstance(fact, (Observation, WashLoad))
                     and number not in taken]
        if open_ones:
            self.add(Resolution, None, day, resolves_id=self.chance.choice(open_ones[-12:]))

    def _done(self, day: date, back: int) -> None:
        self.add(UpkeepDone, None, day, task=self.chance.choice(("sweep lint", "flush the line")))

    def _answer(self, day: date, back: int) -> None:
        key = self.chance.choice(("upkeep|sweep lint|2025-03-31", "x|y|z"))
        if len(self.entries) % 2:
            self.add(Attestation, None, day, attested="handed on" if key == "x|y|z" else "visit", party="Ruth Abara")
        else:
            self.add(ReminderAnswer, None, day, key=key, answer="seen")

    def _reading(self, day: date, back: int) -> None:
        self.add(SoilReading, None, day, basin=self.chance.choice(BASINS), ec_us_cm=self.chance.randint(300, 3000),
                 sar_milli=self.chance.choice((None, 2500)))

    def _correct(self, day: date, back: int) -> None:
        fact = self._recent(back)
        if fact is None:
            return
        changes: dict[str, Any] = {}
        if isinstance(fact, WashLoad):
            changes["volume_ml"] = self.chance.randint(20, 120) * 1000
        if not isinstance(fact, WeatherDay) and self.chance.random() < 0.5:
            changes["happened_at"] = min(self.now, max(at(FIRST, 1.0), fact.happened_at + timedelta(
                hours=self.chance.randint(-24 * max(1, back), 48))))
        self.entries.append(replace(fact, id=len(self.entries) + 1, corrects_id=fact.id, **changes))

    def _withdraw(self, day: date, back: int) -> None:
        fact = self._recent(back)
        if fact is not None:
            self.add(Withdrawal, 23.9, self.today, withdraws_id=fact.id, note="typed twice")

    def _describe(self, day: date, back: int) -> None:
        chance = self.chance
        what = chance.choice(("basin", "retire", "site", "product", "outlet"))
        if what == "basin":
            started = chance.choice((FIRST, self.today, self.today + timedelta(days=9)))
            self.basin(chance.choice(BASINS), canopy_cm2=chance.randint(10, 50) * 1000, started=started,
                       mulch_mm=chance.choice((80, 100)), start_deficit_ml=chance.choice((None, 10_000)),
                       planted=chance.choice((None, FIRST)))
        elif what == "retire":
            self.basin(chance.choice(BASINS[1:]), started=FIRST, active=chance.random() < 0.5)
        elif what == "site":
            changes = chance.choice(({"eto_zone": 9}, {"rain": "as logged"}, {"units": "us"},
                                     {"latitude_udeg": 39_000_000}, {"softened_water": True}))
            self.site = {**self.site, **changes}
            self.add(Site, 0.0, **self.site)
        elif what == "product":
            self.add(Product, 0.0, name="soda powder", product_kind="booster", form="powder",
                     sodium_mg=chance.choice((None, 5000)))
        else:
            self.add(Outlet, 0.0, name="Spout", basin="Medlar", reaches=("Medlar", "Sorrel"),
                     active=chance.random() < 0.7)

    def _last_wordings(self) -> dict[int, Fact]:
        """Each entry that may still be corrected, by its number."""
        gone = {fact.corrects_id for fact in self.entries} | {
            fact.withdraws_id for fact in self.entries if isinstance(fact, Withdrawal)}
        return {fact.id: fact for fact in self.entries if fact.id not in gone and not isinstance(fact, Withdrawal)}

    def _recent(self, back: int) -> Fact | None:
        """An entry of the last days, not a description."""
        first = self.today - timedelta(days=max(back, 2))
        found = [fact for fact in self._last_wordings().values()
                 if local_day(fact.happened_at, ZONE) >= first and not isinstance(
                     fact, (Site, Person, Washer, Basin, Outlet, Product, UsualLoad, PlannedLoad, UpkeepTask))]
        return self.chance.choice(found) if found else None
