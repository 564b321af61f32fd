"""How long the light commands take, and how much memory: on a month, a year, ten and thirty, against an import.

    python -m tests.bench.startup [--runs 7]

One run, processor time, medians. Targets with a checkpoint: ten years at most 1.15 x of one month and thirty 1.3 x, in
processor time and memory; `where`, `today`, `plan` < 0.6 x `import sqlmodel` and `load` < 1.6 x at every length; the
first run without a checkpoint at most 3 x of one with it. Exit code 1 when one is missed.
"""

from __future__ import annotations

import argparse
import os
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parents[2]
BASE = "import sqlmodel"
COMMANDS = ("where towels", "today", "basins", "reminders", "plan", "load towels", "entries --last 20")
LENGTHS = {"month": 1 / 12, "year": 1.0, "10 years": 10.0, "30 years": 30.0}
LIMITS = {"where towels": 0.6, "today": 0.6, "plan": 0.6, "load towels": 1.6}
"""Against the import."""

GROWS = {"year": 1.15, "10 years": 1.15, "30 years": 1.3}
"""Against one month."""

FIRST = 3.0
_SEED = "import sys, demo_seed; demo_seed.DAYS = 31; sys.exit(demo_seed.main(sys.argv[1:]))"


def once(words: list[str], logbook: Path, kept: Path) -> tuple[float, float]:
    """Processor seconds and memory [MB] of one process: other work on the machine does not count."""
    env = {**os.environ, "GWLOG_LOGBOOK": str(logbook), "GWLOG_CHECKPOINTS": str(kept)}
    env.pop("PYTHONDONTWRITEBYTECODE", None)   # an installed gwlog has its bytecode, as the library has
    done = subprocess.Popen(words, env=env, cwd=ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    _, _, used = os.wait4(done.pid, 0)
    done.returncode = 0
    return used.ru_utime + used.ru_stime, used.ru_maxrss / 1024


def seeded(folder: Path, name: str, years: float) -> Path:
    """A demo logbook of so many years."""
    logbook = folder / f"{name.replace(' ', '-')}.db"
    longer = ["--years", str(round(years))] if years >= 1.0 else []
    subprocess.run([sys.executable, "-c", _SEED, "--logbook", str(logbook), *longer], cwd=ROOT, check=True,
                   capture_output=True)
    return logbook


def median(taken: list[tuple[float, float]]) -> tuple[float, float]:
    return statistics.median(one for one, _ in taken), statistics.median(two for _, two in taken)


def main() -> int:
    """Measure each command in turn on each logbook, print the table."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--runs", type=int, default=7)
    runs = parser.parse_args().runs
    missed = []
    with tempfile.TemporaryDirectory() as held:
        folder = Path(held)
        kept = folder / "kept"
        books = {name: seeded(folder, name, years) for name, years in LENGTHS.items()}
        gwlog = [sys.executable, "-m", "gwlog"]
        base, _ = median([once([sys.executable, "-c", BASE], books["month"], kept) for _ in range(runs + 1)][1:])
        print(f"{BASE}: {base * 1000:.0f} ms. Below: ms, against the import, against a month; MB, against a month")
        print(f"{'':18}" + "".join(f"{name:>32}" for name in books))
        first = {name: once([*gwlog, "today"], book, kept) for name, book in books.items()}
        for book in books.values():
            for _ in range(2):
                once([*gwlog, "today"], book, kept)   # the checkpoints of a year ago
        for command in COMMANDS:
            taken: dict[str, list[tuple[float, float]]] = {name: [] for name in books}
            for number in range(runs):
                # each load at a minute of its own: the same one twice would be refused, which costs a third
                more = ["--to", "sewer", "--at", f"0:{5 * number + 1:02d}"] if command.startswith("load") else []
                for name, book in books.items():
                    taken[name].append(once([*gwlog, *command.split(), *more], book, kept))
            row = {name: median(one) for name, one in taken.items()}
            shortest = row["month"]
            line = f"{command:18}"
            for name, (seconds, memory) in row.items():
                against, grown, larger = seconds / base, seconds / shortest[0], memory / shortest[1]
                line += f"{seconds * 1000:8.0f} {against:5.2f}x {grown:5.2f}x {memory:4.0f} {larger:5.2f}x"
                if against > LIMITS.get(command, against):
                    missed.append(f"{command}, {name}: {against:.2f} x the import, limit {LIMITS[command]} x")
                if name in GROWS and max(grown, larger) > GROWS[name]:
                    missed.append(f"{command}, {name}: {max(grown, larger):.2f} x of a month, limit {GROWS[name]} x")
            print(line)
            if command == "today":
                usual = {name: one[0] for name, one in row.items()}
    line = f"{'first “today”':18}"
    for name, (seconds, memory) in first.items():
        line += f"{seconds * 1000:8.0f} {seconds / base:5.2f}x {seconds / usual[name]:5.2f}x {memory:4.0f}{'':7}"
        if seconds / usual[name] > FIRST:
            missed.append(f"first “today”, {name}: {seconds / usual[name]:.2f} x of a later one, limit {FIRST} x")
    print(line + "   (against a later one)")
    for words in missed:
        print("MISSED", words)
    return int(bool(missed))


if __name__ == "__main__":
    sys.exit(main())
