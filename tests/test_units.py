"""Quantities with their units: NIST definitions, what people type, what the household reads."""

from __future__ import annotations

import math

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from gwlog.errors import BadInput
from gwlog.units import (
    LITRES_PER_GALLON,
    M2_PER_FT2,
    MM_PER_FOOT,
    MM_PER_INCH,
    Dimension,
    Reader,
    System,
    quantity,
    show,
    to_household,
    unit_word,
)

DIMENSIONS = st.sampled_from(["volume", "length", "area", "rain", "temperature", "flow", "minutes"])
SYSTEMS = st.sampled_from(["us", "metric"])


def test_the_definitions() -> None:
    # NIST Handbook 44, appendix C: 1 in = 25.4 mm and 1 ft = 304.8 mm exactly, 1 US gal = 231 in3
    assert MM_PER_INCH == 25.4
    assert MM_PER_FOOT == 304.8
    assert pytest.approx(231 * 25.4**3 / 1e6, rel=1e-12) == LITRES_PER_GALLON
    assert pytest.approx(0.3048**2, rel=1e-12) == M2_PER_FT2
    # one inch of water over one square foot = 0.6233 gal (arithmetic from the same definitions)
    assert pytest.approx(0.6233, abs=1e-4) == MM_PER_INCH * M2_PER_FT2 / LITRES_PER_GALLON


TYPED: list[tuple[str, Dimension, System, float]] = [
    ("20", "volume", "us", 75.70823568),
    ("20", "volume", "metric", 20.0),
    ("20gal", "volume", "metric", 75.70823568),
    ("75 L", "volume", "us", 75.0),
    (" 1,5 litres ", "volume", "us", 1.5),
    ("0,125 m3", "volume", "us", 125.0),
    ("250 ml", "volume", "us", 0.25),
    (".5 gallon", "volume", "metric", 1.892705892),
    ("1e1 gal", "volume", "us", 37.85411784),
    ("3in", "length", "metric", 76.2),
    ('3"', "length", "metric", 76.2),
    ("2 feet", "length", "metric", 609.6),
    ("5 cm", "length", "us", 50.0),
    ("0.5", "rain", "us", 12.7),
    ("12", "rain", "metric", 12.0),
    ("20 ft²", "area", "metric", 1.8580608),
    ("20 sq ft", "area", "metric", 1.8580608),
    ("2m2", "area", "us", 2.0),
    ("2 gal/min", "flow", "metric", 7.570823568),
    ("2", "flow", "us", 7.570823568),
    ("6 L / min", "flow", "us", 6.0),
    ("6", "flow", "metric", 6.0),
    ("120 litres per hour", "flow", "us", 2.0),
    ("0.5 gph", "flow", "metric", 0.03154509820),
    ("3 gpm", "flow", "metric", 11.356235352),
    ("20", "minutes", "us", 20.0),
    ("1.5 h", "minutes", "metric", 90.0),
]


@pytest.mark.parametrize(("typed", "dimension", "system", "si"), TYPED)
def test_what_people_type(typed: str, dimension: Dimension, system: System, si: float) -> None:
    assert quantity(typed, dimension, system) == pytest.approx(si, rel=1e-12)


@pytest.mark.parametrize(("typed", "celsius"), [
    ("68", 20.0), ("68F", 20.0), ("20C", 20.0), ("-40 °F", -40.0), ("32 degF", 0.0), ("21.5 celsius", 21.5),
])
def test_temperatures(typed: str, celsius: float) -> None:
    assert quantity(typed, "temperature", "us", low=-90) == pytest.approx(celsius, abs=1e-9)


