"""The exact account of a plan, load by load and day by day: what it comes to and what it costs.

The search weighs plans with its own tables; what a plan finally reports comes from here.
"""

from __future__ import annotations

from collections.abc import Sequence

from gwlog.decisions.plan_cost import (
    Bed,
    PlanBasin,
    PlanDay,
    PlanOutlet,
    Step,
    Totals,
    Weights,
    sewer_price,
    walks_of_day,
)
from gwlog.values import NamedTuple


class Account(NamedTuple):
    """A plan's totals and, per basin, each day's graywater [L] and deficit at the day's end [L]."""

    totals: Totals
    graywater_l: dict[str, tuple[float, ...]]
    deficit_l: dict[str, tuple[float, ...]]


def account(basins: Sequence[PlanBasin], outlets: Sequence[PlanOutlet], days: Sequence[PlanDay],
            steps: Sequence[Step], weights: Weights) -> Account:
    """Follow a plan load by load and day by day, and add up what it comes to."""
    beds = {basin.name: Bed(basin) for basin in basins}
    series: dict[str, list[tuple[float, float]]] = {name: [] for name in beds}
    at = tuple(outlet.at for outlet in outlets)
    percolated = unmet = need = sewer = sewer_cost = 0.0
    moves = walks = 0
    by_day: dict[int, list[Step]] = {}
    for step in steps:
        by_day.setdefault(step.day, []).append(step)
    for number, day in enumerate(days):
        for bed in beds.values():
            bed.open_day(day, bed.basin.used_today_l if number == 0 else 0.0)
        before = [int(outlet.moved and number == 0) for outlet in outlets]
        carried = list(before)
        for step in by_day.get(number, ()):
            if step.arrangement is None:
                sewer += step.load.litres
                sewer_cost += step.load.litres * sewer_price(weights, number, len(days))
                continue
            carried = [n + (old != new) for n, old, new in zip(carried, at, step.arrangement, strict=True)]
            at = step.arrangement
            for outlet, name in zip(outlets, at, strict=True):
                beds[name].graywater += outlet.share * step.load.litres
        moves += sum(carried) - sum(before)
        walks += sum(walks_of_day(n) - known for n, known in zip(carried, before, strict=True))
        for name, bed in beds.items():
            beyond, short, price = bed.close_day()
            percolated += beyond
            unmet += short
            need += price
            series[name].append((bed.graywater, bed.deficit))
    percolated = max(0.0, percolated - rain_alone(basins, days))
    left = sum(bed.deficit for bed in beds.values())
    need *= weights.unmet
    cost = weights.percolated * percolated + need + sewer_cost + weights.move * walks + weights.left * left
    return Account(
        Totals(percolated, unmet, sewer, moves, left, cost, need, sewer_cost, walks),
        {name: tuple(water for water, _ in rows) for name, rows in series.items()},
        {name: tuple(deficit for _, deficit in rows) for name, rows in series.items()},
    )


def rain_alone(basins: Sequence[PlanBasin], days: Sequence[PlanDay]) -> float:
    """What would percolate from these basins without any further load [L]: no plan can help it."""
    total = 0.0
    for basin in basins:
        bed = Bed(basin)
        for number, day in enumerate(days):
            bed.open_day(day, basin.used_today_l if number == 0 else 0.0)
            total += bed.close_day()[0]
    return total
