"""Reminders of care: upkeep, what was seen and not resolved, loads to follow up, products nobody has looked at."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from typing import TYPE_CHECKING

from gwlog.actions import Action
from gwlog.clock import echo_date, echo_day, local_day
from gwlog.decisions.follow_up import COVER_WET_MULCH
from gwlog.decisions.load_rules import is_unassessed
from gwlog.decisions.reminder_model import Look, Reminder, Stage
from gwlog.decisions.upkeep import new_system_tasks, upkeep
from gwlog.reference.upkeep import HAVE_WITNESSED, with_how
from gwlog.text import capital, listed, plural, seen_word

if TYPE_CHECKING:
    from gwlog.decisions.exceptions import LoadException
    from gwlog.decisions.upkeep import UpkeepItem
    from gwlog.journal.facts import Observation

YEARLY_RECORD = "yearly record"

PRESSING = frozenset({"ponding", "runoff", "leak", "blocked outlet"})
"""What is looked at again the same day; anything else the day after."""

LOOK_AGAIN = timedelta(days=1)
PRESSING_PATIENCE = timedelta(days=2)
PATIENCE = timedelta(days=7)
ASSESS_PATIENCE = timedelta(days=28)

ONE_BY_ONE = timedelta(days=90)
"""Loads to follow up are told one by one for so long; older ones together, so that they do not drown the rest."""


def upkeep_reminders(look: Look) -> Iterator[Reminder]:
    """Everything that care asks for at this moment."""
    yield from _upkeep(look)
    yield from _observations(look)
    yield from _loads(look)
    yield from _products(look)


def _upkeep(look: Look) -> Iterator[Reminder]:
    before = [task.name for task in new_system_tasks(look.state) if task.before]
    items = upkeep(look.state, look.now)
    yield from _before_first_load(look, sorted((item for item in items if item.name in before),
                                               key=lambda item: before.index(item.name)))
    for item in items:
        if item.state == "later" or item.name in before:
            continue
        last = f"last done {echo_date(item.last_done, look.state.zone.system)}" if item.last_done else "never done"
        when = echo_date(item.due, look.state.zone.system)
        kind, words = "upkeep", f"{capital(with_how(item.name))}. Due {when}; {last}; {item.often}."
        if item.name.casefold() == YEARLY_RECORD:
            kind = YEARLY_RECORD
            words = f"Write the yearly record for the landlord. Then mark it done. Due {when}; {last}."
        settles = Action("witness", to="WHO") if item.name == HAVE_WITNESSED.name else Action("done", task=item.name)
        yield look.reminder(kind, item.name, look.start_of(item.due), item.state, words, settles,
                            timing="that morning",
                            prepare=Action("report", file="FILE.pdf") if kind == YEARLY_RECORD else None)


def _before_first_load(look: Look, items: list[UpkeepItem]) -> Iterator[Reminder]:
    """What a new system asks for before its first load, in one reminder until the last of it is done."""
    if items:
        first = items[0]
        yield look.reminder(
            "upkeep", "before the first load", look.start_of(first.due), look.stage(look.start_of(first.due), PATIENCE),
            f"Before the first load to the garden: {listed([with_how(item.name) for item in items])}. "
            "Mark each when it is done.",
            Action("done", task=first.name), timing="that morning")


def _observations(look: Look) -> Iterator[Reminder]:
    for seen in look.state.open_observations():
        pressing = seen.observed in PRESSING
        due = seen.happened_at if pressing else seen.happened_at + LOOK_AGAIN
        where = f" at {seen.basin}" if seen.basin else ""
        day = echo_day(local_day(seen.happened_at, look.state.zone), look.state.zone.system)
        what = f"the {seen_word(seen.observed)}{where or (' in the household' if seen.observed == 'illness' else '')}"
        yield look.reminder(
            "follow up", str(seen.id), due, look.stage(due, PRESSING_PATIENCE if pressing else PATIENCE),
            f"Check on {what} (seen {day}). {_then(seen)}{look.keep_off(seen.basin) if seen.basin else ''}",
            Action("resolve", number=seen.id), pressing=pressing)


def _then(seen: Observation) -> str:
    if seen.observed == "illness":
        return "Resolve it when everybody is well."
    return "Resolve it when it has recovered." if seen.observed == "stressed plant" else "Resolve it when it is over."


def _loads(look: Look) -> Iterator[Reminder]:
    older: list[LoadException] = []
    for one in look.exceptions:
        if one.followed_up:
            continue
        at = one.load.fact.happened_at
        if look.now - at > ONE_BY_ONE:
            older.append(one)
            continue
        number = str(one.load.fact.id)
        yield look.reminder(
            "follow up", number, at, look.stage(at, PATIENCE),
            f"Follow up load {number} of {echo_day(one.load.day, look.state.zone.system)}; "
            f"it went to the garden against a rule: {one.reasons[0].text} {_stay_off(one)}",
            Action("resolve", number=number), pressing=True)
    if older:
        first = older[0].load
        yield look.reminder(
            "follow up", "older loads", first.fact.happened_at, "overdue",
            f"{plural(len(older), 'older load')} went to the garden against a rule and "
            f"{'was' if len(older) == 1 else 'were'} not followed up{':' if len(older) == 1 else '; the first is'} "
            f"entry {first.fact.id}, {echo_date(first.day, look.state.zone.system)}. {_stay_off(*older)}",
            Action("resolve", number=first.fact.id), pressing=True)


def _stay_off(*loads: LoadException) -> str:
    """Who stays off the basins that got the loads, until they are followed up, and how the wet mulch is covered."""
    basins = listed(list(dict.fromkeys(delivery.basin for one in loads for delivery in one.load.deliveries)))
    return f"Until then keep people, above all children, and pets off {basins}. {COVER_WET_MULCH}"


def _products(look: Look) -> Iterator[Reminder]:
    for product in look.state.products.values():
        if product.active and is_unassessed(product):
            due = product.happened_at
            stage: Stage = look.stage(due, ASSESS_PATIENCE)
            yield look.reminder(
                "label to check", product.name, due, stage,
                f"Check the label of “{product.name}” (liquid or powder? chlorine bleach, borax, sodium?) "
                "and add it to the setup.", Action("setup apply", file="SITE.toml"),
                timing="that morning")
