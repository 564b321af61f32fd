"""Recurrence rules (RFC 5545) of planned loads: what is accepted, and whether a rule ever comes to a day.

The rule repeats days; the time of day comes from the first load, so parts below a day are refused.
"""

from __future__ import annotations

import re
from datetime import datetime, timedelta
from typing import Any

from gwlog.text import listed

EXAMPLE = "a rule like “FREQ=WEEKLY;BYDAY=SA” (RFC 5545) would be accepted"
LOOK_AHEAD = timedelta(days=9 * 366)
"""Longer than the eight years that may lie between two 29ths of February."""

_NUMBERS = r"[+-]?\d{1,3}(,[+-]?\d{1,3})*"
_PARTS = {
    "FREQ": "DAILY|WEEKLY|MONTHLY|YEARLY",
    "INTERVAL": r"[1-9]\d{0,2}",
    "COUNT": r"[1-9]\d{0,3}",
    "UNTIL": r"\d{8}(T\d{6})?",
    "BYDAY": r"([+-]?\d{1,2})?(MO|TU|WE|TH|FR|SA|SU)(,([+-]?\d{1,2})?(MO|TU|WE|TH|FR|SA|SU))*",
    "BYMONTH": r"\d{1,2}(,\d{1,2})*",
    "BYMONTHDAY": _NUMBERS,
    "BYYEARDAY": _NUMBERS,
    "BYWEEKNO": _NUMBERS,
    "BYSETPOS": _NUMBERS,
    "WKST": "MO|TU|WE|TH|FR|SA|SU",
}
Wrong = tuple[str, str]


def tidy_rule(raw: Any) -> tuple[str | None, Wrong | None]:
    """Return the rule in its canonical writing, or what is wrong with it and what would be accepted."""
    if not isinstance(raw, str):
        return None, ("not a rule", EXAMPLE)
    rule = raw.strip().upper().removeprefix("RRULE:").rstrip(";")
    seen: set[str] = set()
    for part in rule.split(";"):
        name, _, value = part.partition("=")
        if name not in _PARTS:
            return None, (f"“{part[:20]}” is not a part of a rule that can be used",
                          f"{listed(list(_PARTS), 'or')} would be accepted")
        if name in seen:
            return None, (f"{name} stands twice", "keep one of the two")
        if re.fullmatch(_PARTS[name], value, re.ASCII) is None:
            return None, (f"{name} cannot be “{value[:20]}”", EXAMPLE)
        seen.add(name)
    if "FREQ" not in seen:
        return None, ("FREQ is missing", EXAMPLE)
    if {"COUNT", "UNTIL"} <= seen:
        return None, ("COUNT and UNTIL stand together", "keep one of the two")
    if re.search(r"BYDAY=[^;]*\d", rule) and re.search("FREQ=(DAILY|WEEKLY)", rule):
        return None, ("a numbered weekday needs FREQ=MONTHLY or YEARLY", EXAMPLE)
    return rule, None


def never_comes(rule: str, starts: datetime) -> Wrong | None:
    """What is wrong when the rule (canonical) cannot be run from `starts` (local wall time), else None."""
    from dateutil.rrule import rrulestr

    horizon = f"{starts + LOOK_AHEAD:%Y%m%dT%H%M%S}"
    until = re.search(r"UNTIL=(\w+)", rule)
    last = min(until[1], horizon) if until else horizon
    try:
        rrulestr(rule, dtstart=starts)
        endless = ";".join(part for part in rule.split(";") if not part.startswith(("COUNT=", "UNTIL=")))
        first = next(iter(rrulestr(f"{endless};UNTIL={last}", dtstart=starts)), None)
    except (ValueError, TypeError, KeyError, IndexError, AttributeError, OverflowError) as error:
        return f"not a rule that can be run ({error})", EXAMPLE
    if first is None:
        return f"it never comes to a day after {starts:%Y-%m-%d}", EXAMPLE
    return None
