"""What hinders a load: basins that are shut, hard limits, rests and full root zones, here and elsewhere.

Every open end always receives its share; so an arrangement gives each outlet in use one basin. Which of them a load
takes is the plan's to decide; here it is only told whether there is one, and what stands in the way.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import product
from typing import TYPE_CHECKING, Literal

from gwlog import clock
from gwlog.text import seen_word
from gwlog.units import Reader
from gwlog.values import dataclass

if TYPE_CHECKING:
    from gwlog.journal.facts import Basin
    from gwlog.state import State
    from gwlog.water.garden import BasinNow, Garden

Kind = Literal["closed", "hard", "resting", "root zone"]

SHUT_BY = ("ponding", "runoff", "leak")
"""What is seen and must keep every load away from a basin until it is resolved."""

STOP_BY = ("odour", "stressed plant")
STOP_SOURCE = "Victoria, household graywater guidance (read): stop on odour or sick plants"
"""What is seen and should keep loads away from a basin until somebody has found out why: the rule of the caution
“odour”, and its source. Answer, plan and manual say it by these."""

TOUCHES_FOOD = ("touches soil", "root crop")
FOOD = "food on the soil"
MOST_ARRANGEMENTS = 2_000
"""Up to so many arrangements are looked at one by one for what hinders a load."""

TOLERANCE_L = 1e-6


@dataclass(frozen=True, slots=True)
class Hindrance:
    """Why a basin does not take what it would get. `clause` is a sentence without capital and full stop."""

    rule: str
    kind: Kind
    basin: str
    clause: str


def closures(state: State, garden: Garden, cover_mm: float, read: Reader,
             by: str = "the code") -> dict[str, tuple[Hindrance, ...]]:
    """What shuts each basin, whatever the load: something seen there that is still open, thin cover, food that
    touches the soil.

    `cover_mm`: the least cover, and `by` whom it is asked. Something seen without a basin named shuts every basin.
    """
    shut: dict[str, list[Hindrance]] = {name: [] for name in garden.basins}
    for seen in state.open_observations():
        if seen.observed not in SHUT_BY and seen.observed not in STOP_BY:
            continue
        for name in garden.basins if seen.basin is None else (seen.basin,):
            known = shut.get(name)
            if known is not None and all(one.rule != seen.observed for one in known):
                where = f"at {name}" if seen.basin else "in the garden"
                known.append(Hindrance(seen.observed, "closed", name,
                                       f"{a_seen(seen.observed)} was seen {where} and is not resolved"))
    for name, basin in garden.basins.items():
        if basin.cover_mm < cover_mm:
            shut[name].append(Hindrance(
                "cover", "closed", name,
                f"the mulch at {name} is {thin(basin.cover_mm, cover_mm, read, by)}"))
        if basin.fact.edible in TOUCHES_FOOD:
            shut[name].append(Hindrance(FOOD, "closed", name, not_allowed(basin.fact)))
    return {name: tuple(found) for name, found in shut.items()}


def a_seen(observed: str) -> str:
    """What was seen, with its article: “a leak”, “ponding”."""
    a = "a " if observed in ("leak", "stressed plant", "blocked outlet") else ""
    return f"{a}{seen_word(observed)}"


def not_allowed(basin: Basin) -> str:
    """That a basin's food touches the soil: “Beet row grows root crops, for which graywater is not allowed”."""
    what = "root crops" if basin.edible == "root crop" else "food that touches the soil"
    return f"{basin.name} grows {what}, for which graywater is not allowed"


def thin(depth_mm: float, least_mm: float, read: Reader, by: str = "the code") -> str:
    """How deep a cover below the code's least still is: “down to 1.8 in (the code asks for 2.0 in)”."""
    depth, least = read.length(depth_mm), read.length(least_mm)
    return f"just under the {least} that {by} asks for" if depth == least else \
        f"down to {depth} ({by} asks for {least})"


