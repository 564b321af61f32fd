"""A period of the logbook and what stands in it: loads, loads that had to go to the sewer, rounds of upkeep.

What the conditions' evidence and the record are drawn from; local days, both ends included.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from typing import TYPE_CHECKING

from gwlog.clock import echo_date, local_day, week_of
from gwlog.text import listed
from gwlog.values import dataclass

if TYPE_CHECKING:
    from gwlog.decisions.sewer_loads import SewerLoad
    from gwlog.decisions.upkeep_past import Round
    from gwlog.state import LoadRun, State
    from gwlog.water.garden import Garden


@dataclass(frozen=True, slots=True)
class Past:
    """A period (both days included), and what its evidence is drawn from. `garden`: at the period's end.

    `by_week`: days are told by the Monday of their week, for readers who are told no day; `parties`: whether it is told
    by whom and to whom something was attested.
    """

    state: State
    garden: Garden
    first: date
    last: date
    sewer: Sequence[SewerLoad]
    rounds: Sequence[Round]
    by_week: bool = False
    parties: bool = True

    def on(self, *days: date) -> str:
        """When it was, as the reader is told: “on Tue, Mar 3, 2026”, or “in the week of Mar 2, 2026”."""
        system = self.state.zone.system
        if self.by_week:
            return f"in {listed(list(dict.fromkeys(week_of(day, system) for day in days)))}"
        return f"on {listed([echo_date(day, system) for day in days])}"

    def within(self, day: date) -> bool:
        """Whether a local day lies in the period."""
        return self.first <= day <= self.last

    def loads(self) -> Iterator[LoadRun]:
        """The loads of the period."""
        return (run for run in self.state.loads if self.within(run.day))

    def garden_loads(self) -> Iterator[LoadRun]:
        """Those that went to the garden."""
        return (run for run in self.loads() if run.to_garden)

    def done(self, part: str) -> list[date]:
        """The days in the period on which a task whose name holds `part` was done."""
        return sorted({
            day for name, entries in self.state.upkeep_done.items() if part in name.casefold()
            for entry in entries if self.within(day := local_day(entry.happened_at, entry.zone))
        })
