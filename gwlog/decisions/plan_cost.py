"""What a rotation plan is made of, and by what it is judged."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from datetime import date

from gwlog.errors import BadInput
from gwlog.values import NamedTuple, dataclass, fields
from gwlog.water.basin import LEACHING_SHARE, BasinSpec, DayNumbers, DayResult, close_day, day_numbers, root_zone_room
from gwlog.water.growth import Growth
from gwlog.water.rest import DRY_ENOUGH, TINY_L

GARDEN_AIM_SEWER = 1.5
"""Weight of a litre to the sewer where the household wants to keep the water on its land."""


STRESS_FACTOR = 5.0
"""How much dearer a litre of unmet need is where the plants go without all of it: a litre short costs
1 + 5 x (share of the day's demand that is short). Working assumption, tried on gardens short of water: shared
water keeps more plants alive than water that always goes to the same basin."""

WILT_FROM, WILT_AT, WILT_PRICE = 0.90, 0.95, 60.0
"""A basin that ends a day near its wilting point costs besides: nothing up to the first share of its TAW, then
rising as a square, WILT_PRICE times the weight of a litre of unmet need at the second. Working assumptions."""

EARLY_SEWER = 0.1
"""How much dearer the sewer is on the first day than at the horizon: water in the ground today is surer than a
load of next week. Working assumption."""

SECOND_WALK = 2
"""How many walks an outlet's second (or later) move of one day weighs: nobody likes to carry it twice."""

FILLED_SHUT_DAYS = 1
"""Days after the one on which a basin was filled that make up its 24 hours of rest, in a plan of whole days."""


def half_raw(numbers: DayNumbers) -> float:
    """The deficit [L] from which a rested basin may be used again on that day."""
    return DRY_ENOUGH * numbers.raw_l - TINY_L


def need_price(short_l: float, demand_l: float) -> float:
    """The price of a day's unmet need, in litres of mild unmet need."""
    return short_l * (1.0 + STRESS_FACTOR * short_l / demand_l) if short_l > 0.0 else 0.0


def wilt_price(deficit_l: float, taw_l: float) -> float:
    """The price of ending a day so dry, in litres of mild unmet need."""
    dry = (deficit_l / taw_l - WILT_FROM) / (WILT_AT - WILT_FROM) if taw_l > 0.0 else 0.0
    return WILT_PRICE * dry * dry if dry > 0.0 else 0.0


def sewer_price(weights: Weights, number: int, days: int) -> float:
    """The price of a litre to the sewer on day `number` of `days`."""
    return weights.sewer * (1.0 + EARLY_SEWER * (1.0 - number / days))


def walks_of_day(moves: int) -> int:
    """What so many moves of one outlet on one day weigh, in single walks."""
    return moves if moves < 2 else 1 + SECOND_WALK * (moves - 1)


WEIGHT_WORDS = {"percolated": "sinking", "unmet": "thirst"}
"""What people call a weight, where it has another name here."""


@dataclass(frozen=True, slots=True)
class Weights:
    """What a plan is judged by, per litre, and per move in litre-equivalents.

    percolated beyond the leaching share; need that was not met (see need_price); sent to the sewer (see
    sewer_price); moves of an outlet; deficit left at the horizon. Working assumptions; 15 to 60 for a move spans
    “happier plants” to “fewer walks”.
    """

    percolated: float = 1.0
    unmet: float = 2.0
    sewer: float = 0.3
    move: float = 30.0
    left: float = 0.5

    def __post_init__(self) -> None:
        for part in fields(self):
            value = getattr(self, part.name)
            if isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value < math.inf:
                name = WEIGHT_WORDS.get(part.name, part.name)
                raise BadInput(f"The weight “{name}” is {value!r}; use a number from 0 up.")

    @classmethod
    def for_aim(cls, aim: str) -> Weights:
        """The usual weights for a household's aim: “plants” or “garden”."""
        return cls(sewer=GARDEN_AIM_SEWER) if aim == "garden" else cls()


@dataclass(frozen=True, slots=True)
class PlanBasin:
    """A basin as the plan starts: yesterday's deficit [L], today's graywater so far [L], when it may be used.

    `spec`: as it is on the first day; `growth`: on the others, None where it stays as it is. `outer_l`: yesterday's
    deficit of the roots beyond the wetted zone [L]. `other_today_l`: today's other water [L].
    `resting_until`: nothing goes there before that day. `closed`: why nothing may go there at all. `most_l`: more
    than that at once never goes there [L], None for no such limit.
    """

    spec: BasinSpec
    deficit_l: float
    used_today_l: float = 0.0
    resting_until: date | None = None
    leaching_share: float = LEACHING_SHARE
    closed: str | None = None
    most_l: float | None = None
    growth: Growth | None = None
    outer_l: float = 0.0
    other_today_l: float = 0.0

    def numbers(self, day: PlanDay, outer_l: float, other_l: float = 0.0) -> DayNumbers:
        """What a day brings: `outer_l` is the deficit beyond the wetted zone as it opens [L], `other_l` other water."""
        spec = self.spec if self.growth is None else self.growth.on(day.day)
        made = day_numbers(spec, outer_l, day.eto_mm, day.rain_mm)
        return made._replace(rain_l=made.rain_l + other_l * made.share) if other_l else made

    @property
    def name(self) -> str:
        return self.spec.name


@dataclass(frozen=True, slots=True)
class PlanOutlet:
    """An open end: the basins within its reach, where it lies, its share of every garden load (0..1).

    `astray`: why no load may go to the garden while it lies there (a basin out of use, or out of its reach).
    `moved`: it was moved already on the first day of the plan.
    """

    name: str
    reach: tuple[str, ...]
    at: str
    share: float = 1.0
    astray: str | None = None
    moved: bool = False


@dataclass(frozen=True, slots=True)
class PlanLoad:
    """An expected load [L]; `must_sewer` is the reason when it may not or should not go to the garden."""

    name: str
    litres: float
    must_sewer: str | None = None


@dataclass(frozen=True, slots=True)
class PlanDay:
    """One day: ETo [mm], rain [mm], its loads in order. `arrangements`: the only ones allowed, None for any.

    An arrangement is the basin of each outlet, in the outlets' order. `may_move` False: nobody moves an outlet.
    `limit_l`: the most that the code lets the whole garden have that day [L], None for no such limit.
    """

    day: date
    eto_mm: float
    rain_mm: float
    loads: tuple[PlanLoad, ...] = ()
    may_move: bool = True
    arrangements: frozenset[tuple[str, ...]] | None = None
    limit_l: float | None = None


class Step(NamedTuple):
    """One load's place in the plan: its day's number, and the outlets' arrangement; None: to the sewer."""

    day: int
    load: PlanLoad
    arrangement: tuple[str, ...] | None


class Totals(NamedTuple):
    """What a plan comes to [L], its moves, and its cost in litre-equivalents.

    `percolated_l`: beyond the leaching share and beyond what the rain alone would send below the roots.
    `need`: the price of the unmet need and of basins near wilting, `sewer`: of the water sent there; `walks`: the
    moves with an outlet's second one of a day counted as SECOND_WALK.
    """

    percolated_l: float
    unmet_l: float
    sewer_l: float
    moves: int
    left_l: float
    cost: float
    need: float = 0.0
    sewer: float = 0.0
    walks: int = 0


class Bed:
    """A basin followed through days and loads by the reference balance, with its rest.

    `today`: what the day that is open brings; today's other water counts as its rain.
    """

    __slots__ = ("basin", "deficit", "fresh", "graywater", "other", "outer", "resting", "today", "until")

    def __init__(self, basin: PlanBasin) -> None:
        self.basin = basin
        self.deficit = min(max(0.0, basin.deficit_l), basin.spec.taw_l)
        self.resting = False
        self.fresh = 0  # days for which a filled basin stays shut whatever its deficit
        self.until = basin.resting_until
        self.graywater = 0.0
        self.outer, self.other = basin.outer_l, basin.other_today_l
        self.today = day_numbers(basin.spec, self.outer, 0.0, 0.0)

    def open_day(self, day: PlanDay, poured: float = 0.0) -> None:
        """Begin a day: its rain counts from the first moment, the safe side."""
        self.graywater = poured
        self.today = self.basin.numbers(day, self.outer, self.other)
        if self.until is not None and day.day >= self.until:
            self.until = None
        self.fresh = max(0, self.fresh - 1)
        if self.resting and not self.fresh and self.deficit - self.today.rain_l >= half_raw(self.today):
            self.resting = False

    @property
    def now(self) -> float:
        """Deficit at this moment [L]: yesterday's, less the day's rain and graywater; may be below 0."""
        return self.deficit - self.today.rain_l - self.graywater * self.today.share

    def shut(self) -> str | None:
        """Why nothing may go here now: “closed”, “resting”, or None."""
        return "closed" if self.basin.closed else "resting" if self.resting or self.until is not None else None

    def limit(self) -> float:
        """What the hard limits leave for one load now [L]."""
        spec, most = self.basin.spec, self.basin.most_l
        left = min(spec.allowance_l - self.graywater, spec.surge_room_l)
        return left if most is None else min(left, most)

    def takes(self, litres: float) -> bool:
        """Whether the hard limits and the rest let `litres` in."""
        return self.shut() is None and litres <= self.limit() + TINY_L

    def fits(self, litres: float) -> bool:
        """Whether a load also fits the root zone, with its leaching share."""
        return self.takes(litres) and \
            litres <= root_zone_room(max(0.0, self.now), self.basin.leaching_share, self.today.share) + TINY_L

    def give(self, litres: float, *, rest: bool = True) -> None:
        """Let a load in; a basin that it fills rests (when `rest`)."""
        self.graywater += litres
        if rest and litres > 0.0 and self.now <= TINY_L:
            self.resting, self.fresh = True, FILLED_SHUT_DAYS + 1

    def end_day(self) -> DayResult:
        """End the day that is open."""
        end = close_day(self.today, self.deficit, self.graywater)
        self.deficit, self.outer, self.other = end.deficit_l, end.outer_l, 0.0
        return end

    def close_day(self) -> tuple[float, float, float]:
        """End the day; returns percolation beyond the leaching share, unmet need [L], and the price of the need."""
        end = self.end_day()
        beyond = max(0.0, end.percolated_l - self.basin.leaching_share * self.graywater * self.today.share)
        short = end.demand_l - end.used_l
        return beyond, short, need_price(short, end.demand_l) + wilt_price(end.deficit_l, self.today.taw_l)

    def dryness(self) -> float:
        """How dry the basin is: deficit over readily available water (1: plants begin to feel it)."""
        return self.now / self.today.raw_l if self.today.raw_l > 0.0 else 0.0


def arranged(outlets: Sequence[PlanOutlet], at: Sequence[str], litres: float) -> dict[str, float]:
    """What each basin gets of a load [L] with the outlets so arranged."""
    given: dict[str, float] = {}
    for outlet, basin in zip(outlets, at, strict=True):
        given[basin] = given.get(basin, 0.0) + outlet.share * litres
    return given


def fits(beds: Mapping[str, Bed], given: Mapping[str, float]) -> bool:
    """Whether every basin has room for what it would get."""
    return all(beds[name].fits(litres) for name, litres in given.items())


def over_limit(beds: Mapping[str, Bed], day: PlanDay, litres: float) -> bool:
    """Whether a load would pass what the code lets the whole garden have on a day."""
    if day.limit_l is None:
        return False
    return sum(bed.graywater for bed in beds.values()) + litres > day.limit_l + TINY_L
