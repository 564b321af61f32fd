"""Habits of watering that a season can be rehearsed with: from an outlet that never moves to the plan.

Each looks only at the basins as they stand and, for the plan, at what could be known that morning.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date

from gwlog.decisions.plan_cost import Bed, PlanBasin, PlanDay, PlanLoad, PlanOutlet, Weights, half_raw
from gwlog.decisions.plan_search import search
from gwlog.decisions.plan_simple import arranged, driest_fit, fits, over_limit
from gwlog.water.basin import day_step

WEEK = 7

Places = list[tuple[str, ...] | None]


class Outlook:
    """What a habit can look at before the day's first load: the beds, the outlets, and the days as they seem."""

    def __init__(self, outlets: Sequence[PlanOutlet], weights: Weights, width: int, rest: bool) -> None:
        self.outlets, self.weights, self.width, self.rest = outlets, weights, width, rest
        self.start = self.at = tuple(outlet.at for outlet in outlets)
        self.number = 0
        self.beds: dict[str, Bed] = {}
        self._ahead: Callable[[], tuple[PlanDay, ...]] = tuple

    def prepare(self, number: int, beds: dict[str, Bed], at: tuple[str, ...],
                ahead: Callable[[], tuple[PlanDay, ...]]) -> None:
        """Set it to the morning of day `number`."""
        self.number, self.beds, self.at, self._ahead = number, beds, at, ahead

    def days(self) -> tuple[PlanDay, ...]:
        """The coming days as they seem this morning."""
        return self._ahead()

    def turn(self, weeks: int) -> tuple[str, ...]:
        """Where the outlets lie when each has gone on by one basin of its reach every week."""
        places = []
        for outlet, start in zip(self.outlets, self.start, strict=True):
            reach = outlet.reach or (start,)
            first = reach.index(start) if start in reach else 0
            places.append(reach[(first + weeks) % len(reach)])
        return tuple(places)

    def copies(self) -> dict[str, Bed]:
        """The beds to try loads on."""
        return {name: _copy(bed) for name, bed in self.beds.items()}


def _copy(bed: Bed) -> Bed:
    other = Bed(bed.basin)
    for part in ("deficit", "resting", "fresh", "until", "graywater", "rain_l"):
        setattr(other, part, getattr(bed, part))
    return other


@dataclass(frozen=True, slots=True)
class Habit:
    """A named habit: gives each load of a day its arrangement, or None for the sewer."""

    name: str
    places: Callable[[Outlook, Sequence[PlanLoad]], Places]


def _never(look: Outlook, loads: Sequence[PlanLoad]) -> Places:
    return [None if load.must_sewer else look.start for load in loads]


def _weekly(look: Outlook, loads: Sequence[PlanLoad]) -> Places:
    at = look.turn(look.number // WEEK)
    return [None if load.must_sewer else at for load in loads]


def _weekly_when_dry(look: Outlook, loads: Sequence[PlanLoad]) -> Places:
    return _where_it_fits(look, loads, lambda beds, load: look.turn(look.number // WEEK))


def _driest(look: Outlook, loads: Sequence[PlanLoad]) -> Places:
    return _where_it_fits(
        look, loads, lambda beds, load: driest_fit(beds, look.outlets, look.at, load.litres, stay=False))


def _where_it_fits(look: Outlook, loads: Sequence[PlanLoad],
                   wish: Callable[[dict[str, Bed], PlanLoad], tuple[str, ...] | None]) -> Places:
    """The wished arrangement where the load fits there, else the sewer; nothing is carried for a load that does not."""
    beds, limit = look.copies(), look.days()[0]
    places: Places = []
    for load in loads:
        chosen = None if load.must_sewer or over_limit(beds, limit, load.litres) else wish(beds, load)
        given = arranged(look.outlets, chosen, load.litres) if chosen is not None else {}
        if chosen is not None and not fits(beds, given):
            chosen = None
        if chosen is not None:
            look.at = chosen
            for name, litres in given.items():
                beds[name].give(litres, rest=look.rest)
        places.append(chosen)
    return places


def _plan(look: Outlook, loads: Sequence[PlanLoad]) -> Places:
    days = look.days()
    basins = [_as_planned(bed, days) for bed in look.beds.values()]
    outlets = [PlanOutlet(o.name, o.reach, here, o.share) for o, here in zip(look.outlets, look.at, strict=True)]
    found = search(basins, outlets, days, look.weights, width=look.width, rest=look.rest)
    return [step.arrangement for step in found.steps[:len(loads)]]


def _as_planned(bed: Bed, days: Sequence[PlanDay]) -> PlanBasin:
    basin = bed.basin
    return PlanBasin(basin.spec, bed.deficit, bed.graywater, _rest_end(bed, days), basin.leaching_share, basin.closed)


def _rest_end(bed: Bed, days: Sequence[PlanDay]) -> date | None:
    """The day on which a resting basin may be used again by the weather as it seems; None when it does not rest."""
    if not bed.resting:
        return bed.until
    spec, deficit = bed.basin.spec, bed.deficit
    for number, day in enumerate(days):
        if number >= bed.fresh and deficit - day.rain_mm * spec.wetted_m2 >= half_raw(spec):
            return day.day
        deficit = day_step(spec, deficit, day.eto_mm, day.rain_mm, bed.graywater if number == 0 else 0.0).deficit_l
    return date.max


NEVER = Habit("the outlet never moves", _never)
WEEKLY = Habit("next basin every week", _weekly)
WEEKLY_WHEN_DRY = Habit("next basin every week, sewer when wet", _weekly_when_dry)
DRIEST = Habit("driest basin before every load, sewer when wet", _driest)
PLAN = Habit("the plan", _plan)

HABITS = (NEVER, WEEKLY, WEEKLY_WHEN_DRY, DRIEST, PLAN)
"""The habits that a rehearsal sets side by side, the simplest first."""
