"""A plan that was found is made better: stretches of one outlet put elsewhere, loads sent the other way.

The search ranks half-made plans as if no load came after them, which in a large garden, or one short of water, leaves
something to gain. What is tried here changes a whole plan in one place and keeps the change where it costs less.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Sequence

from gwlog.decisions.plan_cost import walks_of_day
from gwlog.decisions.plan_table import BasinDay
from gwlog.decisions.plan_ways import NOWHERE, Arrangement, Ways
from gwlog.values import NamedTuple
from gwlog.water.rest import TINY_L

GAIN = 1e-6
NEVER = float("inf")

CLOSE_LOOKS = 3
"""Basins to which a part of a stretch is put as well, those that gain most by the whole of it."""

Delivery = tuple[int, float]
"""A load's number and what the basin gets of it [L]."""


Memo = list[dict[tuple[Delivery, ...], float]]
"""What each basin costs by what it gets."""


class FreeLoad(NamedTuple):
    """A load that may go to the garden. `limit_l`: what the garden may have that day, None for no limit.

    `allowed`: the only arrangements of that day, None for any. `to_sewer`: what the sewer costs for it.
    """

    day: int
    litres: float
    to_sewer: float
    limit_l: float | None
    may_move: bool
    allowed: frozenset[tuple[str, ...]] | None


class Improved(NamedTuple):
    """What was gained, and the arrangement of each free load."""

    gain: float
    placed: tuple[Arrangement | None, ...]


