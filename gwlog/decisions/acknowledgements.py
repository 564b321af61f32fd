"""What people answered to reminders: seen ones are not told again, those put off not before their time.

An answer is an entry of the log; the reminder itself goes away only by what settles it.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import TYPE_CHECKING

from gwlog.clock import echo
from gwlog.decisions.reminder_model import also_former

if TYPE_CHECKING:
    from gwlog.decisions.reminder_model import Reminder
    from gwlog.journal.facts import ReminderAnswer
    from gwlog.state import State


def answer_to(state: State, key: str) -> ReminderAnswer | None:
    """The last answer to a reminder, also one that was given when its kind had another name."""
    return next((state.answers[each] for each in also_former(key) if each in state.answers), None)


def put_off_until(state: State, key: str, now: datetime) -> datetime | None:
    """Until when a reminder was put off (UTC), None when it is not or no longer."""
    answer = answer_to(state, key)
    if answer is None or answer.until is None:
        return None
    until = datetime.fromisoformat(answer.until)
    return until if until > now else None


def unanswered(found: Iterable[Reminder], state: State, now: datetime) -> tuple[Reminder, ...]:
    """The reminders that nobody has answered, or whose time has come again, in their order."""
    return tuple(one for one in found if said(state, one.key, now) is None)


def said(state: State, key: str, now: datetime) -> str | None:
    """What was answered to a reminder in words, None when nothing that still counts was."""
    answer = answer_to(state, key)
    if answer is None:
        return None
    who = f" by {answer.recorded_by}" if answer.recorded_by else ""
    if answer.answer == "seen":
        return f"seen{who}"
    until = put_off_until(state, key, now)
    return None if until is None else f"put off{who} until {echo(until, state.zone)}"
