"""The code at setup: what is told, what is refused, how an edition is kept and taken, rules of the place, the gate."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from gwlog.app.entries import Author
from gwlog.app.setup_changes import newest_code
from gwlog.errors import BadInput, SeveralFaults
from gwlog.household import Household
from gwlog.journal.facts import Site
from gwlog.reference.codes import PROFILES, held_by
from gwlog.reference.codes.local_rules import rules_of
from gwlog.reference.codes.system import NEW, QUESTIONS
from gwlog.setup.change import changes
from gwlog.setup.code_warnings import code_warnings, differences, newer_edition
from gwlog.setup.keys import tables
from gwlog.setup.show import show
from gwlog.state import State, fold
from tests.setup.household import NOW, US, edited, read

CITY = '\n[[local_rule]]\nname = "city\'s limit"\nsource = "City of Plover, 14.08"\n'


def site_of(text: str) -> Site:
    return next(fact for fact in read(text).facts if isinstance(fact, Site))


def coded(code: str, text: str = US) -> str:
    return edited('code = "us-ca-washer"', f'code = "{code}"', text)


def told(text: str) -> str:
    return " ".join(read(text).warnings)


def faults(text: str) -> str:
    with pytest.raises(SeveralFaults) as refused:
        read(text)
    assert len(refused.value.faults) == 1, refused.value.faults
    return refused.value.faults[0]


def old_logbook(code: str = "us-ut") -> State:
    """A household set up before editions were kept."""
    facts = [replace(fact, code_edition=None) if isinstance(fact, Site) else fact for fact in read(coded(code)).facts]
    return fold([replace(fact, id=number) for number, fact in enumerate(facts, 1)])


# --- what is told -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("code", "words"), [
    ("us-ut", "Permit first"), ("us-nv", "Permit first"),
    ("us-co-a1", "Local permission first"), ("us-hi", "Local permission first"),
    ("generic", "Not known to be lawful"),
])
def test_what_comes_first_is_the_first_warning(code: str, words: str) -> None:
    assert read(coded(code)).warnings[0].startswith(words)


@pytest.mark.parametrize(("code", "zone", "latitude", "words"), [
    ("us-ut", "America/Los_Angeles", "36.9", "may be California (us-ca-washer) or Nevada (us-nv)"),
    ("generic", "America/Los_Angeles", "47.6", "may be Washington (us-wa-1)"),
    ("upc", "America/Phoenix", "33.4", "may be Arizona (us-az-1)"),
    ("us-ut", "Europe/Berlin", "52.5", "us-ut is for Utah, which Europe/Berlin at latitude 52.5 is not in"),
])
def test_a_place_for_which_another_profile_is_held_is_told(code: str, zone: str, latitude: str, words: str) -> None:
    text = edited("latitude = 36.9", f"latitude = {latitude}", coded(code))
    assert words in told(edited("America/Los_Angeles", zone, text))


@pytest.mark.parametrize(("code", "zone", "latitude"), [
    ("us-ca-washer", "America/Los_Angeles", "36.9"), ("us-nv", "America/Los_Angeles", "36.9"),
    ("generic", "Europe/Berlin", "52.5"), ("icc", "America/New_York", "40.7"),
])
def test_a_profile_of_the_place_brings_no_such_warning(code: str, zone: str, latitude: str) -> None:
    text = edited("latitude = 36.9", f"latitude = {latitude}", coded(code))
    said = told(edited("America/Los_Angeles", zone, text))
    assert "may be" not in said and "does not lie" not in said


def test_answers_against_the_code_and_questions_without_an_answer_are_told() -> None:
    said = told(edited("only_washer = true", "only_washer = false", edited("tank = false\n", "", US)))
    assert "us-ca-washer asks: The clothes washer alone is connected. It was answered otherwise" in said
    assert "us-ca-washer asks 1 thing of the system itself that nobody has answered: tank." in said


def test_a_text_that_is_no_longer_in_force_is_told() -> None:
    """Oregon's permit: until 1 May 2027."""
    site = site_of(coded("us-or-1"))
    late = list(code_warnings(site, date(2027, 5, 2)))
    assert any("in force until May 1, 2027" in one for one in late)
    assert not any("in force until" in one for one in code_warnings(site, date(2027, 5, 1)))


# --- what is refused ----------------------------------------------------------------------------------------------


def test_an_unknown_profile_is_refused_with_the_nearest() -> None:
    assert "not one of the choices" in faults(coded("us-uta"))


@pytest.mark.parametrize(("code", "words"), [("us-fl", "Florida is not known to allow it"), ("uk", "United Kingdom")])
def test_a_place_that_is_not_offered_is_refused_with_the_reason(code: str, words: str) -> None:
    fault = faults(coded(code))
    assert words in fault and "us-ca-washer" in fault


