"""What somebody should do now or soon: derived from the state, the garden and the advice, never stored.

Each reminder goes away by the entry that its action names, or when what it asks for no longer applies.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from gwlog.decisions.garden_reminders import garden_reminders
from gwlog.decisions.query import reader_of
from gwlog.decisions.reminder_model import KINDS, Look, Reminder
from gwlog.decisions.upkeep_reminders import upkeep_reminders
from gwlog.decisions.valve_reminders import valve_reminders

if TYPE_CHECKING:
    from gwlog.decisions.advice import Advice
    from gwlog.decisions.exceptions import LoadException

DAYS_AHEAD = 3
"""Local days over which loads to come are looked for; the valve's reminders look a day and a half ahead."""

AT_A_TIME = ("valve to sewer", "valve to garden", "garden shut for weather", "next load will not fit", "move outlet")
"""What has to be done before a load or at once: it matters from so long before its time on."""

MATTERS_FROM = timedelta(hours=12)


def reminders(advice: Advice, exceptions: tuple[LoadException, ...] | None = None) -> tuple[Reminder, ...]:
    """Return every reminder at the advice's moment, ordered by when they matter, each key and each act once.

    `exceptions`: the loads run against a must, where they are known already. Empty without a site.
    """
    state = advice.state
    if state.site is None:
        return ()
    if exceptions is None:
        from gwlog.decisions.exceptions import exceptions as run_against_a_must

        exceptions = run_against_a_must(state, advice.garden)
    look = Look(state, advice.garden, advice.now, reader_of(state), advice, exceptions)
    found: dict[str, Reminder] = {}
    for one in (*valve_reminders(look), *garden_reminders(look), *upkeep_reminders(look)):
        found.setdefault(one.key, one)
    return tuple(sorted(found.values(), key=lambda one: (
        _rank(one, look.now), one.due, KINDS.index(one.kind), one.key)))


def _rank(one: Reminder, now: datetime) -> int:
    """What is done before a load of the next hours first, then what is unsafe, then what is late, due, and soon."""
    if one.kind in AT_A_TIME and one.due <= now + MATTERS_FROM:
        return 0
    if one.pressing and one.state != "soon":
        return 1
    return {"overdue": 2, "due": 3, "soon": 4}[one.state]


__all__ = ["KINDS", "Reminder", "reminders"]
