"""The fortnight's plan and the garden's capacity for the screens, worked out in a thread so that no key waits.

What is worked out stays with the look at the household that it belongs to.
"""

from __future__ import annotations

import asyncio
from dataclasses import dataclass
from typing import TYPE_CHECKING

from gwlog.errors import BadInput, GwlogError
from gwlog.tui import key_hints

if TYPE_CHECKING:
    from gwlog.decisions.capacity import Capacity
    from gwlog.decisions.plan_cost import Totals, Weights
    from gwlog.decisions.rotation import Plan
    from gwlog.decisions.what_if import WhatIf
    from gwlog.household import Household


FORTNIGHT = 14


@dataclass(frozen=True, slots=True)
class Asked:
    """What is supposed instead of the usual plan, as it was typed: words, a number of days, weights."""

    words: str = ""
    days: str = ""
    weights: str = ""

    def __bool__(self) -> bool:
        return bool(self.words or self.days or self.weights)


@dataclass(frozen=True, slots=True)
class Planned:
    """A plan and the capacity, or the words that say why there is none. `done`: they have been worked out.

    `before`: the totals for the same days with nothing supposed, where something is.
    """

    plan: Plan | None = None
    capacity: Capacity | None = None
    trouble: str | None = None
    done: bool = True
    before: Totals | None = None

    def __bool__(self) -> bool:
        return self.done


_OPEN = Planned(done=False)


class Planner:
    """Works out one look's plan once, whoever asks for it and however often."""

    def __init__(self) -> None:
        self._home: Household | None = None
        self._task: asyncio.Task[Planned] | None = None

    def known(self, home: Household) -> Planned:
        """What is known by now; false until it has been worked out."""
        return self._task.result() if self._home is home and self._task is not None and self._task.done() else _OPEN

    async def plans(self, home: Household) -> Planned:
        """The usual plan and the capacity, worked out when they are first asked for."""
        if self._home is not home or self._task is None:
            self._home, self._task = home, asyncio.create_task(asyncio.to_thread(_work_out, home, None))
        # whoever leaves off waiting does not stop the work for the others
        return await asyncio.shield(self._task)


async def supposing(home: Household, asked: Asked) -> Planned:
    """The plan if what is typed came true. Nothing is logged."""
    return await asyncio.to_thread(_work_out, home, asked)


def judge(home: Household, asked: Asked) -> tuple[int, Weights | None, WhatIf | None]:
    """Read what was typed: days, weights, what is supposed. Raises BadInput for what cannot be read."""
    from gwlog.decisions.rotation import MOST_DAYS
    from gwlog.decisions.what_if import what_if
    from gwlog.views.plan import read_weights

    days = FORTNIGHT
    if asked.days:
        typed = asked.days.casefold().removesuffix("days").removesuffix("day").strip()
        if not typed.isdecimal() or len(typed) > 5 or not 1 <= int(typed) <= MOST_DAYS:
            raise BadInput(f"“{asked.days[:30]}” is not a number of days to plan; use 1 to {MOST_DAYS}.")
        days = int(typed)
    weights = read_weights(home, asked.weights) if asked.weights else None
    return days, weights, what_if(asked.words, home.now, home.zone) if asked.words else None


def _work_out(home: Household, asked: Asked | None) -> Planned:
    from gwlog.decisions.capacity import capacity

    try:
        if not asked:
            return Planned(home.plan_for(), capacity(home.state, home.garden, home.now))
        days, weights, supposed = judge(home, asked)
        plan = home.plan_for(days=days, weights=weights, what_if=supposed)
        before = home.plan_for(days=days).totals if weights is not None or supposed is not None else None
        return Planned(plan, capacity(home.state, home.garden, home.now), before=before)
    except GwlogError as trouble:
        return Planned(trouble=key_hints.refused(trouble))
