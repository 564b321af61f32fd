"""Reminders that take somebody into the garden: move an outlet, a basin is ready again, the mulch is getting thin."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from itertools import islice
from typing import TYPE_CHECKING

from gwlog.actions import Action
from gwlog.clock import echo
from gwlog.decisions.query import profile_of
from gwlog.decisions.reminder_model import Look, Reminder, Stage
from gwlog.decisions.shortage_words import noted, short_text
from gwlog.decisions.valve_reminders import before
from gwlog.errors import BadInput
from gwlog.history import newest_first
from gwlog.water.garden import rest_ended
from gwlog.water.ledger import raw_on
from gwlog.water.rest import TINY_L

if TYPE_CHECKING:
    from gwlog.water.garden import BasinNow

MULCH_AHEAD_DAYS = 14
MULCH_PATIENCE = timedelta(days=14)
LEACHING_AHEAD_DAYS = 30
LEACHING_PATIENCE = timedelta(days=21)
NEWS, MOST_LOADS = timedelta(days=7), 40
"""How long the end of a rest is news, and among how many of the last loads one that went there is looked for."""


def garden_reminders(look: Look) -> Iterator[Reminder]:
    """Everything in the garden at this moment."""
    yield from _moves(look)
    yield from _other_water(look)
    yield from _rests_over(look)
    yield from _mulch(look)
    yield from _leaching(look)


def _moves(look: Look) -> Iterator[Reminder]:
    """Each outlet's next move as the advice has it, from the day before it."""
    told: set[str] = set()
    until = look.today + timedelta(days=1)
    for answer in look.advice.loads:
        load = answer.expected
        if load is None or load.day > until:
            break
        for move in answer.moves:
            if move.outlet in told:
                continue
            told.add(move.outlet)
            due = load.when
            why = next((turn.reason for turn in look.advice.plan().turns
                        if (turn.outlet, turn.basin) == (move.outlet, move.basin) and turn.first >= load.day), "")
            yield look.reminder("move outlet", move.outlet, due, before(look, due),
                                f"Move {move.outlet} from {move.origin} to {move.basin} before “{load.name}”, "
                                f"{echo(due, look.state.zone)}.{f' {why}' if why else ''}"
                                f"{look.keep_off(move.origin, move.basin)}",
                                Action("move", outlet=move.outlet, basin=move.basin),
                                timing="the evening before")


def _other_water(look: Look) -> Iterator[Reminder]:
    """Each basin that is short of water and that no planned load cures, from the day before it is."""
    try:
        short = look.advice.plan().short
    except BadInput:
        return
    for one in short:
        if one.first > look.today + timedelta(days=1):
            continue
        first = one.first
        if first == look.today:   # since when it has been so: the same need keeps its key
            basin = look.garden.basins[one.basin]
            for day in reversed(basin.ledger.days):
                if day.deficit_l <= raw_on(basin.growth, day.day + timedelta(days=1), look.garden.sky) + TINY_L:
                    break
                first = day.day
        due = look.start_of(first)
        yield look.reminder("other water", one.basin, due, "soon" if look.now < due else "due",
                            f"{short_text(one, look.read)}{look.keep_off(one.basin)}", noted(one, look.read),
                            timing="that morning")


def _rests_over(look: Look) -> Iterator[Reminder]:
    state = look.state
    for name, basin in look.garden.basins.items():
        over = rest_ended(state, basin, look.garden.sky)
        if over is None or not over <= look.now <= over + NEWS:
            continue
        if any(run.fact.happened_at >= over and any(one.basin == name for one in run.deliveries)
               for run in islice(newest_first(state.loads, over), MOST_LOADS)):
            continue
        lying = [outlet for outlet in state.active_outlets() if state.outlet_at[outlet].basin == name]
        if any(state.outlet_at[outlet].since >= over for outlet in lying):
            continue
        able = next((outlet for outlet in state.active_outlets() if name in state.reach(outlet)), None)
        action = None if lying or able is None else Action("move", outlet=able, basin=name)
        what = "loads may go there again" if lying else "an outlet may be moved there again"
        yield look.reminder("basin ready again", name, over, "due",
                            f"{name} is ready again: {what}.{look.keep_off(name)}", action,
                            timing="that morning")


def _mulch(look: Look) -> Iterator[Reminder]:
    least = profile_of(look.state).cover_mm.value
    for name, basin in look.garden.basins.items():
        if basin.cover_due is None or (basin.cover_due - look.today).days > MULCH_AHEAD_DAYS:
            continue
        due = look.start_of(basin.cover_due)
        thin = basin.cover_mm < least
        stage: Stage = "overdue" if thin else look.stage(due, MULCH_PATIENCE)
        add = max(25.0, basin.spec.mulch_mm - basin.cover_mm)
        why = f"below the code's {look.read.length(least)}" if thin else f"the code requires {look.read.length(least)}"
        yield look.reminder(
            "mulch due", name, due, stage,
            f"Top up the mulch at {name}: about {look.read.length(basin.cover_mm)} left; {why}."
            f"{look.keep_off(name)}",
            Action("mulch", basin=name, added=look.read.length(add).replace(" ", "")), timing="that morning")


def _leaching(look: Look) -> Iterator[Reminder]:
    """Leaching that is owed, from a month before the day for a flush; none while the ground is soaked or frozen, while
    the usual rain will pay in time, and on a day that has had its go.

    Its day is a first of the month, so that the trend, which shifts from day to day, makes no new reminder of it.
    """
    owing = [basin for basin in look.garden.basins.values() if basin.owed is not None and basin.owed.by is not None]
    if not owing:
        return
    from gwlog.decisions.ground import frozen, soaked
    from gwlog.decisions.leaching_words import PAID_SHARE, flush_litres, goes_of, outlook, paid_today
    from gwlog.water.leaching import flush_on, usual_rain_pays

    shut = soaked(look.state, look.today, look.read) or frozen(look.state, look.today, look.read)
    for basin in owing:
        stands = basin.owed
        assert stands is not None and stands.by is not None
        day = flush_on(look.today, stands.by, look.garden.climate)
        if shut or (day - look.today).days > LEACHING_AHEAD_DAYS or basin.ponding_open or paid_today(basin, stands):
            continue
        late = stands.by <= look.today
        go_l = flush_litres(basin, stands) / goes_of(basin, stands)
        if basin.other_today_l >= PAID_SHARE * go_l or usual_rain_pays(stands, basin.ledger, basin.growth,
                                                                        look.garden.sky):
            continue
        due = look.start_of(_owed_since(look, basin) if late else day.replace(day=1))
        stage = look.stage(due, LEACHING_PATIENCE) if late else "soon" if look.now < due else "due"
        flush = look.read.volume(go_l).replace(" ", "")
        action = Action("water", basin=basin.name, amount=flush, way="flush") if stands.helps else None
        yield look.reminder("leaching owed", basin.name, due, stage,
                            f"Leaching owed: {outlook(basin, look.today, look.read, look.garden.sky)}"
                            f"{look.keep_off(basin.name)}",
                            action, timing="that morning")


def _owed_since(look: Look, basin: BasinNow) -> date:
    """The first of the month since which a basin has had more than it bears, without a break."""
    salt = look.garden.salts[basin.name]
    assert basin.owed is not None
    limits = {trend.what: trend.limit.value for trend in basin.owed.trends}
    since = look.today
    for soil in reversed(salt.history):
        ratio = soil.sar.middle if soil.sar is not None else 0.0
        if soil.ece.middle < limits["salt"] and ratio < limits.get("sodium", ratio + 1.0):
            break
        since = soil.day
    return since.replace(day=1)
