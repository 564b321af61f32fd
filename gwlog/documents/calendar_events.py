"""The events of the coming 60 days: turns, planned loads with their verdict, reminders, upkeep.

Each event has a stable key, so that a later export updates it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING

from gwlog import clock, text
from gwlog.actions import Action
from gwlog.decisions.expected import ExpectedLoad, expected
from gwlog.decisions.load_rules import load_reasons
from gwlog.decisions.query import query_for
from gwlog.decisions.upkeep_reminders import YEARLY_RECORD
from gwlog.errors import BadInput, UnknownName
from gwlog.household import Household

if TYPE_CHECKING:
    from gwlog.decisions.answer import Answer
    from gwlog.decisions.rotation import Plan

DAYS = 60
A_LOAD = timedelta(hours=1)
A_MOMENT = timedelta(minutes=15)
AT_THE_VALVE = ("valve to sewer", "valve to garden", "next load will not fit")
SUMMARIES = {
    "valve to sewer": "turn valve to sewer before {}", "valve to garden": "turn valve back to garden",
    "garden shut for weather": "garden shut: {}", "next load will not fit": "turn valve to sewer: {} will not fit",
    "move outlet": "move {}", "other water": "bring other water to {}", "basin ready again": "{} is ready again",
    "mulch due": "top up mulch at {}", "leaching owed": "flush owed at {}", "upkeep": "{}",
    "label to check": "check label: {}", "yearly record": "{}",
}
"""The title of an event by its kind of reminder; what is followed up is told whole."""
WITHIN_REMINDERS = timedelta(hours=36)


@dataclass(frozen=True, slots=True)
class CalendarEvent:
    """One event: all day from `start` up to before `end` (dates), or from instant to instant (UTC)."""

    key: str
    start: date | datetime
    end: date | datetime
    summary: str
    description: str
    category: str


def events(home: Household, days: int = DAYS) -> tuple[CalendarEvent, ...]:
    """Every event of the coming `days`, in order of time, each key once."""
    plan: Plan | None
    try:
        plan = home.plan_for(days=days)
    except BadInput:
        plan = None   # without a basin or an outlet there are no turns; loads and upkeep there are
    found: dict[str, CalendarEvent] = {}
    for one in (*_reminders(home), *_upkeep(home, days), *_loads(home, plan, days), *_turns(home, plan)):
        found.setdefault(one.key, one)
    return tuple(sorted(found.values(), key=lambda one: (_day(home, one.start), str(one.start), one.key)))


def _day(home: Household, start: date | datetime) -> date:
    return clock.local_day(start, home.zone) if isinstance(start, datetime) else start


def summary_of(kind: str, subject: str) -> str:
    """The title of a reminder's event: “Turn valve to sewer before diapers”."""
    return text.capital(SUMMARIES[kind].format(subject))


def _all_day(key: str, first: date, last: date, summary: str, description: str, category: str) -> CalendarEvent:
    return CalendarEvent(key, first, last + timedelta(days=1), summary, description, category)


def _reminders(home: Household) -> Iterator[CalendarEvent]:
    for one in home.every_reminder:
        words = "\n".join((one.text, *(str(action) for action in one.actions)))
        summary = summary_of(one.kind, one.subject) if one.kind != "follow up" else one.text
        if one.kind in AT_THE_VALVE:
            yield CalendarEvent(one.key, one.due - A_MOMENT, one.due, summary, words, "reminder")
        else:
            day = clock.local_day(one.due, home.zone)
            yield _all_day(one.key, day, day, summary, words, "reminder")


def _upkeep(home: Household, days: int) -> Iterator[CalendarEvent]:
    last = clock.local_day(home.now, home.zone) + timedelta(days=days)
    for item in home.upkeep:
        if item.state != "later" or item.due > last:
            continue
        kind = YEARLY_RECORD if item.name.casefold() == YEARLY_RECORD else "upkeep"
        name = text.one_line(item.name).replace("|", "/")
        yield _all_day(f"{kind}|{name}|{item.due.isoformat()}", item.due, item.due, summary_of(kind, item.name),
                       f"{item.often.capitalize()}.", "upkeep")