@dataclass(frozen=True, slots=True)
class Placing:
    """What hinders a load. `current`: what each basin would get where the outlets are [L], None without an outlet.

    `fits`: some arrangement takes the load. `best`: what each basin would get in the least bad arrangement within the
    hard limits, None where there is none. `hindered`: what is wrong where the outlets are. `elsewhere`: what is wrong
    with the other basins in reach, each by itself.
    """

    current: tuple[tuple[str, float], ...] | None
    fits: bool
    best: tuple[tuple[str, float], ...] | None
    hindered: tuple[Hindrance, ...]
    elsewhere: tuple[Hindrance, ...]


def place(state: State, garden: Garden, volume_l: float, closed: Mapping[str, tuple[Hindrance, ...]],
          read: Reader, *, root_zone_binds: bool = True) -> Placing:
    """Look for what hinders a load of `volume_l` where the outlets are, and whether moving them would help."""
    made = _Obstacles(state, garden, volume_l, closed, read, root_zone_binds)
    if not made.shares:
        return Placing(None, False, None, (), ())
    litres = made.litres(made.lies)
    hindered = made.hindrances()
    if not hindered:
        return Placing(litres, True, litres, (), ())
    best = made.least_bad()
    return Placing(litres, best is not None and best[0] == 0, None if best is None else best[1], hindered,
                   made.elsewhere())


