"""Households one after the other in the same logbook: each handover begins an era, whose mistakes are its own."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING

from gwlog.clock import local_day

if TYPE_CHECKING:
    from gwlog.state import State


def beginnings(state: State) -> tuple[datetime, ...]:
    """When the logbook was handed on, the oldest first; nothing where it never was."""
    return tuple(sorted(state.eras))


def present_began(state: State) -> date | None:
    """The local day on which the household of now took the logbook over; None where it began it."""
    begun = beginnings(state)
    return local_day(begun[-1], state.zone) if begun else None


def earlier(state: State, first: date) -> Iterator[tuple[date, date]]:
    """First and last local day of each household before, from the logbook's `first` day on."""
    start = first
    for begun in beginnings(state):
        day = local_day(begun, state.zone)
        if day > start:
            yield start, day - timedelta(days=1)
        start = max(start, day)
