"""The fortnight's plan and the garden's capacity for the screens, worked out in a thread so that no key waits.

What is worked out stays with the look at the household that it belongs to.
"""

from __future__ import annotations

import asyncio
from dataclasses import dataclass
from typing import TYPE_CHECKING

from gwlog.errors import GwlogError

if TYPE_CHECKING:
    from gwlog.decisions.capacity import Capacity
    from gwlog.decisions.rotation import Plan
    from gwlog.faces.present.household import Household


@dataclass(frozen=True, slots=True)
class Planned:
    """A plan and the capacity, or the words that say why there is none. `done`: they have been worked out."""

    plan: Plan | None = None
    capacity: Capacity | None = None
    trouble: str | None = None
    done: bool = True

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


async def supposing(home: Household, words: str) -> Planned:
    """The plan if what is typed came true. Nothing is logged."""
    return await asyncio.to_thread(_work_out, home, words)


def _work_out(home: Household, words: str | None) -> Planned:
    from gwlog.decisions.capacity import capacity
    from gwlog.decisions.what_if import what_if

    try:
        plan = home.plan_for(what_if=what_if(words, home.now, home.zone)) if words else home.plan_for()
        return Planned(plan, capacity(home.state, home.garden, home.now))
    except GwlogError as trouble:
        return Planned(trouble=f"{trouble}\n{trouble.hint}" if trouble.hint else str(trouble))
