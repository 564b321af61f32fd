"""When a basin must rest and when it may be used again: followed event by event from its deliveries.

Rests 24 h after it was filled, 48 h after ponding, and until half of its readily available water is gone.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Sequence
from datetime import date, datetime, timedelta

from gwlog.clock import local_day
from gwlog.state import Delivery, Watering
from gwlog.values import NamedTuple, dataclass, replace

REST_AFTER_FILLING = timedelta(hours=24)
REST_AFTER_PONDING = timedelta(hours=48)
"""Both working assumptions of this project; codes only ask that no water stands (CPC, graywater chapter)."""

DRY_ENOUGH = 0.5
"""Share of the RAW that must be missing again before a rest is over. Working assumption."""

TINY_L = 1e-6
"""Litres below which two volumes count as equal: a thousandth of the millilitre that is logged."""

FILLED = "filled by a load"
FILLED_OTHERWISE = "filled by other water than the wash"
OVER_ALLOWANCE = "took more in a day than the soil's absorption allowance"
PONDING = "ponding was seen"


class Ponding(NamedTuple):
    """Ponding seen at a basin, and when that observation was resolved (None: still open)."""

    seen_at: datetime
    resolved_at: datetime | None


class Morning(NamedTuple):
    """A day as it opens: yesterday's deficit less the day's rain (may be below 0), and the limits [L].

    The whole day's rain counts from its first moment, measured or normal: the safe side. `share`: how much of what is
    poured reaches the roots.
    """

    deficit_l: float
    raw_l: float
    allowance_l: float
    share: float = 1.0


@dataclass(slots=True)
class Rest:
    """Where the rest stands: the last filling, why, the earliest moment of use, how many ponds are open.

    `ended_on`: the day in the course of which the last rest ended, None where it ended at a midnight.
    """

    resting: bool = False
    filled_at: datetime | None = None
    reason: str | None = None
    not_before: datetime | None = None
    open_ponding: int = 0
    ended_on: date | None = None

    def begin(self, at: datetime, reason: str, length: timedelta) -> None:
        """Start the rest, or start it over; a longer rest that already runs is not cut short."""
        until = at + length
        if not self.resting or self.not_before is None or until >= self.not_before:
            self.not_before, self.reason = until, reason
        self.resting, self.filled_at = True, at

    def over_by(self, moment: datetime) -> bool:
        """Whether the hours of the rest have passed at `moment`."""
        return self.not_before is None or self.not_before <= moment

    def last_day(self, zone: str) -> date:
        """The local day on which the hours of the rest end."""
        return date.min if self.not_before is None else local_day(self.not_before, zone)


def follow(
    first: date,
    today: date,
    morning: Callable[[date], Morning],
    deliveries: Sequence[Delivery],
    ponding: Sequence[Ponding],
    zone: str,
    now: datetime,
    other: Sequence[Watering] = (),
    behind: tuple[date, Rest] | None = None,
) -> Rest:
    """Follow a basin's rests from local day `first` up to `now`. `morning(day)` gives a day's opening.

    `other` water fills the root zone as a load does; the absorption allowance is for graywater. `behind`: a day and
    the rest as it stood when that day began; nothing before it is looked at.

    A rest ends at the first moment when the deficit has reached half the RAW, the hours have passed and no
    ponding is open; the deficit only grows at local midnights, so those, the end of the hours and the
    resolution of ponding are the moments that are looked at. Once ended it stays ended until filled again.
    """
    by_day = _events(first, deliveries, other, ponding, zone, now)
    rest = Rest()
    day = first
    if behind is not None:
        day, rest = behind[0], replace(behind[1])
    busy = sorted(one for one in by_day if one >= day)
    one = timedelta(days=1)
    while day <= today:
        if day not in by_day and (not rest.resting or rest.open_ponding):
            following = bisect_left(busy, day)
            if following == len(busy):
                break
            day = busy[following]
        _one_day(rest, day, morning(day), by_day.get(day, ()), zone, now)
        day += one
    return rest


_Event = tuple[datetime, int, float]
_DELIVERED, _PONDED, _RESOLVED, _WATERED = 0, 1, 2, 3


def _events(
    first: date, deliveries: Sequence[Delivery], other: Sequence[Watering], ponding: Sequence[Ponding], zone: str,
    now: datetime,
) -> dict[date, list[_Event]]:
    by_day: dict[date, list[_Event]] = {}
    for delivery in deliveries:
        by_day.setdefault(delivery.day, []).append((delivery.at, _DELIVERED, delivery.litres))
    for watering in other:
        by_day.setdefault(watering.day, []).append((watering.at, _WATERED, watering.litres))
    for pond in ponding:
        if pond.seen_at > now:
            continue
        by_day.setdefault(max(first, local_day(pond.seen_at, zone)), []).append((pond.seen_at, _PONDED, 0.0))
        if pond.resolved_at is not None and pond.resolved_at <= now:
            # an answer dated before the sighting itself ends it at once
            at = max(pond.seen_at, pond.resolved_at)
            by_day.setdefault(max(first, local_day(at, zone)), []).append((at, _RESOLVED, 0.0))
    for events in by_day.values():
        events.sort()
    return by_day


def _one_day(
    rest: Rest, day: date, opening: Morning, events: Sequence[_Event], zone: str, now: datetime,
) -> None:
    dry_enough = DRY_ENOUGH * opening.raw_l - TINY_L
    left = opening.deficit_l
    taken = 0.0
    if rest.resting and not rest.open_ponding and max(0.0, left) >= dry_enough and rest.last_day(zone) < day:
        rest.resting = False  # at this day's first midnight
    for at, kind, litres in events:
        _hours_over(rest, day, at, left, dry_enough, zone)
        if kind in (_DELIVERED, _WATERED):
            left -= litres * opening.share
            if kind == _DELIVERED:
                taken += litres
            if litres > 0.0 and left <= TINY_L:
                rest.begin(at, FILLED if kind == _DELIVERED else FILLED_OTHERWISE, REST_AFTER_FILLING)
            elif kind == _DELIVERED and litres > 0.0 and taken > opening.allowance_l + TINY_L:
                rest.begin(at, OVER_ALLOWANCE, REST_AFTER_FILLING)
        elif kind == _PONDED:
            rest.open_ponding += 1
            rest.begin(at, PONDING, REST_AFTER_PONDING)
        else:
            rest.open_ponding -= 1
            if not rest.open_ponding and rest.over_by(at) and max(0.0, left) >= dry_enough:
                rest.resting, rest.ended_on = False, day
    _hours_over(rest, day, now, left, dry_enough, zone)


def _hours_over(rest: Rest, day: date, until: datetime, left: float, dry_enough: float, zone: str) -> None:
    """End the rest when its hours end on this day, not later than `until`, with the deficit of that moment."""
    if (
        rest.resting and not rest.open_ponding and max(0.0, left) >= dry_enough
        and rest.over_by(until) and rest.last_day(zone) == day
    ):
        rest.resting, rest.ended_on = False, day
