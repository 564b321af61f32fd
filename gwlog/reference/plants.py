"""Plants: how much of the reference evapotranspiration they use, how deep they root, what they do not bear.

Food plants take the mid-season crop coefficient of FAO-56, for which the landscape classes are not meant.
"""

from __future__ import annotations

import re
from functools import lru_cache

from gwlog.reference.plant_rows import GENERIC, ROWS, Plant
from gwlog.reference.source import Sourced

S623 = "ANSI/ASABE S623, plant factors"
WUCOLS = "WUCOLS, water use classes of landscape species"

PLANT_FACTOR_CLASSES: dict[str, Sourced[float]] = {
    name: Sourced(factor, S623, "", "memory")
    for name, factor in (
        ("cool-season turf", 0.8),
        ("warm-season turf", 0.6),
        ("annual flowers", 0.8),
        ("woody plants and perennials, humid climate", 0.7),
        ("woody plants and perennials, arid climate", 0.5),
        ("desert plants", 0.3),
    )
}
"""Share of the reference evapotranspiration that a landscape keeps its looks with, by class of planting."""


WATER_USE_CLASSES: dict[str, Sourced[tuple[float, float]]] = {
    name: Sourced(span, WUCOLS, "", "memory")
    for name, span in (
        ("very low", (0.0, 0.1)), ("low", (0.1, 0.3)), ("moderate", (0.4, 0.6)), ("high", (0.7, 0.9)),
    )
}
"""The plant factors that each class of water use spans."""

PLANTS: dict[str, Plant] = {plant.name: plant for plant in ROWS}
"""The plants by name, the specific ones first, then the generic ones (tree, shrub ...)."""


def find_plant(text: str) -> Plant | None:
    """Return the plant that a description means, or None: “Pomegranate tree” -> pomegranate.

    Case, plurals and the words around do not matter. The longest name found wins, a specific one before
    a generic one; the first in the text where that leaves two.
    """
    words = tuple(_singular(word) for word in re.findall(r"[^\W\d_]+", text.casefold()))
    best: Plant | None = None
    best_rank: tuple[bool, int, int, int] | None = None
    for name_words, plant in _names():
        size = len(name_words)
        for start in range(len(words) - size + 1):
            if words[start:start + size] == name_words:
                rank = (plant.name not in GENERIC, size, sum(map(len, name_words)), -start)
                if best_rank is None or rank > best_rank:
                    best, best_rank = plant, rank
                break
    return best


@lru_cache(maxsize=1)
def _names() -> tuple[tuple[tuple[str, ...], Plant], ...]:
    return tuple(
        (tuple(_singular(word) for word in re.findall(r"[^\W\d_]+", name.casefold())), plant)
        for plant in ROWS
        for name in (plant.name, *plant.other_names)
    )


def _singular(word: str) -> str:
    if len(word) > 4 and word.endswith("ies"):
        return word[:-3] + "y"
    if len(word) > 4 and word.endswith(("oes", "shes", "ches", "sses")):
        return word[:-2]
    if len(word) > 3 and word.endswith("s") and not word.endswith(("ss", "us")):
        return word[:-1]
    return word


__all__ = ["PLANTS", "PLANT_FACTOR_CLASSES", "WATER_USE_CLASSES", "Plant", "find_plant"]
