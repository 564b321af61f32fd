"""What a code profile is made of: conditions with what can evidence them, limits, cover, setbacks, upkeep.

Every figure is Sourced; a profile restates a code in short words and never replaces it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from gwlog.reference.cautions import ALWAYS, CAUTION_BY_ID, Caution
from gwlog.reference.source import Sourced, Sure, assumed
from gwlog.reference.upkeep import DEFAULT_UPKEEP, UpkeepDefault
from gwlog.units import LITRES_PER_GALLON, MM_PER_INCH

EVIDENCE: dict[str, str] = {
    "none": "nothing in a logbook can show it; somebody has to look or know",
    "valve": "turns of the valve, loads that needed the sewer, and the yearly throw of the valve",
    "basins": "the basins as described, and the loads delivered to them",
    "ponding": "monthly walks, and observations of ponding and runoff with how they ended",
    "cover": "measurements and top-ups of the mulch",
    "diapers": "loads with diapers, soiled or infectious laundry, and where they went",
    "hazardous": "loads with solvents, oil or pesticides, and where they went",
    "illness": "loads and observations of illness, and where the wash went meanwhile",
    "wet ground": "rain, soaked or frozen ground, and where the wash went meanwhile",
    "volume": "gallons sent to the garden per day, against the limit",
    "plant use": "gallons that percolated below the roots, against what the plants used",
    "season": "loads sent to the garden outside the growing season",
    "food": "what is planted in the basins, and what of it is eaten",
    "sodium": "sodium of the products used, per load",
    "softener": "whether the household's water is softened",
    "manual": "the operation and maintenance manual, made from this logbook, and its handover",
    "record": "the yearly record, and when it was made",
}
"""What in a logbook can evidence a condition: keyword -> in words."""


@dataclass(frozen=True, slots=True, eq=False)
class Condition:
    """One condition of a code, in our own short words. `evidence` is a keyword of EVIDENCE."""

    id: str
    text: str
    evidence: str
    source: str
    edition: str
    sure: Sure


GENERIC_COVER_IN = 2.0
GENERIC_COVER = assumed(
    GENERIC_COVER_IN * MM_PER_INCH, "the code names mulch or burial but no depth; the 2 in common elsewhere")
GENERIC_LAUNDRY = assumed(15.0, "California's figure, the code states none")
GENERIC_SEASON = assumed((4, 5, 6, 7, 8, 9, 10), "April to October; the code says growing season")


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Profile:
    """One code.

    `limit_gal_per_day`, or `limit_gal_per_occupant` where it grows with the dwelling [gal/day]; `cover_mm`
    the least cover [mm]; `storage_h` the longest storage [h], 0 for none at all, None where not stated;
    `laundry_gpcd` the discharge expected per occupant [gal/day], `laundry_gpcd_efficient` with a
    water-saving machine; `setbacks_ft` [ft] from each thing to the basin; `season_months` months of use.
    """

    id: str
    place: str
    document: str
    edition: str
    sure: Sure
    limit_gal_per_day: Sourced[float] | None = None
    limit_below: bool = False
    limit_gal_per_occupant: Sourced[float] | None = None
    cover_mm: Sourced[float] = GENERIC_COVER
    storage_h: Sourced[float] | None = None
    laundry_gpcd: Sourced[float] = GENERIC_LAUNDRY
    laundry_gpcd_efficient: Sourced[float] | None = None
    conditions: tuple[Condition, ...] = ()
    setbacks_ft: Mapping[str, Sourced[float]] = field(default_factory=dict)
    season_only: bool = False
    season_months: Sourced[tuple[int, ...]] | None = None
    upkeep: tuple[UpkeepDefault, ...] = DEFAULT_UPKEEP
    cautions: tuple[Caution, ...] = tuple(CAUTION_BY_ID[name] for name in ALWAYS)

    def daily_limit_gal(self, occupants: int) -> float | None:
        """The most that may go to the garden per day [gal], or None where the code sets no number.

        With `limit_below` the day's water must stay below it, else it may reach it.
        """
        if self.limit_gal_per_day is not None:
            return self.limit_gal_per_day.value
        if self.limit_gal_per_occupant is not None:
            return self.limit_gal_per_occupant.value * occupants
        return None

    def daily_limit_l(self, occupants: int) -> float | None:
        """The same [L/day]."""
        gallons = self.daily_limit_gal(occupants)
        return None if gallons is None else gallons * LITRES_PER_GALLON

    def in_season(self, month: int) -> bool:
        """Whether graywater may go to the garden in that month (1 = January)."""
        return not self.season_only or self.season_months is None or month in self.season_months.value


def inches(depth: float, source: str, edition: str, sure: Sure) -> Sourced[float]:
    """A depth given in inches, as millimetres."""
    return Sourced(depth * MM_PER_INCH, source, edition, sure)


def also(*names: str) -> tuple[Caution, ...]:
    """The cautions every profile shows, then these, by id."""
    return tuple(CAUTION_BY_ID[name] for name in dict.fromkeys((*ALWAYS, *names)))
