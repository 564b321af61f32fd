"""Leaching that is owed, in words: how long the plants can bear it, and what would settle it."""

from __future__ import annotations

import math
from datetime import date
from typing import TYPE_CHECKING

from gwlog.units import Reader

if TYPE_CHECKING:
    from gwlog.water.garden import BasinNow
    from gwlog.water.leaching import Owed
    from gwlog.water.weather import Sky

LONG_RAIN_MM = 60.0
"""Rain of some days that people would call long. Working assumption."""

PAID_SHARE = 0.9
"""A flush counts as the one that was asked for from this share of it on: people bring round amounts."""

NO_REPORT = "The tap water is not known: what the water report says belongs in the setup."


def outlook(basin: BasinNow, today: date, read: Reader, sky: Sky) -> str:
    """How long a basin's plants can bear the salt, and what would settle it, in a sentence or two."""
    stands = basin.owed
    if stands is None:
        return f"{basin.name}: {NO_REPORT}"
    who = f"{basin.fact.plants} at {basin.name}"
    if stands.passes is None:
        if all(trend.per_year is None for trend in stands.trends):
            return f"{who} can bear the salt so far; two months of days tell where it goes."
        return f"{who} can bear the salt, as things go."
    trend, day = stands.passes
    bears = f"{trend.what} ({trend.now:.1f} of {trend.limit.value:g})"
    left = span_words((day - today).days)
    if day > today and stands.by is None:
        return f"{who} can bear the {bears} for {left} more, as things go."
    first = f"{who} can bear no more {bears}." if day <= today else \
        f"{who} can bear the {bears} for {left} more."
    return f"{first} {settle(basin, stands, read, sky)}"


def settle(basin: BasinNow, stands: Owed, read: Reader, sky: Sky) -> str:
    """What would settle a leaching that is owed."""
    from gwlog.water.leaching import usual_rain_pays

    if paid_today(basin, stands):
        return "What sank below the roots today settles it: the soil is calculated by whole days, so from tomorrow on."
    if not stands.helps:
        return "Water alone does not settle it: other products, or other plants."
    if usual_rain_pays(stands, basin.ledger, basin.growth, sky):
        return "The usual rain until then settles it."
    mm = stands.litres / max(basin.wetted_m2 * basin.spec.share, 0.01)
    rain = "One long rain would settle it" if mm <= LONG_RAIN_MM else f"It takes {read.rain(mm)} of rain"
    flush, pours = flush_litres(basin, stands), goes_of(basin, stands)
    goes = f", in {pours} goes on as many days" if pours > 1 else ""
    return f"{rain}; else {read.volume(stands.litres)} below the roots: full loads, or a flush of " \
           f"{read.volume(flush)} of drinking water{goes}."


def paid_today(basin: BasinNow, stands: Owed) -> bool:
    """Whether the day's water so far carries down what is owed; the soil's salts are reckoned at the day's end."""
    return stands.helps and stands.litres > 0.0 and basin.ledger.surplus_today_l >= PAID_SHARE * stands.litres


def flush_litres(basin: BasinNow, stands: Owed) -> float:
    """Water to bring so that what is owed percolates [L]: the root zone fills first, and young roots get a share."""
    return (stands.litres + basin.deficit_l) / basin.spec.share if basin.spec.share > 0.0 else stands.litres


def goes_of(basin: BasinNow, stands: Owed) -> int:
    """In how many goes, a day apart, a flush is brought so that none is more than the basin may get."""
    return max(1, math.ceil(flush_litres(basin, stands) / max(1.0, min(basin.surge_room_l, basin.allowance_l_per_day))))


def span_words(days: int) -> str:
    """A stretch of days as people say it."""
    if days < 45:
        return f"{days} days" if days > 1 else "a day"
    return f"{round(days / 30.4)} months" if days < 700 else f"{round(days / 365)} years"
