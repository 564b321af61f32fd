"""The plan's first decision, weighed three ways, and kept steady through the week.

The first load that is free to go to the garden goes to the sewer, to the garden as the outlets lie, or to the garden
after a move. Each way is planned to the horizon; the cheapest is the plan, unless the plan of this week's Monday,
carried on, costs hardly more.
"""

from __future__ import annotations

from collections.abc import Sequence

from gwlog.decisions.plan_cost import PlanBasin, PlanDay, PlanOutlet, Step, Totals, Weights
from gwlog.decisions.plan_search import WIDTH, Bound, First, Found, Search, Way
from gwlog.values import NamedTuple

KEEP_GAIN = 30.0
"""A new plan replaces the one that people follow already only if it saves more than so many litre-equivalents.
Working assumption: what a walk weighs."""

WAYS: tuple[Way, ...] = ("stay", "move", "sewer")


class Decision(NamedTuple):
    """The plan decided on, and the next best other way of its first decision.

    `way` None: no load is free to go to the garden. `open_ways`: those that the hard limits leave. `kept`: it carries
    an earlier plan on. `other` None: there is no other way. `width`: how wide the search was; `narrowed`: less wide
    than usual, for the garden's size.
    """

    steps: tuple[Step, ...]
    totals: Totals
    way: Way | None
    open_ways: tuple[Way, ...]
    kept: bool
    other: Way | None
    other_steps: tuple[Step, ...]
    other_totals: Totals | None
    width: int
    narrowed: bool


def decide(basins: Sequence[PlanBasin], outlets: Sequence[PlanOutlet], days: Sequence[PlanDay], weights: Weights, *,
           anchor: Bound | None = None, fits: bool = True, width: int = WIDTH, rest: bool = True,
           within_room: bool = False) -> Decision:
    """Plan the days, the first decision weighed three ways. Raises BadInput (see plan_search.check).

    `anchor`: the arrangements of an earlier plan by day, which are kept unless another plan saves more than
    KEEP_GAIN. `fits`: the first load goes only where it fits the root zone.
    """
    made = Search(basins, outlets, days, weights, width=width, rest=rest, within_room=within_room)
    free = any(load.must_sewer is None for day in days for load in day.loads)
    if not free:
        found = made.run()
        assert found is not None   # nothing is searched
        return Decision(found.steps, made.totals(found.steps), None, (), False, None, (), None, made.width,
                        made.narrowed)
    found_by: dict[Way, Found] = {}
    for way in WAYS:
        one = made.run(First(way, fits))
        if one is not None:
            found_by[way] = one
    best = min(found_by, key=lambda way: round(found_by[way].score, 6))
    chosen, kept = found_by[best], False
    if anchor and _follows(chosen.steps, days, anchor):
        kept = True
    elif anchor:
        carried = made.run(First(None, fits), anchor)
        if carried is not None and carried.score - chosen.score <= KEEP_GAIN:
            chosen, kept = carried, True
            best = way_of(carried.steps, outlets)
    others = [way for way in found_by if way != best]
    other = min(others, key=lambda way: round(found_by[way].score, 6), default=None)
    other_steps = found_by[other].steps if other is not None else ()
    return Decision(chosen.steps, made.totals(chosen.steps), best, tuple(found_by), kept, other, other_steps,
                    made.totals(other_steps) if other is not None else None, made.width, made.narrowed)


def _follows(steps: Sequence[Step], days: Sequence[PlanDay], anchor: Bound) -> bool:
    """Whether the outlets lie as the anchor has them, on every day of it that sees a load go to the garden."""
    return all(step.arrangement is None or days[step.day].day not in anchor
               or step.arrangement in anchor[days[step.day].day] for step in steps)


def held_by(steps: Sequence[Step], days: Sequence[PlanDay], at: tuple[str, ...]) -> Bound:
    """How the outlets lie on each day of a plan, as an anchor for a later one: as its garden loads have them, else
    as the day opens. `at`: how they lie as the plan begins.
    """
    by_day: dict[int, list[tuple[str, ...]]] = {}
    for step in steps:
        if step.arrangement is not None:
            by_day.setdefault(step.day, []).append(step.arrangement)
    held = {}
    for number, day in enumerate(days):
        placed = by_day.get(number, [])
        held[day.day] = frozenset(placed or [at])
        at = placed[-1] if placed else at
    return held


def way_of(steps: Sequence[Step], outlets: Sequence[PlanOutlet]) -> Way:
    """Which of the three ways the first load that is free to choose goes."""
    first = next(step for step in steps if step.load.must_sewer is None)
    if first.arrangement is None:
        return "sewer"
    return "stay" if first.arrangement == tuple(outlet.at for outlet in outlets) else "move"
