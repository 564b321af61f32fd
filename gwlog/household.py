"""One look at a household: the logbook read, folded and judged at one moment, for every face to show.

Nothing is kept between looks; what costs time is computed when it is first asked for.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from gwlog import clock
from gwlog.actions import Action, Hint
from gwlog.errors import GwlogError
from gwlog.journal import reader
from gwlog.journal.facts import Fact, Standing, standing_entries
from gwlog.state import Problem, State, fold
from gwlog.units import Reader, System

if TYPE_CHECKING:
    from gwlog.decisions.advice import Advice
    from gwlog.decisions.answer import Answer
    from gwlog.decisions.exceptions import LoadException
    from gwlog.decisions.load_rules import LoadQuery
    from gwlog.decisions.plan_cost import Weights
    from gwlog.decisions.reminders import Reminder
    from gwlog.decisions.rotation import Plan
    from gwlog.decisions.upkeep import UpkeepItem
    from gwlog.decisions.what_if import WhatIf
    from gwlog.journal.delivery import Delivery
    from gwlog.water.garden import Garden


@dataclass
class Household:
    """Everything the faces need to know at `now`. Views are cached; the object is thrown away after use."""

    path: Path
    now: datetime
    # never spelt out: whoever writes a household down for a log would spell thousands of entries
    entries: list[Fact] = field(repr=False)

    @cached_property
    def standing(self) -> Standing:
        return standing_entries(self.entries)

    @cached_property
    def state(self) -> State:
        """State at `now`: facts that happened later are left out."""
        _, begun, later = self._week
        return fold(later, begun, until=self.now)

    @cached_property
    def _week(self) -> tuple[datetime, State, tuple[Fact, ...]]:
        """This week's Monday with the state as it was then, which the plan is kept steady by, and the facts since."""
        facts = self.standing.facts
        zone = next((fact.zone for fact in reversed(facts) if fact.KIND == "site" and fact.happened_at <= self.now),
                    "UTC")
        today = clock.local_day(self.now, zone)
        monday = clock.day_start(today - timedelta(days=today.weekday()), zone)
        number = bisect_right(facts, monday, key=lambda fact: fact.happened_at)
        return monday, fold(facts[:number]), facts[number:]

    @cached_property
    def garden(self) -> Garden:
        from gwlog.water.garden import garden

        return garden(self.state, self.now)

    @cached_property
    def exceptions(self) -> tuple[LoadException, ...]:
        from gwlog.decisions.exceptions import exceptions

        return exceptions(self.state, self.garden)

    @cached_property
    def upkeep(self) -> tuple[UpkeepItem, ...]:
        from gwlog.decisions.upkeep import upkeep

        return upkeep(self.state, self.now)

    @cached_property
    def every_reminder(self) -> tuple[Reminder, ...]:
        """Every reminder that stands, those that people have seen or put off too."""
        from gwlog.decisions.reminders import reminders

        return reminders(self.advice, self.exceptions)

    @cached_property
    def reminders(self) -> tuple[Reminder, ...]:
        """The reminders that nobody has answered, the most pressing first."""
        from gwlog.decisions.acknowledgements import unanswered

        return unanswered(self.every_reminder, self.state, self.now)

    @cached_property
    def undelivered(self) -> tuple[Delivery, ...]:
        """Tellings of reminders that still stand which failed, or of which nobody knows whether they arrived."""
        from gwlog.journal.delivery import deliveries

        # A household that was made in memory has no file, and nobody was told.
        asked = [one.key for one in self.reminders] if self.path.exists() else []
        told = deliveries(self.path, asked) if asked else {}
        return tuple(one for one in told.values() if one.state == "failed" or one.in_doubt(self.now))

    @cached_property
    def advice(self) -> Advice:
        """The one engine: every answer, the plan and the reminders come of it."""
        from gwlog.decisions.advice import Advice

        return Advice(self.state, self.garden, self.now, self._then, exceptions=lambda: self.exceptions)

    def _then(self, moment: datetime) -> tuple[State, Garden]:
        """State and garden at an earlier moment, as the entries up to then have them."""
        from gwlog.water.garden import garden

        monday, begun, _ = self._week
        state = begun if moment == monday else self.state if moment >= self.now else \
            fold(self.standing.facts, until=moment)
        return state, garden(state, moment, (self.state, self.garden))

    @property
    def plan(self) -> Plan:
        """The fortnight's plan, steady through the week. Raises BadInput without a basin or an outlet."""
        return self.advice.plan()

    def plan_for(self, *, days: int = 14, weights: Weights | None = None, what_if: WhatIf | None = None) -> Plan:
        """A plan for so many days, with other weights, or supposing something."""
        return self.advice.plan(days=days, weights=weights, what_if=what_if)

    @property
    def zone(self) -> str:
        return self.state.zone

    @property
    def system(self) -> System:
        return "metric" if self.state.site is not None and self.state.site.units == "metric" else "us"

    @property
    def reader(self) -> Reader:
        return Reader(self.system)

    @property
    def problems(self) -> tuple[Problem, ...]:
        """Odd data of the log and of the balance, oldest entry first."""
        return tuple(sorted((*self.state.problems, *self.garden.problems), key=lambda p: p.entry_id))

    def at(self, moment: datetime) -> Household:
        """The same logbook, looked at from another moment."""
        return Household(self.path, moment, self.entries)

    def query(self, load: str, *, volume_l: float | None = None, products: tuple[str, ...] = (),
              contents: tuple[str, ...] = ()) -> LoadQuery:
        """What is known about a load that somebody is about to run."""
        from gwlog.decisions.query import query_for

        found = tuple(self.state.products[name] for name in products)
        return query_for(self.state, load, volume_l=volume_l, extra_products=found, extra_contents=contents)

    def answer(self, query: LoadQuery, at: datetime | None = None) -> Answer:
        """Where a load goes that runs at `at` (default: now), and what to do about it."""
        return self.advice.answer(query, at)


def look(path: Path, now: datetime) -> Household:
    """Read the logbook at `path` and look at it from `now`.

    Raises NoLogbook, NotALogbook or LogbookNewer as the file deserves.
    """
    from gwlog.journal import store

    store.ready(path)
    return Household(path, now, reader.read(path))


def look_set_up(path: Path, now: datetime) -> Household:
    """As `look`, and refuses a logbook in which no household is described yet."""
    home = look(path, now)
    if not any(fact.KIND == "site" for fact in home.standing.facts):
        raise GwlogError("This logbook describes no household yet.",
                         hint=Hint("Describe it with: ", Action("setup apply", file="SITE.toml")))
    return home


def present_moment(typed: str | None, path: Path) -> datetime:
    """The moment that `--at` means for a reading command: now, or the moment typed in the household's time."""
    present = clock.now().replace(microsecond=0)
    if typed is None:
        return present
    return clock.moment(typed, present, read_zone(path), forward=True)


def read_zone(path: Path) -> str:
    """The household's time zone, without looking at anything else."""
    return look(path, clock.now()).zone
