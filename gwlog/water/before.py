"""What the time before the part of a history that is at hand comes to: where balances and salts are carried on.

Whoever folds the later part and asks the garden gets the same as from the whole history.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import TYPE_CHECKING

from gwlog.state import LoadRun, State
from gwlog.values import NamedTuple
from gwlog.water.ledger import LedgerStart
from gwlog.water.salts import SodiumPart
from gwlog.water.weather import Uncounted

if TYPE_CHECKING:
    from gwlog.water.soil_salt import SaltsStart


class Judged(NamedTuple):
    """A load of before that ran against a must and was not followed up, or another one of the same day.

    `covers`: of each basin that got water, the cover and the known depth of mulch when it ran [mm]. `frost`: that
    day's index and how many days of it were measured, None where the ground could not freeze.
    """

    run: LoadRun
    covers: Mapping[str, tuple[float, float]]
    frost: tuple[float, int] | None


class FrostStart(NamedTuple):
    """The frost index at a day's end, which of the thirty days up to it were measured, whether a day before froze."""

    degree_days: float
    lately: tuple[bool, ...]
    froze: bool


class Before(NamedTuple):
    """What the time before `moment`, the first of the local `day`, comes to.

    `starts`: the days on which the balances of the basins then in use started. `sodium`: of the year before. `astray`:
    loads whose water went where the balance does not know it, by kind and basin: the first, and how many.
    `odd_weather`: days with contradicting temperatures before the weather at hand; `uncounted`: gauges before those at
    hand. `judged`: loads to judge anew. `frost`: the index at the end of the day before and which of the last thirty
    days were measured, with whether it ever froze; None where no load had run. `ledgers`: of the basins whose balance
    had started. `salts`: None where nothing is known of the salts.
    """

    moment: datetime
    day: date
    starts: Mapping[str, date]
    sodium: Sequence[SodiumPart]
    astray: Mapping[tuple[str, str], tuple[int, int]]
    odd_weather: Sequence[tuple[date, float, float]]
    uncounted: Sequence[Uncounted]
    judged: Sequence[Judged]
    frost: FrostStart | None
    ledgers: Mapping[str, LedgerStart]
    salts: SaltsStart | None


def before_of(state: State) -> Before | None:
    """What the time before the histories of a state comes to, None where all of it is at hand."""
    return state.before if isinstance(state.before, Before) else None
