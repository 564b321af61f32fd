"""Planned loads as people say them: rules in words and back, days left out, names told apart; reminders by number."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest

from gwlog.app import planned_loads
from gwlog.app.planned_loads import read_rule, rule_words
from gwlog.errors import BadInput
from gwlog.household import Household, look
from tests.conftest import NOW, Runner


@pytest.mark.parametrize(("typed", "rule", "words"), [
    ("daily", "FREQ=DAILY", "every day"), ("day", "FREQ=DAILY", "every day"),
    ("weekly", "FREQ=WEEKLY", "every week"), ("2 weeks", "FREQ=WEEKLY;INTERVAL=2", "every 2 weeks"),
    ("two weeks", "FREQ=WEEKLY;INTERVAL=2", "every 2 weeks"), ("monthly", "FREQ=MONTHLY", "every month"),
    ("mon, thu", "FREQ=WEEKLY;BYDAY=MO,TH", "every Mon and Thu"),
    ("thu and mon", "FREQ=WEEKLY;BYDAY=MO,TH", "every Mon and Thu"),
    ("every saturday", "FREQ=WEEKLY;BYDAY=SA", "every Sat"),
    ("FREQ=WEEKLY;INTERVAL=2;BYDAY=SA", "FREQ=WEEKLY;INTERVAL=2;BYDAY=SA", "every 2 weeks on Sat"),
    ("FREQ=DAILY;BYDAY=MO", "FREQ=DAILY;BYDAY=MO", "FREQ=DAILY;BYDAY=MO"),
    ("FREQ=MONTHLY;BYDAY=1SA", "FREQ=MONTHLY;BYDAY=1SA", "FREQ=MONTHLY;BYDAY=1SA"),
    ("FREQ=WEEKLY;COUNT=3", "FREQ=WEEKLY;COUNT=3", "FREQ=WEEKLY;COUNT=3"),
    ("FREQ=YEARLY", "FREQ=YEARLY", "FREQ=YEARLY"),
])
def test_a_rule_is_read_and_said_back(typed: str, rule: str, words: str) -> None:
    assert read_rule(typed) == rule
    assert rule_words(rule) == words


def test_a_load_without_a_rule_comes_once() -> None:
    assert rule_words(None) == "once"


@pytest.mark.parametrize(("typed", "says"), [
    ("mon, someday", "is not a recurrence rule"), ("mo", "is not a recurrence rule"),
    ("FREQ=FORTNIGHTLY", "FREQ “FORTNIGHTLY”"), ("FREQ=DAILY;X=" + "1" * 187, "the part “X”"),
    ("FREQ=DAILY;X=" + "1" * 188, "is not a recurrence rule"),
])
def test_what_is_no_rule_is_refused(typed: str, says: str) -> None:
    with pytest.raises(BadInput, match=says):
        read_rule(typed)


def looked(tmp_path: Path, now: datetime = NOW) -> Household:
    return look(tmp_path / "logbook.db", now)


def test_the_same_load_planned_again_has_a_name_of_its_own_until_it_is_dropped(home: Runner, tmp_path: Path) -> None:
    for day in ("sat", "sun", "mon"):
        assert home("plan-load", "towels", "--on", f"{day} 9:00", "--every", "weekly").code == 0
    assert list(planned_loads.planned(looked(tmp_path))) == ["towels", "towels 2", "towels 3"]
    assert home("plan-load", "towels 2", "--drop").code == 0
    assert list(planned_loads.planned(looked(tmp_path))) == ["towels", "towels 3"]
    assert home("plan-load", "towels", "--on", "tue 9:00").code == 0
    assert sorted(planned_loads.planned(looked(tmp_path))) == ["towels", "towels 2", "towels 3"]


def test_only_days_on_which_a_load_is_expected_can_be_left_out_and_the_next_three_are_offered(
        home: Runner, tmp_path: Path) -> None:
    home("plan-load", "towels", "--on", "sat 9:00", "--every", "weekly")
    refused = home("plan-load", "towels", "--skip", "sun")
    assert refused.code == 2 and "towels is not expected on Sun, Jul 19, 2026." in refused.err
    assert "It is expected next on Jul 18, Jul 25 or Aug 1." in refused.err
    assert home("plan-load", "towels", "--skip", "sat").code == 0
    again = home("plan-load", "towels", "--skip", "2026-07-18")
    assert again.code == 2 and "next on Jul 25, Aug 1 or Aug 8." in again.err
    plan = planned_loads.planned(looked(tmp_path))["towels"]
    assert plan.skips == ("2026-07-18",)
    found = planned_loads.coming(looked(tmp_path), plan, 2)
    assert [wall.date() for wall in found] == [date(2026, 7, 25), date(2026, 8, 1)]


def test_a_load_that_comes_once_has_one_day_and_a_past_one_offers_none(
        home: Runner, tmp_path: Path, frozen: Callable[[datetime], None]) -> None:
    home("plan-load", "towels", "--on", "sat 9:00")
    refused = home("plan-load", "towels", "--skip", "sun")
    assert refused.code == 2 and "It is expected next on Sat, Jul 18, 2026." in refused.err
    frozen(NOW + timedelta(days=9))
    past = home("plan-load", "towels", "--skip", "2026-07-25")
    assert past.code == 2 and "is not expected on Sat, Jul 25, 2026." in past.err and "next" not in past.err


def test_a_reminder_is_found_by_the_first_and_the_last_number_of_the_list(home: Runner) -> None:
    home("observe", "ponding", "Fig")
    home("observe", "leak", "Pomegranate")
    keys = [one["key"] for one in home("reminders", "--json").json["reminders"]]
    for wrong in ("0", str(len(keys) + 1), "999"):
        refused = home("seen", wrong)
        assert refused.code == 2 and f"the list has {len(keys)}" in refused.err
    assert "There is no reminder with “1000”" in home("seen", "1000").err
    assert home("seen", str(len(keys))).code == 0
    assert [one["key"] for one in home("reminders", "--json").json["reminders"]] == keys[:-1]
    assert home("seen", "1").code == 0
    assert [one["key"] for one in home("reminders", "--json").json["reminders"]] == keys[1:-1]


@pytest.mark.parametrize(("until", "code"), [("2027-07-15 11:00", 0), ("2027-07-15 11:01", 2), ("2026-07-14 11:01", 0),
                                             ("2026-07-14 11:00", 2)])
def test_a_reminder_is_put_off_from_a_minute_to_a_year(home: Runner, until: str, code: int) -> None:
    home("observe", "ponding", "Fig")
    answer = home("later", "1", "--until", until)
    assert answer.code == code, answer.err
