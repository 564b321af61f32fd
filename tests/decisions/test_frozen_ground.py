"""Frozen ground without a thermometer: verdict, plan, warnings, reminders, exceptions and cautions say the same."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest

from gwlog.decisions.caution_words import caution_text
from gwlog.decisions.exceptions import exceptions
from gwlog.decisions.ground import LOOK_FIRST, FrozenThen, frost_on, frozen, may_be_frozen
from gwlog.decisions.query import profile_of, reader_of
from gwlog.decisions.sewer_loads import sewer_loads
from gwlog.journal.facts import PlannedLoad, Site
from gwlog.reference.cautions import CAUTION_BY_ID
from tests.decisions.home import Home, at
from tests.water.test_frost import COLD_C

MEANS = tuple(round(mean * 1000) for mean in COLD_C)
DECEMBER, MAYBE, FROZEN, OPEN = date(2026, 12, 5), date(2026, 12, 28), date(2027, 1, 20), date(2027, 4, 10)


def cold_home(**site: Any) -> Home:
    home = Home(**{"monthly_tmean_mdegc": MEANS, "latitude_udeg": 45_000_000, **site})
    home.valve("garden", date(2026, 6, 1))
    return home


def rules(home: Home, day: date) -> tuple[list[str], list[str]]:
    answer = home.verdict(at(day, 10.0))
    return [reason.rule for reason in answer.reasons], [reason.rule for reason in answer.warnings]


@pytest.mark.parametrize(("day", "must", "warned"), [
    (DECEMBER, False, True), (MAYBE, False, True), (FROZEN, True, False), (OPEN, False, False),
    (date(2026, 8, 1), False, False),
])
def test_through_a_winter_of_normals(day: date, must: bool, warned: bool) -> None:
    home = cold_home()
    reasons, warnings = rules(home, day)
    assert ("frozen ground" in reasons) is must
    assert ("frost" in warnings) is warned


def test_the_words_name_the_index_and_its_bounds() -> None:
    home = cold_home()
    state, read = home.state(at(FROZEN)), reader_of(home.state(at(FROZEN)))
    words = frozen(state, FROZEN, read)
    assert words is not None and "usual temperatures" in words and "above 83" in words
    frost = frost_on(state, FROZEN)
    assert frost is not None and f"{frost.degree_days:.0f}" in words
    maybe = may_be_frozen(state, MAYBE, read)
    assert maybe is not None and "between 55 and 83" in maybe and maybe.endswith(LOOK_FIRST)
    plain = may_be_frozen(state, DECEMBER, read)
    assert plain is not None and plain.endswith(LOOK_FIRST)
    assert "In December the usual mean is 26 °F, below freezing, and no temperatures are imported." in plain


def test_the_plan_and_the_reminder_hold_the_ground_for_shut() -> None:
    home = cold_home()
    home.add(PlannedLoad, date(2026, 6, 1), name="towels", load="towels", starts="2026-06-06T09:00",
             every="FREQ=WEEKLY;BYDAY=SA")
    now = at(FROZEN, 18.0)
    plan = home.advice(now).plan()
    assert plan.sewer and all("frozen" in one.reason for one in plan.sewer)
    held = [one for one in home.reminders(now) if one.kind == "garden shut for weather"]
    assert len(held) == 1 and held[0].subject == "frost" and "frost index" in held[0].text


def measured(home: Home, last: date, days: int, low: float, high: float) -> None:
    for number in range(days):
        home.weather(last - timedelta(days=number), tmin_mdegc=round(low * 1000), tmax_mdegc=round(high * 1000))


def test_imported_temperatures_win_over_the_normals() -> None:
    home = cold_home()
    measured(home, FROZEN, 60, 1.0, 9.0)
    reasons, warnings = rules(home, FROZEN)
    assert "frozen ground" not in reasons and "frost" not in warnings


def test_imported_frost_is_carried_through_the_first_thaw_where_no_normals_are_stated() -> None:
    home = Home()
    home.valve("garden", date(2026, 6, 1))
    measured(home, FROZEN - timedelta(days=3), 45, -9.0, -1.0)
    measured(home, FROZEN, 3, 2.0, 6.0)
    reasons, _ = rules(home, FROZEN)
    assert "frozen ground" in reasons
    words = frozen(home.state(at(FROZEN)), FROZEN, reader_of(home.state(at(FROZEN))))
    assert words is not None and "temperatures of the last weeks" in words


def test_where_no_temperature_is_known_that_could_freeze_nothing_is_said() -> None:
    for home in (Home(), cold_home(monthly_tmean_mdegc=(5_000,) * 12)):
        state = home.state(at(FROZEN))
        assert frost_on(state, FROZEN) is None and may_be_frozen(state, FROZEN, reader_of(state)) is None


def test_seen_frozen_holds_until_resolved_and_then_the_index_begins_anew() -> None:
    home = cold_home()
    number = home.see("frozen ground", OPEN - timedelta(days=1))
    assert "frozen ground" in rules(home, OPEN)[0]
    home.resolve(number, OPEN)
    assert "frozen ground" not in rules(home, OPEN + timedelta(days=1))[0]
    again = home.see("frozen ground", FROZEN - timedelta(days=2))
    home.resolve(again, FROZEN - timedelta(days=1))
    reasons, warnings = rules(home, FROZEN)
    assert "frozen ground" not in reasons and "frost" in warnings   # the month is still below freezing


def test_a_load_to_the_garden_on_frozen_ground_is_an_exception_and_one_to_the_sewer_is_understood() -> None:
    home = cold_home()
    home.load(FROZEN, 9.0)
    home.load(FROZEN + timedelta(days=1), 9.0, to="sewer")
    now = at(FROZEN + timedelta(days=2))
    state, garden = home.state(now), home.garden(now)
    (wrong,) = exceptions(state, garden)
    assert [reason.rule for reason in wrong.reasons] == ["frozen ground"]
    assert "logged then" not in wrong.reasons[0].text
    assert [[reason.rule for reason in one.reasons] for one in sewer_loads(state, [wrong])] == [["frozen ground"]] * 2


def test_what_was_imported_afterwards_is_not_held_against_anybody() -> None:
    home = Home()
    home.load(FROZEN, 9.0)
    late = FROZEN + timedelta(days=20)
    for number in range(45):
        home.weather(FROZEN - timedelta(days=number), typed=late, tmin_mdegc=-9_000, tmax_mdegc=-1_000)
    now = at(late + timedelta(days=1))
    state = home.state(now)
    assert frozen(state, FROZEN, reader_of(state)) is not None
    assert FrozenThen(state, reader_of(state)).at(state.loads[0]) is None
    assert exceptions(state, home.garden(now)) == ()


def test_normals_stated_later_are_not_held_against_the_past() -> None:
    home = Home(latitude_udeg=45_000_000)
    home.load(FROZEN, 9.0)
    first = home.facts[0]
    assert isinstance(first, Site)
    home.add(Site, FROZEN + timedelta(days=5), 9.0, **{
        name: getattr(first, name) for name in ("name", "latitude_udeg", "units", "occupants", "code",
                                                "monthly_eto_um", "monthly_rain_um")}, monthly_tmean_mdegc=MEANS)
    now = at(FROZEN + timedelta(days=6))
    assert exceptions(home.state(now), home.garden(now)) == ()


def test_the_caution_names_the_bounds_of_the_rule_where_winters_are_cold_and_nowhere_else() -> None:
    def said(home: Home) -> str:
        state = home.state(at(OPEN))
        return caution_text(CAUTION_BY_ID["wet ground"], profile_of(state), reader_of(state), state)

    words = said(cold_home())
    for part in ("32 °F", "27 °F", "above 83", "from 55 on", "January, February and December"):
        assert part in words
    assert "frost index" not in said(Home())
