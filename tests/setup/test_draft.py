"""A site file under way: written out it reads the same; its faults are told by table and key, without lines."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest

from gwlog.setup import draft as drafts
from gwlog.setup.read import read_site_file

NOW = datetime(2026, 6, 16, 17, 0, tzinfo=UTC)
TEXT = """
[site]
name = "Quarry \\"Lane\\" 7"
timezone = "America/Los_Angeles"
latitude = 36.9
units = "us"
occupants = 3
code = "us-ca-washer"
since = 2026-03-01
softened_water = true
climate = { eto_zone = 3, monthly_rain_in = [1, 1, 1, 1, 1, 0.5, 0, 0, 0, 1, 1, 1] }
[[washer]]
name = "w"
kind = "front-load"
[[basin]]
name = "Fig"
area_ft2 = 24
mulch_in = 4
soil = "sandy loam"
plants = "fig"
[[basin]]
name = "Plum"
area_m2 = 1.5
mulch_mm = 90
soil = "sandy loam"
plants = "plum"
[[product]]
name = "soap"
kind = "detergent"
[[usual_load]]
name = "towels"
products = ["soap"]
[[outlet]]
name = "Hose"
reaches = ["Fig", "Plum"]
at = "Fig"
[[planned_load]]
load = "towels"
starts = 2026-03-07T09:00:00
every = "FREQ=WEEKLY;BYDAY=SA"
"""


def test_written_out_it_reads_the_same() -> None:
    assert drafts.judge(drafts.of_text(TEXT), NOW).site_file == read_site_file(TEXT, now=NOW)
    assert drafts.of_text(drafts.text_of(drafts.of_text(TEXT))) == drafts.of_text(TEXT)


@pytest.mark.parametrize(("kind", "number", "key", "value", "words"), [
    ("basin", 1, "area_m2", 0.0, "out of range"),
    ("basin", 0, "name", "a — b = [c] " * 9, "not a name that can be used"),
    ("outlet", 0, "at", "Zebra", "there is no basin of that name"),
    ("site", 0, "climate", {"eto_zone": 40}, "out of range"),
    ("site", 0, "since", date(2150, 1, 1), ""),
    ("planned_load", 0, "every", "now and then", "is not a part of a rule"),
])
def test_a_fault_is_told_by_its_table_and_key(kind: str, number: int, key: str, value: object, words: str) -> None:
    draft = drafts.of_text(TEXT)
    draft[kind][number][key] = value
    judged = drafts.judge(draft, NOW)
    assert judged.site_file is None
    fault = next(one for one in judged.wrong if (one.kind, one.number, one.key) == (kind, number, key))
    assert words in fault.words and "line" not in fault.words.split("—")[0]


def test_what_is_missing_is_told_of_the_table() -> None:
    draft = drafts.of_text(TEXT)
    del draft["basin"][0]["soil"]
    assert [(one.kind, one.number, one.key) for one in drafts.judge(draft, NOW).wrong] == [("basin", 0, None)]


def test_a_new_name_is_taken_up_wherever_the_old_one_stood() -> None:
    draft = drafts.of_text(TEXT)
    draft["basin"][0]["name"] = "Old fig"
    made = drafts.renamed(draft, "basin", "Fig", "Old fig")
    assert made["outlet"][0] == {"name": "Hose", "reaches": ["Old fig", "Plum"], "at": "Old fig"}
    assert drafts.judge(made, NOW).site_file is not None
    assert draft["outlet"][0]["at"] == "Fig"


def test_what_is_taken_out_is_named_no_longer() -> None:
    made = drafts.renamed(drafts.of_text(TEXT), "product", "soap", None)
    assert made["usual_load"][0]["products"] == []
    made = drafts.renamed(drafts.of_text(TEXT), "basin", "Fig", None)
    assert made["outlet"][0] == {"name": "Hose", "reaches": ["Plum"]}


def test_another_file_is_no_site_file() -> None:
    for text in ("x = 1", "[kitchen]\na = 1", "basin = 3"):
        with pytest.raises(ValueError, match=r"x|kitchen|basin"):
            drafts.of_text(text)
