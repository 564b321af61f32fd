"""One voice: whatever part of the program is asked about the next load says the same, all year, in three households.

The whole walk is tests/bench/one_voice.py; here it is sampled.
"""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from gwlog.decisions.advice import Advice
from gwlog.decisions.answer import RUN_MINUTES, Answer, Delivery
from gwlog.decisions.basin_words import NEVER, basin_words
from gwlog.decisions.caution_words import caution_text
from gwlog.decisions.query import profile_of, reader_of
from gwlog.errors import BadInput, UnknownName
from gwlog.journal.facts import Outlet, PlannedLoad
from gwlog.reference.cautions import CAUTION_BY_ID
from gwlog.reference.codes.local_rules import LocalRule, line_of
from gwlog.water.garden import garden as garden_of
from tests.decisions import three_homes as homes
from tests.decisions.home import LOAD_L, Home, at, day

FIRST = date(2026, 1, 12)


@pytest.fixture(scope="module")
def metric() -> homes.Lived:
    made = homes.metric()
    homes.live("metric", made, FIRST, 330, obeys=False)
    return made


@pytest.mark.parametrize("step", range(0, 360, 40))
def test_the_demo_speaks_with_one_voice(step: int) -> None:
    made = homes.demo()
    first = homes.DEMO_DAY - timedelta(days=360 - step)
    for now in homes.moments(made, first, 1):
        assert homes.differences(made, now) == [], now


@pytest.mark.parametrize("step", range(30, 330, 17))
def test_a_household_of_one_outlet_speaks_with_one_voice(metric: homes.Lived, step: int) -> None:
    for now in homes.moments(metric, FIRST + timedelta(days=step), 1):
        assert homes.differences(metric, now) == [], now


@pytest.mark.long
def test_a_household_of_six_outlets_speaks_with_one_voice() -> None:
    made = homes.dry()
    homes.live("dry", made, date(2026, 5, 1), 40, obeys=False)
    for now in homes.moments(made, date(2026, 6, 4), 1):
        assert homes.differences(made, now) == [], now


# --- what an answer is made of ------------------------------------------------------------------------------------


def told(answer: Answer) -> tuple[str, tuple[str, ...]]:
    return answer.verdict, tuple(reason.rule for reason in answer.reasons)


def test_each_reason_stands_once_and_the_other_way_is_told_with_its_cost() -> None:
    home = Home(("Fig", "Quince"), ("Hose", "Far pipe"))
    home.basin("Quince", start_deficit_ml=60_000)
    home.see("leak", day(1), "Fig")
    answer = home.verdict(at(day(2)))
    assert told(answer) == ("sewer", ("not worth the walk",))
    assert answer.why == "Quince could take it, but one load is not worth moving an outlet."
    other = answer.other_way
    assert other is not None
    assert (other.verdict, other.costs) == ("garden", "2 moves more in two weeks")
    assert {(one.outlet, one.basin) for one in other.deliveries} == {("Hose", "Quince"), ("Far pipe", "Quince")}
    for one in (answer, home.verdict(at(day(2)), extra_contents=("diapers", "dye"))):
        assert len({reason.text for reason in one.reasons}) == len(one.reasons)


def test_json_keys_are_the_promised_ones_and_the_older_ones_stay() -> None:
    home = Home(("Fig", "Quince"))
    home.see("ponding", day(1), "Fig")
    shown = home.verdict(at(day(2))).as_json()
    assert {"load", "at", "verdict", "strength", "moves", "deliveries", "turn_valve", "turn_back_at", "reasons",
            "warnings", "other_way"} <= set(shown)
    assert {"basin", "outlet", "move_first", "turn_back", "volume_l", "percolates_l"} <= set(shown)
    assert shown["at"] == "2026-06-03T16:00:00Z"
    assert shown["moves"] == [{"outlet": "Hose", "from": "Fig", "to": "Quince", "basin": "Quince"}]
    assert shown["deliveries"] == [{"outlet": "Hose", "basin": "Quince", "volume_l": LOAD_L}]
    assert (shown["basin"], shown["outlet"], shown["move_first"]) == ("Quince", "Hose", True)
    assert shown["turn_back_at"] is None
    assert set(shown["other_way"]) == {"verdict", "moves", "deliveries", "costs"}


