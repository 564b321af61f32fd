"""What the logbook shows for each condition of a code, and what it shows against it; never more than was written."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from gwlog.decisions.compliance import Evidence, evidence
from gwlog.decisions.exceptions import exceptions
from gwlog.decisions.period import Past
from gwlog.decisions.sewer_loads import sewer_loads
from gwlog.decisions.upkeep_past import rounds
from gwlog.journal.facts import Attestation
from gwlog.reference.codes import EVIDENCE, PROFILES
from gwlog.units import LITRES_PER_GALLON
from gwlog.water.basin import LEACHING_SHARE
from tests.decisions.home import Home, at, day

LAST = 60


def past_of(home: Home, last: int = LAST) -> Past:
    now = at(day(last), 20)
    state, garden = home.state(now), home.garden(now)
    sewer = sewer_loads(state, exceptions(state, garden))
    return Past(state, garden, day(0), day(last), sewer, rounds(state, day(last)))


def found(home: Home, last: int = LAST) -> dict[str, Evidence]:
    return {one.condition.id: one for one in evidence(past_of(home, last))}


def nothing(_home: Home) -> None: ...


def good_loads(home: Home) -> None:
    home.load(day(3))
    home.load(day(9))


def diapers_to_sewer(home: Home) -> None:
    home.load(day(3), to="sewer", contents=("diapers",))


def diapers_both_ways(home: Home) -> None:
    diapers_to_sewer(home)
    home.load(day(4), contents=("diapers",))


def oil_to_garden(home: Home) -> None:
    home.load(day(3), contents=("oil",))


def walked(home: Home) -> None:
    home.done("look for ponding and runoff", day(20))
    home.done("look for ponding and runoff", day(50))


def walked_and_saw(home: Home) -> None:
    walked(home)
    home.resolve(home.see("ponding", day(21), "Fig"), day(23))


def measured(home: Home) -> None:
    home.mulch("Fig", day(5), "measured", 80)


def measured_thin(home: Home) -> None:
    home.mulch("Fig", day(5), "measured", 40)
    home.mulch("Fig", day(6), "added", 60)


def ill(home: Home) -> None:
    home.see("illness", day(2))
    home.load(day(3), to="sewer")
    home.load(day(4))


def rained(home: Home) -> None:
    home.weather(day(3), rain_um=20_000)
    home.load(day(3), to="sewer")


def rained_on(home: Home) -> None:
    rained(home)
    home.load(day(4))


def much(home: Home) -> None:
    home.load(day(3), litres=300 * LITRES_PER_GALLON)


def to_a_root_crop(home: Home) -> None:
    home.basin("Beets", edible="root crop")
    home.move("Hose", "Beets", day(2))
    home.load(day(3))


def salty(home: Home) -> None:
    home.product("sack", sodium_mg=34_000)
    home.load(day(3), products=("sack",))


def mild(home: Home) -> None:
    home.load(day(3), products=("plain liquid",))


def yearly(home: Home) -> None:
    home.done("yearly record", day(30))


Lived = Callable[[Home], None]
CASES: list[tuple[str, str, Lived, str]] = [
    ("us-ca-washer", "notice", good_loads, "not in the log"),
    ("us-ca-washer", "field", good_loads, "met"),
    ("us-ca-washer", "field", nothing, "not in the log"),
    ("us-ca-washer", "diapers", good_loads, "not in the log"),
    ("us-ca-washer", "diapers", diapers_to_sewer, "met"),
    ("us-ca-washer", "diapers", diapers_both_ways, "met with exceptions"),
    ("us-ca-washer", "hazardous", nothing, "not in the log"),
    ("us-ca-washer", "hazardous", oil_to_garden, "exceptions only"),
    ("us-ca-washer", "valve", diapers_both_ways, "met with exceptions"),
    ("us-ca-washer", "ponding", nothing, "exceptions only"),
    ("us-ca-washer", "ponding", walked, "met"),
    ("us-ca-washer", "ponding", walked_and_saw, "met with exceptions"),
    ("us-ca-washer", "cover", nothing, "not in the log"),
    ("us-ca-washer", "cover", measured, "met"),
    ("us-ca-washer", "cover", measured_thin, "met with exceptions"),
    ("us-ca-washer", "manual", nothing, "not in the log"),
    ("generic", "illness", nothing, "not in the log"),
    ("generic", "illness", ill, "met with exceptions"),
    ("generic", "wet ground", nothing, "not in the log"),
    ("generic", "wet ground", rained, "met"),
    ("generic", "wet ground", rained_on, "met with exceptions"),
    ("generic", "food", nothing, "met"),
    ("generic", "food", to_a_root_crop, "met with exceptions"),
    ("us-nm", "volume", nothing, "not in the log"),
    ("us-nm", "volume", good_loads, "met"),
    ("us-nm", "volume", much, "exceptions only"),
    ("us-wa-1", "season", nothing, "not in the log"),
    ("us-wa-1", "season", good_loads, "met"),
    ("us-wa-1", "plant use", good_loads, "met"),
    ("us-wa-1", "plant use", much, "exceptions only"),
    ("us-wa-1", "softener", nothing, "not in the log"),
    ("us-or-1", "record", nothing, "not in the log"),
    ("us-or-1", "record", yearly, "met"),
    ("au-wa", "sodium", nothing, "not in the log"),
    ("au-wa", "sodium", mild, "met"),
    ("au-wa", "sodium", salty, "exceptions only"),
]


@pytest.mark.parametrize(("code", "condition", "lived", "finding"), CASES,
                         ids=[f"{code} {condition} {lived.__name__}" for code, condition, lived, _ in CASES])
def test_a_condition_and_what_the_log_shows(code: str, condition: str, lived: Lived, finding: str) -> None:
    home = Home(code=code)
    lived(home)
    assert found(home)[condition].finding == finding


def a_busy_summer(home: Home) -> None:
    """Something of everything that a condition can be shown by."""
    good_loads(home)
    diapers_to_sewer(home)
    walked(home)
    measured(home)
    mild(home)
    rained(home)
    yearly(home)


def test_every_condition_of_every_profile_finds_its_evidence_in_a_busy_summer() -> None:
    for code, profile in PROFILES.items():
        home = Home(code=code, code_edition=profile.as_of)
        a_busy_summer(home)
        told = found(home)
        assert list(told) == [condition.id for condition in profile.conditions]
        silent = [one.condition.id for one in told.values() if not (one.shows or one.against or one.remark)]
        assert silent == [], code
        nothing_can = {one.condition.id for one in told.values() if one.condition.evidence in ("none", "system")}
        assert all(one.finding in ("not in the log", "open question") and one.remark for one in told.values()
                   if one.condition.id in nothing_can), code


def test_every_kind_of_evidence_is_asked_for_by_some_profile_and_known() -> None:
    assert {condition.evidence for profile in PROFILES.values() for condition in profile.conditions} == set(EVIDENCE)


@pytest.mark.parametrize(("share", "finding"), [(LEACHING_SHARE, "exceptions only"), (0.99, "met")])
def test_leaching_that_is_owed_is_not_held_against_the_plants_use(share: float, finding: str) -> None:
    home = Home(code="us-wa-1")
    much(home)
    past = past_of(home)
    fig = replace(past.garden.basins["Fig"], leaching_share=share)
    owing = replace(past, garden=replace(past.garden, basins={"Fig": fig}))
    assert next(one for one in evidence(owing) if one.condition.id == "plant use").finding == finding


def test_without_an_entry_only_the_setup_is_evidence() -> None:
    """How the valve stood at first is noted in the setup too."""
    for code, profile in PROFILES.items():
        home = Home(code=code, code_edition=profile.as_of)
        shown = {one.condition.evidence for one in found(home).values() if one.shows}
        assert shown <= {"valve", "food"}, code


def test_what_lies_outside_the_period_is_not_evidence() -> None:
    home = Home()
    home.load(day(3), to="sewer", contents=("diapers",))
    now = at(day(40))
    state, garden = home.state(now), home.garden(now)
    past = Past(state, garden, day(10), day(40), sewer_loads(state, exceptions(state, garden)), rounds(state, day(40)))
    assert {one.condition.id: one.finding for one in evidence(past)}["diapers"] == "not in the log"


def attest(home: Home, kind: str, when: int, party: str = "Ola Reyes, plumber", **more: object) -> None:
    home.add(Attestation, day(when), attested=kind, party=party, **more)


def of_code(home: Home, code: str, last: int = LAST) -> dict[str, Evidence]:
    home.facts[0] = replace(home.facts[0], code=code)   # type: ignore[call-arg]
    return found(home, last)


def test_a_permit_that_was_attested_shows_the_condition_that_asks_for_one() -> None:
    home = Home()
    assert of_code(home, "us-mt")["permit"].finding == "not in the log"
    attest(home, "permit or notice", -30, "Tern County", file_name="permit.pdf", file_sha256="0f" * 32)
    [shown] = of_code(home, "us-mt")["permit"].shows
    assert shown.startswith("Permit or notice, Tern County (permit.pdf), on ")
    assert of_code(home, "us-mt")["permit"].finding == "met" and of_code(home, "us-mt")["permit"].remark is None


def test_a_check_of_the_drinking_water_counts_for_a_year() -> None:
    home = Home()
    attest(home, "cross-connection check", 3)
    assert any("Cross-connection check by Ola Reyes" in one for one in found(home)["untouched"].shows)
    old = Home()
    attest(old, "cross-connection check", LAST - 367)
    assert old.state(at(day(LAST), 20)).attestations
    said = found(old)["untouched"]
    assert said.shows == () and "more than a year before; have it checked again" in (said.remark or "")


def test_a_manual_handed_over_and_a_visit_are_told() -> None:
    home = Home()
    attest(home, "manual handed over", 5, "Ruth Abara, landlord")
    attest(home, "visit", 9, "Ruth Abara, landlord")
    said = found(home)
    assert said["manual"].finding == "met" and "to Ruth Abara, landlord" in said["manual"].shows[0]
    visited = [one for one in said.values() if one.remark and "Visit by Ruth Abara" in one.remark]
    assert visited and all(one.finding == "not in the log" for one in visited)
    assert "visited" not in str(found(home, 8))
