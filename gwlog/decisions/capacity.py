"""How much laundry water the garden can use, month by month, against what the household makes.

By the climate's normals: what the plants draw beyond the rain, plus the leaching share. Litres per week.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING, Any

from gwlog.clock import local_day
from gwlog.decisions.expected import expected
from gwlog.errors import BadInput
from gwlog.reference.plants import PLANT_FACTOR_CLASSES
from gwlog.values import dataclass
from gwlog.water.basin import LEACHING_SHARE, SPREAD_M, BasinSpec, DayNumbers, day_numbers, root_zone_room
from gwlog.water.growth import Growth
from gwlog.water.ledger import steady_stores
from gwlog.water.weather import Climate, normals

if TYPE_CHECKING:
    from gwlog.state import State
    from gwlog.water.garden import Garden

WEEK, YEAR = 7, 365
WEEKS_A_MONTH = 365.25 / WEEK / 12
WEEKS_AHEAD = 4
"""What the household makes a week is taken from the loads expected over four weeks."""

WORTH_TELLING_L = 1.0


@dataclass(frozen=True, slots=True)
class Month:
    """One month: what the garden can use and what the household makes [L/week], and the sewer's share (0..1)."""

    month: int
    uses_l_per_week: float
    makes_l_per_week: float
    sewer_share: float

    @property
    def rest_l_per_week(self) -> float:
        """What is left for the sewer [L/week]."""
        return max(0.0, self.makes_l_per_week - self.uses_l_per_week)

    @property
    def lacks_l_per_week(self) -> float:
        """What the household's water leaves the garden short of [L/week]."""
        return max(0.0, self.uses_l_per_week - self.makes_l_per_week)


@dataclass(frozen=True, slots=True)
class Planting:
    """So many m2 of a class of planting, watered over their whole canopy, would use the rest of `month`."""

    planting: str
    plant_factor: float
    month: int
    area_m2: float
    source: str


@dataclass(frozen=True, slots=True)
class TooSmall:
    """A basin in which its share of a load passes what plants readily use, and what would help.

    `load_l`: what it gets of one usual load. `wetted_m2`: the wetted root zone that would hold it, `area_m2` the
    basin that wets so much; None where that is larger than the plants' canopy. `outlets`: open ends to share it.
    """

    basin: str
    load_l: float
    raw_l: float
    wetted_m2: float
    area_m2: float | None
    outlets: int


@dataclass(frozen=True, slots=True)
class Capacity:
    """Twelve months, what would use the rest in the thirstiest one, and basins too small for one load."""

    months: tuple[Month, ...]
    makes_l_per_week: float
    sewer_share: float
    plantings: tuple[Planting, ...]
    too_small: tuple[TooSmall, ...]

    @property
    def lacks_l(self) -> float:
        """What the garden could use over a year beyond what the household makes in the same months [L]."""
        return sum(month.lacks_l_per_week for month in self.months) * WEEKS_A_MONTH

    @property
    def rest_l(self) -> float:
        """What the household makes over a year beyond what the garden can use in the same months [L]."""
        return sum(month.rest_l_per_week for month in self.months) * WEEKS_A_MONTH

    @property
    def thirstiest(self) -> Month:
        """The month in which the garden lacks most."""
        return max(self.months, key=lambda month: month.lacks_l_per_week)

    def as_json(self) -> dict[str, Any]:
        """For programs, in SI units."""
        return {
            "makes_l_per_week": self.makes_l_per_week, "sewer_share": self.sewer_share,
            "lacks_l_per_year": self.lacks_l, "rest_l_per_year": self.rest_l,
            "months": [{"month": m.month, "uses_l_per_week": m.uses_l_per_week, "sewer_share": m.sewer_share}
                       for m in self.months],
            "plantings": [{"planting": p.planting, "plant_factor": p.plant_factor, "month": p.month,
                           "area_m2": p.area_m2} for p in self.plantings],
            "too_small": [{"basin": t.basin, "load_l": t.load_l, "raw_l": t.raw_l, "wetted_m2": t.wetted_m2,
                           "area_m2": t.area_m2, "outlets": t.outlets} for t in self.too_small],
        }


