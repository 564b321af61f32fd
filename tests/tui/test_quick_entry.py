"""Lines that people type to catch up: what each becomes, and how those that cannot be read are refused."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gwlog.app.quick_entry import SHAPES, read_line, read_lines
from gwlog.errors import BadInput, GwlogError
from gwlog.household import Household, look
from tests.tui.conftest import NOW

# The clock stands on Tuesday 16 June 2026, 10:00 in Los Angeles (UTC-7).
LINES = [
    ("towels", "2026-06-16T17:00", [("wash_load", {"usual_load": "towels", "went_to": "garden"})]),
    ("mon 9 towels", "2026-06-15T16:00", [("wash_load", {"usual_load": "towels", "went_to": "garden"})]),
    ("sun 7pm whites sewer, Ines", "2026-06-15T02:00", [
        ("valve_switch", {"position": "sewer"}),
        ("wash_load", {"usual_load": "whites", "went_to": "sewer", "recorded_by": "Ines"})]),
    ("yesterday 18:30 towels Fig 20gal", "2026-06-16T01:30", [
        ("outlet_move", {"outlet": "Hose", "basin": "Fig"}), ("wash_load", {"volume_ml": 75_708})]),
    ("2026-06-10 7:15 towels 75 L", "2026-06-10T14:15", [("wash_load", {"volume_ml": 75_000})]),
    ("2 hours ago diap to sewer", "2026-06-16T15:00", [
        ("valve_switch", {}), ("wash_load", {"usual_load": "diapers", "went_to": "sewer"})]),
    ("sat 8 valve sewer, tom", "2026-06-13T15:00", [("valve_switch", {"position": "sewer", "recorded_by": "Tom"})]),
    ("sat 8 move Hose to Plum", "2026-06-13T15:00", [("outlet_move", {"basin": "Plum"})]),
    ("fri rain 0.4in", None, [("weather_day", {"rain_um": 10_160, "day": datetime(2026, 6, 12).date()})]),  # noqa: DTZ001
    ("sat 9 mulch Fig added 2in", "2026-06-13T16:00", [("mulch", {"basin": "Fig", "action": "added", "depth_mm": 51})]),
    ("sat 9 mulch Fig measured 60 mm", "2026-06-13T16:00", [("mulch", {"action": "measured", "depth_mm": 60})]),
    ("sat 9 saw stressed plant at Lemon, leaves curl, Ines", "2026-06-13T16:00", [("observation", {
        "observed": "stressed plant", "basin": "Lemon", "note": "leaves curl", "recorded_by": "Ines"})]),
    ("done flush the line", "2026-06-16T17:00", [("upkeep_done", {"task": "flush the line"})]),
]


@pytest.fixture(scope="module")
def home(described: Path) -> Household:
    return look(described, NOW)


@pytest.mark.parametrize(("line", "when", "wanted"), LINES, ids=[line for line, _, _ in LINES])
def test_a_line_becomes_these_entries(home: Household, line: str, when: str | None,
                                      wanted: list[tuple[str, dict[str, object]]]) -> None:
    caught = read_line(home, line)
    assert [fact.KIND for fact in caught.facts] == [kind for kind, _ in wanted]
    for fact, (_, parts) in zip(caught.facts, wanted, strict=True):
        assert {name: getattr(fact, name) for name in parts} == parts
        if when is not None:
            assert fact.happened_at.isoformat().startswith(when)


REFUSED = [
    ("", "empty"), ("mon 9", "not what"), ("fri rian", "no usual load called"), ("tomorrow 9 towels", "future"),
    ("mon 9 towels Moon", "place for the water"), ("mon valve up", "valve position"), ("towels 0gal", "volume"),
    ("mon rain much", "rain"), ("x" * 401, "401 characters"),
    ("2020-01-01 towels", "before this logbook begins"), ("saw ghosts", "observation"), ("resolved 3", "resolved"),
]


@pytest.mark.parametrize(("line", "words"), REFUSED, ids=[words for _, words in REFUSED])
def test_a_line_that_cannot_be_read_is_told_in_words(home: Household, line: str, words: str) -> None:
    with pytest.raises(BadInput) as told:
        read_line(home, line)
    assert words in f"{told.value} {told.value.hint}"


def test_ponding_without_a_place_is_where_the_only_outlet_lies(home: Household) -> None:
    assert read_line(home, "saw ponding").facts[0].basin == "Pomegranate"  # type: ignore[attr-defined]


def test_each_line_is_read_as_if_those_before_were_logged(home: Household) -> None:
    first, second = read_lines(home, ["sun 8 valve sewer", "sun 9 towels"])
    assert second.facts[0].went_to == "sewer"  # type: ignore[attr-defined]
    assert first.said == "Sun, Jun 14, 2026, 8:00 am: valve to sewer"


def test_the_examples_shown_can_be_read_in_a_household_that_has_their_names(described: Path) -> None:
    home = look(described, NOW + timedelta(days=1, hours=10))
    for line in SHAPES:
        assert read_line(home, line).facts, line


@settings(max_examples=60)
@given(st.text(max_size=60))
def test_no_line_ends_in_anything_but_entries_or_words(home: Household, line: str) -> None:
    try:
        assert read_line(home, line).facts
    except GwlogError as told:
        assert str(told)
