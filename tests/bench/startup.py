"""How long the light commands take, as ratios to importing a library in the same run.

    python -m tests.bench.startup [--runs 9]

Targets: `load` < 2 x `python -c "import sqlmodel"`; `where`, `today` < 0.5 x. Exit code 1 when one is missed.
"""

from __future__ import annotations

import argparse
import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]


def once(words: list[str], logbook: Path) -> float:
    """Wall seconds of one process."""
    env = {**os.environ, "GWLOG_LOGBOOK": str(logbook)}
    env.pop("PYTHONDONTWRITEBYTECODE", None)   # an installed gwlog has its bytecode, as the library has
    start = time.perf_counter()
    subprocess.run(words, env=env, capture_output=True, check=False)
    return time.perf_counter() - start


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
            "import sqlmodel": [sys.executable, "-c", "import sqlmodel"],
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
    base = statistics.median(taken["import sqlmodel"])
    missed = False
    for name, limit in (("import sqlmodel", 1.01), ("where towels", 0.5), ("today", 0.5), ("load towels", 2.0)):
        median = statistics.median(taken[name])
        late = median / base > limit
        missed |= late
        print(f"{name:<16} {median * 1000:7.0f} ms   {median / base:5.2f} x   limit {limit:4.2f} x"
              f"{'   MISSED' if late else ''}")
    return int(missed)


if __name__ == "__main__":
    sys.exit(main())
