"""What is said of a basin: where it stands, what advice will never send a load to, and what needs other water.

A word follows from what the advice does: a basin to which no load may go never “wants water” as if an outlet should
go there.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING, Literal

from gwlog.clock import local_day
from gwlog.decisions.outlet_assignment import TOUCHES_FOOD, closures, not_allowed
from gwlog.decisions.query import asked_cover
from gwlog.values import NamedTuple
from gwlog.water.rest import TINY_L

if TYPE_CHECKING:
    from gwlog.decisions.answer import Answer
    from gwlog.state import State
    from gwlog.water.garden import BasinNow, Garden

Word = Literal["wants water", "can take more", "has had enough", "resting", "not for graywater",
               "too small for one load", "out of reach"]

NEVER: tuple[Word, ...] = ("not for graywater", "too small for one load", "out of reach")
"""Words of basins that advice sends no load to as they are."""


class BasinWord(NamedTuple):
    """A basin's word. `why`: a clause that explains it, None where the word says all. `dry`: its plants begin to feel
    it. `needs_other_water`: it is dry and no load is planned to go there: the watering can or drinking water.
    `turn_planned`: the local day of the next load that is planned to go there. `outlet`: the one that brings it.
    """

    word: Word
    why: str | None
    dry: bool
    needs_other_water: bool
    turn_planned: date | None
    outlet: str | None

    @property
    def never(self) -> bool:
        """Whether advice sends no load there as it is."""
        return self.word in NEVER


def basin_words(state: State, garden: Garden, answers: Sequence[Answer]) -> dict[str, BasinWord]:
    """The word of every basin in use, in the garden's order. `answers`: to the loads of the plan, in their order."""
    shut = closures(state, garden, *asked_cover(state))
    shares: dict[str, list[float]] = {name: [] for name in garden.basins}
    for outlet, share in state.shares().items():
        for name in state.reach(outlet):
            shares.setdefault(name, []).append(share)
    turns: dict[str, tuple[date | None, str | None]] = {}
    for answer in answers:
        for one in answer.deliveries:
            turns.setdefault(one.basin, (local_day(answer.at, state.zone), one.outlet))
    nothing: tuple[date | None, str | None] = (None, None)
    first = next((one for one in answers if one.verdict == "garden"), None)
    told = {}
    for name, basin in garden.basins.items():
        least = min(shares[name], default=0.0) * garden.usual_load_l
        closed = shut.get(name)
        word, why = _word(basin, least if shares[name] else None, closed[0].clause if closed else None)
        if word == "has had enough" and first is not None and any(
                one.basin == name and basin.fits(one.litres) for one in first.deliveries):
            word = "can take more"   # a load smaller than the usual one is on its way
        day, brings = turns.get(name, nothing)
        dry = basin.deficit_l >= basin.raw_l - TINY_L
        told[name] = BasinWord(word, why, dry, dry and day is None, day, brings)
    return told


def _word(basin: BasinNow, share_l: float | None, closed: str | None) -> tuple[Word, str | None]:
    """`share_l`: the least that an outlet would bring of a usual load [L], None where no outlet reaches the basin."""
    if basin.fact.edible in TOUCHES_FOOD:
        return "not for graywater", not_allowed(basin.fact)
    if share_l is None:
        return "out of reach", "no outlet in use reaches it"
    if share_l > min(basin.spec.most_l, basin.surge_room_l, basin.allowance_l_per_day) + TINY_L:
        return "too small for one load", None
    if basin.rests_today:
        return "resting", basin.rest_reason
    if closed is not None:
        return "not for graywater", closed
    if basin.deficit_l >= basin.raw_l - TINY_L:
        return "wants water", None
    return ("can take more", None) if basin.fits(share_l) else ("has had enough", None)
