"""The ten profiles as they were first held: logbooks that name no edition keep them until a newer one is taken.

Left as they were, mistakes included; what is wrong with them is put right in the editions since.
"""

from __future__ import annotations

from gwlog.reference.codes.first.california import CALIFORNIA_WASHER
from gwlog.reference.codes.first.elsewhere import GENERIC, WESTERN_AUSTRALIA
from gwlog.reference.codes.first.states import (
    ARIZONA,
    COLORADO,
    NEW_MEXICO,
    OREGON,
    TEXAS,
    UTAH_PROFILE,
    WASHINGTON,
)
from gwlog.reference.codes.profile import Profile

FIRST_PROFILES: dict[str, Profile] = {
    profile.id: profile
    for profile in (
        CALIFORNIA_WASHER, ARIZONA, NEW_MEXICO, TEXAS, WASHINGTON, OREGON, COLORADO, UTAH_PROFILE,
        WESTERN_AUSTRALIA, GENERIC,
    )
}
