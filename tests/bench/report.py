"""How long the papers of ten years take in each form, and how much memory: each in a process of its own.

    python -m tests.bench.report [--years 10] [--logbook PATH]

Targets: less than 4 s of processor time and less than 120 MB for every form. Exit code 1 when one is missed.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
MOST_SECONDS, MOST_MB = 4.0, 120.0
JOBS = (("report", "r.pdf"), ("report", "r.html"), ("report", "r.md"), ("report", "r.csv"),
        ("report --for everything --full", "all.csv"), ("report l.md --for everything --full --annex", "all.pdf"),
        ("report l.md --for everything --full --replace --annex", "all.html"), ("manual", "m.pdf"),
        ("manual", "m.html"), ("card", "c.pdf"), ("card", "c.html"))
ONCE = """
import resource, sys
from gwlog.cli.main import run
code = run(sys.argv[1:])
used = resource.getrusage(resource.RUSAGE_SELF)
print(used.ru_utime + used.ru_stime, used.ru_maxrss)
sys.exit(code)
"""


def main() -> int:
    """Run every form once, print seconds, megabytes and sizes.

    Judged by the processor's seconds: other work on the machine is not the report's.
    """
    parser = argparse.ArgumentParser()
    parser.add_argument("--years", type=int, default=10)
    parser.add_argument("--logbook", type=Path)
    chosen = parser.parse_args()
    missed = False
    with tempfile.TemporaryDirectory() as folder:
        logbook = chosen.logbook or Path(folder) / "logbook.db"
        if chosen.logbook is None:
            subprocess.run([sys.executable, str(ROOT / "demo_seed.py"), "--logbook", str(logbook), "--years",
                            str(chosen.years)], check=True, capture_output=True)
        for command, name in JOBS:
            out = Path(folder) / name
            start = time.perf_counter()
            ran = subprocess.run([sys.executable, "-c", ONCE, "--logbook", str(logbook), *command.split(), str(out)],
                                 check=True, cwd=folder, capture_output=True, text=True,
                                 env={**os.environ, "PYTHONPATH": str(ROOT)})
            seconds = time.perf_counter() - start
            cpu, kilobytes = map(float, ran.stdout.split()[-2:])
            megabytes = kilobytes / 1024
            late = cpu > MOST_SECONDS or megabytes > MOST_MB
            missed |= late
            print(f"{command} {name:<7} {seconds:6.2f} s (processor {cpu:5.2f} s) {megabytes:6.0f} MB   "
                  f"file {out.stat().st_size / 1e6:5.2f} MB{'   MISSED' if late else ''}")
    return int(missed)


if __name__ == "__main__":
    sys.exit(main())
