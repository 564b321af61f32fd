"""Which entries were written under a wrong clock, as far as the entries themselves show it. Nothing of it is stored.

The order of the numbers is the order in which entries were written, so the moments of writing should never go back.
check_seal.py holds the same rule for whoever has no gwlog; a test holds one against the other.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

AHEAD = timedelta(minutes=5)
"""So far clocks may differ, and a moment may lie ahead of the clock. Working assumption."""

FAR_AHEAD = timedelta(days=365)
"""Nothing written for so long is more often a clock that is ahead than a household that rested. Working assumption."""

BEHIND, RAN_AHEAD = "clock behind", "clock ahead"


def marks(written: Sequence[tuple[int, datetime]]) -> dict[int, str]:
    """Number -> mark, of entries given by number and moment of writing, in order of their numbers.

    “clock behind”: written at a moment before that of an earlier entry. “clock ahead”: more than a year after every
    entry before it (or, for the first, after a later one), while a later entry is before it; those after it are then
    not behind for its sake.
    """
    lowest_after: list[datetime | None] = []
    lowest: datetime | None = None
    for _, moment in reversed(written):
        lowest_after.append(lowest)
        lowest = moment if lowest is None else min(lowest, moment)
    highest: datetime | None = None
    found = {}
    for (number, moment), later in zip(written, reversed(lowest_after), strict=True):
        before = later if highest is None else highest
        if highest is not None and moment < highest - AHEAD:
            found[number] = BEHIND
        elif later is not None and before is not None and later < moment - AHEAD and moment > before + FAR_AHEAD:
            found[number] = RAN_AHEAD
        else:
            highest = moment if highest is None else max(highest, moment)
    return found


def in_order(written: Sequence[tuple[int, datetime]]) -> bool:
    """Whether no moment lies before an earlier one's, so that nothing is to be marked."""
    highest: datetime | None = None
    for _, moment in written:
        if highest is not None and moment < highest - AHEAD:
            return False
        highest = moment if highest is None else max(highest, moment)
    return True
