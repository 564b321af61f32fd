"""The rules a household can rely on, written down a second time: none is missing, none is weaker than it should be.

What each must, should and warning is called, how strong it is, and a household in which it alone decides.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest

from gwlog.decisions.advice import Advice
from gwlog.decisions.garden_rules import GARDEN_RULES
from gwlog.decisions.load_rules import LOAD_RULES, Reason
from gwlog.journal.facts import CONTENTS, OBSERVATIONS, PRODUCT_KINDS
from tests.decisions.home import Home, at, day
from tests.decisions.test_routing import CASES, NOW, Alone, blueberries, holding, nothing, using

MUST = {
    "diapers, soiled or infectious laundry": ("soiled", "illness in the load"),
    "illness in the household": ("illness in the household",),
    "chlorine bleach or disinfectant": ("chlorine bleach", "disinfectant"),
    "solvents, oil, paint, pesticide": ("solvent", "oil", "pesticide"),
    "a drum-cleaning run": ("drum-cleaning",),
    "an open ponding, runoff or leak at the outlet's basin": ("ponding", "runoff", "leak"),
    "cover below the code's minimum": ("cover",),
    "rain-soaked or frozen ground": ("soaked ground", "frozen ground"),
    "more than the allowance or the surge room of every basin in reach": ("absorption allowance", "surge room"),
    "more than the code allows in a day, or out of its season": ("daily limit", "season"),
    "nowhere to go": ("no outlet", "basin out of use", "out of reach"),
}
SHOULD = {
    "borax or boron": ("borax",),
    "softener": ("softener",),
    "powders rich in sodium": ("sodium",),
    "dye": ("dye",),
    "softened water": ("softened water",),
    "stop on odour or sick plants": ("odour", "stressed plant"),
    "root crops, and food that touches the soil": ("food on the soil",),
    "a basin too small for one load": ("small basin",),
    "no basin in reach has root-zone room": ("root-zone room", "resting"),
}
LISTED = {rule: strength for strength, table in (("must", MUST), ("should", SHOULD))
          for rules in table.values() for rule in rules}
TABLE = {rule.id: rule for rule in (*LOAD_RULES, *GARDEN_RULES)}
HOW_SURE = re.compile(r"\(read|memory|assumption|common practice|check your local code")


def test_the_tables_hold_what_is_listed_and_nothing_else() -> None:
    assert {name: rule.strength for name, rule in TABLE.items()} == LISTED


@pytest.mark.parametrize("rule", TABLE.values(), ids=TABLE)
def test_a_rule_names_its_source_how_sure_that_is_and_what_to_do_afterwards(rule: Any) -> None:
    assert HOW_SURE.search(rule.source), rule.source
    assert rule.aftercare.endswith(".")
    assert rule.about in ("load", "garden")


@pytest.mark.parametrize("name", LISTED)
def test_a_rule_has_a_household_in_which_it_alone_decides(name: str) -> None:
    alone: list[Alone] = [case for case in CASES if case.rule == name]
    assert alone
    for case in alone:
        home = Home(outlets=case.outlets, **case.site)
        case.change(home)
        answer = home.verdict(case.now, **dict(case.query))
        deciding = [one for one in answer.reasons if (one.rule, name) != ("resting", "ponding")]
        assert [(one.rule, one.strength, answer.strength) for one in deciding] == [(name, LISTED[name], LISTED[name])]
        assert plain(deciding[0])
        assert (deciding[0].source, deciding[0].aftercare) == (TABLE[name].source, TABLE[name].aftercare)


def plain(reason: Reason) -> bool:
    """A whole sentence that does not speak in the table's own terms."""
    return reason.text.endswith(".") and reason.text[0] not in " ." and reason.text != reason.rule \
        and not re.search(r"None|True|False|_|\{", reason.text)


