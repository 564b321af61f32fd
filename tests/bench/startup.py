"""How long the light commands take, in processor time, as ratios to importing a library in the same run.

    python -m tests.bench.startup [--runs 9] [--years 10]

Targets: `where`, `today` < 0.6 x `python -c "import sqlmodel"` on the demo and < 1.0 x on ten years, `load` < 2 x and
< 2.2 x. Exit code 1 when one is missed.
"""

from __future__ import annotations

import argparse
import os
import resource
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parents[2]
BASE = "import sqlmodel"
LIMITS = {"where towels": (0.6, 1.0), "today": (0.6, 1.0), "load towels": (2.0, 2.2)}
"""On the demo, and on a longer logbook."""


def once(words: list[str], logbook: Path) -> float:
    """Processor seconds of one process: other work on the machine does not count."""
    env = {**os.environ, "GWLOG_LOGBOOK": str(logbook)}
    env.pop("PYTHONDONTWRITEBYTECODE", None)   # an installed gwlog has its bytecode, as the library has
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(words, env=env, capture_output=True, check=False)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def main() -> int:
    """Measure in turn A B C A B C, print medians and ratios."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--runs", type=int, default=9)
    parser.add_argument("--years", type=int, default=0, help="a longer demo logbook")
    chosen = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        logbook = Path(folder) / "logbook.db"
        longer = ["--years", str(chosen.years)] if chosen.years else []
        subprocess.run([sys.executable, str(ROOT / "demo_seed.py"), "--logbook", str(logbook), *longer],
                       check=True, capture_output=True)
        gwlog = [sys.executable, "-m", "gwlog"]
        commands = {
            BASE: [sys.executable, "-c", BASE],
            "where towels": [*gwlog, "where", "towels"],
            "today": [*gwlog, "today"],
            "load towels": [*gwlog, "load", "towels"],
        }
        taken: dict[str, list[float]] = {name: [] for name in commands}
        for run in range(chosen.runs + 1):
            for name, words in commands.items():
                seconds = once(words, logbook)
                if run:
                    taken[name].append(seconds)
    base = statistics.median(taken[BASE])
    print(f"{BASE:<16} {base * 1000:7.0f} ms")
    missed = False
    for name, limits in LIMITS.items():
        median, limit = statistics.median(taken[name]), limits[bool(chosen.years)]
        late = median / base > limit
        missed |= late
        print(f"{name:<16} {median * 1000:7.0f} ms   {median / base:5.2f} x   limit {limit:4.2f} x"
              f"{'   MISSED' if late else ''}")
    return int(missed)


if __name__ == "__main__":
    sys.exit(main())
