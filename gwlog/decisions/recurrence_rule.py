"""Reads the recurrence rule (RFC 5545) of a planned load, or refuses it by the part that cannot be used.

Rules repeat days: the frequencies below a day are refused, BYHOUR and its like only say when on a day.
"""

from __future__ import annotations

import re
from datetime import UTC, datetime, time
from math import prod
from typing import Literal

from gwlog.clock import zone as zone_info
from gwlog.errors import BadInput
from gwlog.values import dataclass, field

MOST_A_DAY = 24
LONGEST = 500
"""Characters of a rule that the logbook holds."""

_FREQUENCIES = ("YEARLY", "MONTHLY", "WEEKLY", "DAILY")
_DAYS = {"MO": 0, "TU": 1, "WE": 2, "TH": 3, "FR": 4, "SA": 5, "SU": 6}
_BY_DAY = re.compile(r"([-+]?\d{1,2})?(MO|TU|WE|TH|FR|SA|SU)")
# part -> (least, greatest, whether negative values count from the end)
_NUMBERS = {
    "BYMONTH": (1, 12, False), "BYMONTHDAY": (1, 31, True), "BYYEARDAY": (1, 366, True),
    "BYWEEKNO": (1, 53, True), "BYSETPOS": (1, 366, True),
    "BYHOUR": (0, 23, False), "BYMINUTE": (0, 59, False), "BYSECOND": (0, 59, False),
}
PARTS = ("FREQ", "INTERVAL", "COUNT", "UNTIL", "WKST", "BYDAY", *_NUMBERS)

Fault = Literal["unknown part", "twice", "missing", "value", "not a day", "together", "numbered weekday", "long",
                "dense", "never"]


class RuleRefused(BadInput):
    """A rule that cannot be used. `fault`: what kind of fault; `part`, `value`: the part of the rule, where one is."""

    def __init__(self, rule: str, fault: Fault, wrong: str, accepted: str, *, part: str = "", value: str = "") -> None:
        super().__init__(f"The rule “{rule[:60]}” cannot be used: {wrong}; accepted: {accepted}.",
                         hint="A rule looks like FREQ=WEEKLY;BYDAY=SA or FREQ=DAILY;INTERVAL=2.")
        self.fault, self.wrong, self.accepted, self.part, self.value = fault, wrong, accepted, part, value


@dataclass(frozen=True, slots=True)
class Rule:
    """A parsed recurrence rule; `numbers` holds the BY... lists, `by_day` pairs of (ordinal or 0, weekday)."""

    frequency: str
    interval: int = 1
    count: int | None = None
    until: datetime | None = None
    week_start: int = 0
    by_day: tuple[tuple[int, int], ...] = ()
    numbers: dict[str, tuple[int, ...]] = field(default_factory=dict)


def canonical(text: str) -> str:
    """The one writing in which a rule is kept: upper case, without RRULE: and a last semicolon. Nothing is checked."""
    return text.strip().upper().removeprefix("RRULE:").rstrip(";")