@pytest.mark.parametrize(("coming", "back"), [
    ([], True),                                                    # nothing near: garden is where the valve belongs
    ([(at(day(2), 12), "towels")], True),
    ([(at(day(2), 12), "rags"), (at(day(2), 14), "towels")], False),
    ([(at(day(5), 12), "rags")], True),                            # three days off
])
def test_after_a_load_for_the_sewer_the_valve_goes_back_when_the_machine_has_drained(
        coming: list[tuple[object, str]], back: bool) -> None:
    home = Home()
    home.usual("diapers", products=("plain liquid",), contents=("diapers",))
    home.usual("rags", contents=("oil",))
    advice = home.advice(at(day(2)), coming)   # type: ignore[arg-type]
    answer = advice.answer(home.query(at(day(2)), name="diapers"))
    assert (answer.verdict, answer.strength, answer.turn_valve, answer.turn_back) == ("sewer", "must", "sewer", True)
    assert answer.run_minutes == RUN_MINUTES
    assert answer.turn_back_at == (at(day(2), 10) if back else None)


def test_while_it_rains_nothing_is_turned_back() -> None:
    home = Home()
    home.weather(day(2), rain_um=20_000)
    assert home.verdict(at(day(2))).turn_back_at is None


def test_nobody_turns_the_valve_back_before_the_machine_has_drained_and_then_once() -> None:
    home = Home()
    home.usual("diapers", products=("plain liquid",), contents=("diapers",))
    home.valve("sewer", day(2), 7.9)
    home.load(day(2), 8.0, to="sewer", name="diapers", contents=("diapers",))
    coming = [(at(day(2), 8.5), "towels"), (at(day(3), 9), "towels")]
    for minute in (1, 20, 40, 59):
        now = at(day(2), 8.0) + timedelta(minutes=minute)
        assert home.reminded(now, "valve to garden", expected=coming) == []
    (one,) = home.reminded(at(day(2), 9), "valve to garden", expected=coming)
    assert one.due == at(day(2), 9)
    assert one.text == ("Turn the valve back to garden: “diapers” has drained since Wed, Jun 3, 2026, 9:00 am, and "
                        "“towels”, Wed, Jun 3, 2026, 8:30 am, may go to Fig.")


# --- what the answers and the words of the basins have in common ----------------------------------------------------


def test_words_of_basins_to_which_no_load_goes() -> None:
    home = Home(("Fig", "Beet", "Thyme", "Far", "Closed"))
    home.add(Outlet, day(0), name="Hose", basin="Fig", reaches=("Fig", "Beet", "Thyme", "Closed"))
    home.basin("Beet", edible="root crop", start_deficit_ml=300_000)
    home.basin("Thyme", wetted_cm2=9_000, canopy_cm2=9_000, start_deficit_ml=90_000)   # readily holds 47 L
    home.basin("Far", start_deficit_ml=200_000)
    home.basin("Closed", start_deficit_ml=300_000)
    home.see("odour", day(1), "Closed")
    now = at(day(2))
    advice = home.advice(now, [(at(day(2), 18), "towels")])
    words = basin_words(home.state(now), home.garden(now), advice.loads)
    assert {name: one.word for name, one in words.items()} == {
        "Fig": "wants water", "Beet": "not for graywater", "Thyme": "too small for one load", "Far": "out of reach",
        "Closed": "not for graywater"}
    assert {name for name, one in words.items() if one.needs_other_water} == {"Beet", "Thyme", "Far", "Closed"}
    assert words["Closed"].why == "odor was seen at Closed and is not resolved"
    assert (words["Fig"].turn_planned, words["Fig"].outlet) == (day(2), "Hose")
    assert all(one.turn_planned is None for one in words.values() if one.word in NEVER)


def test_has_had_enough_is_judged_by_what_an_outlet_in_reach_would_bring() -> None:
    home = Home(("Fig", "Quince"), ("Hose", "Drip"))
    home.add(Outlet, day(0), name="Hose", basin="Fig", reaches=("Fig",), share_milli=3000)
    home.add(Outlet, day(0), name="Drip", basin="Quince", reaches=("Quince",), share_milli=1000)
    home.move("Drip", "Quince", day(0), 1.0)
    home.basin("Quince", start_deficit_ml=20_000)   # takes a quarter of 57 L, not three quarters
    now = at(day(1))
    words = basin_words(home.state(now), home.garden(now), ())
    assert (words["Quince"].word, home.garden(now).basins["Quince"].standing) == ("can take more", "can take more")
    home.load(day(1), 7.0, litres=60.0)
    assert basin_words(home.state(now), home.garden(now), ())["Quince"].word == "has had enough"


def test_a_load_of_days_to_come_makes_no_basin_take_more_than_it_has_room_for_now() -> None:
    home = Home()
    home.basin("Fig", start_deficit_ml=0)
    now = at(day(1))
    state, here = home.state(now), home.garden(now)
    room = here.basins["Fig"].room_l
    answer = home.verdict(now)
    for litres, word in ((room + 5.0, "has had enough"), (room * 0.9, "can take more")):
        coming = answer._replace(verdict="garden", deliveries=(Delivery("Hose", "Fig", litres),))
        assert basin_words(state, here, [coming])["Fig"].word == word


