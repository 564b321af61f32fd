"""Basins that got a load which had to go to the sewer: who stays off them, and how the wet mulch is covered."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from gwlog.clock import echo_day
from gwlog.decisions.load_rules import Reason
from gwlog.text import listed, plural

if TYPE_CHECKING:
    from gwlog.decisions.exceptions import LoadException

KEEP_OFF = "keep off"
CONTACT_SOURCE = "Arizona graywater brochure and Victoria, household greywater advice (read): avoid touching the " \
                 "water and the wetted soil, wash hands"
VALVE_FIRST = "If the machine is pumping, pause it. Turn the valve to sewer, then let the machine finish."
"""What comes before everything else while such a load runs."""

COVER_WET_MULCH = "Wearing gloves, rake dry mulch over the wet spot before anything else is done there, then wash " \
                  "your hands."


def not_followed_up(exceptions: Iterable[LoadException]) -> dict[str, list[LoadException]]:
    """The loads run to the garden against a rule and not followed up, by the basins that got water of them."""
    found: dict[str, list[LoadException]] = {}
    for one in exceptions:
        if not one.followed_up:
            for name in dict.fromkeys(delivery.basin for delivery in one.load.deliveries):
                found.setdefault(name, []).append(one)
    return found


def keep_off(open_ones: dict[str, list[LoadException]], basins: Iterable[str], system: str) -> Iterator[Reason]:
    """A warning for those of the basins that got such a load, all of them in one sentence."""
    names = [name for name in dict.fromkeys(basins) if name in open_ones]
    if not names:
        return
    last = max((one for name in names for one in open_ones[name]), key=lambda one: one.load.fact.happened_at)
    more = len({one.load.fact.id for name in names for one in open_ones[name]}) - 1
    others = f" and {plural(more, 'earlier load')}" if more else ""
    yield Reason(KEEP_OFF, None,
                 f"{keep_off_words(names)} Load {last.load.fact.id} of {echo_day(last.load.day, system)}{others} "
                 f"went there against a rule and {'are' if more else 'is'} not followed up. {COVER_WET_MULCH}",
                 CONTACT_SOURCE, f"Follow it up and log that: gwlog resolve {last.load.fact.id}")


def keep_off_words(basins: list[str]) -> str:
    """Who keeps off: “Keep people, above all children, and pets off Fig until that is followed up.”"""
    return f"Keep people, above all children, and pets off {listed(basins)} until that is followed up."
