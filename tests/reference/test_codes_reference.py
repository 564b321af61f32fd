"""The code profiles: limits, cover, storage, setbacks and the twelve conditions, against the codes' figures."""

from __future__ import annotations

import pytest

from gwlog.reference.cautions import ALWAYS, CAUTION_BY_ID, CAUTIONS
from gwlog.reference.codes import EVIDENCE, GROUNDWATER_BELOW_FT, MANUAL_HOLDS, PROFILES
from gwlog.reference.source import SURE
from gwlog.reference.upkeep import DEFAULT_UPKEEP, KEEP_RECORDS_YEARS

# id: document named in it, gal/day, below that number, cover [in] or None where the code names no depth,
# storage [h] or None where not stated
PROFILE_FIGURES = {
    "us-ca-washer": ("California Plumbing Code", None, False, 2, 0),
    "us-az-1": ("R18-9-D701", 400, True, None, None),
    "us-nm": ("20.7.3.810 NMAC", 250, True, None, 24),
    "us-tx": ("30 TAC 210.83", 400, True, None, None),
    "us-wa-1": ("246-274-100", 60, False, 4, 0),
    "us-or-1": ("340-053-0080", 300, False, None, None),
    "us-co-a1": ("5 CCR 1002-86", None, False, None, 24),
    "us-ut": ("R317-401", None, False, None, None),
    "au-wa": ("Western Australia Code of Practice", None, False, None, 0),
    "generic": ("strictest", None, False, 2, 24),
}

# California Plumbing Code, location of the irrigation field; Utah R317-401: ft
SETBACKS_FT = {
    "us-ca-washer": {
        "building": 2, "property line": 1.5, "water-supply well": 100, "stream or lake": 100, "septic tank": 5,
        "sewage disposal field": 4, "public water main": 10, "domestic service line": 0,
    },
    "us-ut": {
        "building": 2, "property line": 5, "water-supply well": 100, "ungrouted water-supply well": 200,
        "stream or lake": 100, "septic tank": 5, "sewage disposal field": 10, "domestic service line": 10,
    },
}

TWELVE = [
    "notice", "valve", "untouched", "lot", "field", "ponding", "cover", "contact", "diapers", "hazardous",
    "other rules", "manual",
]


def test_there_are_ten_profiles():
    assert list(PROFILES) == list(PROFILE_FIGURES)


@pytest.mark.parametrize("name", PROFILE_FIGURES)
def test_the_figures_of_each_profile(name):
    document, limit, below, cover_in, storage = PROFILE_FIGURES[name]
    profile = PROFILES[name]
    assert profile.id == name
    assert document in profile.document
    assert (profile.limit_gal_per_day.value if profile.limit_gal_per_day else None) == limit
    assert profile.limit_below is below
    assert profile.cover_mm.value == pytest.approx(25.4 * (cover_in or 2))
    assert (profile.cover_mm.sure == "assumption") is (cover_in is None or name == "generic")
    assert (profile.storage_h.value if profile.storage_h else None) == storage


@pytest.mark.parametrize("name", SETBACKS_FT)
def test_setbacks_of_california_and_utah(name):
    assert {place: feet.value for place, feet in PROFILES[name].setbacks_ft.items()} == SETBACKS_FT[name]


@pytest.mark.parametrize("name", [name for name in PROFILE_FIGURES if name not in SETBACKS_FT])
def test_elsewhere_the_farther_of_the_two_distances_stands_in(name):
    california, utah = SETBACKS_FT["us-ca-washer"], SETBACKS_FT["us-ut"]
    held = PROFILES[name].setbacks_ft
    for place in {**california, **utah}:
        assert held[place].value == max(california.get(place, 0), utah.get(place, 0))
        assert held[place].sure == "assumption"


def test_groundwater_stays_five_feet_below():
    """New Mexico 20.7.3.810 NMAC, and a county code of 1995."""
    assert GROUNDWATER_BELOW_FT.value == 5
    assert PROFILES["us-nm"].setbacks_ft["groundwater below"].value == 5


def test_the_permit_exempt_washer_system_has_its_twelve_conditions():
    assert [condition.id for condition in PROFILES["us-ca-washer"].conditions] == TWELVE
    assert len(MANUAL_HOLDS.value) == 6


