"""The list by which a sentence is held back from the landlord."""

from __future__ import annotations

import pytest

from gwlog.documents.record.private_words import holds_phrase, names_somebody, names_unknown, tells_of_people


@pytest.mark.parametrize("words", [
    "rinsed after the diaper wash", "she was sick", "Norovirus in the house", "his fever is gone", "NAPPIES went out",
    "we were away", "back on Tuesday", "done at 7:30", "at 7 pm it had soaked in", "since Jun 3", "the kids kept off",
    "after the night shift", "my mother raked it", "blood on the towels", "vómito",
])
def test_what_tells_of_people_is_held_back(words: str) -> None:
    assert tells_of_people(words)


@pytest.mark.parametrize("words", [
    "Raked fresh mulch over it; nobody walks there", "Gave the basin four cans of clean water",
    "still soaking, filled up",
    "heavy clay, loosened the soil", "flushed with cold water for ten minutes", "The valve sticks; oiled the stem",
])
def test_what_tells_of_water_alone_is_shown(words: str) -> None:
    assert not tells_of_people(words)


@pytest.mark.parametrize("words", ["Ines raked it", "INES’S rake", "asked inés", "with Alvarez"])
def test_a_name_is_found_in_any_case_and_with_any_ending(words: str) -> None:
    assert names_somebody(words, {"Ines Alvarez"})


def test_a_name_of_two_letters_counts_whole() -> None:
    assert names_somebody("Al raked it", {"Al"}) and not names_somebody("also raked", {"Al"})


def test_a_capital_inside_a_sentence_may_be_a_name() -> None:
    assert names_unknown("raked by Tove", {"Fig"}) and not names_unknown("Raked. Then moved it to Fig", {"Fig"})


def test_what_the_household_calls_a_load_counts_as_a_phrase() -> None:
    assert holds_phrase("the Work clothes again", {"work clothes"}) and not holds_phrase("it works", {"work clothes"})
