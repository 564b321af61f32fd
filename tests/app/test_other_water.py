"""Water that did not come from the washing machine: from what people say to the entry, and what is refused."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gwlog.app import corrections, entries, water_and_soil
from gwlog.app.quick_entry import read_line
from gwlog.decisions.entry_limits import MAX_OTHER_WATER_L
from gwlog.errors import BadInput, UnknownName
from gwlog.household import Household, look
from gwlog.journal import reader, seal, spreadsheet
from gwlog.journal.facts import OtherWater
from gwlog.journal.writer import append
from gwlog.units import LITRES_PER_GALLON, quantity
from tests.conftest import NOW, Runner


@pytest.fixture
def there(home: Runner, tmp_path: Path) -> Household:
    """The small household, in US units."""
    return look(tmp_path / "logbook.db", NOW)


def author(**given: object) -> entries.Author:
    return entries.Author(NOW, **given)  # type: ignore[arg-type]


@pytest.mark.parametrize(("said", "ml"), [
    ({"amount": "3gal"}, 11_356), ({"amount": "3"}, 11_356), ({"amount": "12 L"}, 12_000), ({"amount": "0.5l"}, 500),
    ({"minutes": "20", "flow": "2 gal/min"}, 151_416), ({"minutes": "20 min", "flow": "2"}, 151_416),
    ({"minutes": "10", "flow": "6 L/min"}, 60_000), ({"minutes": "3 h", "flow": "4 l/h"}, 12_000),
    ({"minutes": "90", "flow": "0.5 gph"}, 2_839), ({"minutes": "1.5 h", "flow": "1 gal per hour"}, 5_678),
    ({"amount": "20000 L"}, 20_000_000),
])
def test_an_amount_or_a_flow_over_some_minutes_is_the_water(there: Household, said: dict[str, str], ml: int) -> None:
    draft = water_and_soil.other_water(there, "fig", author(), **said)
    assert (draft.basin, draft.volume_ml, draft.way) == ("Fig", ml, "can")


@pytest.mark.parametrize(("said", "named"), [
    ({}, "How much water"), ({"amount": "3gal", "minutes": "2"}, "not both"),
    ({"amount": "3gal", "flow": "2"}, "not both"),
    ({"minutes": "20"}, "flow is needed"), ({"flow": "2 gal/min"}, "minutes are needed"),
    ({"amount": "0"}, "“0” is out of range"), ({"amount": "-3"}, "“-3”"), ({"amount": "nan"}, "“nan”"),
    ({"amount": ""}, "is missing"), ({"amount": "a lot"}, "“a lot”"), ({"amount": "1,500"}, "could be 1500 or 1.500"),
    ({"amount": "20001 L"}, "5,283 gal is accepted"), ({"amount": "0.0001ml"}, "thousandth of a litre"),
    ({"minutes": "0", "flow": "2"}, "The time “0”"), ({"minutes": "25 h", "flow": "2"}, "1,440 min"),
    ({"minutes": "20", "flow": "900 gal/min"}, "The flow “900 gal/min”"), ({"minutes": "20", "flow": "2 gal"}, "“gal”"),
    ({"minutes": "1000", "flow": "20 gal/min"}, "makes 20,000 gal"), ({"amount": "3gal", "way": "spray"}, "can"),
])
def test_what_cannot_be_is_refused_by_its_name(there: Household, said: dict[str, str], named: str) -> None:
    with pytest.raises(BadInput) as refused:
        water_and_soil.other_water(there, "Fig", author(), **said)
    assert named in f"{refused.value} {refused.value.hint}"


def test_an_unknown_basin_and_one_that_was_not_there_yet_are_refused(there: Household) -> None:
    with pytest.raises(UnknownName, match="Fog"):
        water_and_soil.other_water(there, "Fog", author(), amount="3gal")


def test_a_basin_that_graywater_may_not_reach_takes_other_water(there: Household) -> None:
    assert water_and_soil.other_water(there, "Carrots", author(), amount="3gal").basin == "Carrots"


def test_the_same_words_at_the_same_moment_are_not_logged_twice(there: Household) -> None:
    append(there.path, [water_and_soil.other_water(there, "Fig", author(), amount="3gal")], now=NOW)
    again = look(there.path, NOW)
    with pytest.raises(BadInput, match="already in the log"):
        water_and_soil.other_water(again, "Fig", author(by="Ines", note="twice"), amount="3gal")
    assert water_and_soil.other_water(again, "Fig", author(), amount="4gal").volume_ml == 15_142
    assert water_and_soil.other_water(again, "Fig", author(), amount="3gal", way="hose").way == "hose"


@given(st.floats(min_value=0.001, max_value=MAX_OTHER_WATER_L))
def test_a_flow_for_one_minute_is_read_as_the_same_amount(litres: float) -> None:
    gallons = litres / LITRES_PER_GALLON
    assert quantity(f"{gallons!r} gal/min", "flow", "us") == pytest.approx(quantity(f"{gallons!r} gal", "volume", "us"))


@pytest.mark.parametrize(("line", "ml", "way", "note"), [
    ("water fig 3gal", 11_356, "can", None), ("yesterday water Fig 12 L hose", 12_000, "hose", None),
    ("water fig hose 3 gal, by the gate", 11_356, "hose", "by the gate"),
    ("mon 9 water Fig 20 min at 2 gal/min drip", 151_416, "drip", None),
    ("water Fig 5 by can", 18_927, "can", None),
])
def test_a_line_of_catching_up_names_basin_amount_and_way(there: Household, line: str, ml: int, way: str,
                                                          note: str | None) -> None:
    (fact,) = read_line(there, line).facts
    assert isinstance(fact, OtherWater)
    assert (fact.basin, fact.volume_ml, fact.way, fact.note) == ("Fig", ml, way, note)


@pytest.mark.parametrize("line", ["water fig", "water 3gal", "water fog 3gal", "water fig lots",
                                  "water fig 20 min at "])
def test_a_line_that_leaves_something_open_is_refused(there: Household, line: str) -> None:
    with pytest.raises(BadInput):
        read_line(there, line)


def test_it_is_corrected_part_by_part_and_withdrawn(there: Household) -> None:
    first = append(there.path, [water_and_soil.other_water(there, "Fig", author(), amount="3gal")], now=NOW)[0]
    later = look(there.path, NOW)
    right = corrections.correct(later, first.id, volume="5gal", way="drip")
    assert isinstance(right, OtherWater)
    assert (right.basin, right.volume_ml, right.way) == ("Fig", 18_927, "drip")
    only_basin = corrections.correct(later, first.id, basin="Carrots")
    assert isinstance(only_basin, OtherWater)
    assert (only_basin.basin, only_basin.volume_ml, only_basin.way) == ("Carrots", 11_356, "can")
    with pytest.raises(BadInput, match="already says"):
        corrections.correct(later, first.id, volume="3gal")
    with pytest.raises(BadInput, match="no --outlet"):
        corrections.correct(later, first.id, outlet="Hose")
    append(there.path, [right], now=NOW)
    assert [one.litres for one in look(there.path, NOW).state.other_water["Fig"]] == [18.927]
    struck = look(there.path, NOW)
    append(there.path, [entries.withdraw(struck, first.id, author(note="it was Ines's neighbour's"))], now=NOW)
    assert not look(there.path, NOW).state.other_water.get("Fig")


def test_it_leaves_and_comes_back_whole(there: Household, tmp_path: Path) -> None:
    append(there.path, [water_and_soil.other_water(there, "Fig", author(note="=1+1"), amount="3gal", way="flush")],
           now=NOW)
    from gwlog.app import exports, imports

    exports.export(there.path, tmp_path / "all.jsonl")
    imports.entries(tmp_path / "all.jsonl", tmp_path / "new.db", NOW)
    back = [fact for fact in reader.read(tmp_path / "new.db") if isinstance(fact, OtherWater)]
    assert back == [fact for fact in reader.read(there.path) if isinstance(fact, OtherWater)]
    assert seal.verify(tmp_path / "new.db").last_hash == seal.verify(there.path).last_hash
    sheet = spreadsheet.csv_files(there.path)["other_water.csv"].decode("utf-8-sig")
    assert "Fig,11356,flush" in sheet and "'=1+1" in sheet
    assert NOW - timedelta(days=1) < back[0].happened_at <= NOW
