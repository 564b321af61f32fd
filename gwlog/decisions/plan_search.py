"""The search for a rotation plan: load by load, the best few dozen arrangements kept at every step.

A state is ranked by what it costs so far plus what it costs to let every basin dry out to the horizon. Loads that
must go to the sewer change nothing in the garden and take no part in it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any, Literal

from gwlog.actions import Action, Hint
from gwlog.decisions.plan_account import account
from gwlog.decisions.plan_cost import (
    SECOND_WALK,
    PlanBasin,
    PlanDay,
    PlanLoad,
    PlanOutlet,
    Step,
    Totals,
    Weights,
    sewer_price,
)
from gwlog.decisions.plan_improve import FreeLoad, Memo, improved
from gwlog.decisions.plan_table import BasinDay, BasinTable
from gwlog.decisions.plan_ways import NOWHERE, Ways
from gwlog.errors import BadInput
from gwlog.values import NamedTuple
from gwlog.water.rest import TINY_L

WIDTH = 60
"""States kept after every load, the same for every caller: another width would be another plan."""

OF_A_KIND = 3

WORK_LIMIT = 20_000
"""Arrangements looked at in one search; a large garden gets a narrower search instead of a longer wait."""

IMPROVING = 20_000
"""How often a basin is looked at, at most, in making the plan that was found better."""

Way = Literal["sewer", "stay", "move"]
Held = Literal["sewer", "stay", "move", "garden"]
Bound = Mapping[date, frozenset[tuple[str, ...]]]


class First(NamedTuple):
    """What is asked of the first load that is free to go to the garden.

    `way`: the sewer, the garden as the outlets lie, after a move, or either; None for any. `fits`: it goes only
    where it fits the root zone.
    """

    way: Held | None = None
    fits: bool = False


ANY = First()
GARDEN = First("garden")


class SearchResult(NamedTuple):
    """The plan found: one step per load, its totals, and how wide the search was."""

    steps: tuple[Step, ...]
    totals: Totals
    width: int


class Found(NamedTuple):
    """The best steps of one run of the search, and its score: the cost but for what no plan can change."""

    score: float
    steps: tuple[Step, ...]


# The free loads' steps so far as a linked list, the latest first: (the earlier ones or None, arrangement or None).
_Link = tuple[Any, tuple[int, ...] | None]
# Score, arrangement (basin numbers by outlet), entries by basin, steps, what of the score the sewer made up, and the
# outlets moved that day (as bits).
_State = tuple[float, tuple[int, ...], tuple[BasinDay, ...], _Link | None, float, int]


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
        if outlet.at not in names and outlet.astray is None:
            raise BadInput(f"The outlet “{outlet.name}” is at “{outlet.at}”, which is not a basin in use.",
                           hint=Hint("Move it first: ", Action("move", outlet=outlet.name, basin="BASIN")))
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
    made = Search(basins, outlets, days, weights, width=width, rest=rest, within_room=within_room)
    found = made.run()
    assert found is not None   # the sewer is always open where nothing is asked of the first load
    return SearchResult(found.steps, made.totals(found.steps), made.width)


class Search:
    """One garden with its loads to come, searched as often as somebody asks with the first decision held.

    `width`: states really kept; less than asked for in a large garden. Raises BadInput (see check).
    """

    def __init__(self, basins: Sequence[PlanBasin], outlets: Sequence[PlanOutlet], days: Sequence[PlanDay],
                 weights: Weights, *, width: int = WIDTH, rest: bool = True, within_room: bool = False) -> None:
        check(basins, outlets, days)
        self.basins, self.outlets, self.days, self.weights = basins, outlets, days, weights
        reached = {name for outlet in outlets for name in (*outlet.reach, outlet.at)}
        # what no outlet can water costs every plan the same
        watered = [basin for basin in basins if basin.name in reached and basin.closed is None]
        self.ways = Ways([basin.name for basin in watered], outlets)
        self.moved = sum(1 << number for number, outlet in enumerate(outlets) if outlet.moved)
        free = sum(load.must_sewer is None for day in days for load in day.loads)
        asked, self.width = width, min(width, max(1, WORK_LIMIT // max(1, free * self.ways.count)))
        self.narrowed = self.width < asked or not self.ways.all
        self.tables = [BasinTable(basin, days, weights, rest, within_room) for basin in watered]
        self.memo: Memo = [{} for _ in self.tables]
        self.start = tuple(
            table.entry(0, min(max(0.0, basin.deficit_l), table.taw), 0, basin.used_today_l)
            for table, basin in zip(self.tables, watered, strict=True)
        )
        self.elsewhere = sum(basin.used_today_l for basin in basins) - sum(basin.used_today_l for basin in watered)

    def totals(self, steps: Sequence[Step]) -> Totals:
        """What a plan comes to, by the exact account."""
        return account(self.basins, self.outlets, self.days, steps, self.weights).totals

    def run(self, first: First = ANY, bound: Bound | None = None,
            given: Sequence[tuple[str, ...] | None] = ()) -> Found | None:
        """The best plan with the first decision held; None where that cannot be done.

        `bound`: the only arrangements allowed on a day, beside what the day itself allows. `given`: where the first
        free loads go, as an earlier plan has them.
        """
        days = self.days
        states: list[_State] = [(sum([entry.ahead for entry in self.start]), self.ways.start, self.start, None, 0.0,
                                 self.moved)]
        held, at_day, placed = first, 0, list(reversed(given))
        loads_to_come: list[FreeLoad] = []
        for number, day in enumerate(days):
            loads = [load for load in day.loads if load.must_sewer is None]
            if not loads:
                continue
            if number > at_day:
                states = [(state[0], state[1], tuple([entry.on(number) for entry in state[2]]), state[3], state[4], 0)
                          for state in states]
                at_day = number
            price = sewer_price(self.weights, number, len(days))
            allowed = day.arrangements
            if bound is not None and day.day in bound:
                allowed = bound[day.day] if allowed is None else allowed & bound[day.day]
            limit = None if day.limit_l is None else day.limit_l - (self.elsewhere if number == 0 else 0.0)
            for load in loads:
                only = allowed
                if placed:
                    where = placed.pop()
                    held, only = (First("sewer"), only) if where is None else (GARDEN, frozenset((where,)))
                left = None if limit is None else limit - (sum([e.water for e in self.start]) if number == 0 else 0.0)
                loads_to_come.append(FreeLoad(number, load.litres, price * load.litres, left, day.may_move, allowed))
                states = self._after(states, load.litres, price * load.litres, limit, day.may_move, only, held)
                held = ANY
                if not states:
                    return None
        best = min(states, key=_rank)
        chosen: list[tuple[int, ...] | None] = []
        link = best[3]
        while link is not None:
            chosen.append(link[1])
            link = link[0]
        chosen.reverse()
        fixed = len(given) + (first != ANY)
        better = improved(self.ways, self.start, loads_to_come, chosen, self.weights.move, self.moved, fixed, IMPROVING,
                          self.memo)
        return Found(best[0] - better.gain, self._steps(better.placed))

    def _steps(self, placed: Sequence[tuple[int, ...] | None]) -> tuple[Step, ...]:
        chosen = list(reversed(placed))
        steps = []
        for number, day in enumerate(self.days):
            for load in day.loads:
                at = chosen.pop() if load.must_sewer is None else None
                steps.append(Step(number, load, None if at is None else self.ways.named(at)))
        return tuple(steps)

    def _after(self, states: list[_State], litres: float, to_sewer: float, limit: float | None, may_move: bool,
               allowed: frozenset[tuple[str, ...]] | None, held: First) -> list[_State]:
        """Every state with the load placed in every way it can be, the best of them."""
        ways, per_move, fits = self.ways, self.weights.move, held.fits
        found: dict[tuple[tuple[int, ...], tuple[BasinDay, ...], int], _State] = {}
        for score, at, beds, trail, spent, moved in states:
            if held.way is None or held.way == "sewer":
                key = (at, beds, moved)
                known = found.get(key)
                if known is None or score + to_sewer < known[0] - TINY_L:
                    found[key] = (score + to_sewer, at, beds, (trail, None), spent + to_sewer, moved)
            if held.way == "sewer" or (limit is not None and sum([e.water for e in beds]) + litres > limit + TINY_L):
                continue
            for moves, target in ways.onward(at, beds, litres, may_move, held.fits):
                if (held.way == "stay" and moves) or (held.way == "move" and not moves):
                    continue
                if allowed is not None and ways.named(target) not in allowed:
                    continue
                parts = ways.parts(target, litres)
                cost = score
                if moves:
                    cost += per_move * (moves.bit_count() + (SECOND_WALK - 1) * (moves & moved).bit_count())
                after = list(beds)
                for basin, part in parts:
                    if basin == NOWHERE:
                        break
                    before = beds[basin]
                    given = before.given.get(part, before)
                    if given is before:   # not tried yet
                        given = before.give(part)
                    if given is None or (fits and part > before.room() + TINY_L):
                        break
                    cost += given.ahead - before.ahead
                    after[basin] = given
                else:
                    key = (target, tuple(after), moved | moves)
                    known = found.get(key)
                    if known is None or cost < known[0] - TINY_L:
                        found[key] = (cost, target, key[1], (trail, target), spent, key[2])
        return _best(list(found.values()), self.width)


def _best(states: list[_State], width: int) -> list[_State]:
    """A quarter by rank alone; then by rank as if the sewer were free, up to OF_A_KIND of every kind.

    Letting a load go is dear at once and pays later, so that rank alone would fill every basin too early. Of a
    kind: the outlets lie alike and the same basins rest. Equal states keep the order in which they were found,
    the fewest moves first, so that the same garden gets the same plan tomorrow.
    """
    states.sort(key=_rank)
    if len(states) <= width or width < 4:
        return states[:width]
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


__all__ = ["ANY", "WIDTH", "First", "Found", "PlanLoad", "Search", "SearchResult", "Way", "check", "search"]
