"""What a faultless site file becomes: facts in small units, defaults filled in, and warnings."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from gwlog.errors import BadInput, SeveralFaults
from gwlog.journal.facts import (
    Basin,
    Outlet,
    PlannedLoad,
    Product,
    Site,
    UpkeepTask,
    UsualLoad,
    Washer,
)
from gwlog.setup.example import starter
from gwlog.setup.keys import tables
from gwlog.setup.line_numbers import Lines
from gwlog.setup.read import SiteFile
from gwlog.state import fold
from gwlog.water.basin import wetted_area
from tests.setup.household import METRIC, NOW, US, edited, read

DESIGN_NAMES = ("site", "system", "places", "setbacks", "contacts", "permit_or_notice", "local_rule",
                "person", "washer", "basin", "product", "usual_load", "outlet",
                "planned_load", "upkeep")


def only(site_file: SiteFile, kind: type) -> object:
    found = [fact for fact in site_file.facts if type(fact) is kind]
    assert len(found) == 1
    return found[0]


def basin(text: str, name: str = "Plum") -> Basin:
    return next(fact for fact in read(text).facts if isinstance(fact, Basin) and fact.name == name)


def test_values_are_kept_in_whole_small_units() -> None:
    plum = basin(US)
    # 1 ft = 304.8 mm, 1 in = 25.4 mm, 1 gal = 3.785411784 L (NIST Handbook 44, appendix C)
    assert plum.area_cm2 == round(30 * 30.48**2)
    assert plum.mulch_mm == 102
    assert plum.root_depth_mm == 1016
    assert plum.start_deficit_ml == 37854
    assert (plum.at_x_mm, plum.at_y_mm) == (3658, -1219)
    assert plum.started == date(2026, 3, 2)
    product = only(read(US), Product)
    assert isinstance(product, Product)
    assert product.sodium_mg == 3500
    assert product.chlorine_bleach is False
    site = only(read(US), Site)
    assert isinstance(site, Site)
    assert site.latitude_udeg == 36_900_000
    assert site.monthly_rain_um is not None
    assert site.monthly_rain_um[5] == 5080
    assert (site.eto_zone, site.aim, site.valve, site.softened_water) == (3, "plants", "unknown", False)


@pytest.mark.parametrize(("written", "milli"), [
    ("water_price_per_m3 = 1.3", 1300), ("water_price_per_1000_gal = 5", 1321), ("water_price_per_ccf = 4", 1413),
    ("water_price_per_ccf = 2.831684659", 1000), ("water_price_per_m3 = 0", 0),
])
def test_a_price_of_water_is_kept_in_thousandths_for_a_cubic_metre(written: str, milli: int) -> None:
    """1000 US gal = 3.785411784 m3, 100 ft3 = 2.831684659 m3 (NIST Handbook 44, appendix C)."""
    site = only(read(edited("occupants = 3", f'occupants = 3\n{written}\ncurrency = "US$"')), Site)
    assert (site.water_price_milli, site.currency) == (milli, "US$")  # type: ignore[attr-defined]


def test_the_first_setup_is_in_force_from_the_start_of_the_local_day() -> None:
    assert {fact.happened_at for fact in read(US).facts} == {datetime(2026, 3, 1, 8, 0, tzinfo=UTC)}
    assert {fact.zone for fact in read(US).facts} == {"America/Los_Angeles"}
    assert {fact.id for fact in read(US).facts} == {0}


def test_since_left_out_is_today_where_the_household_lives() -> None:
    site_file = read(edited("since = 2026-03-01\n", "", US.replace("started = 2026-03-02\n", "")))
    assert site_file.since == date(2026, 5, 10)
    assert not site_file.since_given
    kiritimati = edited("America/Los_Angeles", "Pacific/Kiritimati", US.replace("since = 2026-03-01\n", ""))
    assert read(kiritimati.replace("started = 2026-03-02\n", "")).since == date(2026, 5, 11)


def test_us_and_metric_files_of_one_household_give_the_same_facts() -> None:
    for one, other in zip(read(US).facts, read(METRIC).facts, strict=True):
        if isinstance(one, Site):
            continue
        for name in one.__slots__:
            first, second = getattr(one, name), getattr(other, name)
            if type(first) is int:
                assert abs(first - second) <= 1, (one.KIND, name)
            else:
                assert first == second, (one.KIND, name)
    us, metric = only(read(US), Site), only(read(METRIC), Site)
    assert isinstance(us, Site)
    assert isinstance(metric, Site)
    assert us.monthly_rain_um == metric.monthly_rain_um


def test_left_out_keys_take_the_plants_the_soils_and_the_machines_default() -> None:
    text = edited("root_depth_in = 40\n", "", edited("volume_gal = 18\n", ""))
    plum = basin(text)
    # plum: stone fruit of FAO-56, Kc .90 (table 12), root depth 1.0 m and p .50 (table 22)
    assert (plum.plant_factor_milli, plum.root_depth_mm, plum.depletion_milli) == (900, 1000, 500)
    assert plum.texture == "sandy loam"
    assert plum.edible == "off the ground"
    assert plum.wetted_cm2 is None
    assert basin(edited("canopy_ft2 = 90\n", "")).canopy_cm2 == plum.area_cm2
    washer = only(read(text), Washer)
    assert isinstance(washer, Washer)
    assert washer.volume_ml == round(15 * 3785.411784)  # front-load, 15 gal (UC ANR)
    assert basin(US, "Olive").started == date(2026, 3, 1)


def test_an_unknown_plant_takes_a_class_and_says_so() -> None:
    text = edited('plants = "plum"', 'plants = "grandmother\'s secret"', edited("root_depth_in = 40\n", ""))
    secret = basin(text)
    # woody plants in arid climate .5 (ANSI/ASABE S623); the rest are working assumptions
    assert (secret.plant_factor_milli, secret.root_depth_mm, secret.depletion_milli) == (500, 600, 500)
    told = " ".join(read(text).warnings)
    for word in ("grandmother's secret", "plant_factor 0.5", "23.6 in", "edible “none”"):
        assert word in told
    full = edited("canopy_ft2 = 90", 'canopy_ft2 = 90\nplant_factor = 0.4\ndepletion_fraction = 0.5\nedible = "none"',
                  edited('plants = "plum"', 'plants = "grandmother\'s secret"'))
    assert read(full).warnings == ()


def test_names_are_found_whatever_their_case_and_words_are_cleaned() -> None:
    text = edited('reaches = ["Plum", "Olive"]', 'reaches = ["PLUM", "olive"]')
    text = edited('at = "Plum"', 'at = "plum"', edited('name = "Oda"', 'name = "O\\u001bd\\u202ea "', text))
    text = edited('soil = "sandy loam"', 'soil = "Sandy Loam"', text)
    outlet = only(read(text), Outlet)
    assert isinstance(outlet, Outlet)
    assert outlet.reaches == ("Plum", "Olive")
    assert outlet.basin == "Plum"
    assert "Oda" in [getattr(fact, "name", "") for fact in read(text).facts]
    assert basin(text).soil == "sandy loam"


def test_an_outlet_with_one_basin_in_reach_lies_there() -> None:
    outlet = only(read(edited('reaches = ["Plum", "Olive"]\nat = "Plum"', 'reaches = ["Olive"]')), Outlet)
    assert isinstance(outlet, Outlet)
    assert outlet.basin == "Olive"


def test_plans_and_upkeep() -> None:
    plan = only(read(edited("FREQ=WEEKLY;BYDAY=SA", "rrule:freq=weekly;byday=sa;")), PlannedLoad)
    assert isinstance(plan, PlannedLoad)
    assert (plan.name, plan.load, plan.starts) == ("towels", "towels", "2026-03-07T09:00")
    assert plan.every == "FREQ=WEEKLY;BYDAY=SA"
    assert plan.skips == ("2026-04-04",)
    task = only(read(edited("6 weeks", "1  YEARS")), UpkeepTask)
    assert isinstance(task, UpkeepTask)
    assert (task.every, task.months) == ("1 year", (4, 5, 6))
    load = only(read(US), UsualLoad)
    assert isinstance(load, UsualLoad)
    assert (load.washer, load.products, load.contents) == ("front loader", ("plain liquid",), ())


@pytest.mark.parametrize("rule", [
    "FREQ=DAILY", "FREQ=DAILY;INTERVAL=3", "FREQ=MONTHLY;BYDAY=-1SU", "FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=29",
    "FREQ=WEEKLY;COUNT=4", "FREQ=WEEKLY;UNTIL=20261231", "FREQ=WEEKLY;UNTIL=20261231T235959;WKST=MO",
    "FREQ=MONTHLY;BYDAY=MO,TU;BYSETPOS=-1", "FREQ=YEARLY;BYYEARDAY=100,200", "FREQ=YEARLY;BYWEEKNO=20;BYDAY=MO",
])
def test_rules_that_are_accepted(rule: str) -> None:
    plan = only(read(edited("FREQ=WEEKLY;BYDAY=SA", rule)), PlannedLoad)
    assert isinstance(plan, PlannedLoad)
    assert plan.every == rule


def test_upkeep_named_like_a_default_task_takes_its_spelling() -> None:
    from gwlog.reference.codes import PROFILES

    usual = PROFILES["us-ca-washer"].upkeep[0].name
    text = edited("sharpen the spade", usual.upper()).replace('every = "6 weeks"', 'every = "never"')
    task = only(read(text), UpkeepTask)
    assert isinstance(task, UpkeepTask)
    assert (task.name, task.every) == (usual, "never")
    assert read(text).warnings == ()
    unknown = read(US.replace('every = "6 weeks"', 'every = "never"'))
    assert "no task of that name" in " ".join(unknown.warnings)


WARNED = [
    ("area_ft2 = 30", "area_ft2 = 6", "canopy_ft2 = 90", "canopy_ft2 = 6",
     ["“Plum” is too small for one usual load", "18 gal", "9.7 gal", "splitting the flow"]),
    ('plants = "plum"', 'plants = "carrots"', "", "", ["“Plum” holds a root crop", "“Hose”"]),
    ("mulch_in = 4", "mulch_in = 1.5", "", "", ["1.5 in of mulch", "2.0 in"]),
    ("deficit_gal = 10", "deficit_gal = 10000", "", "", ["10,000 gal", "more than its root zone can lack"]),
    ('reaches = ["Plum", "Olive"]', 'reaches = ["Plum"]', "", "", ["“Olive” is out of reach"]),
    (", monthly_rain_in = [6, 6, 4, 2, 1, 0.2, 0, 0.1, 0.3, 1.5, 3.5, 5.5]", "", "", "", ["counts as dry"]),
]


@pytest.mark.parametrize(("old", "new", "old2", "new2", "words"), WARNED, ids=[case[1][:30] for case in WARNED])
def test_what_would_work_badly_is_warned_of(old: str, new: str, old2: str, new2: str, words: list[str]) -> None:
    site_file = read(edited(old2, new2, edited(old, new)))
    assert len([one for one in site_file.warnings if all(word in one for word in words)]) == 1, site_file.warnings


def test_a_sound_file_brings_no_warning() -> None:
    assert read(US).warnings == ()
    assert read(METRIC).warnings == ()
    assert read(starter(NOW)).warnings == ()


def test_splitting_the_flow_over_two_outlets_helps_a_small_basin() -> None:
    small = edited("area_ft2 = 30", "area_ft2 = 6", edited("canopy_ft2 = 90", "canopy_ft2 = 6"))
    small = edited("root_depth_in = 40", "root_depth_in = 20", small)
    assert wetted_area(6 * 0.09290304, 6 * 0.09290304) == pytest.approx(6 * 0.09290304)
    # RAW = p (available) Zr W = .5 x .13 x 508 mm x 0.557 m2 = 18.4 L; a load is 17.5 gal = 66 L
    assert "too small" in " ".join(read(small).warnings)
    split = small.replace("share = 1.0", "share = 0.25") + '\n[[outlet]]\nname = "Far end"\nat = "Olive"\n'
    split = split.replace('name = "Far end"', 'name = "Far end"\nreaches = ["Olive"]\nshare = 0.75')
    assert "“Plum” is too small" not in " ".join(read(split).warnings)


def test_a_place_without_machine_or_basin_is_accepted_with_warnings() -> None:
    bare = US[:US.index("[[person]]")]
    assert len(read(bare).facts) == 1
    never, unanswered, other = read(bare).warnings
    assert unanswered.startswith("us-ca-washer asks 10 things of the system itself")
    assert (read(bare).never, never.split(" yet")[0], other.split(" yet")[0]) == (
        1, "There is no [[basin]]", "There is no [[washer]]")


def test_the_facts_fold_without_a_problem() -> None:
    state = fold(read(US).facts)
    assert state.problems == []
    assert state.valve is None
    assert state.outlet_at["Hose"].basin == "Plum"


def test_the_starter_names_every_table_and_reads() -> None:
    assert tuple(tables()) == DESIGN_NAMES
    for table in tables().values():
        assert table.heading in starter(NOW)
    assert len(read(starter(NOW)).facts) >= 10


PIECES = st.sampled_from([
    "[site]", "[[basin]]", "[basin]", "[[outlet]]", "[site.climate]", "[basin.x]", "name", "at", "at_ft", "since",
    "=", " = ", "\n", '"', "'", '"""', "'''", "[", "]", "{", "}", ",", ".", "#", "\\", "3", "-1", "nan", "1e999",
    "true", "2026-03-01", "2026-03-07T09:00", "\r", "\t", " ", "é", "\u202e", "\ud800", "\x00", "eto_zone", "x",
])


