"""The water of one load as it reaches the garden: conductivity, sodium ratio, boron, at this load's volume.

Tap water and products make it. What is not known of either leaves a span, or nothing to tell at all.
"""

from __future__ import annotations

from math import sqrt
from typing import Any

from gwlog.journal.facts import Product
from gwlog.reference.formulas import molar_mass
from gwlog.reference.ingredients import Content
from gwlog.reference.salinity import ME_PER_L_PER_DS_M, dissolved_calcium
from gwlog.reference.water_units import CACO3
from gwlog.span import NOTHING, Span, only
from gwlog.values import NamedTuple
from gwlog.water.dose import together
from gwlog.water.tap import SOFTENED_HARDNESS, TapWater

LEAST_HARD = SOFTENED_HARDNESS.value / CACO3
"""Calcium and magnesium that a softener or a zeolite leaves in the water [me/L]."""

BORON_MG_PER_MMOL = molar_mass("B")


class Water(NamedTuple):
    """A water's salts per litre: cations, sodium, calcium with magnesium, the same by Cax [me/L]; boron [mg/L]."""

    cations: Span
    sodium: Span
    hard: Span
    hard_adjusted: Span
    boron: Span


class LoadWater(NamedTuple):
    """What one load's water holds. None: it rests on something of the tap water that is not known.

    `ecw` [dS/m]; `sar` and `sar_adjusted` without unit; `boron` [mg/L]; `sodium_g` and `boron_mg` of the products alone
    [g], [mg]. `not_known`: what the figures would need, in words.
    """

    litres: float
    ecw: Span | None
    sar: Span | None
    sar_adjusted: Span | None
    boron: Span | None
    sodium_g: Span
    boron_mg: Span
    not_known: tuple[str, ...]

    @property
    def worst_sar(self) -> Span | None:
        """The larger of the two sodium ratios, by which a soil is judged."""
        if self.sar is None or self.sar_adjusted is None:
            return self.sar
        return Span(max(self.sar.low, self.sar_adjusted.low), max(self.sar.high, self.sar_adjusted.high))

    def as_json(self) -> dict[str, Any]:
        """For programs: the middle of each span, and the spans."""
        parts = {"ecw_ds_m": self.ecw, "sar": self.sar, "sar_adjusted": self.sar_adjusted, "boron_mg_l": self.boron}
        return {
            **{name: None if span is None else round(span.middle, 3) for name, span in parts.items()},
            "ranges": {name: None if span is None else [round(end, 3) for end in span] for name, span in parts.items()},
            "not_known": list(self.not_known),
        }


def load_water(tap: TapWater, products: tuple[Product, ...], litres: float) -> LoadWater:
    """Return what a load of `litres` holds, washed with one dose of each of the products."""
    dose = together(products)
    content, sodium_g = dose.content, dose.sodium_g
    boron_added = content.boron.times(BORON_MG_PER_MMOL)
    missing = tuple(f"the tap water: {words}" for words in tap.missing)
    parts = mixed(tap, content, litres)
    sar = adjusted = None
    if parts is not None:
        sar, adjusted = parts.sar, parts.sar_adjusted
    ecw = None if tap.ecw is None else _raised(tap.ecw, content, litres)
    return LoadWater(
        litres, ecw, sar, adjusted,
        None if tap.boron is None else only(tap.boron).plus(boron_added.times(1.0 / litres)),
        sodium_g, boron_added, (*missing, *dose.not_known),
    )


class Mixed(NamedTuple):
    """Tap water and products in one litre [me/L]; `alkalinity` None: that of the tap water is not known."""

    sodium: Span
    hard: Span
    calcium: Span
    alkalinity: Span | None
    ecw: Span | None

    @property
    def sar(self) -> Span:
        """The sodium adsorption ratio."""
        return Span(self.sodium.low / sqrt(self.hard.high / 2.0), self.sodium.high / sqrt(self.hard.low / 2.0))

    @property
    def adjusted_hard(self) -> Span | None:
        """Calcium that stays dissolved near the surface (Cax), with magnesium; None where it cannot be told."""
        if self.alkalinity is None or self.ecw is None:
            return None
        ends = [
            dissolved_calcium(alkalinity, calcium, ecw) + max(0.0, hard - calcium)
            for alkalinity, ecw in zip(self.alkalinity, self.ecw, strict=True)
            for calcium, hard in zip(self.calcium, self.hard, strict=True)
        ]
        return Span(min(ends), max(ends))

    @property
    def sar_adjusted(self) -> Span | None:
        """The adjusted sodium ratio, adj RNa."""
        hard = self.adjusted_hard
        if hard is None or hard.low <= 0.0:
            return None
        return Span(self.sodium.low / sqrt(hard.high / 2.0), self.sodium.high / sqrt(hard.low / 2.0))


def mixed(tap: TapWater, content: Content, litres: float) -> Mixed | None:
    """Return the ions of tap water with a load's products in it; None where the tap water's are not known.

    A zeolite gives sodium for calcium and magnesium alike, as long as the water has more than a softener leaves.
    """
    if tap.na is None or tap.hard is None or tap.ca is None:
        return None
    per = 1.0 / litres
    hard_before = max(tap.hard, LEAST_HARD / 10.0)
    given = content.exchange.times(per).within(0.0, max(0.0, hard_before - LEAST_HARD))
    sodium = only(tap.na).plus(content.sodium.times(per)).plus(given)
    hard = only(hard_before).minus(given)
    share = Span(hard.low / hard_before, hard.high / hard_before)
    calcium = tap.ca.times(share)
    alkalinity = None if tap.alkalinity is None else only(tap.alkalinity).plus(content.alkalinity.times(per))
    return Mixed(sodium, hard, calcium, alkalinity, None if tap.ecw is None else _raised(tap.ecw, content, litres))


def _raised(ecw: Span, content: Content, litres: float) -> Span:
    """A water's conductivity with the products' sodium and potassium in it [dS/m]."""
    added = content.sodium.plus(content.potassium)
    return ecw.plus(added.times(1.0 / (litres * ME_PER_L_PER_DS_M)))


def tap_salts(tap: TapWater) -> Water | None:
    """Return the salts of the tap water itself; None where its conductivity is not known."""
    return load_salts(tap, Content(), 1.0)


def load_salts(tap: TapWater, content: Content, litres: float) -> Water | None:
    """Return the salts of a load's water per litre, for the ledger; None where the tap water is not known.

    Where its ions are not known, sodium and hardness stay nothing: the ledger then tells salt and no sodium ratio.
    """
    if tap.ecw is None:
        return None
    cations = _raised(tap.ecw, content, litres).times(ME_PER_L_PER_DS_M)
    boron = only(tap.boron or 0.0).plus(content.boron.times(BORON_MG_PER_MMOL / litres))
    parts = mixed(tap, content, litres)
    if parts is None:
        return Water(cations, NOTHING, NOTHING, NOTHING, boron)
    return Water(cations, parts.sodium, parts.hard, parts.adjusted_hard or parts.hard, boron)
