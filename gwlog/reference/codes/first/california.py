"""California as first held: the clothes-washer system that needs no permit while its twelve conditions are kept.

For one- and two-family dwellings, a clothes washer alone, the existing plumbing uncut.
"""

from __future__ import annotations

from gwlog.reference.codes.first.common import (
    CALIFORNIA_SETBACKS_FT,
    CPC,
    CPC_EDITION,
    contact,
    diapers,
    hazardous,
    no_ponding,
    on_the_lot,
)
from gwlog.reference.codes.profile import Condition, Profile, also
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
        Condition("cover", "It comes out under at least 2 in of mulch, rock or soil, or a solid shield.", "cover",
                  WASHER, CPC_EDITION, "read", value=2.0, unit="in"),
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
