"""What long work gives back while it runs and when it ends."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from gwlog.household import Household
    from gwlog.worker.orders import Order

Outcome = dict[str, Any]
"""{lines, fine} and what a work adds: the words to show, and whether all is well."""

Progress = Callable[[int, int, str], None]
"""Called with (steps done, steps in all, what is going on)."""


def household(order: Order, progress: Progress, steps: int) -> Household:
    """Read the logbook and work out its season: the first two of `steps`."""
    from gwlog.household import look_set_up

    progress(0, steps, "reading the logbook")
    home = look_set_up(order.logbook, order.now)
    progress(1, steps, "working out the season")
    _ = home.garden, home.exceptions
    return home
