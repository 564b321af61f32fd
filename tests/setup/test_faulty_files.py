"""Faulty site files: each fault is told with its line, its value and what to use instead."""

from __future__ import annotations

import pytest

from gwlog.errors import BadInput, SeveralFaults
from gwlog.setup.read import LONGEST, read_site_file, read_site_path
from tests.setup.household import NOW, US, edited, read

# what stood there, what stands there now, the beginning of the line to be named, words to be told
CASES = [
    # unknown tables and keys
    ("area_ft2 = 30", "aria_ft2 = 30", "aria_ft2", ["not a key of [[basin]]", "area_ft2"]),
    ("area_ft2 = 30", "area = 30", "area =", ["unit is missing", "area_ft2 = … or area_m2 = …"]),
    ("mulch_in = 4", "mulch_yd = 4", "mulch_yd", ["not a key", "mulch_"]),
    ("occupants = 3", "occupants = 3\ncolour = 1", "colour", ["colour = 1", "not a key of [site]"]),
    ("[[washer]]", "[[washers]]", "[[washers]]", ["not a table", "“washer”"]),
    ("[[washer]]", "[washer]", "[washer]", ["written as one", "[[washer]]"]),
    ("[site]", "[[site]]", "[[site]]", ["written as several", "[site]"]),
    ("[site]", "stray = 1\n[site]", "stray", ["stray = 1", "before any table"]),
    ("eto_zone = 3", "eto_zones = 3", "climate", ["eto_zones", "“eto_zone”"]),
    # wrong types
    ('name = "Plum"', "name = 7", "name = 7", ["not text", "between quotes"]),
    ("occupants = 3", "occupants = 3.0", "occupants", ["not a whole number", "1 to 50"]),
    ("occupants = 3", "occupants = true", "occupants", ["not a whole number"]),
    ("area_ft2 = 30", 'area_ft2 = "30"', "area_ft2", ['"30"', "not a number"]),
    ("area_ft2 = 30", "area_ft2 = true", "area_ft2 = true", ["not a number"]),
    ("borax = false", 'borax = "no"', "borax", ["neither true nor false"]),
    ("since = 2026-03-01", 'since = "2026-03-01"', "since", ["not a day", "without quotes"]),
    ("since = 2026-03-01", "since = 2026-03-01T00:00:00", "since", ["not a day"]),
    ('reaches = ["Plum", "Olive"]', 'reaches = "Plum"', "reaches", ["not a list"]),
    ("contents = []", "contents = [3]", "contents", ["not one of the choices"]),
    ("starts = 2026-03-07T09:00", "starts = 2026-03-07", "starts", ["not a local day and time", "T09:00"]),
    ("starts = 2026-03-07T09:00", "starts = 2026-03-07T09:00:00Z", "starts", ["without offset"]),
    ("climate = { eto_zone = 3,", "climate = 3 # {", "climate", ["not a table", "eto_zone"]),
    ("at_ft = [12, -4]", "at_ft = [12]", "at_ft", ["not a place", "[x, y]"]),
    # impossible numbers
    ("area_ft2 = 30", "area_ft2 = nan", "area_ft2 = nan", ["area_ft2 = nan", "not a number that can be used"]),
    ("area_ft2 = 30", "area_ft2 = inf", "area_ft2 = inf", ["not a number that can be used"]),
    ("area_ft2 = 30", "area_ft2 = 1e999", "area_ft2 = 1e999", ["not a number that can be used"]),
    ("area_ft2 = 30", f"area_ft2 = {10**400}", "area_ft2 = 1", ["not a number that can be used"]),
    ("area_ft2 = 30", "area_ft2 = -30", "area_ft2 = -30", ["out of range", "0.538 to 10800"]),
    ("area_ft2 = 30", "area_ft2 = 0", "area_ft2 = 0", ["out of range"]),
    ("mulch_in = 4", "mulch_in = 400", "mulch_in", ["out of range", "0.374 to 39.4"]),
    ("occupants = 3", "occupants = 0", "occupants", ["out of range"]),
    ("latitude = 36.9", "latitude = 369", "latitude", ["out of range", "-66 to 66"]),
    ("plant_factor = 0.6", "plant_factor = 60", "plant_factor", ["out of range", "0.05 to 2"]),
    ("depletion_fraction = 0.6", "depletion_fraction = 1.0", "depletion_fraction", ["0.05 to 0.95"]),
    ("sodium_g_per_load = 3.5", "sodium_g_per_load = -1", "sodium_g_per_load", ["0 to 1000"]),
    ("share = 1.0", "share = 0", "share", ["out of range"]),
    ("occupants = 3", "occupants = 3\nwater_price = 5", "water_price = 5",
     ["unit is missing", "water_price_per_m3 = … or water_price_per_1000_gal = … or water_price_per_ccf = …"]),
    ("occupants = 3", "occupants = 3\nwater_price_per_m3 = -1", "water_price_per_m3", ["out of range", "0 to 1000000"]),
    ("occupants = 3", "occupants = 3\nwater_price_per_gal = 1", "water_price_per_gal", ["not a key"]),
    ("occupants = 3", 'occupants = 3\nwater_price_per_ccf = "4"', "water_price_per_ccf", ["not a number"]),
    ("occupants = 3", "occupants = 3\nwater_price_per_ccf = 4\nwater_price_per_m3 = 1", "water_price_per_m3",
     ["given twice, water_price_per_ccf"]),
    ("occupants = 3", 'occupants = 3\ncurrency = "dollars of 1794"', "currency", ["15 characters", "1 to 12"]),
    ("occupants = 3", "occupants = 3\ncurrency = 7", "currency", ["not text"]),
    ("deficit_gal = 10", "deficit_gal = -1", "deficit_gal", ["out of range"]),
    ("eto_zone = 3", "eto_zone = 19", "climate", ["eto_zone = 19", "1 to 18"]),
    ("months = [4, 5, 6]", "months = [0]", "months", ["1 to 12"]),
    ("monthly_rain_in = [6, 6,", "monthly_rain_in = [6,", "climate", ["not twelve numbers"]),
    ("monthly_rain_in = [6, 6,", "monthly_rain_in = [nan, 6,", "climate", ["not a number that can be used"]),
    ("eto_zone = 3", "monthly_eto_mm = [0,0,0,0,0,0,0,0,0,0,0,0]", "climate", ["nothing but zeros"]),
    # missing keys
    ("latitude = 36.9\n", "", "[site]", ["latitude is missing"]),
    ('units = "us"\n', "", "[site]", ["units is missing", 'units = "us"']),
    ("mulch_in = 4\n", "", "[[basin]]", ["mulch is missing", "mulch_in = …"]),
    ("eto_zone = 3, ", "", "climate", ["no reference evapotranspiration", "1 to 18"]),
    ("load = \"towels\"\n", "", "[[planned_load]]", ["load is missing"]),
    ('every = "6 weeks"\n', "", "[[upkeep]]", ["every is missing", "12 months"]),
    # names that do not exist, choices that are none
    ('reaches = ["Plum", "Olive"]', 'reaches = ["Plumm", "Olive"]', "reaches", ["“Plumm”", "did you mean “Plum”"]),
    ('at = "Plum"', 'at = "Pear tree"', "at =", ["no [[basin]] of that name", "Plum or Olive"]),
    ('reaches = ["Plum", "Olive"]', 'reaches = ["Olive"]', "at =", ["out of the outlet's reach", "Olive"]),
    ('reaches = ["Plum", "Olive"]', "reaches = []", "reaches", ["reaches nothing"]),
    ('reaches = ["Plum", "Olive"]', 'reaches = ["Plum", "plum"]', "reaches", ["stands twice"]),
    ('at = "Plum"\n', "", "[[outlet]]", ["at is missing", 'at = "Plum"']),
    ('products = ["plain liquid"]', 'products = ["plain liquids"]', "products", ["“plain liquids”", "“plain liquid”"]),
    ('load = "towels"', 'load = "towel"', "load =", ["no [[usual_load]]", "“towels”"]),
    ('products = ["plain liquid"]', 'washer = "top loader"', "washer =", ["no [[washer]]", "front loader"]),
    ('soil = "sandy loam"', 'soil = "sandy lome"', "soil =", ["not one of the choices", "“sandy loam”"]),
    ('kind = "front-load"', 'kind = "twin tub"', "kind =", ["top-load-agitator", "front-load"]),
    ('code = "us-ca-washer"', 'code = "us-ca-washers"', "code", ["“us-ca-washer”"]),
    ("America/Los_Angeles", "America/Los_Angles", "timezone", ["not a time zone", "America/Los_Angeles"]),
    ("America/Los_Angeles", "../../etc/passwd", "timezone", ["not a time zone"]),
    # twins and doubled quantities
    ('name = "Olive"', 'name = "PLUM"', 'name = "PLUM"', ["second [[basin]] called “PLUM”", "line 19"]),
    ("canopy_ft2 = 90", "canopy_ft2 = 90\ncanopy_m2 = 8", "canopy_m2", ["given twice", "canopy_ft2 stands on line 25"]),
    ("eto_zone = 3", "eto_zone = 3, monthly_eto_in = [1,1,1,1,1,1,1,1,1,1,1,1]", "climate",
     ["given twice", "eto_zone"]),
    # days, rules, intervals
    ("since = 2026-03-01", "since = 2026-05-11", "since", ["in the future", "2026-05-10"]),
    ("since = 2026-03-01", "since = 0001-01-01", "since", ["out of range", "1970 to 2200"]),
    ("started = 2026-03-02", "started = 2026-02-28", "started", ["before the first setup", "2026-03-01"]),
    ("started = 2026-03-02", "started = 2027-01-01", "started", ["in the future"]),
    ("canopy_ft2 = 90", "canopy_ft2 = 90\nplanted = 2026-05-11", "planted", ["in the future", "2026-05-10"]),
    ("canopy_ft2 = 90", "canopy_ft2 = 90\nplanted = 2026-03-01\nplanted_canopy_ft2 = 91", "canopy_ft2",
     ["smaller than it was at planting"]),
    ("canopy_ft2 = 90", "canopy_ft2 = 90\nplanted_canopy_ft2 = 2", "planted_canopy_ft2",
     ["without the day", "planted = "]),
    ("canopy_ft2 = 90", 'canopy_ft2 = 90\nground_cover = "grass"', "ground_cover", ["mulch", "growing"]),
    ("starts = 2026-03-07T09:00", "starts = 9999-03-07T09:00", "starts", ["1970 to 2200"]),
    ("FREQ=WEEKLY;BYDAY=SA", "weekly", "every", ["not a part of a rule", "FREQ"]),
    ("FREQ=WEEKLY;BYDAY=SA", "BYDAY=SA", "every", ["FREQ is missing"]),
    ("FREQ=WEEKLY;BYDAY=SA", "FREQ=HOURLY", "every", ["FREQ cannot be “HOURLY”", "FREQ=WEEKLY;BYDAY=SA"]),
    ("FREQ=WEEKLY;BYDAY=SA", "FREQ=WEEKLY;BYDAY=XX", "every", ["BYDAY cannot be “XX”"]),
    ("FREQ=WEEKLY;BYDAY=SA", "FREQ=WEEKLY;BYDAY=2SA", "every", ["numbered weekday"]),
    ("FREQ=WEEKLY;BYDAY=SA", "FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30", "every", ["never comes"]),
    ("FREQ=WEEKLY;BYDAY=SA", "FREQ=WEEKLY;UNTIL=20250101", "every", ["never comes"]),
    ("FREQ=WEEKLY;BYDAY=SA", "FREQ=WEEKLY;UNTIL=20269999", "every", ["not a rule that can be run"]),
    ("FREQ=WEEKLY;BYDAY=SA", "FREQ=WEEKLY;COUNT=3;UNTIL=20270101", "every", ["COUNT and UNTIL"]),
    ('every = "6 weeks"', 'every = "now and then"', "every = \"now", ["not an interval", "12 months"]),
    ('every = "6 weeks"', 'every = "0 days"', "every = \"0", ["not an interval"]),
    ('every = "6 weeks"', 'every = "900 years"', "every = \"900", ["up to ten years"]),
    ("skips = [2026-04-04]", "skips = [4]", "skips", ["not a list of days"]),
    # names and texts
    ('name = "Oda"', 'name = ""', 'name = ""', ["not a name"]),
    ('name = "Oda"', f'name = "{"x" * 61}"', 'name = "x', ["1 to 60 characters"]),
    ('name = "Oda"', 'name = "\\u200b\\u0007"', 'name = "\\u', ["not a name"]),
    # not TOML at all
    ("occupants = 3", "occupants 3", "occupants", ["occupants 3", "not TOML"]),
    ("occupants = 3", "occupants = 3\noccupants = 4", "occupants = 4", ["not TOML"]),
    ('name = "Oda"', 'name = "Oda', 'name = "Oda', ["not TOML"]),
]


