"""Where the garden is, what follows from it, and areas as people measure them."""

from __future__ import annotations

import math
import string

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gwlog.errors import BadInput
from gwlog.reference.codes import PROFILES
from gwlog.setup.areas import area_m2
from gwlog.setup.guesses import PROFILE_OF, by_four_temperatures, guesses, profile_of, site_of
from gwlog.setup.place import places
from gwlog.setup.unsaid import contents_of
from gwlog.units import M2_PER_FT2, System

HERE = "America/Los_Angeles"


@pytest.mark.parametrize(("words", "label", "name"), [
    ("davis", "Davis, California", "Davis, California"),
    ("95616", "ZIP codes 956.., California", "ZIP 95616"), ("956", "ZIP codes 956.., California", "ZIP 956"),
    ("95616-1234", "ZIP codes 956.., California", "ZIP 95616"),
    ("12 Quarry Lane, Davis, CA 95616", "Davis, California", "12 Quarry Lane, Davis, CA 95616"),
    ("12 Davis Street, Portland, ME", "Portland, Maine", "12 Davis Street, Portland, ME"),
    ("38.5, -121.7", "38.5° N, 121.7° W, near Davis, California", "near Davis"),
    ("33.9S 151.2E", "33.9° S, 151.2° E, near Mascot, New South Wales, Australia", "near Mascot"),
    ("38,5", "latitude 38.5° N", "latitude 38.5° N"), ("-33.9", "latitude 33.9° S", "latitude 33.9° S"),
    ("Vancouver V6B 1A1", "Vancouver, Washington", "Vancouver V6B 1A1"),
])
def test_a_place_as_people_write_it(words: str, label: str, name: str) -> None:
    found = places(words, HERE)
    assert (found[0].label, found[0].name) == (label, name)


def test_towns_of_one_name_are_offered_those_of_the_own_time_zone_first() -> None:
    assert [one.label for one in places("Portland", HERE)][:2] == ["Portland, Oregon", "Portland, Maine"]
    assert places("Portland", "America/New_York")[0].label == "Portland, Maine"
    assert len(places("Springfield", "")) == 8


def test_a_post_code_of_another_country_is_taken_by_its_town() -> None:
    offered = [one.label for one in places("10115 Berlin", "Europe/Berlin")]
    assert offered[0] == "Berlin, Germany" and offered[-1] == "ZIP codes 101.., New York"


@pytest.mark.parametrize("words", ["", "Nowhereville", "SW1A 1AA", "V6B 1A1", "3000", "000", "00012", "70", "-89.5",
                                   "40, 400", "x" * 300, "🙂", ",", "12 Quarry Lane"])
def test_what_is_not_known_is_refused_in_a_sentence_with_the_way_on(words: str) -> None:
    with pytest.raises(BadInput) as fault:
        places(words, HERE)
    told = f"{fault.value} {fault.value.hint or ''}"
    assert any(way in told for way in ("ZIP", "latitude", "town", "; use ")) and str(fault.value).endswith((".", "?"))


@settings(max_examples=60, deadline=None)
@given(st.text(alphabet=string.printable + "äßœ°’", max_size=40))
def test_any_words_are_a_place_or_refused(words: str) -> None:
    try:
        found = places(words, HERE)
    except BadInput:
        return
    assert found and all(abs(one.latitude) <= 90 and one.label for one in found)


def test_what_follows_from_a_place() -> None:
    site = site_of(places("Davis, CA")[0])
    assert (site["units"], site["timezone"], site["code"]) == ("us", HERE, "us-ca-washer")
    assert [len(site["climate"][key]) for key in ("monthly_eto_in", "monthly_rain_in", "monthly_tmean_f")] == [12] * 3
    site = site_of(places("Berlin, Germany")[0])
    assert (site["units"], site["timezone"], site["code"]) == ("metric", "Europe/Berlin", "generic")
    assert "monthly_eto_mm" in site["climate"]
    assert site_of(places("38.5", HERE)[0])["climate"] == {}


