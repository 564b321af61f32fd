"""Writers at once, each load said by two of them: what is lost, what is doubled, what each was told.

    python -m tests.bench.writers [--writers 8] [--each 25]
"""

from __future__ import annotations

import argparse
import contextlib
import os
from collections import Counter, defaultdict
from datetime import UTC, datetime, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

from gwlog import clock
from gwlog.cli.main import run
from gwlog.journal import reader, seal
from gwlog.journal.facts import WashLoad
from gwlog.libraries import WRITER, load
from tests.conftest import NOW, SITE

PLACES = ("sewer", "Fig", "Pomegranate")
LOADS = ("towels", "whites")


def at(moment: datetime) -> None:
    """From here on the clock stands at a moment."""
    clock.now = lambda: moment


def write(path: Path, writer: int, each: int) -> list[str]:
    """Log loads, each two minutes after the one before; the writer beside this one says the same ones."""
    told = []
    for number in range(each):
        place = writer // 2 * each + number
        moment = datetime(2026, 6, 2, 8, tzinfo=UTC) + timedelta(minutes=2 * place)
        code = run(["--logbook", str(path), "load", LOADS[place % 2], "--at", f"{moment:%Y-%m-%dT%H:%M}", "--to",
                    PLACES[place % 3]])
        told.append(f"{place}:{code}")
    return told


def main() -> None:
    """Fork the writers, then hold what they were told against the logbook."""
    asked = argparse.ArgumentParser()
    asked.add_argument("--writers", type=int, default=8)
    asked.add_argument("--each", type=int, default=25)
    said = asked.parse_args()
    load(*WRITER)
    with TemporaryDirectory() as folder, Path(os.devnull).open("w") as nowhere:
        path, site = Path(folder) / "logbook.db", Path(folder) / "site.toml"
        site.write_text(SITE, encoding="utf-8")
        with contextlib.redirect_stdout(nowhere), contextlib.redirect_stderr(nowhere):
            at(datetime(2026, 6, 1, 18, tzinfo=UTC))
            run(["--logbook", str(path), "begin", str(site)])
            at(NOW)
            ends, begins = os.pipe()
            children = []
            for writer in range(said.writers):
                child = os.fork()
                if not child:
                    os.write(begins, (" ".join(write(path, writer, said.each)) + "\n").encode())
                    os._exit(0)
                children.append(child)
            os.close(begins)
            with os.fdopen(ends) as lines:
                told = lines.read().split()
            for child in children:
                os.waitpid(child, 0)
        codes: defaultdict[str, list[int]] = defaultdict(list)
        for one in told:
            codes[one.partition(":")[0]].append(int(one.partition(":")[2]))
        runs = Counter((fact.usual_load, fact.happened_at) for fact in reader.read(path) if isinstance(fact, WashLoad))
        accepted = sum(one.count(0) for one in codes.values())
        print(f"{said.writers} writers, {len(told)} loads said, {len(codes)} different ones")
        refused, busy = (sum(one.count(code) for one in codes.values()) for code in (2, 5))
        print(f"told that it is logged {accepted}, that it is there already {refused}, busy {busy}")
        print(f"lost {accepted - sum(runs.values())}, doubled {sum(count - 1 for count in runs.values())}, "
              f"the seal {'holds' if seal.verify(path).holds else 'does not hold'}")


if __name__ == "__main__":
    main()
