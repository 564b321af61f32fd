"""What the watcher's ticks read: nothing while nothing happens, the logbook where it changed, and all that is due."""

from __future__ import annotations

import os
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from gwlog.errors import LogbookBusy
from gwlog.journal import reader
from gwlog.notify import watcher as module
from gwlog.notify.watcher import LOOK_AT_LEAST, TICK_S, Watcher
from tests.conftest import NOW, Runner

Counts = dict[str, int]


@pytest.fixture
def counts(monkeypatch: pytest.MonkeyPatch) -> Counts:
    """How often the logbook was asked for its version, and read."""
    made = {"asked": 0, "read": 0}

    def counted(name: str, real: Callable[..., object]) -> Callable[..., object]:
        def call(*given: object, **named: object) -> object:
            made[name] += 1
            return real(*given, **named)

        return call

    monkeypatch.setattr(reader, "data_version", counted("asked", reader.data_version))
    monkeypatch.setattr(module, "look_set_up", counted("read", module.look_set_up))
    return made


@pytest.fixture
def path(home: Runner, tmp_path: Path) -> Path:
    settled(tmp_path / "logbook.db")
    return tmp_path / "logbook.db"


def settled(path: Path, before: timedelta = timedelta(minutes=1)) -> None:
    """As if the last entry had been written a while ago, by the clock of the test."""
    moment = (NOW - before).timestamp()
    for file in (path, Path(f"{path}-wal")):
        if file.exists():
            os.utime(file, (moment, moment))


def test_ticks_on_which_nothing_happens_do_not_open_the_logbook(
        path: Path, counts: Counts, frozen: Callable[[datetime], None]) -> None:
    watcher = Watcher(path, print)
    watcher.tick()   # it tells something, and notes that in the file
    settled(path)
    watcher.tick()
    first = dict(counts)
    assert first["read"] == 1
    for number in range(1, 100):
        frozen(NOW + timedelta(seconds=number * TICK_S))
        watcher.tick()
    assert counts == first


def test_an_entry_is_read_once(path: Path, counts: Counts, home: Runner) -> None:
    watcher = Watcher(path, print)
    watcher.tick()
    assert home("observe", "ponding", "Fig").code == 0
    settled(path, timedelta(seconds=50))
    for _ in range(5):
        watcher.tick()
    assert counts["read"] == 2


def test_after_a_while_it_is_looked_at_anew_without_being_read(
        path: Path, counts: Counts, frozen: Callable[[datetime], None]) -> None:
    watcher = Watcher(path, print)
    watcher.tick()
    watcher._next = None
    later = NOW + LOOK_AT_LEAST + timedelta(seconds=1)
    frozen(later)
    watcher.tick()
    assert counts["read"] == 1
    assert watcher._home is not None and watcher._home.now == later


def test_a_round_that_failed_is_tried_again_with_the_next_tick(
        path: Path, counts: Counts, monkeypatch: pytest.MonkeyPatch) -> None:
    said: list[str] = []
    watcher = Watcher(path, said.append)
    tell = module.tell

    def busy(*given: object, **named: object) -> None:
        raise LogbookBusy("The logbook is busy.")

    monkeypatch.setattr(module, "tell", busy)
    watcher.tick()
    watcher.tick()
    assert counts["read"] == 2
    assert said == ["The logbook is busy."]
    monkeypatch.setattr(module, "tell", tell)
    watcher.tick()
    watcher.tick()
    assert counts["read"] == 3
