"""The days of which a paper tells, by its reader: whole weeks for the landlord, and never two households in one."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from gwlog import clock
from gwlog.decisions import eras
from gwlog.errors import BadInput
from gwlog.household import Household
from gwlog.journal.disclosure import LANDLORD
from gwlog.journal.facts import Site


@dataclass(frozen=True, slots=True)
class Span:
    """`first`..`last`, local days, both included; `earlier`: those of the households before, told apart.

    `last` before `first`: no whole week lies between, of which the landlord could be told.
    """

    first: date
    last: date
    earlier: tuple[tuple[date, date], ...] = ()

    @property
    def empty(self) -> bool:
        """Whether there is no day of which to tell."""
        return self.last < self.first


def span(home: Household, start: date | None = None, end: date | None = None, reader: str = "") -> Span:
    """Return the days of a paper: `start`..`end`, cut to today and to the household of now.

    Without `start` it begins with the household's first day in the logbook, without `end` it ends today. For the
    landlord it goes from Monday to Sunday, so that no two papers differ by a single day. Raises BadInput when nothing
    lies between.
    """
    today = clock.local_day(home.now, home.zone)
    last = today if end is None else min(end, today)
    begun = first_day(home, last)
    first = begun if start is None else start
    if first > last:
        raise BadInput(f"The period from {first} to {end or last} is empty; it has to begin on or before the day on "
                       f"which it ends, and not after today, {today}.")
    before = tuple((max(since, first), min(until, last)) for since, until in eras.earlier(home.state, begun)
                   if until >= first and since <= last)
    if reader == LANDLORD:
        first, last = clock.monday(first), _last_sunday(last, today)
    own = eras.present_began(home.state)
    return Span(first if own is None else max(first, own), last, before)


def first_day(home: Household, last: date) -> date:
    """The logbook's first local day, not after `last`."""
    begun = [fact.happened_at for fact in home.standing.facts if isinstance(fact, Site)] or \
            [fact.happened_at for fact in home.standing.facts]
    return min(clock.local_day(begun[0], home.zone), last) if begun else last


def _last_sunday(last: date, today: date) -> date:
    """The Sunday of the last week that is over: of `last`, where its week is."""
    sunday = clock.monday(last) + timedelta(days=6)
    return sunday if sunday < today else clock.monday(today) - timedelta(days=1)
