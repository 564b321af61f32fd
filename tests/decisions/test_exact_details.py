"""Details of the decisions that a small fault would change: sentences, counts, and moments at the edge of a window."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from types import SimpleNamespace
from typing import Any

import pytest

from gwlog.decisions.compliance import Evidence, evidence
from gwlog.decisions.exceptions import exceptions
from gwlog.decisions.expected import expected, usual_litres, weekday_loads
from gwlog.decisions.load_rules import SODIUM_TARGET_MG, LoadQuery, is_unassessed, load_reasons
from gwlog.decisions.notification_times import Quiet, Times, due_telling, lead, next_moment, tellings
from gwlog.decisions.period import Past
from gwlog.decisions.reminder_model import Reminder, Timing
from gwlog.decisions.sewer_loads import SewerLoad, sewer_loads
from gwlog.decisions.upkeep_past import rounds
from gwlog.journal.facts import Product
from tests.decisions.home import ZONE as HOME_ZONE
from tests.decisions.home import Home, at, day
from tests.decisions.household import NOW, SETUP, ZONE, folded, household, planned, run

HOUR = timedelta(hours=1)
MINUTE = timedelta(minutes=1)


# --- what is expected -------------------------------------------------------------------------------------------


def test_the_habit_is_read_from_eight_weeks_and_its_litres_from_the_washer() -> None:
    wednesdays = [run(f"{NOW.date() - timedelta(weeks=week)}T{14 if week > 4 else 10}:00", litres=10.0 * week)
                  for week in range(9, 0, -1)]
    loads, _ = expected(folded(household(), wednesdays), NOW, 1)
    noon = NOW + timedelta(hours=4)                      # four at 14:00 and four at 10:00; the ninth week is too old
    assert [(load.when, load.litres) for load in loads] == [(noon, 68.0)]     # whatever those runs were logged with
    assert usual_litres(folded(household()), "towels") == 68.0


@pytest.mark.parametrize(("days_ago", "weekdays"), [(56, [2]), (57, [])])
def test_the_habit_is_read_from_eight_weeks_to_the_day(days_ago: int, weekdays: list[int]) -> None:
    runs = [run(f"{NOW.date() - timedelta(days=days_ago)}T{hour:02d}:00") for hour in range(9, 14)]
    loads, _ = expected(folded(household(), runs), NOW, 7)     # five on one of eight Wednesdays: one to expect
    assert [load.day.weekday() for load in loads] == weekdays


def test_the_name_to_expect_is_read_from_the_same_eight_weeks() -> None:
    """Four Wednesdays of towels against three of diapers; a ninth week of diapers is too old to make them even."""
    wednesdays = [run(f"{NOW.date() - timedelta(weeks=week)}T10:00",
                      load="towels" if 5 <= week <= 8 else "diapers") for week in (9, 8, 7, 6, 5, 3, 2, 1)]
    loads, _ = expected(folded(household(), wednesdays), NOW, 1)
    assert [load.name for load in loads] == ["towels"]


def test_a_load_planned_at_its_very_moment_can_be_missed() -> None:
    moment = NOW - timedelta(days=3)
    here = "2026-05-31T08:00"
    for when, missed in ((moment, 1), (moment + MINUTE, 0)):
        assert len(expected(folded(household(), [planned(here, when=when)]), NOW, 1)[1]) == missed


def test_a_second_run_near_a_planned_load_is_free_to_fulfil_the_next() -> None:
    plans = [planned("2026-05-30T09:00", name="one"), planned("2026-05-31T15:00", name="two")]
    runs = [run("2026-05-30T09:00"), run("2026-05-30T19:00")]
    assert expected(folded(household(), plans, runs), NOW, 1)[1] == ()


def test_each_weekday_is_divided_by_how_often_it_came() -> None:
    monday = date(2026, 6, 1)
    tuesdays = [SimpleNamespace(day=monday + timedelta(days=n)) for n in (1, 8)]
    assert weekday_loads(tuesdays, monday, monday + timedelta(days=10)) == (0, 1, 0, 0, 0, 0, 0)  # type: ignore[arg-type]


def test_more_loads_than_usual_today_leave_nothing_to_come() -> None:
    wednesdays = [run(f"{NOW.date() - timedelta(weeks=week)}T10:00") for week in range(8, 0, -1)]
    others = [run("2026-06-03T06:00", load="diapers"), run("2026-06-03T07:00", load="diapers")]
    assert len(expected(folded(household(), wednesdays), NOW, 1)[0]) == 1
    assert expected(folded(household(), wednesdays, others), NOW, 1)[0] == ()


# --- loads that should have gone to the sewer --------------------------------------------------------------------


def to_sewer(home: Home, now: datetime | None = None) -> list[SewerLoad]:
    moment = now or at(day(20))
    state = home.state(moment)
    return list(sewer_loads(state, exceptions(state, home.garden(moment))))


def test_a_load_that_went_where_it_had_to_needs_no_following_up() -> None:
    home = Home()
    home.load(day(3), to="sewer", contents=("oil",))
    assert [(one.diverted, one.followed_up) for one in to_sewer(home)] == [(True, False)]


@pytest.mark.parametrize(("litres", "told"), [(227.124, []), (227.126, ["daily limit"])])
def test_one_load_alone_may_be_as_large_as_the_daily_limit(litres: float, told: list[str]) -> None:
    home = Home(code="us-wa-1")                           # 60 gal are 227.125 L
    home.load(day(2), litres=100.0, to="sewer")
    home.load(day(3), litres=litres, to="sewer")
    assert [reason.rule for one in to_sewer(home) for reason in one.reasons] == told


def test_an_outlet_moved_at_the_moment_of_the_load_lies_at_its_new_basin() -> None:
    home = Home(basins=("Fig", "Pear"))
    home.see("ponding", day(2), "Pear")
    home.move("Hose", "Pear", day(5), 9)
    home.load(day(5), 9, to="sewer")
    assert [reason.rule for one in to_sewer(home) for reason in one.reasons] == ["ponding"]


def test_a_leak_that_was_seen_nowhere_in_particular_sends_loads_to_the_sewer() -> None:
    home = Home()
    home.see("leak", day(2))
    home.load(day(3), to="sewer")
    (one,) = to_sewer(home)
    assert [reason.text for reason in one.reasons] == ["Leak was logged and not resolved then."]


def test_the_code_of_that_day_counts() -> None:
    home = Home()
    home.facts.append(replace(home.facts[0], id=90, code="us-wa-1", happened_at=at(day(5), 0.0)))
    winter = date(2026, 12, 1)
    home.load(winter, to="sewer")
    home.facts.append(replace(home.facts[0], id=91, code="us-ca-washer", happened_at=at(winter, 12.0)))
    assert [reason.rule for one in to_sewer(home, at(winter, 20.0)) for reason in one.reasons] == ["season"]


# --- the evidence's sentences -------------------------------------------------------------------------------------


def found(home: Home, condition: str, first: date | None = None, last: date | None = None) -> Evidence:
    begin, end = first or day(0), last or day(60)
    now = at(end, 20)
    state, garden = home.state(now), home.garden(now)
    past = Past(state, garden, begin, end, to_sewer(home, now), rounds(state, end))
    return next(one for one in evidence(past) if one.condition.id == condition)


def test_turns_of_the_valve_are_counted_within_the_period() -> None:
    home = Home()
    home.valve("sewer", day(5))
    home.valve("garden", day(6))
    assert found(home, "valve").shows[0] == "The valve was turned, or logged, 3 times."
    assert found(home, "valve", day(6)).shows[0] == "The valve was turned, or logged, 1 time."
    assert found(home, "valve", day(7)).shows == ()


def test_loads_over_the_allowance_are_counted_within_the_period_whatever_else_they_were() -> None:
    home = Home()
    home.load(day(3), litres=400.0)                       # the surge room too
    home.load(day(20), litres=400.0, to="sewer", contents=("oil",))
    over = "1 load passed what the soil of a basin can absorb per day."
    assert over in found(home, "field").against
    assert found(home, "field", day(4)).against == ()


def test_the_least_cover_is_told_with_its_day() -> None:
    home = Home()
    home.mulch("Fig", day(5), "measured", 80)
    home.mulch("Fig", day(6), "measured", 60)
    home.mulch("Fig", day(7), "measured", 90)
    told = found(home, "cover")
    assert told.shows[0].startswith("Mulch measured 3 times; the least was 2.4 in at Fig on Sun, Jun 7, 2026")
    assert told.against == ()
    home.mulch("Fig", day(8), "measured", 50)             # 50.8 mm are asked for
    assert found(home, "cover").against[0] == "1 measurement of the mulch found less than 2.0 in."


def test_loads_on_soaked_ground_are_told_where_they_went() -> None:
    home = Home(code="generic")
    home.weather(day(3), rain_um=20_000)
    home.load(day(3), 9, to="sewer")
    assert "All 1 load on soaked ground went to the sewer." in found(home, "wet ground").shows
    home.load(day(3), 12)
    told = found(home, "wet ground")
    assert not any("soaked ground" in words for words in told.shows)
    assert told.against == (
        "1 of 2 loads on days that count as soaked by the rain logged for them went to the garden.",)


def test_ponding_is_counted_within_the_period_and_with_how_it_ended() -> None:
    home = Home()
    home.resolve(home.see("ponding", day(3), "Fig"), day(4))
    home.see("ponding", day(30), "Fig")
    assert "Ponding was seen 2 times, 1 resolved." in found(home, "ponding").against
    assert "Ponding was seen 1 time, 0 resolved." in found(home, "ponding", day(10)).against
    assert not any("Ponding was seen" in words for words in found(home, "ponding", day(31)).against)


@pytest.mark.parametrize(("mg", "finding"), [(SODIUM_TARGET_MG - 1, "met"), (SODIUM_TARGET_MG, "exceptions only")])
def test_sodium_counts_from_the_very_gram(mg: int, finding: str) -> None:
    home = Home(code="au-wa")
    home.product("sack", sodium_mg=mg)
    home.load(day(3), products=("sack",))
    assert found(home, "sodium").finding == finding


def test_the_most_sodium_is_told_in_grams() -> None:
    home = Home(code="au-wa")
    home.load(day(3), products=("plain liquid",))
    assert found(home, "sodium").shows == ("The most sodium in a garden load was 3 g, by the products logged.",)


def test_rounds_that_were_missed_are_told_by_name_and_number() -> None:
    home = Home()
    told = found(home, "ponding").against
    assert any(words.startswith("“look for ponding and runoff” was missed") for words in told), told


# --- rules about the load --------------------------------------------------------------------------------------


def product(**words: Any) -> Product:
    return Product(**{"happened_at": SETUP, "zone": ZONE, "name": "sack", "product_kind": "detergent",
                      "form": "powder", "chlorine_bleach": False, "borax": False, "sodium_mg": 3000, **words})


def reasons(*products: Product) -> dict[str, str]:
    return {reason.rule: reason.text for reason in load_reasons(LoadQuery("towels", 50.0, products, ()))}


def test_the_sodium_of_powders_alone_is_asked_for() -> None:
    assert "sodium" not in reasons(product(sodium_mg=SODIUM_TARGET_MG - 1))
    told = reasons(product(sodium_mg=SODIUM_TARGET_MG))["sodium"]
    aim = f"{SODIUM_TARGET_MG // 1000} g"
    assert told == f"The products add {aim} of sodium; aim for less than {aim} a wash."
    assert "of the powder “sack” is unknown" in reasons(product(sodium_mg=None))["sodium"]
    assert "sodium" not in reasons(product(sodium_mg=None, form="liquid"))
    shared = reasons(product(sodium_mg=SODIUM_TARGET_MG - 1), product(name="other", sodium_mg=None, form="liquid"))
    assert "sodium" not in shared


def test_one_bleach_and_two_are_named() -> None:
    one, two = product(chlorine_bleach=True), product(name="other", chlorine_bleach=True)
    assert reasons(one)["chlorine bleach"].startswith("Contains chlorine bleach (“sack”)")
    assert reasons(one, two)["chlorine bleach"].startswith("Contains chlorine bleach (“sack” and “other”)")


@pytest.mark.parametrize(("words", "open_question"), [
    ({}, False), ({"form": None}, True), ({"chlorine_bleach": None}, True),
    ({"form": None, "chlorine_bleach": None}, True),
])
def test_a_product_is_assessed_when_its_form_and_its_bleach_are_known(words: dict[str, Any],
                                                                      open_question: bool) -> None:
    assert is_unassessed(product(**words)) is open_question


# --- the valve's reminders ----------------------------------------------------------------------------------------


def back(home: Home, now: datetime) -> list[Reminder]:
    return home.reminded(now, "valve to garden", expected=[])


def test_an_expected_load_that_nobody_described_is_left_out() -> None:
    home = Home()
    assert home.reminded(at(day(3)), "valve to sewer", expected=[(at(day(3), 10), "curtains")]) == []


def test_a_load_to_the_sewer_for_want_of_room_does_not_turn_the_valve_back() -> None:
    home = Home()
    home.valve("sewer", day(2), 7.0)
    home.load(day(2), 8.0, to="sewer")                    # nothing in it had to go there
    assert back(home, at(day(2), 10)) == []
    home.load(day(2), 11.0, to="sewer", contents=("oil",))
    assert [one.due for one in back(home, at(day(2), 13))] == [at(day(2), 12)]


@pytest.mark.parametrize(("now", "stage"), [
    (at(day(2), 9) + timedelta(minutes=30), None), (at(day(2), 10) - MINUTE, None), (at(day(2), 10), "due"),
    (at(day(3), 10), "due"), (at(day(3), 10) + MINUTE, "overdue"),
])
def test_after_a_load_has_drained_there_is_a_day_to_turn_the_valve_back(now: datetime, stage: str | None) -> None:
    home = Home()
    home.valve("sewer", day(2), 8.0)
    home.load(day(2), 9.0, to="sewer", contents=("oil",))
    assert [(one.due, one.state) for one in back(home, now)] == ([(at(day(2), 10), stage)] if stage else [])


@pytest.mark.parametrize(("now", "stage"), [
    (at(day(5), 7) - MINUTE, None), (at(day(5), 7), "due"), (at(day(9), 7), "due"), (at(day(9), 7) + MINUTE, "overdue"),
])
def test_a_forgotten_valve_is_asked_for_after_three_days_to_the_minute(now: datetime, stage: str | None) -> None:
    home = Home()
    home.valve("sewer", day(2), 7.0)
    assert [(one.due, one.state) for one in back(home, now)] == ([(at(day(5), 7), stage)] if stage else [])


# --- the moments of a telling --------------------------------------------------------------------------------------


DUE = datetime(2026, 7, 15, 18, 0, tzinfo=UTC)            # 11:00 in Los Angeles
NIGHT, NOON = Quiet(time(22), time(7)), Quiet(time(13), time(15))


def due(timing: Timing = "ahead of a load", state: str = "soon", when: datetime = DUE) -> Reminder:
    return Reminder("key", "valve to sewer", "whites", when, state, "Turn it.", None, timing)  # type: ignore[arg-type]


@pytest.mark.parametrize(("quiet", "wall", "covered"), [
    (NOON, time(12, 59), False), (NOON, time(13), True), (NOON, time(14, 59), True), (NOON, time(15), False),
    (NIGHT, time(21, 59), False), (NIGHT, time(22), True), (NIGHT, time(6, 59), True), (NIGHT, time(7), False),
    (NIGHT, time(0), True), (Quiet(time(9), time(9)), time(9), False),
])
def test_quiet_hours_begin_and_end_to_the_minute(quiet: Quiet, wall: time, covered: bool) -> None:
    assert quiet.covers(wall) is covered


@pytest.mark.parametrize(("hour", "begins", "ends"), [(23, 15, 16), (2, 14, 15)])
def test_quiet_hours_over_midnight_begin_in_the_evening_before(hour: int, begins: int, ends: int) -> None:
    assert NIGHT.spell(at(date(2026, 7, 15), hour), HOME_ZONE) == (
        at(date(2026, 7, begins), 22), at(date(2026, 7, ends), 7))


def test_an_evening_before_that_comes_after_the_load_is_none() -> None:
    early = at(date(2026, 7, 15), 0.0)
    late = Times(evening=time(23), leads=(lead("evening before"),))
    assert [one.moment for one in tellings(due(when=early), late, HOME_ZONE)] == [early - HOUR]
    assert [one.moment for one in tellings(due(when=early), Times(leads=(lead("evening before"),)), HOME_ZONE)] == [
        early - 5 * HOUR]


def test_what_is_told_ahead_of_a_load_comes_a_minute_before_the_quiet_hours_that_would_swallow_it() -> None:
    times = Times(leads=(lead("1 hour"),))
    night_load = due(when=at(date(2026, 7, 16), 6.5))
    assert [one.moment for one in tellings(night_load, times, HOME_ZONE, NIGHT)] == [
        at(date(2026, 7, 15), 22) - MINUTE]
    at_their_end = due(when=at(date(2026, 7, 16), 7))
    assert [one.moment for one in tellings(at_their_end, times, HOME_ZONE, NIGHT)] == [at(date(2026, 7, 16), 7)]


def test_of_several_moments_that_have_come_the_last_is_told_and_before_the_first_none() -> None:
    one, two = (each.moment for each in tellings(due(), Times(), HOME_ZONE))
    label: Callable[[datetime], str | None] = lambda now: (  # noqa: E731
        told.label if (told := due_telling(due(), now, Times(), HOME_ZONE)) else None)
    assert [label(one - MINUTE), label(one), label(two - MINUTE), label(two)] == [
        None, "evening before", "evening before", "60 minutes before"]
    overdue = due_telling(due(state="overdue"), one - MINUTE, Times(), HOME_ZONE)
    assert overdue is not None and overdue.label == "evening before"


def test_the_next_moment_is_the_next_telling_or_the_end_of_the_quiet_hours() -> None:
    one, two = (each.moment for each in tellings(due(), Times(), HOME_ZONE))
    assert next_moment([due()], one - MINUTE, Times(), HOME_ZONE) == one
    assert next_moment([due()], one, Times(), HOME_ZONE) == two
    assert next_moment([due()], two, Times(), HOME_ZONE) is None
    assert next_moment([], at(date(2026, 7, 15), 23), Times(), HOME_ZONE, NIGHT) == at(date(2026, 7, 16), 7)
    assert next_moment([], at(date(2026, 7, 15), 12), Times(), HOME_ZONE, NIGHT) is None