class Improving:
    """One plan under improvement. `fixed`: so many loads at its beginning stay as they are."""

    def __init__(self, ways: Ways, start: Sequence[BasinDay], loads: Sequence[FreeLoad],
                 placed: Sequence[Arrangement | None], per_move: float, moved: int, fixed: int, work: int,
                 memo: Memo) -> None:
        self.ways, self.start, self.loads, self.per_move, self.fixed = ways, start, loads, per_move, fixed
        self.placed: list[list[int] | None] = [None if at is None else list(at) for at in placed]
        self.moved = [moved >> number & 1 for number in range(len(ways.portions))]
        self.work, self.memo = work, memo
        self.got: list[list[Delivery]] = [[] for _ in start]
        self.costs = [0.0] * len(start)
        self.chains: list[list[tuple[BasinDay, float]]] = [[] for _ in start]
        """Each basin after so many of its deliveries, and what the days up to then cost."""
        self.changes = 0
        self.changed = [0] * len(start)
        """When each basin last got something else, in changes of the plan."""
        self.looked: dict[tuple[int, ...], int] = {}
        """When each stretch was last looked at."""
        self._lay()

    def run(self) -> None:
        """Go on until nothing more is gained, or the work is done."""
        better = True
        while better and self.work > 0:
            better = self._stretches()
            better = self._other_ways() or better

    def total(self) -> float:
        """What the plan costs, but for what no plan can change."""
        sewer = sum(load.to_sewer for load, at in zip(self.loads, self.placed, strict=True) if at is None)
        return sum(self.costs) + sewer + self.per_move * self._all_walks()

    def _lay(self) -> None:
        """What each basin gets by the plan as it stands, and what that costs."""
        self._number()
        got: list[dict[int, float]] = [{} for _ in self.start]
        for number in self.garden:
            for basin, part in self._parts(number):
                got[basin][number] = part
        for basin, one in enumerate(got):
            self._take(basin, sorted(one.items()))

    def _number(self) -> None:
        """The loads that go to the garden, and the places of each day's among them."""
        self.garden = [number for number, at in enumerate(self.placed) if at is not None]
        self.days: dict[int, list[int]] = {}
        for place, number in enumerate(self.garden):
            self.days.setdefault(self.loads[number].day, []).append(place)

    def _parts(self, number: int) -> tuple[tuple[int, float], ...]:
        at = self.placed[number]
        return () if at is None else self.ways.parts(tuple(at), self.loads[number].litres)

    def _cost(self, basin: int, got: Sequence[Delivery], same: int = 0) -> float:
        """What a basin costs that gets so much, NEVER where a hard limit or a rest forbids it.

        `same`: so many deliveries at the beginning are those of the plan as it stands.
        """
        self.work -= 1
        key, memo = tuple(got), self.memo[basin]
        cost = memo.get(key)
        if cost is None:
            at, cost = self.chains[basin][same]
            loads = self.loads
            for number, litres in got[same:]:
                day = loads[number].day
                if day > at.day:
                    at, passed = at.until(day)
                    cost += passed
                after = at.give(litres)
                if after is None:
                    cost = NEVER
                    break
                at = after
            else:
                cost += at.ahead
            memo[key] = cost
        return cost

    def _take(self, basin: int, got: list[Delivery]) -> None:
        """Let a basin get so much in the plan from now on."""
        at, cost = self.start[basin], 0.0
        chain = [(at, cost)]
        for number, litres in got:
            if self.loads[number].day > at.day:
                at, passed = at.until(self.loads[number].day)
                cost += passed
            after = at.give(litres)
            assert after is not None   # only plans within the hard limits are kept
            at = after
            chain.append((at, cost))
        self.got[basin], self.chains[basin] = got, chain
        self.costs[basin] = cost + at.ahead

    # --- stretches of one outlet ------------------------------------------------------------------------------

    def _stretches(self) -> bool:
        """Put every stretch of every outlet, or a part of it, where it costs least; whether anything was gained."""
        gained = False
        for outlet in range(len(self.ways.portions)):
            place = 0
            while self.work > 0:
                place, end = self._stretch(outlet, place)
                if end is None:
                    break
                if self._put_better(outlet, place, end):
                    gained = True
                else:
                    place = end
        return gained

    def _stretch(self, outlet: int, place: int) -> tuple[int, int | None]:
        """The stretch of garden loads that holds the one at `place` and may be changed: its first and its end."""
        garden = self.garden
        while place < len(garden) and garden[place] < self.fixed:
            place += 1
        if place >= len(garden):
            return place, None
        here = self._lies(outlet, place)
        while place > 0 and garden[place - 1] >= self.fixed and self._lies(outlet, place - 1) == here:
            place -= 1
        end = place + 1
        while end < len(garden) and self._lies(outlet, end) == here:
            end += 1
        return place, end

    def _lies(self, outlet: int, place: int) -> int:
        if place < 0:
            return self.ways.start[outlet]
        at = self.placed[self.garden[place]]
        assert at is not None
        return at[outlet]

    def _put_better(self, outlet: int, first: int, end: int) -> bool:
        here = self._lies(outlet, first)
        others = [basin for basin in self.ways.reach[outlet] if basin != here]
        key = (outlet, self.garden[first], self.garden[end - 1], here, self._lies(outlet, first - 1))
        looked, self.looked[key] = self.looked.get(key, -1), self.changes
        if here == NOWHERE or self.changed[here] <= looked:   # what was tried then would cost the same now
            others = [basin for basin in others if self.changed[basin] > looked]
        if not others:
            return False
        gains: list[tuple[float, int]] = []
        best = self._best_of(outlet, first, end, here, others, gains)
        if end - first > 1 and best[0] >= -GAIN:
            gains.sort()
            close = [basin for _, basin in gains[:CLOSE_LOOKS]]
            for place in (first - 1, end):   # what lies before and after: the stretch begins later or ends sooner
                if 0 <= place < len(self.garden) and (near := self._lies(outlet, place)) not in (here, *close) \
                        and near in others:
                    close.append(near)
            half = (first + end) // 2
            for a, z in dict.fromkeys(((first, first + 1), (end - 1, end), (first, half), (half, end))):
                part = self._best_of(outlet, a, z, here, close, [])
                best = part if part[0] < best[0] else best
        if best[0] >= -GAIN:
            return False
        _, a, z, basin = best
        for place in range(a, z):
            at = self.placed[self.garden[place]]
            assert at is not None
            at[outlet] = basin
        self.changes += 1
        for changed in (here, basin):
            if changed != NOWHERE:
                self._take(changed, self._with(changed, outlet, a, z, 0)[0])
                self.changed[changed] = self.changes
        return True

    def _best_of(self, outlet: int, first: int, end: int, here: int, others: Sequence[int],
                 gains: list[tuple[float, int]]) -> tuple[float, int, int, int]:
        """The best other place of an outlet for some loads: (change of cost, first, end, basin)."""
        best = (0.0, first, end, here)
        left = 0.0
        if here != NOWHERE:
            left = self._cost(here, *self._with(here, outlet, first, end, -1)) - self.costs[here]
        walks = self._walks(outlet, first, end)
        for basin in others:
            change = self._cost(basin, *self._with(basin, outlet, first, end, 1)) - self.costs[basin]
            if change == NEVER:
                continue
            gains.append((change, basin))
            change += left + self.per_move * walks(basin)
            if change < best[0] - GAIN and self._allowed(outlet, first, end, basin):
                best = (change, first, end, basin)
        return best

    def _with(self, basin: int, outlet: int, first: int, end: int, sign: int) -> tuple[list[Delivery], int]:
        """What a basin gets when an outlet brings it its part of these loads besides (1), or no longer (-1).

        0: as the plan stands now, after these loads were changed. Also how many of its deliveries come before them.
        """
        own, portion = self.got[basin], self.ways.portions[outlet]
        low = bisect_left(own, (self.garden[first],))
        high = bisect_left(own, (self.garden[end - 1] + 1,))
        had = dict(own[low:high])
        if sign > 0:
            for number in self.garden[first:end]:
                had[number] = had.get(number, 0.0) + portion * self.loads[number].litres
            return own[:low] + sorted(had.items()) + own[high:], low
        left = []
        for number in self.garden[first:end]:
            share = sum([self.ways.portions[other] for other, lies in enumerate(self.placed[number] or ())
                         if lies == basin and not (sign and other == outlet)])
            if share > 0.0:
                left.append((number, share * self.loads[number].litres))
        return own[:low] + left + own[high:], low

    def _walks(self, outlet: int, first: int, end: int) -> Callable[[int], int]:
        """How many more walks the outlet takes when it lies at a basin for these loads, as a function of the basin."""
        before, here = self._lies(outlet, first - 1), self._lies(outlet, first)
        last = self._lies(outlet, end - 1)
        day = self.loads[self.garden[first]].day
        known, walked = self._moves_on(outlet, day), before != here
        if end == len(self.garden):
            return lambda basin: walks_of_day(known + (before != basin) - walked) - walks_of_day(known)
        after, day_after = self._lies(outlet, end), self.loads[self.garden[end]].day
        back = last != after
        if day_after == day:
            return lambda basin: walks_of_day(
                known + (before != basin) - walked + (basin != after) - back) - walks_of_day(known)
        later = self._moves_on(outlet, day_after)
        return lambda basin: (walks_of_day(known + (before != basin) - walked) - walks_of_day(known)
                              + walks_of_day(later + (basin != after) - back) - walks_of_day(later))

    def _moves_on(self, outlet: int, day: int) -> int:
        """How often the outlet is moved on a day."""
        count = self.moved[outlet] if day == 0 else 0
        for place in self.days[day]:
            count += self._lies(outlet, place) != self._lies(outlet, place - 1)
        return count

    def _allowed(self, outlet: int, first: int, end: int, basin: int) -> bool:
        """Whether nobody has to move an outlet on a day without moves, and every day allows its arrangement."""
        for place in range(first, min(end + 1, len(self.garden))):
            load = self.loads[self.garden[place]]
            if place in (first, end) and not load.may_move:
                now = basin if place == first else self._lies(outlet, place)
                earlier = self._lies(outlet, place - 1) if place == first else basin
                if now != earlier:
                    return False
            if load.allowed is not None and place < end:
                at = list(self.placed[self.garden[place]] or ())
                at[outlet] = basin
                if self.ways.named(tuple(at)) not in load.allowed:
                    return False
        return True

    # --- the sewer --------------------------------------------------------------------------------------------

    def _other_ways(self) -> bool:
        """Send each load the other way where that costs less: to the sewer, or to where the outlets lie anyway."""
        gained = False
        for number in range(self.fixed, len(self.loads)):
            if self.work <= 0:
                break
            gained = self._other_way(number) or gained
        return gained

    def _other_way(self, number: int) -> bool:
        load, now = self.loads[number], self.placed[number]
        if now is None:
            before = next((at for at in reversed(self.placed[:number]) if at is not None), None)
            there = list(before if before is not None else self.ways.start)
            if NOWHERE in there or (load.allowed is not None and self.ways.named(tuple(there)) not in load.allowed):
                return False
            if load.limit_l is not None and load.litres + sum(
                    [self.loads[self.garden[place]].litres for place in self.days.get(load.day, ())]
            ) > load.limit_l + TINY_L:
                return False
            parts, change = self.ways.parts(tuple(there), load.litres), -load.to_sewer
        else:
            parts, change = self.ways.parts(tuple(now), load.litres), load.to_sewer
        tried = []
        for basin, part in parts:
            own = [one for one in self.got[basin] if one[0] != number]
            if now is None:
                own = sorted([*own, (number, part)])
            cost = self._cost(basin, own)
            change += cost - self.costs[basin]
            tried.append((basin, own))
        if now is not None and change < 2 * self.per_move * len(now):
            walks = self._all_walks()
            self.placed[number] = None
            without = self._all_walks()
            self.placed[number] = now
            if without == NEVER:
                return False
            change += self.per_move * (without - walks)
        if change >= -GAIN:
            return False
        self.placed[number] = there if now is None else None
        self.changes += 1
        for basin, own in tried:
            self.changed[basin] = self.changes
            self._take(basin, own)
        self._number()
        return True

    def _all_walks(self) -> float:
        """The walks of the whole plan, NEVER where one falls on a day on which nobody moves an outlet."""
        total, day, at = 0, 0, list(self.ways.start)
        counts = list(self.moved)
        for load, target in zip(self.loads, self.placed, strict=True):
            if load.day > day:
                day, counts = load.day, [0] * len(at)
            if target is None or target == at:
                continue
            if not load.may_move:
                return NEVER
            for outlet, (here, there) in enumerate(zip(at, target, strict=True)):
                if here != there:
                    total += walks_of_day(counts[outlet] + 1) - walks_of_day(counts[outlet])
                    counts[outlet] += 1
            at = list(target)
        return total


def improved(ways: Ways, start: Sequence[BasinDay], loads: Sequence[FreeLoad], placed: Sequence[Arrangement | None],
             per_move: float, moved: int, fixed: int, work: int, memo: Memo) -> Improved:
    """Make a plan better. `placed`: the arrangement of each free load; `moved`: the outlets moved already on the
    first day, as bits; `fixed`: see Improving; `work`: how often a basin is looked at, at most; `memo`: what
    was found out before about the same loads.
    """
    made = Improving(ways, start, loads, placed, per_move, moved, fixed, work, memo)
    before = made.total()
    made.run()
    return Improved(before - made.total(), tuple([None if at is None else tuple(at) for at in made.placed]))