@pytest.mark.parametrize(("old", "new", "begins", "words"), CASES, ids=[f"{n[:40]!r}" for _, n, _, _ in CASES])
def test_a_fault_is_told_with_its_line(old: str, new: str, begins: str, words: list[str]) -> None:
    text = edited(old, new)
    if begins.startswith("["):
        # a missing key is told at its table's heading: the last such heading before the place
        upto = text.split("\n")[:US[:US.index(old)].count("\n") + 1]
        line = max(number for number, row in enumerate(upto, 1) if row.startswith(begins))
    else:
        rows = text.split("\n")
        place = US[:US.index(old)].count("\n")
        line = next(number for number, row in enumerate(rows, 1) if number > place - 2 and row.startswith(begins))
    with pytest.raises(SeveralFaults) as refused:
        read(text)
    told = [fault for fault in refused.value.faults if fault.startswith(f"line {line}: ")]
    assert told, refused.value.faults
    for word in words:
        assert any(word in fault for fault in told), (word, told)
    assert all(" — " in fault and ";" in fault for fault in told)


def test_all_faults_are_told_together_in_the_order_of_their_lines() -> None:
    text = edited("area_ft2 = 40", "area_ft2 = -1", edited("occupants = 3", "occupants = 0"))
    text = edited('kind = "detergent"', 'kind = "soap"', edited('at = "Plum"', 'at = "Pear"', text))
    text = edited('timezone = "America/Los_Angeles"', 'timezone = "Nowhere/Else"', text)
    with pytest.raises(SeveralFaults) as refused:
        read(text)
    assert [fault.split(":")[0] for fault in refused.value.faults] == [
        "line 3", "line 6", "line 33", "line 48", "line 53"]
    assert "5 faults" in str(refused.value)
    assert refused.value.exit_code == 2


