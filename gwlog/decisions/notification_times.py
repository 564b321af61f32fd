"""When people are told of a reminder: its moments, moved out of quiet hours, each under a label that stands still.

Wall times are the household's: they keep their hour over a change to or from summer time.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import TYPE_CHECKING

from gwlog.clock import attach, local
from gwlog.errors import BadInput

if TYPE_CHECKING:
    from gwlog.decisions.reminder_model import Reminder

EVENING_BEFORE = "evening before"
LONGEST_LEAD = timedelta(hours=36)
"""How far ahead a load to come is looked at (see valve_reminders): a longer lead would have nothing to tell."""

ACCEPTED_LEAD = f"“{EVENING_BEFORE}”, or a time ahead up to 36 hours like “1 hour” or “30 minutes”"


@dataclass(frozen=True, slots=True)
class Lead:
    """How long before a load people are told. `ahead` None: the evening before."""

    label: str
    ahead: timedelta | None


def lead(words: str) -> Lead:
    """Read “evening before”, “1 hour”, “30 minutes”. Raises BadInput naming what is accepted."""
    plain = " ".join(words.casefold().split())
    if plain == EVENING_BEFORE:
        return Lead(EVENING_BEFORE, None)
    match = re.fullmatch(r"(\d{1,4}) ?(minute|hour)s?", plain)
    ahead = timedelta(**{f"{match[2]}s": int(match[1])}) if match else timedelta(0)
    if not timedelta(0) < ahead <= LONGEST_LEAD:
        raise BadInput(f"“{words[:40]}” is not a lead time; write {ACCEPTED_LEAD}.")
    minutes = round(ahead.total_seconds() / 60)
    return Lead(f"{minutes} minutes before", ahead)


@dataclass(frozen=True, slots=True)
class Times:
    """When a household likes to be told. Wall times of its own zone."""

    evening: time = time(19, 0)
    morning: time = time(8, 0)
    leads: tuple[Lead, ...] = (Lead(EVENING_BEFORE, None), Lead("60 minutes before", timedelta(hours=1)))


@dataclass(frozen=True, slots=True)
class Quiet:
    """Hours of the day in which nobody is told anything; over midnight where `end` is the earlier one."""

    start: time
    end: time

    def covers(self, wall: time) -> bool:
        """Whether a wall time is in them."""
        if self.start <= self.end:
            return self.start <= wall < self.end
        return wall >= self.start or wall < self.end

    def spell(self, moment: datetime, zone: str) -> tuple[datetime, datetime] | None:
        """Beginning and end (UTC) of the quiet hours that a moment falls into, None when it falls into none."""
        here = local(moment, zone)
        if not self.covers(here.time()):
            return None
        over_midnight = self.start > self.end
        first = here.date() - timedelta(days=1) if over_midnight and here.time() < self.end else here.date()
        last = first + timedelta(days=1) if over_midnight else first
        return (attach(datetime.combine(first, self.start), zone), attach(datetime.combine(last, self.end), zone))


@dataclass(frozen=True, slots=True)
class Telling:
    """One time that people are told of a reminder: a label that stands still, and its moment (UTC)."""

    label: str
    moment: datetime


def tellings(reminder: Reminder, times: Times, zone: str, quiet: Quiet | None = None) -> tuple[Telling, ...]:
    """Every moment at which a reminder is told, in order, moved out of the quiet hours.

    A telling ahead of a load that the quiet hours would push past its moment comes before they begin instead.
    """
    due = reminder.due
    if reminder.timing == "ahead of a load":
        found = [Telling(one.label, _evening(due, times, zone) if one.ahead is None else due - one.ahead)
                 for one in times.leads]
        found = [one for one in found if one.moment <= due]
    elif reminder.timing == "the evening before":
        found = [Telling(EVENING_BEFORE, _evening(due, times, zone))]
    elif reminder.timing == "that morning":
        day = local(due, zone).date()
        found = [Telling("that morning", max(due, attach(datetime.combine(day, times.morning), zone)))]
    else:
        found = [Telling("at once", due)]
    moved = (Telling(one.label, _out_of(one.moment, _latest(reminder), quiet, zone)) for one in found)
    return tuple(sorted(moved, key=lambda one: one.moment))


def _evening(due: datetime, times: Times, zone: str) -> datetime:
    day: date = local(due, zone).date() - timedelta(days=1)
    return attach(datetime.combine(day, times.evening), zone)


def _latest(reminder: Reminder) -> datetime | None:
    """The moment after which telling it is too late, None when it is never."""
    return reminder.due if reminder.timing == "ahead of a load" else None


def _out_of(moment: datetime, latest: datetime | None, quiet: Quiet | None, zone: str) -> datetime:
    spell = quiet.spell(moment, zone) if quiet is not None else None
    if spell is None:
        return moment
    first, last = spell
    # One minute before they begin, so that what is told then is told while they have not begun.
    return first - timedelta(minutes=1) if latest is not None and last > latest else last


def due_telling(reminder: Reminder, now: datetime, times: Times, zone: str,
                quiet: Quiet | None = None) -> Telling | None:
    """The last telling whose moment has come, so that what was missed is told once; None when none has.

    In quiet hours only what would be too late after them is told.
    """
    every = tellings(reminder, times, zone, quiet)
    come = [one for one in every if one.moment <= now]
    if reminder.state == "overdue" and not come:
        come = list(every[:1])
    if not come:
        return None
    spell = quiet.spell(now, zone) if quiet is not None else None
    if spell is not None:
        latest = _latest(reminder)
        if latest is None or not now <= latest < spell[1]:
            return None
    return come[-1]


def next_moment(found: Iterable[Reminder], now: datetime, times: Times, zone: str,
                quiet: Quiet | None = None) -> datetime | None:
    """The next moment at which one of these reminders is told, or the quiet hours end; None when there is none."""
    moments = [one.moment for reminder in found for one in tellings(reminder, times, zone, quiet) if one.moment > now]
    spell = quiet.spell(now, zone) if quiet is not None else None
    if spell is not None:
        moments.append(spell[1])
    return min(moments, default=None)
