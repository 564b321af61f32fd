"""Reminders about the valve: to the sewer before a load or in rain and frost, and back to the garden."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING

from gwlog.clock import echo, local_day
from gwlog.decisions.ground import frozen_by_cold, soaked_by_rain
from gwlog.decisions.reminding import Look, Reminder, Stage
from gwlog.decisions.routing import Verdict, profile_of, query_for, verdict
from gwlog.decisions.rules import LoadQuery, load_reasons

if TYPE_CHECKING:
    from gwlog.state import LoadRun

AHEAD = timedelta(hours=36)
"""How far ahead a load to come is looked at."""

SAME_DAY = timedelta(hours=12)
LATE = timedelta(hours=3)
DRAINED = timedelta(hours=1)
"""How long after a load has started the machine has surely drained."""

FORGOTTEN = timedelta(days=3)
"""How long the valve may stand on sewer without a reason before somebody is asked."""

LONGEST_SPELL_DAYS = 60

_TODAY_ONLY = frozenset({"absorption allowance", "daily limit"})


def valve_reminders(look: Look) -> Iterator[Reminder]:
    """Everything about the valve at this moment."""
    if look.state.valve == "sewer":
        yield from _valve_back(look)
    else:
        yield from _valve_to_sewer(look)
        yield from _hold(look)


def _coming(look: Look) -> Iterator[tuple[datetime, str, Verdict]]:
    """Loads expected within the next day and a half, or just now and not yet logged, with their verdicts."""
    for when, name in sorted(look.expected):
        if not look.now - LATE <= when <= look.now + AHEAD or name not in look.state.usual_loads:
            continue
        if any(_is_that(run, when, name) for run in look.state.loads[-20:]):
            continue
        yield when, name, verdict(look.state, look.garden, query_for(look.state, name), when)


def _is_that(run: LoadRun, when: datetime, name: str) -> bool:
    return run.fact.usual_load == name and abs(run.fact.happened_at - when) <= LATE


def _valve_to_sewer(look: Look) -> Iterator[Reminder]:
    seen: set[tuple[str, date]] = set()
    for when, name, answer in _coming(look):
        day = local_day(when, look.state.zone)
        if answer.verdict != "sewer" or (name, day) in seen:
            continue
        if day != look.today and all(reason.rule in _TODAY_ONLY for reason in answer.reasons):
            continue
        seen.add((name, day))
        stage: Stage = "soon" if look.now < when - SAME_DAY else "due" if look.now <= when else "overdue"
        yield look.reminder(
            "valve to sewer", name, when, stage,
            f"Turn the valve to sewer before “{name}”, {echo(when, look.state.zone)}: {answer.reasons[0].text}",
            "valve", "sewer")


def _hold(look: Look) -> Iterator[Reminder]:
    code = profile_of(look.state).id
    for subject, observed, measured in (
        ("rain", "soaked ground", lambda day: soaked_by_rain(look.state, day, look.read, code=code)),
        ("frost", "frozen ground", lambda day: frozen_by_cold(look.state, day, look.read)),
    ):
        found = _since(look, observed, measured)
        if found is not None:
            due, words = found
            yield look.reminder("rain or frost hold", subject, due, look.stage(due, timedelta(hours=24)),
                                f"Turn the valve to sewer and leave it there: {words}", "valve", "sewer")


def _since(look: Look, observed: str, measured: Callable[[date], str | None]) -> tuple[datetime, str] | None:
    """Since when the ground is shut, and why: by what was seen, else from the first day of the spell."""
    for seen in look.state.open_observations():
        if seen.observed == observed:
            where = f" at {seen.basin}" if seen.basin else ""
            return seen.happened_at, f"{observed}{where} was seen and is not resolved."
    # Rain and frost typed ahead for tomorrow count, so that the valve is turned before they come.
    for day in (look.today, look.today + timedelta(days=1)):
        words = measured(day)
        if words is not None:
            first = day
            while (day - first).days < LONGEST_SPELL_DAYS and measured(first - timedelta(days=1)) is not None:
                first -= timedelta(days=1)
            return look.start_of(first), words
    return None


def _valve_back(look: Look) -> Iterator[Reminder]:
    """Turn it back: after the load it was turned for, before a load for the garden, or when it was forgotten."""
    state, since = look.state, look.state.valve_since
    coming = next(_coming(look), None)
    if since is None or (coming is not None and coming[2].verdict == "sewer"):
        return
    plain = verdict(state, look.garden, LoadQuery(None, look.garden.usual_load_l), look.now)
    if plain.verdict == "sewer":
        return
    reasons: list[tuple[datetime, Stage, str]] = []
    last = next((run for run in reversed(state.loads) if run.fact.happened_at >= since), None)
    if last is not None and not last.to_garden and _for_itself(last):
        due = last.fact.happened_at + DRAINED
        name = f"“{last.fact.usual_load}”" if last.fact.usual_load else "The last load"
        reasons.append((due, look.stage(due, timedelta(hours=24)), f"{name} has drained."))
    if coming is not None:
        when, name, _ = coming
        stage: Stage = "soon" if look.now < when - SAME_DAY else "due" if look.now <= when else "overdue"
        reasons.append((when, stage, f"“{name}”, {echo(when, state.zone)}, may go to {_place(coming[2])}."))
    if look.now >= since + FORGOTTEN:
        due = since + FORGOTTEN
        reasons.append((due, look.stage(due, timedelta(days=4)),
                        f"it has stood on sewer since {echo(since, state.zone)} and the garden can take water."))
    if reasons:
        due, stage, words = min(reasons)
        yield look.reminder("valve back", "valve", due, stage, f"Turn the valve back to garden: {words}",
                            "valve", "garden")


def _for_itself(run: LoadRun) -> bool:
    """Whether the load went to the sewer for what was in it."""
    return bool(load_reasons(LoadQuery(run.fact.usual_load, run.litres, run.products, run.fact.contents)))


def _place(answer: Verdict) -> str:
    return answer.basin or "the garden"
