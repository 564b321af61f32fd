"""What a load's own water says against it: salt, sodium ratio, boron, at this load's volume. It only warns.

Boron that products bring is told even where the tap water's own is not known: it is that much at least.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from gwlog.decisions.load_rules import LoadQuery, Reason
from gwlog.span import Span, written

if TYPE_CHECKING:
    from gwlog.state import State
    from gwlog.water.garden import Garden
    from gwlog.water.load_water import LoadWater

TABLE_1 = "FAO-29 rev. 1, table 1 (read)"
MEND = "See what would change it: a liquid for the powder, one dose for two, or more water."


def water_of(state: State, query: LoadQuery) -> LoadWater:
    """Return what this load's water holds, with the household's tap water."""
    from gwlog.water.load_water import load_water
    from gwlog.water.soil_salt import tap_of

    return load_water(tap_of(state), query.products, query.volume_l)


def told(state: State, query: LoadQuery) -> LoadWater | None:
    """What this load's water holds; None without a report of the tap water, for whom nothing is loaded then."""
    return water_of(state, query) if any(site.tap_water for site in state.sites) else None


def salt_warnings(garden: Garden, water: LoadWater, basins: Iterable[str]) -> Iterator[Reason]:
    """What to know of a load's water, by itself and for the plants that would get it."""
    from gwlog.reference.chemistry import THRESHOLDS, infiltration_hazard

    ratio, ecw = water.worst_sar, water.ecw
    if ratio is not None and ecw is not None:
        hazard = infiltration_hazard(ratio.middle, ecw.middle)
        if hazard == "severe" or THRESHOLDS["sodium, surface irrigation"].judge(ratio.middle) == "severe":
            yield Reason("sodium ratio", None,
                         f"This load's water has a sodium ratio (SAR) of {written(ratio)} at {written(ecw, 2)} dS/m: "
                         "it closes soil, and harms woody plants.", TABLE_1, MEND)
    if ecw is not None and THRESHOLDS["salinity"].judge(ecw.middle) == "severe":
        yield Reason("salt", None, f"This load's water is salty: {written(ecw, 2)} dS/m.", TABLE_1, MEND)
    yield from _boron(garden, water, basins)


def _boron(garden: Garden, water: LoadWater, basins: Iterable[str]) -> Iterator[Reason]:
    from gwlog.reference.chemistry import THRESHOLDS
    from gwlog.reference.plants import find_plant
    from gwlog.reference.source import citation

    boron = water.boron if water.boron is not None else water.boron_mg.times(1.0 / water.litres)
    at_least = "" if water.boron is not None else "at least "
    sensitive = []
    for name in basins:
        plant = find_plant(garden.basins[name].fact.plants) if name in garden.basins else None
        if plant is not None and plant.boron_range is not None and _passes(boron, plant.boron_range.value[1]):
            sensitive.append((name, plant, plant.boron_range))
    for name, plant, limit in sensitive:
        yield Reason("boron", None,
                     f"This load's water contains {at_least}{written(boron)} mg/L of boron; {plant.name} at {name} "
                     f"bears {limit.value[1]:g}.", citation(limit), "Send it to the sewer, or leave the borax out.")
    if not sensitive and _passes(boron, THRESHOLDS["boron"].severe.value):
        yield Reason("boron", None, f"This load's water contains {at_least}{written(boron)} mg/L of boron, which harms "
                     "most plants.", TABLE_1, "Send it to the sewer, or leave the borax out.")


def _passes(boron: Span, limit: float) -> bool:
    """Whether boron is known to pass a limit: an unread label alone proves nothing."""
    return boron.low > limit
