"""Where the outlets should lie for one load: the arrangement that fits, and what hinders the present one.

Every open end always receives its share; so an arrangement gives each outlet in use one basin.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import combinations, islice
from typing import TYPE_CHECKING, Literal

from gwlog import clock
from gwlog.units import Reader

if TYPE_CHECKING:
    from gwlog.journal.facts import Basin
    from gwlog.state import State
    from gwlog.water.garden import BasinNow, Garden

Kind = Literal["closed", "hard", "resting", "root zone"]

SHUT_BY = ("ponding", "runoff", "leak")
TOUCHES_FOOD = ("touches soil", "root crop")
FOOD = "food on the soil"
MOST_ARRANGEMENTS = 2_000
"""How many pairs of moves are looked at: all of them for six outlets among ten basins."""

TOLERANCE_L = 1e-6


@dataclass(frozen=True, slots=True)
class Hindrance:
    """Why a basin does not take what it would get. `clause` is a sentence without capital and full stop."""

    rule: str
    kind: Kind
    basin: str
    clause: str


@dataclass(frozen=True, slots=True)
class Arrangement:
    """Where each outlet lies, which ones are moved for it, and what each basin gets [L]."""

    places: tuple[tuple[str, str], ...]
    moves: tuple[tuple[str, str], ...]
    litres: tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True)
class Placing:
    """What the search found.

    `current` None: no outlet is in use. `chosen` None: nothing fits. `best`: the least bad arrangement within
    the hard limits, None when there is none. `hindered`: what is wrong with the present arrangement.
    `elsewhere`: what is wrong with the other basins in reach, each by itself.
    """

    current: Arrangement | None
    chosen: Arrangement | None
    best: Arrangement | None
    hindered: tuple[Hindrance, ...]
    elsewhere: tuple[Hindrance, ...]


def closures(state: State, garden: Garden, cover_mm: float, read: Reader) -> dict[str, tuple[Hindrance, ...]]:
    """What shuts each basin, whatever the load: something seen there that is still open, or thin cover.

    `cover_mm`: the code's minimum. Something seen without a basin named shuts every basin.
    """
    shut: dict[str, list[Hindrance]] = {name: [] for name in garden.basins}
    for seen in state.open_observations():
        if seen.observed not in SHUT_BY:
            continue
        for name in garden.basins if seen.basin is None else (seen.basin,):
            known = shut.get(name)
            if known is not None and all(one.rule != seen.observed for one in known):
                where = f"at {name}" if seen.basin else "in the garden"
                a = "a " if seen.observed == "leak" else ""
                known.append(Hindrance(seen.observed, "closed", name,
                                       f"{a}{seen.observed} was seen {where} and is not resolved"))
    for name, basin in garden.basins.items():
        if basin.cover_mm < cover_mm:
            shut[name].append(Hindrance(
                "cover", "closed", name,
                f"the cover at {name} is {thin(basin.cover_mm, cover_mm, read)}"))
    return {name: tuple(found) for name, found in shut.items()}


def not_allowed(basin: Basin) -> str:
    """That a basin's food touches the soil: “Beet row grows root crops, for which graywater is not allowed”."""
    what = "root crops" if basin.edible == "root crop" else "food that touches the soil"
    return f"{basin.name} grows {what}, for which graywater is not allowed"


def thin(depth_mm: float, least_mm: float, read: Reader) -> str:
    """How deep a cover below the code's least still is: “down to 1.8 in (the code asks for 2.0 in)”."""
    depth, least = read.length(depth_mm), read.length(least_mm)
    return f"just under the {least} that the code asks for" if depth == least else \
        f"down to {depth} (the code asks for {least})"


def place(state: State, garden: Garden, volume_l: float, closed: Mapping[str, tuple[Hindrance, ...]],
          read: Reader, *, root_zone_binds: bool = True) -> Placing:
    """Look for the arrangement that takes a load of `volume_l`: the present one, else the fewest moves.

    Among as many moves the driest basins win. Basins that are closed, or whose food touches the soil, are
    never moved to; resting ones only serve to tell a `best` that stays within the hard limits.
    """
    for shunning in (True, False):
        search = _Search(state, garden, volume_l, closed, read, root_zone_binds, shunning=shunning)
        if not search.shares:
            return Placing(None, None, None, (), ())
        current = search.arrangement({})
        hindered = search.hindrances(current)
        if not hindered:
            return Placing(current, current, current, (), ())
        chosen, best = search.run(current)
        # food that touches the soil is left where there is a place for the load; else it is warned of
        if chosen is not None or not any(one.rule == FOOD for one in hindered):
            break
    return Placing(current, chosen, best, hindered, search.elsewhere(current))


