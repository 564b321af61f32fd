"""Words from people: what is stripped, what is kept, how names are found."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gwlog.errors import BadInput, UnknownName
from gwlog.text import NAME_LIMIT, NOTE_LIMIT, clean, clean_name, clean_note, listed, one_line, pick, plural


@pytest.mark.parametrize(("words", "kept"), [
    ("plain", "plain"),
    ("a\r\nb\rc", "a\nb\nc"),
    ("a\tb", "a\tb"),
    ("title\x1b]0;x\x07", "title]0;x"),
    ("\x9b31mred", "31mred"),
    ("ab\u202edc", "abdc"),
    ("\u2066x\u2069", "x"),
    ("lone \ud800 half", "lone  half"),
    ("e\u0301", "é"),
    ("🍋 lemon", "🍋 lemon"),
])
def test_control_signs_go_and_words_stay(words: str, kept: str) -> None:
    assert clean(words) == kept


@given(st.text())
def test_clean_text_can_be_stored_printed_and_cleaned_again(words: str) -> None:
    kept = clean(words)
    assert clean(kept) == kept
    assert unicodedata.is_normalized("NFC", kept)
    assert not any(unicodedata.category(sign) in ("Cc", "Cs") for sign in kept if sign not in "\n\t")
    kept.encode("utf-8")
    assert "\n" not in one_line(words)
    assert one_line(one_line(words)) == one_line(words)


@given(st.text())
def test_any_name_is_kept_or_bad_input(words: str) -> None:
    try:
        name = clean_name(words)
    except BadInput as refused:
        assert str(refused)
    else:
        assert 0 < len(name) <= NAME_LIMIT
        assert clean_name(name) == name
        assert name == name.strip()


@pytest.mark.parametrize("words", ["", "  ", "\n", "\x07", "\u200b", "\u202e", "\u0301", "\ufeff \u2060"])
def test_a_name_nobody_can_see_is_refused(words: str) -> None:
    with pytest.raises(BadInput, match="is empty"):
        clean_name(words, "basin's name")


def test_lengths_are_limited() -> None:
    assert clean_name("x" * NAME_LIMIT) == "x" * NAME_LIMIT
    with pytest.raises(BadInput, match="61 characters"):
        clean_name("x" * (NAME_LIMIT + 1))
    assert clean_note("  ") is None
    assert clean_note(None) is None
    assert clean_note(" a\nb ") == "a\nb"
    assert clean_note("x" * NOTE_LIMIT)
    with pytest.raises(BadInput, match="4,001 characters") as refused:
        clean_note("x" * (NOTE_LIMIT + 1))
    assert refused.value.hint


KNOWN = ["Plum", "Plumbago", "Fig", "Olive"]


@pytest.mark.parametrize(("typed", "found"), [
    ("Plum", "Plum"), ("plum", "Plum"), ("  fig ", "Fig"), ("oli", "Olive"), ("plumb", "Plumbago"),
])
def test_a_name_is_found(typed: str, found: str) -> None:
    assert pick("basin", typed, KNOWN) == found


def test_a_name_that_is_not_found_is_told_with_the_nearest() -> None:
    with pytest.raises(UnknownName, match="no basin called “Figg”") as refused:
        pick("basin", "Figg", KNOWN)
    assert refused.value.hint == "Did you mean “Fig”?"
    with pytest.raises(BadInput, match="Plum or Plumbago"):
        pick("basin", "Plu", KNOWN)
    with pytest.raises(UnknownName) as refused:
        pick("basin", "xyz", KNOWN)
    assert refused.value.hint == "Choose from: Plum, Plumbago, Fig, Olive."
    with pytest.raises(UnknownName) as refused:
        pick("basin", "xyz", [])
    assert refused.value.hint == "There is no basin in this logbook yet."


@given(st.text(max_size=80), st.lists(st.text(max_size=8), max_size=4))
def test_any_text_is_a_known_name_or_bad_input(typed: str, known: list[str]) -> None:
    try:
        assert pick("basin", typed, known) in known
    except BadInput as refused:
        assert str(refused)


def test_sentences() -> None:
    assert listed([]) == ""
    assert listed(["a"]) == "a"
    assert listed(["a", "b"]) == "a and b"
    assert listed(["a", "b", "c"], "or") == "a, b or c"
    assert [plural(1, "load"), plural(2, "load"), plural(1200, "entry", "entries")] == [
        "1 load", "2 loads", "1,200 entries"]
