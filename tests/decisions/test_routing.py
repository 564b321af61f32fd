"""Where a load goes: every rule where it alone decides, rules that meet, the valve, warnings, the query."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import timedelta
from typing import Any

import pytest

from gwlog.decisions.garden_rules import GARDEN_RULES
from gwlog.decisions.load_rules import LOAD_RULES
from gwlog.decisions.query import query_for
from gwlog.errors import UnknownName
from gwlog.journal.facts import NOT_YET, Outlet, Product
from gwlog.units import LITRES_PER_GALLON
from tests.decisions.home import LOAD_L, ZONE, Home, at, day

NOW = at(day(2))


def product(name: str, **words: Any) -> Product:
    known = {"product_kind": "detergent", "form": "liquid", "chlorine_bleach": False, "borax": False, "sodium_mg": 0}
    return Product(happened_at=NOT_YET, zone=ZONE, name=name, **{**known, **words})


def nothing(home: Home) -> None:
    """Leave the household as it is."""


@dataclass
class Alone:
    """One rule that alone sends towels to the sewer."""

    rule: str
    strength: str
    says: str
    change: Callable[[Home], object] = nothing
    site: dict[str, Any] = field(default_factory=dict)
    query: dict[str, Any] = field(default_factory=dict)
    outlets: tuple[str, ...] = ("Hose",)
    now: Any = NOW


def holding(what: str) -> dict[str, Any]:
    return {"extra_contents": (what,)}


def using(name: str, **words: Any) -> dict[str, Any]:
    return {"extra_products": (product(name, **words),)}


def deep(home: Home) -> None:
    """Roots so deep that they readily hold 168 L: only the mulch holds less at once."""
    home.basin("Fig", root_depth_mm=1200)


def full(home: Home) -> None:
    """120 L of a deficit of 169 L are gone: there is room for 49 / 0.85 = 58 L, not for 70."""
    home.load(day(2), 7.0, litres=120.0)


def filled(home: Home) -> None:
    home.load(day(1), 7.0, litres=150.0)
    home.load(day(1), 8.0, litres=30.0)


def much_today(home: Home) -> None:
    """A basin so large that only the code's limit of 250 gal (946 L) a day is passed."""
    home.basin("Fig", area_cm2=300_000, canopy_cm2=300_000, wetted_cm2=300_000, start_deficit_ml=2_000_000)
    home.load(day(2), 6.0, litres=900.0)


def tiny(home: Home) -> None:
    """A root zone that readily holds 52 L, less than one load."""
    home.basin("Fig", wetted_cm2=10_000, canopy_cm2=10_000, start_deficit_ml=104_000)


def root_crop(home: Home) -> None:
    home.basin("Fig", plants="carrot", edible="root crop")


def touching(home: Home) -> None:
    home.basin("Fig", plants="lettuce", edible="touches soil")


