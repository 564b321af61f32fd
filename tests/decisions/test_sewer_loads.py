"""Loads that should have gone to the sewer: those that did beside those that did not."""

from __future__ import annotations

from datetime import date

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


def test_rain_and_frost_count_as_far_as_they_were_logged_when_the_load_ran() -> None:
    home = Home()
    home.weather(day(2), rain_um=20_000)
    soaked = home.load(day(2), 9, to="sewer")
    home.load(day(5), 9, to="sewer")
    home.weather(day(5), typed=day(6), rain_um=20_000)
    home.weather(day(8), tmin_mdegc=-8_000, tmax_mdegc=-1_000)
    frozen = home.load(day(8), 9, to="sewer")
    assert told(home) == [(soaked, True, ("soaked ground",)), (frozen, True, ("frozen ground",))]


def test_the_codes_season_sends_loads_to_the_sewer() -> None:
    home = Home(code="us-wa-1")
    number = home.load(date(2026, 12, 1), to="sewer")
    home.load(date(2026, 10, 1), to="sewer")
    now = at(date(2026, 12, 2))
    (one,) = sewer_loads(home.state(now), ())
    assert (one.load.fact.id, one.reasons[0].rule) == (number, "season")


def test_the_codes_daily_limit_counts_what_had_gone_out_that_day() -> None:
    home = Home(code="us-wa-1")                       # 60 gal = 227 L a day (WAC 246-274-100, tier 1)
    home.load(day(3), 8, litres=120, to="sewer")
    home.load(day(3), 9, litres=150)
    number = home.load(day(3), 10, litres=100, to="sewer")
    home.load(day(4), 10, litres=100, to="sewer")
    assert [(one, rules) for one, diverted, rules in told(home) if diverted] == [(number, ("daily limit",))]
