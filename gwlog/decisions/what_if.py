"""Questions that start with “what if”: read from words, and put into the days of a plan.

Understood: “3 loads on saturday” (that day has three loads) and “no outlet moves before sunday”.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date, datetime, time

from gwlog import clock
from gwlog.decisions.plan_cost import PlanDay, PlanLoad
from gwlog.errors import BadInput
from gwlog.values import dataclass, replace

MOST_LOADS = 12
"""More runs than that do not fit into a day of one machine (two hours each)."""

ACCEPTED = "“3 loads on saturday” or “no outlet moves before sunday”; several are joined with “and”"

_LOADS = re.compile(r"(no|\d{1,4}|one|two|three|four|five|six)\s+(?:wash\s+)?loads?\s+(?:on\s+)?(.+)")
_STAY = re.compile(r"no\s+(?:outlet\s+)?moves?\s+(before|until)\s+(.+)")
_NUMBERS = {"no": 0, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6}


@dataclass(frozen=True, slots=True)
class WhatIf:
    """What is supposed: so many loads on a day, and no outlet moved before a day."""

    loads: tuple[tuple[date, int], ...] = ()
    no_moves_before: date | None = None


def what_if(words: str, now: datetime, zone: str) -> WhatIf:
    """Read a supposition. A weekday is the coming one, today included. Raises BadInput with what is understood."""
    loads: dict[date, int] = {}
    stay: date | None = None
    text = " ".join(words.casefold().split()).rstrip("?.!").removeprefix("what if ")
    if not text:
        raise BadInput(f"There is nothing to suppose; write {ACCEPTED}.")
    for part in re.split(r"\s*(?:,|;|\band\b)\s*", text):
        counted, staying = _LOADS.fullmatch(part), _STAY.fullmatch(part)
        if staying:
            stay = _day(staying[2], words, now, zone)
        elif counted:
            number = _NUMBERS[counted[1]] if counted[1] in _NUMBERS else int(counted[1])
            if number > MOST_LOADS:
                raise BadInput(f"“{number} loads” in one day is more than a machine can run; "
                               f"0 to {MOST_LOADS} are accepted.")
            loads[_day(counted[2], words, now, zone)] = number
        else:
            raise BadInput(f"“{words.strip()[:60]}” is not something the plan can suppose; write {ACCEPTED}.")
    return WhatIf(tuple(sorted(loads.items())), stay)


def _day(typed: str, words: str, now: datetime, zone: str) -> date:
    try:
        day = clock.local_day(clock.moment(typed, now, zone, forward=True, at=time(12)), zone)
    except BadInput:
        raise BadInput(f"“{typed[:30]}” in “{words.strip()[:60]}” is not a day I can read; write a weekday, "
                       "“tomorrow” or a date like 2026-05-03.") from None
    if day < clock.local_day(now, zone):
        raise BadInput(f"{day.isoformat()} in “{words.strip()[:60]}” has passed; a day from today on is accepted.")
    return day


def suppose(days: Sequence[PlanDay], supposed: WhatIf, usual: PlanLoad) -> tuple[PlanDay, ...]:
    """The plan's days as supposed. `usual`: the load that fills up a day. Raises BadInput beyond the last day."""
    last = days[-1].day
    for day, _ in supposed.loads:
        if day > last:
            raise BadInput(f"{day.isoformat()} is beyond the plan, which ends on {last.isoformat()}.",
                           hint="Plan more days, or suppose an earlier one.")
    counts = dict(supposed.loads)
    changed = []
    for one in days:
        count = counts.get(one.day)
        if count is not None:
            extra = (usual,) * max(0, count - len(one.loads))
            one = replace(one, loads=(*one.loads[:count], *extra))
        if supposed.no_moves_before is not None and one.day < supposed.no_moves_before:
            one = replace(one, may_move=False)
        changed.append(one)
    return tuple(changed)
