"""What a code says beside a verdict: permission, averages, design flows; one load's verdict under every profile."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from gwlog.decisions.answer import Answer
from gwlog.decisions.compliance import evidence
from gwlog.decisions.exceptions import exceptions
from gwlog.decisions.period import Past
from gwlog.decisions.sewer_loads import sewer_loads
from gwlog.decisions.told import first_line, first_word, told_figure
from gwlog.decisions.upkeep_past import rounds
from gwlog.reference.codes import FIRST, PROFILES, held
from gwlog.reference.codes.local_rules import LocalRule, line_of
from gwlog.units import LITRES_PER_GALLON
from tests.decisions.home import Home, at, day

ROOT = Path(__file__).parents[2]
JULY, JANUARY = day(40), day(225)


def gallons(count: float) -> float:
    return count * LITRES_PER_GALLON


def house(code: str, edition: str | None = None, **site: Any) -> Home:
    """A garden in which only the code can be in the way: 60 m2 of fig trees under 150 mm of mulch."""
    home = Home(basins=(), outlets=(), code=code, code_edition=edition or held(code).as_of, **site)
    home.basin("Figs", area_cm2=600_000, canopy_cm2=600_000, wetted_cm2=600_000, mulch_mm=150,
               start_deficit_ml=3_000_000)
    home.add(_outlet(), day(0), 0.0, name="Hose", basin="Figs")
    return home


def _outlet() -> type:
    from gwlog.journal.facts import Outlet

    return Outlet


def answered(home: Home, when: Any, litres: float) -> Answer:
    now = at(when)
    return home.advice(now, []).answer(home.query(now, volume_l=litres))


def told(answer: Answer) -> list[str]:
    """The rules that are told beside the verdict and are the code's."""
    return [one.rule for one in answer.warnings
            if one.rule in ("permission", "average", "design flow", "open question", "code expired")]


# --- one load under every profile ---------------------------------------------------------------------------------


def verdict(answer: Answer) -> str:
    """“garden”, or “SEWER: rule”; and what is told beside it, but for the permission."""
    beside = [rule for rule in told(answer) if rule not in ("permission", "code expired")]
    side = "garden" if answer.verdict == "garden" else f"SEWER: {answer.reasons[0].rule}"
    return side + (f", told: {', '.join(beside)}" if beside else "")


def row(code: str) -> tuple[str, ...]:
    """The verdicts of a load under the newest edition of a profile, as DEVELOPERS.md has them."""
    profile = PROFILES[code]
    dry, wet = house(code, profile.as_of), house(code, profile.as_of)
    wet.weather(JULY, rain_um=2_000)
    small = answered(dry, JULY, gallons(20))
    assert ("permission" in told(small)) is (profile.permission != "none needed")
    return (code, profile.permission, verdict(small), verdict(answered(dry, JULY, gallons(410))),
            verdict(answered(dry, JANUARY, gallons(20))), verdict(answered(wet, JULY, gallons(20))))


def documented() -> dict[str, tuple[str, ...]]:
    """The table of DEVELOPERS.md by profile."""
    page = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    lines = page[page.index("| profile | before the first load |"):].splitlines()[2:]
    found = {}
    for line in lines:
        if not line.startswith("|"):
            break
        cells = tuple(cell.strip().strip("`") for cell in line.strip("|").split("|"))
        found[cells[0]] = cells
    return found


@pytest.mark.parametrize("code", PROFILES)
def test_one_load_under_every_profile_is_as_the_documentation_says(code: str) -> None:
    assert row(code) == documented()[code]


def test_the_documentation_has_a_row_for_every_profile_and_no_other() -> None:
    assert list(documented()) == list(PROFILES)


# --- an average and a design flow never block one load ------------------------------------------------------------


