"""What a header's words say of a column, word by word: a word that is not known leaves the whole column unused.

Rain, a day's lowest and highest temperature, the temperature of an hour, tips of a gauge, when a forecast was made.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from gwlog.importers.weather_units import Unit, unit_of

DAY_WORDS = frozenset((
    "date", "day", "datum", "local date", "time", "datetime", "date time", "timestamp", "local time", "yyyy-mm-dd",
    "date/time", "observation date", "valid", "local datetime", "date local", "time local", "date & time"))
UTC_WORDS = frozenset(("utc", "time utc", "date utc", "utc time", "datetime utc", "timestamp utc", "time (utc)"))
MADE_WORDS = frozenset(("made at", "made", "issued", "issued at", "forecast made at"))

_RAIN = frozenset(("rain", "rainfall", "precip", "precipitation", "prcp", "pcp", "ppt", "pr", "regen", "niederschlag",
                   "pluie", "lluvia"))
_TEMPERATURE = frozenset(("temp", "temperature", "temperatur", "t", "temps"))
_LOW = frozenset(("min", "minimum", "low", "lowest"))
_HIGH = frozenset(("max", "maximum", "high", "highest", "hi"))
_WHOLE_LOW = frozenset(("tmin", "tmmn", "mintemp", "tempmin", "mint"))
_WHOLE_HIGH = frozenset(("tmax", "tmmx", "maxtemp", "tempmax", "maxt"))
_OF_RAIN = frozenset(("daily", "day", "total", "sum", "amount", "24h", "corrected", "measured", "liquid", "local",
                      "accum", "accumulated"))
_OF_TEMPERATURE = frozenset(("daily", "day", "air", "outdoor", "outside", "out", "2m", "of", "ambient", "measured"))
_TIPS = frozenset(("tips", "tip", "tip count"))
_COUNTERS = frozenset(("counter", "tip counter", "rain counter", "gauge counter"))
_SO_FAR = frozenset(("daily", "day", "total", "sum", "accum", "accumulated"))
_QUALITY = frozenset(("flag", "flags", "qc", "quality", "qflag", "q", "status"))
_RATES = re.compile(r"\brates?\b|\bintensity\b|(?:/|\bper )\s*h(?:r|our)?s?\b|\bmm/?h\b|\bmmph\b|\binph\b")
_BRACKET = re.compile(r"\s*[(\[]([^()\[\]]*)[)\]]\s*$")


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a column holds (rain, low, high, temp, tips, counter) and in which unit; None where its title names none."""

    what: str
    unit: Unit | None


def folded(title: str) -> str:
    """A title in small letters, its words apart: “TempMax” and “temp_max” are “temp max”."""
    apart = re.sub(r"(?<=[a-z])(?=[A-Z][a-z])", " ", title.strip().lstrip("\ufeff"))
    return " ".join(re.sub(r"_|(?<=[a-z])\.(?=\s|$)|\s-\s", " ", apart.casefold()).split())


def stem(title: str) -> str:
    """A folded title without its unit in brackets."""
    return _BRACKET.sub("", folded(title))


def is_rate(title: str) -> bool:
    """Whether the words speak of rain in a time and not of an amount."""
    return bool(_RATES.search(folded(title))) and any(word in _RAIN for word in re.split(r"[^a-z]+", folded(title)))


def is_so_far(title: str) -> bool:
    """Whether the words of a rain column may speak of the day's total so far, where its rows are by the hour."""
    return bool(_SO_FAR & set(folded(title).split()))


def judged(title: str) -> str | None:
    """What a column of quality marks is about: “rain” of “rain_flag”, “” where it is about the whole row."""
    words = folded(title).split()
    return " ".join(words[:-1]) if words and words[-1] in _QUALITY else None


def bracket(title: str) -> str | None:
    """What stands in the brackets at the end of a title."""
    found = _BRACKET.search(folded(title))
    return None if found is None else found[1]


def meaning(title: str) -> Meaning | None:
    """What a title means in full; None where any word of it is not known, or its brackets hold no unit."""
    words = folded(title)
    inside = bracket(title)
    if inside is not None:
        unit = unit_of(inside)
        what = _held(stem(title))
        return None if what is None or unit is None or not _agree(what, unit) else Meaning(what, unit)
    parts = words.split()
    for cut in range(1, len(parts)):
        unit = unit_of(" ".join(parts[cut:]))
        before = " ".join(parts[:cut])
        what = _held(before) or {"min": "low", "max": "high"}.get(before)
        if unit is not None and what is not None and _agree(what, unit):
            return Meaning(what, unit)
    what = _held(words)
    return None if what is None else Meaning(what, None)


def speaks_of_weather(title: str) -> str | None:
    """What a title would hold but for its unit, as rain_um would rain; None where it speaks of something else."""
    what = _held(stem(title))
    if what is not None:
        return what
    parts = folded(title).split()
    return _held(" ".join(parts[:-1])) if len(parts) > 1 else None


def _agree(what: str, unit: Unit) -> bool:
    return unit.rain == (what == "rain") and what not in ("tips", "counter")


def _held(words: str) -> str | None:
    if words in _TIPS:
        return "tips"
    if words in _COUNTERS:
        return "counter"
    parts = set(re.split(r"[\s\-/]+", words)) - {""}
    if parts & _RAIN and parts <= _RAIN | _OF_RAIN:
        return "rain"
    if parts and parts <= _WHOLE_LOW | _OF_TEMPERATURE and parts & _WHOLE_LOW:
        return "low"
    if parts and parts <= _WHOLE_HIGH | _OF_TEMPERATURE and parts & _WHOLE_HIGH:
        return "high"
    rest = parts - _TEMPERATURE - _OF_TEMPERATURE
    of_temperature = bool(parts & _TEMPERATURE) or not rest & {"min", "max"}   # “min” alone may be a minute
    if rest and rest <= _LOW and of_temperature:
        return "low"
    if rest and rest <= _HIGH and of_temperature:
        return "high"
    return "temp" if not rest and parts & _TEMPERATURE else None
