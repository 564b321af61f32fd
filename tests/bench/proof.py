"""How long the proof of ten years takes: report, pack, verification, and the lists of entries; and how much memory.

    python -m tests.bench.proof [--years 10] [--runs 3]

Targets: report < 4 s, pack < 2 s, verify < 0.4 s, each process < 120 MB; a short list of a long logbook takes at most
1.15 times what it takes on the demo's own length. Exit code 1 when one is missed. Each is a process of its own, judged
by its processor time, which other programs at work do not lengthen.
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
TARGETS = {"report.html": 4.0, "report.pdf": 4.0, "pack": 2.0, "verify": 0.4, "verify pack": 0.4,
           "check_seal.py": 0.4, "export": 1.0, "export tables": 1.0, "import": 5.0, "backup": 0.5}
MEGABYTES = 120
LISTS = {
    "entries --last 20": ["entries", "--last", "20"],
    "entries --all": ["entries", "--all", "--last", "20"],
    "entries --kind": ["entries", "--kind", "outlet move", "--last", "20"],
    "entries --since": ["entries", "--since", "14 days ago"],
    "entries --entry": ["entries", "--entry", "100"],
}
TIMES = 1.15
"""What a list may take on the long logbook, against the same list on the demo's own length."""


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
            **{f"report.{form}": [*gwlog, "report", str(place / f"letter.{form}"), "--for", "everything", "--full",
                                  "--annex", str(place / f"report.{form}")] for form in ("html", "pdf")},
            "pack": [*gwlog, "pack", str(pack), "--replace"],
            "verify": [*gwlog, "verify"],
            "verify pack": [*gwlog, "verify", str(pack)],
            "check_seal.py": [sys.executable, "-I", str(program), str(pack)],
            "export": [*gwlog, "export", str(jsonl), "--replace"],
            "export tables": [*gwlog, "export", str(place / "tables"), "--csv", "--replace"],
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
            print(f"{name:<15} {seconds:6.2f} s   limit {TARGETS[name]:3.1f} s   (wall {wall:5.2f} s)   "
                  f"{megabytes:5.0f} MB   limit {MEGABYTES} MB{'   MISSED' if late else ''}")
        short = place / "short.db"
        subprocess.run([*seed[:2], "--logbook", str(short)], check=True, capture_output=True)
        for name, words in LISTS.items():
            missed |= listed(name, [*gwlog, *words], short, logbook, max(7, chosen.runs))
    return int(missed)


def listed(name: str, words: list[str], short: Path, long: Path, runs: int) -> bool:
    """Print a list's medians on both logbooks, run in turn; whether the long one takes too much."""
    taken = [(timed(words, short), timed(words, long)) for _ in range(runs)]
    base, seconds = (statistics.median(pair[number][0] for pair in taken) for number in (0, 1))
    before, megabytes = (max(pair[number][2] for pair in taken) for number in (0, 1))
    late = seconds > TIMES * base or megabytes > TIMES * before
    print(f"{name:<17} {seconds * 1000:4.0f} ms  {seconds / base:5.2f} x   limit {TIMES} x   {megabytes:5.0f} MB  "
          f"{megabytes / before:5.2f} x{'   MISSED' if late else ''}")
    return late


if __name__ == "__main__":
    sys.exit(main())
