"""The setup shown, read back and compared brings no change; an edit brings exactly what was edited."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gwlog.clock import day_start
from gwlog.errors import BadInput, SeveralFaults
from gwlog.journal import facts as f
from gwlog.journal.facts import Fact
from gwlog.reference.codes import PROFILES
from gwlog.reference.soils import SOILS, TEXTURES
from gwlog.setup.change import changes
from gwlog.setup.describe import describe
from gwlog.setup.example import starter
from gwlog.setup.show import quoted, show
from gwlog.state import State, fold
from gwlog.text import clean_name
from tests.setup.household import METRIC, NOW, US, edited, read

LATER = NOW + timedelta(days=3)


def first(text: str = US) -> State:
    return fold(changes(State(), read(text), in_force=NOW))


def diff(text: str, state: State) -> list[Fact]:
    return changes(state, read(text), in_force=NOW)


@pytest.mark.parametrize("text", [US, METRIC, starter(NOW)], ids=["us", "metric", "starter"])
def test_shown_and_read_back_nothing_changes(text: str) -> None:
    state = first(text)
    assert diff(show(state), state) == []
    assert diff(text, state) == []
    assert show(fold(read(show(state)).facts)) == show(state)


def test_what_is_shown_is_plain_toml_in_the_households_units() -> None:
    data = tomllib.loads(show(first()))
    assert data["basin"][0]["area_ft2"] == 30
    assert data["basin"][0]["mulch_in"] == 4
    assert data["washer"][0]["volume_gal"] == 18
    metric = tomllib.loads(show(first(METRIC)))
    assert metric["basin"][0]["mulch_mm"] == 102
    assert metric["basin"][0]["at_m"] == [3.658, -1.219]


def test_an_empty_logbook_has_no_setup_to_show() -> None:
    with pytest.raises(BadInput, match="no setup yet"):
        show(State())


EDITS = [
    ("mulch_in = 4", "mulch_in = 3", f.Basin, {"mulch_mm": 76}, "basin “Plum”: mulch 4 in → 3 in"),
    ("volume_gal = 18", "volume_gal = 16", f.Washer, {"volume_ml": 60567},
     "washer “front loader”: volume 18 gal → 16 gal"),
    ("borax = false\n", "", f.Product, {"borax": None}, "product “plain liquid”: borax no → not set"),
    ("contents = []", 'contents = ["dye"]', f.UsualLoad, {"contents": ("dye",)},
     "usual load “towels”: contents none → “dye”"),
    ("BYDAY=SA", "BYDAY=SU", f.PlannedLoad, {"every": "FREQ=WEEKLY;BYDAY=SU"},
     "planned load “towels”: every “FREQ=WEEKLY;BYDAY=SA” → “FREQ=WEEKLY;BYDAY=SU”"),
    ("6 weeks", "90 days", f.UpkeepTask, {"every": "90 days"},
     "upkeep task “sharpen the spade”: every “6 weeks” → “90 days”"),
    ("canopy_ft2 = 90", "canopy_ft2 = 90\nplanted = 2026-04-01\nplanted_canopy_ft2 = 3", f.Basin,
     {"planted": date(2026, 4, 1), "planted_canopy_cm2": 2787},
     "basin “Plum”: planted not set → 2026-04-01; planted canopy not set → 3 ft²"),
    ("share = 1.0", "share = 0.5", f.Outlet, {"share_milli": 500}, "outlet “Hose”: share 1 → 0.5"),
    ("occupants = 3", "occupants = 4", f.Site, {"occupants": 4}, "site “Plover Court 3”: occupants 3 → 4"),
    ("occupants = 3", "occupants = 3\nwater_price_per_1000_gal = 5", f.Site, {"water_price_milli": 1321},
     "site “Plover Court 3”: water price not set → 5 per 1000 gal"),
    ("occupants = 3", 'occupants = 3\ncurrency = "USD"', f.Site, {"currency": "USD"},
     "site “Plover Court 3”: currency not set → “USD”"),
    ('timezone = "America/Los_Angeles"', 'timezone = "America/Denver"', f.Site, {"zone": "America/Denver"},
     "site “Plover Court 3”: time zone “America/Los_Angeles” → “America/Denver”"),
    ('name = "Oda"', 'name = "Oda"\n[[person]]\nname = "Ilo"', f.Person, {"name": "Ilo"}, "person “Ilo”: new"),
    ('[[person]]\nname = "Oda"\n', "", f.Person, {"active": False}, "person “Oda”: retired"),
    ("at_ft = [12, -4]", "at_ft = [12, 5]", f.Basin, {"at_y_mm": 1524}, "basin “Plum”: place, y -4 ft → 5 ft"),
    ("started = 2026-03-02\ndeficit_gal = 10", "started = 2026-05-10", f.Basin,
     {"started": date(2026, 5, 10), "start_deficit_ml": None},
     "basin “Plum”: started 2026-03-02 → 2026-05-10; water missing at the start 10 gal → not set"),
]


@pytest.mark.parametrize(("old", "new", "kind", "fields", "line"), EDITS, ids=[case[1][:30] for case in EDITS])
def test_one_edit_brings_exactly_that_description(
    old: str, new: str, kind: type[Fact], fields: dict[str, object], line: str,
) -> None:
    state = first()
    made = diff(edited(old, new), state)
    assert [type(fact) for fact in made] == [kind]
    for name, value in fields.items():
        assert getattr(made[0], name) == value
    assert made[0].happened_at == NOW
    assert made[0].id == 0
    assert describe(made, state) == [line]
    after = fold(made, state)
    assert diff(edited(old, new), after) == []
    assert diff(show(after), after) == []


def test_the_first_setup_is_in_force_from_since_later_ones_from_now() -> None:
    made = changes(State(), read(US), in_force=NOW)
    assert {fact.happened_at for fact in made} == {day_start(date(2026, 3, 1), "America/Los_Angeles")}
    assert describe(made, State())[0] == "site “Plover Court 3”: new, code “us-ca-washer”"
    assert all(": new" in line for line in describe(made, State()))
    assert len(describe(made, State())) == len(made)


def test_things_come_before_what_refers_to_them() -> None:
    order = [f.Site, f.Person, f.Washer, f.Basin, f.Product, f.UsualLoad, f.Outlet, f.PlannedLoad, f.UpkeepTask]
    places = [order.index(type(fact)) for fact in changes(State(), read(starter(NOW)), in_force=NOW)]
    assert places == sorted(places)


def test_a_new_basin_starts_its_balance_when_it_is_first_in_force() -> None:
    fig = '\n[[basin]]\nname = "Fig"\narea_ft2 = 20\nmulch_in = 4\nsoil = "fine sand"\nplants = "fig"\n'
    state = first()
    made = diff(US.replace('["Plum", "Olive"]', '["Plum", "Olive", "Fig"]') + fig, state)
    assert [fact.KIND for fact in made] == ["basin", "outlet"]
    assert isinstance(made[0], f.Basin)
    assert made[0].started == date(2026, 5, 10)
    after = fold(made, state)
    text = US.replace('["Plum", "Olive"]', '["Plum", "Olive", "Fig"]') + fig
    assert changes(after, read(text), in_force=LATER) == []


def without_plum(reaches: str = '["Olive"]') -> str:
    text = US.replace('reaches = ["Plum", "Olive"]\nat = "Plum"', f'reaches = {reaches}\nat = "Olive"')
    return text[:text.index('[[basin]]\nname = "Plum"')] + text[text.index('[[basin]]\nname = "Olive"'):]


def test_a_basin_taken_out_is_retired_and_the_outlet_that_lies_there_is_moved() -> None:
    state = first()
    made = diff(without_plum(), state)
    assert [fact.KIND for fact in made] == ["outlet_move", "basin"]
    assert describe(made, state) == [
        "outlet “Hose”: moved to “Olive”, its basin is no longer in its reach", "basin “Plum”: retired"]
    after = fold(made, state)
    assert after.problems == []
    assert after.outlet_at["Hose"].basin == "Olive"
    assert list(after.active_basins()) == ["Olive"]
    assert diff(without_plum(), after) == []
    assert diff(show(after), after) == []


def test_a_basin_put_back_is_in_use_again() -> None:
    state = first()
    gone = fold(changes(state, read(without_plum()), in_force=NOW), state)
    back = US.replace("started = 2026-03-02\ndeficit_gal = 10\n", "").replace('at = "Plum"', 'at = "Olive"')
    made = changes(gone, read(back), in_force=LATER)
    assert [fact.KIND for fact in made] == ["basin"]
    assert "in use again" in describe(made, gone)[0]
    assert isinstance(made[0], f.Basin)
    assert made[0].started == date(2026, 5, 13)
    assert fold(made, gone).reach("Hose") == ["Plum", "Olive"]
    out_of_reach = back.replace('reaches = ["Plum", "Olive"]', 'reaches = ["Olive"]')
    assert fold(changes(gone, read(out_of_reach), in_force=LATER), gone).reach("Hose") == ["Olive"]


def test_a_move_in_the_log_is_no_change_of_the_setup() -> None:
    state = first()
    move = f.OutletMove(id=90, happened_at=NOW, zone="America/Los_Angeles", outlet="Hose", basin="Olive")
    moved = fold([move], state)
    assert diff(US, moved) == []
    assert diff(US.replace('at = "Plum"', 'at = "Olive"'), moved) == []
    assert diff(show(moved), moved) == []


CONTRADICTIONS = [
    ("since = 2026-03-01", "since = 2026-02-01", "in force from 2026-03-01 already"),
    ("since = 2026-03-01", 'since = 2026-03-01\nvalve = "sewer"', "gwlog valve sewer"),
    ('at = "Plum"', 'at = "Olive"', "by the log “Hose” is at “Plum”"),
    ('name = "Oda"', 'name = "ODA"', "the logbook calls it “Oda”"),
    ("started = 2026-03-02", "started = 2026-03-05", "its balance runs from 2026-03-02 already"),
    ("deficit_gal = 10", "deficit_gal = 12", "it tells the start of a balance"),
]


@pytest.mark.parametrize(("old", "new", "words"), CONTRADICTIONS, ids=[case[1][:30] for case in CONTRADICTIONS])
def test_what_contradicts_the_logbook_is_refused(old: str, new: str, words: str) -> None:
    with pytest.raises(SeveralFaults, match="contradicts") as refused:
        diff(edited(old, new), first())
    assert len(refused.value.faults) == 1
    assert words in refused.value.faults[0]


def test_a_change_cannot_be_in_force_before_the_first_setup() -> None:
    with pytest.raises(BadInput, match="before the first setup"):
        changes(first(), read(US), in_force=NOW - timedelta(days=400))


def test_what_refers_to_things_out_of_use_is_left_out_with_a_remark() -> None:
    state = first()
    washer = replace(state.washers["front loader"], active=False)
    text = show(fold([washer], state))
    assert "# Left out: the usual load “towels”" in text
    assert "# Left out: the planned load “towels”" in text
    assert read(text).facts


NAMES = st.text(min_size=1, max_size=30).filter(lambda words: _usable(words)).map(clean_name)


def _usable(words: str) -> bool:
    try:
        clean_name(words)
    except BadInput:
        return False
    return True


def several(most: int = 3) -> st.SearchStrategy[list[str]]:
    return st.lists(NAMES, min_size=1, max_size=most, unique_by=str.casefold)


AREA = st.integers(500, 10_000_000)
MAYBE_PLACE = st.none() | st.tuples(st.integers(-10**6, 10**6), st.integers(-10**6, 10**6))


@st.composite
def households(draw: st.DrawFn) -> list[Fact]:
    """Any setup that can be in force, in either system of units."""
    since = date(2024, 1, 1) + timedelta(days=draw(st.integers(0, 800)))
    zone = draw(st.sampled_from(["America/Los_Angeles", "Pacific/Kiritimati", "Africa/Cairo"]))
    common = {"happened_at": day_start(since, zone), "zone": zone}
    twelve = st.lists(st.integers(1, 600_000), min_size=12, max_size=12).map(tuple)
    eto = draw(st.none() | twelve)
    made: list[Fact] = [f.Site(
        name=draw(NAMES), latitude_udeg=draw(st.integers(-66_000_000, 66_000_000)),
        units=draw(st.sampled_from(f.UNITS)), occupants=draw(st.integers(1, 50)),
        code=draw(st.sampled_from(list(PROFILES))), aim=draw(st.sampled_from(f.AIMS)),
        valve=draw(st.sampled_from(f.VALVE)), eto_zone=draw(st.integers(1, 18)) if eto is None else None,
        monthly_eto_um=eto, monthly_rain_um=draw(st.none() | twelve), softened_water=draw(st.booleans()),
        water_price_milli=draw(st.none() | st.integers(0, 1_000_000_000)),
        currency=draw(st.none() | st.sampled_from(["USD", "€", "kr", "“pesos”"])),
        rain=draw(st.none() | st.sampled_from(f.RAIN_DAYS)), monthly_tmean_mdegc=draw(st.none() | st.lists(
            st.integers(-60_000, 60_000), min_size=12, max_size=12).map(tuple)), **common)]
    washers, basins, products = draw(several(2)), draw(several()), draw(several())
    made += [f.Person(name=name, **common) for name in draw(several())]
    made += [f.Washer(name=name, machine=draw(st.sampled_from(f.WASHER_KINDS)),
                      volume_ml=draw(st.integers(1000, 10**6)), **common) for name in washers]
    for name in basins:
        x, y = draw(MAYBE_PLACE) or (None, None)
        planted, canopy = draw(st.none() | st.dates(date(1990, 1, 1), since)), draw(AREA)
        made.append(f.Basin(
            name=name, area_cm2=draw(AREA), mulch_mm=draw(st.integers(10, 1000)),
            soil=draw(st.sampled_from(list(SOILS))),
            texture=draw(st.sampled_from(list(TEXTURES))), plants=draw(NAMES), canopy_cm2=canopy,
            wetted_cm2=draw(st.none() | AREA), plant_factor_milli=draw(st.integers(50, 2000)),
            root_depth_mm=draw(st.integers(50, 10_000)), depletion_milli=draw(st.integers(50, 950)),
            edible=draw(st.sampled_from(f.EDIBLE)), started=since + timedelta(days=draw(st.integers(0, 30))),
            start_deficit_ml=draw(st.none() | st.integers(0, 10**9)), at_x_mm=x, at_y_mm=y, planted=planted,
            planted_canopy_cm2=draw(st.none() | st.integers(100, canopy)) if planted else None,
            planted_root_mm=draw(st.none() | st.integers(50, 10_000)) if planted else None,
            ground_cover=draw(st.sampled_from([None, *f.GROUND_COVERS])), **common))
    maybe = st.none() | st.booleans()
    made += [f.Product(
        name=name, product_kind=draw(st.sampled_from(f.PRODUCT_KINDS)), form=draw(st.none() | st.sampled_from(f.FORMS)),
        chlorine_bleach=draw(maybe), borax=draw(maybe), sodium_mg=draw(st.none() | st.integers(0, 10**6)), **common,
    ) for name in products]
    loads = draw(several())
    made += [f.UsualLoad(
        name=name, washer=draw(st.sampled_from(washers)),
        products=tuple(draw(st.lists(st.sampled_from(products), unique=True))),
        contents=tuple(draw(st.lists(st.sampled_from(f.CONTENTS), unique=True))),
        volume_ml=draw(st.none() | st.integers(1000, 10**6)), **common) for name in loads]
    for name in draw(several(2)):
        reaches = draw(st.none() | st.lists(st.sampled_from(basins), min_size=1, unique=True).map(tuple))
        x, y = draw(MAYBE_PLACE) or (None, None)
        made.append(f.Outlet(name=name, reaches=reaches, basin=draw(st.sampled_from(list(reaches or basins))),
                             share_milli=draw(st.integers(1, 100_000)), at_x_mm=x, at_y_mm=y, **common))
    made += [f.PlannedLoad(
        name=name, load=draw(st.sampled_from(loads)),
        starts=draw(st.sampled_from(["2026-03-07T09:00", "2030-01-01T23:59:07"])),
        every=draw(st.none() | st.just("FREQ=WEEKLY;BYDAY=SA")),
        skips=draw(st.sampled_from([(), ("2026-04-04",)])), **common) for name in draw(several(2))]
    made += [f.UpkeepTask(
        name=f"Own {name}"[:60].strip(), every=draw(st.sampled_from(["never", "1 day", "12 months"])),
        months=draw(st.none() | st.just((1, 12))), source=draw(st.none() | NAMES), **common)
        for name in draw(several(2))]
    return made


@settings(max_examples=60, deadline=None)
@given(households())
def test_any_setup_shown_and_read_back_is_the_same_to_the_last_small_unit(household: list[Fact]) -> None:
    state = fold(household)
    again = read(show(state))
    assert changes(state, again, in_force=NOW) == []
    fresh = changes(State(), again, in_force=NOW)
    assert show(fold(fresh)) == show(state)


@settings(max_examples=100, deadline=None)
@given(st.text(max_size=40).filter(lambda words: not any("\ud800" <= sign <= "\udfff" for sign in words)))
def test_any_words_come_back_from_their_quotes(words: str) -> None:
    assert tomllib.loads(f"x = {quoted(words)}")["x"] == words


def test_normals_where_not_logged_is_what_nothing_said_means_and_as_logged_is_a_change() -> None:
    state = first()
    explicit = edited("since = 2026-03-01", 'rain = "normals where not logged"\nsince = 2026-03-01')
    assert diff(explicit, state) == []
    (made,) = diff(explicit.replace("normals where not logged", "as logged"), state)
    assert isinstance(made, f.Site) and made.rain == "as logged"
    assert describe([made], state) == ["site “Plover Court 3”: days without logged rain not set → “as logged”"]
    assert 'rain = "as logged"' in show(fold([made], state))


def test_mean_temperatures_are_shown_in_the_households_scale_and_told_in_words() -> None:
    means = tuple(range(-6_200, 5_800, 1_000))
    for text, row, words in ((US, "monthly_tmean_f = [20.84, 22.64", "20.84 °F"),
                             (METRIC, "monthly_tmean_c = [-6.2, -5.2", "-6.2 °C")):
        state = first(text)
        assert state.site is not None
        made = replace(state.site, monthly_tmean_mdegc=means)
        assert row in show(fold([made], state))
        assert words in describe([made], state)[0]
