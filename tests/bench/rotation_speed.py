"""How long a plan takes against importing textual, and how that grows with days and with loads.

Run: python -m tests.bench.rotation_speed
"""

from __future__ import annotations

import subprocess
import sys
import time
from datetime import timedelta
from statistics import median

from gwlog.decisions import plan_search
from gwlog.decisions.plan_cost import PlanDay, PlanLoad, PlanOutlet, Weights
from gwlog.decisions.plan_search import search
from tests.decisions import exact

LIMIT = 1.5
"""Imports of textual that a search may take for 10 basins, 2 outlets, 14 days, 3 loads a day."""

LARGE_LIMIT = 8.0
"""The same for 30 basins, 6 outlets that each reach all of them, and 40 loads a week."""

WITHIN = 1.02
"""What the large garden's plan may cost, against the widest search tried: the mean of LARGE_SEEDS gardens."""

LARGE_SEEDS = (1, 2, 3, 4)
WIDEST = (500_000, 10**9)
"""Work in the widest search: arrangements looked at, and basins looked at in making its plan better."""

ROUNDS = 5


def garden(basins: int, outlets: int, days: int, loads: int):
    """A random garden with every basin in reach of every outlet."""
    made, _, _ = exact.instance(1, basins=basins, days=1, per_day=0)
    names = tuple(basin.name for basin in made)
    ends = [PlanOutlet(f"end {n}", names, names[n], 1 / outlets) for n in range(outlets)]
    plan_days = [PlanDay(exact.FIRST + timedelta(n), 5.0, 4.0 if n % 5 == 3 else 0.0,
                         (PlanLoad("wash", 68.0),) * loads) for n in range(days)]
    return made, ends, plan_days


def large(seed: int):
    """30 basins, 6 outlets that each reach all of them, 40 loads a week, hot and dry."""
    made, _, _ = exact.instance(seed, basins=30, days=1, per_day=0)
    names = tuple(basin.name for basin in made)
    ends = [PlanOutlet(f"end {n}", names, names[5 * n], 1 / 6) for n in range(6)]
    days = [PlanDay(exact.FIRST + timedelta(n), 7.0, 0.0, (PlanLoad("wash", 68.0),) * (6 if n % 7 < 5 else 5))
            for n in range(14)]
    return made, ends, days


def large_gardens() -> tuple[float, float]:
    """Median processor time of a search of the large gardens, and what their plans cost against the widest search."""
    taken, cost, least = [], 0.0, 0.0
    for seed in LARGE_SEEDS:
        made = large(seed)
        began = time.process_time()
        cost += search(*made, Weights()).totals.cost
        taken.append(time.process_time() - began)
    usual = plan_search.WORK_LIMIT, plan_search.IMPROVING
    try:
        plan_search.WORK_LIMIT, plan_search.IMPROVING = WIDEST
        for seed in LARGE_SEEDS:
            least += search(*large(seed), Weights()).totals.cost
    finally:
        plan_search.WORK_LIMIT, plan_search.IMPROVING = usual
    return median(taken), cost / least


def seconds(*shape: int) -> float:
    """Median processor time of one search: other work on the machine does not count."""
    made = garden(*shape)
    taken = []
    for _ in range(ROUNDS):
        began = time.process_time()
        search(*made, Weights())
        taken.append(time.process_time() - began)
    return median(taken)


def main() -> int:
    """Print the times; 1 when a limit is passed."""
    import resource  # not on Windows, where a test borrows the gardens

    taken = []
    for _ in range(ROUNDS):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run([sys.executable, "-c", "import textual"], check=True)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        taken.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    unit = median(taken)
    plan = seconds(10, 2, 14, 3)
    print(f"import textual {unit:.3f} s; 10 basins, 2 outlets, 14 days, 3 loads a day {plan:.3f} s = "
          f"{plan / unit:.2f} of it (limit {LIMIT})")
    print("days 7, 14, 28, 56:", *(f"{seconds(10, 2, days, 3):.3f}" for days in (7, 14, 28, 56)))
    print("loads a day 1, 2, 3, 6:", *(f"{seconds(10, 2, 14, loads):.3f}" for loads in (1, 2, 3, 6)))
    print("4 basins, 1 outlet, 14 days, 1 load a day:", f"{seconds(4, 1, 14, 1):.3f}")
    took, share = large_gardens()
    print(f"30 basins, 6 outlets, 40 loads a week {took:.3f} s = {took / unit:.2f} of it (limit {LARGE_LIMIT}); cost "
          f"{share:.4f} of the widest search's (limit {WITHIN})")
    return 0 if plan < LIMIT * unit and took < LARGE_LIMIT * unit and share <= WITHIN else 1


if __name__ == "__main__":
    raise SystemExit(main())
