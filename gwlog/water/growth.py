"""A basin's plants through the year and the years: how much they use, how wide their crown is, how far roots reach.

A Growth gives the basin as it is on any local day. Stages and crop coefficients: FAO Irrigation and Drainage Paper 56
(Allen et al. 1998), tables 11 and 12, eq. 66. How a young plant grows rests on marked assumptions.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import cached_property, lru_cache

from gwlog.journal.facts import Basin
from gwlog.reference.plants import Plant, find_plant
from gwlog.reference.seasons import AFTER_HARVEST_DAYS, LEAFLESS_KC, SEASONS, Kc, Lengths, Season
from gwlog.reference.soils import SOILS, TEXTURES
from gwlog.water.basin import BasinSpec, wetted_area
from gwlog.water.rootzone import raw_mm

SLOWEST_SOIL = min(SOILS.values(), key=lambda soil: soil.allowance_gal_per_ft2.value)
"""Stands in for a soil that is not in the table: the one that absorbs least."""

PLANTED_CANOPY_M2 = 0.2
"""Crown of a plant at planting where nobody has said [m2]: half a metre across. Working assumption."""

PLANTED_ROOT_MM = 300.0
"""Depth of the root ball at planting where nobody has said [mm]. Working assumption; balls of 10 to 12 in across per
inch of trunk (ANSI Z60.1, from memory) are about so deep for garden trees."""

BALL_YEARS = 1.0
"""So long a woody plant lives by its root ball [years]. Trade advice is to water the ball and little more in the first
year; roots are established after 3 to 12 months per inch of trunk (Gilman, UF/IFAS, read). Working assumption."""

ROOTS_M_PER_YEAR = 0.61
"""How much farther roots reach sideways each year after that [m]: 2 ft, as trade advice widens the watered ground;
18 in were measured in the cool Midwest (Watson 1985, from memory). Working assumption."""

CANOPY_M_PER_YEAR = DEPTH_M_PER_YEAR = 0.3
"""How much the crown reaches farther, and the roots deeper, each year after that [m]. No rule was found for either.
Working assumption."""

STEP_DAYS = 30
"""A young plant's size is taken anew every so many days from planting on."""

_YEAR = 366
_ONE = timedelta(days=1)


def kc_of_day(lengths: Lengths, kc: Kc, number: int) -> float | None:
    """Return Kc on day `number` (1 is the first) of a season (eq. 66), None outside it."""
    ini, dev, mid, late = lengths
    if number < 1 or number > ini + dev + mid + late:
        return None
    if number <= ini:
        return kc[0]
    if number <= ini + dev:
        return kc[0] + (number - ini) / dev * (kc[1] - kc[0])
    if number <= ini + dev + mid:
        return kc[1]
    return kc[1] + (number - ini - dev - mid) / late * (kc[2] - kc[1])


def kc_of_year(lengths: Lengths, kc: Kc, start_day: int, off: float) -> tuple[float, ...]:
    """Return Kc of every day of a year of 366, 1 January first; `off` outside the season."""
    return tuple(
        off if (known := kc_of_day(lengths, kc, (day - start_day) % _YEAR + 1)) is None else known
        for day in range(1, _YEAR + 1)
    )


