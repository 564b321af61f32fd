"""Only clock.py reads the time: by what the source says, and by what happens when every other clock is stopped."""

from __future__ import annotations

import ast
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

from freezegun import freeze_time

import gwlog
from gwlog.household import look
from gwlog.notify.rounds import Round, tell
from gwlog.notify.settings_file import Settings
from tests.conftest import NOW, Runner

READERS = {"now", "utcnow", "today", "time", "time_ns", "localtime", "gmtime"}
OWNERS = {"datetime", "date", "time", "dt"}
PACKAGE = Path(gwlog.__file__).parent

# monotonic and perf_counter measure how long, not when: they are nobody's clock.


def readings(source: str) -> list[int]:
    """Lines on which the time of day is read or handed on: datetime.now(), date.today, from time import time ..."""
    found = []
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.ImportFrom) and node.module == "time":
            found += [node.lineno for name in node.names if name.name in READERS]
        elif isinstance(node, ast.Attribute) and node.attr in READERS:
            owner = getattr(node.value, "id", None) or getattr(node.value, "attr", None)
            # `datetime.time` is the class of wall times.
            if owner in OWNERS and (owner, node.attr) != ("datetime", "time"):
                found.append(node.lineno)
    return found


def test_a_reading_is_found() -> None:
    assert readings("import datetime as dt\nx = dt.datetime.now()\ny = date.today()\nz = time.time()") == [2, 3, 4]
    assert readings("from time import time_ns\nx = field(default_factory=date.today)") == [1, 2]
    assert readings("clock.now()\nself.now()\ntime(8)\nhere.time()") == []


def test_no_other_source_reads_the_time() -> None:
    found = {str(file.relative_to(PACKAGE)): lines for file in sorted(PACKAGE.rglob("*.py"))
             if (lines := readings(file.read_text(encoding="utf-8")))}
    # check_seal.py is run without gwlog: started by itself it has no other clock
    assert list(found) == ["clock.py", "journal/check_seal.py"] and all(len(lines) == 1 for lines in found.values())


def test_sql_does_not_read_the_time() -> None:
    for file in PACKAGE.rglob("*.py"):
        source = file.read_text(encoding="utf-8").casefold()
        assert not any(word in source for word in ("current_timestamp", "datetime('now'", "strftime('%s'", "unixepoch"))


def test_with_every_other_clock_stopped_in_another_year_everything_follows_clock_py(
        home: Runner, frozen: Callable[[datetime], None], tmp_path: Path) -> None:
    assert home("plan-load", "diapers", "--on", "thu 18:00").code == 0
    path = tmp_path / "logbook.db"
    commands = (("today", "--json"), ("where", "towels", "--json"), ("basins", "--json"), ("upkeep", "--json"),
                ("reminders", "--json"), ("entries", "--json"), ("plan", "--json"), ("watch", "--once"))
    told = [home(*words) for words in commands[:-1]]
    home("calendar", str(tmp_path / "c.ics"))
    calendar = (tmp_path / "c.ics").read_bytes()
    with freeze_time(datetime(2031, 12, 24, 3, 0, tzinfo=UTC)):
        again = [home(*words) for words in commands[:-1]]
        home("calendar", str(tmp_path / "again.ics"))
        home("observe", "odour", "Fig")
        done = tell(look(path, NOW), Settings(), {}, now=lambda: NOW)
    assert [answer.out for answer in again] == [answer.out for answer in told]
    assert (tmp_path / "again.ics").read_bytes() == calendar
    last = home("entries", "--json", "--last", "1").json["entries"][0]
    assert last["happened_at"] == "2026-07-14T18:00:00Z"
    assert isinstance(done, Round) and done.next_at is not None and done.next_at.year == 2026
