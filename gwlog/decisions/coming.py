"""The loads to come in the order in which they are decided, and what speaks against each whatever the basins say.

The next load that is free to go to the garden is the one that is decided; what follows it is expected as if it had
just been logged.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from typing import TYPE_CHECKING

from gwlog.clock import local_day
from gwlog.decisions.expected import BETWEEN_LOADS, UNNAMED, ExpectedLoad, MissedLoad, expected
from gwlog.decisions.garden_rules import DayCase, day_reasons
from gwlog.decisions.load_rules import LoadQuery, Reason, load_reasons, strongest_first
from gwlog.decisions.query import profile_of, query_for, reader_of
from gwlog.errors import UnknownName
from gwlog.values import NamedTuple, replace

if TYPE_CHECKING:
    from gwlog.state import State

Expect = Callable[[datetime, int, str | None], tuple[tuple[ExpectedLoad, ...], tuple[MissedLoad, ...]]]
"""The loads to expect: at a moment, for so many days, as if a run of that name had just been logged."""


def expecting(state: State) -> Expect:
    """What the household plans and is used to."""
    return lambda moment, days, ran: expected(state, moment, days, ran=ran)


class Against:
    """What speaks against the garden in a load or its day. What was seen and is not resolved holds `through` a day."""

    def __init__(self, state: State, through: date) -> None:
        self.state, self.through = state, through
        self.read, self.profile = reader_of(state), profile_of(state)
        self._loads: dict[str | None, tuple[Reason, ...]] = {}
        self._days: dict[date, tuple[Reason, ...]] = {}

    def of_load(self, name: str | None) -> tuple[Reason, ...]:
        """What speaks against a usual load by what is in it."""
        if name not in self._loads:
            try:
                self._loads[name] = load_reasons(query_for(self.state, name))
            except UnknownName:
                self._loads[name] = ()
        return self._loads[name]

    def of_day(self, day: date) -> tuple[Reason, ...]:
        """What speaks against every load of a day."""
        if day not in self._days:
            self._days[day] = tuple(day_reasons(
                DayCase(self.state, day, self.read, self.profile, seen=day <= self.through)))
        return self._days[day]

    def both(self, load: ExpectedLoad) -> tuple[Reason, ...]:
        """All of it, the strongest first."""
        return strongest_first([*self.of_load(load.usual_load), *self.of_day(load.day)])


class Coming(NamedTuple):
    """The loads to come. `before`: those that go to the sewer anyway, before `first`, the next that is free to go to
    the garden (None where there is none). `at`: the moment at which it is decided. `after`: what follows it.
    """

    before: tuple[ExpectedLoad, ...]
    first: ExpectedLoad | None
    at: datetime
    after: tuple[ExpectedLoad, ...]
    missed: tuple[MissedLoad, ...]
    against: Against

    @property
    def every(self) -> tuple[ExpectedLoad, ...]:
        """All of them in order."""
        return self.before if self.first is None else (*self.before, self.first, *self.after)


def coming(state: State, now: datetime, days: int, expect: Expect) -> Coming:
    """Lay out the loads of the coming `days` days (from the day of the first free load, where there is one)."""
    loads, missed = expect(now, days, None)
    today = local_day(now, state.zone)
    against = Against(state, max(today, loads[0].day) if loads else today)
    number = next((n for n, load in enumerate(loads) if not against.both(load)), None)
    if number is None:
        return Coming(loads, None, now, (), missed, against)
    first, before = loads[number], loads[:number]
    at = max(first.when, now)
    behind = {(load.when, load.name) for load in before}
    after = tuple(_behind(load, at) for load in expect(at, days, first.usual_load or UNNAMED)[0]
                  if (load.when, load.name) not in behind)
    return Coming(before, first, at, after, missed, against)


def _behind(load: ExpectedLoad, at: datetime) -> ExpectedLoad:
    """A load that the household is used to run on the same day, as it follows the one that runs at `at`."""
    return replace(load, when=at + BETWEEN_LOADS) if not load.planned and load.when <= at else load


def asked(query: LoadQuery, at: datetime, zone: str) -> ExpectedLoad:
    """A load that somebody asks about, as one that is expected at that moment."""
    return ExpectedLoad(at, local_day(at, zone), query.name or UNNAMED, query.volume_l, False, query.name)