def _loads(home: Household, plan: Plan | None, days: int) -> Iterator[CalendarEvent]:
    advised = {(one.expected.when, one.expected.name): one for one in home.advice.loads if one.expected is not None}
    coming = plan.expected if plan is not None else expected(home.state, home.now, days)[0]
    places = _places(plan) if plan is not None else {}
    for load in coming:
        if not load.planned:
            continue
        against = _against(home, load)
        queue = places.get((load.day, load.name), [])
        where = queue.pop(0) if queue else ("sewer: " + against if against else "see “gwlog where”")
        if (answer := advised.get((load.when, load.name))) is not None:
            where = _place(answer)
        wall = clock.local(load.when, home.zone).replace(tzinfo=None)
        water = home.reader.volume(load.litres)
        yield CalendarEvent(f"load|{load.name}|{wall.isoformat(timespec='minutes')}", load.when, load.when + A_LOAD,
                            f"Wash {load.name} ({where.partition(': ')[0]})", f"{water}, to {where}", "load")
        if against and load.when > home.now + WITHIN_REMINDERS:
            # Nearer ones are among the reminders already, unless the valve stands right.
            day = clock.local_day(load.when, home.zone)
            yield CalendarEvent(
                f"valve to sewer|{text.one_line(load.name).replace('|', '/')}|{day.isoformat()}",
                load.when - A_MOMENT, load.when, summary_of("valve to sewer", load.name),
                f"Turn the valve to sewer before “{load.name}”, {clock.echo(load.when, home.zone)}: {against}\n"
                f"{Action('valve', to='sewer')}", "reminder")


def _place(answer: Answer) -> str:
    """Where the advice sends a load: “garden: Fig and Apple” or “sewer: why”."""
    if answer.verdict == "sewer":
        return f"sewer: {answer.why}"
    return f"garden: {text.listed(list(dict.fromkeys(one.basin for one in answer.deliveries)))}"


def _against(home: Household, load: ExpectedLoad) -> str | None:
    """What speaks against the garden in the load itself, whenever it runs."""
    try:
        reasons = load_reasons(query_for(home.state, load.usual_load))
    except UnknownName:
        return None
    return reasons[0].text if reasons else None


def _places(plan: Plan) -> dict[tuple[date, str], list[str]]:
    """Where the plan puts each load, in order, by its day and name."""
    reasons: dict[tuple[date, str], list[str]] = {}
    for one in plan.sewer:
        reasons.setdefault((one.day, one.load), []).append(one.reason)
    found: dict[tuple[date, str], list[str]] = {}
    for step in plan.steps:
        key = (plan.days[step.day].day, step.load.name)
        if step.arrangement is None:
            why = reasons.get(key, [])
            found.setdefault(key, []).append(f"sewer: {why.pop(0)}" if why else "sewer")
        else:
            found.setdefault(key, []).append(f"garden: {text.listed(list(dict.fromkeys(step.arrangement)))}")
    return found


def _turns(home: Household, plan: Plan | None) -> Iterator[CalendarEvent]:
    started: set[str] = set()
    for turn in plan.turns if plan is not None else ():
        first, place = turn.first, home.state.outlet_at.get(turn.outlet)
        if turn.outlet not in started and place is not None and place.basin == turn.basin:
            # The turn that goes on keeps its beginning, and so its key, from day to day.
            first = min(first, clock.local_day(place.since, home.zone))
        started.add(turn.outlet)
        loads = f"{text.plural(turn.loads, 'load')}, {home.reader.volume(turn.volume_l)}" if turn.loads else "no load"
        yield _all_day(f"turn|{turn.outlet}|{turn.basin}|{first.isoformat()}", first, turn.last,
                       f"{turn.outlet} at {turn.basin}", f"{loads} from today on. {turn.reason}", "turn")