def test_everything_that_can_be_said_of_a_load_or_seen_has_its_rule() -> None:
    """No word of the entry forms is without effect: contents divert, products' kinds divert or are harmless."""
    for what in CONTENTS:
        answer = Home().verdict(NOW, **holding(what))
        assert (answer.verdict, answer.strength) == ("sewer", "should" if what == "dye" else "must"), what
    strengths = {}
    for kind in PRODUCT_KINDS:
        strengths[kind] = Home().verdict(NOW, **using("X", product_kind=kind, chlorine_bleach=None)).strength
    assert strengths == {"detergent": None, "bleach": "must", "softener": "should", "booster": None,
                         "disinfectant": "must", "other": None}
    diverting = {"ponding", "runoff", "leak", "soaked ground", "frozen ground", "illness"}
    for what in OBSERVATIONS:
        home = Home()
        home.see(what, day(1), "Fig")
        assert (home.verdict(NOW).strength == "must") is (what in diverting), what


@pytest.mark.parametrize(("size", "strength"), [
    ({}, "must"),                                                       # neither holds 151 L at once
    ({"area_cm2": 40_000, "start_deficit_ml": 10_000}, "should"),       # Quince would, but its roots have no room
    ({"area_cm2": 40_000, "start_deficit_ml": 300_000}, None),          # Quince takes it
])
def test_a_hard_limit_is_a_must_only_where_every_basin_in_reach_passes_it(size: dict[str, int], strength: str) -> None:
    home = Home(("Fig", "Quince"))
    home.basin("Fig", root_depth_mm=1200)   # neither is too small for one load
    home.basin("Quince", root_depth_mm=1200, **size)
    answer = home.verdict(NOW, volume_l=151.0)
    assert answer.strength == strength
    assert answer.move_first is (strength is None)


def test_two_loads_of_a_day_share_the_allowance_and_midnight_gives_it_back() -> None:
    home = Home(aim="garden")   # the root zone does not bind: 305.6 L a day, 150 L at once
    home.basin("Fig", canopy_cm2=90_000, wetted_cm2=90_000, start_deficit_ml=900_000)
    home.load(day(2), 6.0, litres=150.0)
    home.load(day(2), 7.0, litres=120.0)
    assert home.verdict(at(day(2), 8.0), volume_l=36.0).reasons[0].rule == "absorption allowance"
    assert home.verdict(at(day(2), 8.0), volume_l=35.0).verdict == "garden"
    assert home.verdict(at(day(3), 0.0), volume_l=150.0).verdict == "garden"


UNASSESSED = using("Mystery", product_kind="other", form=None, chlorine_bleach=None)
WARNINGS: list[tuple[str, str, Callable[[Home], object], dict[str, Any]]] = [
    ("blocked outlet", "A blocked outlet at Fig is not resolved",
     lambda home: home.see("blocked outlet", day(1), "Fig"), {}),
    ("acid-loving plants", "acid soil", blueberries, {}),
    ("product not assessed", "“Mystery”", nothing, UNASSESSED),
]


@pytest.mark.parametrize(("rule", "says", "change", "query"), WARNINGS, ids=[f"{row[0]}: {row[1]}" for row in WARNINGS])
def test_a_warning_is_told_and_diverts_nothing(
    rule: str, says: str, change: Callable[[Home], object], query: dict[str, Any],
) -> None:
    home = Home()
    change(home)
    answer = home.verdict(NOW, **query)
    assert (answer.verdict, answer.strength) == ("garden", None)
    (warning,) = answer.warnings
    assert (warning.rule, warning.strength) == (rule, None)
    assert says in warning.text and plain(warning)
    assert HOW_SURE.search(warning.source), warning.source
    assert (warning.aftercare or ".").endswith(".")


def test_weather_typed_ahead_counts_from_the_moment_it_was_typed() -> None:
    home = Home()
    home.weather(day(3), typed=day(2), rain_um=20_000)   # typed on day 2 at 00:30
    tomorrow = at(day(3))
    assert home.verdict(tomorrow).reasons[0].rule == "soaked ground"
    before = at(day(2), 0.25)
    early = home.state(before)
    assert Advice(early, home.garden(before), before).answer(home.query(before), tomorrow).verdict == "garden"
