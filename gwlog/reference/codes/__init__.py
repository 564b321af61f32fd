"""The code profiles by id: what a household's local rules ask, as far as they are held here.

Beside everything taken from them stands “check your local code” (gwlog.reference.source.CHECK_LOCAL).
"""

from __future__ import annotations

from gwlog.reference.codes.california import (
    CALIFORNIA_WASHER,
    MANUAL_HOLDS,
    laundry_discharge_gal,
    occupants_by_bedrooms,
)
from gwlog.reference.codes.common import GROUNDWATER_BELOW_FT
from gwlog.reference.codes.elsewhere import GENERIC, WESTERN_AUSTRALIA
from gwlog.reference.codes.profile import EVIDENCE, Condition, Profile
from gwlog.reference.codes.states import (
    ARIZONA,
    COLORADO,
    NEW_MEXICO,
    OREGON,
    TEXAS,
    UTAH_PROFILE,
    WASHINGTON,
)
from gwlog.reference.upkeep import UpkeepDefault

PROFILES: dict[str, Profile] = {
    profile.id: profile
    for profile in (
        CALIFORNIA_WASHER, ARIZONA, NEW_MEXICO, TEXAS, WASHINGTON, OREGON, COLORADO, UTAH_PROFILE,
        WESTERN_AUSTRALIA, GENERIC,
    )
}

__all__ = [
    "EVIDENCE", "GROUNDWATER_BELOW_FT", "MANUAL_HOLDS", "PROFILES", "Condition", "Profile", "UpkeepDefault",
    "laundry_discharge_gal", "occupants_by_bedrooms",
]
