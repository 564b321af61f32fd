"""Loads that had to go to the sewer: those that did beside those that did not."""

from __future__ import annotations

from gwlog.decisions.exceptions import exceptions
from gwlog.decisions.sewer_loads import SewerLoad, sewer_loads
from tests.decisions.home import Home, at, day

NOW = at(day(20))


def found(home: Home) -> list[SewerLoad]:
    state = home.state(NOW)
    return list(sewer_loads(state, exceptions(state, home.garden(NOW))))


def told(home: Home) -> list[tuple[int, bool, tuple[str, ...]]]:
    return [(one.load.fact.id, one.diverted, tuple(reason.rule for reason in one.reasons)) for one in found(home)]


def test_a_load_with_diapers_is_told_wherever_it_went() -> None:
    home = Home()
    first = home.load(day(2), to="sewer", contents=("diapers",))
    second = home.load(day(3), contents=("diapers",))
    assert [(number, diverted) for number, diverted, _ in told(home)] == [(first, True), (second, False)]


def test_a_load_that_went_to_the_sewer_for_want_of_room_or_by_a_should_had_not_to() -> None:
    home = Home()
    home.product("softener", product_kind="softener")
    home.load(day(2), to="sewer")
    home.load(day(3), to="sewer", products=("softener",))
    assert told(home) == []


def test_what_was_seen_at_the_outlets_basin_and_not_resolved_sends_loads_to_the_sewer() -> None:
    home = Home(basins=("Fig", "Pear"))
    seen = home.see("ponding", day(2), "Pear")
    home.load(day(3), to="sewer")                     # the hose lies at Fig
    home.move("Hose", "Pear", day(4))
    there = home.load(day(5), to="sewer")
    home.resolve(seen, day(6))
    home.load(day(7), to="sewer")
    assert told(home) == [(there, True, ("ponding",))]


def test_illness_and_ground_count_for_the_whole_household() -> None:
    home = Home()
    home.see("illness", day(2))
    home.see("frozen ground", day(2))
    number = home.load(day(3), to="sewer")
    assert told(home) == [(number, True, ("illness in the household", "frozen ground"))]


def test_a_follow_up_is_told_where_the_load_went_wrong() -> None:
    home = Home()
    number = home.load(day(3), contents=("oil",))
    home.resolve(number, day(4))
    (one,) = found(home)
    assert (one.diverted, one.followed_up) == (False, True)
