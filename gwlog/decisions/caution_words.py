"""The cautions that the rules act on, in the words of the rules: what a caution forbids, no answer advises.

Wet ground: ground, by rain and by what was seen. Odour and sick plants: outlet_assignment, STOP_BY. A product
that nobody has assessed is a warning everywhere and diverts nothing: load_warnings.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from gwlog.decisions.ground import DRIZZLE_MM, FREEZING_TMAX_C, FREEZING_TMIN_C, SOAKING_RAIN_MM
from gwlog.text import listed
from gwlog.units import show

if TYPE_CHECKING:
    from gwlog.reference.cautions import Caution
    from gwlog.reference.codes import Profile
    from gwlog.state import State
    from gwlog.units import Reader


def caution_text(caution: Caution, profile: Profile, read: Reader, state: State) -> str:
    """A caution's sentence as the rules of this household have it."""
    if caution.id == "wet ground":
        return wet_ground(profile, read, state)
    if caution.id == "odour":
        return "If the ground smells or plants look sick, no load goes there until you know why and that is resolved."
    return caution.value


def other_water_caution(way: str) -> str | None:
    """What to mind when drinking water is led to a basin by hose or pipe; None where it is carried there."""
    if way == "can":
        return None
    if way == "drip":
        return "A drip line on drinking water is never joined to the graywater pipe, not even through a valve."
    return "Lay the drinking-water hose down at the basin by hand; it is never joined to the graywater pipe, not " \
           "even through a valve."


def wet_ground(profile: Profile, read: Reader, state: State) -> str:
    """From how much rain on the wash goes to the sewer, under this code, and when the ground counts as frozen."""
    shut = f"or the ground is soaked or frozen, the wash goes to the sewer.{_frozen_ground(read, state)}"
    if profile.when_raining:
        return f"When more than {read.rain(DRIZZLE_MM)} of rain falls in a day, {shut}"
    return f"When {read.rain(SOAKING_RAIN_MM)} of rain has fallen since yesterday, {shut}"


def _frozen_ground(read: Reader, state: State) -> str:
    """When the ground counts as frozen, where the climate has a month below freezing; nothing elsewhere."""
    means = state.site.monthly_tmean_mdegc if state.site is not None else None
    if not means or min(means) >= 0:
        return ""
    from calendar import month_name

    from gwlog.water.frost import FROZEN_ABOVE, THAWED_BELOW

    months = listed([month_name[number] for number, mean in enumerate(means, 1) if mean < 0])
    return (f" It counts as frozen while somebody has seen it so, after a day that stays at "
            f"{show(FREEZING_TMAX_C, 'temperature', read.system)} or a night of "
            f"{show(FREEZING_TMIN_C, 'temperature', read.system)}, and while the frost index is above "
            f"{FROZEN_ABOVE:.0f}; from {THAWED_BELOW:.0f} on, and in {months} where no temperatures are imported, look "
            "first.")
