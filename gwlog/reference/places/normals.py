"""Mean temperature and rain of the twelve months at a place: the mean over the land of its square degree.

Source: see gwlog.reference.places.NORMALS. Half degrees, and rain to about a twentieth.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from gwlog.reference.places import unpacked

SOUTH, NORTH = -66, 72
"""The southernmost and the northernmost square, by the degree in its middle."""

_MARKS = (NORTH - SOUTH + 1) * 360
_FARTHEST = 3
"""Squares to a side in which land is looked for: a town on an island or a cape may have none in its own."""


@dataclass(frozen=True, slots=True)
class Normals:
    """January first: mean temperature [degC] and rain [mm] of each month."""

    tmean_c: tuple[float, ...]
    rain_mm: tuple[float, ...]


@lru_cache(maxsize=1)
def _content() -> bytes:
    return unpacked("climate")


def normals(latitude: float, longitude: float) -> Normals | None:
    """The months at a point [degrees]; None in the open sea and near the poles."""
    marks = _content()[:_MARKS]
    for row, column in _squares(round(latitude), round(longitude)):
        if SOUTH <= row <= NORTH:
            spot = (row - SOUTH) * 360 + (column + 180) % 360
            if marks[spot]:
                return _months(sum(marks[:spot]), sum(marks))
    return None


def _squares(row: int, column: int) -> Iterator[tuple[int, int]]:
    """The square of a point, then those around it, the nearest first."""
    span = range(-_FARTHEST, _FARTHEST + 1)
    for up, over in sorted(((up, over) for up in span for over in span), key=lambda at: at[0] ** 2 + at[1] ** 2):
        yield row + up, column + over


def _months(number: int, count: int) -> Normals:
    """The months of the square of that number; each column holds what differs from the square before, modulo 256."""
    content = _content()
    values = [sum(content[start:start + number + 1]) % 256
              for start in range(_MARKS, _MARKS + 24 * count, count)]
    return Normals(tuple((one - 128) / 2 for one in values[:12]), tuple((one / 7) ** 2 for one in values[12:]))
