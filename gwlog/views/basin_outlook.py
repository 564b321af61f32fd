"""One basin's water day by day: the last 30 days by the ledger, the coming 14 by the plan.

Volumes are in the household's unit, so that water that came, went and is missing share one scale.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from itertools import islice
from typing import TYPE_CHECKING

from gwlog.household import Household
from gwlog.units import System, to_household, unit_word
from gwlog.water.ahead import days_ahead

if TYPE_CHECKING:
    from gwlog.decisions.rotation import Plan

PAST_DAYS = 30
COMING_DAYS = 14


@dataclass(frozen=True, slots=True)
class Outlook:
    """Closed days, oldest first, then the coming ones from `today` on (its place in `days`); volumes in `unit`.

    `missing`: at each day's end; `rain`: into the roots of the wetted zone; `percolated`: past the roots.
    """

    days: tuple[date, ...]
    missing: tuple[float, ...]
    graywater: tuple[float, ...]
    rain: tuple[float, ...]
    percolated: tuple[float, ...]
    today: int
    raw: float
    taw: float
    unit: str
    system: System

    @property
    def top(self) -> float:
        """The end of the scale: RAW at least, TAW only where the water missing comes near it."""
        highest = max(self.raw, *self.missing, *self.graywater, *self.rain, *self.percolated, 1e-9) * 1.08
        return max(highest, self.taw * 1.02) if self.near_taw else highest

    @property
    def near_taw(self) -> bool:
        """Whether so much is missing that the whole of the root zone's water belongs on the scale."""
        return max(self.missing, default=0.0) >= 0.75 * self.taw > 0.0


@dataclass(frozen=True, slots=True)
class _Day:
    day: date
    deficit_l: float
    graywater_l: float
    rain_l: float
    percolated_l: float


def outlook(home: Household, name: str, plan: Plan | None = None, *, ahead: bool = True) -> Outlook:
    """The series of a basin. `plan` None: the coming days without any load; `ahead` False: the closed days alone.

    Past days are the ledger's. The coming ones are taken step by step with the plan's loads and with the weather
    that is known or, where none is, the climate's normals.
    """
    basin = home.garden.basins[name]
    past = [_Day(day.day, day.deficit_l, day.graywater_l,
                 day.rain_mm * basin.wetted_m2 * basin.growth.on(day.day).share, day.percolated_l)
            for day in basin.ledger.days[-PAST_DAYS:]]
    days = past + (_coming(home, name, plan) if ahead else [])

    def units(litres: float) -> float:
        return to_household(litres, "volume", home.system)

    return Outlook(
        tuple(one.day for one in days), tuple(units(one.deficit_l) for one in days),
        tuple(units(one.graywater_l) for one in days), tuple(units(one.rain_l) for one in days),
        tuple(units(one.percolated_l) for one in days), len(past), units(basin.raw_l), units(basin.taw_l),
        unit_word("volume", home.system), home.system)


def _coming(home: Household, name: str, plan: Plan | None) -> list[_Day]:
    basin, garden = home.garden.basins[name], home.garden
    graywater_l = [0.0] * COMING_DAYS
    graywater_l[0] = basin.used_today_l
    if plan is not None:
        shares = home.state.shares()
        for step in plan.steps:
            if step.arrangement is not None and step.day < COMING_DAYS:
                graywater_l[step.day] += sum(step.load.litres * shares[outlet] for outlet, place
                                        in zip(plan.outlets, step.arrangement, strict=True) if place == name)
    coming = islice(days_ahead(basin.ledger, basin.growth, garden.sky, graywater_l), COMING_DAYS)
    return [_Day(one.day, one.end.deficit_l, litres, one.numbers.rain_l, one.end.percolated_l)
            for one, litres in zip(coming, graywater_l, strict=True)]
