"""The code profiles: every condition with its source and letter, limits, cover, storage, distances, editions."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from gwlog.reference.cautions import ALWAYS, CAUTION_BY_ID, CAUTIONS
from gwlog.reference.codes import (
    EVIDENCE,
    FIRST,
    KINDS,
    MANUAL_HOLDS,
    NOT_OFFERED,
    OFFERED,
    PERMISSIONS,
    PROFILES,
    editions,
    held,
    newer,
    of_place,
    refused,
)
from gwlog.reference.codes.distances import GROUNDWATER_FT
from gwlog.reference.codes.first import FIRST_PROFILES
from gwlog.reference.codes.system import QUESTIONS
from gwlog.reference.codes.topics import TOPIC_OF, TOPICS
from gwlog.reference.source import SURE
from gwlog.reference.upkeep import DEFAULT_UPKEEP, KEEP_RECORDS_YEARS
from tests.reference.code_conditions import ROWS

# id: document named in it, gal/day, below that number, cover [in] or None where the code names no depth,
# storage [h] or None where not stated, what comes first
PROFILE_FIGURES = {
    "us-ca-washer": ("California Plumbing Code", None, False, 2, 0, "none needed"),
    "us-az-1": ("R18-9-D701", 400, True, None, None, "none needed"),
    "us-nm": ("20.7.3.810 NMAC", 250, True, None, 24, "none needed"),
    "us-tx": ("30 TAC 210.82 and 210.83", None, False, None, None, "none needed"),      # 400 is an average
    "us-wa-1": ("246-274-011 and -100", 60, False, 4, 0, "none needed"),
    "us-or-1": ("340-053-0050 to 0110", 300, False, 2, 24, "permit first"),
    "us-co-a1": ("5 CCR 1002-86", None, False, None, 24, "local permission"),
    "us-ut": ("R317-401", None, False, None, None, "permit first"),                     # 120 is a design flow
    "us-nv": ("444.837", None, False, None, None, "permit first"),
    "us-mt": ("17.36.319", None, False, None, None, "permit first"),
    "us-hi": ("342D-70", None, False, None, None, "local permission"),
    "au-wa": ("Western Australia Code of Practice", None, False, None, 0, "local permission"),
    "au-nsw": ("section 75A", None, False, 3.937, 0, "none needed"),                    # 100 mm
    "au-vic": ("EPA Publication 812", None, False, None, 24, "none needed"),
    "upc": ("Uniform Plumbing Code", None, False, 2, None, "permit first"),
    "icc": ("International Plumbing Code", None, False, None, 24, "permit first"),
    "generic": ("strictest", None, False, 4, 0, "not known"),
}

# California Plumbing Code, location of the irrigation field (cities' restatements; septic tank, field and service line
# from memory); Utah R317-401-5 in the text of 2019: ft
SETBACKS_FT = {
    "us-ca-washer": {
        "building": 2, "property line": 1.5, "water-supply well": 100, "stream or lake": 100, "septic tank": 5,
        "sewage disposal field": 4, "public water main": 10, "domestic service line": 0,
    },
    "us-ut": {
        "building": 2, "property line": 5, "water-supply well": 100, "ungrouted water-supply well": 200,
        "stream or lake": 100, "ditch": 100, "seepage pit": 10, "septic tank": 5, "sewage disposal field": 10,
        "domestic service line": 10,
    },
}
# New Mexico 20.7.3.809 (read) and the City of Deming (copy); the international codes (memory): ft
OWN_FT = {
    "us-nm": {"building": 2, "property line": 2, "water-supply well": 100, "public water-supply well": 200},
    "icc": {"building": 2, "property line": 5, "water-supply well": 100, "stream or lake": 50, "septic tank": 5,
            "public water main": 10},
}

TWELVE = [
    "notice", "valve", "untouched", "lot", "field", "ponding", "cover", "contact", "diapers", "hazardous",
    "other rules", "manual",
]


def test_the_profiles_that_are_held():
    assert list(PROFILES) == list(OFFERED) == list(PROFILE_FIGURES)
    assert [row[0] for row in ROWS] == [p.id for p in PROFILES.values() for _ in p.conditions]


@pytest.mark.parametrize(("name", "condition", "kind", "figure", "letter", "source"), ROWS,
                         ids=[f"{row[0]} {row[1]}" for row in ROWS])
def test_a_condition_with_its_kind_figure_letter_and_source(name, condition, kind, figure, letter, source):
    found = PROFILES[name].condition(condition)
    assert found is not None
    value = "" if found.value is None else f"{'< ' if found.below else ''}{found.value:g} {found.unit}".strip()
    assert (found.kind, value, found.sure) == (kind, figure, letter)
    assert found.source.startswith(source)


@pytest.mark.parametrize("name", PROFILE_FIGURES)
def test_the_figures_of_each_profile(name):
    document, limit, below, cover_in, storage, permission = PROFILE_FIGURES[name]
    profile = PROFILES[name]
    assert profile.id == name
    assert document in profile.document
    assert profile.daily_limit_gal(2) == limit
    assert (profile.limit(2) is not None and profile.limit(2).below) is below
    assert profile.cover_mm.value == pytest.approx(25.4 * (cover_in or 2), abs=0.01)
    assert (profile.cover_mm.sure == "assumption") is (cover_in is None or name == "generic")
    assert (profile.storage_h.value if profile.storage_h else None) == storage
    assert profile.permission == permission and permission in PERMISSIONS


@pytest.mark.parametrize("name", SETBACKS_FT)
def test_setbacks_of_california_and_utah(name):
    assert {place: feet.value for place, feet in PROFILES[name].setbacks_ft.items()} == SETBACKS_FT[name]


@pytest.mark.parametrize("name", [name for name in PROFILE_FIGURES if name not in SETBACKS_FT])
def test_elsewhere_the_code_has_its_own_distance_or_the_farther_of_the_two_stands_in(name):
    california, utah = SETBACKS_FT["us-ca-washer"], SETBACKS_FT["us-ut"]
    found, own = PROFILES[name].setbacks_ft, OWN_FT.get(name, {})
    for place in {**california, **utah, **own}:
        if place in own:
            assert found[place].value == own[place] and found[place].sure != "assumption"
        else:
            assert found[place].value == max(california.get(place, 0), utah.get(place, 0))
            assert found[place].sure == "assumption"


def test_groundwater_stays_five_feet_below():
    """New Mexico 20.7.3.810 NMAC, Arizona R18-9-711, and a county code of 1995; Utah 2 ft, Montana 4 ft of soil."""
    assert GROUNDWATER_FT.value == 5 and "Arizona" in GROUNDWATER_FT.source
    assert PROFILES["us-nm"].setbacks_ft["groundwater below"].value == 5
    depths = {name: profile.condition("groundwater") for name, profile in PROFILES.items()}
    assert {name: one.value for name, one in depths.items() if one is not None and one.value is not None} == {
        "us-az-1": 5, "us-nm": 5, "us-ut": 2, "us-mt": 4, "generic": 5}


def test_the_permit_exempt_washer_system_has_its_twelve_conditions_and_the_gate_before_them():
    ids = [condition.id for condition in PROFILES["us-ca-washer"].conditions]
    assert [one for one in ids if one in TWELVE] == TWELVE
    assert {"dwelling", "washer alone", "pipes uncut", "trap", "storm sewer"} <= set(ids)
    assert len(MANUAL_HOLDS.value) == 6


def test_washington_goes_by_gravity_and_asks_whether_the_washers_own_pump_counts():
    washington = PROFILES["us-wa-1"]
    gravity, pump = washington.condition("gravity"), washington.condition("own pump")
    assert gravity is not None and gravity.kind == "must" and ("added_pump", ("no",)) in gravity.asks
    assert pump is not None and pump.kind == "open question" and "ask" in pump.text


def test_season_and_plant_use_stand_in_011_and_the_wet_ground_is_from_memory():
    """WAC 246-274-011(1)(i) and (1)(m); “to the sewer when the ground is wet” was not found in what can be read."""
    found = {one.id: one for one in PROFILES["us-wa-1"].conditions}
    assert "-011(1)(i)" in found["season"].text and "-011" in found["season"].source
    assert "-011(1)(m)" in found["plant use"].text
    assert found["wet ground"].sure == "memory"
    assert next(one for one in CAUTIONS if one.id == "wet ground").sure == "memory"


@pytest.mark.parametrize(
    ("name", "condition", "evidence"),
    [
        ("us-ca-washer", "valve", "valve"), ("us-ca-washer", "cover", "cover"),
        ("us-ca-washer", "ponding", "ponding"), ("us-ca-washer", "diapers", "diapers"),
        ("us-ca-washer", "hazardous", "hazardous"), ("us-ca-washer", "manual", "manual"),
        ("us-ca-washer", "notice", "system"), ("us-az-1", "food", "food"), ("us-nm", "volume", "volume"),
        ("us-tx", "volume", "average"), ("us-ut", "volume", "average"),
        ("us-wa-1", "season", "season"), ("us-wa-1", "plant use", "plant use"), ("us-or-1", "record", "record"),
        ("us-co-a1", "illness", "illness"), ("au-wa", "sodium", "sodium"), ("au-wa", "wet ground", "wet ground"),
        ("us-or-1", "permit", "system"), ("us-ut", "groundwater", "system"),
    ],
)
def test_what_in_a_logbook_evidences_a_condition(name, condition, evidence):
    found = {each.id: each.evidence for each in PROFILES[name].conditions}
    assert found[condition] == evidence


def test_a_yearly_report_buys_a_fee_waiver_in_oregon():
    """OAR 340-053-0110(1)(a)(C): a report in time waives or cuts the fee."""
    report = PROFILES["us-or-1"].condition("record")
    assert report is not None and report.kind == "choice" and "fee" in report.text
    yearly = next(task for task in DEFAULT_UPKEEP if task.name == "yearly record")
    assert "waives or cuts the fee" in yearly.source


def test_oregons_permit_expires():
    """Permit WPCF GEN 2401, its face page: 1 May 2027."""
    oregon = PROFILES["us-or-1"]
    assert oregon.until == date(2027, 5, 1)
    assert oregon.expired(date(2027, 5, 1)) is None
    assert "in force until May 1, 2027" in str(oregon.expired(date(2027, 5, 2)))
    assert "in force until May 1, 2027" in oregon.dated
    assert all(profile.expired(date(2100, 1, 1)) is None for profile in PROFILES.values() if profile is not oregon)


@pytest.mark.parametrize("name", PROFILE_FIGURES)
def test_each_profile_is_complete(name):
    profile = PROFILES[name]
    assert profile.place and profile.document and profile.sure in SURE
    assert profile.edition or name == "generic"
    assert profile.as_of > "2026"
    assert profile.conditions and profile.setbacks_ft and profile.unread.endswith(".")
    assert profile.condition("permit") is not None
    ids = [condition.id for condition in profile.conditions]
    assert len(ids) == len(set(ids))
    for condition in profile.conditions:
        assert condition.evidence in EVIDENCE and condition.kind in KINDS and condition.topic in TOPICS
        assert condition.text.endswith(".") and len(condition.text) < 120
        assert all(key in QUESTIONS for key, _ in condition.asks)
        assert (condition.evidence == "system") is bool(condition.asks)
    assert {caution.id for caution in profile.cautions} >= set(ALWAYS)
    assert {one.topic for one in profile.conditions} | set(profile.silent) == set(TOPICS)


def test_no_topic_is_spare():
    spoken = {one.topic for profile in PROFILES.values() for one in profile.conditions}
    assert spoken == set(TOPICS)
    assert set(TOPIC_OF.values()) <= set(TOPICS) and not set(TOPIC_OF) & set(TOPICS)


def test_generic_is_the_strictest_of_the_common_rules():
    """What three profiles or more ask for, it asks for; and of figures it has the strictest that is known."""
    generic, others = PROFILES["generic"], [one for one in PROFILES.values() if one.id != "generic"]
    musts = [{c.topic for c in one.conditions if c.kind in ("must", "limit a day")} for one in others]
    common = {topic for topic in TOPICS if sum(topic in asked for asked in musts) >= 3}
    common -= {"laundry", "soil", "other rules"}       # what may be used, tables of each code, what else holds
    assert common <= {one.topic for one in generic.conditions}
    assert generic.cover_mm.value >= max(one.cover_mm.value for one in others)
    stored = [one.storage_h.value for one in others if one.storage_h]
    assert generic.storage_h is not None and generic.storage_h.value == min(stored) == 0
    depths = [one.value for profile in others if (one := profile.condition("groundwater")) is not None and one.value]
    lowest = generic.condition("groundwater")
    assert lowest is not None and lowest.value == max(depths)
    limits = [limit for one in others if (limit := one.daily_limit_gal(1)) is not None]
    assert generic.told_volume is not None and generic.told_volume.value == min(limits) == 60
    assert generic.condition("floodway") is not None and generic.daily_limit_gal(1) is None
    for place, feet in generic.setbacks_ft.items():
        assert all(feet.value >= one.setbacks_ft[place].value for one in others if place in one.setbacks_ft)


def test_washingtons_tier_one_runs_in_the_growing_season_alone():
    """WAC 246-274-011(1)(i); the months are an assumption. WAC 246-274-410: 11 gal/day, 8 with an efficient machine."""
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
    assert PROFILES["us-ca-washer"].daily_limit_l(3) is None


@pytest.mark.parametrize(("bedrooms", "gallons"), [(1, 120), (2, 120), (3, 160), (4, 200), (5, 240)])
def test_utahs_table_is_a_design_flow_by_bedrooms_and_no_daily_limit(bedrooms, gallons):
    """R317-401-5 table 1, text of 1 November 2019: 120 with two bedrooms, 160 with three, 40 more for each further."""
    utah = PROFILES["us-ut"]
    assert utah.design_flow_gal(bedrooms) == gallons
    assert utah.daily_limit_gal(1) is None and utah.daily_limit_l(5) is None


# --- editions -----------------------------------------------------------------------------------------------------


def test_ten_profiles_are_kept_as_they_were_first_held():
    assert list(FIRST_PROFILES) == ["us-ca-washer", "us-az-1", "us-nm", "us-tx", "us-wa-1", "us-or-1", "us-co-a1",
                                    "us-ut", "au-wa", "generic"]
    assert [name for name in PROFILES if FIRST in editions(name)] == list(FIRST_PROFILES)
    for name, profile in FIRST_PROFILES.items():
        assert profile.as_of == FIRST and editions(name) == (FIRST, "2026-11")
        assert held(name) is held(name, FIRST) is profile
        assert held(name, "2026-11") is PROFILES[name] is newer(name, None) is newer(name, FIRST)
        assert newer(name, "2026-11") is None
    assert [held("us-ut").daily_limit_gal(people) for people in (1, 3)] == [40, 120]
    assert held("us-tx").daily_limit_gal(2) == 400 and held("us-tx").limits[0].below
    assert held("generic").cover_mm.value == pytest.approx(50.8)


def test_a_profile_that_came_later_has_one_edition():
    assert editions("us-nv") == ("2026-11",) and held("us-nv") is PROFILES["us-nv"] and newer("us-nv", None) is None
    assert editions("us-xx") == () and newer("us-xx", None) is None and held("us-xx").id == "generic"


def test_an_edition_that_is_not_held_gives_the_oldest():
    assert held("us-ut", "2031-01").as_of == FIRST


@pytest.mark.parametrize("place", NOT_OFFERED)
def test_a_place_where_nothing_is_known_to_allow_it_is_refused_with_the_reason(place):
    assert refused(place) == NOT_OFFERED[place] and place not in PROFILES


def test_a_retired_profile_is_refused_with_its_reason(monkeypatch):
    retired = replace(PROFILES["upc"], retired="The chapter was repealed; take icc.")
    monkeypatch.setattr("gwlog.reference.codes._read", {"upc": retired}.__getitem__)
    assert refused("upc") == "The chapter was repealed; take icc."


@pytest.mark.parametrize(("zone", "latitude", "found"), [
    ("America/Los_Angeles", 36.9, ["us-ca-washer", "us-nv"]), ("America/Los_Angeles", 47.6, ["us-wa-1"]),
    ("America/Los_Angeles", 44.0, ["us-or-1"]), ("America/Phoenix", 33.4, ["us-az-1"]),
    ("America/Denver", 39.7, ["us-co-a1", "us-ut"]), ("America/Chicago", 30.3, ["us-tx"]),
    ("Pacific/Honolulu", 21.3, ["us-hi"]), ("Australia/Perth", -31.9, ["au-wa"]),
    ("Australia/Sydney", -33.9, ["au-nsw"]), ("Australia/Melbourne", -37.8, ["au-vic"]), ("Europe/Berlin", 52.5, []),
])
def test_the_profiles_of_a_place(zone, latitude, found):
    assert [one.id for one in of_place(zone, latitude)] == found


# task, interval, months: UPC/CPC inspection table; WA Code 2010 4.5.2; NSW Guideline 2007/8; Valley Water;
# OAR 340-053-0110(1)(a)(C)
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
    assert KEEP_RECORDS_YEARS.value == 5  # Colorado 86.14, of category C2 over 2,000 gal/day


def test_upkeep_names_are_unique_within_a_profile():
    for profile in PROFILES.values():
        names = [task.name for task in profile.upkeep]
        assert len(names) == len(set(names)), profile.id


@pytest.mark.parametrize("place", ["au-wa", "au-nsw", "au-vic"])
def test_the_soil_is_flushed_in_the_southern_summer_in_australia(place):
    months = {task.name: task.months for task in PROFILES[place].upkeep}
    assert months["flush the soil with drinking water"] == (11, 12, 1, 2, 3, 4)


def test_the_usual_cautions_are_there():
    assert len(CAUTION_BY_ID) == len(CAUTIONS)
    assert CAUTIONS[0].id == "local code first"
    assert {"contact", "cross-connection", "food crops", "illness", "solvent cement", "air vent"} <= set(CAUTION_BY_ID)
    assert all(caution.value.endswith(".") and len(caution.value) < 120 for caution in CAUTIONS)
