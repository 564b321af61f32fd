"""The journal at its edges: the lease of a telling to the second, what may be withdrawn, and how faults are counted."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from gwlog.errors import BadInput
from gwlog.journal import delivery, seal
from gwlog.journal.delivery import FIRST_WAIT, LEASE, LONGEST_WAIT, Delivery, Wanted, claim, hand_over, settle
from gwlog.journal.facts import Site, Withdrawal
from gwlog.journal.writer import append
from tests.journal.samples import NOW, ONE_OF_EACH, common, load

SECOND = timedelta(seconds=1)
ONE, TWO = (Wanted(f"key {name}", f"reminder {name}", "Ines", "bell") for name in "ab")
DOUBT = replace(ONE, if_in_doubt=True)


def mine(path: Path, at: timedelta, *wanted: Wanted, first_decides: bool = False) -> tuple[str, ...]:
    return claim(path, wanted or (ONE,), NOW + at, first_decides=first_decides)[1]


# --- tellings ------------------------------------------------------------------------------------------------------


def test_a_claim_stands_for_a_minute_and_a_second_more_frees_it(logbook: Path) -> None:
    assert timedelta(minutes=1) == LEASE
    assert mine(logbook, timedelta()) == (ONE.key,)
    assert mine(logbook, LEASE) == ()
    assert mine(logbook, LEASE + SECOND) == (ONE.key,)


def test_a_claim_of_a_clock_that_was_set_back_is_freed_as_well(logbook: Path) -> None:
    assert mine(logbook, timedelta()) == (ONE.key,)
    assert mine(logbook, -LEASE) == ()
    assert mine(logbook, -LEASE - SECOND) == (ONE.key,)


def test_what_was_handed_over_is_claimed_again_only_in_doubt_and_after_the_lease(logbook: Path) -> None:
    token, _ = claim(logbook, (ONE,), NOW)
    assert hand_over(logbook, token, NOW) == (ONE.key,)
    assert mine(logbook, LEASE + SECOND) == ()
    assert mine(logbook, LEASE, DOUBT) == ()
    assert mine(logbook, LEASE + SECOND, DOUBT) == (ONE.key,)


def test_only_what_was_handed_over_is_ever_in_doubt() -> None:
    one = Delivery("k", "r", "Ines", "bell", "handed", NOW, 1, None, None)
    assert not one.in_doubt(NOW) and not one.in_doubt(NOW + LEASE)
    assert one.in_doubt(NOW + LEASE + SECOND) and one.in_doubt(NOW - LEASE - SECOND)
    for state in ("claimed", "told", "failed"):
        assert not replace(one, state=state).in_doubt(NOW + timedelta(days=1))  # type: ignore[arg-type]


def test_what_failed_is_free_at_the_very_moment_of_its_next_try(logbook: Path) -> None:
    token, _ = claim(logbook, (ONE,), NOW)
    hand_over(logbook, token, NOW)
    settle(logbook, token, NOW, "nobody answered")
    (one,) = delivery.deliveries(logbook).values()
    assert (one.state, one.tries, one.next_try, one.trouble) == ("failed", 1, NOW + FIRST_WAIT, "nobody answered")
    assert mine(logbook, FIRST_WAIT - SECOND) == ()
    assert mine(logbook, FIRST_WAIT) == (ONE.key,)


def test_the_pauses_are_doubled_up_to_an_hour() -> None:
    assert [delivery.wait_after(tries) // FIRST_WAIT for tries in range(9)] == [1, 1, 2, 4, 8, 16, 32, 60, 60]
    assert delivery.wait_after(10_000) == LONGEST_WAIT == timedelta(hours=1)


def test_what_is_taken_leaves_the_others_unless_the_first_decides(logbook: Path) -> None:
    assert mine(logbook, timedelta(), ONE) == (ONE.key,)
    assert mine(logbook, timedelta(), ONE, TWO, first_decides=True) == ()
    assert mine(logbook, timedelta(), ONE, TWO) == (TWO.key,)
    assert mine(logbook, LEASE + SECOND, ONE, TWO, first_decides=True) == (ONE.key, TWO.key)


# --- what may be pointed at -------------------------------------------------------------------------------------------


def site(**more: object) -> Site:
    return replace(ONE_OF_EACH[0], **more)  # type: ignore[arg-type, return-value]


@pytest.mark.parametrize("together", [True, False])
def test_the_first_description_of_the_site_stays_and_a_later_one_may_go(logbook: Path, together: bool) -> None:
    later = [load(), site(name="Tern Cottage, upper flat")]
    struck = [Withdrawal(**common(note="typed wrong"), withdraws_id=3)]
    for batch in ([[site(), *later, *struck]] if together else [[site()], later, struck]):
        append(logbook, batch, now=NOW)
    for batch in ([site(), Withdrawal(**common(note="no"), withdraws_id=1)], [Withdrawal(**common(note="no"),
                                                                                         withdraws_id=1)]):
        with pytest.raises(BadInput, match="everything rests on it"):
            append(logbook, batch, now=NOW)


def test_in_a_new_logbook_the_site_written_just_before_is_the_first(logbook: Path) -> None:
    for batch in ([site(), Withdrawal(**common(note="no"), withdraws_id=1)],
                  [load(), site(), load(), Withdrawal(**common(note="no"), withdraws_id=2)],
                  [site(), site(name="b"), Withdrawal(**common(note="no"), withdraws_id=1)]):
        with pytest.raises(BadInput, match="everything rests on it"):
            append(logbook, batch, now=NOW)
    assert len(append(logbook, [site(), site(name="b"), Withdrawal(**common(note="wrong"), withdraws_id=2)],
                      now=NOW)) == 3


def test_a_withdrawal_neither_corrects_nor_is_corrected(logbook: Path) -> None:
    append(logbook, [load(), load(volume_ml=2), Withdrawal(**common(note="typed twice"), withdraws_id=1)], now=NOW)
    for wrong in (Withdrawal(**common(note="so"), withdraws_id=2, corrects_id=2),
                  Withdrawal(**common(note="so"), withdraws_id=2, corrects_id=3), load(corrects_id=3)):
        with pytest.raises(BadInput, match="withdraw"):
            append(logbook, [wrong], now=NOW)


# --- faults that verification counts --------------------------------------------------------------------------------


@pytest.mark.parametrize(("broken", "detail"), [
    ((2,), "entry 2 (wash_load) is not what was sealed"),
    ((2, 3), "entry 2 (wash_load) is not what was sealed; 1 more"),
    ((1, 2, 3, 4), "entry 1 (wash_load) is not what was sealed; 3 more"),
])
def test_faults_are_told_by_the_first_and_the_number_of_the_others(logbook: Path, broken: tuple[int, ...],
                                                                   detail: str) -> None:
    append(logbook, [load()] * 4, now=NOW)
    with closing(sqlite3.connect(logbook)) as connection, connection:
        connection.execute("DROP TRIGGER wash_load_no_change")
        connection.executemany("UPDATE wash_load SET volume_ml = 5 WHERE id = ?", [(number,) for number in broken])
    connection.close()
    found = seal.verify(logbook)
    assert found.levels[1].detail == detail
    assert found.first_broken == detail.partition(";")[0]


@pytest.mark.parametrize(("gone", "others"), [(3, False), (4, True)])
def test_three_missing_guards_are_named_and_more_are_others(logbook: Path, gone: int, others: bool) -> None:
    names = ("mulch_no_change", "seal_no_delete", "wash_load_no_change", "weather_day_no_change")[:gone]
    with closing(sqlite3.connect(logbook)) as connection, connection:
        for name in names:
            connection.execute(f"DROP TRIGGER {name}")
    connection.close()
    told = seal.verify(logbook).levels[3].detail
    named = told.removeprefix("missing: ").removesuffix(" and others").split(", ")
    assert len(named) == 3 and set(named) <= set(names)
    assert told.endswith(" and others") is others
