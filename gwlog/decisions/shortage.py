"""Which basins the plan leaves short of water, from when, and how much other water would keep them from going short.

A basin is short when its plants feel it (a day ends with a deficit beyond the next day's readily available water) for
a week on end, or until it is near wilting, and no load of the plan nor rain ends that before. What it needs of other
water is the least that leaves no need unmet after the first such day.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from gwlog.decisions.plan_account import account
from gwlog.decisions.plan_cost import WILT_AT, Bed, PlanBasin, PlanDay, PlanOutlet, Step, Weights
from gwlog.values import NamedTuple
from gwlog.water.basin import close_day
from gwlog.water.rest import TINY_L

AHEAD_DAYS = 14
"""Other water is told for so many days."""

PATIENCE_DAYS = 7
"""Plants that feel it for less than so many days are left to the plan, unless they come near wilting. Working
assumption: what a household that waters once a week with a can would look after."""

WORTH_TELLING_L = 1.0


class Short(NamedTuple):
    """A basin short of water: from the first day that nothing in the plan cures, the other water it needs [L].

    `share`: how much of the basin's ground the roots have reached (0..1).
    """

    basin: str
    first: date
    other_water_l: float
    share: float = 1.0

    def as_json(self) -> dict[str, Any]:
        """For programs."""
        return {"basin": self.basin, "from": self.first.isoformat(), "other_water_l": round(self.other_water_l, 3)}


def shortages(basins: Sequence[PlanBasin], outlets: Sequence[PlanOutlet], days: Sequence[PlanDay],
              steps: Sequence[Step]) -> tuple[Short, ...]:
    """The basins that a plan leaves short over its first AHEAD_DAYS days, in the garden's order."""
    days = days[:AHEAD_DAYS]
    made = account(basins, outlets, days, [step for step in steps if step.day < len(days)], Weights())
    found = []
    for basin in basins:
        poured = made.graywater_l[basin.name]
        first = _first_uncured(basin, days, poured)
        if first is None:
            continue
        needed = other_water(basin, days, poured, first)
        if needed >= WORTH_TELLING_L:
            found.append(Short(basin.name, days[first].day, needed, basin.spec.share))
    return tuple(found)


def _first_uncured(basin: PlanBasin, days: Sequence[PlanDay], poured: Sequence[float]) -> int | None:
    """The number of the first day of a stretch that lasts too long or comes too near wilting; None for no such."""
    bed, limits, began = Bed(basin), _unstressed(basin, days), None
    for number, day in enumerate(days):
        bed.open_day(day, poured[number])
        bed.end_day()
        if bed.deficit <= limits[number] + TINY_L:
            began = None
            continue
        began = number if began is None else began
        if number - began + 1 >= PATIENCE_DAYS or bed.deficit >= WILT_AT * bed.today.taw_l:
            return began
    return None


def _unstressed(basin: PlanBasin, days: Sequence[PlanDay]) -> list[float]:
    """The deficit with which each day may end without any need left unmet on the next [L]: that day's RAW."""
    outer, raws = basin.outer_l, []
    for day in days:
        numbers = basin.numbers(day, outer)
        outer = numbers.outer_l
        raws.append(numbers.raw_l)
    return [*raws[1:], *raws[-1:]]


def other_water(basin: PlanBasin, days: Sequence[PlanDay], poured: Sequence[float], first: int) -> float:
    """The least other water that leaves no need unmet after day `first` [L].

    `poured`: what the plan brings each day [L]. It is reckoned to come on the day it is needed, so that none is lost.
    """
    bed, limits, total = Bed(basin), _unstressed(basin, days), 0.0
    for number, day in enumerate(days):
        bed.open_day(day, poured[number])
        while number >= first:
            short = close_day(bed.today, bed.deficit, bed.graywater).deficit_l - limits[number]
            if short <= TINY_L:
                break
            more = short / bed.today.share
            total += more
            bed.graywater += more
        bed.end_day()
    return total