@settings(max_examples=300, deadline=None)
@given(st.lists(PIECES, max_size=40).map("".join) | st.text(max_size=200))
@example("a = [" * 400)
@example("x." * 3000 + "y = 1")
@example("[[a]]\n[a.b]\n[[a.c]]\n[[a.c]]\nq = {r.s = [{t = 1}]}\n[[a]]\n'k\"' = 1")
def test_any_text_is_read_or_refused_as_bad_input(text: str) -> None:
    with pytest.raises(BadInput):
        read(text)


SWAPS = st.sampled_from([
    "3", "-3", "nan", "true", '"x"', '""', "[]", "[1, 2]", '["x"]', "{}", "2026-03-01", "2026-03-07T09:00:00",
    "09:00:00", "[[1]]", "{a = 1}", "1e308", "0x7fffffffffffffffffff", '"\\u0000"',
])


@settings(max_examples=200, deadline=None)
@given(st.data())
def test_any_value_in_any_place_is_read_or_refused_as_bad_input(data: st.DataObject) -> None:
    rows = US.split("\n")
    places = [number for number, row in enumerate(rows) if " = " in row]
    for place in data.draw(st.lists(st.sampled_from(places), min_size=1, max_size=4, unique=True)):
        rows[place] = f"{rows[place].split(' = ')[0]} = {data.draw(SWAPS)}"
    try:
        site_file = read("\n".join(rows))
    except BadInput:
        return
    assert fold(site_file.facts).problems == []


