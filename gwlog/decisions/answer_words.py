"""Why the plan decides as it does, and what another way would cost, each in one sentence."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from gwlog.decisions.load_rules import TURN_BACK, Reason
from gwlog.text import capital, listed, plural
from gwlog.values import NamedTuple

if TYPE_CHECKING:
    from gwlog.decisions.answer import Walk
    from gwlog.decisions.outlet_assignment import Hindrance
    from gwlog.decisions.plan_cost import Totals, Weights
    from gwlog.decisions.plan_search import Way
    from gwlog.units import Reader
    from gwlog.water.garden import Garden

NOW_SOURCE = "the basins as they stand now"
PLAN_SOURCE = "the rotation plan: plants' need, moves and water below the roots weighed over two weeks"
BALANCE_SOURCE = "FAO-56 root-zone balance and the code's soil table"
WHEN_PLANNED = "Turn the valve back to garden before the next load that goes there."

AS_GOOD = 10.0
"""Ways that differ by less than so many litre-equivalents are as good as each other. Working assumption: a third of
what a move weighs."""

WORTH_TELLING_L = 1.0


def why_garden(garden: Garden, moves: Sequence[Walk], basins: Sequence[str], hindered: Sequence[Hindrance],
               planned: Sequence[str], read: Reader) -> tuple[Reason, ...]:
    """Why a load goes to these basins: what hinders the present ones, else what the plan says, else what they can take.

    `planned`: the plan's own sentences on the moves.
    """
    if moves and hindered:
        gravest = {one.basin: one for one in reversed(hindered)}
        clauses = [one.clause for name, one in gravest.items() if any(name == move.origin for move in moves)] or \
            [hindered[0].clause]
        full = [name for name, one in gravest.items() if one.kind == "root zone" and one.clause in clauses]
        words = f"{listed(full)} have had enough" if len(full) == len(clauses) > 1 else \
            capital("; ".join(dict.fromkeys(clauses)))
        return (Reason(hindered[0].rule, None, f"{words}.", NOW_SOURCE),)
    if moves:
        return tuple(Reason("planned move", None, words, PLAN_SOURCE) for words in dict.fromkeys(planned))
    reasons = []
    for name in basins:
        basin = garden.basins[name]
        wants = "wants water and " if basin.standing == "wants water" else ""
        reasons.append(Reason("room", None, f"{name} {wants}can take {read.volume(basin.room_l)}.", BALANCE_SOURCE))
    return tuple(reasons)


def why_sewer(open_ways: Sequence[Way], places: Sequence[str], cost: Cost, *, back: bool) -> Reason:
    """Why the plan lets a load go that the garden could take.

    `places`: the basins that could take it; `cost`: what that would cost. `back`: the next load that is free to
    choose goes to the garden.
    """
    after = TURN_BACK if back else WHEN_PLANNED
    basins = list(dict.fromkeys(places))
    named = listed(basins) or "The garden"
    if cost.part == "walks":
        return Reason("not worth the walk", "should",
                      f"{named} could take it, but one load is not worth moving an outlet.", PLAN_SOURCE, after)
    if cost.part is None and "stay" in open_ways:
        return Reason("kept for later", "should", f"{named} {'is' if len(basins) == 1 else 'are'} kept for the loads "
                      "to come, or for the rain on the way.", PLAN_SOURCE, after)
    words = cost.words if cost.part is not None else "the sewer is as good, and nothing has to be moved"
    return Reason("not worth it", "should", f"{named} could take it, but {words}.", PLAN_SOURCE, after)


class Cost(NamedTuple):
    """What another way would cost in words. `part`: what makes up most of it, None where it is as good either way."""

    part: str | None
    words: str


def costs(chosen: Totals, other: Totals, weights: Weights, load_l: float, fills: Sequence[str], read: Reader) -> Cost:
    """What the other way would cost over the plan: the largest part of what it costs more.

    `fills`: the basins that it would fill, which then rest.
    """
    if other.cost - chosen.cost < AS_GOOD:
        return Cost(None, "as good either way")
    sunk = other.percolated_l - chosen.percolated_l
    walks = other.moves - chosen.moves
    sewer = other.sewer_l - chosen.sewer_l
    short = other.unmet_l - chosen.unmet_l
    parts = {
        "walks": weights.move * walks, "sunk": weights.percolated * sunk, "need": other.need - chosen.need,
        "sewer": other.sewer - chosen.sewer, "dry": weights.left * (other.left_l - chosen.left_l),
    }
    largest = max(parts, key=lambda part: parts[part])
    if largest == "walks":
        words = f"{plural(walks, 'move')} more in two weeks"
    elif largest == "sunk":
        words = "most of it would sink below the roots" if sunk >= load_l / 2 else \
            f"{read.volume(sunk)} more would sink below the roots in two weeks"
    elif fills:
        words = f"{listed(fills)} would be full with it and then {'rests' if len(fills) == 1 else 'rest'}"
    elif largest == "sewer":
        words = f"{read.volume(max(0.0, sewer))} more would go to the sewer in two weeks"
    elif largest == "need" and short >= WORTH_TELLING_L:
        words = f"plants would go short of {read.volume(short)} more in two weeks"
    elif largest == "need":
        words = "plants would come closer to wilting"
    else:
        words = f"the garden would be {read.volume(other.left_l - chosen.left_l)} drier after two weeks"
    return Cost(largest, words)
