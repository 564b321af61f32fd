"""What can never work is told with the size that would: given that size, nothing is told any more."""

from __future__ import annotations

import re

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from gwlog.setup.sizes import area_wetting, never_fits
from gwlog.units import M2_PER_FT2, Reader
from gwlog.water.basin import wetted_area
from tests.setup.household import METRIC, US, edited, read

SMALL = edited("area_ft2 = 30", "area_ft2 = 3", edited("canopy_ft2 = 90", "canopy_ft2 = 90"))
"""3 ft2 of sandy loam, 4 in of mulch: allowance 2.5 gal/ft2 = 7.5 gal a day, surge room 0.2787 m2 x 102 mm x 0.5 =
14.2 L = 3.8 gal; a load of 17.5 gal (median of 17 and 18 in the file)."""


def told(text: str, basin: str = "Plum") -> list[str]:
    return [words for words in read(text).warnings if f"“{basin}”" in words]


def test_allowance_surge_room_and_ready_water_are_each_told_with_their_size() -> None:
    allowance, surge, *_ = told(SMALL)
    assert "its soil may absorb 7.5 gal in a day" in allowance and "an area of" in allowance
    assert "3.8 gal fit between the chips" in surge and "an area of" in surge
    assert "of mulch" not in surge.partition("It would")[2]     # nobody lays more than a foot


def area_named(words: str) -> str:
    found = re.search(r"[Aa]n area of ([\d,.]+) ", words)
    assert found is not None, words
    return found[1]


@pytest.mark.parametrize(("text", "key", "value"), [
    (SMALL, "area_ft2 = 3\n", "area_ft2 = {}\n"),
    (edited("area_m2 = 2.7871", "area_m2 = 0.2", METRIC), "area_m2 = 0.2\n", "area_m2 = {}\n"),
], ids=["us", "metric"])
def test_with_the_largest_area_named_the_basin_works(text: str, key: str, value: str) -> None:
    named = max((float(area_named(words)) for words in told(text) if "n area of" in words), default=0.0)
    assert named > 0
    assert key in text
    assert told(text.replace(key, value.format(f"{named:g}"), 1)) == []


@pytest.mark.parametrize(("old", "new", "kind"), [
    ("mulch_in = 4", "mulch_in = 1.6", "fit between the chips"),
])
def test_more_mulch_is_named_where_a_foot_is_enough(old: str, new: str, kind: str) -> None:
    text = edited("area_ft2 = 30", "area_ft2 = 18", edited(old, new))
    words = next(one for one in told(text) if kind in one)
    depth = re.search(r"with ([\d.]+) in of mulch", words)
    assert depth is not None
    assert not [one for one in told(text.replace(new, f"mulch_in = {depth[1]}", 1)) if kind in one]
    thinner = f"mulch_in = {float(depth[1]) - 0.5}"
    assert [one for one in told(text.replace(new, thinner, 1)) if kind in one]


def test_outlets_that_share_the_load_are_counted_and_do() -> None:
    text = edited("area_ft2 = 30", "area_ft2 = 12")
    surge = next(words for words in told(text) if "fit between the chips" in words)
    assert "two outlets that share the load" in surge
    shared = text + '\n[[outlet]]\nname = "Far end"\nreaches = ["Olive"]\nat = "Olive"\nshare = 1.0\n'
    assert not [words for words in told(shared) if "can never" in words]


def test_an_outlet_with_a_small_share_is_enough_for_the_hard_limits() -> None:
    text = edited("area_ft2 = 30", "area_ft2 = 12")
    text += '\n[[outlet]]\nname = "Drip end"\nreaches = ["Plum"]\nat = "Plum"\nshare = 0.5\n'
    assert not [words for words in told(text) if "can never" in words]


def test_a_basin_out_of_every_reach_says_what_to_do() -> None:
    (words,) = told(edited('reaches = ["Plum", "Olive"]', 'reaches = ["Plum"]'), "Olive")
    assert "out of reach of every outlet" in words and "reaches" in words


def test_a_stated_wetted_zone_is_what_has_to_grow() -> None:
    text = edited("wetted_ft2 = 80", "wetted_ft2 = 3")
    words = next(one for one in told(text, "Olive") if "too small" in one)
    size = re.search(r"wetted root zone of ([\d.]+) ft", words)
    assert size is not None and "n area of" not in words
    assert not told(text.replace("wetted_ft2 = 3\n", f"wetted_ft2 = {size[1]}\n"), "Olive")


@given(st.floats(0.05, 40.0), st.floats(0.05, 80.0))
def test_the_area_that_wets_a_zone_is_the_inverse_of_the_default_zone(wetted: float, canopy: float) -> None:
    area = area_wetting(wetted, canopy)
    assume(area > 0.0)
    grown = max(canopy, area) if canopy >= wetted else area
    assert wetted_area(area * (1 + 1e-9), grown) >= wetted * (1 - 1e-6)
    assert wetted_area(area * 0.98, min(grown, max(canopy, area * 0.98))) < wetted


@given(st.floats(0.1, 8.0), st.floats(20.0, 300.0), st.floats(10.0, 150.0), st.sampled_from(["us", "metric"]))
def test_every_size_named_is_enough_and_not_much_more(area: float, mulch: float, load: float, system: str) -> None:
    from gwlog.water.basin import BasinSpec

    def spec(m2: float, mm: float) -> BasinSpec:
        return BasinSpec("Quince", m2, 50.0, wetted_area(m2, 50.0), mm, 100.0, 50.0, 0.5, 101.9)

    read_ = Reader("us" if system == "us" else "metric")
    step = M2_PER_FT2 if system == "us" else 0.1

    def kinds(m2: float, mm: float) -> dict[str, str]:
        lines = never_fits("It", spec(m2, mm), load, load, load, wetted_stated=False, read=read_)
        return {("soil" if "soil" in one else "chips" if "chips" in one else "roots"): one for one in lines}

    for kind, words in kinds(area, mulch).items():
        m2 = float(area_named(words).replace(",", "")) * (M2_PER_FT2 if system == "us" else 1.0)
        assert kind not in kinds(m2 + 1e-9, mulch)
        if m2 - 2 * step > area:
            assert kind in kinds(m2 - 2 * step, mulch)


def test_a_load_above_the_daily_limit_is_told_with_what_would_help() -> None:
    """The file's only usual load is of 17.5 gal: a limit of 16 gal keeps it from the garden for ever."""
    rule = '\n[[local_rule]]\nname = "city"\nsource = "City of Plover, 14.08"\nlimit_gal = {}\n'
    (words,) = [one for one in read(US + rule.format(16)).warnings if "can never go" in one]
    assert words.startswith("“towels” (") and "16 gal in a day" in words
    assert "A smaller load would help, or another limit" in words
    assert not [one for one in read(US + rule.format(17.5)).warnings if "can never go" in one]


def test_a_price_without_a_currency_is_told() -> None:
    priced = edited("occupants = 3", "occupants = 3\nwater_price_per_m3 = 2")
    assert any("The price of water has no currency" in one for one in read(priced).warnings)
    named = edited("occupants = 3", 'occupants = 3\ncurrency = "USD"', priced)
    assert not any("currency" in one for one in read(named).warnings)
