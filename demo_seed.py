"""Writes the demo logbook: an invented rented household and its fourteen months of laundry water, mistakes included.

    python demo_seed.py [--logbook PATH] [--today YYYY-MM-DD] [--seed N] [--years N] [--open]
"""

from __future__ import annotations

import argparse
import os
import shlex
import shutil
import sys
from collections.abc import Iterator, Sequence
from contextlib import AbstractContextManager, contextmanager
from datetime import date, datetime, time, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from gwlog import clock
from gwlog.errors import FAILED, FINE, BadInput, GwlogError
from gwlog.settings import NOTED_VARIABLE

if TYPE_CHECKING:
    from gwlog.demo.diary import Batch

LOGBOOK = Path(__file__).resolve().parent / ".demo" / "logbook.db"
ZONE = "America/Los_Angeles"
DAYS = 426
DAYS_PER_YEAR = 365.25
MOST_YEARS = 30
WEDNESDAY = 2
MEMORY = Path("/dev/shm")
MARK = "An invented household, written by demo_seed.py."


def main(words: Sequence[str] | None = None) -> int:
    """Write the demo logbook and say where it is; returns the exit code."""
    chosen = _options(words)
    try:
        present = clock.now()
        today = clock.local_day(present, ZONE) if chosen.today is None else _day(chosen.today)
        where: Path = chosen.logbook.expanduser().absolute()
        _refuse_other(where)
        batches = story(today, seed=chosen.seed, years=chosen.years)
        write(where, batches)
        _tell(where, sum(len(batch.facts) for batch in batches), None if chosen.today is None else today)
        if chosen.open:
            moment = present if chosen.today is None else clock.attach(datetime.combine(today, time(10)), ZONE)
            return _open(where, moment, live=chosen.today is None)
    except GwlogError as problem:
        print(problem, file=sys.stderr)
        if problem.hint:
            print(f"→ {problem.hint}", file=sys.stderr)
        return problem.exit_code
    except BrokenPipeError:
        # The reader went away (a pager, head); keep Python from flushing into it again.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    except OSError as fault:
        print(f"The demo logbook could not be written: {fault.strerror}.", file=sys.stderr)
        return FAILED
    return FINE


def _options(words: Sequence[str] | None) -> argparse.Namespace:
    reader = argparse.ArgumentParser(prog="demo_seed.py", description="Write the demo logbook: an invented household.")
    reader.add_argument("--logbook", type=Path, default=LOGBOOK, metavar="PATH",
                        help="where to write it (default: .demo/logbook.db beside this script)")
    reader.add_argument("--today", metavar="YYYY-MM-DD", help="the day on which its history ends (default: today)")
    reader.add_argument("--seed", type=int, default=1, metavar="N", help="another seed tells the story differently")
    reader.add_argument("--years", type=int, metavar="N", help=f"a longer history, up to {MOST_YEARS} years")
    reader.add_argument("--open", action="store_true",
                        help="open the screens; without a terminal, or with --today, print the day's page")
    return reader.parse_args(words)


def _day(typed: str) -> date:
    try:
        day = date.fromisoformat(typed)
    except ValueError:
        raise BadInput(f"“{typed[:40]}” is not a day; write it like 2026-05-03.") from None
    if not clock.FIRST_YEAR + MOST_YEARS < day.year < clock.LAST_YEAR:
        raise BadInput(f"{day} is out of range; years after {clock.FIRST_YEAR + MOST_YEARS} "
                       f"and before {clock.LAST_YEAR} are accepted.")
    return day


def story(today: date, *, seed: int = 1, years: int | None = None) -> list[Batch]:
    """The demo's entries up to the evening before `today`, one batch for each sitting at which they were written.

    The same for the same day, seed and years. Raises BadInput when `years` is out of range.
    """
    from dataclasses import replace

    from gwlog.demo.life import Life

    if years is not None and not 1 <= years <= MOST_YEARS:
        raise BadInput(f"{years} years cannot be written; 1 to {MOST_YEARS} are accepted.")
    first = today - timedelta(days=DAYS if years is None else round(years * DAYS_PER_YEAR))
    first -= timedelta(days=(first.weekday() - WEDNESDAY) % 7)
    batches = Life(first, today, seed).run().batches
    start, *others = batches
    marked = replace(start, facts=(replace(start.facts[0], note=MARK), *start.facts[1:]))
    return [marked, *others]


def write(where: Path, batches: Sequence[Batch]) -> None:
    """Write the batches into a new logbook at `where`, in the place of an older demo logbook.

    It is made beside it and put in place whole. Raises BadInput where another file is in the way.
    """
    from gwlog.journal import store
    from gwlog.journal.writer import append

    _refuse_other(where)
    try:
        where.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as fault:
        raise BadInput(f"No folder can be made at {where.parent}: {fault.strerror}.",
                       hint="Choose another place with --logbook PATH.") from None
    with TemporaryDirectory(prefix=".demo-", dir=where.parent) as beside, _bench(beside) as bench:
        draft, copy = Path(bench) / "logbook.db", Path(beside) / "logbook.db.copy"
        store.create(draft)
        with _nothing_noted():
            for batch in batches:
                append(draft, batch.facts, now=batch.recorded_at)
        shutil.copyfile(draft, copy)
        copy.chmod(0o600)
        for older in ("-wal", "-shm"):
            Path(f"{where}{older}").unlink(missing_ok=True)
        copy.replace(where)


@contextmanager
def _nothing_noted() -> Iterator[None]:
    """Keep no seal numbers of a draft that is nobody's logbook."""
    before = os.environ.get(NOTED_VARIABLE)
    os.environ[NOTED_VARIABLE] = ""
    try:
        yield
    finally:
        if before is None:
            del os.environ[NOTED_VARIABLE]
        else:
            os.environ[NOTED_VARIABLE] = before


def _bench(otherwise: str) -> AbstractContextManager[str]:
    """A folder to write in: in memory where the system has such a place, since every sitting waits for the disk."""
    in_memory = os.access(MEMORY, os.W_OK | os.X_OK)
    return TemporaryDirectory(prefix="gwlog-demo-", dir=MEMORY if in_memory else otherwise)


def _refuse_other(where: Path) -> None:
    """Raise BadInput when something is at `where` that is not a demo logbook."""
    from gwlog.journal import reader, store

    if not (where.exists() or where.is_symlink()):
        return
    try:
        store.check(where)
        ours = not where.is_symlink() and any(fact.note == MARK for fact in reader.read(where)[:1])
    except GwlogError:
        ours = False
    if not ours:
        raise BadInput(f"{where} is there already and is not a demo logbook; it was left as it is.",
                       hint="Choose another place with --logbook PATH.")


def _tell(where: Path, entries: int, today: date | None) -> None:
    quoted = shlex.quote(str(where))
    at = "" if today is None else f" --at {today}T10:00"
    print(f"The demo logbook is at {where}, {entries:,} entries.")
    print("Try:")
    print(f"  gwlog --logbook {quoted} today{at}")
    print(f"  gwlog --logbook {quoted} where towels{at}")


def _open(where: Path, moment: datetime, *, live: bool) -> int:
    """Open the screens; without a terminal, or for another day than today, print that day's page."""
    if live and sys.stdin.isatty() and sys.stdout.isatty():
        from gwlog.cli.main import run

        return run(["--logbook", str(where)])
    from gwlog.household import look_set_up
    from gwlog.views import today as page

    print()
    for line in page.lines(look_set_up(where, moment)):
        print(line)
    return FINE


if __name__ == "__main__":
    sys.exit(main())
