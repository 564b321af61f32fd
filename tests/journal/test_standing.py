"""What stands after corrections and withdrawals, and in which order."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from gwlog.journal.facts import Fact, Observation, Resolution, ValveSwitch, Withdrawal, standing_entries
from tests.journal.samples import THEN, common, load


def numbered(*entries: Fact) -> list[Fact]:
    return [replace(entry, id=number) for number, entry in enumerate(entries, start=1)]


def test_a_chain_of_corrections_stands_once_under_the_first_number_with_the_last_wording() -> None:
    entries = numbered(load(volume_ml=1), load(volume_ml=2, corrects_id=1), load(volume_ml=3, corrects_id=2))
    found = standing_entries(entries)
    assert [(fact.id, fact.volume_ml) for fact in found.facts] == [(1, 3)]  # type: ignore[attr-defined]
    assert found.replaced_by == {1: 2, 2: 3}
    assert found.root == {2: 1, 3: 1}


def test_a_corrected_entry_is_withdrawn_by_any_of_its_numbers() -> None:
    for struck in (1, 2):
        entries = numbered(load(), load(corrects_id=1), Withdrawal(**common(), withdraws_id=struck))
        found = standing_entries(entries)
        assert found.facts == ()
        assert found.withdrawn[1] == 3


def test_a_correction_after_a_withdrawal_does_not_bring_the_entry_back() -> None:
    entries = numbered(load(), Withdrawal(**common(), withdraws_id=1), load(corrects_id=1))
    assert standing_entries(entries).facts == ()


def test_a_resolution_of_a_correcting_entry_points_at_the_first_wording() -> None:
    entries = numbered(
        Observation(**common(), observed="ponding"), Observation(**common(), observed="runoff", corrects_id=1),
        Resolution(**common(), resolves_id=2),
    )
    last = standing_entries(entries).facts[-1]
    assert isinstance(last, Resolution) and last.resolves_id == 1


def test_entries_stand_in_the_order_in_which_they_happened_then_by_number() -> None:
    later, sooner = THEN + timedelta(hours=1), THEN - timedelta(hours=1)
    entries = numbered(load(happened_at=later), load(), load(happened_at=sooner), load())
    assert [fact.id for fact in standing_entries(entries).facts] == [3, 2, 4, 1]
    moved = [*entries, replace(load(happened_at=sooner, corrects_id=1), id=5)]
    assert [fact.id for fact in standing_entries(moved).facts] == [1, 3, 2, 4]


@given(st.lists(st.tuples(st.integers(1, 2_000_000), st.integers(1, 2_000_000), st.booleans()), max_size=12))
def test_logged_wrong_then_corrected_stands_as_logged_right(runs: list[tuple[int, int, bool]]) -> None:
    right = numbered(*(load(volume_ml=volume) for _, volume, _ in runs))
    wrong = numbered(*(load(volume_ml=slip if slipped else volume) for slip, volume, slipped in runs))
    mended = wrong + [
        replace(load(volume_ml=volume), id=len(runs) + number, corrects_id=number)
        for number, (_, volume, slipped) in enumerate(runs, start=1) if slipped
    ]
    stand = [replace(fact, corrects_id=None) for fact in standing_entries(mended).facts]
    assert stand == list(standing_entries(right).facts)


def test_what_stands_of_a_real_logbook_is_what_was_logged(logbook: Path) -> None:
    from gwlog.journal.reader import read
    from gwlog.journal.writer import append

    append(logbook, [load(), ValveSwitch(**common(), position="sewer")], now=THEN)
    append(logbook, [load(volume_ml=5, corrects_id=1)], now=THEN)
    append(logbook, [Withdrawal(**common(note="slip"), withdraws_id=2)], now=THEN)
    found = standing_entries(read(logbook))
    assert [(fact.id, fact.KIND) for fact in found.facts] == [(1, "wash_load")]