KEYS = st.from_regex(r"[A-Za-z0-9_-]{1,6}", fullmatch=True)


@settings(max_examples=100, deadline=None)
@given(st.lists(st.tuples(KEYS, st.sampled_from(["1", '"a#["', "'''\n[x]\n'''", "[\n1, # ]\n2\n]", "{ a = '}' }"]))))
def test_every_key_is_found_on_its_line(pairs: list[tuple[str, str]]) -> None:
    text, expected = "", {}
    for number, (key, value) in enumerate(pairs):
        text += f"[[t]] # {number}\n\n"
        expected["t", number, key] = text.count("\n") + 1
        text += f"{key} = {value}\n"
    lines = Lines(text)
    for path, line in expected.items():
        assert lines.of(path) == line
        assert lines.written(path) == pairs[path[1]][1]


def test_now_is_an_argument() -> None:
    later = edited("since = 2026-03-01", "since = 2026-05-10").replace("started = 2026-03-02\n", "")
    assert read(later).since == date(2026, 5, 10)
    assert NOW.date() == date(2026, 5, 10)


@pytest.mark.parametrize(("written", "mdegc"), [
    ("monthly_tmean_c = [-6.2, -3.9, 1.2, 8, 14.1, 19.3, 22.6, 21.4, 16.5, 10, 3, -3.4]", (-6_200, -3_900, 1_200)),
    ("monthly_tmean_f = [20.84, 24.98, 34.16, 46.4, 57.38, 66.74, 72.68, 70.52, 61.7, 50, 37.4, 25.88]",
     (-6_200, -3_900, 1_200)),
])
def test_mean_temperatures_are_read_in_either_scale(written: str, mdegc: tuple[int, ...]) -> None:
    site = only(read(edited("monthly_rain_in", f"{written}, monthly_rain_in")), Site)
    assert isinstance(site, Site) and site.monthly_tmean_mdegc is not None
    assert site.monthly_tmean_mdegc[:3] == mdegc and len(site.monthly_tmean_mdegc) == 12


