"""Entries that a wrong clock dated ahead: told while they stand, whatever time it is by then."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

import pytest

from gwlog.decisions import clock_faults
from gwlog.journal.facts import Fact, ValveSwitch, Withdrawal, standing_entries
from tests.conftest import NOW

ZONE = "America/Los_Angeles"
DAY, YEAR = timedelta(days=1), timedelta(days=365)


def written(*days: float, happened: dict[int, float] | None = None) -> list[Fact]:
    """Entries by the days after NOW at which the clock stood when they were written, each of that very moment."""
    return [ValveSwitch(id=number, zone=ZONE, position="garden", recorded_at=NOW + day * DAY,
                        happened_at=NOW + (happened or {}).get(number, day) * DAY)
            for number, day in enumerate(days, 1)]


def ahead(entries: Sequence[Fact], present: datetime) -> list[int]:
    return [fact.id for fact, _ in clock_faults.dated_ahead(entries, standing_entries(list(entries)), present)]


@pytest.mark.parametrize(("days", "present", "found"), [
    ((), 0, []),
    ((0, 1, 2, 3), 4, []),
    ((0, 1, 2, 3), 2, [4]),                       # the clock was set right since
    ((0, 367, 2, 3, 4), 5, [2]),                  # ahead of now
    ((0, 367, 2, 3, 4), 400, [2]),                # its time has come, and it is still wrong
    ((0, 367, 368, 2), 3, [2, 3]),
    ((0, 367, 2), 500, [2]),                      # one against one: the later one is believed
    ((0, 10, -3000, 11, 12), 13, []),             # a clock that was behind makes no others wrong
    ((0, 10, 10.001, 9.999, 11), 12, []),         # set right by a minute or two
    ((0, 1, 900, 2, 901, 3), 4, [3, 5]),
])
def test_which_entries_are_dated_ahead(days: tuple[float, ...], present: float, found: list[int]) -> None:
    assert ahead(written(*days), NOW + present * DAY) == found


def test_what_was_written_ahead_but_of_another_day_is_no_fault() -> None:
    assert ahead(written(0, 367, 2, happened={2: 0.5}), NOW + 3 * DAY) == []


def test_corrected_and_withdrawn_entries_are_done_with() -> None:
    entries = written(0, 367, 368, 2)
    right = ValveSwitch(id=5, zone=ZONE, position="garden", recorded_at=NOW + 3 * DAY, happened_at=NOW + DAY,
                        corrects_id=2)
    gone = Withdrawal(id=6, zone=ZONE, recorded_at=NOW + 3 * DAY, happened_at=NOW + 3 * DAY, withdraws_id=3)
    assert ahead([*entries, right], NOW + 4 * DAY) == [3]
    assert ahead([*entries, right, gone], NOW + 4 * DAY) == []


def test_few_are_told_one_by_one_and_many_together() -> None:
    few = written(0, 367, 368, 2)
    told = clock_faults.problems(few, standing_entries(few), NOW + 3 * DAY, ZONE)
    assert [one.entry_id for one in told] == [2, 3]
    assert "Entry 2 is dated Fri 16 Jul 2027, 11:00, but was written before Thu 16 Jul 2026, 11:00" in told[0].text
    assert "gwlog correct 2 --at WHEN" in str(told[0].way_out)
    many = written(0, *(367 + number for number in range(40)), 2)
    told = clock_faults.problems(many, standing_entries(many), NOW + 3 * DAY, ZONE)
    assert len(told) == 1 and told[0].text.startswith("40 entries are dated up to Tue 24 Aug 2027")