def test_utahs_fifty_gallons_for_one_occupant_go_to_the_garden_and_the_flow_is_told_where_it_is_passed() -> None:
    """R317-401-5 table 1: a design flow by bedrooms. Held first as 40 gal an occupant, which sent this to the sewer."""
    assert answered(house("us-ut", "2026-11", occupants=1), JULY, gallons(50)).verdict == "garden"
    old = answered(house("us-ut", FIRST, occupants=1), JULY, gallons(50))
    assert (old.verdict, old.strength, old.reasons[0].rule) == ("sewer", "must", "daily limit")
    three = house("us-ut", "2026-11", system_answers=("bedrooms: 3",))
    at_it, over = answered(three, JULY, gallons(160)), answered(three, JULY, gallons(161))
    assert at_it.verdict == over.verdict == "garden"
    assert "design flow" not in told(at_it) and "design flow" in told(over)
    words = next(one.text for one in over.warnings if one.rule == "design flow")
    assert "sized for 160 gal a day with 3 bedrooms" in words and "limits no day" in words


def test_a_load_that_passes_the_daily_limit_alone_can_never_go_and_is_not_put_off_to_tomorrow() -> None:
    home = house("us-ut", FIRST, occupants=1)
    alone = answered(home, JULY, gallons(50)).reasons[0]
    assert "This load alone is 50 gal" in alone.text and "never" in alone.text
    assert alone.aftercare == "Only a smaller load can go to the garden under this limit."
    home.load(JULY, hour=1, litres=gallons(30))
    second = answered(home, JULY, gallons(30)).reasons[0]
    assert (second.rule, second.aftercare) == ("daily limit", "Turn the valve back to garden tomorrow.")


def test_the_bedrooms_are_said_to_be_unknown() -> None:
    home = house("us-ut", "2026-11")
    figure = told_figure(home.state(at(JULY)))
    assert figure is not None and "does not say how many" in figure


def test_texas_limits_the_average_and_no_single_day() -> None:
    """30 TAC 210.83: less than 400 gallons a day on average."""
    home = house("us-tx", "2026-11", aim="garden")
    answer = answered(home, JULY, gallons(500))
    assert answer.verdict == "garden" and "average" not in told(answer)
    for number in range(3):                  # so early that the basin no longer rests
        home.load(day(11 + number), litres=gallons(3970))
    assert "average" not in told(answered(home, JULY, gallons(80)))
    answer = answered(home, JULY, gallons(100))
    assert answer.verdict == "garden" and "average" in told(answer)
    assert "on average in 30 days" in next(one.text for one in answer.warnings if one.rule == "average")


def test_the_average_is_evidence_in_the_record() -> None:
    home = house("us-tx", "2026-11")
    home.load(day(3), litres=gallons(500))
    home.load(day(12), litres=gallons(100))
    state, garden = home.state(at(day(12), 20)), home.garden(at(day(12), 20))
    past = Past(state, garden, day(0), day(12), sewer_loads(state, exceptions(state, garden)), rounds(state, day(12)))
    volume = next(one for one in evidence(past) if one.condition.id == "volume")
    # 600 gal from the day of the first load on: ten days
    assert volume.finding == "met" and "On the average day 60 gal went out, over 10 days" in volume.shows[0]
    assert exceptions(state, garden) == ()


# --- what comes first ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("code", "answer", "starts"), [
    ("us-ut", None, "Permit first (us-ut): A permit comes first"), ("us-or-1", None, "Permit first"),
    ("us-nv", None, "Permit first"), ("us-mt", None, "Permit first"),
    ("us-nv", "none", "Permit first"), ("us-nv", "asked for", "Permit first"),
    ("us-nv", "not needed", "Permit first"), ("us-nv", "held", None),
    ("us-co-a1", None, "Local permission first"), ("us-co-a1", "not needed", None),
    ("generic", None, "Not known to be lawful"), ("generic", "held", None),
    ("us-ca-washer", None, None), ("us-az-1", None, None),
])
def test_the_first_word_of_a_code(code: str, answer: str | None, starts: str | None) -> None:
    answers = None if answer is None else (f"permit: {answer}",)
    home = house(code, PROFILES[code].as_of, system_answers=answers)
    word = first_word(home.state(at(JULY)).site)
    assert word is None if starts is None else (word is not None and word.startswith(starts))
    assert ("permission" in told(answered(home, JULY, gallons(20)))) is (starts is not None)


