"""Reminders where several things meet: the valve, rain to come, moves by the plan, old loads to follow up."""

from __future__ import annotations

from gwlog.actions import Action
from gwlog.journal.facts import PlannedLoad
from tests.decisions.home import Home, at, day
from tests.decisions.plans import plan

TOWELS = [(at(day(3), 18), "towels")]


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


# --- the valve ----------------------------------------------------------------------------------------------


def test_the_valve_stays_on_sewer_while_there_is_a_reason() -> None:
    home = Home()
    on_sewer(home)
    home.see("illness", day(2))
    assert home.reminded(at(day(10)), "valve to garden") == []


def test_the_valve_stays_on_sewer_before_the_next_load_for_the_sewer() -> None:
    home = Home()
    diapers_have_run(home)
    coming = [(at(day(2), 20), "diapers"), (at(day(3), 8), "towels")]
    assert home.reminded(at(day(2), 12), "valve to garden", expected=coming) == []
    assert home.reminded(at(day(2), 12), "valve to sewer", expected=coming) == []


def test_rain_typed_ahead_is_told_the_day_before_under_the_same_key() -> None:
    home = Home()
    home.weather(day(3), typed=day(2), rain_um=20_000)
    (eve,) = home.reminded(at(day(2)), "garden shut for weather")
    (morning,) = home.reminded(at(day(3)), "garden shut for weather")
    assert (eve.state, morning.state) == ("soon", "due")
    assert eve.key == morning.key


def test_planned_loads_are_expected_without_being_passed_in() -> None:
    home = Home()
    diapers(home)
    home.add(PlannedLoad, day(0), name="diapers", load="diapers", starts="2026-06-02T18:00", every="FREQ=DAILY")
    (one,) = home.reminded(at(day(2)), "valve to sewer")[:1]
    assert one.due == at(day(2), 18)


def test_tomorrows_load_is_not_told_of_todays_used_up_allowance() -> None:
    home = Home(aim="garden")
    home.basin("Fig", soil="clay with a small amount of sand or gravel", start_deficit_ml=300_000)
    home.load(day(2), 7.0, litres=60.0)
    coming = [(at(day(2), 20), "towels"), (at(day(3), 18), "towels")]
    assert [one.due for one in home.reminded(at(day(2)), "next load will not fit", expected=coming)] == [at(day(2), 20)]
    assert home.reminded(at(day(2)), "valve to sewer", expected=coming) == []


def test_room_gone_is_told_of_the_next_load_alone_and_not_beside_the_same_move() -> None:
    home = Home(("Fig", "Quince"))
    fill(home)
    coming = [(at(day(3), 18), "towels"), (at(day(3), 20), "towels")]
    told = home.reminded(at(day(3)), "move outlet", expected=coming)
    assert [str(one.action) for one in told] == ["gwlog move Hose Quince"]
    assert home.reminded(at(day(3)), "next load will not fit", expected=coming) == []
    home.see("runoff", day(3), "Quince", 8.0)
    (one,) = home.reminded(at(day(3)), "next load will not fit", expected=coming)
    assert (one.due, str(one.action)) == (at(day(3), 18), "gwlog valve sewer")


def test_the_valve_goes_back_when_the_rain_is_over() -> None:
    home = Home()
    home.weather(day(3), typed=day(2), rain_um=20_000)
    home.valve("sewer", day(2), 20.0)
    home.weather(day(3), typed=day(3), rain_um=20_000)
    assert home.reminded(at(day(3)), "valve to garden", expected=()) == []
    assert home.reminded(at(day(4)), "valve to garden", expected=()) == []
    (one,) = home.reminded(at(day(5)), "valve to garden", expected=())
    assert one.due == at(day(5), 0) and "takes water again since Sat, Jun 6, 2026, 12:00 am" in one.text
    home.valve("garden", day(5), 9.2)
    assert home.reminded(at(day(5), 10), "valve to garden", expected=()) == []


def test_the_valve_goes_back_when_rain_was_forecast_and_nobody_measured_any() -> None:
    home = Home()
    home.weather(day(3), typed=day(2), rain_um=20_000)
    home.valve("sewer", day(2), 20.0)
    assert home.reminded(at(day(3)), "valve to garden", expected=()) == []
    (one,) = home.reminded(at(day(4)), "valve to garden", expected=())
    assert one.due == at(day(4), 0)