def test_each_guess_says_why_and_the_climate_how_far_it_may_be_off() -> None:
    place = places("Miami, FL")[0]
    told = {one.about: f"{one.words} {one.reason}" for one in guesses(place, site_of(place))}
    assert set(told) == {"units", "timezone", "code", "climate"}
    assert "generic" in told["code"] and "Florida is not known to allow it" in told["code"]
    assert "give or take 25 %" in told["climate"] and "foggy coast" in told["climate"]


def test_every_state_that_has_a_profile_is_guessed_to_have_it() -> None:
    assert set(PROFILE_OF.values()) == {name for name in PROFILES if name[:3] in ("us-", "au-")}
    for (country, _), code in PROFILE_OF.items():
        profile = PROFILES[code]
        assert country.casefold() == code[:2] and profile.zones
    for town, code in (("Tucson", "us-az-1"), ("Santa Fe, NM", "us-nm"), ("Austin, TX", "us-tx"),
                       ("Perth, Australia", "au-wa"), ("Boise", "generic"), ("Toronto", "generic")):
        assert profile_of(places(town)[0]) == code, town


def test_a_guessed_place_lies_where_its_code_has_its_zone_and_latitude() -> None:
    """The profiles' own zones and latitudes, written apart from the towns."""
    for town in ("Davis, CA", "Phoenix", "Albuquerque", "Houston, TX", "Seattle", "Eugene, OR", "Denver", "Provo",
                 "Las Vegas, NV", "Bozeman", "Honolulu"):
        place = places(town)[0]
        profile = PROFILES[profile_of(place)]
        assert place.zone in profile.zones and profile.latitudes[0] <= place.latitude <= profile.latitudes[1], town


def test_four_temperatures_make_a_climate_without_rain() -> None:
    made = by_four_temperatures((3.0, 12.0, 14.0, 34.0), 38.5, "us")
    assert set(made) == {"monthly_eto_in", "monthly_tmean_f"}
    assert made["monthly_tmean_f"][0] == pytest.approx(45.5, abs=0.6)      # halfway between 3 and 12 degC


@pytest.mark.parametrize(("words", "system", "metres"), [
    ("3x4 ft", "us", 12 * M2_PER_FT2), ("3x4", "us", 12 * M2_PER_FT2), ("3 ft by 4 ft", "us", 12 * M2_PER_FT2),
    ("3' × 4'", "us", 12 * M2_PER_FT2), ("36in x 48in", "us", 12 * M2_PER_FT2),
    ("12 square feet", "us", 12 * M2_PER_FT2),
    ("12", "us", 12 * M2_PER_FT2), ("12 sq ft", "us", 12 * M2_PER_FT2), ("20ft2", "us", 20 * M2_PER_FT2),
    ("2 m across", "us", math.pi), ("a circle 2 m across", "metric", math.pi), ("2 across", "metric", math.pi),
    ("1 m radius", "metric", math.pi), ("6 ft circle", "us", math.pi * 9 * M2_PER_FT2), ("1x1.5", "metric", 1.5),
    ("1,2 x 2", "metric", 2.4), ("1.5 square metres", "us", 1.5), ("150 cm x 1 m", "metric", 1.5),
])
def test_an_area_as_people_measure_it(words: str, system: System, metres: float) -> None:
    assert area_m2(words, system) == pytest.approx(metres, rel=1e-6)


@pytest.mark.parametrize("words", ["", "0", "0x4", "0 across", "x", "3x", "3x4x5", "twenty", "3x4 gal", "nanx2", "-3x4",
                                   "1e400x2", "3x4 across", "across", "1,500"])
def test_an_area_that_is_none_is_refused_with_what_is_accepted(words: str) -> None:
    with pytest.raises(BadInput, match=r"write it|accepted|not a unit|without the comma|out of range|cannot be|used"):
        area_m2(words, "us", low=0.05, high=1000.0)


@given(st.text(max_size=30))
def test_any_words_are_an_area_or_refused(words: str) -> None:
    try:
        found = area_m2(words, "metric", low=0.05, high=1000.0)
    except BadInput:
        return
    assert 0.05 - 1e-6 <= found <= 1000.0 + 1e-6


def test_a_load_tells_by_its_name_what_it_holds() -> None:
    assert contents_of("baby diapers") == "diapers" and contents_of("Dyed shirts") == "dye"
    assert contents_of("towels") is None and contents_of("studded jeans") is None