def test_the_first_word_is_told_until_a_load_has_gone_to_the_garden() -> None:
    home = house("us-nv")
    home.load(day(38), to="sewer")
    assert told(answered(home, JULY, gallons(20))) == ["permission"]
    home.load(day(39))
    assert told(answered(home, JULY, gallons(20))) == []


def test_a_text_that_has_expired_is_told_beside_every_answer() -> None:
    """Oregon's permit WPCF GEN 2401: until 1 May 2027."""
    home = house("us-or-1", "2026-11", system_answers=("permit: held",))
    assert told(answered(home, day(300), gallons(20))) == []
    assert told(answered(home, day(340), gallons(20))) == ["code expired"]


# --- rules of the place -------------------------------------------------------------------------------------------

ORDINANCE = LocalRule("city's limit", "City of Wren, 14.08", limit_ml=round(gallons(30) * 1000))


def test_a_rule_of_the_place_binds_and_is_told_as_one() -> None:
    home = house("us-ca-washer", "2026-11", local_rules=(line_of(ORDINANCE),))
    assert answered(home, JULY, gallons(30)).verdict == "garden"
    answer = answered(home, JULY, gallons(31))
    assert (answer.verdict, answer.strength) == ("sewer", "must")
    assert "the local rule allows 30 gal" in answer.reasons[0].text


def test_of_two_figures_the_stricter_holds() -> None:
    """Washington's 60 gal and 4 in stand against a rule that was stricter than an earlier edition only."""
    loose = line_of(LocalRule("old", "somewhere", limit_ml=round(gallons(90) * 1000), cover_mm=60))
    adapted = held("us-wa-1", "2026-11", (loose,))
    assert adapted.daily_limit_gal(2) == 60 and adapted.cover_mm.value == pytest.approx(101.6)
    assert adapted.adapted and "adapted by the household" in adapted.called


@pytest.mark.parametrize(("code", "edition", "people", "gal", "whose"), [
    ("us-ut", FIRST, 1, 40.0, "the code"), ("us-ut", FIRST, 2, 50.0, "the local rule"),
    ("us-ut", FIRST, 3, 50.0, "the local rule"), ("us-wa-1", "2026-11", 1, 50.0, "the local rule"),
])
def test_beside_a_limit_for_each_occupant_the_stricter_holds_however_many_there_are(
        code: str, edition: str, people: int, gal: float, whose: str) -> None:
    line = line_of(LocalRule("fifty", "somewhere", limit_ml=round(gallons(50) * 1000)))
    looser = line_of(LocalRule("fifty-five", "elsewhere", limit_ml=round(gallons(55) * 1000)))
    for lines in ((line,), (line, looser), (looser, line)):
        adapted = held(code, edition, lines)
        assert adapted.daily_limit_gal(people) == pytest.approx(gal, abs=0.001)
        assert adapted.asked_by(adapted.limit(people)) == whose


def test_a_rule_of_the_place_can_deepen_the_cover_and_shorten_the_season() -> None:
    deep = line_of(LocalRule("deep", "City of Wren, 14.09", cover_mm=200, months=(5, 6)))
    home = house("us-ca-washer", "2026-11", local_rules=(deep,))
    answer = answered(home, JULY, gallons(20))
    assert [one.rule for one in answer.reasons if one.strength == "must"] == ["season", "cover"]
    assert "the local rule asks for" in " ".join(one.text for one in answer.reasons)


def test_a_line_that_is_no_rule_is_left_out() -> None:
    assert held("us-ca-washer", "2026-11", ("{", "[1]", '{"a": 1}')).adapted == ()


@pytest.mark.parametrize("value", [
    '"limit_ml":"30 gal"', '"limit_ml":true', '"limit_ml":-1', '"cover_mm":1e3', '"months":[13]', '"months":"56"',
    '"months":[]', '"text":7', f'"limit_ml":1{"0" * 400}', f'"months":{"[" * 400_000}',
])
def test_a_rule_with_a_value_of_another_kind_does_not_bind(value: str) -> None:
    assert held("us-ca-washer", "2026-11", (f'{{"name":"odd","source":"somewhere",{value}}}',)).adapted == ()


