"""Recurrence rules at every way in: what is accepted comes back from the shown setup, what is not costs few steps."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gwlog.app import planned_loads
from gwlog.decisions.entry_limits import MOST_SKIPS
from gwlog.decisions.expected import rule_problems
from gwlog.errors import BadInput, SeveralFaults
from gwlog.household import Household
from gwlog.journal import reader, store
from gwlog.journal.facts import Fact, PlannedLoad
from gwlog.journal.writer import append
from gwlog.setup.change import changes
from gwlog.setup.show import show
from gwlog.state import fold
from tests.setup.household import NOW, US, read
from tests.steps import steps_of

FACTS: list[Fact] = [replace(fact, id=number) for number, fact in enumerate(read(US).facts, 1)]
HOME = Household(Path("nowhere.db"), NOW, FACTS)
RULE = "FREQ=WEEKLY;BYDAY=SA"
SKIPS = "skips = [2026-04-04]"


def with_plan(plan: PlannedLoad) -> list[Fact]:
    return [*FACTS, replace(plan, id=len(FACTS) + 1)]


def lists(low: int, high: int, *, negative: bool = False) -> st.SearchStrategy[str]:
    numbers = st.integers(low, high) | (st.integers(-high, -low) if negative else st.nothing())
    return st.lists(numbers, min_size=1, max_size=4).map(lambda found: ",".join(map(str, found)))


WEEKDAYS = st.sampled_from(["MO", "TU", "WE", "TH", "FR", "SA", "SU"])
PARTS: dict[str, st.SearchStrategy[str]] = {
    "INTERVAL": st.sampled_from(["1", "02", "3", "999", "1000", "10000"]),
    "COUNT": st.sampled_from(["1", "7", "9999", "10000", "1000000"]),
    "UNTIL": st.sampled_from(["20260601", "20270101T235959", "20270101T010000Z", "22001231"]),
    "WKST": WEEKDAYS,
    "BYDAY": st.lists(st.tuples(st.sampled_from(["", "1", "-1", "+2", "53"]), WEEKDAYS).map("".join), min_size=1,
                      max_size=3).map(",".join),
    "BYMONTH": lists(1, 12), "BYMONTHDAY": lists(1, 31, negative=True), "BYYEARDAY": lists(1, 366, negative=True),
    "BYWEEKNO": lists(1, 53, negative=True), "BYSETPOS": lists(1, 366, negative=True),
    "BYHOUR": lists(0, 23), "BYMINUTE": lists(0, 59), "BYSECOND": lists(0, 59),
}


@st.composite
def typed_rules(draw: st.DrawFn) -> str:
    names = draw(st.lists(st.sampled_from(list(PARTS)), unique=True, max_size=3))
    parts = [f"FREQ={draw(st.sampled_from(['DAILY', 'WEEKLY', 'MONTHLY', 'YEARLY', 'HOURLY']))}"]
    parts += [f"{name}={draw(PARTS[name])}" for name in names]
    rule = ";".join(draw(st.permutations(parts)))
    form = draw(st.sampled_from(["{}", "RRULE:{}", "{};", " {} "]))
    return form.format(draw(st.sampled_from([rule, rule.lower()])))


@settings(max_examples=300, deadline=None)
@given(typed_rules() | st.sampled_from(["daily", "weekly", "2 weeks", "monthly", "mon, thu"]),
       st.sampled_from(["2026-05-10 18:30", "2027-02-28 9:00", "2028-02-29 0:00"]))
def test_any_rule_that_is_planned_comes_back_from_the_shown_setup(every: str, on: str) -> None:
    try:
        plan = planned_loads.plan_load(HOME, "towels", on, every)
    except BadInput as refused:
        assert str(refused)
        return
    state = fold(with_plan(plan))
    assert changes(state, read(show(state)), in_force=NOW) == []


@pytest.mark.parametrize("every", ["FREQ=DAILY;BYHOUR=7,18", "freq=weekly;until=20270101T010000Z;",
                                   "FREQ=DAILY;COUNT=10000", "FREQ=MONTHLY;INTERVAL=1000", None])
def test_a_rule_planned_and_a_rule_in_the_file_are_read_alike(every: str | None) -> None:
    plan = planned_loads.plan_load(HOME, "towels", "2026-05-16 9:10", every)
    again = [fact for fact in read(show(fold(with_plan(plan)))).facts if isinstance(fact, PlannedLoad)]
    assert [fact.every for fact in again] == [RULE, plan.every]


OLD = ("FREQ=HOURLY", "FREQ=SECONDLY", "FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30",
       "FREQ=DAILY;BYHOUR=1,2,3,4,5;BYMINUTE=0,15,30,40,50")


@pytest.mark.parametrize("every", OLD)
def test_an_old_logbook_with_such_a_rule_opens_and_has_a_way_out(every: str, tmp_path: Path) -> None:
    path = tmp_path / "old.db"
    store.create(path)
    old = PlannedLoad(happened_at=NOW, zone="America/Los_Angeles", name="dense", load="towels",
                      starts="2026-05-09T09:00", every=every)
    append(path, read(US).facts, now=NOW)
    append(path, [old], now=NOW)
    home = Household(path, NOW + timedelta(hours=1), reader.read(path))
    told = rule_problems(home.state, home.now)
    if "BYMONTH" not in every:
        assert len(told) == 1 and "“dense” cannot be followed" in told[0].text and "--drop" in str(told[0].way_out)
    assert planned_loads.coming(home, home.state.planned_loads["dense"], 3) == []
    text = show(home.state)
    assert f"# Left out: the planned load “dense”, its rule {every} cannot be followed." in text
    gone = changes(home.state, read(text), in_force=home.now)
    assert [(fact.KIND, getattr(fact, "name", ""), getattr(fact, "active", True)) for fact in gone] == [
        ("planned_load", "dense", False)]
    assert planned_loads.change(home, "dense", drop=True).draft.active is False


def days(count: int) -> list[date]:
    return [date(2026, 5, 16) + timedelta(days=number) for number in range(count)]


NEVER, SECOND = "FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30", "FREQ=SECONDLY"


@pytest.mark.parametrize("every", [NEVER, SECOND, f"{SECOND};COUNT=1000000"])
def test_a_rule_that_never_or_always_occurs_is_refused_in_few_steps_on_every_way_in(every: str) -> None:
    def planned() -> None:
        planned_loads.plan_load(HOME, "towels", "2026-05-16 9:00", every)

    def in_the_file() -> None:
        read(US.replace(RULE, every))

    words = {"plan-load": "never comes to a day" if every == NEVER else "FREQ “SECONDLY”; accepted: one of YEARLY",
             "file": "never comes to a day" if every == NEVER else "FREQ cannot be “SECONDLY”"}
    with pytest.raises(BadInput, match=words["plan-load"]):
        planned()
    with pytest.raises(SeveralFaults) as refused:
        in_the_file()
    assert len(refused.value.faults) == 1 and words["file"] in refused.value.faults[0]
    assert steps_of(planned) < 150_000
    usual = steps_of(lambda: read(US))
    assert steps_of(in_the_file) < usual + 150_000


def test_ten_thousand_days_left_out_are_refused_in_few_steps_on_every_way_in() -> None:
    plan = planned_loads.plan_load(HOME, "towels", "2026-05-16 9:10", "daily")
    home = Household(Path("nowhere.db"), NOW, with_plan(plan))
    many = US.replace(SKIPS, f"skips = [{', '.join(map(str, days(10_000)))}]")

    def left_out() -> None:
        planned_loads.change(home, plan.name, skip=[str(day) for day in days(10_000)])

    with pytest.raises(BadInput, match=r"would skip 10,000 days; use up to 1,538"):
        left_out()
    with pytest.raises(SeveralFaults) as refused:
        read(many)
    assert "10,000 days; use up to 1,538" in refused.value.faults[0]
    # both grow with the number of days, not with its square
    assert steps_of(left_out) < 10_000 * 90
    assert steps_of(lambda: read(many)) < steps_of(lambda: read(US)) + 10_000 * 60


def test_as_many_days_as_the_logbook_holds_are_left_out_shown_and_read_again(tmp_path: Path) -> None:
    path = tmp_path / "logbook.db"
    store.create(path)
    most = tuple(map(str, days(MOST_SKIPS)))
    append(path, read(US.replace(SKIPS, f"skips = [{', '.join(most)}]")).facts, now=NOW)
    state = Household(path, NOW, reader.read(path)).state
    assert state.planned_loads["towels"].skips == most
    assert changes(state, read(show(state)), in_force=NOW) == []
    plan = replace(state.planned_loads["towels"], every="FREQ=DAILY")
    asked = steps_of(lambda: planned_loads.coming(HOME, plan, 400))
    assert asked < 150_000
    assert datetime(2026, 5, 10, 9) in planned_loads.coming(HOME, plan, 400)   # noqa: DTZ001