def test_a_retired_profile_is_refused_with_what_is_instead(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("gwlog.reference.codes.refused", lambda code: "It was repealed; take icc." if code == "upc"
                        else None)
    assert "It was repealed; take icc" in faults(coded("upc"))


def test_an_edition_that_is_not_held_is_refused() -> None:
    fault = faults(edited("occupants = 3", 'occupants = 3\ncode_edition = "2019"'))
    assert "no edition in which us-ca-washer is held; use “first” or “2026-11”" in fault
    assert "use “2026-11”" in faults(edited(
        "occupants = 3", 'occupants = 3\ncode_edition = "first"', coded("us-nv")))


@pytest.mark.parametrize(("code", "rule", "words"), [
    ("us-wa-1", "limit_gal = 61", "above what us-wa-1 allows, 60 gal a day"),
    ("us-tx", "limit_gal = 401", "above what us-tx allows, 400 gal a day"),
    ("us-ca-washer", "cover_in = 1", "less than us-ca-washer asks for, 2 in"),
    ("us-wa-1", "months = [3, 4]", "months outside the season of us-wa-1"),
    ("us-ca-washer", "", "it asks for nothing"),
])
def test_a_rule_of_the_place_that_would_loosen_the_code_is_refused(code: str, rule: str, words: str) -> None:
    assert words in faults(coded(code) + CITY + rule + "\n")


def test_a_rule_of_the_place_says_where_it_stands() -> None:
    assert "source is missing" in faults(US + '\n[[local_rule]]\nname = "city"\nlimit_gal = 30\n')


# --- rules of the place and the gate in the site file -------------------------------------------------------------


def test_a_stricter_rule_is_taken_and_told_as_one() -> None:
    text = coded("us-wa-1") + CITY + 'limit_gal = 40\ncover_in = 6\nmonths = [5, 6]\ntext = "No basin by the road."\n'
    site = site_of(text)
    [rule] = rules_of(site.local_rules)
    assert (rule.limit_ml, rule.cover_mm, rule.months, rule.text) == (151416, 152, (5, 6), "No basin by the road.")
    profile = held_by(site)
    assert profile.daily_limit_gal(3) == pytest.approx(40, abs=0.001) and profile.cover_mm.value == 152
    assert [month for month in range(1, 13) if profile.in_season(month)] == [5, 6]
    assert "No basin by the road." in [one.text for one in profile.conditions]
    assert "us-wa-1 is made stricter by a rule of the place: city's limit" in told(text)
    assert "City of Plover, 14.08" in told(text)


def test_every_question_can_be_answered_in_the_site_file_and_is_asked_by_some_code() -> None:
    assert [key.name for key in tables()["system"].keys] == list(QUESTIONS)
    asked = {key for profile in PROFILES.values() for one in profile.conditions for key, _ in one.asks}
    assert asked == set(QUESTIONS) - {NEW}


def test_what_is_shown_is_read_again_without_a_change() -> None:
    text = US.replace("tank = false", 'tank = false\npermit = "held"\nbedrooms = 3\ngroundwater_ft = 12') + CITY + \
        "limit_gal = 30\n"
    state = fold(read(text).facts)
    assert state.site is not None and "groundwater: 3658" in (state.site.system_answers or ())
    again = read(show(state))
    assert changes(state, again, in_force=NOW + timedelta(hours=1)) == []


# --- editions -----------------------------------------------------------------------------------------------------


def test_a_new_household_has_the_newest_edition_and_an_old_one_keeps_its_own() -> None:
    assert site_of(US).code_edition == "2026-11"
    state = old_logbook()
    assert state.site is not None and held_by(state.site).as_of == "first"
    later = NOW + timedelta(hours=1)
    assert changes(state, read(coded("us-ut")), in_force=later) == []            # says no edition
    assert 'code_edition = "first"' in show(state)
    assert changes(state, read(show(state)), in_force=later) == []               # says the one it has


def test_the_newer_edition_is_offered_with_its_differences_and_taken() -> None:
    state = old_logbook()
    assert state.site is not None
    offer = " ".join(newer_edition(state.site))
    assert "There is a newer edition of Utah (us-ut): 2026-11" in offer
    assert "before the first load: none needed → permit first" in offer
    assert "~ volume (limit a day → design flow)" in offer and "+ permit:" in offer
    taking = edited("occupants = 3", 'occupants = 3\ncode_edition = "2026-11"', coded("us-ut"))
    [draft] = changes(state, read(taking), in_force=NOW + timedelta(hours=1))
    assert isinstance(draft, Site) and draft.code_edition == "2026-11"
    assert newer_edition(draft) == []


def test_another_profile_is_taken_in_its_newest_edition() -> None:
    [draft] = changes(old_logbook(), read(US), in_force=NOW + timedelta(hours=1))
    assert isinstance(draft, Site) and (draft.code, draft.code_edition) == ("us-ca-washer", "2026-11")


def test_the_newest_edition_is_taken_in_one_step_and_not_twice(tmp_path: Path) -> None:
    state = old_logbook()
    assert state.site is not None
    home = Household(tmp_path / "none.db", NOW + timedelta(days=1), [state.site])
    taken = newest_code(home, Author(home.now, "Oda", "read it"))
    [draft] = taken.drafts
    assert isinstance(draft, Site)
    assert (draft.code_edition, draft.recorded_by, draft.note) == ("2026-11", "Oda", "read it")
    assert "edition of the code profile" in taken.lines[0] and taken.warnings[0].startswith("Permit first")
    again = Household(tmp_path / "none.db", NOW + timedelta(days=2), [state.site, replace(draft, id=99)])
    with pytest.raises(BadInput, match="newest edition"):
        newest_code(again, Author(again.now))


@pytest.mark.parametrize("code", ["us-ca-washer", "us-az-1", "us-nm", "us-tx", "us-wa-1", "us-or-1", "us-co-a1",
                                  "us-ut", "au-wa", "generic"])
def test_each_first_edition_differs_from_the_newest(code: str) -> None:
    from gwlog.reference.codes import held

    assert differences(held(code, "first"), PROFILES[code])
    assert differences(PROFILES[code], PROFILES[code]) == []