CASES = [
    Alone("soiled", "must", "diapers", query=holding("diapers")),
    Alone("soiled", "must", "soiled laundry", query=holding("soiled")),
    Alone("illness in the load", "must", "ill", query=holding("illness")),
    Alone("chlorine bleach", "must", "“Snow”", query=using("Snow", chlorine_bleach=True)),
    Alone("chlorine bleach", "must", "“Snow”", query=using("Snow", product_kind="bleach", chlorine_bleach=None)),
    Alone("disinfectant", "must", "“Clear”", query=using("Clear", product_kind="disinfectant")),
    Alone("solvent", "must", "solvent or paint", query=holding("solvent")),
    Alone("oil", "must", "oil", query=holding("oil")),
    Alone("pesticide", "must", "pesticide", query=holding("pesticide")),
    Alone("drum-cleaning", "must", "drum-cleaning", query=holding("drum-cleaning")),
    Alone("borax", "should", "“Boost”", query=using("Boost", borax=True)),
    Alone("softener", "should", "“Silk”", query=using("Silk", product_kind="softener")),
    Alone("sodium", "should", "28 g of sodium", query=using("Powder", form="powder", sodium_mg=25_000)),
    Alone("sodium", "should", "20 g of sodium", query=using("Powder", form="powder", sodium_mg=17_000)),   # with 3 g
    Alone("sodium", "should", "unknown", query=using("Powder", form="powder", sodium_mg=None)),
    Alone("dye", "should", "dye", query=holding("dye")),
    Alone("illness in the household", "must", "ill", lambda home: home.see("illness", day(1))),
    Alone("ponding", "must", "Ponding was seen at Fig", lambda home: home.see("ponding", day(2), "Fig", 8.0)),
    Alone("runoff", "must", "Runoff was seen at Fig", lambda home: home.see("runoff", day(1), "Fig")),
    Alone("leak", "must", "A leak was seen in the garden", lambda home: home.see("leak", day(1))),
    Alone("cover", "must", "2.0 in", lambda home: home.mulch("Fig", day(1), "measured", 45)),
    Alone("cover", "must", "just under the 2.0 in", lambda home: home.mulch("Fig", day(1), "measured", 50)),
    Alone("basin out of use", "must", "no longer in use",
          lambda home: home.basin("Fig", day(1), active=False)),
    Alone("out of reach", "must", "out of its reach",
          lambda home: home.add(Outlet, day(1), name="Hose", basin="Fig", reaches=("Quince",))),
    Alone("no outlet", "must", "No outlet", outlets=()),
    Alone("soaked ground", "must", "0.51 in", lambda home: [home.weather(day(1), rain_um=9_000),
                                                            home.weather(day(2), rain_um=4_000)],
          query={"volume_l": 40.0}),
    Alone("soaked ground", "must", "seen at Fig", lambda home: home.see("soaked ground", day(1), "Fig")),
    Alone("soaked ground", "must", "when it rains", lambda home: home.weather(day(2), rain_um=2_000),
          site={"code": "au-wa"}),
    Alone("frozen ground", "must", "below freezing", lambda home: home.weather(day(1), tmax_mdegc=0)),
    Alone("frozen ground", "must", "26 °F", lambda home: home.weather(day(2), tmin_mdegc=-3_400)),
    Alone("frozen ground", "must", "Frozen ground was seen", lambda home: home.see("frozen ground", day(1))),
    Alone("absorption allowance", "must", "can absorb",
          lambda home: home.basin("Fig", day(0), soil="clay with a small amount of sand or gravel"),
          query={"volume_l": 100.0}),
    Alone("surge room", "must", "at once", deep, query={"volume_l": 151.0}),
    Alone("daily limit", "must", "the code allows less than 250 gal", site={"code": "us-nm"},
          query={"volume_l": 60.0}, change=much_today),
    Alone("season", "must", "February", site={"code": "us-wa-1"}, now=at(day(250)), query={"volume_l": 40.0},
          change=lambda home: home.mulch("Fig", day(249), "measured", 120)),
    Alone("odour", "should", "Odor was seen at Fig", lambda home: home.see("odour", day(1), "Fig")),
    Alone("odour", "should", "Odor was seen in the garden", lambda home: home.see("odour", day(1))),
    Alone("stressed plant", "should", "A stressed plant was seen at Fig",
          lambda home: home.see("stressed plant", day(1), "Fig")),
    Alone("food on the soil", "should", "root crops", root_crop),
    Alone("food on the soil", "should", "touches the soil", touching),
    Alone("small basin", "should", "more than its plants can use", tiny),
    Alone("softened water", "should", "softened", site={"softened_water": True}),
    Alone("root-zone room", "should", "Fig's roots can use 15 gal", full, query={"volume_l": 70.0}),
    Alone("resting", "should", "Fig is resting until Sun, Jun 21", filled, query={"volume_l": 10.0}),
]


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case.rule}: {case.says}")
def test_a_rule_alone_sends_the_load_to_the_sewer(case: Alone) -> None:
    home = Home(outlets=case.outlets, **case.site)
    case.change(home)
    answer = home.verdict(case.now, **dict(case.query))
    assert answer.verdict == "sewer"
    rules = [(reason.rule, reason.strength) for reason in answer.reasons]
    if case.rule == "ponding":
        rules = [one for one in rules if one[0] != "resting"]   # ponding also starts a rest
    assert rules == [(case.rule, case.strength)]
    assert case.says in answer.reasons[0].text
    assert answer.strength == case.strength
    assert (answer.basin, answer.outlet, answer.moves, answer.deliveries) == (None, None, (), ())
    assert answer.other_way is None
    assert answer.turn_valve == "sewer"
    assert answer.turn_back
    assert answer.reasons[0].source
    assert answer.reasons[0].aftercare


