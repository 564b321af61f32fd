"""Whether the ground is frozen, from daily mean temperatures: the continuous frost index.

Molnau and Bissell (1983), A continuous frozen ground index for flood forecasting, Proceedings of the Western Snow
Conference 51; the constants as in the source of the USGS Soil-Water-Balance code (read).
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from datetime import date, timedelta
from math import exp

from gwlog.values import NamedTuple
from gwlog.water.weather import Sky

DAILY_SHARE = 0.97
"""A: what a day leaves of the index."""

SNOW_PER_CM_THAWING, SNOW_PER_CM_FREEZING = 0.5, 0.08
"""K: how much a centimetre of snow shields the ground, above and below the freezing point [1/cm]."""

FROZEN_ABOVE = 83.0
THAWED_BELOW = 55.0
"""Above the first the ground is frozen, below the second it is not, between them it may be [degC days]."""

CARRIED_DAYS = 365
"""How far back the index is carried from nothing: after a summer none of it is left."""

UNKNOWN_MEAN_C = 0.0
"""Mean temperature of a day that nobody measured, where the climate states none: the index fades. Assumption."""


class Frost(NamedTuple):
    """The index at a day's end, and how many of the last thirty days were measured."""

    degree_days: float
    measured: int


def next_index(index: float, mean_c: float, snow_cm: float = 0.0) -> float:
    """Return the index after one more day of the mean temperature `mean_c` [degC] under `snow_cm` of snow [cm].

    Snow keeps the ground warmer. Nobody logs it, so that none is taken: the index is then on the side of caution.
    """
    shield = SNOW_PER_CM_THAWING if mean_c >= 0.0 else SNOW_PER_CM_FREEZING
    return max(0.0, DAILY_SHARE * index - mean_c * exp(-0.4 * shield * snow_cm))


def carried(sky: Sky, first: date, last: date, open_on: Collection[date] = (),
            start: tuple[float, Sequence[bool]] | None = None) -> Iterator[tuple[date, Frost]]:
    """Yield each day from `first` to `last` with its index, carried day by day from a year before.

    `start`: the index of the day before `first`, and which of the thirty days up to it were measured, where known.

    A day whose mean is not known, neither measured nor by the climate, counts as `UNKNOWN_MEAN_C`. `open_on`: days on
    which somebody saw that the ground was open again; the index begins anew behind them.
    """
    index, lately = (0.0, [False] * 30) if start is None else (start[0], list(start[1]))
    for number in range(-CARRIED_DAYS if start is None else 0, (last - first).days + 1):
        day = first + timedelta(days=number)
        mean, measured = sky.mean_c(day)
        index = 0.0 if day in open_on else next_index(index, UNKNOWN_MEAN_C if mean is None else mean)
        lately = [*lately[1:], measured]
        if number >= 0:
            yield day, Frost(index, sum(lately))
