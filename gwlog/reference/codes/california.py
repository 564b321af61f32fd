"""California's figures beside its profile: what a manual holds, and the occupants and flow a dwelling is sized for."""

from __future__ import annotations

from gwlog.reference.codes.distances import CPC
from gwlog.reference.source import Sourced

_EDITION = "2019, 2022"
_CLAUSE = f"{CPC}, 1503.8.1 (1502 in 2016)"

MANUAL_HOLDS: Sourced[tuple[str, ...]] = Sourced((
    "a diagram with the places of the parts",
    "how to operate and maintain the system",
    "how the quality of the water is kept",
    "how to shut the system down",
    "the intervals of inspection",
    "whom to call",
), CPC, "chapter 16 in 2013, 15 since 2016", "memory")
"""What the manual of operation and maintenance has to hold."""

LAUNDRY_GPCD = Sourced(15.0, _CLAUSE, _EDITION, "read")
BATH_GPCD = Sourced(25.0, f"{_CLAUSE}: showers, tubs and basins", _EDITION, "read")
FIRST_BEDROOM_OCCUPANTS = Sourced(2, _CLAUSE, _EDITION, "read")
FURTHER_BEDROOM_OCCUPANTS = Sourced(1, _CLAUSE, _EDITION, "read")


def occupants_by_bedrooms(bedrooms: int) -> int:
    """Return the occupants the code expects: two for the first bedroom, one for each further one."""
    if bedrooms < 1:
        return 0
    return FIRST_BEDROOM_OCCUPANTS.value + FURTHER_BEDROOM_OCCUPANTS.value * (bedrooms - 1)


def laundry_discharge_gal(occupants: int) -> float:
    """Return the laundry water the code expects [gal/day]."""
    return LAUNDRY_GPCD.value * occupants