@dataclass(frozen=True)
class Growth:
    """A basin's description, day by day. `adult`: as it is when its plants are grown up, in mid-season.

    `plant`: its row of the plant table. `southern`: the seasons are shifted by half a year.
    """

    adult: BasinSpec
    plant: str | None = None
    latitude_deg: float = 0.0
    ground_cover: str = "mulch"
    planted: date | None = None
    planted_canopy_m2: float | None = None
    planted_root_mm: float | None = None
    root_depth_mm: float = 0.0

    @cached_property
    def _season(self) -> Season | None:
        return SEASONS.get(self.plant) if self.plant is not None else None

    @cached_property
    def _mid(self) -> float:
        """Kc of the plant's own row in mid-season, for which the basin's plant factor stands."""
        plant = find_plant(self.plant or "")
        return plant.plant_factor.value if plant is not None else 1.0

    @cached_property
    def _off(self) -> float:
        """The plant factor outside the stages."""
        season = self._season
        kc = LEAFLESS_KC[self.ground_cover] if season is None or season.off is None else season.off
        return self.adult.plant_factor * kc.value / self._mid

    def _factor(self, kc: float, mid: float) -> float:
        """A day's plant factor; growing cover uses no less than under leafless plants."""
        factor = self.adult.plant_factor * kc / mid
        return max(factor, self._off) if self.ground_cover == "growing" else factor

    @cached_property
    def _year(self) -> tuple[float, ...] | None:
        """The plant factor of every day of a year of 366, None where it is the same all year."""
        season = self._season
        yearly = season.stages_at(self.latitude_deg) if season is not None else None
        if season is None or yearly is None:
            return None
        stages, kc = yearly
        start = stages.start.value + (0 if self.latitude_deg >= 0.0 else _YEAR // 2)
        return tuple(
            self._off if (known := kc_of_day(stages.lengths.value, kc, (day - start) % _YEAR + 1)) is None
            else self._factor(known, kc[1])
            for day in range(1, _YEAR + 1)
        )

    @cached_property
    def _course(self) -> tuple[float, ...] | None:
        """The plant factor from the day of planting on, of plants that are full grown in one season."""
        season = self._season
        if self.planted is None or season is None or season.first is None:
            return None
        stages, sourced = season.first
        lengths, kc = stages.lengths.value, sourced.value
        grows = lengths[0] + lengths[1] if self._sized else 0   # what the crown tells, Kc does not tell again
        course = [
            self._factor(kc[1] if number <= grows else kc_of_day(lengths, kc, number) or kc[2], self._mid)
            for number in range(1, stages.days + 1)
        ]
        if season.yearly is None:
            course += [self._factor(kc[2], self._mid)] * AFTER_HARVEST_DAYS
        return tuple(course)

    @cached_property
    def _sized(self) -> bool:
        """Whether plants that are full grown in one season grow to their size: where a size at planting is stated."""
        return self.planted_canopy_m2 is not None or self.planted_root_mm is not None

    def factors(self, first: date, last: date) -> list[float]:
        """The plant factor of each day first..last."""
        days = (last - first).days + 1
        if days <= 0:
            return []
        made = self._yearly(first, days)
        course, planted = self._course, self.planted
        if course is None or planted is None:
            return made
        offset = (first - planted).days
        annual = self._year is None
        for number in range(days):
            age = offset + number
            if 0 <= age < len(course):
                made[number] = course[age]
            elif annual:
                made[number] = self._off
        return made

    def _yearly(self, first: date, days: int) -> list[float]:
        year = self._year
        if year is None:
            return [self.adult.plant_factor] * days
        made: list[float] = []
        start = first
        while len(made) < days:
            begin = start.toordinal() - date(start.year, 1, 1).toordinal()
            length = 366 if start.year % 4 == 0 and (start.year % 100 or start.year % 400 == 0) else 365
            made.extend(year[begin:min(length, begin + days - len(made))])
            start = date(start.year + 1, 1, 1)
        return made

    def on(self, day: date) -> BasinSpec:
        """The basin as it is on a local day."""
        known = self._days.get(day)
        if known is None:
            size = self.size_on(day)
            factor = self.factors(day, day)[0]
            known = self._days[day] = size if factor == size.plant_factor else replace(size, plant_factor=factor)
        return known

    @cached_property
    def _days(self) -> dict[date, BasinSpec]:
        return {}

    def size_on(self, day: date) -> BasinSpec:
        """The basin with its plants as large as they are on a day, the plant factor that of mid-season."""
        return self.adult if self.planted is None else _size(self, _step(self.planted, day))

    def parts(self, first: date, last: date) -> Iterator[tuple[BasinSpec, date, date]]:
        """The days first..last in parts in which the plants' size stays the same; the plant factor does not."""
        if self.planted is None:
            yield self.adult, first, last
            return
        while first <= last:
            step = _step(self.planted, first)
            size = _size(self, step)
            if size is self.adult:
                yield size, first, last
                return
            end = min(last, self.planted + timedelta(days=(step + 1) * STEP_DAYS - 1))
            yield size, first, end
            first = end + _ONE

    def fixed_at(self, day: date) -> Growth:
        """The same with the plants' size of one day, as if they had been so for ever; the seasons go on."""
        if self.planted is None:
            return self
        return replace(self, adult=replace(self.on(day), plant_factor=self.adult.plant_factor), planted=None)

    def young_on(self, day: date) -> bool:
        """Whether roots or crown have not reached their full size on `day`."""
        return self.size_on(day) is not self.adult

    def root_depth_on(self, day: date) -> float:
        """How deep the roots reach on `day` [mm]."""
        share = self.on(day).taw_mm / self.adult.taw_mm if self.adult.taw_mm > 0.0 else 1.0
        return self.root_depth_mm * share

    def roots_across_on(self, day: date) -> float:
        """How far the roots reach across on `day`, as a circle [m]."""
        spec = self.on(day)
        return 2.0 * math.sqrt(max(spec.wetted_m2 * spec.share, spec.canopy_m2) / math.pi)


def _step(planted: date, day: date) -> int:
    return max(0, (day - planted).days // STEP_DAYS)


@lru_cache(maxsize=1024)
def _size(growth: Growth, step: int) -> BasinSpec:
    """The basin when its plants were planted `step` times STEP_DAYS ago; `growth.adult` itself once grown up."""
    adult, season = growth.adult, growth._season
    if season is not None and season.first is not None:
        if not growth._sized:
            return adult
        ini, dev, _, _ = season.first[0].lengths.value
        return _by_season(growth, min(1.0, step * STEP_DAYS / (ini + dev)))
    years = max(0.0, step * STEP_DAYS / 365.25 - BALL_YEARS)
    crown, depth = _at_planting(growth)
    radius = math.sqrt(crown / math.pi)
    roots = math.pi * (radius + ROOTS_M_PER_YEAR * years) ** 2
    canopy = math.pi * (radius + CANOPY_M_PER_YEAR * years) ** 2
    return _sized_spec(growth, canopy, roots, depth + 1000.0 * DEPTH_M_PER_YEAR * years)


def _at_planting(growth: Growth) -> tuple[float, float]:
    """Crown [m2] and depth of the root ball [mm] at planting; the ball is taken to be as wide as the crown."""
    crown = PLANTED_CANOPY_M2 if growth.planted_canopy_m2 is None else growth.planted_canopy_m2
    depth = PLANTED_ROOT_MM if growth.planted_root_mm is None else growth.planted_root_mm
    return min(crown, growth.adult.canopy_m2), min(depth, growth.root_depth_mm)


def _by_season(growth: Growth, grown: float) -> BasinSpec:
    """Full size at the end of the development stage, growing in a line, as FAO-56 annex 8 has it for root depth."""
    adult = growth.adult
    crown, depth = _at_planting(growth)
    full = max(adult.wetted_m2, adult.canopy_m2)
    return _sized_spec(growth, crown + (adult.canopy_m2 - crown) * grown, crown + (full - crown) * grown,
                       depth + (growth.root_depth_mm - depth) * grown)


def _sized_spec(growth: Growth, canopy: float, roots: float, depth_mm: float) -> BasinSpec:
    adult = growth.adult
    deep = min(1.0, depth_mm / growth.root_depth_mm) if growth.root_depth_mm > 0.0 else 1.0
    canopy, share = min(adult.canopy_m2, canopy), min(1.0, roots / adult.wetted_m2)
    if canopy >= adult.canopy_m2 and share >= 1.0 and deep >= 1.0:
        return adult
    return replace(adult, canopy_m2=canopy, share=share, taw_mm=adult.taw_mm * deep, raw_mm=adult.raw_mm * deep)


@lru_cache(maxsize=256)
def spec_of(basin: Basin) -> BasinSpec:
    """Return a basin's description in SI units, its plants grown up and in mid-season.

    TAW = available water of the texture (middle of FAO-56 table 19's range) x root depth. A texture that is
    not in the table gives way to the soil's default; a soil that is not, to the slowest of the code's six.
    """
    soil = SOILS.get(basin.soil, SLOWEST_SOIL)
    texture = TEXTURES.get(basin.texture) or TEXTURES[soil.default_texture.value]
    area, canopy = basin.area_cm2 / 1e4, basin.canopy_cm2 / 1e4
    taw = texture.available * basin.root_depth_mm
    return BasinSpec(
        name=basin.name,
        area_m2=area,
        canopy_m2=canopy,
        wetted_m2=wetted_area(area, canopy) if basin.wetted_cm2 is None else basin.wetted_cm2 / 1e4,
        mulch_mm=float(basin.mulch_mm),
        taw_mm=taw,
        raw_mm=raw_mm(basin.depletion_milli / 1000.0, taw),
        plant_factor=basin.plant_factor_milli / 1000.0,
        allowance_l_per_m2=soil.allowance_l_per_m2,
    )


@lru_cache(maxsize=256)
def growth_of(basin: Basin, latitude_deg: float) -> Growth:
    """Return how a described basin's plants go through the year and the years at a latitude [degrees]."""
    plant: Plant | None = find_plant(basin.plants)
    canopy, root = basin.planted_canopy_cm2, basin.planted_root_mm
    return Growth(
        spec_of(basin), None if plant is None else plant.name, latitude_deg, basin.ground_cover or "mulch",
        basin.planted, None if canopy is None else canopy / 1e4, None if root is None else float(root),
        float(basin.root_depth_mm),
    )
