"""The record grades itself: until where somebody outside can tell that it existed, and nothing beyond that."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest

from gwlog.clock import locale
from gwlog.decisions.witnessed import STRENGTH, Graded, witnessed
from gwlog.journal.facts import GIVEN, WITNESSED, Attestation
from gwlog.reference.upkeep import HAVE_WITNESSED
from tests.decisions.home import Home, at, day

ZONE = locale("America/Los_Angeles", "us")
HASH = "9f3a6c0b12d4e877" * 4


def told(number: int, attested: str = WITNESSED, means: str | None = "statement", entry: int = 0) -> Attestation:
    return Attestation(id=entry or number + 1, happened_at=datetime(2026, 10, 1, 20, tzinfo=UTC), zone="UTC",
                       attested=attested, party="the landlord", means=means, number=f"{number}:{HASH}")


@pytest.mark.parametrize(("means", "words"), [
    ("statement", "Entries 1 to 1,124 existed by Oct 1, 2026, as the statement of the landlord says; 211 later ones "
                  "are sealed but not witnessed."),
    ("SSH signature", "Entries 1 to 1,124 existed by Oct 1, 2026, as the signature of the landlord and the day logged "
                      "with it show; 211 later ones are sealed but not witnessed."),
    ("time stamp", "Entries 1 to 1,124 existed by Oct 1, 2026, as the time stamp of the landlord shows; 211 later ones "
                   "are sealed but not witnessed."),
])
def test_each_grade_says_what_shows_it(means: str, words: str) -> None:
    graded = witnessed([told(1124, means=means)], 1335, ZONE)
    assert graded.sentence("us") == words and graded.witnessed and graded.grade == means


def test_given_away_alone_it_shows_nothing_yet() -> None:
    graded = witnessed([told(9, GIVEN, "by hand")], 10, ZONE)
    assert not graded.witnessed
    assert " existed by Oct 1, 2026 if the copy of the landlord says so" in graded.sentence("us")
    assert graded.sentence("us").endswith("; 1 later one is sealed but not witnessed.")
    assert witnessed([], 10, ZONE) == Graded("none", 0, None, "", 10)
    assert witnessed([], 1, ZONE).sentence("us") == "No seal number is witnessed: 1 entry is sealed but not witnessed."


def test_what_reaches_farthest_counts_and_of_two_the_stronger() -> None:
    every = [told(5, means="time stamp"), told(9, GIVEN, "by hand"), told(7), told(7, means="SSH signature", entry=9)]
    assert witnessed(every, 10, ZONE).grade == "SSH signature"
    assert witnessed(every, 10, ZONE, failed=[9]).grade == "statement"
    noted = witnessed(every, 10, ZONE, noted=[(10, date(2026, 11, 2)), (2, None)])
    assert noted.sentence("us") == "Entries 1 to 10 existed by Nov 2, 2026, as the seal number noted then shows."
    moment = datetime(2026, 9, 3, 3, tzinfo=UTC)   # the evening before in Los Angeles
    stamped = witnessed([told(5, means="time stamp")], 5, ZONE, stamped={6: moment})
    assert stamped.until_day == date(2026, 9, 2) and STRENGTH[-1] == stamped.grade


def test_the_monthly_task_asks_for_a_witness() -> None:
    home = Home()
    assert not [one for one in home.reminders(at(day(60))) if "witnessed" in one.text]
    home.task(HAVE_WITNESSED.name, HAVE_WITNESSED.every)
    [asked] = [one for one in home.reminders(at(day(60))) if "witnessed" in one.text]
    assert str(asked.action) == "gwlog witness --to WHO"
