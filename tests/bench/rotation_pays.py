"""Eight years of the measured garden in each of two climates: what the plan gains over simpler habits.

Run: python -m tests.bench.rotation_pays   (two minutes; prints means and whether each target holds)
"""

from __future__ import annotations

from concurrent.futures import ProcessPoolExecutor
from datetime import date

from gwlog.decisions.simulation import rehearse
from gwlog.decisions.watering_policies import HABITS, NEVER, PLAN, WEEKLY, WEEKLY_WHEN_DRY
from tests.decisions.section12 import dry_summer, scenario, seattle

YEARS = (2012, 2013, 2014, 2015)
PATTERNS = (1, 2)
PARTS = ("over_allowance_l", "percolated_l", "unmet_l", "sewer_l", "stress_days", "wilting_days", "moves",
         "valve_turns")

# climate: most of the weekly rotation's percolation, unmet need and moves; most unmet of the same, sewer when wet
TARGETS = {"mild": (0.15, 0.30, 0.6, 0.35), "dry": (0.15, 0.12, 1.6, 0.12)}


def one(job: tuple[str, int, int]) -> dict[str, tuple[float, ...]]:
    """One year of one climate with one pattern of loads: the figures of every habit."""
    climate, year, pattern = job
    weather = seattle() if climate == "mild" else dry_summer(seattle())
    done = rehearse(scenario(weather, date(year, 1, 1), 365, pattern * 100 + year))
    return {result.habit: tuple(float(getattr(result, part)) for part in PARTS) for result in done.results}


def main() -> None:
    """Print the means of the eight runs and each target."""
    jobs = [(climate, year, pattern) for climate in TARGETS for year in YEARS for pattern in PATTERNS]
    with ProcessPoolExecutor(2) as pool:
        runs = list(pool.map(one, jobs))
    for climate, (percolated, unmet, moves, unmet_when_dry) in TARGETS.items():
        of_climate = [run for job, run in zip(jobs, runs, strict=True) if job[0] == climate]
        print(f"\n{climate}: mean of {len(of_climate)} runs; {', '.join(PARTS)}")
        mean = {}
        for habit in HABITS:
            rows = [run[habit.name] for run in of_climate]
            mean[habit.name] = dict(zip(PARTS, (sum(c) / len(rows) for c in zip(*rows, strict=True)), strict=True))
            print(f"  {habit.name:48}" + "".join(f"{value:9.0f}" for value in mean[habit.name].values()))
        plan, weekly, dry = mean[PLAN.name], mean[WEEKLY.name], mean[WEEKLY_WHEN_DRY.name]
        for what, got, most in (
            ("litres over the allowance", plan["over_allowance_l"], 0.0),
            ("percolated / weekly rotation", plan["percolated_l"] / weekly["percolated_l"], percolated),
            ("unmet / weekly rotation", plan["unmet_l"] / weekly["unmet_l"], unmet),
            ("moves / weekly rotation", plan["moves"] / weekly["moves"], moves),
            ("unmet / weekly, sewer when wet", plan["unmet_l"] / dry["unmet_l"], unmet_when_dry),
        ):
            print(f"  {what:34} {got:6.3f}  target {most:.2f}  {'met' if got <= most + 1e-9 else 'MISSED'}")
        against_never = plan["percolated_l"] / mean[NEVER.name]["percolated_l"]
        print(f"  {'percolated / outlet never moves':34} {against_never:6.3f}")


if __name__ == "__main__":
    main()
