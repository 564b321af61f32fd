"""The cautions that the rules act on, in the words of the rules: what a caution forbids, no answer advises.

Wet ground: ground, by rain and by what was seen. Odour and sick plants: outlet_assignment, STOP_BY. A product
that nobody has assessed is a warning everywhere and diverts nothing: load_warnings.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from gwlog.decisions.ground import DIVERT_WHILE_RAINING, DRIZZLE_MM, SOAKING_RAIN_MM

if TYPE_CHECKING:
    from gwlog.reference.cautions import Caution
    from gwlog.reference.codes import Profile
    from gwlog.units import Reader


def caution_text(caution: Caution, profile: Profile, read: Reader) -> str:
    """A caution's sentence as the rules of this household have it."""
    if caution.id == "wet ground":
        return wet_ground(profile, read)
    if caution.id == "odour":
        return "Stop where the ground smells or plants sicken, and find out why: until that is resolved, no load " \
               "goes there."
    return caution.value


def other_water_caution(way: str) -> str | None:
    """What to mind when drinking water is led to a basin by hose or pipe; None where it is carried there."""
    if way == "can":
        return None
    if way == "drip":
        return "A drip line on drinking water is never joined to the graywater pipe, not even through a valve."
    return "Lay the drinking-water hose down at the basin by hand; it is never joined to the graywater pipe, not " \
           "even through a valve."


def wet_ground(profile: Profile, read: Reader) -> str:
    """From how much rain on the wash goes to the sewer, under this code."""
    shut = "or the ground is soaked or frozen, the wash goes to the sewer."
    if profile.id in DIVERT_WHILE_RAINING:
        return f"When more than {read.rain(DRIZZLE_MM)} of rain falls in a day, {shut}"
    return f"When {read.rain(SOAKING_RAIN_MM)} of rain has fallen since yesterday, {shut}"
