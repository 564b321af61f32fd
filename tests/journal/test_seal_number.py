"""The seal number in words: read back, told where it is misread, its check as an independent implementation has it.

The words and their check follow ISO/IEC 7064; python-stdnum reckons the same system for any alphabet.
"""

from __future__ import annotations

from hashlib import sha256
from itertools import pairwise
from random import Random

import pytest
from stdnum.iso7064 import mod_11_2, mod_37_2

from gwlog.errors import BadInput
from gwlog.journal.seal_number import (
    CHECK_MODULUS,
    Noted,
    SealNumber,
    check_value,
    distance,
    number_of,
    numbers_in,
    spoken,
    words,
)

ALPHABET = "".join(chr(0x4E00 + value) for value in range(CHECK_MODULUS))   # one sign for each word


def hashed(seed: int) -> str:
    return sha256(str(seed).encode()).hexdigest()


def test_the_list_is_plain_and_no_two_words_are_near() -> None:
    listed = words()
    assert len(listed) == len(set(listed)) == CHECK_MODULUS == 1024 + 7 and list(listed) == sorted(listed)
    assert all(3 <= len(word) <= 6 and word.isascii() and word.islower() and word.isalpha() for word in listed)
    forms: dict[str, str] = {}
    for word in listed:   # two words one letter apart have a form with one letter left out, or a hole, in common
        held = {word} | {word[:n] + word[n + 1:] for n in range(len(word))} | {
            f"{word[:n]}?{word[n + 1:]}" for n in range(len(word))}
        assert not [forms[form] for form in held if form in forms and form in (word, *forms.values())], word
        assert not any("?" in form and form in forms for form in held), word
        forms |= dict.fromkeys(held, word)
    assert not any(one[:n] + one[n + 1:n + 2] + one[n:n + 1] + one[n + 2:] in set(listed) - {one}
                   for one in listed for n in range(len(one) - 1))


def test_the_check_is_that_of_iso_7064() -> None:
    assert check_value([0, 0, 0, 0, 0, 0, 0, 1, 2, 2, 8, 1, 9, 5, 5], 11) == 10   # ISNI 0000 0001 2281 955X
    chance = Random(7)
    for _ in range(200):
        digits = [chance.randrange(10) for _ in range(chance.randint(1, 12))]
        assert "0123456789X"[check_value(digits, 11)] == mod_11_2.calc_check_digit("".join(map(str, digits)))
        values = [chance.randrange(1024) for _ in range(9)]
        assert ALPHABET[check_value(values)] == mod_37_2.calc_check_digit(
            "".join(ALPHABET[value] for value in values), ALPHABET)


@pytest.mark.parametrize("count", [1, 9, 412, 1_124, 98_765])
def test_what_is_spoken_is_read_back(count: int) -> None:
    said = spoken(count, hashed(count))
    assert number_of(said) == SealNumber(count, hashed(count)[:15])
    comma = said.replace(str(count), f"{count:,}", 1).upper().replace(" ", ", ")
    assert number_of(comma) == number_of(said)


def test_any_one_wrong_word_and_any_neighbours_swapped_are_told() -> None:
    chance = Random(11)
    for seed in range(12):
        parts = spoken(412, hashed(seed)).split()
        for place in range(1, 8):
            for other in chance.sample(words(), 40):
                if other != parts[place]:
                    with pytest.raises(BadInput, match="do not fit together"):
                        number_of(" ".join([*parts[:place], other, *parts[place + 1:]]))
        for place, (one, other) in enumerate(pairwise(parts)):
            if place and one != other:
                with pytest.raises(BadInput, match="do not fit together"):
                    number_of(" ".join([*parts[:place], other, one, *parts[place + 2:]]))
        for wrong in ("413", "142", "421"):
            with pytest.raises(BadInput, match="do not fit together"):
                number_of(" ".join([wrong, *parts[1:]]))


def test_every_wrong_value_and_swap_changes_the_check() -> None:
    values = [4, 1, 2, 1023, 0, 517, 3, 900, 77]
    right = check_value(values)
    for place in range(len(values)):
        assert all(check_value([*values[:place], other, *values[place + 1:]]) != right
                   for other in range(1024) if other != values[place])
    for place in range(len(values) - 1):
        assert check_value([*values[:place], values[place + 1], values[place], *values[place + 2:]]) != right


def test_a_misread_word_is_told_with_the_nearest() -> None:
    parts = spoken(412, hashed(3)).split()
    misread = parts[2][:-1] + ("x" if parts[2][-1] != "x" else "z")
    with pytest.raises(BadInput, match=f"“{misread}” is not one of the words.*nearest is “{parts[2]}”"):
        number_of(" ".join([*parts[:2], misread, *parts[3:]]))
    near = next((place, other) for place in range(1, 8) for other in words() if distance(parts[place], other) == 2)
    with pytest.raises(BadInput, match="They would fit if"):
        number_of(" ".join([*parts[:near[0]], near[1], *parts[near[0] + 1:]]))


@pytest.mark.parametrize("text", ["", "412", "maple", "412:9f3a", "x:9f3a6c0b12d4e877", "412 maple", "412:" + "g" * 16])
def test_what_is_no_seal_number_is_refused(text: str) -> None:
    with pytest.raises(BadInput, match="seal number"):
        number_of(text)


def test_every_number_in_a_text_is_found() -> None:
    text = f"""
    From: ruth@example.org
    > On 2026-10-01 you sent 1124:9f3a6c0b12d4e877, thanks.
    2026-11-02 1335:{hashed(1)} and 12:30 we met; v1.2:3
    read out on 2026-11-03: {spoken(1335, hashed(1)).replace("1335", "1,335")}
    """
    assert list(numbers_in(text)) == [
        Noted(SealNumber(1124, "9f3a6c0b12d4e877"), "2026-10-01"),
        Noted(SealNumber(1335, hashed(1)), "2026-11-02"), Noted(SealNumber(1335, hashed(1)[:15]), "2026-11-03")]