REFUSED: list[tuple[str, Dimension, str]] = [
    ("", "volume", "is missing"),
    ("a lot", "volume", "20gal or 75 L"),
    ("20 furlongs", "volume", "“furlongs” is not a unit"),
    ("20 in", "volume", "“in” is not a unit"),
    ("20 gal gal", "volume", "not a unit"),
    ("nan", "volume", "not a number"),
    ("inf gal", "volume", "not a number"),
    ("infx", "volume", "not a unit"),
    ("1e999", "volume", "not a number"),
    ("-3", "volume", "out of range"),
    ("0", "volume", "more than 0 gal"),
    ("10000 gal", "volume", "up to 264 gal"),
    ("1,500", "volume", "could be 1500 or 1.500"),
    ("1,000,000 l", "volume", "could be 1000 or 1.000"),
    ("3 K", "temperature", "not a temperature"),
    ("20\ngal\nx", "volume", "cannot be read"),
    ("2 gal", "flow", "2 gal/min or 6 L/min"),
    ("2 gal/day", "flow", "“gal/day” is not a unit"),
    ("soon", "minutes", "20 or 1.5 h"),
    ("2 days", "minutes", "“days” is not a unit"),
]


@pytest.mark.parametrize(("typed", "dimension", "words"), REFUSED)
def test_what_is_refused_names_the_value_and_what_is_accepted(typed: str, dimension: Dimension, words: str) -> None:
    with pytest.raises(BadInput) as refused:
        quantity(typed, dimension, "us", high=1000.0)
    assert words in str(refused.value)
    assert not typed or typed[:4] in str(refused.value) or "unit" in words


def test_a_range_may_include_its_low_end() -> None:
    assert quantity("0", "rain", "metric", low_included=True) == 0.0
    with pytest.raises(BadInput, match=r"from 0\.0 mm up to 9\.0 mm"):
        quantity("10", "rain", "metric", low_included=True, high=9.0)


@pytest.mark.parametrize(("si", "dimension", "system", "words"), [
    (68.137, "volume", "us", "18 gal"), (68.137, "volume", "metric", "68 L"), (7.0, "volume", "us", "1.8 gal"),
    (7570.8, "volume", "us", "2,000 gal"), (63.5, "length", "us", "2.5 in"), (63.5, "length", "metric", "64 mm"),
    (12.7, "rain", "us", "0.50 in"), (12.7, "rain", "metric", "12.7 mm"), (1.858, "area", "us", "20 ft²"),
    (1.858, "area", "metric", "1.9 m²"), (20.0, "temperature", "us", "68 °F"), (-0.01, "volume", "us", "0 gal"),
    (7.5708, "flow", "us", "2 gal/min"), (6.5, "flow", "metric", "6.5 L/min"), (1440.0, "minutes", "us", "1,440 min"),
])
def test_what_the_household_reads(si: float, dimension: Dimension, system: System, words: str) -> None:
    assert show(si, dimension, system) == words


def test_a_reader_reads_in_one_system() -> None:
    reader = Reader("metric")
    assert [reader.volume(68), reader.length(64), reader.rain(3), reader.area(1.86)] == [
        "68 L", "64 mm", "3.0 mm", "1.9 m²"]


@given(DIMENSIONS, SYSTEMS, st.floats(-1e6, 1e6))
def test_a_value_in_the_households_unit_comes_back(dimension: Dimension, system: System, si: float) -> None:
    there = f"{to_household(si, dimension, system)!r} {unit_word(dimension, system)}"
    back = quantity(there, dimension, system, low=-math.inf)
    assert back == pytest.approx(si, rel=1e-9, abs=1e-6)


@settings(max_examples=300)
@given(st.text(max_size=20) | st.from_regex(r"[-+]?[0-9.,e]{0,6} ?(gal|l|in|ft2|F|inf|nan)?", fullmatch=True),
       DIMENSIONS, SYSTEMS)
@example("infgal", "volume", "us")
@example("٣ gal", "volume", "us")
def test_any_typed_text_gives_a_value_or_bad_input(typed: str, dimension: Dimension, system: System) -> None:
    try:
        si = quantity(typed, dimension, system, high=1e6)
    except BadInput as refused:
        assert str(refused)
    else:
        assert 0 < si <= 1e6