class _Obstacles:
    def __init__(self, state: State, garden: Garden, volume_l: float, closed: Mapping[str, tuple[Hindrance, ...]],
                 read: Reader, root_zone_binds: bool) -> None:
        self.garden, self.closed, self.read, self.volume_l = garden, closed, read, volume_l
        self.binds = root_zone_binds
        self.shares = state.shares()
        self.lies = {name: state.outlet_at[name].basin for name in self.shares}
        self.reach = {name: state.reach(name) for name in self.shares}
        self.out_of_reach = {name for name, basin in self.lies.items() if basin not in self.reach[name]}

    def litres(self, places: Mapping[str, str]) -> tuple[tuple[str, float], ...]:
        """What each basin gets with the outlets so placed [L]."""
        given: dict[str, float] = {}
        for outlet, share in self.shares.items():
            given[places[outlet]] = given.get(places[outlet], 0.0) + share * self.volume_l
        return tuple(given.items())

    def hindrances(self) -> tuple[Hindrance, ...]:
        """Everything that speaks against leaving the outlets where they are, the gravest first."""
        found: list[Hindrance] = []
        for outlet, basin in self.lies.items():
            if basin not in self.garden.basins:
                found.append(Hindrance("basin out of use", "closed", basin,
                                       f"{outlet} is at {basin}, which is no longer in use"))
            elif outlet in self.out_of_reach:
                found.append(Hindrance("out of reach", "closed", basin,
                                       f"by the log {outlet} is at {basin}, out of its reach"))
        for name, litres in self.litres(self.lies):
            now = self.garden.basins.get(name)
            if now is not None:
                found.extend(self._at(now, litres))
        rank = {"closed": 0, "hard": 1, "resting": 2, "root zone": 3}
        return tuple(sorted(found, key=lambda one: rank[one.kind]))

    def _at(self, now: BasinNow, litres: float) -> Iterator[Hindrance]:
        read, name = self.read, now.name
        yield from self.closed.get(name, ())
        if litres > now.spec.most_l + TOLERANCE_L:
            yield Hindrance("small basin", "closed", name,
                            f"{name} would get {read.volume(litres)} at once, more than its plants can use before "
                            "they are dry again")
        if litres > now.allowance_left_l + TOLERANCE_L:
            yield Hindrance("absorption allowance", "hard", name,
                            f"{name} can absorb {read.volume(max(0.0, now.allowance_left_l))} more today "
                            f"and would get {read.volume(litres)}")
        if litres > now.surge_room_l + TOLERANCE_L:
            yield Hindrance("surge room", "hard", name,
                            f"the mulch at {name} holds {read.volume(now.surge_room_l)} at once "
                            f"and would get {read.volume(litres)}")
        if now.rests_today:
            until = f" until {clock.echo_day(now.rest_until, read.system)}" if now.rest_until else ""
            yield Hindrance("resting", "resting", name, f"{name} is resting{until}"
                            if now.standing == "resting" else f"{name} rests until the end of today")
        elif self.binds and litres > now.root_room_l + TOLERANCE_L:
            yield Hindrance("root-zone room", "root zone", name,
                            f"{name}'s roots can use {read.volume(now.root_room_l)}; "
                            f"this load would bring {read.volume(litres)}")

    def least_bad(self) -> tuple[int, tuple[tuple[str, float], ...]] | None:
        """The least bad arrangement within the hard limits, and how bad it is: 0 fits, 1 passes a root zone, 2 waters
        a resting basin. Among alike the one that passes the root zones least, then the fewest moves.
        """
        best: tuple[tuple[int, float, int], tuple[tuple[str, float], ...]] | None = None
        for places in self._arrangements():
            litres = self.litres(places)
            level = self._level(places, litres)
            if level > 2:
                continue
            excess = sum(max(0.0, part - self.garden.basins[name].root_room_l) for name, part in litres)
            rank = (level, excess, sum(places[outlet] != here for outlet, here in self.lies.items()))
            if best is None or rank < best[0]:
                best = rank, litres
        return None if best is None else (best[0][0], best[1])

    def _arrangements(self) -> Iterator[dict[str, str]]:
        choices = []
        total = 1
        for outlet, here in self.lies.items():
            open_to = [name for name in self.reach[outlet] if name in self.garden.basins and not self.closed.get(name)]
            choices.append([here, *(name for name in open_to if name != here)])
            total *= len(choices[-1])
        if total <= MOST_ARRANGEMENTS:
            for places in product(*choices):
                yield dict(zip(self.lies, places, strict=True))
            return
        yield dict(self.lies)
        left = {name: self._room(now) for name, now in self.garden.basins.items()}
        placed = {}
        for (outlet, here), choice in zip(self.lies.items(), choices, strict=True):
            part = self.shares[outlet] * self.volume_l
            stays = here in left and outlet not in self.out_of_reach and left[here] >= part
            placed[outlet] = here if stays else max(choice, key=lambda name: left.get(name, -1.0))
            if placed[outlet] in left:
                left[placed[outlet]] -= part
        yield placed

    def _room(self, now: BasinNow) -> float:
        if now.rests_today or self.closed.get(now.name):
            return -1.0
        hard = min(now.allowance_left_l, now.surge_room_l, now.spec.most_l)
        return min(hard, now.root_room_l) if self.binds else hard

    def _level(self, places: Mapping[str, str], litres: tuple[tuple[str, float], ...]) -> int:
        """0 fits, 1 passes the root zone, 2 waters a resting basin, 3 passes a hard limit or a closed basin."""
        if any(places[outlet] == self.lies[outlet] for outlet in self.out_of_reach):
            return 3
        level = 0
        for name, part in litres:
            now = self.garden.basins.get(name)
            if now is None or self.closed.get(name) or \
                    part > min(now.allowance_left_l, now.surge_room_l, now.spec.most_l) + TOLERANCE_L:
                return 3
            if now.rests_today:
                level = 2
            elif self.binds and level == 0 and part > now.root_room_l + TOLERANCE_L:
                level = 1
        return level

    def elsewhere(self) -> tuple[Hindrance, ...]:
        """What is wrong with each other basin in reach, if the smallest outlet that reaches it were there."""
        watered = set(self.lies.values())
        least: dict[str, float] = {}
        for outlet, reach in self.reach.items():
            for name in reach:
                if name not in watered:
                    least[name] = min(least.get(name, 1.0), self.shares[outlet])
        return tuple(one for name, share in least.items() if (now := self.garden.basins.get(name)) is not None
                     for one in self._at(now, share * self.volume_l))