def test_a_broken_table_does_not_make_its_name_unknown_elsewhere() -> None:
    with pytest.raises(SeveralFaults) as refused:
        read(edited("area_ft2 = 30", "area_ft2 = -1"))
    assert len(refused.value.faults) == 1


def test_lines_are_right_behind_long_strings_comments_lists_and_crlf() -> None:
    text = edited('name = "Oda"', 'name = """Oda \\\n  of [[basin]] # 3"""  # [site]')
    text = edited("at_ft = [12, -4]", "at_ft = [ # where\n  12,\n  -4,\n]", text)
    text = edited("share = 1.0", "share = 'much'", text)
    line = text.split("\n").index("share = 'much'") + 1
    for written in (text, text.replace("\n", "\r\n"), "\ufeff" + text):
        with pytest.raises(SeveralFaults) as refused:
            read(written)
        assert [fault.split(":")[0] for fault in refused.value.faults] == [f"line {line}"]


def test_lines_of_dotted_and_quoted_keys() -> None:
    text = edited("climate = { eto_zone = 3, ", "climate.eto_zone = 30\n\"climate\".").replace("5.5] }", "5.5]")
    text = edited('[[person]]\nname = "Oda"', "[[ 'person' ]]\n\"name\" = 4", text)
    with pytest.raises(SeveralFaults) as refused:
        read(text)
    assert [fault.split(" —")[0] for fault in refused.value.faults] == [
        "line 9: eto_zone = 30", "line 13: name = 4"]