@pytest.mark.parametrize(
    ("name", "condition", "evidence"),
    [
        ("us-ca-washer", "valve", "valve"), ("us-ca-washer", "cover", "cover"),
        ("us-ca-washer", "ponding", "ponding"), ("us-ca-washer", "diapers", "diapers"),
        ("us-ca-washer", "hazardous", "hazardous"), ("us-ca-washer", "manual", "manual"),
        ("us-ca-washer", "notice", "none"), ("us-az-1", "food", "food"), ("us-nm", "volume", "volume"),
        ("us-wa-1", "season", "season"), ("us-wa-1", "plant use", "plant use"), ("us-or-1", "record", "record"),
        ("us-co-a1", "illness", "illness"), ("au-wa", "sodium", "sodium"), ("au-wa", "wet ground", "wet ground"),
    ],
)
def test_what_in_a_logbook_evidences_a_condition(name, condition, evidence):
    found = {each.id: each.evidence for each in PROFILES[name].conditions}
    assert found[condition] == evidence


@pytest.mark.parametrize("name", PROFILE_FIGURES)
def test_each_profile_is_complete(name):
    profile = PROFILES[name]
    assert profile.place and profile.document and profile.sure in SURE
    assert profile.conditions and profile.setbacks_ft
    ids = [condition.id for condition in profile.conditions]
    assert len(ids) == len(set(ids))
    for condition in profile.conditions:
        assert condition.evidence in EVIDENCE
        assert condition.text.endswith(".") and len(condition.text) < 120
    assert {caution.id for caution in profile.cautions} >= set(ALWAYS)


def test_washingtons_tier_one_runs_in_the_growing_season_alone():
    """WAC 246-274-100; the months are an assumption. WAC 246-274-410: 11 gal/day, 8 with an efficient machine."""
    washington = PROFILES["us-wa-1"]
    assert [month for month in range(1, 13) if washington.in_season(month)] == [4, 5, 6, 7, 8, 9, 10]
    assert washington.season_months is not None and washington.season_months.sure == "assumption"
    assert washington.laundry_gpcd.value == 11
    assert washington.laundry_gpcd_efficient is not None and washington.laundry_gpcd_efficient.value == 8
    assert "top up the mulch to 4 in" in [task.name for task in washington.upkeep]
    others = [profile for profile in PROFILES.values() if profile is not washington]
    assert all(profile.in_season(month) for profile in others for month in range(1, 13))


def test_daily_limits_in_both_units():
    assert PROFILES["us-wa-1"].daily_limit_l(9) == pytest.approx(227.1, abs=0.05)
    assert PROFILES["us-ut"].daily_limit_l(3) == pytest.approx(454.2, abs=0.05)
    assert PROFILES["us-ca-washer"].daily_limit_l(3) is None


# task, interval, months: UPC/CPC inspection table; WA Code 2010 4.5.2; NSW Guideline 2007/8; Valley Water;
# OAR 340-053-0110
UPKEEP = [
    ("look for ponding and runoff", "1 month", None),
    ("throw the valve both ways", "12 months", None),
    ("read the labels on pipe and valve", "12 months", None),
    ("check the air vent, clamps and joints", "12 months", None),
    ("flush the line", "12 months", None),
    ("clear the outlet ends and renew composted mulch", "12 months", None),
    ("flush the soil with drinking water", "6 weeks", (5, 6, 7, 8, 9, 10)),
    ("yearly record", "12 months", None),
]


def test_upkeep_defaults_and_their_stable_names():
    assert [(task.name, task.every, task.months) for task in DEFAULT_UPKEEP] == UPKEEP
    assert not any("filter" in task.name for profile in PROFILES.values() for task in profile.upkeep)
    assert KEEP_RECORDS_YEARS.value == 5  # Colorado 86.14


def test_upkeep_names_are_unique_within_a_profile():
    for profile in PROFILES.values():
        names = [task.name for task in profile.upkeep]
        assert len(names) == len(set(names)), profile.id


def test_the_soil_is_flushed_in_the_southern_summer_in_western_australia():
    months = {task.name: task.months for task in PROFILES["au-wa"].upkeep}
    assert months["flush the soil with drinking water"] == (11, 12, 1, 2, 3, 4)


def test_the_usual_cautions_are_there():
    assert len(CAUTION_BY_ID) == len(CAUTIONS)
    assert CAUTIONS[0].id == "local code first"
    assert {"contact", "cross-connection", "food crops", "illness", "solvent cement", "air vent"} <= set(CAUTION_BY_ID)
    assert all(caution.value.endswith(".") and len(caution.value) < 120 for caution in CAUTIONS)