def test_a_rest_that_ends_in_the_course_of_a_day_holds_for_the_rest_of_it() -> None:
    home = Home()
    number = home.see("ponding", day(1), "Fig", 8.0)
    home.resolve(number, day(1), 12.0)   # 48 hours of rest are over on day 3 at 08:00
    for hour in (7.0, 12.0):
        assert told(home.verdict(at(day(3), hour))) == ("sewer", ("resting",))
    assert home.verdict(at(day(4), 0.5)).verdict == "garden"
    words = basin_words(home.state(at(day(3), 12)), home.garden(at(day(3), 12)), ())
    assert words["Fig"].word == "resting"


def test_the_cautions_say_what_the_rules_do() -> None:
    for code, says in (("us-ca-washer", "0.51 in of rain has fallen"), ("au-wa", "more than 0.04 in of rain")):
        state = Home(code=code).state(at(day(1)))
        text = caution_text(CAUTION_BY_ID["wet ground"], profile_of(state), reader_of(state), state)
        assert says in text and "soaked or frozen" in text
    state = Home().state(at(day(1)))
    assert "no load goes there" in caution_text(CAUTION_BY_ID["odour"], profile_of(state), reader_of(state), state)
    contact = CAUTION_BY_ID["contact"]
    assert caution_text(contact, profile_of(state), reader_of(state), state) == contact.value


def test_until_a_wrong_load_is_followed_up_people_are_kept_off_its_basin() -> None:
    home = Home(("Fig", "Quince"))
    wrong = home.load(day(1), 20.0, contents=("diapers",), name="towels")
    now = at(day(2))
    here = home.verdict(now)
    (warning,) = [one for one in here.warnings if one.rule == "keep off"]
    assert "above all children, and pets off Fig" in warning.text
    assert "gloves" in warning.text and "dry mulch" in warning.text and "wash your hands" in warning.text
    home.basin("Quince", start_deficit_ml=300_000)
    home.load(day(2), 7.0, litres=140.0)
    coming = [(at(day(2), 18), "towels")]
    (walk,) = home.reminded(at(day(2), 9), "move outlet", expected=coming)
    assert str(walk.action) == "gwlog move Hose Quince" and "pets off Fig" in walk.text
    assert all("pets off" in one.text for one in home.reminded(now, "follow up"))
    home.resolve(wrong, day(2), 8.5)
    assert [one for one in home.verdict(now).warnings if one.rule == "keep off"] == []
    assert "pets off" not in home.reminded(at(day(2), 9), "move outlet", expected=coming)[0].text


# --- bad and odd input ------------------------------------------------------------------------------------------------


def test_an_unknown_load_is_refused_with_those_there_are() -> None:
    with pytest.raises(UnknownName) as refused:
        Home().query(at(day(1)), name="carpets")
    assert "towels" in (refused.value.hint or "")


def test_a_load_with_its_own_volume_and_contents_added_on_the_spot() -> None:
    home = Home()
    assert home.verdict(at(day(2)), volume_l=20.0).deliveries[0].litres == 20.0
    answer = home.verdict(at(day(2)), volume_l=20.0, extra_contents=("oil",))
    assert (answer.verdict, answer.strength, answer.volume_l) == ("sewer", "must", 20.0)


def test_a_household_that_expects_nothing_is_answered_all_the_same() -> None:
    home = Home()
    advice = home.advice(at(day(2)))
    assert advice.loads == () and advice.next() == ()
    assert home.verdict(at(day(2))).verdict == "garden"
    assert advice.plan().note is not None and "No load is planned" in advice.plan().note


@pytest.mark.parametrize(("change", "rule"), [
    (lambda home: [home.basin(name, day(1), active=False) for name in ("Fig", "Quince")], "basin out of use"),
    (lambda home: home.add(Outlet, day(1), name="Hose", basin="Fig", active=False), "no outlet"),
    (lambda home: [home.basin(name, day(1), edible="root crop") for name in ("Fig", "Quince")], "food on the soil"),
    (lambda home: home.see("leak", day(1)), "leak"),
])
def test_where_no_basin_may_take_water_every_load_is_answered_and_the_plan_agrees_or_refuses(change, rule) -> None:  # type: ignore[no-untyped-def]
    home = Home(("Fig", "Quince"))
    change(home)
    home.add(PlannedLoad, day(0), name="towels", load="towels", starts="2026-06-03T18:00", every="FREQ=DAILY")
    advice = home.advice(at(day(2)))
    assert advice.loads and {told(one)[0] for one in advice.loads} == {"sewer"}
    assert rule in told(advice.answer(home.query(at(day(2)))))[1]
    assert rule in told(advice.next()[0])[1]
    try:
        assert {step.arrangement for step in advice.plan().steps} == {None}
    except BadInput as refused:
        assert refused.hint