def parse(text: str, zone: str = "UTC") -> Rule:
    """Read a rule like FREQ=WEEKLY;BYDAY=SA. `zone`: where an UNTIL in UTC is turned into wall time.

    Raises RuleRefused naming the part that cannot be used and what is accepted. Refused are also the frequencies
    below a day (HOURLY, MINUTELY, SECONDLY) and more than MOST_A_DAY moments on one day.
    """
    rule = canonical(text)
    if len(rule) > LONGEST:
        raise RuleRefused(text, "long", f"it has {len(rule):,} characters", f"up to {LONGEST} characters")
    parts: dict[str, str] = {}
    for piece in rule.split(";"):
        key, equals, value = piece.partition("=")
        if not equals or not value or key in parts:
            fault: Fault = "unknown part" if key not in PARTS else "twice" if key in parts else "value"
            raise RuleRefused(text, fault, f"the part “{piece[:30]}”", "each part once, as NAME=VALUE",
                              part=key, value=value)
        parts[key] = value
    frequency = parts.pop("FREQ", "")
    if frequency not in _FREQUENCIES:
        raise RuleRefused(text, "value" if frequency else "missing", f"FREQ “{frequency[:20]}”",
                          "one of " + ", ".join(_FREQUENCIES), part="FREQ", value=frequency)
    interval = _whole(text, "INTERVAL", parts.pop("INTERVAL", "1"), 1, 10_000)
    counted = parts.pop("COUNT", None)
    ends = parts.pop("UNTIL", None)
    if counted is not None and ends is not None:
        raise RuleRefused(text, "together", "COUNT with UNTIL", "only one of the two")
    count = None if counted is None else _whole(text, "COUNT", counted, 1, 1_000_000)
    until = None if ends is None else _until(text, ends, zone)
    start = parts.pop("WKST", "MO")
    if start not in _DAYS:
        raise RuleRefused(text, "value", f"WKST “{start[:20]}”", "one of " + ", ".join(_DAYS), part="WKST", value=start)
    by_day = []
    weekdays = parts.pop("BYDAY", "")
    for word in weekdays.split(","):
        found = _BY_DAY.fullmatch(word)
        if found:
            by_day.append((int(found[1] or 0), _DAYS[found[2]]))
        elif weekdays:
            raise RuleRefused(text, "value", f"BYDAY “{word[:20]}”", "days like MO or -1FR", part="BYDAY", value=word)
    if any(nth for nth, _ in by_day) and frequency not in ("YEARLY", "MONTHLY"):
        raise RuleRefused(text, "numbered weekday", "BYDAY with a number",
                          "numbered days only with FREQ=MONTHLY or YEARLY")
    numbers = {}
    for key, value in parts.items():
        if key not in _NUMBERS:
            raise RuleRefused(text, "unknown part", f"the part “{key[:30]}”",
                              "FREQ, INTERVAL, COUNT, UNTIL, WKST, BYDAY and " + ", ".join(_NUMBERS), part=key)
        low, high, negative = _NUMBERS[key]
        read = tuple(_whole(text, key, word, -high if negative else low, high) for word in value.split(","))
        if negative and 0 in read:
            raise RuleRefused(text, "value", f"{key} 0", f"{low} to {high}, or from the end -1 to -{high}",
                              part=key, value="0")
        numbers[key] = read
    a_day = prod(len(set(numbers.get(key, (0,)))) for key in ("BYHOUR", "BYMINUTE", "BYSECOND"))
    if a_day > MOST_A_DAY:
        raise RuleRefused(text, "dense", f"it comes {a_day:,} times on one day", f"up to {MOST_A_DAY} times a day")
    return Rule(frequency, interval, count, until, _DAYS[start], tuple(by_day), numbers)


def _whole(text: str, key: str, word: str, low: int, high: int) -> int:
    if not re.fullmatch(r"[-+]?\d{1,7}", word, re.ASCII) or not low <= int(word) <= high:
        raise RuleRefused(text, "value", f"{key} “{word[:20]}”", f"whole numbers from {low} to {high}",
                          part=key, value=word)
    return int(word)


def _until(text: str, word: str, zone: str) -> datetime:
    known = re.fullmatch(r"\d{8}(T\d{6}Z?)?", word, re.ASCII)
    try:
        if known and "T" not in word:
            return datetime.combine(datetime.strptime(word, "%Y%m%d").date(), time(23, 59, 59))  # noqa: DTZ007
        wall = datetime.strptime(word.rstrip("Z"), "%Y%m%dT%H%M%S")  # noqa: DTZ007
        if word.endswith("Z"):
            wall = wall.replace(tzinfo=UTC).astimezone(zone_info(zone)).replace(tzinfo=None)
    except (ValueError, OverflowError):
        raise RuleRefused(text, "not a day" if known else "value", f"UNTIL “{word[:20]}”",
                          "20260501 or 20260501T090000Z", part="UNTIL", value=word) from None
    return wall
