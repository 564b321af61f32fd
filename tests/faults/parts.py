"""The parts of the fault benchmark that go through the disk: every call, writers at once, flipped bytes, memory."""

from __future__ import annotations

import io
import random
import re
import shutil
import subprocess
import sys
import time
import zipfile
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

from tests.faults.judge import Judge
from tests.faults.runner import ROOT, Run, Runner
from tests.faults.world import NOW, copy, seal

COLUMNS = ("lost", "doubled", "uncaught", "leftovers", "false")
BELONGS = {"half": "lost", "unsound": "uncaught", "false words": "false"}
CEILING_MB = 200
SIZES = (900_000, 19_900_000, 99_000_000, 120_000_000)
KINDS = ("kill", "ENOSPC", "EIO")


@dataclass
class Part:
    """One part of the benchmark: how much of it, where, and what was found; counted under COLUMNS."""

    name: str
    runner: Runner
    world: Path
    work: Path
    share: float
    counts: Counter[str] = field(default_factory=Counter)
    words: list[str] = field(default_factory=list)
    seconds: float = 0.0
    """Processor time of other processes."""

    _began: float = field(default_factory=time.process_time)
    _told: Counter[str] = field(default_factory=Counter)

    def many(self, whole: int) -> int:
        """The share of a number, at least one."""
        return max(1, round(whole * self.share))

    def found(self, column: str, words: str) -> None:
        """Count something that is wrong."""
        self.counts[BELONGS.get(column, column)] += 1
        self.words.append(f"{column}: {words}")

    def row(self, what: str, count: int) -> None:
        """Print a row of the table: what was found since the row before, and the processor time so far."""
        fresh, self._told = self.counts - self._told, self.counts.copy()
        print(f"{what:<44}{count:>9,}  " + "".join(f"{fresh[column]:>11}" for column in COLUMNS)
              + f"{self.seconds + time.process_time() - self._began:>9.0f}", flush=True)


def calls(part: Part) -> None:
    """Every command that writes, killed or failed by the disk at every call; at some for good."""
    judge, dice = Judge(part.runner, part.world, part.work), random.Random(1)
    for what in KINDS:
        count = 0
        for name in judge.commands:
            total = judge.clean(name).calls
            for at in sorted(dice.sample(range(1, total + 1), part.many(total))):
                judge.case(name, at, what, lasting=what != "kill" and dice.random() < 0.25)
                count += 1
        for words in judge.found.words:
            part.found(*words.split(": ", 1))
        judge.found.words.clear()
        part.seconds, judge.found.seconds = part.seconds + judge.found.seconds, 0.0
        part.row(f"{what} at a call of {len(judge.commands)} commands", count)


def writers(part: Part) -> None:
    """Eight writers at once, each load said by two of them."""
    each = part.many(200)
    done = subprocess.run([sys.executable, "-m", "tests.bench.writers", "--each", str(each)], cwd=ROOT,
                          capture_output=True, text=True, check=False)
    figures = re.search(r"lost (-?\d+), doubled (\d+), the seal (holds)?", done.stdout)
    if figures is None or figures[3] is None:
        part.found("lost", f"writers: {done.stdout[-500:]}{done.stderr[-500:]}")
    else:
        for column, number in (("lost", abs(int(figures[1]))), ("doubled", int(figures[2]))):
            for _ in range(number):
                part.found(column, "writers at once")
    part.row(f"8 writers x {each}, doubled commands", 8 * each)


def flips(part: Part) -> None:
    """A flipped bit in a logbook: whatever `backup` calls verified, `restore` takes; nothing is a mistake of ours."""
    dice, count = random.Random(2), part.many(200)
    for _ in range(count):
        folder = copy(part.world, part.work / "flip")
        damaged = bytearray((folder / "house.db").read_bytes())
        place = dice.randrange(len(damaged))
        damaged[place] ^= 1 << dice.randrange(8)
        (folder / "house.db").write_bytes(damaged)
        made = part.runner.run(folder, "backup", now=NOW)
        files = list((folder / "backups").glob("house-*.db"))
        back = part.runner.run(folder, "--logbook", "back.db", "restore", str(files[0]), now=NOW) if files else None
        label = f"a bit at byte {place}"
        if made.code == 0 and (back is None or back.code != 0):
            part.found("false", f"{label}: the backup is called verified, and is not taken back: {back}")
        if back is not None and back.code == 0 and seal(folder / "back.db") != seal(part.world / "house.db"):
            part.found("lost", f"{label}: what is put back holds other entries")
        for run in (made, back, *(part.runner.run(folder, *args, now=NOW) for args in (
                ("verify",), ("check",), ("valve", "sewer"), ("today",)))):
            uncaught(part, run, label)
        shutil.rmtree(folder)
    part.row("flipped bits, backup against restore", count)


def uncaught(part: Part, run: Run | None, label: str) -> None:
    """Count a run that ended by a mistake of ours or without a word."""
    if run is None:
        return
    if "mistake in gwlog" in run.err or "Traceback" in run.err or run.code not in range(7):
        part.found("uncaught", f"{label}: {run.code} {run.err[-400:]}")
    elif run.code not in (0, 3, 4) and not run.err.strip():
        part.found("uncaught", f"{label}: {run.code} without a word")


def memory(part: Part) -> None:
    """Files made to fill the memory: each is refused, or read, within 200 MB."""
    folder, count = copy(part.world, part.work / "memory"), 0
    line = (folder / "old.jsonl").read_bytes().splitlines(keepends=True)[-1]
    contents = {}
    for size in SIZES:   # each just below what is accepted somewhere, and one that is accepted nowhere
        label = f"{size / 1e6:.1f} MB of"
        contents |= {f"{label} {name}": (piece * (size // len(piece) + 1))[:size] for name, piece in (
            ("newlines", b"\n"), ("one line", b"a"), ("quotes", b'"'), ("brackets", b"["), ("commas", b","),
            ("rows", b"2026-06-02,towels,garden\n"), ("zeros", b"\0"), ("entries", line))}
    contents |= {"a zip of zeros": _zip(bytes(900_000_000)), "a zip of newlines": _zip(b"\n" * 99_000_000),
                 "a zip of entries": _zip(line * (99_000_000 // len(line)))}
    contents = dict(random.Random(5).sample(sorted(contents.items()), part.many(len(contents))))
    asked = (("setup", "apply"), ("begin",), ("weather", "import"), ("import",), ("verify",), ("restore",),
             ("import", "--columns", "date=Day,load=What,to=Where"))
    for name, content in contents.items():
        (folder / "large").write_bytes(content)
        for words in asked:
            for ending in ("", ".zip") if name.startswith("a ") else ("",):
                where = folder / f"large{ending}"
                if ending:
                    shutil.copyfile(folder / "large", where)
                before = ("--logbook", "new.db") if words == ("begin",) or words == ("import",) else ()
                run = part.runner.run(folder, *before, *words, str(where), now=NOW)
                count += 1
                label = f"{name} to {words[0]}"
                uncaught(part, run, label)
                if run.peak_mb > CEILING_MB:
                    part.found("uncaught", f"{label}: {run.peak_mb:.0f} MB")
                part.seconds += run.seconds
                (folder / "new.db").unlink(missing_ok=True)
    shutil.rmtree(folder)
    part.row(f"files made to fill {CEILING_MB} MB of memory", count)


def _zip(content: bytes) -> bytes:
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as pack:
        for name in ("entries.jsonl", "manifest.json", "record.pack.zip", "pack.zip"):
            pack.writestr(name, content if name == "entries.jsonl" else b"{}")
    return made.getvalue()
