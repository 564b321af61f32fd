"""The demo gardener's estimate of each basin: deficit, mulch depth, rest.

It uses the same balance and weather as the logbook, so that the history is consistent.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from math import exp

from gwlog.journal.facts import Basin, Mulch
from gwlog.water.basin import DRAINABLE_POROSITY, BasinSpec, DayNumbers, close_day, day_numbers
from gwlog.water.growth import Growth, growth_of
from gwlog.water.ledger import Stores, steady_stores
from gwlog.water.mulch import cover
from gwlog.water.weather import Climate

ROTS_PER_YEAR = 0.45
"""True loss of mulch in the invented garden, as a rate [1/year]; the logbook finds it from the measurements."""

LEAST_COVER_MM = 51.0
TOP_UP_BELOW_MM = 72.0
FULL_COVER_MM = 102.0
HALF_INCH_MM = 12.7
SPARE_L = 1.0
REMEMBERED = 12
DRY_ENOUGH = 0.5


@dataclass
class Bed:
    """One basin as the gardener knows it. Volumes [L], depths [mm]."""

    fact: Basin
    growth: Growth
    stores: Stores
    today: DayNumbers
    day: date
    true_mm: float
    poured_l: float = 0.0
    mulch: list[Mulch] = field(default_factory=list)
    shut: bool = False
    rests_from: date | None = None

    @property
    def deficit_l(self) -> float:
        """What the root zone lacked as the day began [L]."""
        return self.stores.deficit_l

    @property
    def spec(self) -> BasinSpec:
        """The basin as it is today."""
        return self.growth.on(self.day)

    def begin(self, day: date, eto_mm: float, rain_mm: float) -> None:
        """A day begins, with its weather as it seems."""
        self.day, self.today = day, day_numbers(self.growth.on(day), self.stores.outer_l, eto_mm, rain_mm)
        if self.rests_from is not None and day > self.rests_from + timedelta(days=2) and \
                self.deficit_l - self.today.rain_l >= DRY_ENOUGH * self.today.raw_l:
            self.rests_from = None

    @property
    def wanted(self) -> bool:
        """Whether the wash may go there at all: no roots or food in the ground, mulch over the outlet."""
        return self.fact.edible not in ("root crop", "touches soil") and not self.shut and \
            self.rests_from is None and self.true_mm > LEAST_COVER_MM

    def takes(self, litres: float) -> bool:
        """Whether the basin may get `litres` more today."""
        left = self.deficit_l - self.today.rain_l - self.poured_l
        surge = self.spec.area_m2 * min(self.true_mm, self.spec.mulch_mm) * DRAINABLE_POROSITY
        return self.wanted and litres + SPARE_L <= left and litres <= surge - SPARE_L and \
            self.poured_l + litres <= self.spec.allowance_l

    @property
    def thirst(self) -> float:
        """Deficit as a share of the water that the plants can readily use."""
        return (self.deficit_l - self.poured_l) / self.today.raw_l

    def pour(self, litres: float) -> None:
        """A load reached the basin; one that fills it starts a rest."""
        self.poured_l += litres
        if self.deficit_l - self.today.rain_l - self.poured_l <= 0.0:
            self.rests_from = self.day

    def close(self, eto_mm: float, rain_mm: float) -> None:
        """The day's end, with its weather as logged: the balance and the rotting mulch."""
        day = day_numbers(self.spec, self.stores.outer_l, eto_mm, rain_mm)
        end = close_day(day, self.deficit_l, self.poured_l)
        self.stores = Stores(end.deficit_l, end.outer_l)
        self.poured_l = 0.0
        self.true_mm *= exp(-ROTS_PER_YEAR / 365.25)

    def estimated_mm(self, at: datetime) -> float:
        """The cover as the logbook estimates it [mm]."""
        return cover(self.mulch[-REMEMBERED:], at, self.fact.mulch_mm, self.fact.happened_at)

    def redescribed(self, fact: Basin) -> None:
        """The basin was dug or planted differently."""
        self.growth = growth_of(fact, self.growth.latitude_deg)
        # the mulch is still estimated from the first description
        self.fact = replace(fact, happened_at=self.fact.happened_at)


def bed_of(fact: Basin, climate: Climate, latitude_deg: float, first: date) -> Bed:
    """A basin on the first day of the logbook, as dry as the climate leaves it without graywater."""
    growth = growth_of(fact, latitude_deg)
    stores = steady_stores(growth, climate, first)
    return Bed(fact, growth, stores, day_numbers(growth.on(first), stores.outer_l, 0.0, 0.0), first,
               float(fact.mulch_mm))
