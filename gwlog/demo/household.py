"""The invented household's machine, valve, hose ends and beds: what stands where, and the acts that change and log it.

Which acts happen on which day is decided in life.py and story.py.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from itertools import product
from random import Random

from gwlog.clock import attach
from gwlog.demo import setup
from gwlog.demo.beds import FULL_COVER_MM, HALF_INCH_MM, Bed, bed_of
from gwlog.demo.diary import Diary
from gwlog.demo.weather import readings
from gwlog.demo.weekly_loads import NOTES, Wash
from gwlog.journal.facts import Basin, Mulch, OtherWater, Outlet, OutletMove, ValveSwitch, WashLoad
from gwlog.state import Weather
from gwlog.water.weather import Sky, climate_of, normals

ONE = timedelta(days=1)
GARDENER = "Ilse"
SOAKING_MM = 13.0
ROUND_DAYS = (2, 5)
WORTH_A_WALK = 0.25
MEASURED_EVERY = 82


class DemoHousehold:
    """What stands where on `day`; every act is added to `diary`. `true`: the weather that falls, `logged`: as noted."""

    def __init__(self, first: date, today: date, seed: int) -> None:
        self.text = setup.first_text(first)
        site_file = setup.read(self.text)
        self.zone = site_file.zone
        self.site = site_file.site
        self.diary = Diary(self.zone)
        self.diary.add_facts(site_file.facts)
        self.climate = climate_of(self.site)
        self.true = readings(first - ONE, today, self.climate.monthly_rain_mm, seed)
        self.logged: dict[date, Weather] = {}
        self.sky = Sky(self.climate, self.logged, self.site.latitude_udeg / 1e6)
        self.beds: dict[str, Bed] = {}
        self.lies: dict[str, str] = {}
        self.outlets: dict[str, Outlet] = {}
        for fact in site_file.facts:
            if isinstance(fact, Basin):
                self.beds[fact.name] = bed_of(fact, self.climate, self.sky.latitude_deg, first)
            elif isinstance(fact, Outlet):
                self.outlets[fact.name], self.lies[fact.name] = fact, fact.basin
        whole = sum(outlet.share_milli for outlet in self.outlets.values())
        self.shares = {name: outlet.share_milli / whole for name, outlet in self.outlets.items()}
        self.valve = self.site.valve
        self.loads = setup.usual_loads(site_file)
        self.measured_next = {name: first + timedelta(days=34 + 9 * number)
                              for number, name in enumerate(self.beds)}
        self.day = first
        self.chance = Random(seed)

    def at(self, wall: time, minutes: float = 0.0) -> datetime:
        """A moment of this day [UTC], `minutes` after the local wall time."""
        return attach(datetime.combine(self.day, wall), self.zone) + timedelta(minutes=minutes)

    @property
    def rain_mm(self) -> float:
        """This day's rain as the gardener counts on it [mm]: what falls, or the climate's normal if that is more."""
        return max(self.true[self.day].rain_mm, normals(self.climate, self.day)[1])

    @property
    def soaked(self) -> bool:
        """Whether the ground is too wet for any load."""
        return self.true[self.day].rain_mm + self.true[self.day - ONE].rain_mm >= SOAKING_MM

    def litres(self, load: str) -> float:
        """The water of a usual load [L]."""
        return self.loads[load].volume_ml / 1000.0

    def load(self, at: datetime, wash: Wash, went_to: str, *, volume_ml: int, note: str | None = None,
             key: str | None = None) -> None:
        """The machine runs; the log says `volume_ml`, which may be mistyped."""
        usual = self.loads[wash.load]
        if note is None and self.chance.random() < 0.04:
            note = self.chance.choice(NOTES)
        self.diary.add(WashLoad, at, wash.who, note=note, key=key,
                       usual_load=wash.load, washer=usual.washer, volume_ml=volume_ml, products=usual.products,
                       contents=usual.contents, went_to=went_to)
        if went_to == "garden":
            for name, share in self.shares.items():
                self.beds[self.lies[name]].pour(share * usual.volume_ml / 1000.0)

    def turn(self, position: str, at: datetime, who: str, note: str | None = None) -> None:
        """The valve is turned, unless it stands so already."""
        if self.valve != position:
            self.valve = position
            self.diary.add(ValveSwitch, at, who, note=note, position=position)

    def carry(self, arranged: dict[str, str], at: datetime, note: str | None = None) -> None:
        """Hose ends are carried to their new basins."""
        for name, basin in arranged.items():
            if self.lies[name] != basin:
                self.lies[name] = basin
                self.diary.add(OutletMove, at, GARDENER, note=note, outlet=name, basin=basin)
                at += timedelta(minutes=2)

    def arrange(self, litres: float) -> dict[str, str] | None:
        """Where the hose ends should lie so that a load fits: the fewest walks, on round days the driest.

        None: no way fits.
        """
        if self.soaked:
            return None
        fitting = [way for way in self._ways() if self._fits(way, litres)]
        if not fitting:
            return None
        walks = min(map(self._walks, fitting))
        chosen = max((way for way in fitting if self._walks(way) == walks), key=self._thirst)
        driest = max(fitting, key=self._thirst)
        round_day = self.day.weekday() in ROUND_DAYS
        return driest if round_day and self._thirst(driest) > self._thirst(chosen) + WORTH_A_WALK else chosen

    def _ways(self) -> Iterator[dict[str, str]]:
        """Every way in which the hose ends can lie."""
        reaches = [outlet.reaches or tuple(self.beds) for outlet in self.outlets.values()]
        for basins in product(*reaches):
            yield dict(zip(self.outlets, basins, strict=True))

    def _walks(self, way: dict[str, str]) -> int:
        return sum(self.lies[name] != basin for name, basin in way.items())

    def _thirst(self, way: dict[str, str]) -> float:
        return sum(self.shares[name] * self.beds[basin].thirst for name, basin in way.items())

    def _fits(self, way: dict[str, str], litres: float) -> bool:
        parts: dict[str, float] = {}
        for name, basin in way.items():
            parts[basin] = parts.get(basin, 0.0) + self.shares[name] * litres
        return all(self.beds[basin].takes(part) for basin, part in parts.items())

    def water(self, bed: Bed, at: datetime, litres: float, way: str) -> None:
        """Drinking water is brought to a basin."""
        bed.poured_l += litres
        self.diary.add(OtherWater, at, GARDENER, basin=bed.spec.name, volume_ml=round(litres * 1000), way=way)

    def measure(self, bed: Bed, at: datetime, note: str | None = None) -> None:
        """The cover is measured, to a tenth of an inch."""
        tenths = max(1, round(bed.true_mm / 2.54 + self.chance.gauss(0.0, 0.5)))
        self.mulch(bed, at, "measured", round(tenths * 2.54), note)
        self.measured_next[bed.spec.name] = self.day + timedelta(days=MEASURED_EVERY + self.chance.randint(-6, 9))

    def top_up(self, bed: Bed, at: datetime, note: str | None = None) -> None:
        """Mulch is measured and brought back to four inches, by half inches."""
        self.measure(bed, at)
        halves = max(1, round((FULL_COVER_MM - bed.true_mm) / HALF_INCH_MM))
        bed.true_mm += halves * HALF_INCH_MM
        self.mulch(bed, at + timedelta(minutes=6), "added", round(halves * HALF_INCH_MM), note)

    def mulch(self, bed: Bed, at: datetime, action: str, depth_mm: int, note: str | None = None) -> None:
        """A measurement or a top-up, in the log and in the gardener's estimate."""
        self.diary.add(Mulch, at, GARDENER, note=note, basin=bed.spec.name, action=action, depth_mm=depth_mm)
        bed.mulch.append(Mulch(happened_at=at, zone=self.zone, basin=bed.spec.name, action=action, depth_mm=depth_mm))

    def change_setup(self, at: datetime, *edits: tuple[str, str]) -> None:
        """The setup changes: the site file edited, and the changed descriptions appended."""
        for old, new in edits:
            self.text = setup.edited(self.text, old, new)
        changed = setup.changes(self.diary.facts, self.text, at)
        self.diary.add_facts(changed)
        self.loads = setup.usual_loads(setup.read(self.text))
        for fact in changed:
            if isinstance(fact, Basin):
                self.beds[fact.name].redescribed(replace(fact))
