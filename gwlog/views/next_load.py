"""The next load and its answer, for whoever opens Today: what to turn or move, and how it is logged as advised.

While a machine runs or drains to the sewer, when the valve may be turned back.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any

from gwlog import clock
from gwlog.actions import Action, Hint, Words
from gwlog.decisions.told import first_line
from gwlog.text import wrap
from gwlog.values import NamedTuple
from gwlog.views import answers
from gwlog.views.valve_and_outlets import VALVE_SHAPE

if TYPE_CHECKING:
    from gwlog.decisions.answer import Answer
    from gwlog.household import Household

MOST_OFFERED = 3


class Draining(NamedTuple):
    """A load that runs or drains to the sewer until `until` (UTC). `next_to_garden`: the load that waits for it."""

    load: str
    until: datetime
    next_to_garden: Answer | None


def next_loads(home: Household) -> tuple[Answer, ...]:
    """The answers to the next expected load (however far ahead) and to those of the next 36 hours."""
    return home.advice.next() or home.advice.loads[:1]


def as_json(home: Household) -> list[dict[str, Any]]:
    """The same for programs."""
    return [one.as_json() for one in next_loads(home)]


def draining(home: Household) -> Draining | None:
    """The machine that must drain before the valve is turned back."""
    from gwlog.decisions.valve_reminders import draining as running

    found = running(home.state, home.now)
    if found is None:
        return None
    following = next((one for one in next_loads(home) if one.verdict == "garden" and one.at <= found.until +
                      timedelta(hours=1)), None)
    return Draining(found.load.fact.usual_load or "the load", found.until, following)


def when(home: Household, moment: datetime) -> str:
    """When a load is expected: “today 18:00”, “tomorrow 9:00”, “Sat 28 Nov 9:00”, “expected yesterday 20:00”."""
    here = clock.local(moment, home.zone)
    days = (here.date() - clock.local_day(home.now, home.zone)).days
    day = {-1: "yesterday", 0: "today", 1: "tomorrow"}.get(days, clock.echo_day(here, home.system))
    return f"{'expected ' if moment < home.now else ''}{day} {clock.echo_hour(here, home.system)}"


def title(home: Household, answer: Answer) -> str:
    """The load and its time: “Next: towels, today 18:00”."""
    return f"Next: {answer.load}, {when(home, answer.at if answer.expected is None else answer.expected.when)}"


def answer_words(answer: Answer) -> str:
    """The answer with its sign: “▶ GARDEN: Apple”."""
    return f"{VALVE_SHAPE[answer.verdict]} {answers.headline(answer)}"


def permission_line(home: Household, found: Sequence[Answer]) -> str | None:
    """What has to be settled before a load goes to the garden, where one of the answers sends one there."""
    return first_line(home.state) if any(one.verdict == "garden" for one in found) else None


def log_as_advised(answer: Answer) -> Action:
    """What logs the load as it is advised."""
    return Action("load", load=answer.load, as_advised="")


def draining_line(home: Household, found: Draining) -> Words:
    """When the valve may be turned back, and what waits for it."""
    time = clock.echo_hour(clock.local(found.until, home.zone), home.system)
    if home.state.valve != "sewer":
        return f"{found.load} went to the sewer; the machine has drained at {time}."
    waits = f", before {found.next_to_garden.load}" if found.next_to_garden is not None else ""
    return Hint(f"The machine drains {found.load} until {time}. Turn the valve back to garden then{waits}: ",
                Action("valve", to="garden"))


def lines(home: Household, width: int = 80) -> list[Words]:
    """The first lines of Today."""
    page: list[Words] = []
    found = draining(home)
    if found is not None:
        page.append(draining_line(home, found))
    coming = next_loads(home)
    if not coming:
        page.append("No load is expected. If you wash now:")
        now = _now(home)
        if (first := permission_line(home, now)) is not None:
            page += wrap(first, width)
        return page + [f"  {line}" for line in offered(now)]
    answer = coming[0]
    page.append(f"{title(home, answer)}  {answer_words(answer)}")
    if (first := permission_line(home, coming[:1])) is not None:
        page += wrap(first, width, indent="  ", hang="    ")
    page += [f"  {step}" for step in answers.before(answer) or [answers.NOTHING_FIRST]]
    page += wrap(answer.why, width, indent="  why: ", hang="       ")
    if answer.expected is None or answer.expected.usual_load is not None:
        page.append(Hint("  log it as advised: ", log_as_advised(answer)))
    return page


def _now(home: Household) -> list[Answer]:
    names = [name for name, load in home.state.usual_loads.items() if load.active][:MOST_OFFERED]
    return [home.answer(home.query(name)) for name in names]


def offered(found: Sequence[Answer]) -> list[str]:
    """The first usual loads with where each would go now."""
    return [f"{one.load}  {answer_words(one)}" for one in found] or \
        ["no usual load is described."]
