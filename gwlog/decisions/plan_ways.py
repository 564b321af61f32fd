"""The arrangements that the outlets can be put in, as numbers of basins, and which of them are worth a look."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product

from gwlog.decisions.plan_cost import PlanOutlet
from gwlog.decisions.plan_table import BasinDay
from gwlog.water.rest import TINY_L

ALL_ARRANGEMENTS = 40
"""Up to so many arrangements of the outlets all are looked at, else moves of one outlet and the best pairs."""

SINGLES_PER_OUTLET = 4
PAIRED_PER_OUTLET = 2
MOST_PAIRED_OUTLETS = 12
"""More outlets than that are moved one at a time in a plan, beside those that have to go."""

NOWHERE = -1
"""The place of an outlet that lies where no load may go: it has to be moved before the next one."""

Arrangement = tuple[int, ...]


class Ways:
    """`names`: the basins that may be watered. An outlet that lies at none of them, or is astray, lies NOWHERE."""

    def __init__(self, names: Sequence[str], outlets: Sequence[PlanOutlet]) -> None:
        numbers = {name: number for number, name in enumerate(names)}
        self.names, self.outlets = names, outlets
        self.reach = [sorted({numbers[name] for name in outlet.reach if name in numbers}) for outlet in outlets]
        self.start = tuple(NOWHERE if outlet.astray else numbers.get(outlet.at, NOWHERE) for outlet in outlets)
        self.alike = [self.reach.index(reach) for reach in self.reach]
        self.portions = [outlet.share for outlet in outlets]
        total = 1
        for start, reach in zip(self.start, self.reach, strict=True):
            total *= len({start, *reach})
        self.all = total <= ALL_ARRANGEMENTS
        self.paired = len(outlets) <= MOST_PAIRED_OUTLETS
        pairs = len(outlets) * (len(outlets) - 1) // 2 * PAIRED_PER_OUTLET**2 if self.paired else 0
        self.count = total if self.all else 1 + sum(min(len(reach), SINGLES_PER_OUTLET) for reach in self.reach) + pairs
        self._parts: dict[tuple[Arrangement, float], tuple[tuple[int, float], ...]] = {}
        self._onward: dict[Arrangement, list[tuple[int, Arrangement]]] = {}
        self._named: dict[Arrangement, tuple[str, ...]] = {}

    def named(self, at: Arrangement) -> tuple[str, ...]:
        """An arrangement by the names of its basins."""
        known = self._named.get(at)
        if known is None:
            known = self._named[at] = tuple(
                outlet.at if basin == NOWHERE else self.names[basin]
                for outlet, basin in zip(self.outlets, at, strict=True))
        return known

    def parts(self, at: Arrangement, litres: float) -> tuple[tuple[int, float], ...]:
        """What each basin gets of a load [L], with the outlets so arranged."""
        known = self._parts.get((at, litres))
        if known is None:
            sums: dict[int, float] = {}
            for basin, portion in zip(at, self.portions, strict=True):
                sums[basin] = sums.get(basin, 0.0) + portion
            known = self._parts[at, litres] = tuple((basin, share * litres) for basin, share in sums.items())
        return known

    def onward(self, at: Arrangement, beds: Sequence[BasinDay], litres: float, may_move: bool = True,
               fits: bool = False) -> list[tuple[int, Arrangement]]:
        """(moved outlets, arrangement) from here: staying first, then one move, then more. `fits`: see First.

        The moved outlets are bits: 1 the first, 2 the second, 4 the third.
        """
        if not may_move:
            return [(0, at)]
        return self._everywhere(at) if self.all else self._few(at, beds, litres, fits)

    def _everywhere(self, at: Arrangement) -> list[tuple[int, Arrangement]]:
        known = self._onward.get(at)
        if known is None:
            choices = [[here, *(b for b in reach if b != here)] for here, reach in zip(at, self.reach, strict=True)]
            known = [(moved_bits(at, to), to) for to in product(*choices)]
            known.sort(key=lambda way: way[0].bit_count())
            self._onward[at] = known
        return known

    def _few(self, at: Arrangement, beds: Sequence[BasinDay], litres: float,
             fits: bool) -> list[tuple[int, Arrangement]]:
        """Staying, every move of one outlet, and two moves at once between each outlet's most useful basins.

        Where the load cannot stay, the outlets that have to go are put elsewhere first, and the other moves are
        looked at from there.
        """
        base = self._mended(at, beds, litres, fits)
        found = [base] if base == at else [at, base]
        useful: list[list[int]] = []
        ranked: dict[tuple[int, float], list[int]] = {}
        for number, here in enumerate(base):
            key = (self.alike[number], self.portions[number])
            best = ranked.get(key)
            if best is None:
                best = ranked[key] = self._most_useful(self.reach[number], beds, key[1] * litres, fits)
            useful.append(own := [basin for basin in best if basin != here][:SINGLES_PER_OUTLET])
            found += [(*base[:number], basin, *base[number + 1:]) for basin in own]
        for first in range(len(base)) if self.paired else ():
            for second in range(first + 1, len(base)):
                for a in useful[first][:PAIRED_PER_OUTLET]:
                    for b in useful[second][:PAIRED_PER_OUTLET]:
                        if a != b:
                            moved = list(base)
                            moved[first], moved[second] = a, b
                            found.append(tuple(moved))
        ways = [(moved_bits(at, to), to) for to in found]
        if base != at:
            ways.sort(key=lambda way: way[0].bit_count())
        return ways

    def _most_useful(self, reach: Sequence[int], beds: Sequence[BasinDay], litres: float, fits: bool) -> list[int]:
        """The basins of a reach to which so much does most good, and as many as an outlet may lie at besides."""
        gains = []
        for basin in reach:
            after = _given(beds[basin], litres, fits)
            if after is not None:
                gains.append((after.ahead - beds[basin].ahead, basin))
        gains.sort()
        return [basin for _, basin in gains[:SINGLES_PER_OUTLET + 1]]

    def _mended(self, at: Arrangement, beds: Sequence[BasinDay], litres: float, fits: bool) -> Arrangement:
        """The arrangement with the outlets moved whose basin does not take what it would get, where they can be.

        One after the other, each to the basin in its reach that gains most by it; the first of several outlets
        at one basin may stay where that basin takes its part alone.
        """
        refused = {basin for basin, part in self.parts(at, litres)
                   if basin == NOWHERE or _given(beds[basin], part, fits) is None}
        if not refused:
            return at
        given: dict[int, float] = {}
        for number, basin in enumerate(at):
            if basin not in refused:
                given[basin] = given.get(basin, 0.0) + self.portions[number] * litres
        mended = list(at)
        for number, here in enumerate(at):
            if here not in refused:
                continue
            part = self.portions[number] * litres
            best: tuple[float, int] | None = None
            for there in (here, *self.reach[number]):
                if there == NOWHERE:
                    continue
                after = _given(beds[there], given.get(there, 0.0) + part, fits)
                if after is None:
                    continue
                before = beds[there].give(given[there]) if there in given else beds[there]
                gain = after.ahead - (before or beds[there]).ahead
                if there == here:
                    best = (gain, there)
                    break
                if best is None or gain < best[0]:
                    best = (gain, there)
            if best is not None:
                mended[number] = best[1]
                given[best[1]] = given.get(best[1], 0.0) + part
        return tuple(mended)


def moved_bits(at: Arrangement, to: Arrangement) -> int:
    """The outlets that lie elsewhere than before, as bits."""
    return sum([1 << number for number, (here, there) in enumerate(zip(at, to, strict=True)) if here != there])


def _given(bed: BasinDay, litres: float, fits: bool) -> BasinDay | None:
    """The basin with so much more in it; None where a limit, its rest or (with `fits`) its root zone forbids it."""
    return None if fits and litres > bed.room() + TINY_L else bed.give(litres)
