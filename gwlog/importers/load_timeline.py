"""Merges past loads into the logged history: the valve switches and outlet moves that they imply.

Logged entries keep their meaning: where a row turned the valve or moved an outlet, it is put back afterwards.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from gwlog.household import Household
from gwlog.importers.load_row import Row
from gwlog.journal.facts import Fact, OutletMove, ValveSwitch, WashLoad
from gwlog.text import listed

IMPLIED = "Not seen: follows from a past load that was imported."
END = datetime(9999, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class _Event:
    """An event of the log: the valve (thing None) or an outlet changes its place, or a load ran."""

    at: datetime
    thing: str | None = None
    stands: str | None = None


def facts(rows: Sequence[Row], home: Household) -> tuple[list[Fact], list[tuple[int, str]]]:
    """The entries for rows in order of their moments, and (line, fault) of each row that contradicts the log."""
    track = _Track(home)
    faults: list[tuple[int, str]] = []
    for row in rows:
        assert row.at is not None
        track.until(row.at)
        outlet = None if row.basin is None else track.outlet_for(row.basin)
        if row.basin is not None and outlet is None:
            faults.append((row.line, _unreached(row.basin, home)))
            continue
        track.run(row, outlet)
    track.until(END)
    return track.made, faults


def _unreached(basin: str, home: Household) -> str:
    able = [name for name in home.state.active_outlets() if basin in home.state.reach(name)]
    if not able:
        return f"No outlet reaches “{basin}”."
    return f"Several outlets reach “{basin}”: {listed(able, 'or')}; log the move first: gwlog move OUTLET \"{basin}\""


class _Track:
    """Where valve and outlets stand by the log, and by the rows so far where these differ."""

    def __init__(self, home: Household) -> None:
        state = home.state
        self._home = home
        self._log = sorted(
            [_Event(at, None, position) for at, position, _ in state.valve_log]
            + [_Event(at, outlet, basin) for at, outlet, basin, _ in state.outlet_log]
            + [_Event(run.fact.happened_at, "") for run in state.loads], key=lambda event: event.at)
        self._next = 0
        self._by_log: dict[str | None, str] = {}
        self._by_rows: dict[str | None, str] = {}
        self._last = END
        self.made: list[Fact] = []

    def until(self, moment: datetime) -> None:
        """Apply the log up to a moment. Before a logged load, and at the end, valve and outlets are put back."""
        while self._next < len(self._log) and self._log[self._next].at <= moment:
            event = self._log[self._next]
            self._next += 1
            if event.stands is None:
                self._put_back(event.at)
            else:
                self._by_log[event.thing] = event.stands
                self._by_rows.pop(event.thing, None)
        if moment == END:
            self._put_back(END)

    def outlet_for(self, basin: str) -> str | None:
        """The outlet that lies at a basin, else the only one that reaches it; None when it cannot be said."""
        active = self._home.state.active_outlets()
        for name in active:
            if self._stands(name) == basin:
                return name
        able = [name for name in active if basin in self._home.state.reach(name) and name in self._by_log]
        return able[0] if len(able) == 1 else None

    def run(self, row: Row, outlet: str | None) -> None:
        """Append a row's load, after what it implies."""
        assert row.at is not None
        went_to = row.went_to or self._stands(None) or "garden"
        if outlet is not None and row.basin is not None and self._stands(outlet) != row.basin:
            self._put(outlet, row.basin, row.at)
        if self._stands(None) != went_to:
            self._put(None, went_to, row.at)
        self.made.append(WashLoad(
            **self._common(row.at, row.note, row.by), usual_load=row.load, washer=row.washer, volume_ml=row.volume_ml,
            products=row.products, contents=row.contents, went_to=went_to))
        self._last = row.at

    def _stands(self, thing: str | None) -> str | None:
        return self._by_rows.get(thing, self._by_log.get(thing))

    def _put(self, thing: str | None, stands: str, at: datetime) -> None:
        common = self._common(at, IMPLIED, None)
        self.made.append(ValveSwitch(**common, position=stands) if thing is None
                         else OutletMove(**common, outlet=thing, basin=stands))
        self._by_rows[thing] = stands

    def _put_back(self, before: datetime) -> None:
        """Append the switches and moves that restore the places of the log, between the last row and `before`."""
        for thing, stands in list(self._by_rows.items()):
            if stands != self._by_log[thing]:
                gap = max(timedelta(), min(before, self._home.now) - self._last)
                at = self._last + min(timedelta(minutes=1), gap / 2)
                self._put(thing, self._by_log[thing], at.replace(microsecond=0))
        self._by_rows.clear()

    def _common(self, at: datetime, note: str | None, by: str | None) -> dict[str, Any]:
        return {"happened_at": at, "zone": self._home.zone, "recorded_by": by, "note": note}
