"""Reminders about the valve: to the sewer before a load or in rain and frost, and back to the garden."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING

from gwlog.actions import Action
from gwlog.clock import echo, local_day
from gwlog.decisions.answer import run_minutes
from gwlog.decisions.ground import frozen_by_cold, soaked_by_rain
from gwlog.decisions.load_rules import LoadQuery, load_reasons
from gwlog.decisions.query import profile_of
from gwlog.decisions.reminder_model import Look, Reminder, Stage, Timing
from gwlog.history import newest_first
from gwlog.values import NamedTuple

if TYPE_CHECKING:
    from gwlog.decisions.answer import Answer
    from gwlog.journal.facts import WashLoad
    from gwlog.state import LoadRun, State

AHEAD = timedelta(hours=36)
"""How far ahead a load to come is looked at."""

SAME_DAY = timedelta(hours=12)
LATE = timedelta(hours=3)
FORGOTTEN = timedelta(days=3)
"""How long the valve may stand on sewer without a reason before somebody is asked."""

LONGEST_RUN = timedelta(hours=24)
LONGEST_SPELL_DAYS = 60
GROUND_SHUT = ("soaked ground", "frozen ground")

_TODAY_ONLY = frozenset({"absorption allowance", "daily limit"})

_ROOM = frozenset({"absorption allowance", "surge room", "daily limit", "root-zone room", "resting", "small basin"})
"""Reasons that say nothing against the load, only that no basin in reach has room for it."""

_PLAN = frozenset({"kept for later", "not worth the walk", "no arrangement"})
"""Reasons of the plan, told of the next load alone: what follows may be weighed anew after it."""


class Draining(NamedTuple):
    """A load that went to the sewer and has not drained yet: nobody turns the valve back before `until` (UTC)."""

    load: LoadRun
    until: datetime


def draining(state: State, now: datetime) -> Draining | None:
    """The machine that still runs or drains to the sewer, None when there is none. How long a run takes: see answer."""
    for run in newest_first(state.loads, now - LONGEST_RUN):
        if now - run.fact.happened_at > LONGEST_RUN:
            break
        until = drained_at(state, run.fact)
        if not run.to_garden and until > now:
            return Draining(run, until)
    return None


def drained_at(state: State, load: WashLoad) -> datetime:
    """When the machine has surely drained after a load."""
    return load.happened_at + timedelta(minutes=run_minutes(state, load.usual_load))


def valve_reminders(look: Look) -> Iterator[Reminder]:
    """Everything about the valve at this moment."""
    if look.state.valve == "sewer":
        if draining(look.state, look.now) is None:
            yield from _valve_back(look)
        return
    hold = list(_hold(look))
    # A valve that has to be turned now and left there is not asked for once more before each load.
    if not any(one.due <= look.now for one in hold):
        yield from _valve_to_sewer(look)
    yield from hold


def _coming(look: Look) -> Iterator[tuple[datetime, Answer]]:
    """Loads expected within the next day and a half, or just now and not yet logged, with their answers."""
    for answer in look.advice.next():
        load = answer.expected
        if load is not None and load.when >= look.now - LATE and load.usual_load is not None:
            yield load.when, answer


def _valve_to_sewer(look: Look) -> Iterator[Reminder]:
    first = look.advice.rotation.coming.first
    valve = look.state.valve
    for when, answer in _coming(look):
        stands, valve = valve, "garden" if answer.turn_back_at is not None else answer.verdict
        if answer.verdict != "sewer" or stands == "sewer":
            continue
        rules = {reason.rule for reason in answer.reasons}
        of_basins = rules <= _ROOM or rules <= _PLAN
        if of_basins and answer.expected is not first:
            continue
        if local_day(when, look.state.zone) != look.today and rules <= _TODAY_ONLY:
            continue
        if rules <= _ROOM:
            yield _room_gone(look, when, answer)
            continue
        yield look.reminder(
            "valve to sewer", answer.load, when, before(look, when),
            f"Turn the valve to sewer before “{answer.load}”, {echo(when, look.state.zone)}: {answer.why}",
            Action("valve", to="sewer"), timing="ahead of a load")


def before(look: Look, when: datetime) -> Stage:
    """How pressing is what has to be done before a load."""
    return "soon" if look.now < when - SAME_DAY else "due" if look.now <= when else "overdue"


def _room_gone(look: Look, when: datetime, answer: Answer) -> Reminder:
    """The next load does not fit anywhere."""
    return look.reminder(
        "next load will not fit", answer.load, when, before(look, when),
        f"The next load, “{answer.load}”, {echo(when, look.state.zone)}, will not fit: turn the valve to sewer before "
        f"it. {answer.why}", Action("valve", to="sewer"), timing="ahead of a load")


def _hold(look: Look) -> Iterator[Reminder]:
    raining = profile_of(look.state).when_raining
    for subject, observed, measured in (
        ("rain", "soaked ground", lambda day: soaked_by_rain(look.state, day, look.read, when_raining=raining)),
        ("frost", "frozen ground", lambda day: frozen_by_cold(look.state, day, look.read)),
    ):
        found = _since(look, observed, measured)
        if found is not None:
            due, words = found
            yield look.reminder("garden shut for weather", subject, due, look.stage(due, timedelta(hours=24)),
                                f"Turn the valve to sewer and leave it there: {words}", Action("valve", to="sewer"),
                                timing="the evening before")


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
    if since is None or (coming is not None and coming[1].verdict == "sewer") or not _open_to_garden(look):
        return
    reasons: list[tuple[datetime, Stage, str, Timing]] = []
    last = next((run for run in newest_first(state.loads, since) if run.fact.happened_at >= since), None)
    if last is not None and not last.to_garden and _for_itself(last):
        due = drained_at(state, last.fact)
        name = f"“{last.fact.usual_load}”" if last.fact.usual_load else "The last load"
        words = f"{name} has drained since {echo(due, state.zone)}"
        if coming is not None and coming[0] <= due + timedelta(minutes=coming[1].run_minutes):
            words += f", and “{coming[1].load}”, {echo(coming[0], state.zone)}, may go to {_place(coming[1])}"
            coming = None
        reasons.append((due, look.stage(due, timedelta(hours=24)), f"{words}.", "at once"))
    over = _hold_ended(look, since)
    if over is not None:
        reasons.append((over, look.stage(over, timedelta(hours=24)),
                        f"the ground takes water again since {echo(over, state.zone)}.", "that morning"))
    if coming is not None:
        when, answer = coming
        reasons.append((when, before(look, when),
                        f"“{answer.load}”, {echo(when, state.zone)}, may go to {_place(answer)}.", "ahead of a load"))
    if look.now >= since + FORGOTTEN:
        due = since + FORGOTTEN
        reasons.append((due, look.stage(due, timedelta(days=4)),
                        f"it has stood on sewer since {echo(since, state.zone)} and the garden can take water.",
                        "that morning"))
    if reasons:
        due, stage, words, timing = min(reasons)
        yield look.reminder("valve to garden", "valve", due, stage, f"Turn the valve back to garden: {words}",
                            Action("valve", to="garden"), timing=timing)


def _open_to_garden(look: Look) -> bool:
    """Whether the next load that is free to choose goes to the garden; without one, whether a usual one would."""
    ahead = look.advice.rotation.coming
    if ahead.against.of_day(look.today):
        return False
    if (first := ahead.first) is not None:
        return any(one.expected is first and one.verdict == "garden" for one in look.advice.loads)
    return look.advice.answer(LoadQuery(None, look.garden.usual_load_l)).verdict == "garden"


def _hold_ended(look: Look, since: datetime) -> datetime | None:
    """When the rain or frost was over for which the valve was turned to sewer; None when it was not for that."""
    state, raining, found = look.state, profile_of(look.state).when_raining, []
    resolved = state.resolved.known_items()
    for seen in state.observations.known_values():
        end = resolved.get(seen.id)
        if seen.observed in GROUND_SHUT and end is not None and seen.happened_at <= since + SAME_DAY \
                and end.happened_at >= since:
            found.append(end.happened_at)
    turned = local_day(since, state.zone)
    spells: tuple[tuple[Callable[[date], str | None], Callable[[date], str | None]], ...] = (
        (lambda day: soaked_by_rain(state, day, look.read, when_raining=raining),
         lambda day: soaked_by_rain(state, day, look.read, when_raining=raining, as_expected=True)),
        (lambda day: frozen_by_cold(state, day, look.read),
         lambda day: frozen_by_cold(state, day, look.read, as_expected=True)))
    for measured, expected in spells:
        # Turned the evening before, by a forecast, counts too; whatever the day brought.
        first = next((day for day in (turned, turned + timedelta(days=1)) if expected(day) is not None), None)
        if first is None:
            continue
        day = first if measured(first) is not None else first + timedelta(days=1)
        while (day - first).days < LONGEST_SPELL_DAYS and measured(day) is not None:
            day += timedelta(days=1)
        found.append(look.start_of(day))
    return max(found) if found and max(found) <= look.now else None


def _for_itself(run: LoadRun) -> bool:
    """Whether the load went to the sewer for what was in it."""
    return bool(load_reasons(LoadQuery(run.fact.usual_load, run.litres, run.products, run.fact.contents)))


def _place(answer: Answer) -> str:
    return answer.basin or "the garden"
