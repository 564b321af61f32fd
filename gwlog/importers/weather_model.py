"""What the readers of weather files hand to each other: what was asked, columns, figures, days.

Nothing is decided here.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from gwlog.importers.weather_layouts import Layout
from gwlog.importers.weather_stamps import Stamp
from gwlog.importers.weather_text import Table
from gwlog.importers.weather_units import Said, Unit
from gwlog.units import System
from gwlog.water.weather import Sky


@dataclass(frozen=True, slots=True)
class Asked:
    """What a person said beside the file, and what is needed to put a question well."""

    zone: str
    now: datetime
    system: System
    sky: Sky
    units: str | None = None
    format: str | None = None
    station: str | None = None
    leave_out: bool = False


@dataclass(slots=True)
class Column:
    """A column that is taken: what it holds, its place, title and unit (None: not yet decided), its companion's place.
    """

    what: str
    index: int
    title: str
    unit: Unit | None
    flag: int | None = None


@dataclass(slots=True)
class Opened:
    """A file whose layout is known. `placed`: the folded titles of its header; `runs`: how its clock runs.

    `format`: what --format said of the layout, the order of dates and hourly rain; `said`: what --units said.
    """

    layout: Layout
    table: Table
    asked: Asked
    said: Said
    format: dict[str, str]
    placed: dict[str, int]
    runs: str | timedelta
    days: list[int] = field(default_factory=list)
    time: int | None = None
    columns: list[Column] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)

    def place(self, names: str) -> int | None:
        """Where one of these titles (a|b) stands."""
        return next((self.placed[name] for name in names.split("|") if name in self.placed), None)


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure as it stands in the file: the number of its row and its line there, its stamp and column."""

    row: int
    line: int
    stamp: Stamp
    column: Column
    number: float
    cell: str
    made: datetime | None


@dataclass(frozen=True, slots=True)
class Day:
    """One day as the file has it, in mm and degC; `made`: when it was forecast, where the file says so."""

    line: int
    values: dict[str, float]
    made: datetime | None = None


@dataclass(slots=True)
class WeatherFile:
    """What a file holds: its days, rows that cannot be used, and what a person should know of it.

    `counts`: figures left out or marked, days with too few hours.
    """

    layout: Layout
    days: dict[date, Day] = field(default_factory=dict)
    rows: int = 0
    faults: list[str] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)
    counts: Counter[str] = field(default_factory=Counter)


def few(words: Sequence[str]) -> str:
    """The first of many words, and how many more there are."""
    return ", ".join(words[:5]) + (f" and {len(words) - 5} more" if len(words) > 5 else "")
