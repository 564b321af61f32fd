"""How long the proof of ten years takes: report, pack, verification of logbook and pack; and how much memory.

    python -m tests.bench.proof [--years 10]

Targets on 2 cores: report < 10 s, pack < 5 s, verify < 1 s, each process < 300 MB. Exit code 1 when one is missed.
Each is a process of its own, judged by its processor time, which other programs at work do not lengthen.
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
TARGETS = {"report.html": 10.0, "report.pdf": 10.0, "pack": 5.0, "verify": 1.0, "verify pack": 1.0,
           "check_seal.py": 1.0, "export": 5.0, "import": 30.0, "backup": 5.0}
MEGABYTES = 300


def timed(words: list[str], logbook: Path) -> tuple[float, float, float]:
    """Processor and wall seconds of one process, and the most memory that it used [MB]."""
    start = time.perf_counter()
    with subprocess.Popen(words, env={**os.environ, "GWLOG_LOGBOOK": str(logbook)}, stdout=subprocess.DEVNULL,
                          stderr=subprocess.PIPE, cwd=ROOT) as process:
        _, status, used = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
        talk = process.stderr.read().decode() if process.stderr else ""
    if process.returncode:
        raise SystemExit(f"{' '.join(words)}: exit code {process.returncode}\n{talk}")
    memory = used.ru_maxrss / (1024 if sys.platform != "darwin" else 1024 * 1024)
    return used.ru_utime + used.ru_stime, time.perf_counter() - start, memory


def main() -> int:
    """Measure each command on a long demo logbook."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--years", type=int, default=10)
    parser.add_argument("--runs", type=int, default=3)
    chosen = parser.parse_args()
    missed = False
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        logbook = place / "logbook.db"
        seed = [sys.executable, str(ROOT / "demo_seed.py"), "--logbook", str(logbook), "--years", str(chosen.years)]
        print(subprocess.run(seed, check=True, capture_output=True, text=True).stdout.splitlines()[0])
        gwlog = [sys.executable, "-m", "gwlog"]
        pack, jsonl, program = place / "record.zip", place / "all.jsonl", place / "check_seal.py"
        program.write_bytes((ROOT / "gwlog" / "journal" / "check_seal.py").read_bytes())
        commands = {
            "report.html": [*gwlog, "report", str(place / "report.html")],
            "report.pdf": [*gwlog, "report", str(place / "report.pdf")],
            "pack": [*gwlog, "pack", str(pack), "--replace"],
            "verify": [*gwlog, "verify"],
            "verify pack": [*gwlog, "verify", str(pack)],
            "check_seal.py": [sys.executable, "-I", str(program), str(pack)],
            "export": [*gwlog, "export", str(jsonl), "--replace"],
            "import": [*gwlog, "import", str(jsonl), "--logbook", ""],
            "backup": [*gwlog, "backup", "--to", str(place / "away"), "--keep", "1"],
        }
        for name, words in commands.items():
            taken = []
            for run in range(chosen.runs):
                if name == "import":
                    words = [*words[:-1], str(place / f"new-{run}.db")]
                taken.append(timed(words, logbook))
            seconds, wall = min(each[0] for each in taken), min(each[1] for each in taken)
            megabytes = max(each[2] for each in taken)
            late = seconds > TARGETS[name] or megabytes > MEGABYTES
            missed |= late
            print(f"{name:<15} {seconds:6.2f} s   limit {TARGETS[name]:2.0f} s   (wall {wall:5.2f} s)   "
                  f"{megabytes:5.0f} MB   limit {MEGABYTES} MB{'   MISSED' if late else ''}")
    return int(missed)


if __name__ == "__main__":
    sys.exit(main())
