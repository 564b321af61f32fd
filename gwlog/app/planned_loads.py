"""Loads that the household expects: a usual load at a time to come, once or by a rule of recurrence.

Nothing is written here; `append` does that. Refusals are BadInput and leave no trace.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta

from gwlog import clock, text
from gwlog.actions import Action, Hint
from gwlog.app.entries import read_author, usual_load_names
from gwlog.decisions.entry_limits import MOST_SKIPS
from gwlog.errors import BadInput
from gwlog.household import Household
from gwlog.journal.facts import PlannedLoad

PLAIN_RULES = {"daily": "FREQ=DAILY", "weekly": "FREQ=WEEKLY", "2 weeks": "FREQ=WEEKLY;INTERVAL=2",
               "monthly": "FREQ=MONTHLY"}
_DAYS = {"monday": "MO", "tuesday": "TU", "wednesday": "WE", "thursday": "TH", "friday": "FR", "saturday": "SA",
         "sunday": "SU"}
_ALSO = {"day": "daily", "week": "weekly", "two weeks": "2 weeks", "month": "monthly"}
MOST_LOOKED_AT = 400
MOST_COMPARED = 20
LOOK_AHEAD_DAYS = (16, 92, 800)
"""How far the next dates are looked for; further only where nearer there are too few."""


@dataclass(frozen=True, slots=True)
class Change:
    """A planned load said anew: the entry ready to append, and what becomes of the load in words."""

    draft: PlannedLoad
    words: str

    @property
    def facts(self) -> tuple[PlannedLoad]:
        """What is to be appended."""
        return (self.draft,)


def plan_load(home: Household, load_name: str, on: str, every: str | None, *, by: str | None = None,
              note: str | None = None) -> PlannedLoad:
    """A usual load expected at a local time, repeated by an RFC 5545 rule."""
    name = text.pick("usual load", load_name, usual_load_names(home))
    moment = clock.moment(on, home.now, home.zone, forward=True)
    if clock.local_day(moment, home.zone) < clock.local_day(home.now, home.zone):
        raise BadInput(f"{clock.echo(moment, home.zone)} is past; a load is expected from today on.",
                       hint=Hint("A load that ran is logged with: ", Action("load", load=name, at="WHEN")))
    starts = clock.local(moment, home.zone).replace(tzinfo=None)
    rule = None if every is None else read_rule(every, starts, home.zone)
    author = read_author(home, by=by, note=note)
    label, count = name, 2
    while label in home.state.planned_loads and home.state.planned_loads[label].active:
        label, count = f"{name} {count}", count + 1
    draft = PlannedLoad(happened_at=author.happened_at, zone=home.zone, recorded_by=author.by,
                        note=author.note, name=label, load=name, starts=starts.isoformat(timespec="minutes"),
                        every=rule)
    _refuse_doubled(home, draft)
    return draft


def _refuse_doubled(home: Household, draft: PlannedLoad) -> None:
    """Ask about a load that is planned already for the same minute. Raises BadInput."""
    mine = set(coming(home, draft, MOST_COMPARED))
    for plan in planned(home).values():
        both = mine & set(coming(home, plan, MOST_COMPARED)) if plan.load == draft.load else set()
        if both:
            first = min(both)
            raise BadInput(
                f"“{draft.load}” is planned already for {clock.echo(clock.attach(first, home.zone), home.zone)}, as "
                f"“{plan.name}”. Is that the same load?",
                hint=Hint("If two run then, give the second one another minute. To plan it again: ",
                          Action("plan-load", load=plan.name, drop=""), " first."))


def read_rule(every: str, starts: datetime | None = None, zone: str = "UTC") -> str:
    """An RFC 5545 recurrence rule in its canonical writing; also “daily”, “weekly”, “2 weeks”, “monthly”, “mon, thu”.

    Raises BadInput where it cannot be read or, given the first load's wall time, never comes round.
    """
    from gwlog.decisions.recurrence import accepted
    from gwlog.decisions.recurrence_rule import canonical, parse

    words = " ".join(every.casefold().split())
    words = _ALSO.get(words, words)
    if words in PLAIN_RULES:
        return PLAIN_RULES[words]
    days = [_weekday(word) for word in re.split(r"[\s,]+|\band\b", words.removeprefix("every ")) if word]
    if days and all(days):
        return "FREQ=WEEKLY;BYDAY=" + ",".join(day for day in _DAYS.values() if day in days)
    rule = canonical(every)
    try:
        parse(rule, zone)
    except BadInput as fault:
        if "=" in rule and len(rule) <= 200:  # somebody knows how rules are written: say which part is wrong
            raise
        raise BadInput(f"“{every[:60]}” is not a recurrence rule; write one like FREQ=WEEKLY;BYDAY=SA "
                       "(RFC 5545), or daily, weekly, monthly, “2 weeks”, “mon, thu”.") from fault
    return rule if starts is None else accepted(rule, starts, zone)


def _weekday(word: str) -> str | None:
    return next((sign for name, sign in _DAYS.items() if len(word) > 2 and name.startswith(word)), None)


def rule_words(every: str | None) -> str:
    """How a planned load comes round, in plain words where they say all of it."""
    if every is None:
        return "once"
    parts = dict(part.partition("=")[::2] for part in every.upper().split(";"))
    frequency, step, days = parts.pop("FREQ", ""), parts.pop("INTERVAL", "1"), parts.pop("BYDAY", "")
    unit = {"DAILY": "day", "WEEKLY": "week", "MONTHLY": "month"}.get(frequency)
    names = {sign: name[:3].capitalize() for name, sign in _DAYS.items()}
    if unit is None or parts or not step.isdecimal() or (days and frequency != "WEEKLY") or \
            not set(days.split(",")) <= {*names, ""}:
        return every
    words = f"every {unit}" if step == "1" else f"every {step} {unit}s"
    if days:
        on = text.listed([names[day] for day in days.split(",")])
        return f"every {on}" if step == "1" else f"{words} on {on}"
    return words


def planned(home: Household) -> dict[str, PlannedLoad]:
    """The planned loads that are still expected, by name."""
    return {name: plan for name, plan in home.state.planned_loads.items() if plan.active}


def change(home: Household, load_name: str, *, skip: Sequence[str] = (), drop: bool = False, by: str | None = None,
           note: str | None = None) -> Change:
    """A planned load with days left out, or (`drop`) expected no longer. `skip`: days as people type them."""
    active = planned(home)
    plan = active[text.pick("planned load", load_name, list(active))]
    who = read_author(home, by=by, note=note)
    days = sorted({day_ahead(home, day) for day in skip})
    skips = tuple(sorted({*plan.skips, *(day.isoformat() for day in days)}))
    if len(skips) > MOST_SKIPS:
        raise BadInput(f"{plan.name} would skip {len(skips):,} days; use up to {MOST_SKIPS:,}.")
    _refuse_idle(home, plan, days)
    draft = replace(plan, id=0, corrects_id=None, happened_at=who.happened_at, recorded_by=who.by, note=who.note,
                    active=not drop, skips=skips)
    if drop:
        return Change(draft, f"{plan.name} is no longer planned.")
    return Change(draft, f"{plan.name} skips {_said(home, days)}.")


def _said(home: Household, days: Sequence[date], word: str = "and") -> str:
    """One day with its weekday and year; several in short, the year where it is not this one."""
    if len(days) == 1:
        return clock.echo_date(days[0], home.system)
    this_year = clock.local(home.now, home.zone).year
    return text.listed([(clock.short_day if day.year == this_year else clock.short_date)(day, home.system)
                        for day in days], word)


def _refuse_idle(home: Household, plan: PlannedLoad, days: Sequence[date]) -> None:
    """A day on which the load is not expected cannot be left out. Raises BadInput with the next days that can."""
    moments = coming(home, plan, MOST_LOOKED_AT)
    if plan.every and not moments:
        return  # it comes round too often, or no more, for its days to be told
    known = {wall.date() for wall in moments}
    idle = [day for day in days if day not in known and (len(moments) < MOST_LOOKED_AT or day < max(known))]
    if idle:
        strange = _said(home, idle)
        offered = _said(home, sorted(known)[:3], "or")
        raise BadInput(f"{plan.name} is not expected on {strange}.",
                       hint=f"It is expected next on {offered}." if offered else None)


def day_ahead(home: Household, typed: str) -> date:
    """A local day to come: a weekday means the next one."""
    return clock.local_day(clock.moment(typed, home.now, home.zone, forward=True), home.zone)


def coming(home: Household, plan: PlannedLoad, count: int) -> list[datetime]:
    """The next wall times of a planned load from this morning on, skipped days left out; none where none is known."""
    from gwlog.decisions.recurrence import occurrences
    from gwlog.decisions.recurrence_rule import parse

    today = clock.local_day(home.now, home.zone)
    try:
        starts = clock.wall(plan.starts)
        if starts.tzinfo is not None:
            starts = clock.local(starts, home.zone).replace(tzinfo=None)
        rule = parse(plan.every, home.zone) if plan.every else None
        first = max(datetime.combine(today, time()), starts)
        skips = frozenset(plan.skips)
        found: list[datetime] = []
        for days in LOOK_AHEAD_DAYS:
            found = [wall for wall in occurrences(rule, starts, first, first + timedelta(days=days))
                     if wall.date().isoformat() not in skips]
            if len(found) >= count:
                break
    except (BadInput, ValueError, OverflowError):
        return []
    return found[:count]
