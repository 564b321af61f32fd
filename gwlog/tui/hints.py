"""Hints for people at the screens: where words that every face shares name a command, the key that does the same.

The words themselves stay as they are for the commands; only what is shown here is told in keys.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from gwlog.actions import Words
from gwlog.errors import GwlogError

KEYS = {
    "load": "l (load)", "valve": "v (valve)", "move": "m (move)", "mulch": "c (cover)", "rain": "r (rain)",
    "observe": "o (observe)", "resolve": "s (settle)", "done": "d (done)", "where": "l (load)",
    "plan-load": "a in Plan (3)", "plan": "3 (Plan)", "today": "1 (Today)", "reminders": "1 (Today)",
    "seen": "a in Today (1)", "snooze": "z in Today (1)", "basins": "2 (Garden)", "upkeep": "5 (Upkeep)",
    "log": "4 (Log)", "correct": "x in the Log (4)", "withdraw": "w in the Log (4)", "setup": "7 (Setup)",
    "init": "7 (Setup)", "rehearse": "e (rehearse)",
    **dict.fromkeys(("report", "manual", "card", "pack", "verify", "handover", "calendar", "export", "import",
                     "backup", "weather"), "6 (Records)"),
    "restore": "F3 (from a file)",
}
"""What does on the screens the work of each command."""

_WORD = r"""(?:--[\w-]+|"[^"]*"|“[^”]*”|[A-Z][A-Z.]*(?:\.\w+)?(?![\w])|\d+|\.\.\.|garden\b|sewer\b)"""
_COMMAND = re.compile(rf"gwlog ({'|'.join(sorted(KEYS, key=len, reverse=True))})\b(?: (?:apply|show|FILE)\b)?"
                      rf"((?: {_WORD})*)")

_WHOLE: tuple[tuple[re.Pattern[str], str], ...] = tuple((re.compile(old), new) for old, new in (
    (r"^Name what was different: --.*", "Fill in what was different."),
    (r"^What can be corrected: --.*", "Fill in what was different."),
    (r"^gwlog withdraw \d+ --note .*", "Say why in a few words, like: typed twice."),
    (r'^gwlog observe "[^"]*" BASIN; basins: (.*)', r"Choose it after “At basin”: \1"),
    (r"^For example: gwlog mulch BASIN .*", "Type one depth, like 2in or 50 mm."),
    (r"^For a load to come use: gwlog plan-load .*", "A load to come is expected in Plan: 3, then a."),
    (r"^For example: --until “([^”]*)”, or --until (\w+)", r"For example: \1, or \2"),
    (r"^See them with: gwlog reminders --all", "See them in Today: 1, then A."),
    (r"gwlog load .+? --at WHEN", "l (load), then e"),
    (r'gwlog move "([^"]*)" "([^"]*)" --at "([^"]*)"', r"m (move): \1 to \2, when: \3"),
    (r'gwlog move "([^"]*)" "([^"]*)"', r"m (move): \1 to \2"),
    (r'gwlog move OUTLET BASIN --at "([^"]*)"', r"m (move), when: \1"),
    (r'gwlog correct ID --to BASIN \(its number: gwlog log --kind "outlet move"\)',
     "x in the Log (4), where f shows one kind of entry"),
    (r"If it went to the garden: gwlog correct \d+ --to garden", "If it went to the garden, choose that after “To”."),
    (r"gwlog plan-load “[^”]*” --drop", "x in Plan (3)"),
    (r"gwlog log --odd", "i in the Log (4)"),
    (r"another minute with --at", "another minute after “When”"),
    (r"in a site file: gwlog setup apply \S+", "in the setup: 7"),
    (r"\b(in|into) the site file", r"\1 the setup (7)"),
    (r"import the other rows with --leave-out", "choose to leave those rows out"),
    (r"^Make one elsewhere: .*", "Choose another file."),
    (r"^See more: gwlog verify\b.*", "Verify it under Records (6) to see more."),
    (r"\bFor a load to come use: gwlog plan-load .*", "A load to come is expected in Plan: 3, then a."),
    (r"^Choose another name, or say --replace\.", "Choose another name."),
    (r"\(gwlog report FILE\)", "(6, Records)"),
))


def here(words: Words) -> str:
    """Words that may name a command, with the keys of these screens in its place."""
    shown = str(words)
    for old, new in _WHOLE:
        shown = old.sub(new, shown)
    return _COMMAND.sub(lambda found: KEYS[found[1]], shown)


def told(fault: GwlogError, between: str = "\n") -> str:
    """What is refused and what would help, for the screens."""
    return str(fault) + (f"{between}{here(fault.hint)}" if fault.hint else "")


def told_outcome(outcome: Mapping[str, Any], between: str = "\n") -> str:
    """As `told`, of a background task that was refused: {refused, hint}."""
    return str(outcome["refused"]) + (f"{between}{here(outcome['hint'])}" if outcome.get("hint") else "")
