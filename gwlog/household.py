"""One look at a household: the logbook read, folded and judged at one moment, for every face to show.

Nothing is kept between looks; what costs time is computed when it is first asked for.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
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
    from gwlog.decisions.exceptions import LoadException
    from gwlog.decisions.plan_cost import Weights
    from gwlog.decisions.reminders import Reminder
    from gwlog.decisions.rotation import Plan
    from gwlog.decisions.routing import LoadQuery, Verdict
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
    _verdicts: dict[LoadQuery, Verdict] = field(default_factory=dict, repr=False, compare=False)

    @cached_property
    def standing(self) -> Standing:
        return standing_entries(self.entries)

    @cached_property
    def state(self) -> State:
        """State at `now`: facts that happened later are left out."""
        return fold(self.standing.facts, until=self.now)

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
        """Every reminder that stands, those that people have seen or snoozed too."""
        from gwlog.decisions.reminders import reminders

        return reminders(self.state, self.garden, self.now, exceptions=self.exceptions)

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
    def plan(self) -> Plan:
        """The fortnight's plan, steady through the week. Raises BadInput without a basin or an outlet."""
        return self.plan_for()

    def plan_for(self, *, days: int = 14, weights: Weights | None = None, what_if: WhatIf | None = None) -> Plan:
        """A plan for so many days, with other weights, or supposing something."""
        from gwlog.decisions.rotation import steady_plan

        def look(moment: datetime) -> tuple[State, Garden]:
            then = self if moment == self.now else self.at(moment)
            return then.state, then.garden

        return steady_plan(look, self.now, self.zone, days=days, weights=weights, what_if=what_if)

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
        from gwlog.decisions.routing import query_for

        found = tuple(self.state.products[name] for name in products)
        return query_for(self.state, load, volume_l=volume_l, extra_products=found, extra_contents=contents)

    def verdict(self, query: LoadQuery) -> Verdict:
        """Where a load goes; the same question is answered once."""
        from gwlog.decisions.routing import verdict

        if query not in self._verdicts:
            self._verdicts[query] = verdict(self.state, self.garden, query, self.now)
        return self._verdicts[query]


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
