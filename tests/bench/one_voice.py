"""Three households through a year, two moments a day: what is said of the next load, counted where it differs.

Run: python -m tests.bench.one_voice [--every DAYS]   (a whole year: about a quarter of an hour)
Exit code 1 when anything differs.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from datetime import date, timedelta

from tests.decisions import three_homes as homes

FIRST = {"demo": homes.DEMO_DAY - timedelta(days=365), "metric": date(2026, 1, 12), "dry": date(2026, 1, 12)}
DAYS = 365


def one(job: tuple[str, bool, int]) -> tuple[str, int, list[tuple[str, str]], float]:
    """Walk one household: its name, moments, what differs with its moment, and the processor time [s]."""
    name, obeys, every = job
    began = time.process_time()
    if name == "demo":
        made = homes.demo()
    else:
        made = homes.metric() if name == "metric" else homes.dry()
        homes.live(name, made, FIRST[name] - timedelta(days=7), DAYS + 7, obeys=obeys)
    walked, found = 0, []
    for now in homes.moments(made, FIRST[name], DAYS, every=every):
        walked += 1
        found += [(now.isoformat(), words) for words in homes.differences(made, now)]
    return f"{name}{'' if obeys or name == 'demo' else ', drifting'}", walked, found, time.process_time() - began


def main() -> int:
    """Print the counts and the first differences of each household."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--every", type=int, default=1, help="only every so-many-th day")
    every = parser.parse_args().every
    jobs = [("demo", True, every), ("metric", True, every), ("dry", True, every), ("metric", False, every),
            ("dry", False, every)]
    total = 0
    with ProcessPoolExecutor(2) as pool:
        for name, walked, found, took in pool.map(one, jobs):
            total += len(found)
            print(f"{name:18} {walked:5} moments   {len(found):4} differences   {took:6.0f} s", flush=True)
            for words, count in Counter(words.partition(":")[0] for _, words in found).most_common(5):
                print(f"    {count:4} x {words}")
            for moment, words in found[:5]:
                print(f"    {moment} {words[:300]}")
    return int(total > 0)


if __name__ == "__main__":
    sys.exit(main())
