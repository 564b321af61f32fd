"""Reminders about the valve: to the sewer before a load or in rain and frost, and back to the garden."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING

from gwlog.clock import echo, local_day
from gwlog.decisions.garden_rules import frozen_by_cold, soaked_by_rain
from gwlog.decisions.load_rules import LoadQuery, load_reasons
from gwlog.decisions.reminder_model import Look, Reminder, Stage, Timing
from gwlog.decisions.routing import Verdict, profile_of, query_for, verdict
from gwlog.text import listed

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
GROUND_SHUT = ("soaked ground", "frozen ground")

_TODAY_ONLY = frozenset({"absorption allowance", "daily limit"})

_ROOM = frozenset({"absorption allowance", "surge room", "daily limit", "root-zone room", "resting"})
"""Reasons that say nothing against the load, only that no basin in reach has room for it."""


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
    room_told = False
    for number, (when, name, answer) in enumerate(_coming(look)):
        day = local_day(when, look.state.zone)
        if number == 0 and answer.move_first:
            room_told = True
            yield _room_gone(look, when, name, answer)
        if answer.verdict != "sewer" or (name, day) in seen:
            continue
        if day != look.today and all(reason.rule in _TODAY_ONLY for reason in answer.reasons):
            continue
        seen.add((name, day))
        if all(reason.rule in _ROOM for reason in answer.reasons):
            if not room_told:
                room_told = True
                yield _room_gone(look, when, name, answer)
            continue
        yield look.reminder(
            "valve to sewer", name, when, _before(look, when),
            f"Turn the valve to sewer before “{name}”, {echo(when, look.state.zone)}: {answer.reasons[0].text}",
            "valve", "sewer", timing="ahead of a load")


def _before(look: Look, when: datetime) -> Stage:
    return "soon" if look.now < when - SAME_DAY else "due" if look.now <= when else "overdue"


def _room_gone(look: Look, when: datetime, name: str, answer: Verdict) -> Reminder:
    """The next load does not fit where the outlets lie: move one first where that helps, else to the sewer."""
    what = f"The next load, “{name}”, {echo(when, look.state.zone)}, will not fit"
    if answer.moves:
        outlet, basin = answer.moves[0]
        places = listed(list(dict.fromkeys(look.state.outlet_at[one].basin for one, _ in answer.moves)))
        steps = listed([f"{one} to {there}" for one, there in answer.moves])
        return look.reminder("room gone", name, when, _before(look, when),
                             f"{what} at {places}. Move {steps} before it.", "move", outlet, basin,
                             timing="ahead of a load")
    return look.reminder("room gone", name, when, _before(look, when),
                         f"{what}: turn the valve to sewer before it. {answer.reasons[0].text}", "valve", "sewer",
                         timing="ahead of a load")


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
                                f"Turn the valve to sewer and leave it there: {words}", "valve", "sewer",
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
    if since is None or (coming is not None and coming[2].verdict == "sewer"):
        return
    plain = verdict(state, look.garden, LoadQuery(None, look.garden.usual_load_l), look.now)
    if plain.verdict == "sewer":
        return
    reasons: list[tuple[datetime, Stage, str, Timing]] = []
    last = next((run for run in reversed(state.loads) if run.fact.happened_at >= since), None)
    if last is not None and not last.to_garden and _for_itself(last):
        due = last.fact.happened_at + DRAINED
        name = f"“{last.fact.usual_load}”" if last.fact.usual_load else "The last load"
        reasons.append((due, look.stage(due, timedelta(hours=24)), f"{name} has drained.", "at once"))
    over = _hold_ended(look, since)
    if over is not None:
        reasons.append((over, look.stage(over, timedelta(hours=24)),
                        f"the ground takes water again since {echo(over, state.zone)}.", "that morning"))
    if coming is not None:
        when, name, _ = coming
        reasons.append((when, _before(look, when),
                        f"“{name}”, {echo(when, state.zone)}, may go to {_place(coming[2])}.", "ahead of a load"))
    if look.now >= since + FORGOTTEN:
        due = since + FORGOTTEN
        reasons.append((due, look.stage(due, timedelta(days=4)),
                        f"it has stood on sewer since {echo(since, state.zone)} and the garden can take water.",
                        "that morning"))
    if reasons:
        due, stage, words, timing = min(reasons)
        yield look.reminder("valve back", "valve", due, stage, f"Turn the valve back to garden: {words}",
                            "valve", "garden", timing=timing)


def _hold_ended(look: Look, since: datetime) -> datetime | None:
    """When the rain or frost was over for which the valve was turned to sewer; None when it was not for that."""
    state, code, found = look.state, profile_of(look.state).id, []
    for seen in state.observations.values():
        end = state.resolved.get(seen.id)
        if seen.observed in GROUND_SHUT and end is not None and seen.happened_at <= since + SAME_DAY \
                and end.happened_at >= since:
            found.append(end.happened_at)
    turned = local_day(since, state.zone)
    spells: tuple[Callable[[date], str | None], ...] = (
        lambda day: soaked_by_rain(state, day, look.read, code=code), lambda day: frozen_by_cold(state, day, look.read))
    for measured in spells:
        # Turned the evening before, by weather typed ahead, counts too.
        first = next((day for day in (turned, turned + timedelta(days=1)) if measured(day) is not None), None)
        if first is None:
            continue
        day = first
        while (day - first).days < LONGEST_SPELL_DAYS and measured(day) is not None:
            day += timedelta(days=1)
        found.append(look.start_of(day))
    return max(found) if found and max(found) <= look.now else None


def _for_itself(run: LoadRun) -> bool:
    """Whether the load went to the sewer for what was in it."""
    return bool(load_reasons(LoadQuery(run.fact.usual_load, run.litres, run.products, run.fact.contents)))


def _place(answer: Verdict) -> str:
    return answer.basin or "the garden"