def use_on(day: DayNumbers, spec: BasinSpec, leaching_share: float = LEACHING_SHARE) -> float:
    """What one basin can use of laundry water on a day [L].

    What the plants ask of the wetted zone less the rain on it, with the leaching share on top; on a young plant also
    what passes beside its roots; never above the absorption allowance.
    """
    return min(root_zone_room(max(0.0, day.demand_l - day.rain_l), leaching_share, day.share), spec.allowance_l)


def monthly_use(basins: Sequence[tuple[Growth, float]], climate: Climate, year: int) -> tuple[float, ...]:
    """What these basins (with their leaching shares) can use together [L/week], January first, in a year of normals.

    Taken day by day: leaves come and fall, young plants grow, and roots beyond the wetted zone live on winter's rain.
    """
    sums, days = [0.0] * 12, [0] * 12
    first = date(year, 1, 1)
    beyond = [steady_stores(growth, climate, first).outer_l for growth, _ in basins]
    for number in range(YEAR):
        day = first + timedelta(days=number)
        eto, rain = normals(climate, day)
        days[day.month - 1] += 1
        for which, (growth, leaching_share) in enumerate(basins):
            spec = growth.on(day)
            numbers = day_numbers(spec, beyond[which], eto, rain)
            beyond[which] = numbers.outer_l
            sums[day.month - 1] += use_on(numbers, spec, leaching_share)
    return tuple(total / count * WEEK for total, count in zip(sums, days, strict=True))


def capacity(state: State, garden: Garden, now: datetime) -> Capacity:
    """Set what the garden can use against what the household makes. Raises BadInput without a basin."""
    if not garden.basins:
        raise BadInput("There is no basin, so there is nothing that could use the water.",
                       hint="Describe one: a [[basin]] in the site file.")
    loads, _ = expected(state, now, WEEKS_AHEAD * WEEK)
    makes = sum(load.litres for load in loads) / WEEKS_AHEAD
    basins = [(basin.growth, basin.leaching_share) for basin in garden.basins.values()]
    uses = monthly_use(basins, garden.climate, local_day(now, state.zone).year)
    months = tuple(
        Month(number, use, makes, max(0.0, 1.0 - use / makes) if makes > 0.0 else 0.0)
        for number, use in enumerate(uses, 1)
    )
    used = sum(min(use, makes) for use in uses) / len(uses)
    peak = max(months, key=lambda month: (round(month.uses_l_per_week, 6), month.month))
    day = date(local_day(now, state.zone).year, peak.month, 15)
    plantings = plantings_for(peak.rest_l_per_week, peak.month, *normals(garden.climate, day))
    return Capacity(months, makes, 1.0 - used / makes if makes > 0.0 else 0.0, plantings, too_small(state, garden))


def plantings_for(rest_l_per_week: float, month: int, eto_mm: float, rain_mm: float) -> tuple[Planting, ...]:
    """How many m2 of each class of planting would use `rest_l_per_week`, at this ETo and rain [mm/day].

    Taken for the garden's thirstiest month: more than that, and the new plants would go short in it.
    """
    if rest_l_per_week < WORTH_TELLING_L:
        return ()
    found = []
    for name, factor in PLANT_FACTOR_CLASSES.items():
        per_m2 = max(0.0, eto_mm * factor.value - rain_mm) / (1.0 - LEACHING_SHARE) * WEEK
        if per_m2 > 0.0:
            found.append(Planting(name, factor.value, month, rest_l_per_week / per_m2, factor.source))
    return tuple(found)


def too_small(state: State, garden: Garden) -> tuple[TooSmall, ...]:
    """The basins in which one usual load passes the readily available water, with what would help."""
    found = []
    shares = state.shares()
    for name, basin in garden.basins.items():
        spec = basin.spec
        reaching = [share for outlet, share in shares.items() if name in state.reach(outlet)]
        load = garden.usual_load_l * max(reaching, default=1.0)
        if not spec.too_small_for(load) or spec.raw_mm <= 0.0:
            continue
        wetted = load / spec.raw_mm
        # the water spreads SPREAD_M beyond the basin on every side, and no farther than the plants' canopy
        area: float | None = max(spec.area_m2, max(0.0, math.sqrt(wetted) - 2 * SPREAD_M) ** 2)
        if wetted > spec.canopy_m2:
            area = None
        found.append(TooSmall(name, load, spec.most_l, wetted, area, math.ceil(garden.usual_load_l / spec.most_l)
                              if spec.most_l > 0.0 else 0))
    return tuple(found)