# --- the gate -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("code", "answers", "condition", "finding"), [
    ("us-ca-washer", (), "washer alone", "not in the log"),
    ("us-ca-washer", ("only_washer: yes",), "washer alone", "met"),
    ("us-ca-washer", ("only_washer: no",), "washer alone", "exceptions only"),
    ("us-ca-washer", ("dwelling: two-family",), "dwelling", "met"),
    ("us-co-a1", ("dwelling: two-family",), "dwelling", "exceptions only"),
    ("us-ca-washer", ("potable_joint: no",), "untouched", "met"),
    ("us-ca-washer", ("potable_joint: no", "structure_changed: yes"), "untouched", "met with exceptions"),
    ("us-wa-1", ("added_pump: no", "runs: downhill"), "gravity", "met"),
    ("us-wa-1", ("added_pump: no", "runs: uphill"), "gravity", "met with exceptions"),
    ("us-wa-1", (), "own pump", "open question"),
    ("us-or-1", ("bedrooms: 4",), "bedrooms", "met"), ("us-or-1", ("bedrooms: 5",), "bedrooms", "exceptions only"),
    ("us-nm", ("groundwater: 1524",), "groundwater", "met"),          # 5 ft
    ("us-nm", ("groundwater: 1500",), "groundwater", "exceptions only"),
    ("us-mt", ("groundwater: 1300",), "groundwater", "met"),          # 4 ft
    ("us-ut", ("permit: none",), "permit", "exceptions only"), ("us-ut", ("permit: held",), "permit", "met"),
])
def test_what_was_answered_of_the_system_is_evidence(code: str, answers: tuple[str, ...], condition: str,
                                                     finding: str) -> None:
    home = house(code, PROFILES[code].as_of, system_answers=answers or None)
    state, garden = home.state(at(JULY)), home.garden(at(JULY))
    past = Past(state, garden, day(0), JULY, (), ())
    one = next(one for one in evidence(past) if one.condition.id == condition)
    assert one.finding == finding


# --- a logbook whose code is not held -----------------------------------------------------------------------------


@pytest.mark.parametrize(("code", "words"), [
    ("us-xx", "is not among the profiles"), ("us-fl", "Florida is not known to allow it outdoors"),
])
def test_a_logbook_under_a_code_that_is_not_held_says_so(code: str, words: str) -> None:
    problems = Home(code=code).garden(at(JULY)).problems
    assert any(words in problem.text and "us-ca-washer" in str(problem.way_out) for problem in problems)
    assert Home(code="us-ca-washer").garden(at(JULY)).problems == ()


def test_a_logbook_under_a_retired_profile_keeps_it_and_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("gwlog.water.oddities.refused", lambda code: "It was repealed; take icc.")
    home = Home(code="upc", code_edition="2026-11")
    assert any("It was repealed; take icc." in problem.text for problem in home.garden(at(JULY)).problems)
    assert told(answered(home, JULY, gallons(10))) == ["permission"]


def test_the_record_does_not_show_a_condition_whose_text_was_not_read_as_kept() -> None:
    home = house("us-or-1", "2026-11", system_answers=("distances_kept: yes",))
    state, garden = home.state(at(JULY)), home.garden(at(JULY))
    past = Past(state, garden, day(0), JULY, sewer_loads(state, exceptions(state, garden)), rounds(state, JULY))
    found = next(one for one in evidence(past) if one.condition.id == "distances")
    assert found.finding == "not in the log" and "The code's own text was not read: ask for it." in (found.remark or "")


@pytest.mark.parametrize("code", [one for one, held_one in PROFILES.items() if held_one.permission != "none needed"])
@pytest.mark.parametrize("permit", [(), ("permit: none",), ("permit: asked for",)])
def test_the_short_line_of_what_comes_first_fits_the_narrowest_screen(code: str, permit: tuple[str, ...]) -> None:
    line = first_line(house(code, PROFILES[code].as_of, system_answers=permit).state(at(JULY)))
    assert line is not None and code in line and len(line) <= 53    # 60 columns, less the edges and the indent
