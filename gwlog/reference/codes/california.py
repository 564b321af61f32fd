"""California: the clothes-washer system that needs no permit while its twelve conditions are kept.

For one- and two-family dwellings, a clothes washer alone, the existing plumbing uncut.
"""

from __future__ import annotations

from gwlog.reference.codes.common import (
    CALIFORNIA_SETBACKS_FT,
    CPC,
    CPC_EDITION,
    contact,
    diapers,
    hazardous,
    no_ponding,
    on_the_lot,
)
from gwlog.reference.codes.profile import Condition, Profile, also, inches
from gwlog.reference.source import Sourced, Sure

WASHER = f"{CPC}, clothes-washer system"


def _condition(name: str, text: str, evidence: str, sure: Sure) -> Condition:
    return Condition(name, text, evidence, WASHER, CPC_EDITION, sure)


CALIFORNIA_WASHER = Profile(
    id="us-ca-washer",
    place="California",
    document=WASHER,
    edition=CPC_EDITION,
    sure="memory",
    cover_mm=inches(2, WASHER, CPC_EDITION, "read"),
    storage_h=Sourced(0.0, WASHER, CPC_EDITION, "read"),
    laundry_gpcd=Sourced(15.0, f"{CPC}, 1503.8.1", CPC_EDITION, "read"),
    setbacks_ft=CALIFORNIA_SETBACKS_FT,
    conditions=(
        _condition("notice", "The agency is told beforehand, where it asks for notice.", "none", "read"),
        _condition("valve", "A labelled valve within easy reach turns the water to the sewer or the garden.",
                   "valve", "read"),
        _condition("untouched",
                   "No joint with drinking water, no pump but the washer's own, nothing structural or "
                   "electrical changed.", "none", "read"),
        on_the_lot(WASHER, CPC_EDITION),
        _condition("field", "The water goes to an irrigation or disposal field; a mulch basin is one.",
                   "basins", "memory"),
        no_ponding(WASHER, CPC_EDITION),
        _condition("cover", "It comes out under at least 2 in of mulch, rock or soil, or a solid shield.",
                   "cover", "read"),
        contact(WASHER, CPC_EDITION),
        diapers(WASHER, CPC_EDITION),
        hazardous(WASHER, CPC_EDITION),
        _condition("other rules", "No other law, code or ordinance is set aside.", "none", "memory"),
        _condition("manual",
                   "A manual of operation and maintenance stays with the building, and a new owner or "
                   "tenant is told of the system.", "manual", "memory"),
    ),
    cautions=also("no spray", "no storage", "labels", "air vent"),
)

MANUAL_HOLDS: Sourced[tuple[str, ...]] = Sourced((
    "a diagram with the places of the parts",
    "how to operate and maintain the system",
    "how the quality of the water is kept",
    "how to shut the system down",
    "the intervals of inspection",
    "whom to call",
), CPC, CPC_EDITION, "memory")
"""What the manual of operation and maintenance has to hold."""

BATH_GPCD = Sourced(25.0, f"{CPC}, 1503.8.1: showers, tubs and basins", CPC_EDITION, "read")
FIRST_BEDROOM_OCCUPANTS = Sourced(2, f"{CPC}, 1503.8.1", CPC_EDITION, "read")
FURTHER_BEDROOM_OCCUPANTS = Sourced(1, f"{CPC}, 1503.8.1", CPC_EDITION, "read")


def occupants_by_bedrooms(bedrooms: int) -> int:
    """Return the occupants the code expects: two for the first bedroom, one for each further one."""
    if bedrooms < 1:
        return 0
    return FIRST_BEDROOM_OCCUPANTS.value + FURTHER_BEDROOM_OCCUPANTS.value * (bedrooms - 1)


def laundry_discharge_gal(occupants: int) -> float:
    """Return the laundry water the code expects [gal/day]."""
    return CALIFORNIA_WASHER.laundry_gpcd.value * occupants
