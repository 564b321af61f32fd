"""How long a plan takes against importing textual, and how that grows with days and with loads.

Run: python -m tests.bench.rotation_speed
"""

from __future__ import annotations

import resource
import subprocess
import sys
import time
from datetime import timedelta
from statistics import median

from gwlog.decisions.plan_cost import PlanDay, PlanLoad, PlanOutlet, Weights
from gwlog.decisions.plan_search import search
from tests.decisions import exact

LIMIT = 3.0
ROUNDS = 5


def garden(basins: int, outlets: int, days: int, loads: int):
    """A random garden with every basin in reach of every outlet."""
    made, _, _ = exact.instance(1, basins=basins, days=1, per_day=0)
    names = tuple(basin.name for basin in made)
    ends = [PlanOutlet(f"end {n}", names, names[n], 1 / outlets) for n in range(outlets)]
    plan_days = [PlanDay(exact.FIRST + timedelta(n), 5.0, 4.0 if n % 5 == 3 else 0.0,
                         (PlanLoad("wash", 68.0),) * loads) for n in range(days)]
    return made, ends, plan_days


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
    """Print the times; 1 when the plan takes more than three imports of textual."""
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
    return 0 if plan < LIMIT * unit else 1


if __name__ == "__main__":
    raise SystemExit(main())