@pytest.mark.parametrize(("written", "told"), [
    ("monthly_tmean = [1, 2]", "its unit is missing"), ("monthly_tmean_c = [1, 2]", "not twelve numbers"),
    ("monthly_tmean_c = 4", "not twelve numbers"),
    ("monthly_tmean_c = [61, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1]", "a number from -60 to 60"),
    ("monthly_tmean_f = [-77, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1]", "a number from -76 to 140"),
    ('monthly_tmean_c = ["x", 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1]', "not a number"),
])
def test_mean_temperatures_that_are_none_are_refused_with_what_is_accepted(written: str, told: str) -> None:
    with pytest.raises(SeveralFaults) as faults:
        read(edited("monthly_rain_in", f"{written}, monthly_rain_in"))
    assert told in str(faults.value.faults)


@pytest.mark.parametrize(("latitude", "more", "told"), [
    ("45.0", "", True), ("-45.0", "", True), ("36.9", "", False),
    ("45.0", "monthly_tmean_c = [1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1], ", False),
])
def test_where_winters_may_be_cold_mean_temperatures_are_asked_for(latitude: str, more: str, told: bool) -> None:
    text = edited("latitude = 36.9", f"latitude = {latitude}", edited("monthly_rain_in", f"{more}monthly_rain_in"))
    assert any("monthly_tmean_c" in words for words in read(text).warnings) is told


@pytest.mark.parametrize(("written", "kept"), [
    ('rain = "as logged"\n', "as logged"), ('rain = "normals where not logged"\n', "normals where not logged"),
    ("", None),
])
def test_what_a_day_without_logged_rain_had_is_said_in_the_site_file(written: str, kept: str | None) -> None:
    site = only(read(edited("since = 2026", f"{written}since = 2026")), Site)
    assert isinstance(site, Site) and site.rain == kept
    with pytest.raises(SeveralFaults) as faults:
        read(edited("since = 2026", 'rain = "always"\nsince = 2026'))
    assert "as logged" in str(faults.value.faults)
