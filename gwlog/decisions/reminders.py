"""What somebody should do now or soon: derived from the state, the garden and `now`, never stored.

Each reminder goes away by the entry that its action names, or when what it asks for no longer applies.
"""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from gwlog.decisions.expected import expected as loads_to_come
from gwlog.decisions.garden_reminders import garden_reminders
from gwlog.decisions.reminder_model import KINDS, Expected, Look, Reminder
from gwlog.decisions.routing import reader_of
from gwlog.decisions.upkeep_reminders import upkeep_reminders
from gwlog.decisions.valve_reminders import valve_reminders

if TYPE_CHECKING:
    from gwlog.decisions.exceptions import LoadException
    from gwlog.decisions.rotation import Plan
    from gwlog.state import State
    from gwlog.water.garden import Garden

DAYS_AHEAD = 3
"""Local days over which loads to come are looked for; the valve's reminders look a day and a half ahead."""


def reminders(
    state: State, garden: Garden, now: datetime, plan: Plan | None = None, expected: Expected | None = None,
    exceptions: tuple[LoadException, ...] | None = None,
) -> tuple[Reminder, ...]:
    """Return every reminder at `now`, the most pressing first, each key once.

    `expected`: loads to come as (moment UTC, usual load's name); None: those the household plans or is used to.
    Without `plan` outlets are moved by where the basins stand. `exceptions`: the loads run against a must, where they
    are known already. Empty without a site.
    """
    if state.site is None:
        return ()
    if expected is None:
        coming = plan.expected if plan is not None else loads_to_come(state, now, DAYS_AHEAD)[0]
        expected = [(load.when, load.usual_load) for load in coming if load.usual_load is not None]
    look = Look(state, garden, now, reader_of(state), tuple(expected), plan, exceptions)
    found: dict[str, Reminder] = {}
    for one in (*valve_reminders(look), *garden_reminders(look), *upkeep_reminders(look)):
        found.setdefault(one.key, one)
    moves = {one.action for one in found.values() if one.kind == "move outlet"}
    # One walk is told once: as a move of its own, where the rotation asks for it already.
    found = {key: one for key, one in found.items() if one.kind != "room gone" or one.action not in moves}
    rank = {"overdue": 0, "due": 1, "soon": 2}
    return tuple(sorted(found.values(), key=lambda one: (rank[one.state], one.due, KINDS.index(one.kind), one.key)))


__all__ = ["KINDS", "Reminder", "reminders"]
