"""Loads that the household expects: a usual load at a time to come, once or by a rule of recurrence.

Nothing is written here; `append` does that. Refusals are BadInput and leave no trace.
"""

from __future__ import annotations

from datetime import date, datetime

from gwlog import clock, text
from gwlog.errors import BadInput
from gwlog.faces.entries import author, usual_load_names
from gwlog.faces.present.household import Household
from gwlog.journal.facts import PlannedLoad


def plan_load(home: Household, load_name: str, on: str, every: str | None, *, by: str | None = None,
              note: str | None = None) -> PlannedLoad:
    """A usual load expected at a local time, repeated by an RFC 5545 rule."""
    name = text.pick("usual load", load_name, usual_load_names(home))
    moment = clock.moment(on, home.now, home.zone, forward=True)
    if clock.local_day(moment, home.zone) < clock.local_day(home.now, home.zone):
        raise BadInput(f"{clock.echo(moment, home.zone)} is past; a load is expected from today on.",
                       hint=f"A load that ran is logged with: gwlog load {name} --at WHEN")
    starts = clock.local(moment, home.zone).replace(tzinfo=None)
    rule = None if every is None else read_rule(every)
    writer = author(home, by=by, note=note)
    label, count = name, 2
    while label in home.state.planned_loads and home.state.planned_loads[label].active:
        label, count = f"{name} {count}", count + 1
    return PlannedLoad(happened_at=writer.happened_at, zone=home.zone, recorded_by=writer.by,
                       note=writer.note, name=label, load=name, starts=starts.isoformat(timespec="minutes"),
                       every=rule)


def read_rule(every: str) -> str:
    """An RFC 5545 recurrence rule, checked; “daily”, “weekly”, “2 weeks” and “monthly” are understood too."""
    words = " ".join(every.casefold().split())
    plain = {"day": "DAILY", "daily": "DAILY", "week": "WEEKLY", "weekly": "WEEKLY", "month": "MONTHLY",
             "monthly": "MONTHLY", "2 weeks": "WEEKLY;INTERVAL=2", "two weeks": "WEEKLY;INTERVAL=2"}
    rule = f"FREQ={plain[words]}" if words in plain else every.strip().upper().removeprefix("RRULE:")
    from dateutil.rrule import rrulestr

    try:
        rrulestr(rule, dtstart=datetime(2026, 1, 1))  # noqa: DTZ001 - rules run on wall time
    except (ValueError, TypeError, KeyError, AttributeError, OverflowError):
        raise BadInput(f"“{every[:60]}” is not a recurrence rule; write one like FREQ=WEEKLY;BYDAY=SA "
                       "(RFC 5545), or daily, weekly, monthly, “2 weeks”.") from None
    return rule


def day_ahead(home: Household, typed: str) -> date:
    """A local day to come: a weekday means the next one."""
    return clock.local_day(clock.moment(typed, home.now, home.zone, forward=True), home.zone)
