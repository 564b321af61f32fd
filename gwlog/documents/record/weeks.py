"""The period week by week: loads and litres in all, to the sewer, and at each basin against its soil's allowance.

Weeks begin on Monday and are cut to the period.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from gwlog.clock import local_day
from gwlog.documents.record.model import BasinWeek, Week
from gwlog.household import Household
from gwlog.journal.facts import Basin
from gwlog.water.garden import deliveries_by_basin, ledger_of
from gwlog.water.growth import spec_of
from gwlog.water.ledger import LedgerDay
from gwlog.water.rest import TINY_L

_DAY = timedelta(days=1)


def weeks(home: Household, first: date, last: date) -> tuple[Week, ...]:
    """Return the weeks of `first`..`last`; none before the household's first description."""
    basins = {name: _BasinDays(home, name, history) for name, history in home.state.basin_history.items()}
    runs: dict[date, list[tuple[float, bool]]] = {}
    for run in home.state.loads:
        if first <= run.day <= last:
            runs.setdefault(_monday(run.day), []).append((run.litres, run.to_garden))
    found = []
    for start, end in _spans(first, last):
        these = runs.get(_monday(start), [])
        sewer = [litres for litres, garden in these if not garden]
        by_basin = {name: week for name, days in basins.items() if (week := days.week(start, end)) is not None}
        found.append(Week(start, end, len(these), round(sum(litres for litres, _ in these), 3), len(sewer),
                          round(sum(sewer), 3), by_basin))
    return tuple(found)


def _monday(day: date) -> date:
    return day - timedelta(days=day.weekday())


def _spans(first: date, last: date) -> Iterator[tuple[date, date]]:
    start = first
    while start <= last:
        end = min(_monday(start) + timedelta(days=6), last)
        yield start, end
        start = end + _DAY


class _BasinDays:
    """One basin's days: its allowance as described then, what it got, and what the balance says."""

    def __init__(self, home: Household, name: str, history: list[Basin]) -> None:
        state = home.state
        now = home.garden.basins.get(name)
        ledger = now.ledger if now is not None else ledger_of(state, name, home.garden.sky, home.now)
        self.balance: dict[date, LedgerDay] = {day.day: day for day in ledger.days}
        self.given: dict[date, list[float]] = {}
        for delivery in deliveries_by_basin(state).get(name, ()):
            self.given.setdefault(delivery.day, []).append(delivery.litres)
        self.described = [(local_day(basin.happened_at, state.zone), basin.active, spec_of(basin).allowance_l)
                          for basin in history]

    def allowance(self, day: date) -> float | None:
        """The day's allowance [L] by the description in force at its end; None while the basin is not in use."""
        found: float | None = None
        for since, active, litres in self.described:
            if since > day:
                break
            found = litres if active else None
        return found

    def week(self, first: date, last: date) -> BasinWeek | None:
        days = [first + timedelta(days=number) for number in range((last - first).days + 1)]
        loads, litres, allowed, over = 0, 0.0, 0.0, 0
        in_use = False
        for day in days:
            allowance = self.allowance(day)
            given = self.given.get(day, [])
            in_use = in_use or allowance is not None or bool(given)
            loads += len(given)
            litres += sum(given)
            allowed += allowance or 0.0
            over += bool(given) and sum(given) > (allowance or 0.0) + TINY_L
        if not in_use:
            return None
        balance = [self.balance[day] for day in days if day in self.balance]
        return BasinWeek(
            loads, round(litres, 3), round(allowed, 3), over,
            round(sum(day.used_l for day in balance), 3) if balance else None,
            round(sum(day.percolated_l for day in balance), 3) if balance else None)
