"""Whether a logbook was written to, from its files alone: a False is sure, whatever the clock and the disk do."""

from __future__ import annotations

import os
from datetime import timedelta
from pathlib import Path

import pytest

from gwlog.journal import reader, store
from gwlog.journal.changes import SETTLED, Writes
from gwlog.journal.writer import append
from tests.journal.samples import NOW, ONE_OF_EACH

LONG_AGO = (NOW - timedelta(days=1)).timestamp()


@pytest.fixture
def logbook(tmp_path: Path) -> Path:
    path = tmp_path / "logbook.db"
    store.create(path)
    age(path)
    return path


def age(path: Path, moment: float = LONG_AGO) -> None:
    """As if nobody had written since `moment`."""
    for file in (path, Path(f"{path}-wal")):
        if file.exists():
            os.utime(file, (moment, moment))


def test_nothing_is_new_until_somebody_writes(logbook: Path) -> None:
    writes = Writes(logbook)
    assert [writes.since_last(NOW) for _ in range(3)] == [True, False, False]
    append(logbook, ONE_OF_EACH[:1], now=NOW)
    assert writes.since_last(NOW)
    age(logbook, LONG_AGO + 60)
    assert [writes.since_last(NOW) for _ in range(2)] == [True, False]


def test_what_reads_the_logbook_writes_nothing(logbook: Path) -> None:
    writes = Writes(logbook)
    writes.since_last(NOW)
    reader.read(logbook)
    reader.data_version(logbook)
    assert not writes.since_last(NOW)


def test_a_second_write_within_the_step_of_the_systems_clock_is_not_overlooked(logbook: Path) -> None:
    writes = Writes(logbook)
    age(logbook, (NOW - SETTLED).timestamp())
    assert [writes.since_last(NOW) for _ in range(3)] == [True, True, True]
    assert [writes.since_last(NOW + timedelta(seconds=1)) for _ in range(2)] == [True, False]


def test_while_another_holds_it_open_its_log_of_writes_counts(logbook: Path) -> None:
    writes = Writes(logbook)
    with reader.reading(logbook):
        append(logbook, ONE_OF_EACH[:1], now=NOW)
        age(logbook)
        assert [writes.since_last(NOW) for _ in range(2)] == [True, False]
        append(logbook, ONE_OF_EACH[1:2], now=NOW)
        before = logbook.stat()
        age(logbook)
        assert logbook.stat().st_size == before.st_size   # it is the log beside it that grew
        assert writes.since_last(NOW)


def test_files_that_are_gone_or_from_the_future_are_never_taken_for_unchanged(logbook: Path) -> None:
    writes = Writes(logbook)
    age(logbook, (NOW + timedelta(days=1)).timestamp())
    assert [writes.since_last(NOW) for _ in range(2)] == [True, True]
    nobody = Writes(logbook.with_name("none.db"))
    assert [nobody.since_last(NOW) for _ in range(2)] == [True, True]
