"""What laundry water does to soil over the months: sodium against calcium, the salts that must be carried down.

Source of the formulas (reference/salinity): FAO Irrigation and Drainage Paper 29 rev. 1 (Ayers and Westcot 1985).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import datetime, timedelta
from itertools import chain

from gwlog.journal.facts import Product
from gwlog.reference.formulas import mg_per_me
from gwlog.reference.plants import Plant
from gwlog.reference.salinity import ME_PER_L_PER_DS_M, leaching_requirement
from gwlog.state import LoadRun
from gwlog.values import NamedTuple, dataclass
from gwlog.water.basin import LEACHING_SHARE

MOST_LEACHING = 0.30
"""Share beyond which more leaching is no answer but other products or plants are. Working assumption."""

LEDGER_YEAR = timedelta(days=365)


def known_sodium_mg(product: Product) -> int | None:
    """Return the sodium of one dose [mg]: as stated, else the least that its label allows; None: nobody has looked."""
    if product.sodium_mg is not None or not product.label:
        return product.sodium_mg
    from gwlog.water.dose import dose_of

    return round(dose_of(product).sodium_g.low * 1000)


@dataclass(frozen=True, slots=True)
class SodiumYear:
    """What one basin got in twelve months: graywater [L], known sodium [g]."""

    litres: float = 0.0
    sodium_g: float = 0.0

    @property
    def sodium_me_per_l(self) -> float:
        """Mean known sodium of the graywater [me/L]."""
        return 1000.0 * self.sodium_g / self.litres / mg_per_me("sodium") if self.litres else 0.0


class SodiumPart(NamedTuple):
    """What one basin got of one load: graywater [L], known sodium [g]."""

    at: datetime
    basin: str
    litres: float
    sodium_g: float


def sodium_parts(loads: Iterable[LoadRun], since: datetime, until: datetime) -> Iterator[SodiumPart]:
    """Yield what each basin got of each load after `since`, up to `until`; a divided load divides its sodium."""
    for load in loads:
        if not load.deliveries or not since < load.fact.happened_at <= until or load.litres <= 0.0:
            continue
        grams = sum(known_sodium_mg(product) or 0 for product in load.products) / 1000.0
        for delivery in load.deliveries:
            yield SodiumPart(load.fact.happened_at, delivery.basin, delivery.litres,
                             grams * delivery.litres / load.litres)


def sodium_ledger(loads: Iterable[LoadRun], now: datetime,
                  before: Iterable[SodiumPart] = ()) -> dict[str, SodiumYear]:
    """Return each basin's sodium of the twelve months up to `now`; a divided load divides its sodium.

    What nobody has looked up counts as nothing: the sum is what is known, not what there is. `before`: the parts of
    the loads before these.
    """
    litres: dict[str, float] = {}
    sodium: dict[str, float] = {}
    since = now - LEDGER_YEAR
    for one in chain((part for part in before if since < part.at <= now), sodium_parts(loads, since, now)):
        litres[one.basin] = litres.get(one.basin, 0.0) + one.litres
        sodium[one.basin] = sodium.get(one.basin, 0.0) + one.sodium_g
    return {name: SodiumYear(litres[name], sodium[name]) for name in litres}


def leaching_share_for(year: SodiumYear, plant: Plant | None, tap_ecw: float = 0.0) -> float:
    """Return the share of a load that may percolate: 0.15, more where the water's salt asks for it.

    The tap water's conductivity `tap_ecw` [dS/m] (0 where it is not known) and the known sodium (me/L over 10) give a
    least ECw; FAO-29's leaching requirement for the plant's threshold follows from it. The share is only ever raised,
    up to 0.30, and stays 0.15 for plants without a published threshold.
    """
    if plant is None or plant.salt_threshold is None or year.litres <= 0.0:
        return LEACHING_SHARE
    least_ecw = tap_ecw + year.sodium_me_per_l / ME_PER_L_PER_DS_M
    return min(MOST_LEACHING, max(LEACHING_SHARE, leaching_requirement(least_ecw, plant.salt_threshold.value)))
