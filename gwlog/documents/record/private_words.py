"""Words that tell of people rather than of water: the one list by which a sentence is held back from the landlord.

The list is a working assumption and errs toward holding back: a sentence with any of these words is not shown, and what
is shown instead is only that something was done, and in which week. No list is complete, so a preview shows every
sentence that passes.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection, Iterable
from functools import lru_cache

_HEALTH = (
    "a cold", "aids", "allerg", "asthma", "bacteri", "bandage", "bedsore", "bedwet", "bleed", "blood", "bowel", "bug",
    "cancer", "chemo", "clinic", "contag", "corona", "cough", "covid", "dement", "diabet", "diaper", "diarrh",
    "disease", "doctor", "drug", "faeces", "fecal", "feces", "fever", "flu", "germ", "hepatit", "hiv", "hospital",
    "hygien", "ill", "illness", "incontinen", "infect", "injur", "lice", "medic", "mening", "menstr", "mrsa", "mumps",
    "nappies", "nappy", "norovir", "nurse", "patient", "pee", "period", "pharma", "pill", "pills", "poo", "poop",
    "potty", "pox", "pregnan", "prescri", "quarantin", "rash", "rotavir", "scabies", "shingles", "sick", "soiled",
    "stool", "surgery", "symptom", "therap", "threw up", "toilet", "unwell", "urin", "vaccin", "viral", "virus",
    "vomit", "wet bed", "wound",
)
_PEOPLE = (
    "adult", "aunt", "babies", "baby", "birth", "boy", "boyfriend", "brother", "child", "cousin", "dad", "daughter",
    "divorc", "father", "friend", "girl", "girlfriend", "grand", "guest", "he", "her", "him", "his", "husband",
    "infant", "kid", "lodger", "mom", "mother", "mum", "my", "nanny", "neighbor", "neighbour", "nephew", "niece",
    "partner", "police", "roommate", "she", "sister", "sitter", "son", "subtenant", "teen", "toddler", "twin", "uncle",
    "visit", "wife",
)
_ABSENCE = (
    "abroad", "absen", "alone", "away", "camping", "church", "commut", "empty house", "flight", "gone", "holiday",
    "home", "journey", "left town", "moved", "party", "school", "shift", "travel", "trip", "vacation", "wedding",
    "work clothes",
)
_TIMES = (
    "afternoon", "dawn", "day", "daytime", "dusk", "evening", "friday", "lunch", "midnight", "monday", "morning",
    "night", "noon", "overnight", "saturday", "sunday", "thursday", "today", "tomorrow", "tonight", "tuesday",
    "wednesday", "weekday", "weekend", "yesterday",
)
_WHOLE = frozenset({
    "adult", "aids", "aunt", "boy", "bug", "dad", "day", "flu", "girl", "he", "her", "him", "his", "hiv", "home", "ill",
    "kid", "mom", "mum", "my", "pee", "period", "pill", "poo", "she", "son", "twin",
})
"""Words that count only whole, or with an s: “he” is no part of “heavy”."""


def _pattern(stems: Iterable[str]) -> re.Pattern[str]:
    parts = [rf"{re.escape(stem)}s?\b" if stem in _WHOLE else re.escape(stem)
             for stem in sorted(stems, key=len, reverse=True)]
    return re.compile(rf"(?<!\w)(?:{'|'.join(parts)})")


_OF_HEALTH = _pattern(_HEALTH)
_OF_PEOPLE = _pattern((*_PEOPLE, *_ABSENCE, *_TIMES))
_CLOCK = re.compile(r"\d{1,2}\s*[:.h]\s*\d{2}|\d\s*[ap]\.?m\b|\d+(?:st|nd|rd|th)\b|\d{4}|\d{1,2}[./-]\d{1,2}"
                    r"|(?<!\w)(?:jan|feb|mar|apr|may|jun|jul|aug|sep|sept|oct|nov|dec)[a-z]*\.?\s*\d")
_CAPITAL = re.compile(r"(?<=[^.!?;:\s“\"(])[,]?\s+[“\"(]?([^\W\d_a-z]\w+)")


@lru_cache(maxsize=10_000)
def folded(words: str) -> str:
    """Words as they are compared: without accents and case, every apostrophe the same."""
    parts = unicodedata.normalize("NFKD", words.replace("’", "'"))
    return "".join(sign for sign in parts if not unicodedata.combining(sign)).casefold()


def of_health(words: str) -> bool:
    """Whether words speak of illness, diapers or what else concerns a body."""
    return _OF_HEALTH.search(folded(words)) is not None


def tells_of_people(words: str) -> bool:
    """Whether words speak of people's bodies, of who they are, of when they are there, or of an hour or a day."""
    kept = folded(words)
    return any(pattern.search(kept) for pattern in (_OF_HEALTH, _OF_PEOPLE, _CLOCK))


def names_somebody(words: str, names: Collection[str]) -> bool:
    """Whether words hold one of the names or a part of one, in any case and with any ending: “Ines”, “INES’S”."""
    kept = folded(words)
    for name in names:
        for part in re.split(r"[^\w']+", folded(name)):
            ends = "" if len(part) > 2 else r"(?!\w)"   # a name of two signs counts whole
            if part and re.search(rf"(?<!\w){re.escape(part)}{ends}", kept):
                return True
    return False


def holds_phrase(words: str, phrases: Collection[str]) -> bool:
    """Whether words hold one of the phrases as it is, in any case."""
    kept = folded(words)
    return any(re.search(rf"(?<!\w){re.escape(folded(phrase))}(?!\w)", kept) for phrase in phrases if phrase)


def names_unknown(words: str, known: Collection[str]) -> bool:
    """Whether a word inside a sentence begins with a capital and is no part of what is known: a name, it may be."""
    parts = {folded(part) for name in known for part in name.split()}
    return any(folded(found) not in parts for found in _CAPITAL.findall(words))
