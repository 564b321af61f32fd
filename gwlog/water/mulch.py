"""How deep the mulch over a discharge point still is, how fast it goes, and when it has to be topped up.

Mulch rots and settles by a share of its depth: depth(t) = depth(0) exp(-k t). No citable rate exists, so k
comes from the basin's own measurements as soon as there are two.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from functools import lru_cache
from math import exp, log

from gwlog.clock import local_day
from gwlog.history import known, older_of
from gwlog.journal.facts import Mulch
from gwlog.values import NamedTuple, dataclass

LOSS_PER_YEAR = 0.40
"""Share of the depth lost in a year until it was measured twice. Working assumption, no source."""

MARGIN_MM = 13.0
"""How far above the code's minimum a top-up becomes due [mm], half an inch. Working assumption."""

SHORTEST_SPAN_DAYS = 14
"""Measurements that span less say more about the ruler than about the mulch. Working assumption."""

UNLOGGED_MM = 13
"""Cover that grew by more than this without a logged top-up was topped up all the same. Assumption."""

SLOWEST_LOSS, FASTEST_K = 0.05, 5.0
"""Bounds of a fitted rate: at least 5 % a year, since mulch always rots and a ruler may not show it, and at
most 5.0 [1/year], 99 % a year. Working assumptions."""

class Fit(NamedTuple):
    """What measurements of the cover up to one of them say of its rate: the time between them, and k [1/year] weighed
    by it. Whoever has it needs no entry before that measurement.
    """

    span: timedelta = timedelta()
    weighed: float = 0.0


YEAR = timedelta(days=365.25)
HORIZON = timedelta(days=3653)


@dataclass(frozen=True, slots=True)
class Reckoning:
    """The depth last known or reckoned anew [mm], when that was, and the rate k [1/year] at which it goes since."""

    depth_mm: float
    at: datetime
    k: float
    fitted: bool

    def depth(self, moment: datetime) -> float:
        """The cover at a later moment [mm]."""
        return self.depth_mm * exp(-self.k * max(0.0, (moment - self.at) / YEAR))


def cover(entries: Sequence[Mulch], now: datetime, initial_mm: float, initial_at: datetime) -> float:
    """Return one basin's cover at `now` [mm] from its top-ups and measurements, in the order they happened.

    `initial_mm`, `initial_at`: the described depth and since when. A measurement replaces what was reckoned,
    a top-up adds to it.
    """
    return reckoning(entries, now, initial_mm, initial_at).depth(now)


def cover_due(
    entries: Sequence[Mulch], now: datetime, initial_mm: float, initial_at: datetime, minimum_mm: float,
    zone: str = "UTC",
) -> date | None:
    """Return the local day on which the cover reaches the code's minimum [mm] plus 13 mm.

    It does not move with `now`: a day in the past means overdue. None when it lies ten years off or farther.
    """
    base = reckoning(entries, now, initial_mm, initial_at)
    due_at = minimum_mm + MARGIN_MM
    if base.depth_mm <= due_at:
        return local_day(base.at, zone)
    wait = YEAR * (log(base.depth_mm / due_at) / base.k)
    return local_day(base.at + wait, zone) if wait < HORIZON else None


def known_depth(entries: Sequence[Mulch], now: datetime, initial_mm: float, initial_at: datetime) -> float:
    """Return the mulch depth of one basin [mm] as it was last described or measured, plus what was added since.

    What mulch is reckoned to have lost is not taken off: a hard limit rests on what somebody saw. Never more than
    the described depth, above which chips heaped on a basin hold no water.
    """
    depth = initial_mm
    for one in sorted(_at_hand(entries, now)[0], key=lambda one: (one.happened_at, one.id)):
        if initial_at <= one.happened_at <= now:
            depth = float(one.depth_mm) + (depth if one.action == "added" else 0.0)
            depth = min(depth, initial_mm)
    return depth


def reckoning(entries: Sequence[Mulch], now: datetime, initial_mm: float, initial_at: datetime) -> Reckoning:
    """Return where the cover's depth goes on from, by the entries up to `now` (see cover)."""
    at_hand, before = _at_hand(entries, now)
    past = sorted((one for one in at_hand if one.happened_at <= now), key=lambda one: (one.happened_at, one.id))
    fitted = _rate_of(fit(past, before))
    k = -log(1.0 - LOSS_PER_YEAR) if fitted is None else fitted
    base = Reckoning(max(0.0, initial_mm), initial_at, k, fitted is not None)
    for one in past:
        if one.happened_at < initial_at:
            continue
        depth = float(one.depth_mm)
        if one.action == "added":
            depth += base.depth(one.happened_at)
        base = Reckoning(depth, one.happened_at, k, base.fitted)
    return base


def _at_hand(entries: Sequence[Mulch], now: datetime) -> tuple[Sequence[Mulch], Fit]:
    """The entries from a measurement on, which takes the place of all before it, and what those say of the rate."""
    older = older_of(entries)
    if older is not None and isinstance(older.comes_to, Fit) and now >= older.moment:
        return known(entries), older.comes_to
    return list(entries), Fit()


def fit(entries: Sequence[Mulch], before: Fit = Fit()) -> Fit:  # noqa: B008
    """Fit k [1/year] to each measurement and the next, weighed by the time between. `before`: of those up to the first.

    What was added between the two adds to what the first would have become.
    """
    span, weighed = before
    measured: Mulch | None = None
    added: list[Mulch] = []
    for one in entries:
        if one.action == "added":
            added.append(one)
            continue
        if measured is not None and measured.depth_mm > 0:
            between = one.happened_at - measured.happened_at
            most = measured.depth_mm + sum(top_up.depth_mm for top_up in added)
            if between > timedelta() and one.depth_mm - most <= UNLOGGED_MM:
                weighed += _rate(measured, tuple(added), one) * (between / YEAR)
                span += between
        measured, added = one, []
    return Fit(span, weighed)


def _rate_of(found: Fit) -> float | None:
    """The rate k that measurements give [1/year], None where they span too little."""
    if found.span < timedelta(days=SHORTEST_SPAN_DAYS):
        return None
    return max(-log(1.0 - SLOWEST_LOSS), min(FASTEST_K, found.weighed / (found.span / YEAR)))


@lru_cache(maxsize=1024)
def _rate(first: Mulch, added: tuple[Mulch, ...], last: Mulch) -> float:
    """The k with which `first`, and what was added, become `last`; below 0 where the cover seems to grow.

    Kept: the same three entries are asked about for every load that is judged by its cover.
    """
    if not added and last.depth_mm > 0:
        return log(first.depth_mm / last.depth_mm) / ((last.happened_at - first.happened_at) / YEAR)

    laid = [(one.depth_mm, (last.happened_at - one.happened_at) / YEAR) for one in (first, *added)]

    def reckoned(k: float) -> float:
        return sum(depth * exp(-k * years) for depth, years in laid)

    low, high = -FASTEST_K, FASTEST_K
    for _ in range(60):
        middle = (low + high) / 2.0
        low, high = (middle, high) if reckoned(middle) > last.depth_mm else (low, middle)
    return (low + high) / 2.0
