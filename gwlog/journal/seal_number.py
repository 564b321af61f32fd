"""The seal number as a value: how many entries, and the beginning of the last one's hash.

Written “412:9f3a6c0b12d4e877”, or in words that can be read out or written on paper: “412 maple copper … lantern”, the
count, six words for 60 bits of the hash, and a check word. The check is the pure system of ISO/IEC 7064 with one
supplementary check character, of modulus 1031 and radix 2 (as its MOD 11-2 and MOD 37-2 are of theirs), over the
digits of the count and the words: 1031 is prime, so it catches every single wrong word or digit and every swap of two.

Somebody who can choose what is written before the number is given may look for two records with one beginning of a
hash; that takes some 2^30 trials for the words. A signature or a time stamp is made of the whole hash.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from functools import cache
from pathlib import Path

from gwlog.errors import BadInput
from gwlog.values import NamedTuple

WORDS, WORD_BITS = 6, 10
CHECK_MODULUS = 1031
"""The list has so many words: 1,024 carry ten bits each, the last seven stand only as check words."""
HEX_OF_WORDS = WORDS * WORD_BITS // 4
LEAST_HEX, MOST_HEX = 16, 64
LIKE = "412:9f3a6c0b12d4e877"
_PLAIN = re.compile(r"(\d{1,15})\s*:\s*([0-9a-f]{16,64})")
_FOUND = re.compile(r"(?<![\w:.-])(\d{1,15}):([0-9a-f]{16,64})(?![\w:])")
_DAY = re.compile(r"\b([12]\d{3}-[01]\d-[0-3]\d)\b")


class SealNumber(NamedTuple):
    """`entries`: how many, so the number of the last one; `start`: its hash, or the first hex digits of it."""

    entries: int
    start: str

    def __str__(self) -> str:
        return f"{self.entries}:{self.start}"

    @property
    def short(self) -> str:
        """With as many digits as people compare."""
        return f"{self.entries}:{self.start[:LEAST_HEX]}"


class Noted(NamedTuple):
    """A seal number that was noted, and the local day (ISO) written beside it, if any."""

    number: SealNumber
    day: str | None = None


@cache
def words() -> tuple[str, ...]:
    """The list of words, in order."""
    return tuple(Path(__file__).with_name("seal_words.txt").read_text("utf-8").split())


def check_value(values: Sequence[int], modulus: int = CHECK_MODULUS, radix: int = 2) -> int:
    """The check character of a pure system of ISO/IEC 7064: with it all weighted values sum to 1 by the modulus."""
    total = 0
    for value in values:
        total = (total + value) * radix % modulus
    return (1 - total) % modulus


def spoken(number: int, hashed: str) -> str:
    """The seal number in words: “412 maple copper river tulip anvil basket lantern”."""
    bits = int(hashed[:HEX_OF_WORDS], 16)
    values = [bits >> WORD_BITS * (WORDS - 1 - place) & (1 << WORD_BITS) - 1 for place in range(WORDS)]
    check = check_value([*map(int, str(number)), *values])
    return " ".join((str(number), *(words()[value] for value in (*values, check))))


def number_of(text: str | SealNumber) -> SealNumber:
    """Read a seal number in either form; one that was read stays as it is.

    Raises BadInput with what is wrong, and the nearest word where one is.
    """
    if isinstance(text, SealNumber):
        return text
    said = text.strip().casefold()
    if (found := _PLAIN.fullmatch(said)) is not None:
        return SealNumber(int(found[1]), found[2])
    parts = re.sub(r"[\s,;:()“”\"'-]+", " ", said).split()
    # a count may be written with a comma between its thousands
    while len(parts) > 1 and parts[0].isdigit() and parts[1].isdigit() and len(parts[1]) == 3:
        parts[:2] = [parts[0] + parts[1]]
    worded = len(parts) > 1 and ":" not in said and all(part.isalpha() for part in parts[1:])
    if not worded or not re.fullmatch(r"[0-9]{1,15}", parts[0]):
        raise BadInput(f"“{text.strip()[:80]}” is not a seal number; write it like {LIKE}, the entry's number and 16 "
                       "hex digits, or the number and its seven words.")
    return _of_words(int(parts[0]), parts[1:])


def _of_words(count: int, said: Sequence[str]) -> SealNumber:
    if len(said) != WORDS + 1:
        raise BadInput(f"A seal number in words has {WORDS + 1} words after the count; these are {len(said)}.")
    place = {word: value for value, word in enumerate(words())}
    for word in said:
        if word not in place:
            raise BadInput(f"“{word[:20]}” is not one of the words of seal numbers; the nearest is “{nearest(word)}”.")
    values = [place[word] for word in said]
    if max(values[:-1]) >= 1 << WORD_BITS or check_value([*map(int, str(count)), *values[:-1]]) != values[-1]:
        raise BadInput("These words do not fit together: a word or a digit of the count is wrong, or two are swapped."
                       + _likely(count, said, values))
    bits = 0
    for value in values[:-1]:
        bits = bits << WORD_BITS | value
    return SealNumber(count, f"{bits:0{HEX_OF_WORDS}x}")


def _likely(count: int, said: Sequence[str], values: Sequence[int]) -> str:
    """Which one word, misread, would make them fit, where it is near what was said."""
    every = [*map(int, str(count)), *values]
    weights = [pow(2, len(every) - 1 - place, CHECK_MODULUS) for place in range(len(every))]
    amiss = 1 - sum(weight * value for weight, value in zip(weights, every, strict=True))
    for place, word in enumerate(said, start=len(every) - len(said)):
        value = (every[place] + amiss * pow(weights[place], -1, CHECK_MODULUS)) % CHECK_MODULUS
        other = words()[value]
        if other != word and (value < 1 << WORD_BITS or place == len(every) - 1) and distance(word, other) <= 2:
            return f" They would fit if “{word}” were “{other}”: look again."
    return ""


def nearest(word: str) -> str:
    """The word of the list that is nearest in letters."""
    return min(words(), key=lambda other: (distance(word[:20], other), other[0] != word[0]))


def distance(one: str, other: str) -> int:
    """How many letters to put in, leave out, change, or swap with the next, to come from one to the other."""
    before: list[int] = []
    row = list(range(len(other) + 1))
    for i, letter in enumerate(one, start=1):
        older, before, row = before, row, [i]
        for j, wanted in enumerate(other, start=1):
            best = min(before[j] + 1, row[-1] + 1, before[j - 1] + (letter != wanted))
            if i > 1 and j > 1 and letter == other[j - 2] and one[i - 2] == wanted:
                best = min(best, older[j - 2] + 1)
            row.append(best)
    return row[-1]


def numbers_in(text: str) -> Iterator[Noted]:
    """Every seal number in a text, like mail, each with the day written before it on its line; words form included."""
    for line in text.splitlines():
        found = list(_FOUND.finditer(line.casefold()))
        for each in found:
            days = _DAY.findall(line[:each.start()])
            yield Noted(SealNumber(int(each[1]), each[2]), days[-1] if days else None)
        if not found and (worded := _worded(line)) is not None:
            yield worded


def _worded(line: str) -> Noted | None:
    """A seal number in words on a line of a text: a count, followed by seven words of the list."""
    parts = [(each[0].casefold(), each.start()) for each in re.finditer(r"[A-Za-z]+|\d{4}-\d\d-\d\d|\d[\d,]*", line)]
    known = set(words())
    for place, (part, start) in enumerate(parts):
        said = [word for word, _ in parts[place + 1:place + 2 + WORDS]]
        if re.fullmatch(r"\d[\d,]*", part) and len(said) == WORDS + 1 and sum(one in known for one in said) >= WORDS:
            days = _DAY.findall(line[:start])
            return Noted(_of_words(int(part.replace(",", "")), said), days[-1] if days else None)
    return None
