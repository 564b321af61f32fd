"""The search for a rotation plan: load by load, the best few hundred arrangements kept at every step.

A state is ranked by what it costs so far plus what it costs to let every basin dry out to the horizon.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product
from typing import Any

from gwlog.decisions.plan_cost import (
    PlanBasin,
    PlanDay,
    PlanLoad,
    PlanOutlet,
    Step,
    Totals,
    Weights,
    account,
)
from gwlog.decisions.plan_table import BasinDay, BasinTable
from gwlog.errors import BadInput
from gwlog.water.rest import TINY_L

WIDTH = 200
"""States kept after every load: equal to the exact optimum in every one of 200 small random gardens."""

OF_A_KIND = 3

LEAST_WIDTH = 6
WORK_LIMIT = 120_000
"""States looked at in one search; a large garden gets a narrower search instead of a longer wait."""

ALL_ARRANGEMENTS = 40
"""Up to so many arrangements of the outlets all are looked at, else moves of one outlet and the best pairs."""

PAIRED_PER_OUTLET = 3


@dataclass(frozen=True, slots=True)
class SearchResult:
    """The plan found: one step per load, its totals, and how wide the search was (0: the simple rule)."""

    steps: tuple[Step, ...]
    totals: Totals
    width: int


# The steps so far as a linked list, the latest first: (the earlier ones or None, arrangement or None for sewer).
_Link = tuple[Any, tuple[int, ...] | None]
# Score, arrangement (basin numbers by outlet), entries by basin, steps, what of the score the sewer made up.
_State = tuple[float, tuple[int, ...], tuple[BasinDay, ...], _Link | None, float]


def check(basins: Sequence[PlanBasin], outlets: Sequence[PlanOutlet], days: Sequence[PlanDay]) -> None:
    """Refuse what cannot be planned: BadInput names what is missing."""
    if not basins:
        raise BadInput("There is no basin to plan for.", hint="Describe one: a [[basin]] in the site file.")
    if not outlets:
        raise BadInput("There is no outlet in use to plan for.", hint="Describe one: an [[outlet]] in the site file.")
    if not days:
        raise BadInput("The plan has no day; 1 day or more is accepted.")
    names = {basin.name for basin in basins}
    for outlet in outlets:
        if outlet.at not in names:
            raise BadInput(f"The outlet “{outlet.name}” lies at “{outlet.at}”, which is not a basin in use.",
                           hint=f"Move it first: gwlog move “{outlet.name}” BASIN")
    for day in days:
        for load in day.loads:
            if not 0 <= load.litres < float("inf"):
                raise BadInput(f"The load “{load.name}” on {day.day} has {load.litres} L; 0 or more is accepted.")


def search(basins: Sequence[PlanBasin], outlets: Sequence[PlanOutlet], days: Sequence[PlanDay],
           weights: Weights, *, width: int = WIDTH, rest: bool = True,
           within_room: bool = False) -> SearchResult:
    """Find the plan of least cost: for every load an arrangement of the outlets, or the sewer.

    All outlets receive their share of every garden load. Allowance, surge room, rests (unless `rest` is
    False), reach, a day's limit and closed basins are never passed; with `within_room` neither is the room in
    the root zone, which the weights otherwise weigh. The same input gives the same plan. Raises BadInput.
    """
    check(basins, outlets, days)
    ways = _Ways(basins, outlets)
    loads = sum(len(day.loads) for day in days)
    kept = min(width, max(1, WORK_LIMIT // max(1, loads * ways.count)))
    if kept < min(width, LEAST_WIDTH):
        from gwlog.decisions.plan_simple import simple_rule

        steps = simple_rule(basins, outlets, days, rest=rest)
        return SearchResult(steps, account(basins, outlets, days, steps, weights).totals, 0)
    tables = [BasinTable(basin, days, weights, rest, within_room) for basin in basins]
    entries = tuple(
        table.entry(0, min(max(0.0, basin.deficit_l), table.taw), 0, basin.used_today_l)
        for table, basin in zip(tables, basins, strict=True)
    )
    states: list[_State] = [(sum(entry.ahead for entry in entries), ways.start, entries, None, 0.0)]
    order: list[tuple[int, PlanLoad]] = []
    for number, day in enumerate(days):
        if number:
            states = [(state[0], state[1], tuple([entry.tomorrow() for entry in state[2]]), *state[3:])
                      for state in states]
        for load in day.loads:
            order.append((number, load))
            states = _after_load(states, load, day, ways, weights, kept)
    best = min(states, key=_rank)
    chosen: list[tuple[int, ...] | None] = []
    link = best[3]
    while link is not None:
        chosen.append(link[1])
        link = link[0]
    chosen.reverse()
    steps = tuple(
        Step(number, load, None if at is None else tuple(basins[b].name for b in at))
        for (number, load), at in zip(order, chosen, strict=True)
    )
    return SearchResult(steps, account(basins, outlets, days, steps, weights).totals, kept)


def _after_load(states: list[_State], load: PlanLoad, day: PlanDay, ways: _Ways, weights: Weights,
                width: int) -> list[_State]:
    """Every state with the load placed in every way it can be, the best `width` of them."""
    to_sewer = weights.sewer * load.litres
    if load.must_sewer is not None:
        return [(score + to_sewer, at, beds, (trail, None), spent + to_sewer)
                for score, at, beds, trail, spent in states]
    found: dict[tuple[tuple[int, ...], tuple[BasinDay, ...]], _State] = {}
    for score, at, beds, trail, spent in states:
        key = (at, beds)
        known = found.get(key)
        if known is None or score + to_sewer < known[0] - TINY_L:
            found[key] = (score + to_sewer, at, beds, (trail, None), spent + to_sewer)
        if day.limit_l is not None and sum([e.water for e in beds]) + load.litres > day.limit_l + TINY_L:
            continue
        for moves, target in ways.onward(at, beds, load.litres, day):
            after = list(beds)
            cost = score + weights.move * moves
            for basin, share in ways.shares(target):
                entry = after[basin].give(share * load.litres)
                if entry is None:
                    break
                cost += entry.ahead - after[basin].ahead
                after[basin] = entry
            else:
                key = (target, tuple(after))
                known = found.get(key)
                if known is None or cost < known[0] - TINY_L:
                    found[key] = (cost, target, key[1], (trail, target), spent)
    return _best(list(found.values()), width)


def _best(states: list[_State], width: int) -> list[_State]:
    """A quarter by rank alone; then by rank as if the sewer were free, up to OF_A_KIND of every kind.

    Letting a load go is dear at once and pays later, so that rank alone would fill every basin too early. Of a
    kind: the outlets lie alike and the same basins rest. Equal states keep the order in which they were found,
    the fewest moves first, so that the same garden gets the same plan tomorrow.
    """
    states.sort(key=_rank)
    if len(states) <= width:
        return states
    first = width // 4
    kept = states[:first]
    spare: list[_State] = []
    kinds: dict[tuple[object, ...], int] = {}
    for state in sorted(states[first:], key=_rank_but_sewer):
        kind = (state[1], *[entry.rest > 0 for entry in state[2]])
        seen = kinds.get(kind, 0)
        if seen < OF_A_KIND:
            kinds[kind] = seen + 1
            kept.append(state)
            if len(kept) == width:
                break
        elif len(spare) < width:
            spare.append(state)
    return kept + spare[:width - len(kept)]


def _rank(state: _State) -> float:
    return round(state[0], 6)


def _rank_but_sewer(state: _State) -> float:
    return round(state[0] - state[4], 6)


class _Ways:
    """The arrangements that the outlets can be put in, as numbers of basins."""

    def __init__(self, basins: Sequence[PlanBasin], outlets: Sequence[PlanOutlet]) -> None:
        numbers = {basin.name: number for number, basin in enumerate(basins)}
        self.names = [basin.name for basin in basins]
        self.reach = [sorted({numbers[name] for name in outlet.reach if name in numbers}) for outlet in outlets]
        self.start = tuple(numbers[outlet.at] for outlet in outlets)
        self.portions = [outlet.share for outlet in outlets]
        total = 1
        for start, reach in zip(self.start, self.reach, strict=True):
            total *= len({start, *reach})
        self.all = total <= ALL_ARRANGEMENTS
        pairs = len(outlets) * (len(outlets) - 1) // 2 * PAIRED_PER_OUTLET**2
        self.count = total if self.all else 1 + sum(len(reach) for reach in self.reach) + pairs
        self._shares: dict[tuple[int, ...], tuple[tuple[int, float], ...]] = {}
        self._onward: dict[tuple[int, ...], list[tuple[int, tuple[int, ...]]]] = {}

    def shares(self, at: tuple[int, ...]) -> tuple[tuple[int, float], ...]:
        """Each basin's share of a load, with the outlets so arranged."""
        known = self._shares.get(at)
        if known is None:
            sums: dict[int, float] = {}
            for basin, portion in zip(at, self.portions, strict=True):
                sums[basin] = sums.get(basin, 0.0) + portion
            known = self._shares[at] = tuple(sums.items())
        return known

    def onward(self, at: tuple[int, ...], beds: tuple[BasinDay, ...], litres: float,
               day: PlanDay) -> list[tuple[int, tuple[int, ...]]]:
        """(moves, arrangement) from here: staying first, then one move, then more."""
        if not day.may_move:
            found = [(0, at)]
        elif self.all:
            found = self._everywhere(at)
        else:
            found = self._few(at, beds, litres)
        if day.arrangements is not None:
            allowed = day.arrangements
            found = [way for way in found if tuple([self.names[b] for b in way[1]]) in allowed]
        return found

    def _everywhere(self, at: tuple[int, ...]) -> list[tuple[int, tuple[int, ...]]]:
        known = self._onward.get(at)
        if known is None:
            choices = [[here, *(b for b in reach if b != here)] for here, reach in zip(at, self.reach, strict=True)]
            known = [(sum(a != b for a, b in zip(at, to, strict=True)), to) for to in product(*choices)]
            known.sort(key=lambda way: way[0])
            self._onward[at] = known
        return known

    def _few(self, at: tuple[int, ...], beds: tuple[BasinDay, ...], litres: float) -> list[tuple[int, tuple[int, ...]]]:
        """Staying, every move of one outlet, and two moves at once between each outlet's most useful basins."""
        found = [(0, at)]
        useful: list[list[int]] = []
        for number, (here, reach) in enumerate(zip(at, self.reach, strict=True)):
            gains = []
            for basin in reach:
                if basin != here:
                    after = beds[basin].give(self.portions[number] * litres)
                    if after is not None:
                        found.append((1, (*at[:number], basin, *at[number + 1:])))
                        gains.append((after.ahead - beds[basin].ahead, basin))
            gains.sort()
            useful.append([basin for _, basin in gains[:PAIRED_PER_OUTLET]])
        for first in range(len(at)):
            for second in range(first + 1, len(at)):
                for a in useful[first]:
                    for b in useful[second]:
                        moved = list(at)
                        moved[first], moved[second] = a, b
                        found.append((2, tuple(moved)))
        return found
