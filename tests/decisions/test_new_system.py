"""A system that was described as new: two short lists that come once, and what is done of them as evidence."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from gwlog.decisions.compliance import evidence
from gwlog.decisions.exceptions import exceptions
from gwlog.decisions.period import Past
from gwlog.decisions.sewer_loads import sewer_loads
from gwlog.decisions.upkeep import new_system_tasks, upkeep
from gwlog.decisions.upkeep_past import rounds
from gwlog.reference.codes import PROFILES
from gwlog.reference.upkeep import NEW_SYSTEM
from gwlog.state import State
from tests.decisions.home import Home, at, day

BEFORE = [one.name for one in NEW_SYSTEM if one.after is None]
LATER = {one.name: one.after for one in NEW_SYSTEM if one.after is not None}


def new_home() -> Home:
    return Home(system_answers=("new: yes",), code_edition=PROFILES["us-ca-washer"].as_of)


def once(state: State, number: int) -> dict[str, str]:
    """The state of every task that comes once, on a day."""
    return {one.name: one.state for one in upkeep(state, at(day(number))) if one.every == "once"}


def test_a_household_of_before_or_one_that_is_in_use_is_asked_nothing() -> None:
    for answers in (None, ("new: no",), ("dwelling: one-family",)):
        home = Home(system_answers=answers)
        home.load(day(1), 9.0)
        assert not new_system_tasks(home.state(at(day(40)))) and not once(home.state(at(day(40))), 40)


def test_the_first_list_stands_from_the_first_day_in_one_reminder_and_goes_item_by_item() -> None:
    home = new_home()
    assert set(BEFORE) == {name for name, state in once(home.state(at(day(0))), 0).items() if state == "due"}
    (one,) = [one for one in home.reminded(at(day(0)), "upkeep") if one.subject == "before the first load"]
    assert all(name in one.text for name in BEFORE) and "done" in str(one.action)
    for number, name in enumerate(BEFORE, 1):
        home.done(name, day(0))
        left = [one for one in home.reminded(at(day(0), 10), "upkeep") if one.subject == "before the first load"]
        assert bool(left) == (number < len(BEFORE)) and not (left and name in left[0].text)
    assert not set(BEFORE) & set(once(home.state(at(day(0), 10)), 0))


def test_what_comes_after_a_week_and_a_month_counts_from_the_first_load_to_the_garden() -> None:
    home = new_home()
    home.load(day(1), 9.0, to="sewer")
    home.load(day(4), 9.0)
    due = {task.name: task.since for task in new_system_tasks(home.state(at(day(5)))) if not task.before}
    for name, after in LATER.items():
        assert due[name] == (day(4) + timedelta(days=7) if after == "1 week" else day(4).replace(month=7)), name
    week = [name for name, after in LATER.items() if after == "1 week"]
    assert {once(home.state(at(day(11))), 11)[name] for name in week} == {"due"}
    assert {once(home.state(at(day(15))), 15)[name] for name in week} == {"overdue"}
    for name in week:
        home.done(name, day(11))
    assert not set(week) & set(once(home.state(at(day(400))), 400))   # once is once


def test_a_round_was_in_time_late_or_missed() -> None:
    home = new_home()
    home.load(day(0), 9.0)
    home.done(BEFORE[0], day(1))
    home.done(BEFORE[1], day(20))
    was = {one.task: one.state for one in rounds(home.state(at(day(60))), day(60)) if one.every == "once"}
    assert (was[BEFORE[0]], was[BEFORE[1]], was[BEFORE[2]]) == ("in time", "late", "missed")
    assert len([one for one in rounds(home.state(at(day(400))), day(400)) if one.every == "once"]) == len(NEW_SYSTEM)


def test_each_done_item_is_evidence_for_what_the_code_asks() -> None:
    home = new_home()
    for name in BEFORE:
        home.done(name, day(0))
    home.done("first week: look for ponding", day(7))
    now = at(day(10), 20)
    state, garden = home.state(now), home.garden(now)
    past = Past(state, garden, day(0), day(10), sewer_loads(state, exceptions(state, garden)), rounds(state, day(10)))
    said = {one.condition.id: " ".join(one.shows) for one in evidence(past)}
    asked = {key: one.condition.id for one in evidence(past) for key, _ in one.condition.asks}
    assert "label the valve" in said[asked["valve_labelled"]]
    assert "joined to drinking water" in said[asked["potable_joint"]]
    assert any("1 walk to look for it" in words for words in said.values())
    assert any("Thrown both ways" in words for words in said.values())


def test_a_household_may_drop_an_item() -> None:
    home = new_home()
    home.task(BEFORE[3], "never")
    assert BEFORE[3] not in once(home.state(at(day(1))), 1)


def test_answered_otherwise_later_nothing_more_is_asked() -> None:
    home = new_home()
    site = next(fact for fact in home.facts if fact.KIND == "site")
    home.facts.append(replace(site, id=9_000, happened_at=at(day(3)), system_answers=("new: no",)))  # type: ignore[call-arg]
    assert once(home.state(at(day(2))), 2) and not once(home.state(at(day(4))), 4)
