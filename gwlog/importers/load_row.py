"""One row of a spreadsheet of past loads, as it was understood: names found, quantities in the logbook's units."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime


@dataclass(frozen=True, slots=True)
class Row:
    """One row as understood. `at` None: the row says no time; `measured`: it says the volume.

    `went_to` None: it does not say; `basin`: where the water went, if it says so.
    """

    line: int
    day: date
    at: datetime | None
    load: str | None
    washer: str
    volume_ml: int
    measured: bool
    went_to: str | None
    basin: str | None
    products: tuple[str, ...]
    contents: tuple[str, ...]
    by: str | None
    note: str | None
