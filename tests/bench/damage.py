"""Logbooks damaged at random, commands killed at random: what is said, what is restored, repaired and left over.

    .venv/bin/python -m tests.bench.damage [flips] [kills]     (default: 200 and 100)
"""

from __future__ import annotations

import os
import random
import subprocess
import sys
from collections import Counter
from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryDirectory

from gwlog.app.check import check
from gwlog.errors import GwlogError
from gwlog.journal import backup, exchange, reader

NOW = datetime(2026, 7, 14, 18, 0, tzinfo=UTC)
COMMANDS = (("restore", "put.db"), ("backup",), ("handover", "h.zip", "--replace"), ("check", "--repair"),
            ("import", "e.jsonl", "--logbook", "new.db"), ("export", "o.jsonl", "--replace"))


def entries(path: Path) -> list[str]:
    """Every entry as it was sealed, without its note."""
    with reader.reading(path) as connection:
        return [entry.body for entry in exchange.sealed_entries(connection)]


def flip(whole: bytes, chance: random.Random, folder: Path, expected: list[str]) -> str:
    """Damage a logbook, back it up, restore the backup, repair it; returns what came of it."""
    damaged = bytearray(whole)
    for _ in range(chance.choice((1, 1, 3, 30))):
        damaged[chance.randrange(len(damaged))] ^= 1 << chance.randrange(8)
    logbook = folder / "logbook.db"
    logbook.write_bytes(damaged)
    try:
        made = backup.backup(logbook, now=NOW)
        said = "backup verified" if made.verification.holds else "backup says damaged"
        try:
            backup.restore(made.file, folder / "back.db", now=NOW)
            said += ", restored"
        except GwlogError:
            said += ", not restored"
    except GwlogError:
        said = "backup refused"
    # The backup that was just made of the damaged file is not what was repaired.
    found = check(logbook, NOW, repair=True)
    sound = all(part.state != "fault" for part in found.parts if part.name != "newest backup")
    kept = "" if not sound else ", entries whole" if entries(logbook) == expected else ", ENTRIES LOST"
    left = ", LEFTOVERS" if list(folder.rglob("*.draft*")) else ""
    return f"{said}; {'sound' if sound else 'not repaired'} after --repair{kept}{left}"


def kill(folder: Path, chance: random.Random, words: tuple[str, ...]) -> bool:
    """Start a command and kill it somewhere; returns whether it was still at work."""
    where = {**os.environ, "GWLOG_LOGBOOK": "logbook.db", "TMPDIR": str(folder / "tmp")}
    process = subprocess.Popen([sys.executable, "-m", "gwlog", *words], cwd=folder, env=where,
                               stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        process.wait(0.2 + chance.random() * 2)
        return False
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait()
        return True


def main(flips: int, kills: int) -> None:
    """Print what came of it."""
    chance = random.Random(1)
    with TemporaryDirectory() as place:
        source = Path(place) / "demo.db"
        subprocess.run([sys.executable, "demo_seed.py", "--logbook", str(source), "--today", "2026-07-14"], check=True,
                       stdout=subprocess.DEVNULL)
        whole, expected, counted = source.read_bytes(), entries(source), Counter[str]()
        for _ in range(flips):
            with TemporaryDirectory() as folder:
                counted[flip(whole, chance, Path(folder), expected)] += 1
        for what, number in counted.most_common():
            print(f"{number:5}  {what}")
        folder = Path(place) / "killed"
        (folder / "tmp").mkdir(parents=True)
        for name in ("logbook.db", "put.db"):
            (folder / name).write_bytes(whole)
        (folder / "e.jsonl").write_bytes(exchange.export(source))
        killed, seen = 0, 0
        for number in range(kills):
            (folder / "new.db").unlink(missing_ok=True)
            killed += kill(folder, chance, COMMANDS[number % len(COMMANDS)])
            seen += len(list(folder.rglob("*.draft*")))
        subprocess.run([sys.executable, "-m", "gwlog", "check"], cwd=folder, stdout=subprocess.DEVNULL, check=True,
                       env={**os.environ, "GWLOG_LOGBOOK": "logbook.db", "TMPDIR": str(folder / "tmp")})
        print(f"{killed} of {kills} commands killed at work; {seen} drafts seen in between; after the next command: "
              f"{len(list(folder.rglob('*.draft*')))}; entries whole: {entries(folder / 'logbook.db') == expected}")


if __name__ == "__main__":
    main(*(int(word) for word in (sys.argv[1:] or ("200", "100"))))
