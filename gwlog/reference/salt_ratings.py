"""How much salt in the soil a plant bears: the published threshold, else its rating, else what sensitive ones bear."""

from __future__ import annotations

from typing import Literal

from gwlog.reference.plant_rows import FAO_23, Plant
from gwlog.reference.source import Sourced, assumed

Rating = Literal["sensitive", "moderately sensitive", "moderately tolerant", "tolerant"]

MAAS_RATED = "rated by Maas and Grattan, in FAO Irrigation and Drainage Paper 61, annex 1"
ORNAMENTALS = "ornamentals after Maas, in FAO Irrigation and Drainage Paper 61, table A1.3"

LEAST_OF_RATING: dict[str, Sourced[float]] = {
    "sensitive": assumed(1.0, "the least threshold published; sensitive plants lie below 1.3 dS/m"),
    "moderately sensitive": Sourced(1.3, "FAO Irrigation and Drainage Paper 29 rev. 1, figure 10", "1985", "memory"),
    "moderately tolerant": Sourced(3.0, "FAO Irrigation and Drainage Paper 29 rev. 1, figure 10", "1985", "memory"),
    "tolerant": Sourced(6.0, "FAO Irrigation and Drainage Paper 29 rev. 1, figure 10", "1985", "memory"),
}
"""The least ECe [dS/m] that the plants of a rating bear."""

RATINGS: dict[str, Sourced[Rating]] = {
    **{name: Sourced("sensitive", FAO_23, "1998", "read")
       for name in ("apple", "cherry", "lemon", "lime", "mandarin", "citrus", "stone fruit")},
    **{name: Sourced("sensitive", MAAS_RATED, "1999", "memory") for name in ("pear", "persimmon", "loquat")},
    "banana": Sourced("moderately sensitive", FAO_23, "1998", "read"),
    "conifer": Sourced("moderately sensitive", FAO_23, "1998", "read"),
    "parsnip": Sourced("sensitive", FAO_23, "1998", "read"),
    "artichoke": Sourced("moderately tolerant", FAO_23, "1998", "read"),
    "palm": Sourced("tolerant", FAO_23, "1998", "read"),
}
"""Plants without a threshold of their own that a table rates."""

FURTHER_THRESHOLDS: dict[str, Sourced[float]] = {
    "garlic": Sourced(3.9, MAAS_RATED, "1999", "memory"),
    "cool-season turf": Sourced(3.9, f"{FAO_23}, fescue", "1998", "read"),
    "warm-season turf": Sourced(6.9, f"{FAO_23}, bermudagrass", "1998", "read"),
    "rose": Sourced(1.5, f"{ORNAMENTALS}, the middle of 1-2", "1999", "memory"),
    "feijoa": Sourced(1.5, f"{ORNAMENTALS}, the middle of 1-2", "1999", "memory"),
}
"""Thresholds ECe [dS/m] from other tables than the plants' own; for ornamentals the ECe without loss of looks."""

UNRATED = assumed(1.3, "what sensitive plants bear, for a plant that no table rates")


def salt_limit(plant: Plant | None) -> Sourced[float]:
    """Return the ECe [dS/m] above which a plant suffers, with its source; the careful one where nothing is known."""
    if plant is None:
        return UNRATED
    if plant.salt_threshold is not None:
        return plant.salt_threshold
    further = FURTHER_THRESHOLDS.get(plant.name)
    if further is not None:
        return further
    rating = RATINGS.get(plant.name)
    if rating is None:
        return UNRATED
    least = LEAST_OF_RATING[rating.value]
    return Sourced(least.value, f"{rating.source}: {rating.value}", rating.edition, least.sure)
