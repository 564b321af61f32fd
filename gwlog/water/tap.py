"""The household's tap water as a water report tells it, softened or not; what the report leaves out stays not known.

Kept in me/L for ions, dS/m, mg/L of boron; a figure that only follows from others within bounds is a span.
"""

from __future__ import annotations

from gwlog.reference.salinity import ME_PER_L_PER_DS_M, MG_PER_L_PER_DS_M_RANGE
from gwlog.reference.source import assumed
from gwlog.reference.water_units import CACO3, HARDNESS
from gwlog.span import Span, only
from gwlog.values import dataclass

SOFTENED_HARDNESS = assumed(HARDNESS["gpg"], "what a salt softener leaves: water below one grain is called soft")
"""Hardness that a salt softener leaves [mg/L as calcium carbonate]."""

MOST_OFF = 0.10
"""How far cations and anions of a report may lie apart, as a share of both (accepted in practice)."""


@dataclass(frozen=True, slots=True)
class TapWater:
    """Drinking water. None: the report does not say. `ec` [dS/m], ions and hardness [me/L], boron [mg/L].

    `softened`: it passes a salt softener before it reaches the machine and the garden hose.
    """

    ec: float | None = None
    tds: float | None = None
    calcium: float | None = None
    magnesium: float | None = None
    sodium: float | None = None
    hardness: float | None = None
    alkalinity: float | None = None
    chloride: float | None = None
    sulfate: float | None = None
    boron: float | None = None
    ph: float | None = None
    softened: bool = False

    @property
    def raw_hardness(self) -> float | None:
        """Calcium and magnesium before any softener [me/L]."""
        if self.calcium is not None and self.magnesium is not None:
            return self.calcium + self.magnesium
        return self.hardness

    @property
    def hard(self) -> float | None:
        """Calcium and magnesium of the water that is used [me/L]."""
        raw = self.raw_hardness
        return min(raw, _LEFT) if raw is not None and self.softened else raw

    @property
    def na(self) -> float | None:
        """Sodium of the water that is used [me/L]: a softener gives sodium for what it takes."""
        if self.sodium is None or not self.softened:
            return self.sodium
        raw, left = self.raw_hardness, self.hard
        return None if raw is None or left is None else self.sodium + raw - left

    @property
    def ca(self) -> Span | None:
        """Calcium of the water that is used [me/L], from half of the hardness to all of it where only that is known."""
        left = self.hard
        if left is None:
            return None if self.calcium is None or self.softened else only(self.calcium)
        raw = self.raw_hardness or 0.0
        if self.calcium is not None:
            return only(self.calcium * (left / raw if raw > 0.0 else 1.0))
        if self.magnesium is not None:
            return only(max(0.0, raw - self.magnesium) * (left / raw if raw > 0.0 else 1.0))
        return Span(left / 2.0, left)

    @property
    def ecw(self) -> Span | None:
        """Conductivity [dS/m]: measured, else from the ions, else from the dissolved solids."""
        if self.ec is not None:
            return only(self.ec)
        if self.sodium is not None and self.raw_hardness is not None:
            return only((self.sodium + self.raw_hardness) / ME_PER_L_PER_DS_M)
        if self.tds is not None:
            least, most = MG_PER_L_PER_DS_M_RANGE.value
            return Span(self.tds / most, self.tds / least)
        return None

    @property
    def missing(self) -> tuple[str, ...]:
        """What the report does not say and figures rest on, in words."""
        wanting = (
            ("its conductivity", self.ecw), ("its sodium", self.na), ("its calcium and magnesium", self.hard),
            ("its alkalinity", self.alkalinity), ("its boron", self.boron),
        )
        return tuple(words for words, value in wanting if value is None)


_LEFT = SOFTENED_HARDNESS.value / CACO3
NOT_KNOWN = TapWater()


def oddities(water: TapWater) -> list[str]:
    """Return what cannot be as the report says it, in sentences."""
    said = []
    if None not in (water.sodium, water.raw_hardness):
        cations = (water.sodium or 0.0) + (water.raw_hardness or 0.0)
        if water.alkalinity is not None and water.chloride is not None and water.sulfate is not None:
            anions = water.alkalinity + water.chloride + water.sulfate
            off = imbalance(cations, anions)
            if abs(off) > MOST_OFF:
                said.append(f"The report's cations ({cations:.1f} me/L) and anions ({anions:.1f} me/L) are "
                            f"{100 * abs(off):.0f} % apart; up to 10 % is usual.")
        if water.ec is not None and abs(imbalance(cations, ME_PER_L_PER_DS_M * water.ec)) > MOST_OFF:
            said.append(f"The report's cations add up to {cations:.1f} me/L, which is a conductivity of about "
                        f"{cations / ME_PER_L_PER_DS_M:.2f} dS/m; it says {water.ec:.2f}.")
    both = water.calcium is not None and water.magnesium is not None
    if both and water.hardness is not None and water.raw_hardness is not None \
            and abs(imbalance(water.raw_hardness, water.hardness)) > MOST_OFF:
        said.append(f"The report's calcium and magnesium make a hardness of {water.raw_hardness * CACO3:.0f} mg/L as "
                    f"calcium carbonate; it says {water.hardness * CACO3:.0f}.")
    return said


def imbalance(cations: float, anions: float) -> float:
    """Return how far cations and anions [me/L] lie apart, as a share of both."""
    return (cations - anions) / (cations + anions) if cations + anions > 0.0 else 0.0
