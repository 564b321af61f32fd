"""Recurrence rules in a site file: read by decisions/recurrence_rule as everywhere else.

Refusals are put into the form of a site file's faults: what is wrong, what to use.
"""

from __future__ import annotations

from datetime import datetime
from typing import Any

from gwlog.decisions.recurrence import accepted
from gwlog.decisions.recurrence_rule import PARTS, RuleRefused, canonical, parse
from gwlog.text import listed

EXAMPLE = "use a rule like “FREQ=WEEKLY;BYDAY=SA” (RFC 5545)"
Wrong = tuple[str, str]


def read_rule(raw: Any, zone: str = "UTC") -> tuple[str | None, Wrong | None]:
    """The rule in its canonical writing, or what is wrong with it and what to use."""
    if not isinstance(raw, str):
        return None, ("not a rule", EXAMPLE)
    try:
        parse(raw, zone)
    except RuleRefused as fault:
        return None, _in_words(fault)
    return canonical(raw), None


def never_comes(rule: str, starts: datetime, zone: str) -> Wrong | None:
    """What is wrong where the rule never comes round from `starts` (naive wall time in `zone`), else None."""
    try:
        accepted(rule, starts, zone)
    except RuleRefused as fault:
        return _in_words(fault)
    return None


def _in_words(fault: RuleRefused) -> Wrong:
    """A fault as a site file's faults are told: what is wrong, what to use."""
    match fault.fault:
        case "unknown part":
            return (f"“{fault.part[:20]}” is not a part of a rule that can be used",
                    f"use {listed(PARTS, 'or')}")
        case "twice":
            return f"{fault.part} stands twice", "keep one of the two"
        case "missing":
            return "FREQ is missing", EXAMPLE
        case "together":
            return "COUNT and UNTIL stand together", "keep one of the two"
        case "numbered weekday":
            return "a numbered weekday needs FREQ=MONTHLY or YEARLY", EXAMPLE
        case "not a day":
            return f"not a rule that can be run (UNTIL {fault.value} is no day)", EXAMPLE
        case "value":
            return f"{fault.part} cannot be “{fault.value[:20]}”", EXAMPLE
    return fault.wrong, f"use {fault.accepted}" if fault.fault != "never" else EXAMPLE