def test_every_rule_of_the_tables_has_a_case_where_it_decides_alone() -> None:
    assert {case.rule for case in CASES} == {rule.id for rule in (*LOAD_RULES, *GARDEN_RULES)}
    assert len({rule.id for rule in (*LOAD_RULES, *GARDEN_RULES)}) == len(LOAD_RULES) + len(GARDEN_RULES)


def test_the_household_without_any_of_it_waters_the_fig() -> None:
    answer = Home().verdict(NOW)
    assert (answer.verdict, answer.strength, answer.basin, answer.outlet) == ("garden", None, "Fig", "Hose")
    assert answer.deliveries == (("Hose", "Fig", LOAD_L),)
    assert (answer.at, answer.turn_back_at) == (NOW, None)
    assert (answer.move_first, answer.turn_valve, answer.turn_back, answer.warnings) == (False, None, False, ())
    assert answer.reasons[0].text == "Fig wants water and can take 40 gal."   # surge room binds: 150 L


MEETING = [
    ({"extra_contents": ("dye", "diapers")}, ["soiled", "dye"]),
    ({"extra_contents": ("oil", "solvent"), "extra_products": (product("Silk", product_kind="softener"),)},
     ["solvent", "oil", "softener"]),
    ({"extra_products": (product("Boost", borax=True), product("Snow", chlorine_bleach=True))},
     ["chlorine bleach", "borax"]),
    ({"extra_contents": ("dye",), "volume_l": 151.0}, ["surge room", "dye"]),
]


@pytest.mark.parametrize(("query", "rules"), MEETING)
def test_all_that_apply_are_listed_the_strongest_first(query: dict[str, Any], rules: list[str]) -> None:
    home = Home()
    deep(home)
    answer = home.verdict(NOW, **query)
    assert [reason.rule for reason in answer.reasons] == rules
    assert answer.strength == "must"


def test_rain_frost_and_illness_meet() -> None:
    home = Home(softened_water=True)
    home.see("illness", day(1))
    home.weather(day(2), rain_um=20_000, tmax_mdegc=-1_000)
    answer = home.verdict(NOW, extra_contents=("dye",))
    first = [reason.rule for reason in answer.reasons][:3]
    assert first == ["illness in the household", "soaked ground", "frozen ground"]
    assert {reason.rule for reason in answer.reasons[3:]} >= {"dye", "softened water"}
    assert [reason.strength for reason in answer.reasons] == sorted(reason.strength for reason in answer.reasons)


# --- the valve ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("valve", "query", "seen", "turn", "back"),
    [
        ("garden", {}, None, None, False),
        ("sewer", {}, None, "garden", False),
        ("garden", holding("diapers"), None, "sewer", True),
        ("sewer", holding("diapers"), None, None, True),     # it stood there already; the next load is another
        ("garden", {}, "illness", "sewer", True),
        ("sewer", {}, "illness", None, False),               # leave it: the household is still ill
    ],
)
def test_the_valve_before_and_after(valve: str, query: dict[str, Any], seen: str | None, turn: str | None,
                                    back: bool) -> None:
    home = Home(valve=valve)
    if seen:
        home.see(seen, day(1))
    answer = home.verdict(NOW, **query)
    assert (answer.turn_valve, answer.turn_back) == (turn, back)


