"""Phones that log at once beside the screens and the watcher: nothing is lost, nothing doubled.

`tests/bench/phone.py` does the same at length in processes of their own, and measures.
"""

from __future__ import annotations

import threading
from collections import Counter

import pytest

from gwlog.household import look
from gwlog.journal import reader, seal
from gwlog.journal.changes import Writes
from gwlog.journal.facts import WashLoad
from gwlog.notify.rounds import tell
from gwlog.notify.settings_file import Settings, Tell
from tests.bench.phone import Result, logging
from tests.conftest import NOW
from tests.notify.conftest import Bell
from tests.phone.conftest import Pages

PHONES, LOADS = 8, 12


@pytest.mark.long
def test_phones_that_log_at_once_lose_and_double_nothing(served: Pages) -> None:
    result, lock, done, bell = Result(), threading.Lock(), threading.Event(), Bell()
    phones = [served.phone() for _ in range(PHONES)]
    changes: list[bool] = []

    def watches() -> None:
        writes = Writes(served.path)
        while not done.wait(0.2):
            changes.append(writes.since_last(NOW))
            tell(look(served.path, NOW), Settings(tell=(Tell("Ines", ("bell",)),)), {"bell": bell}, now=lambda: NOW)

    hands = [threading.Thread(target=logging, args=(phone, range(number, LOADS, PHONES), result, lock))
             for number, phone in enumerate(phones)]
    screens = threading.Thread(target=watches)
    for one in (*hands, screens):
        one.start()
    for one in hands:
        one.join()
    done.set()
    screens.join()
    found = Counter(fact.note for fact in reader.read(served.path) if isinstance(fact, WashLoad))
    assert result.said == LOADS and not result.refused
    assert found == Counter({f"load {number}": 1 for number in range(LOADS)}) and result.accepted == set(found)
    assert any(changes) and bell.lines and seal.verify(served.path).holds
