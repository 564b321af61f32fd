"""Habits of watering that a season can be rehearsed with: from an outlet that never moves to a household that
does what it is told.

Each looks only at the basins as they stand and, for the advice, at what could be known that morning.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from gwlog.decisions.plan_cost import (
    Bed,
    PlanBasin,
    PlanDay,
    PlanLoad,
    PlanOutlet,
    Weights,
    arranged,
    fits,
    half_raw,
    over_limit,
)
from gwlog.decisions.plan_search import Bound, search
from gwlog.decisions.steady import decide, held_by
from gwlog.water.basin import close_day

WEEK = 7

Places = list[tuple[str, ...] | None]


class Outlook:
    """What a habit can look at before the day's first load: the beds, the outlets, and the days as they seem."""

    def __init__(self, outlets: Sequence[PlanOutlet], weights: Weights, width: int, rest: bool, fits: bool) -> None:
        self.outlets, self.weights, self.width, self.rest, self.fits = outlets, weights, width, rest, fits
        self.start = self.at = self.opened = tuple(outlet.at for outlet in outlets)
        self.number = 0
        self.beds: dict[str, Bed] = {}
        self.anchor: Bound | None = None
        self._ahead: Callable[[], tuple[PlanDay, ...]] = tuple

    def prepare(self, number: int, beds: dict[str, Bed], at: tuple[str, ...],
                ahead: Callable[[], tuple[PlanDay, ...]]) -> None:
        """Set it to the morning of day `number`."""
        self.number, self.beds, self.at, self.opened, self._ahead = number, beds, at, at, ahead

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
    for part in ("deficit", "resting", "fresh", "until", "graywater", "outer", "other", "today"):
        setattr(other, part, getattr(bed, part))
    return other


@dataclass(frozen=True, slots=True)
class Habit:
    """A named habit: gives each load of a day its arrangement, or None for the sewer.

    `begin_week`: what it thinks over on the morning of a Monday, before the first load.
    """

    name: str
    places: Callable[[Outlook, Sequence[PlanLoad]], Places]
    begin_week: Callable[[Outlook], None] | None = None


def _never(look: Outlook, loads: Sequence[PlanLoad]) -> Places:
    return [None if load.must_sewer else look.start for load in loads]


def _weekly(look: Outlook, loads: Sequence[PlanLoad]) -> Places:
    at = look.turn(look.number // WEEK)
    return [None if load.must_sewer else at for load in loads]


def _weekly_when_dry(look: Outlook, loads: Sequence[PlanLoad]) -> Places:
    return _where_it_fits(look, loads, lambda beds, load: look.turn(look.number // WEEK))


def _driest(look: Outlook, loads: Sequence[PlanLoad]) -> Places:
    return _where_it_fits(
        look, loads, lambda beds, load: _driest_fit(beds, look.outlets, look.at, load.litres))


def _driest_fit(beds: Mapping[str, Bed], outlets: Sequence[PlanOutlet], at: tuple[str, ...],
                litres: float) -> tuple[str, ...] | None:
    """Each outlet at the driest basin in its reach that has room, None where one finds none.

    The present place counts first among equals, then the garden's order.
    """
    new = list(at)
    for number, outlet in enumerate(outlets):
        best: tuple[float, str] | None = None
        for name in (new[number], *(n for n in beds if n != new[number] and n in outlet.reach)):
            others = sum(outlets[k].share * litres for k in range(number) if new[k] == name)
            if beds[name].fits(outlet.share * litres + others) and (best is None or beds[name].dryness() > best[0]):
                best = (beds[name].dryness(), name)
        if best is None:
            return None
        new[number] = best[1]
    return tuple(new) if fits(beds, arranged(outlets, new, litres)) else None


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


def _told(look: Outlook, loads: Sequence[PlanLoad]) -> Places:
    """Where the advice puts each load, asked before each as it comes."""
    days, beds = look.days(), look.copies()
    places: Places = []
    for number, load in enumerate(loads):
        chosen: tuple[str, ...] | None = None
        if load.must_sewer is None:
            today = replace(days[0], loads=tuple(loads[number:]))
            found = decide(*_garden(look, beds, days), (today, *days[1:]), look.weights, anchor=look.anchor,
                           fits=look.fits, width=look.width, rest=look.rest)
            chosen = found.steps[0].arrangement
        if chosen is not None:
            look.at = chosen
            for name, litres in arranged(look.outlets, chosen, load.litres).items():
                beds[name].give(litres, rest=look.rest)
        places.append(chosen)
    return places


def _begin_week(look: Outlook) -> None:
    """Plan the week as it seems on its Monday; the advice of the week's loads keeps to it where it can."""
    days = look.days()
    basins, outlets = _garden(look, look.beds, days)
    found = search(basins, outlets, days, look.weights, width=look.width, rest=look.rest)
    look.anchor = held_by(found.steps, days, look.at)


def _garden(look: Outlook, beds: Mapping[str, Bed],
            days: Sequence[PlanDay]) -> tuple[list[PlanBasin], list[PlanOutlet]]:
    outlets = [PlanOutlet(o.name, o.reach, here, o.share, moved=here != opened)
               for o, here, opened in zip(look.outlets, look.at, look.opened, strict=True)]
    return [_as_planned(bed, days) for bed in beds.values()], outlets


def _as_planned(bed: Bed, days: Sequence[PlanDay]) -> PlanBasin:
    basin = bed.basin
    return replace(basin, deficit_l=bed.deficit, used_today_l=bed.graywater, resting_until=_rest_end(bed, days),
                   outer_l=bed.outer, other_today_l=bed.other)


def _rest_end(bed: Bed, days: Sequence[PlanDay]) -> date | None:
    """The day on which a resting basin may be used again by the weather as it seems; None when it does not rest."""
    if not bed.resting:
        return bed.until
    deficit, outer, other, poured = bed.deficit, bed.outer, bed.other, bed.graywater
    for number, day in enumerate(days):
        numbers = bed.basin.numbers(day, outer, other)
        if number >= bed.fresh and deficit - numbers.rain_l >= half_raw(numbers):
            return day.day
        end = close_day(numbers, deficit, poured)
        deficit, outer, other, poured = end.deficit_l, end.outer_l, 0.0, 0.0
    return date.max


NEVER = Habit("never moving the outlet", _never)
WEEKLY = Habit("next basin every week", _weekly)
WEEKLY_WHEN_DRY = Habit("next basin every week, sewer when wet", _weekly_when_dry)
DRIEST = Habit("driest basin before every load, sewer when wet", _driest)
PLAN = Habit("the plan", _told, _begin_week)

HABITS = (NEVER, WEEKLY, WEEKLY_WHEN_DRY, DRIEST, PLAN)
"""The habits that a rehearsal sets side by side, the simplest first."""
