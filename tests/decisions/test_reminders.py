"""Reminders: every kind appears, goes away by a normal entry, and keeps its key while it stands."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gwlog.decisions.advice import Advice
from gwlog.decisions.reminders import KINDS, Reminder, reminders
from gwlog.state import State
from tests.decisions.home import Home, at, day

HOUR = timedelta(hours=1)


def diapers(home: Home) -> None:
    home.usual("diapers", products=("plain liquid",), contents=("diapers",))


def fill(home: Home, number: int = 2) -> None:
    """Fill the fig on a day: it rests for 18 days."""
    home.load(day(number), 7.0, litres=140.0)
    home.load(day(number), 8.0, litres=60.0)


def on_sewer(home: Home) -> None:
    home.valve("sewer", day(2), 7.0)


def diapers_have_run(home: Home) -> None:
    diapers(home)
    on_sewer(home)
    home.load(day(2), 8.0, to="sewer", name="diapers", contents=("diapers",))


@dataclass
class Case:
    """`make` the reminder of `kind` and `subject` appear at `now`; `settle` it."""

    kind: str
    subject: str
    state: str
    says: str
    make: Callable[[Home], object]
    settle: Callable[[Home], object] | None
    now: datetime
    due: datetime | None = None
    action: str | None = None
    expected: list[tuple[datetime, str]] = field(default_factory=list)
    basins: tuple[str, ...] = ("Fig",)
    site: dict[str, Any] = field(default_factory=dict)


CASES = [
    Case("valve to sewer", "diapers", "soon", "contains diapers", diapers,
         lambda home: home.valve("sewer", day(2), 9.2),
         at(day(2)), at(day(3), 18), "gwlog valve sewer", [(at(day(3), 18), "diapers")]),
    Case("valve to sewer", "diapers", "due", "before “diapers”", diapers,
         lambda home: home.load(day(2), 9.3, to="sewer", name="diapers", contents=("diapers",)),
         at(day(2)), at(day(2), 10), "gwlog valve sewer", [(at(day(2), 10), "diapers")]),
    Case("valve to sewer", "diapers", "overdue", "before “diapers”", diapers,
         lambda home: home.valve("sewer", day(2), 9.2),
         at(day(2)), at(day(2), 8), "gwlog valve sewer", [(at(day(2), 8), "diapers")]),
    Case("valve to garden", "valve", "due", "“diapers” has drained", diapers_have_run,
         lambda home: home.valve("garden", day(2), 10.2), at(day(2), 10), at(day(2), 9), "gwlog valve garden"),
    Case("valve to garden", "valve", "soon", "may go to Fig", on_sewer, lambda home: home.valve("garden", day(2), 9.2),
         at(day(2)), at(day(3), 18), "gwlog valve garden", [(at(day(3), 18), "towels")]),
    Case("valve to garden", "valve", "due", "it has stood on sewer", on_sewer,
         lambda home: home.valve("garden", day(6), 9.2), at(day(6)), at(day(5), 7), "gwlog valve garden"),
    Case("valve to garden", "valve", "overdue", "it has stood on sewer", on_sewer,
         lambda home: home.valve("garden", day(12), 9.2), at(day(12)), at(day(5), 7), "gwlog valve garden"),
    Case("garden shut for weather", "rain", "due", "0.79 in of rain", lambda home: home.weather(day(2), rain_um=20_000),
         lambda home: home.valve("sewer", day(2), 9.2), at(day(2)), at(day(2), 0), "gwlog valve sewer"),
    Case("garden shut for weather", "frost", "overdue", "freezing",
         lambda home: [home.weather(day(n), tmax_mdegc=-1000) for n in (1, 2)],
         lambda home: home.valve("sewer", day(2), 9.2), at(day(2)), at(day(1), 0)),
    Case("garden shut for weather", "rain", "due", "soaked ground at Fig",
         lambda home: home.see("soaked ground", day(2), "Fig", 8.0),
         lambda home: home.resolve(len(home.facts), day(2), 9.2), at(day(2)), at(day(2), 8)),
    Case("next load will not fit", "towels", "due", "turn the valve to sewer before it. ", fill,
         lambda home: home.valve("sewer", day(3), 9.2), at(day(3)), at(day(3), 18), "gwlog valve sewer",
         [(at(day(3), 18), "towels")]),
    Case("move outlet", "Hose", "due", "Move Hose from Fig to Quince before “towels”",
         lambda home: [fill(home), home.basin("Quince", start_deficit_ml=90_000)],
         lambda home: home.move("Hose", "Quince", day(3), 9.2), at(day(3)), at(day(3), 18), "gwlog move Hose Quince",
         [(at(day(3), 18), "towels")]),
    Case("move outlet", "Hose", "due", "Quince wants water: it lacks 46 gal; Fig rests", fill,
         lambda home: home.move("Hose", "Quince", day(3), 9.2), at(day(3)), at(day(3), 18),
         "gwlog move Hose Quince", [(at(day(3), 18), "towels")], basins=("Fig", "Quince")),
    Case("move outlet", "Hose", "soon", "Fig has had enough", lambda home: home.load(day(2), 7.0, litres=130.0),
         lambda home: home.move("Hose", "Quince", day(3), 9.2), at(day(3)), at(day(4), 8),
         "gwlog move Hose Quince", [(at(day(4), 8), "towels")], basins=("Fig", "Quince")),
    Case("move outlet", "Hose", "overdue", "Fig rests", fill,
         lambda home: home.move("Hose", "Quince", day(3), 9.2), at(day(3)), at(day(3), 8),
         "gwlog move Hose Quince", [(at(day(3), 8), "towels")], basins=("Fig", "Quince")),
    Case("other water", "Fig", "due", "of other water in the next two weeks",
         lambda home: home.basin("Fig", when=day(1), started=day(1), start_deficit_ml=230_000),
         lambda home: home.load(day(2), 9.2, litres=130.0), at(day(2)), at(day(0), 0), None,
         [(at(day(3), 18), "diapers")]),
    Case("basin ready again", "Fig", "due", "Fig is ready again", fill,
         lambda home: home.load(day(22), 9.2, litres=20.0),
         at(day(22)), at(day(21), 0)),
    Case("mulch due", "Fig", "due", "Top up the mulch at Fig", lambda home: home.mulch("Fig", day(2), "measured", 60),
         lambda home: home.mulch("Fig", day(3), "added", 50), at(day(3)), at(day(2), 0)),
    Case("mulch due", "Fig", "overdue", "below the code", lambda home: home.mulch("Fig", day(2), "measured", 40),
         lambda home: home.mulch("Fig", day(3), "measured", 100), at(day(3)), at(day(2), 0),
         "gwlog mulch Fig --added 2.4in"),
    Case("upkeep", "look for ponding and runoff", "soon", "Look for ponding", lambda home: None,
         lambda home: home.done("look for ponding and runoff", day(28)), at(day(28)), at(day(30), 0),
         'gwlog done "look for ponding and runoff"'),
    Case("upkeep", "look for ponding and runoff", "overdue", "never done", lambda home: None,
         lambda home: home.done("look for ponding and runoff", day(40)), at(day(40)), at(day(30), 0)),
    Case("yearly record", "yearly record", "due", "Write the yearly record", lambda home: None,
         lambda home: home.done("yearly record", day(366)), at(day(366)), at(day(365), 0),
         'gwlog done "yearly record"'),
    Case("follow up", "7", "due", "ponding at Fig", lambda home: home.see("ponding", day(2), "Fig"),
         lambda home: home.resolve(7, day(2), 9.2), at(day(2), 9.1), at(day(2)), "gwlog resolve 7"),
    Case("follow up", "7", "soon", "illness in the household", lambda home: home.see("illness", day(2)),
         lambda home: home.resolve(7, day(2), 9.2), at(day(2), 9.1), at(day(3)), "gwlog resolve 7"),
    Case("follow up", "7", "overdue", "odor at Fig", lambda home: home.see("odour", day(2), "Fig"),
         lambda home: home.resolve(7, day(12), 9.2), at(day(12)), at(day(3))),
    Case("follow up", "7", "due", "went to the garden against a rule",
         lambda home: home.load(day(2), contents=("oil",)),
         lambda home: home.resolve(7, day(2), 9.2), at(day(2), 9.1), at(day(2)), "gwlog resolve 7"),
    Case("label to check", "Mystery", "due", "Check the label of “Mystery”",
         lambda home: home.product("Mystery", day(1), form=None),
         lambda home: home.product("Mystery", day(2)), at(day(2)), at(day(1), 0), "gwlog setup apply SITE.toml"),
]


def only(case: Case, home: Home, now: datetime) -> list[Reminder]:
    return [one for one in home.reminded(now, case.kind, expected=case.expected) if one.subject == case.subject]


def names(case: Case) -> str:
    return f"{case.kind}, {case.state}: {case.says}"


@pytest.mark.parametrize("case", CASES, ids=names)
def test_a_reminder_appears_and_is_settled_by_a_normal_entry(case: Case) -> None:
    home = Home(case.basins, **case.site)
    assert only(case, home, at(day(0), 1.0)) == []
    case.make(home)
    (one,) = only(case, home, case.now)
    assert one.state == case.state
    assert case.says in one.text
    if case.due is not None:
        assert one.due == case.due
    if case.action is not None:
        assert str(one.action) == case.action
    assert one.key.startswith(f"{case.kind}|{case.subject}|2")
    assert case.settle is not None
    case.settle(home)
    assert only(case, home, case.now + HOUR) == []


def test_every_kind_has_a_case() -> None:
    # leaching owed: test_salt.py
    assert {case.kind for case in CASES} | {"leaching owed"} == set(KINDS)


@pytest.mark.parametrize("case", CASES, ids=names)
def test_a_key_stands_still_while_nothing_happens(case: Case) -> None:
    home = Home(case.basins, **case.site)
    case.make(home)
    (one,) = only(case, home, case.now)
    for later in (timedelta(minutes=1), HOUR):
        assert [again.key for again in only(case, home, case.now + later)] == [one.key]


@pytest.mark.parametrize(
    "case", [case for case in CASES
             if case.kind in ("move outlet", "mulch due", "upkeep", "follow up", "basin ready again")],
    ids=names)
def test_a_key_stands_still_over_night(case: Case) -> None:
    home = Home(case.basins, **case.site)
    case.make(home)
    (one,) = only(case, home, case.now)
    assert [again.key for again in only(case, home, case.now + timedelta(days=1))] == [one.key]


# --- all together -------------------------------------------------------------------------------------------


def test_what_is_done_before_a_load_comes_first_then_what_is_unsafe_and_no_key_twice() -> None:
    home = Home(("Fig", "Quince"))
    diapers(home)
    home.mulch("Fig", day(2), "measured", 40)
    home.see("odour", day(28), "Fig")
    home.see("leak", day(29), "Quince", 8.5)
    found = home.reminders(at(day(29)), expected=[(at(day(29), 13), "diapers")] * 2)
    assert [(one.kind, one.state) for one in found[:2]] == [("valve to sewer", "due"), ("follow up", "due")]
    states = [one.state for one in found[2:]]
    assert states == sorted(states, key=["overdue", "due", "soon"].index)
    assert {"overdue", "soon"} <= set(states)
    assert len({one.key for one in found}) == len(found)


def test_nothing_without_a_site() -> None:
    home = Home()
    assert reminders(Advice(State(), home.garden(at(day(1))), at(day(1)))) == ()


def test_names_with_signs_make_keys_and_commands_that_hold() -> None:
    home = Home(("Fig",))
    home.product("Half | half; rm", day(1), form=None)
    home.task("wipe 'n' | go", "1 week")
    keys = {one.key for one in home.reminders(at(day(8)))}
    assert "label to check|Half / half; rm|2026-06-02" in keys
    (one,) = [one for one in home.reminded(at(day(8)), "upkeep") if one.subject.startswith("wipe")]
    assert str(one.action) == "gwlog done \"wipe 'n' | go\""


@settings(max_examples=40)
@given(st.lists(st.tuples(st.sampled_from(["load", "sewer", "ponding", "move", "rain", "valve", "resolve"]),
                          st.integers(0, 30), st.integers(6, 20)), max_size=12), st.integers(1, 35))
def test_any_household_has_reminders_with_stable_keys(events: list[tuple[str, int, int]], today: int) -> None:
    home = Home(("Fig", "Quince"))
    for what, number, hour in sorted(events, key=lambda event: event[1:]):
        when = day(number)
        if what == "load":
            home.load(when, hour, litres=30.0 + 5 * hour)
        elif what == "sewer":
            home.load(when, hour, to="sewer", contents=("oil",))
        elif what == "ponding":
            home.see("ponding", when, "Fig", hour)
        elif what == "move":
            home.move("Hose", "Quince" if hour % 2 else "Fig", when, hour)
        elif what == "rain":
            home.weather(when, rain_um=hour * 1000)
        elif what == "valve":
            home.valve("sewer" if hour % 2 else "garden", when, hour)
        else:
            home.resolve(len(home.facts), when, hour)
    now = at(day(today), 21.5)
    first, again = home.reminders(now, expected=()), home.reminders(now + timedelta(minutes=1), expected=())
    assert {one.key for one in first} == {one.key for one in again}
    for one in first:
        kind, subject, when_due = one.key.split("|")
        assert kind in KINDS and subject and len(when_due) == 10
        assert one.due.utcoffset() == timedelta(0)
        assert (one.due > now) == (one.state == "soon") or one.kind == "mulch due"
        assert one.text.endswith((".", "?"))


def test_the_day_since_when_a_basin_lacks_water_stands_while_its_fig_sheds_its_leaves() -> None:
    """What a root zone can give before its plants lack water changes from day to day with their leaves."""
    home = Home()
    diapers(home)
    home.basin("Fig", when=day(1), started=day(1), plants="fig", start_deficit_ml=20_000)
    keys = {one.key for number in (34, 90, 154, 162)
            for one in home.reminders(at(day(number)), expected=[(at(day(number + 1), 18), "diapers")])
            if one.kind == "other water"}
    assert keys == {"other water|Fig|2026-07-02"}