def test_an_outlet_at_a_retired_basin_is_carried_first_by_answer_and_plan() -> None:
    home = Home(("Fig", "Quince"))
    home.basin("Fig", day(1), active=False)
    home.basin("Quince", start_deficit_ml=250_000)
    home.add(PlannedLoad, day(0), name="towels", load="towels", starts="2026-06-03T18:00", every="FREQ=DAILY")
    advice = home.advice(at(day(2)))
    answer = advice.answer(home.query(at(day(2))))
    assert [tuple(one) for one in answer.moves] == [("Hose", "Fig", "Quince")]
    assert "Fig, which is no longer in use" in answer.why
    assert advice.plan().moves[0].origin == "Fig"


def test_a_garden_too_large_for_the_usual_search_is_answered_and_the_plan_says_so() -> None:
    names = [f"Bed {number}" for number in range(30)]
    home = Home(names, [f"End {number}" for number in range(14)])
    for number in range(14):
        home.move(f"End {number}", names[number], day(0), 1.0)
    home.add(PlannedLoad, day(0), name="towels", load="towels", starts="2026-06-03T18:00", every="FREQ=DAILY")
    advice = home.advice(at(day(2)))
    plan = advice.plan()
    assert plan.width < 60 and plan.note is not None and "large for this search" in plan.note
    first, answer = advice.loads[0], advice.answer(home.query(at(day(2))))
    assert (first.verdict, first.moves, first.deliveries) == (answer.verdict, answer.moves, answer.deliveries)


def test_a_plan_of_more_or_fewer_days_begins_alike() -> None:
    home = Home(("Fig", "Quince"))
    home.add(PlannedLoad, day(0), name="towels", load="towels", starts="2026-06-03T18:00",
             every="FREQ=DAILY;INTERVAL=2")
    advice = home.advice(at(day(2)))
    usual, short, long = (advice.plan(days=days) for days in (14, 5, 40))
    for plan in (short, long):
        both = min(len(plan.steps), len(usual.steps))
        assert [one.arrangement for one in plan.steps[:both]] == [one.arrangement for one in usual.steps[:both]]
    assert (len(short.days), len(long.days)) == (5, 40)


def test_a_garden_drawn_up_from_another_moment_is_the_same_garden(metric: homes.Lived) -> None:
    for step in range(40, 330, 60):
        now = next(homes.moments(metric, FIRST + timedelta(days=step), 1))
        home, earlier = metric.at(now), metric.at(now - timedelta(days=9))
        fresh = garden_of(home.state, now)
        taken = garden_of(home.state, now, (earlier.state, earlier.garden))
        back = garden_of(earlier.state, earlier.now, (home.state, fresh))
        assert taken.basins == fresh.basins and back.basins == earlier.garden.basins


def test_nothing_depends_on_what_was_asked_before() -> None:
    home = Home(("Fig", "Quince"))
    home.usual("colours", volume_ml=40_000)
    home.add(PlannedLoad, day(0), name="towels", load="towels", starts="2026-06-03T18:00", every="FREQ=DAILY")
    now = at(day(2))
    asked = home.advice(now)
    asked.answer(home.query(now, name="colours"))
    asked.plan(days=30)
    asked.next()
    fresh: Advice = home.advice(now)
    assert asked.answer(home.query(now)) == fresh.answer(home.query(now))
    assert asked.plan() == fresh.plan() and asked.loads == fresh.loads


def test_an_outlet_stays_at_a_dry_basin_because_no_load_is_planned_not_because_none_is_needed() -> None:
    for missing_ml, says in ((400_000, "no planned load goes there"), (0, "no other basin needs water enough")):
        home = Home()
        home.basin("Fig", start_deficit_ml=missing_ml)
        (turn,) = home.advice(at(day(1)), []).plan().turns
        assert turn.loads == 0 and says in turn.reason


def test_months_of_a_local_rule_are_told_as_the_local_rule_and_not_as_the_code() -> None:
    home = Home(local_rules=(line_of(LocalRule("season", "District order 8", months=(7, 8))),))
    said = [reason.text for reason in home.verdict(at(day(1))).reasons]
    assert "June is outside the months to which a local rule limits graywater." in said
    (told_rule,) = profile_of(home.state(at(day(1)))).adapted
    assert "only in July and August" in told_rule