def test_the_valve_goes_back_when_soaked_ground_is_resolved() -> None:
    home = Home()
    number = home.see("soaked ground", day(2), "Fig", 8.0)
    home.valve("sewer", day(2), 8.5)
    assert home.reminded(at(day(2)), "valve to garden", expected=()) == []
    home.resolve(number, day(2), 15.0)
    (one,) = home.reminded(at(day(2), 16), "valve to garden", expected=())
    assert one.due == at(day(2), 15)


# --- the garden ---------------------------------------------------------------------------------------------


def test_no_outlet_is_moved_to_a_shut_basin_or_to_food_on_the_soil() -> None:
    home = Home(("Fig", "Quince", "Beet"))
    home.basin("Beet", edible="root crop", start_deficit_ml=300_000)
    home.see("runoff", day(2), "Quince")
    fill(home)
    assert home.reminded(at(day(3)), "move outlet", expected=TOWELS) == []


def test_no_outlet_is_moved_to_a_thirsty_basin_that_cannot_take_one_load() -> None:
    home = Home(("Fig", "Thyme"))
    home.basin("Thyme", area_cm2=5_000, canopy_cm2=5_000, start_deficit_ml=50_000)   # surge 25 L, a load 57 L
    fill(home)
    assert home.reminded(at(day(3)), "move outlet", expected=TOWELS) == []


def test_each_outlet_is_told_of_once_and_to_where_the_advice_has_it() -> None:
    home = Home(("Fig", "Quince", "Olive"), ("Hose", "Far pipe"))
    fill(home)
    for name in ("Quince", "Olive"):
        home.basin(name, start_deficit_ml=300_000)
    told = home.reminded(at(day(3)), "move outlet", expected=[*TOWELS, (at(day(4), 18), "towels")])
    answer = home.advice(at(day(3)), TOWELS).loads[0]
    assert {one.subject for one in told} == {"Hose", "Far pipe"}
    assert {one.action for one in told} == {Action("move", outlet=outlet, basin=basin)
                                            for outlet, _, basin in answer.moves}


def test_a_walk_is_told_from_the_day_before_the_load_that_it_is_for() -> None:
    home = Home(("Fig", "Quince"))
    fill(home)
    coming = [(at(day(5), 18), "towels")]
    assert home.reminded(at(day(3)), "move outlet", expected=coming) == []
    (eve,) = home.reminded(at(day(4)), "move outlet", expected=coming)
    (late,) = home.reminded(at(day(5), 20), "move outlet", expected=coming)
    assert (eve.state, late.state, eve.key) == ("soon", "overdue", late.key)
    assert eve.text == "Move Hose from Fig to Quince before “towels”, Sat, Jun 6, 2026, 6:00 pm. " \
                       "Quince wants water: it lacks 48 gal; Fig rests."
    home.move("Hose", "Quince", day(4), 9.5)
    assert home.reminded(at(day(5)), "move outlet", expected=coming) == []


def test_the_households_own_plan_is_understood() -> None:
    home = Home(("Fig", "Quince"))
    fill(home)
    home.add(PlannedLoad, day(0), name="towels", load="towels", starts="2026-06-04T09:00", every="FREQ=DAILY")
    now = at(day(3), 7.0)
    made = plan(home.state(now), home.garden(now), now)
    assert [(move.day, move.basin) for move in made.moves][:1] == [(day(4), "Quince")]
    (one,) = home.reminded(now, "move outlet")
    assert (str(one.action), one.due) == ("gwlog move Hose Quince", at(day(4), 9))


def test_old_loads_to_follow_up_are_told_together() -> None:
    home = Home()
    for number in (1, 2, 3):
        home.load(day(number), contents=("oil",))
    home.load(day(100), contents=("oil",))
    found = home.reminded(at(day(101)), "follow up")
    assert [one.subject for one in found] == ["older loads", "10"]
    assert found[0].text.startswith("3 older loads")
    assert str(found[0].action) == "gwlog resolve 7"
