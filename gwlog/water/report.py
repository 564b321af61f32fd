"""From the lines of a water report, each as it was written (“calcium_meq_l=2.4”), to the tap water."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import lru_cache

from gwlog.errors import BadInput
from gwlog.reference.formulas import mg_per_me
from gwlog.reference.water_units import CACO3, REPORT
from gwlog.water.tap import NOT_KNOWN, TapWater

ABSENT = "not known"
"""What a report's line may say instead of a number."""

NAMES = {"ec": "conductivity", "tds": "dissolved solids", "ph": "pH"}
UNIT_WORDS = {
    "mg_l": "mg/L", "ppm": "ppm", "meq_l": "meq/L", "mmol_l": "mmol/L", "gpg": "gpg", "dh": "°dH", "fh": "°fH",
    "clark": "°Clark", "mg_l_caco3": "mg/L as CaCO3", "ug_l": "µg/L", "ppb": "ppb", "ds_m": "dS/m", "ms_cm": "mS/cm",
    "us_cm": "µS/cm", "umho_cm": "µmho/cm", "ms_m": "mS/m",
}
"""Suffix of a key -> its unit as it is printed."""

_AMOUNT = re.compile(r"(\d+(?:[.,]\d+)?|[.,]\d+)\s*(.*)")


def spelling(word: str) -> tuple[str, float] | None:
    """Return what a key such as calcium_meq_l is about and its factor to the unit kept; None for no key at all."""
    for name, (units, _, _) in REPORT.items():
        if word == name and "" in units:
            return name, units[""]
        if word.startswith(f"{name}_") and (factor := units.get(word.removeprefix(f"{name}_"))) is not None:
            return name, factor
    return None


def spellings_of(name: str) -> tuple[str, ...]:
    """Every key by which a report may say one thing."""
    return tuple(f"{name}_{unit}" if unit else name for unit in REPORT[name][0])


def report_words(lines: Iterable[str]) -> list[str]:
    """Return the lines of a report as people write them: “calcium 48 mg/L”."""
    said = []
    for line in lines:
        key, _, value = line.partition("=")
        name = _about(key)
        said.append(f"{NAMES.get(name, name)} {amount(key, value)}")
    return said


def _about(key: str) -> str:
    """What a report's key is about: calcium_meq_l -> calcium; the key itself where it is none that is known."""
    return next((one for one in REPORT if key == one or key.startswith(f"{one}_")), key)


def amount(key: str, value: str) -> str:
    """Return the amount of a report's line with its unit: “48 mg/L”."""
    name = _about(key)
    unit = "" if value == ABSENT else UNIT_WORDS.get(key.removeprefix(name).removeprefix("_"), "")
    return f"{value} {unit}".rstrip()


def read_amount(name: str, words: str) -> tuple[str, float]:
    """Return the key and the number of an amount as people type it: calcium, “48 mg/l” -> calcium_mg_l, 48.

    Raises BadInput for an amount without a unit, with one that does not measure this, or out of range.
    """
    units, most, label = REPORT[name]
    match = _AMOUNT.fullmatch(words.strip())
    typed = {_plain(word): suffix for suffix, word in UNIT_WORDS.items() if suffix in units}
    known = ", ".join(UNIT_WORDS[suffix] for suffix in units if suffix)
    suffix = "" if match is not None and "" in units and not match[2] else \
        typed.get(_plain(match[2])) if match is not None else None
    if match is None or suffix is None:
        raise BadInput(f"The {label} “{words[:30]}” is not an amount with its unit; use {known or 'a number'}.")
    number = float(match[1].replace(",", "."))
    if number * units[suffix] > most:
        raise BadInput(f"The {label} “{words[:30]}” is out of range; use up to {most / units[suffix]:.4g} "
                       f"{UNIT_WORDS.get(suffix, '')}".rstrip() + ".")
    return (f"{name}_{suffix}" if suffix else name), number


def _plain(unit: str) -> str:
    return unit.casefold().replace("µ", "u").replace("μ", "u").replace("me/l", "meq/l").replace(" ", "")


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
