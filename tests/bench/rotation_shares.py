"""Whether water is shared: five years of weather, for the plan and two simpler habits, basin by basin.

Run: python -m tests.bench.rotation_shares            (a few minutes; prints each year and whether each target holds)
     python -m tests.bench.rotation_shares --sweep    (prices of need tried; the ones in use are marked)
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from datetime import date
from typing import NamedTuple

from gwlog.decisions import plan_cost, plan_table
from gwlog.decisions.plan_cost import WILT_AT
from gwlog.decisions.simulation import HabitResult, Scenario, rehearse
from gwlog.decisions.watering_policies import DRIEST, PLAN, WEEKLY, Habit
from tests.bench.station_years import STATIONS
from tests.decisions.section12 import dry_summer, scenario, seattle

HABITS = (WEEKLY, DRIEST, PLAN)
SHORT_DAYS = (0, 2, 5)
"""Weekdays on which the garden that is short of water gets its one load."""

# most percolation, unmet need and moves, as shares of the weekly rotation's
TARGETS = {"seattle": (0.15, 0.30, 0.6), "dry summer": (0.15, 0.12, 1.6)}

STRESS_FACTORS = (0.0, 2.0, 5.0, 8.0)
WILT_PRICES = (0.0, 15.0, 60.0)


class Row(NamedTuple):
    """What one habit came to in one year. `wilting`: days at 95 % of the TAW or beyond of each basin; `dry`: the
    basins that were never watered.
    """

    percolated_l: float
    unmet_l: float
    sewer_l: float
    moves: int
    wilting: tuple[int, ...]
    dry: tuple[str, ...]


def years() -> dict[str, Scenario]:
    """The years by name: six loads a week for four basins; “short”: three loads a week for three of them."""
    made = {"seattle": scenario(seattle(), date(2013, 1, 1), 365, 1),
            "dry summer": scenario(dry_summer(seattle()), date(2013, 1, 1), 365, 1)}
    for name, weather in STATIONS.items():
        days = weather()
        made[name] = scenario(days, min(days), 365, 1)
        made[f"{name}, short"] = short(made[name])
    return made


def short(year: Scenario) -> Scenario:
    """The same weather over three of the basins, with half the water."""
    names = tuple(basin.name for basin in year.basins[:3])
    days = tuple(replace(day, loads=(year.usual,) if day.day.weekday() in SHORT_DAYS else ()) for day in year.days)
    week = tuple(float(weekday in SHORT_DAYS) for weekday in range(7))
    return replace(year, basins=year.basins[:3], outlets=(replace(year.outlets[0], reach=names),), days=days,
                   usual_week=week)


def one(job: tuple[str, Habit, tuple[float, float] | None]) -> Row:
    """One year through one habit, with prices of their own or those in use."""
    name, habit, prices = job
    if prices is not None:
        for module in (plan_cost, plan_table):
            module.STRESS_FACTOR, module.WILT_PRICE = prices  # type: ignore[attr-defined]
    year = years()[name]
    return row(year, rehearse(year, habits=(habit,)).results[0])


def row(year: Scenario, result: HabitResult) -> Row:
    """The figures of one habit."""
    taw = {basin.name: basin.spec.taw_l for basin in year.basins}
    wilting = tuple(sum(deficit >= WILT_AT * taw[name] for deficit in series.deficit_l)
                    for name, series in result.series.items())
    dry = tuple(name for name, series in result.series.items() if not any(series.graywater_l))
    return Row(result.percolated_l, result.unmet_l, result.sewer_l, result.moves, wilting, dry)


def said(one: Row) -> str:
    """A row in words."""
    return (f"percolated {one.percolated_l:6.0f}  unmet {one.unmet_l:6.0f}  sewer {one.sewer_l:6.0f}  moves "
            f"{one.moves:4}  wilting days {' '.join(map(str, one.wilting)):14}  never watered {len(one.dry)}")


def misses(name: str, plan: Row, weekly: Row, driest: Row) -> Iterator[str]:
    """The targets that are not reached."""
    if sum(plan.wilting) > min(sum(weekly.wilting), sum(driest.wilting)):
        yield "basins wilt that a simpler habit saves"
    if plan.dry:
        yield f"never watered: {', '.join(plan.dry)}"
    for what, got, most in zip(("percolation", "unmet need", "moves"), shares(plan, weekly),
                               TARGETS.get(name, ()), strict=False):
        if got > most:
            yield f"{what} {got:.3f} of weekly rotation's, {most:.2f} is the target"


def shares(plan: Row, weekly: Row) -> tuple[float, float, float]:
    """The plan's percolation, unmet need and moves against the weekly rotation's."""
    return (plan.percolated_l / max(weekly.percolated_l, 1.0), plan.unmet_l / max(weekly.unmet_l, 1.0),
            plan.moves / max(weekly.moves, 1))


def compare() -> int:
    """Print every year; 1 where a target is missed."""
    names, missed = list(years()), 0
    jobs = [(name, habit, None) for name in names for habit in HABITS]
    with ProcessPoolExecutor(2) as pool:
        rows = dict(zip([(name, habit.name) for name, habit, _ in jobs], pool.map(one, jobs), strict=True))
    for name in names:
        print(f"\n{name}")
        for habit in HABITS:
            print(f"  {habit.name:46} {said(rows[name, habit.name])}")
        weekly, driest, plan = (rows[name, habit.name] for habit in HABITS)
        print("  of weekly rotation's: percolation {:.3f}, unmet {:.3f}, moves {:.2f}".format(*shares(plan, weekly)))
        for words in misses(name, plan, weekly, driest):
            missed = 1
            print(f"  MISSED: {words}")
    return missed


def sweep() -> int:
    """Print what the plan comes to with other prices of need."""
    names = ("seattle", "dry summer", "desert, short")
    prices = [(stress, wilt) for stress in STRESS_FACTORS for wilt in WILT_PRICES]
    in_use = (plan_cost.STRESS_FACTOR, plan_cost.WILT_PRICE)
    if in_use not in prices:
        prices.append(in_use)
    jobs = [(name, PLAN, one) for name in names for one in prices]
    with ProcessPoolExecutor(2) as pool:
        rows = pool.map(one, jobs)
        for (name, _, price), found in zip(jobs, rows, strict=True):
            mark = "<- in use" if price == in_use else ""
            print(f"{name:14} stress {price[0]:3.0f}  wilting {price[1]:3.0f}  {said(found)} {mark}", flush=True)
    return 0


def main() -> int:
    """Print the comparison, or the sweep."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--sweep", action="store_true", help="try prices of need")
    return sweep() if parser.parse_args().sweep else compare()




if __name__ == "__main__":
    sys.exit(main())