def test_an_unknown_valve_is_told() -> None:
    home = Home()
    home.facts = home.facts[1:]   # no site was described, so nobody knows where the valve stands
    answer = home.verdict(NOW)
    assert answer.turn_valve == answer.verdict
    assert "valve unknown" in [warning.rule for warning in answer.warnings]


# --- warnings -----------------------------------------------------------------------------------------------


def blueberries(home: Home) -> None:
    home.basin("Fig", plants="blueberry")


def salty(home: Home) -> None:
    home.product("salt powder", form="powder", sodium_mg=40_000)
    home.load(day(1), litres=10.0, products=("salt powder",))


@pytest.mark.parametrize(
    ("rule", "change", "query"),
    [
        ("acid-loving plants", blueberries, {}),
        ("product not assessed", nothing, using("Mystery", product_kind="other", form=None, chlorine_bleach=None)),
        ("sodium of the last weeks", salty, {}),
        ("blocked outlet", lambda home: home.see("blocked outlet", day(1), "Fig"), {}),
        ("animals digging", lambda home: home.see("animals digging", day(1), "Fig"), {}),
    ],
)
def test_a_warning_does_not_divert(rule: str, change: Callable[[Home], object], query: dict[str, Any]) -> None:
    home = Home()
    change(home)
    answer = home.verdict(NOW, **query)
    assert answer.verdict == "garden"
    assert [warning.rule for warning in answer.warnings] == [rule]
    assert answer.warnings[0].strength is None


def test_less_than_twenty_grams_of_sodium_are_within_the_aim() -> None:
    assert Home().verdict(NOW, **using("Powder", form="powder", sodium_mg=16_999)).verdict == "garden"


def test_sodium_weeks_ago_is_forgotten() -> None:
    home = Home()
    salty(home)
    assert home.verdict(at(day(29))).warnings == ()


# --- the query ----------------------------------------------------------------------------------------------


def test_a_query_takes_the_usual_load_and_what_differs_today() -> None:
    home = Home()
    home.usual("whites", products=("plain liquid", "gone"), contents=("dye",), volume_ml=40_000)
    state = home.state(NOW)
    query = query_for(state, "whites", extra_products=(state.products["plain liquid"], product("Silk")),
                      extra_contents=("dye", "oil"))
    assert (query.volume_l, query.contents) == (40.0, ("dye", "oil"))
    assert [(p.name, p.product_kind) for p in query.products] == \
        [("plain liquid", "detergent"), ("gone", "other"), ("Silk", "detergent")]
    assert query_for(state, "whites", volume_l=33.0).volume_l == 33.0
    assert query_for(state, "towels").volume_l == LOAD_L
    assert query_for(state, None).volume_l == LOAD_L
    with pytest.raises(UnknownName, match="towls") as refused:
        query_for(state, "towls")
    assert "towels" in (refused.value.hint or "")


def test_quantities_are_told_in_the_households_units() -> None:
    metric = Home(units="metric").verdict(NOW, volume_l=151.0)
    assert "150 L" in metric.reasons[0].text and "151 L" in metric.reasons[0].text
    assert f"{150 / LITRES_PER_GALLON:.0f} gal" in Home().verdict(NOW, volume_l=151.0).reasons[0].text


def test_a_load_tomorrow_sees_tomorrows_typed_rain() -> None:
    home = Home()
    home.weather(day(3), typed=day(2), rain_um=20_000)
    advice, query = home.advice(NOW), home.query(NOW)
    assert advice.answer(query).verdict == "garden"
    assert advice.answer(query, NOW + timedelta(days=1)).reasons[0].rule == "soaked ground"
