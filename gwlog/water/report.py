"""From the lines of a water report, each as it was written (“calcium_meq_l=2.4”), to the tap water."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from gwlog.reference.formulas import mg_per_me
from gwlog.reference.water_units import CACO3, REPORT
from gwlog.water.tap import NOT_KNOWN, TapWater

ABSENT = "not known"
"""What a report's line may say instead of a number."""


def spelling(word: str) -> tuple[str, float] | None:
    """Return what a key such as calcium_meq_l is about and its factor to the unit kept; None for no key at all."""
    for name, (units, _, _) in REPORT.items():
        if word == name and "" in units:
            return name, units[""]
        if word.startswith(f"{name}_") and (factor := units.get(word.removeprefix(f"{name}_"))) is not None:
            return name, factor
    return None


def spellings() -> tuple[str, ...]:
    """Every key that a report's line may have."""
    return tuple(f"{name}_{unit}" if unit else name for name, (units, _, _) in REPORT.items() for unit in units)


@lru_cache(maxsize=16)
def tap_water(lines: tuple[str, ...] | None, softened: bool = False) -> TapWater:
    """Return the tap water of a report's lines, softened or not; NOT_KNOWN without a report.

    A line that says “not known”, or that a later gwlog understands, says nothing.
    """
    if not lines:
        return TapWater(softened=True) if softened else NOT_KNOWN
    kept = dict(_kept(lines))

    def me(name: str, weight: float) -> float | None:
        return kept[name] / weight if name in kept else None

    alkalinity = me("alkalinity", CACO3)
    return TapWater(
        ec=kept.get("ec"), tds=kept.get("tds"), calcium=me("calcium", mg_per_me("calcium")),
        magnesium=me("magnesium", mg_per_me("magnesium")), sodium=me("sodium", mg_per_me("sodium")),
        hardness=me("hardness", CACO3),
        alkalinity=me("bicarbonate", mg_per_me("bicarbonate")) if alkalinity is None else alkalinity,
        chloride=me("chloride", mg_per_me("chloride")), sulfate=me("sulfate", mg_per_me("sulfate")),
        boron=kept.get("boron"), ph=kept.get("ph"), softened=softened,
    )


def _kept(lines: Iterable[str]) -> Iterable[tuple[str, float]]:
    for line in lines:
        key, _, value = line.partition("=")
        found = spelling(key.strip())
        try:
            number = float(value)
        except ValueError:
            continue
        if found is not None:
            yield found[0], number * found[1]