class _Search:
    def __init__(self, state: State, garden: Garden, volume_l: float, closed: Mapping[str, tuple[Hindrance, ...]],
                 read: Reader, root_zone_binds: bool, *, shunning: bool) -> None:
        self.shunning = shunning
        self.garden, self.closed, self.read, self.volume_l = garden, closed, read, volume_l
        self.binds = root_zone_binds
        self.shares = state.shares()
        self.lies = {name: state.outlet_at[name].basin for name in self.shares}
        self.reach = {name: state.reach(name) for name in self.shares}
        self.out_of_reach = {name for name, basin in self.lies.items() if basin not in self.reach[name]}
        self.targets = {
            name: [b for b in reach if b != self.lies[name] and self._may_be_moved_to(b)]
            for name, reach in self.reach.items()
        }

    def _may_be_moved_to(self, name: str) -> bool:
        basin = self.garden.basins.get(name)
        return basin is not None and not self.closed.get(name) and basin.fact.edible not in TOUCHES_FOOD

    def arrangement(self, moved: Mapping[str, str]) -> Arrangement:
        litres: dict[str, float] = {}
        places = []
        for outlet, share in self.shares.items():
            basin = moved.get(outlet) or self.lies[outlet]
            places.append((outlet, basin))
            litres[basin] = litres.get(basin, 0.0) + share * self.volume_l
        return Arrangement(tuple(places), tuple(moved.items()), tuple(litres.items()))

    def hindrances(self, arranged: Arrangement) -> tuple[Hindrance, ...]:
        """Everything that speaks against an arrangement, the gravest first."""
        found: list[Hindrance] = []
        for outlet, basin in arranged.places:
            if basin not in self.garden.basins:
                found.append(Hindrance("basin out of use", "closed", basin,
                                       f"{outlet} lies at {basin}, which is no longer in use"))
            elif outlet in self.out_of_reach and self.lies[outlet] == basin:
                found.append(Hindrance("out of reach", "closed", basin,
                                       f"by the log {outlet} lies at {basin}, out of its reach"))
        for name, litres in arranged.litres:
            now = self.garden.basins.get(name)
            if now is not None:
                found.extend(self._at(now, litres))
        rank = {"closed": 0, "hard": 1, "resting": 2, "root zone": 3}
        return tuple(sorted(found, key=lambda one: rank[one.kind]))

    def _at(self, now: BasinNow, litres: float) -> Iterator[Hindrance]:
        read, name = self.read, now.name
        yield from self.closed.get(name, ())
        if self._shuns(now):
            yield Hindrance(FOOD, "hard", name, not_allowed(now.fact))
        if litres > now.allowance_left_l + TOLERANCE_L:
            yield Hindrance("absorption allowance", "hard", name,
                            f"{name} may soak in {read.volume(max(0.0, now.allowance_left_l))} more today "
                            f"and would get {read.volume(litres)}")
        if litres > now.surge_room_l + TOLERANCE_L:
            yield Hindrance("surge room", "hard", name,
                            f"the mulch at {name} holds {read.volume(now.surge_room_l)} at once "
                            f"and would get {read.volume(litres)}")
        if now.standing == "resting":
            until = f" until {clock.echo_day(now.rest_until)}" if now.rest_until else ""
            yield Hindrance("resting", "resting", name, f"{name} is resting{until}")
        elif self.binds and litres > now.root_room_l + TOLERANCE_L:
            yield Hindrance("root-zone room", "root zone", name,
                            f"{name} has root-zone room for {read.volume(now.root_room_l)} "
                            f"and would get {read.volume(litres)}")

    def run(self, current: Arrangement) -> tuple[Arrangement | None, Arrangement | None]:
        """The arrangement that fits, and the least bad one within the hard limits."""
        best: Arrangement | None = self._better(None, current)
        for wave in (self._one_move(), self._two_moves(current), self._all_hindered(current)):
            fitting: tuple[float, Arrangement] | None = None
            for moved in wave:
                arranged = self.arrangement(moved)
                if self._level(arranged) == 0:
                    thirst = self._thirst(arranged)
                    if fitting is None or thirst > fitting[0]:
                        fitting = (thirst, arranged)
                elif fitting is None:
                    best = self._better(best, arranged)
            if fitting is not None:
                return fitting[1], fitting[1]
        return None, best

    def _shuns(self, now: BasinNow) -> bool:
        return self.shunning and now.fact.edible in TOUCHES_FOOD

    def _one_move(self) -> Iterator[dict[str, str]]:
        for outlet, targets in self.targets.items():
            for basin in targets:
                yield {outlet: basin}

    def _two_moves(self, current: Arrangement) -> Iterator[dict[str, str]]:
        hindered = {one.basin for one in self.hindrances(current)}
        pairs = (
            {first: a, second: b}
            for first, second in combinations(self.targets, 2)
            if self.lies[first] in hindered or self.lies[second] in hindered
            for a in self.targets[first] for b in self.targets[second]
        )
        return islice(pairs, MOST_ARRANGEMENTS)

    def _all_hindered(self, current: Arrangement) -> Iterator[dict[str, str]]:
        """More than two moves: every hindered outlet to the basin in its reach with the most room left."""
        hindered = {one.basin for one in self.hindrances(current)}
        left = {name: self._room(now) for name, now in self.garden.basins.items()}
        for outlet, basin in self.lies.items():
            if basin not in hindered and basin in left:
                left[basin] -= self.shares[outlet] * self.volume_l
        moved: dict[str, str] = {}
        for outlet, basin in self.lies.items():
            open_to = [b for b in self.targets[outlet] if b not in hindered]
            if basin in hindered and open_to:
                moved[outlet] = max(open_to, key=lambda b: left[b])
                left[moved[outlet]] -= self.shares[outlet] * self.volume_l
        if len(moved) > 2:
            yield moved

    def _room(self, now: BasinNow) -> float:
        if now.standing == "resting":
            return 0.0
        hard = min(now.allowance_left_l, now.surge_room_l)
        return min(hard, now.root_room_l) if self.binds else hard

    def _level(self, arranged: Arrangement) -> int:
        """0 fits, 1 passes the root zone, 2 waters a resting basin, 3 passes a hard limit or a closed basin."""
        if any(self.lies[o] == b and o in self.out_of_reach for o, b in arranged.places):
            return 3
        level = 0
        for name, litres in arranged.litres:
            now = self.garden.basins.get(name)
            if now is None or self.closed.get(name) or self._shuns(now) or \
                    litres > min(now.allowance_left_l, now.surge_room_l) + TOLERANCE_L:
                return 3
            if now.standing == "resting":
                level = 2
            elif self.binds and level == 0 and litres > now.root_room_l + TOLERANCE_L:
                level = 1
        return level

    def _thirst(self, arranged: Arrangement) -> float:
        """Deficit relative to the readily available water, weighed by what each basin gets."""
        total = 0.0
        for name, litres in arranged.litres:
            now = self.garden.basins[name]
            total += litres * (now.deficit_l / now.raw_l if now.raw_l > 0 else 0.0)
        return total

    def _excess(self, arranged: Arrangement) -> float:
        return sum(max(0.0, litres - self.garden.basins[name].root_room_l) for name, litres in arranged.litres)

    def _better(self, best: Arrangement | None, other: Arrangement) -> Arrangement | None:
        level = self._level(other)
        if level > 2:
            return best
        if best is None:
            return other
        mine = (self._level(best), self._excess(best), len(best.moves))
        return other if (level, self._excess(other), len(other.moves)) < mine else best

    def elsewhere(self, current: Arrangement) -> tuple[Hindrance, ...]:
        """What is wrong with each other basin in reach, if the smallest outlet that reaches it lay there."""
        watered = {name for name, _ in current.litres}
        least: dict[str, float] = {}
        for outlet, reach in self.reach.items():
            for name in reach:
                if name not in watered:
                    least[name] = min(least.get(name, 1.0), self.shares[outlet])
        return tuple(one for name, share in least.items() if (now := self.garden.basins.get(name)) is not None
                     for one in self._at(now, share * self.volume_l))
