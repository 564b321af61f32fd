"""The decisions' limits at the limit itself: what just reaches one is told from what just passes it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from math import inf, nextafter

import pytest

from gwlog.decisions import rotation, steady
from gwlog.decisions.exceptions import exceptions
from gwlog.decisions.expected import NEAR, expected
from gwlog.decisions.garden_rules import garden_litres_on, passed_limit
from gwlog.decisions.ground import FREEZING_TMAX_C, FREEZING_TMIN_C, SOAKING_RAIN_MM, cold_freezes, rain_soaks
from gwlog.decisions.outlet_assignment import closures, place
from gwlog.decisions.plan_cost import Weights
from gwlog.decisions.plan_garden import beds_of, outlets_of
from gwlog.decisions.plan_search import First, Search
from gwlog.decisions.query import profile_at, reader_of
from gwlog.decisions.reminder_model import Reminder
from gwlog.decisions.sewer_loads import sewer_loads
from gwlog.errors import BadInput
from gwlog.history import History
from gwlog.journal.facts import Observation
from gwlog.reference.codes import held
from gwlog.state import Weather
from gwlog.units import Reader
from tests.decisions.home import Home, at, day
from tests.decisions.household import NOW, ZONE, folded, household, planned, run, seen
from tests.decisions.plans import plan

READ = Reader("us")
MINUTE = timedelta(minutes=1)


def rules(home: Home, now: datetime) -> list[str]:
    return [reason.rule for one in exceptions(home.state(now), home.garden(now)) for reason in one.reasons]


# --- the code's daily limit: only what goes to the garden counts --------------------------------------------------


def two_to_the_sewer() -> Home:
    home = Home(code="us-wa-1")                       # 60 gal = 227 L a day, 4 in of cover
    home.basin("Fig", mulch_mm=200)
    home.load(day(3), 8, litres=150, to="sewer")
    home.load(day(3), 9, litres=150, to="sewer")
    return home


def test_loads_to_the_sewer_do_not_count_toward_the_daily_limit_of_the_next_one() -> None:
    home = two_to_the_sewer()
    now = at(day(3), 10)
    assert garden_litres_on(home.state(now), day(3)) == 0.0
    assert home.verdict(now).verdict == "garden"
    home.load(day(3), 10, litres=200)
    home.load(day(3), 11, litres=90, to="sewer")
    later = at(day(3), 12)
    assert garden_litres_on(home.state(later), day(3)) == 200.0
    assert garden_litres_on(home.state(later), day(2)) == garden_litres_on(home.state(later), day(4)) == 0.0
    assert "daily limit" not in [reason.rule for reason in home.verdict(later, volume_l=27.0).reasons]
    assert "daily limit" in [reason.rule for reason in home.verdict(later, volume_l=28.0).reasons]


def test_loads_to_the_sewer_do_not_make_a_garden_load_of_that_day_an_exception() -> None:
    home = two_to_the_sewer()
    home.load(day(3), 10, litres=90)
    assert "daily limit" not in rules(home, at(day(4)))


def test_loads_to_the_sewer_do_not_send_each_other_there() -> None:
    home = two_to_the_sewer()
    assert sewer_loads(home.state(at(day(4))), ()) == ()


@pytest.mark.parametrize(("code", "reaches", "passes"), [
    ("us-wa-1", 0.0, 0.001),       # 60 gal may be reached
    ("us-nm", -0.001, 0.0),        # less than 250 gal
])
def test_the_daily_limit_may_be_reached_unless_the_code_asks_for_less(code: str, reaches: float, passes: float) -> None:
    site = Home(code=code).state(at(day(1))).site
    assert site is not None
    profile = profile_at(site)
    limit = profile.daily_limit_l(site.occupants)
    assert limit is not None
    assert passed_limit(profile, site, limit + reaches, READ) is None
    assert passed_limit(profile, site, limit + passes, READ) is not None


# --- the absorption allowance, the surge room and the cover -------------------------------------------------------


@pytest.mark.parametrize(("limit", "changes"), [
    ("absorption allowance", {"area_cm2": 10_000, "mulch_mm": 1000}), ("surge room", {}),
])
def test_a_load_that_just_reaches_a_limit_of_its_basin_is_no_exception(limit: str, changes: dict[str, int]) -> None:
    home = Home()
    home.basin("Fig", **changes)
    home.load(day(3))
    now = at(day(4))
    state, water = home.state(now), home.garden(now)
    fig = home.garden(at(day(3), 1)).basins["Fig"]
    most = fig.allowance_l_per_day if limit == "absorption allowance" else fig.surge_room_l
    for litres, found in ((most, []), (most + 0.001, [limit])):   # not a whole number of the log's millilitres
        (load,) = state.loads
        state.loads = History([replace(load, litres=litres,
                                           deliveries=(replace(load.deliveries[0], litres=litres),))])
        assert [reason.rule for one in exceptions(state, water) for reason in one.reasons] == found


def fits(home: Home, now: datetime, litres: float) -> bool:
    state, water = home.state(now), home.garden(now)
    shut = closures(state, water, 0.0, READ)
    return place(state, water, litres, shut, READ, root_zone_binds=False).fits


@pytest.mark.parametrize(("limit", "rule", "changes"), [
    ("allowance_left_l", "absorption allowance", {"area_cm2": 10_000, "mulch_mm": 1000}),
    ("surge_room_l", "surge room", {"root_depth_mm": 1200}), ("most_l", "small basin", {"mulch_mm": 1000}),
])
def test_what_a_basin_takes_may_be_used_to_the_last_drop(limit: str, rule: str, changes: dict[str, int]) -> None:
    home = Home()
    home.basin("Fig", **changes)
    now = at(day(3))
    fig = home.garden(now).basins["Fig"]
    litres = fig.spec.most_l if limit == "most_l" else getattr(fig, limit)
    assert litres == min(fig.allowance_left_l, fig.surge_room_l, fig.spec.most_l)
    assert fits(home, now, litres)
    assert home.verdict(now, volume_l=litres).verdict == "garden"
    assert not fits(home, now, litres + 0.001)
    beyond = home.verdict(now, volume_l=litres + 0.001)
    assert (beyond.verdict, [reason.rule for reason in beyond.reasons]) == ("sewer", [rule])


def test_the_root_zones_room_may_be_used_to_the_last_drop() -> None:
    home = Home()
    home.basin("Fig", start_deficit_ml=60_000)
    now = at(day(1))
    room = home.garden(now).basins["Fig"].root_room_l
    assert home.verdict(now, volume_l=room).verdict == "garden"
    assert home.verdict(now, volume_l=room + 0.001).verdict == "sewer"


def test_a_cover_of_exactly_the_codes_minimum_is_deep_enough() -> None:
    home = Home()
    now = at(day(9))
    state, water = home.state(now), home.garden(now)
    depth = water.basins["Fig"].cover_mm
    assert closures(state, water, depth, reader_of(state))["Fig"] == ()
    (thin,) = closures(state, water, nextafter(depth, inf), reader_of(state))["Fig"]
    assert thin.rule == "cover"


# --- rain and frost -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("today", "before", "code", "soaked"), [
    (SOAKING_RAIN_MM, None, None, True), (SOAKING_RAIN_MM - 0.001, None, None, False),
    (SOAKING_RAIN_MM / 2, SOAKING_RAIN_MM / 2, None, True), (0.0, SOAKING_RAIN_MM, None, True),
    (1.0, None, "au-wa", False), (1.001, None, "au-wa", True), (1.001, None, "us-ca-washer", False),
    (0.0, 5.0, "au-wa", False), (None, None, "generic", False),
])
def test_rain_soaks_from_the_very_depth(today: float | None, before: float | None, code: str | None,
                                        soaked: bool) -> None:
    days = [None if mm is None else Weather(rain_mm=mm) for mm in (today, before)]
    raining = code is not None and held(code).when_raining
    assert (rain_soaks(*days, READ, when_raining=raining) is not None) is soaked


@pytest.mark.parametrize(("tmin", "tmax", "freezes"), [
    (None, FREEZING_TMAX_C, True), (None, FREEZING_TMAX_C + 0.001, False),
    (FREEZING_TMIN_C, None, True), (FREEZING_TMIN_C + 0.001, 5.0, False), (None, None, False),
])
def test_the_ground_freezes_at_the_very_degree_today_and_the_day_after(tmin: float | None, tmax: float | None,
                                                                       freezes: bool) -> None:
    cold, mild = Weather(tmin_c=tmin, tmax_c=tmax), Weather(tmin_c=9.0, tmax_c=20.0)
    assert (cold_freezes(day(1), cold, mild, READ) is not None) is freezes
    assert (cold_freezes(day(1), mild, cold, READ) is not None) is freezes
    assert (cold_freezes(day(1), None, None, READ) is not None) is False


# --- 36 hours --------------------------------------------------------------------------------------------------


DUE = NOW - timedelta(days=3)


@pytest.mark.parametrize("side", [-1, 1])
def test_a_run_fulfils_a_planned_load_up_to_36_hours_away_and_not_a_minute_more(side: int) -> None:
    def missed(apart: timedelta) -> int:
        when = (DUE + side * apart).astimezone(UTC)
        load = replace(run("2026-05-01T09:00"), happened_at=when)
        plan = planned("2026-05-31T08:00")
        return len(expected(folded(household(), [plan], [load]), NOW, 1)[1])

    assert timedelta(hours=36) == NEAR
    assert missed(timedelta(hours=36)) == 0
    assert missed(timedelta(hours=36) + MINUTE) == 1


def test_a_planned_load_is_expected_for_36_hours_and_missed_a_minute_later() -> None:
    def told(now: datetime) -> tuple[int, int]:
        loads, missed = expected(folded(household(), [planned("2026-05-31T08:00")], now=now), now, 1)
        return len(loads), len(missed)

    assert told(DUE + timedelta(hours=36)) == (1, 0)
    assert told(DUE + timedelta(hours=36) + MINUTE) == (0, 1)


def expecting(now: datetime, when: datetime, log: Callable[[Home], object] = lambda home: None) -> list[Reminder]:
    home = Home()
    home.usual("diapers", contents=("diapers",))
    log(home)
    return [one for one in home.reminders(now, expected=[(when, "diapers")]) if one.kind == "valve to sewer"]


def test_a_load_to_come_is_told_from_36_hours_before_until_three_hours_after() -> None:
    when = at(day(5), 12)
    assert not expecting(when - timedelta(hours=36) - MINUTE, when)
    assert [one.state for one in expecting(when - timedelta(hours=36), when)] == ["soon"]
    assert [one.state for one in expecting(when - timedelta(hours=12) - MINUTE, when)] == ["soon"]
    assert [one.state for one in expecting(when - timedelta(hours=12), when)] == ["due"]
    assert [one.state for one in expecting(when, when)] == ["due"]
    assert [one.state for one in expecting(when + MINUTE, when)] == ["overdue"]
    assert [one.state for one in expecting(when + timedelta(hours=3), when)] == ["overdue"]
    assert not expecting(when + timedelta(hours=3) + MINUTE, when)


def test_a_load_logged_up_to_three_hours_away_is_the_one_that_was_expected() -> None:
    when = at(day(5), 12)
    assert not expecting(when, when, lambda home: home.load(day(5), 9, name="diapers"))
    assert expecting(when, when, lambda home: home.load(day(5), 9 - 1 / 60, name="diapers"))
    assert expecting(when, when, lambda home: home.load(day(5), 11, name="towels"))


# --- the plan's threshold ---------------------------------------------------------------------------------------


def test_an_earlier_plan_is_kept_while_a_new_one_saves_no_more_than_the_threshold(
        monkeypatch: pytest.MonkeyPatch) -> None:
    groups = [household(), [planned("2026-06-03T09:00", "FREQ=DAILY")]]
    state, garden = seen(*groups)
    made = plan(state, garden, NOW)
    pond = Observation(happened_at=NOW + timedelta(hours=1), zone=ZONE, observed="ponding", basin=made.turns[0].basin)
    later = NOW + timedelta(hours=2)
    state, garden = seen(*groups, [pond], now=later)
    fresh = plan(state, garden, later)
    search = Search(beds_of(state, garden), outlets_of(state, garden), fresh.days, Weights.for_aim("plants"))
    ways = [search.run(First(way, fits=True)) for way in steady.WAYS]
    carried = search.run(First(fits=True), steady.held_by(made.steps, made.days, made.at))
    assert carried is not None
    saved = carried.score - min(way.score for way in ways if way is not None)
    for gain, kept in ((inf, True), (saved, True), (nextafter(saved, 0.0), False)):
        monkeypatch.setattr(steady, "KEEP_GAIN", gain)
        again = plan(state, garden, later, previous=made)
        assert again.kept is kept
        assert again.steps == (carried.steps if kept else fresh.steps)
        assert again.totals.cost - fresh.totals.cost == pytest.approx(saved if kept else 0.0)
    assert saved > 0.0


@pytest.mark.parametrize("days", [1, rotation.MOST_DAYS])
def test_the_first_and_the_last_number_of_days_can_be_planned(days: int) -> None:
    state, garden = seen(household(), [planned("2026-06-03T09:00")])
    assert len(plan(state, garden, NOW, days=days).days) == days


@pytest.mark.parametrize("days", [0, rotation.MOST_DAYS + 1, True])
def test_the_numbers_beyond_are_refused(days: int) -> None:
    state, garden = seen(household(), [planned("2026-06-03T09:00")])
    with pytest.raises(BadInput, match="days to plan"):
        plan(state, garden, NOW, days=days)


def test_days_of_the_helpers_are_what_these_tests_take_them_for() -> None:
    assert (day(0), DUE) == (date(2026, 6, 1), datetime(2026, 5, 31, 15, tzinfo=UTC))