def test_a_washer_must_be_named_when_there_are_several() -> None:
    with pytest.raises(SeveralFaults, match=r'several machines.*washer = "front loader"'):
        read(US + '\n[[washer]]\nname = "twin"\nkind = "top-load-agitator"\n')


def test_two_plans_of_one_load_need_names() -> None:
    plan = '\n[[planned_load]]\nload = "Towels"\nstarts = 2026-03-08T09:00\n'
    with pytest.raises(SeveralFaults, match=r"second \[\[planned_load\]\] called “towels”"):
        read(US + plan)
    assert read(US + plan + 'name = "Sunday towels"\n').facts


@pytest.mark.parametrize("text", ["", "\ufeff", "[site]", "# nothing", "[[basin]]", "site = 3", "x = " + "[" * 5000])
def test_nothing_much_is_refused(text: str) -> None:
    with pytest.raises(SeveralFaults):
        read(text)


def test_a_file_that_is_too_long_is_refused() -> None:
    with pytest.raises(BadInput, match="too long"):
        read("#" * (LONGEST + 1))


def test_files_on_disk_that_cannot_be_read(tmp_path_factory: pytest.TempPathFactory) -> None:
    folder = tmp_path_factory.mktemp("site")
    with pytest.raises(BadInput, match="cannot be read"):
        read_site_path(folder / "none.toml", now=NOW)
    with pytest.raises(BadInput, match="cannot be read"):
        read_site_path(folder, now=NOW)
    latin = folder / "latin.toml"
    latin.write_bytes(b"[site]\nname = \"Se\xf1or\"\n")
    with pytest.raises(BadInput, match=r"line 2 .* not UTF-8"):
        read_site_path(latin, now=NOW)
    good = folder / "good.toml"
    good.write_bytes(b"\xef\xbb\xbf" + US.replace("\n", "\r\n").encode())
    assert read_site_path(good, now=NOW) == read_site_file(US, now=NOW)
