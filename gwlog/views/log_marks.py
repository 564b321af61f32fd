"""Which loads of a list ran to the garden against a must, judged by the entries around them and no others.

The rules are those of decisions/exceptions; a test holds that they find here what they find with the whole log.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from operator import attrgetter

from gwlog.decisions.exceptions import against_musts
from gwlog.journal.facts import (
    DESCRIPTIONS,
    Fact,
    Mulch,
    Observation,
    Outlet,
    OutletMove,
    Resolution,
    WashLoad,
)
from gwlog.journal.listing import Lists
from gwlog.state import GAUGE_TELLS_DAYS, State, fold
from gwlog.water.frost import CARRIED_DAYS

_DAY = timedelta(days=1)
_ALWAYS = (*(kind.KIND for kind in DESCRIPTIONS), Observation.KIND, Resolution.KIND, Mulch.KIND)
"""Kinds of which every entry counts: descriptions stay in force, a measured cover tells how fast the next one goes."""

_THAT_DAY = (WashLoad.KIND, OutletMove.KIND)
"""Kinds that count for the loads of the same local day: limits are of a day, and outlets lie where they were put."""


def against_a_must(lists: Lists, facts: Sequence[Fact], *, every: bool = False) -> set[int]:
    """The numbers of the loads among `facts`; `every`: the facts are wordings, each under its own number.

    A load that was corrected is judged by the wording that stands, and marked at its first number.
    """
    loads = [fact for fact in facts if isinstance(fact, WashLoad)]
    if every:
        numbers = {fact.id for fact in loads if lists.fates.first(fact.id) == fact.id}
        loads = [fact for fact in map(lists.standing, sorted(numbers)) if isinstance(fact, WashLoad)]
    moments = [load.happened_at for load in loads if load.went_to == "garden" and load.happened_at <= lists.now]
    if not moments:
        return set()
    wrong = {one.load.fact.id for one in against_musts(_around(lists, min(moments), max(moments)), lists.now)}
    return wrong & {load.id for load in loads}


def _around(lists: Lists, first: datetime, last: datetime) -> State:
    """The state that judges the loads from `first` to `last`; of what lies before and behind them it knows no more."""
    begins = first - 2 * _DAY   # in no zone does the local day of `first` begin earlier
    found = lists.newest(kinds=_ALWAYS) + lists.newest(kinds=_THAT_DAY, since=begins, until=last)
    # The frost index is carried through a year; a gauge's total is shared among the days before it.
    found += lists.weather((begins - (CARRIED_DAYS + 31) * _DAY).date(), (last + (GAUGE_TELLS_DAYS + 1) * _DAY).date())
    facts = [one.fact for one in found]
    outlets = {fact.name for fact in facts if isinstance(fact, Outlet)}
    lay = (lists.last_before(begins, OutletMove.KIND, "outlet", name) for name in sorted(outlets))
    facts += [move for move in lay if move is not None]
    return fold(sorted(facts, key=attrgetter("happened_at", "id")), until=lists.now)
