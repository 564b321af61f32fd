"""Until when the answers to the usual loads stand, by the plan: what is printed for the wall says it.

They stand until a load that is expected gets another answer, or until an outlet has been carried for one.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from typing import TYPE_CHECKING

from gwlog.clock import local_day
from gwlog.decisions.rotation import DAYS
from gwlog.values import NamedTuple

if TYPE_CHECKING:
    from gwlog.decisions.answer import Answer


class Stand(NamedTuple):
    """The last day on which the answers stand. `load`: the load of that day with which they end; `through`: they are
    right for it still, as an outlet is carried for it.
    """

    until: date
    load: str | None = None
    through: bool = False


def stand(told: Mapping[str, Answer], coming: Sequence[Answer], today: date, zone: str) -> Stand:
    """Until when `told`, the answers now by load, stand, given the answers to the loads to come in their order."""
    for one in coming:
        known, day = told.get(one.load), local_day(one.at, zone)
        if known is not None and not same(known, one):
            return Stand(day - timedelta(days=1)) if day > today else Stand(today, one.load)
        if one.moves:
            return Stand(max(day, today), one.load, through=True)
    return Stand(today + timedelta(days=DAYS - 1))


def same(one: Answer, other: Answer) -> bool:
    """Whether two answers send a load to the same place, and have the same outlets carried for it."""
    return one.verdict == other.verdict and set(one.moves) == set(other.moves) and {
        each.basin for each in one.deliveries} == {each.basin for each in other.deliveries}
