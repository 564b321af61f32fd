"""One look at a household: the logbook read, folded and judged at one moment, for every face to show.

Nothing is kept between looks; what costs time is computed when it is first asked for.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import datetime
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from gwlog import clock
from gwlog.actions import Action, Hint
from gwlog.checkpoints import keep as checkpoints
from gwlog.checkpoints.log import Log, Part, week_begins
from gwlog.errors import GwlogError
from gwlog.journal.facts import Fact, Resolution, Site, Standing, Withdrawal
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
    from gwlog.journal.listing import Lists
    from gwlog.water.garden import Garden


class Household:
    """Everything the faces need to know at `now`. Views are cached; the object is thrown away after use.

    `entries`: those of the logbook, or the log that was read of it. `present`: what the clock says, where `now` is
    another moment that somebody asks about.
    """

    def __init__(self, path: Path, now: datetime, entries: Sequence[Fact] | Log,
                 present: datetime | None = None) -> None:
        self.path, self.now, self.present = path, now, present or now
        self._log = entries if isinstance(entries, Log) else Log(entries)

    @property
    def entries(self) -> list[Fact]:
        """Every entry of the logbook, in order of its number."""
        return self._log.entries

    @property
    def standing(self) -> Standing:
        return self._log.standing

    @property
    def head(self) -> int:
        """The number of the last entry that was read, 0 for none."""
        return self._log.head

    @cached_property
    def _part(self) -> Part | None:
        """Where the fold starts, None where it starts with the first entry."""
        part = self._log.part
        return part if part is not None and part.serves(self.now) else None

    def since(self, moment: datetime) -> tuple[Fact, ...]:
        """The standing facts, in the order in which they happened: all of `moment` or later, and some before it."""
        part = self._log.part
        return part.facts if part is not None and moment >= part.moment else self.standing.facts

    @cached_property
    def begins(self) -> datetime | None:
        """When the household was first described, None where nobody has described it."""
        part = self._log.part
        known = part.state.sites if part is not None else self.standing.facts
        return next((fact.happened_at for fact in known if fact.KIND == "site"), None)

    @cached_property
    def state(self) -> State:
        """State at `now`: facts that happened later are left out."""
        _, begun, later = self._week
        return fold(later, begun, until=self.now)

    @cached_property
    def _week(self) -> tuple[datetime, State, tuple[Fact, ...]]:
        """This week's Monday with the state as it was then, which the plan is kept steady by, and the facts since."""
        part = self._part
        start, facts = (None, self.standing.facts) if part is None else (part.state, part.facts)
        zone = next((fact.zone for fact in reversed(facts) if fact.KIND == "site" and fact.happened_at <= self.now),
                    "UTC" if part is None else part.zone)
        monday = week_begins(self.now, zone)
        number = bisect_right(facts, monday, key=lambda fact: fact.happened_at)
        return monday, fold(facts[:number], start), facts[number:]

    @cached_property
    def garden(self) -> Garden:
        from gwlog.water.garden import garden

        return garden(self.state, self.now)

    @cached_property
    def exceptions(self) -> tuple[LoadException, ...]:
        from gwlog.decisions.exceptions import exceptions

        return exceptions(self.state, self.garden)

    @cached_property
    def open_exceptions(self) -> tuple[LoadException, ...]:
        """Those of the exceptions that nobody has followed up."""
        from gwlog.decisions.exceptions import open_exceptions

        return open_exceptions(self.state, self.now)

    @cached_property
    def upkeep(self) -> tuple[UpkeepItem, ...]:
        from gwlog.decisions.upkeep import upkeep

        return upkeep(self.state, self.now)

    @cached_property
    def every_reminder(self) -> tuple[Reminder, ...]:
        """Every reminder that stands, those that people have seen or put off too."""
        from gwlog.decisions.reminders import reminders

        return reminders(self.advice, self.open_exceptions)

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

        return Advice(self.state, self.garden, self.now, self._then, exceptions=lambda: self.open_exceptions)

    def _then(self, moment: datetime) -> tuple[State, Garden]:
        """State and garden at an earlier moment, as the entries up to then have them."""
        from gwlog.water.garden import garden

        monday, begun, _ = self._week
        state = begun if moment == monday else self.state if moment >= self.now else self.at(moment).state
        return state, garden(state, moment, (self.state, self.garden))

    @property
    def plan(self) -> Plan:
        """The fortnight's plan, steady through the week. Raises BadInput without a basin or an outlet."""
        return self.advice.plan()

    def plan_for(self, *, days: int = 14, weights: Weights | None = None, what_if: WhatIf | None = None) -> Plan:
        """A plan for so many days, with other weights, or supposing something."""
        return self.advice.plan(days=days, weights=weights, what_if=what_if)

    @property
    def zone(self) -> clock.Locale:
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
        from gwlog.decisions.clock_faults import problems

        ahead = () if self._log.clock_went_on(self.present) else \
            problems(self.entries, self.standing, self.present, self.zone)
        return tuple(sorted((*self.alarms, *self.state.problems, *self.garden.problems, *ahead,
                             *self._weather_troubles()), key=lambda p: p.entry_id))

    @cached_property
    def alarms(self) -> tuple[Problem, ...]:
        """What is told at once, whatever was asked: entries that are gone or replaced, a clock that went back."""
        from gwlog.decisions.clock_faults import clock_gone_back

        last = self._log.last_written
        back = None if last is None else clock_gone_back(last, self.present, self.zone)
        found = [] if back is None else [Problem(0, back, Hint("Look at the clock and at the log: ",
                                                               Action("entries", odd="")))]
        if self._log.differs is not None:
            from gwlog.decisions.lost_entries import problem
            from gwlog.journal.backup import FOLDER
            from gwlog.journal.kept_backups import holding

            holder = holding(self.path.absolute().parent / FOLDER, self.path, self._log.differs.noted)
            found.append(problem(self._log.differs, holder, self.zone))
        return tuple(found)

    def _weather_troubles(self) -> list[Problem]:
        """That the weather command has failed for days: nobody looks where it runs."""
        from gwlog.journal import weather_runs

        runs = weather_runs.read(self.path)
        if not runs.long_failing(self.now) or runs.failing_since is None:
            return []
        since = clock.echo(runs.failing_since, self.zone)
        return [Problem(0, f"The weather command has brought nothing since {since}: {runs.trouble}",
                        Hint("Look at it by hand: ", Action("weather run", dry_run="")))]

    def at(self, moment: datetime) -> Household:
        """The same logbook, looked at from another moment."""
        return Household(self.path, moment, self._log, self.present)

    def after(self, written: Sequence[Fact]) -> Household:
        """The household with some entries more, numbered as they were written or as they would be."""
        made = Household(self.path, self.now, self._log.plus(written), self.present)
        # What was folded stays, where the entries come behind all of it.
        last = max((fact.happened_at for fact in self.since(self.now) if fact.happened_at <= self.now),
                   default=self.now)
        if "state" in self.__dict__ and all(
                last <= fact.happened_at <= self.now and fact.corrects_id is None
                and not isinstance(fact, (Withdrawal, Resolution, Site)) for fact in written):
            made.__dict__["state"] = fold(sorted(written, key=lambda fact: (fact.happened_at, fact.id)), self.state)
        return made

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
    return Household(path, now, checkpoints.read(path, now))


