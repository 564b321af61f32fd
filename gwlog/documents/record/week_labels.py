"""The labels below charts over time."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date


def week_labels(days: Sequence[date], per: str = "week", most: int = 14) -> tuple[str, ...]:
    """A label where a new month (for months: a new year) begins, thinned so that at most about `most` stand there."""
    fresh = [number for number, day in enumerate(days)
             if number == 0 or (day.month != days[number - 1].month if per == "week"
                                else day.year != days[number - 1].year)]
    step = max(1, -(-len(fresh) // most))
    kept = set(fresh[::step])
    return tuple((f"{day:%b %y}" if per == "week" else f"{day:%Y}") if number in kept else ""
                 for number, day in enumerate(days))