def look_set_up(path: Path, now: datetime) -> Household:
    """As `look`, and refuses a logbook in which no household is described yet."""
    home = look(path, now)
    if home.begins is None:
        raise _not_set_up()
    return home


@contextmanager
def list_set_up(path: Path, now: datetime) -> Iterator[Lists]:
    """Lists of the entries up to `now`, without reading the others; refuses as `look_set_up` does."""
    from gwlog.journal import listing, store

    store.ready(path)
    with listing.asking(path, now) as lists:
        if not lists.described:
            raise _not_set_up()
        yield lists


def _not_set_up() -> GwlogError:
    return GwlogError("This logbook describes no household yet.",
                      hint=Hint("Describe it with: ", Action("setup apply", file="SITE.toml")))


def present_moment(typed: str | None, path: Path) -> datetime:
    """The moment that `--at` means for a reading command: now, or the moment typed in the household's time."""
    present = clock.now().replace(microsecond=0)
    if typed is None:
        return present
    return clock.moment(typed, present, read_zone(path), forward=True)


def read_zone(path: Path) -> clock.Locale:
    """The household's time zone and habits, without looking at anything else."""
    from gwlog.journal import listing, store

    store.ready(path)
    with listing.asking(path, clock.now()) as lists:
        site = lists.site
        return clock.locale(site.zone, site.units) if site is not None else clock.locale("UTC", "us")
