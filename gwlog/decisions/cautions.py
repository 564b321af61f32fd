"""What a person should know although it does not divert the load: food, plants, products, sodium, small basins."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import timedelta
from typing import TYPE_CHECKING

from gwlog.decisions.ground import FROST_SOURCE, may_be_frozen
from gwlog.decisions.load_rules import (
    PRACTICE,
    SODIUM_SOURCE,
    SODIUM_TARGET_MG,
    WASHER_CODE,
    LoadQuery,
    Reason,
    is_unassessed,
    sodium_mg,
)
from gwlog.decisions.outlet_assignment import FOOD, SHUT_BY, STOP_BY, TOUCHES_FOOD, a_seen, not_allowed
from gwlog.decisions.query import reader_of
from gwlog.history import newest_first
from gwlog.text import capital, listed
from gwlog.units import Reader

if TYPE_CHECKING:
    from gwlog.state import State
    from gwlog.water.garden import BasinNow, Garden

SODIUM_DAYS = 28
"""Over how many days the sodium of the loads to the garden is averaged. Working assumption: four weeks."""

SAID_ELSEWHERE = frozenset((*SHUT_BY, *STOP_BY, "soaked ground", "frozen ground", "illness", "other"))


def load_warnings(query: LoadQuery) -> Iterator[Reason]:
    """What is not known about the load's products."""
    names = [f"“{product.name}”" for product in query.products if is_unassessed(product)]
    if names:
        yield Reason("product not assessed", None,
                     (f"The label of {names[0]} has not been checked. Check it" if len(names) == 1 else
                      f"The labels of {listed(names)} have not been checked. Check them")
                     + " for chlorine bleach, borax and sodium before this load goes to the garden.", PRACTICE,
                     "Describe the product in the setup: form, chlorine bleach, borax, sodium.")


def household_warnings(state: State, garden: Garden) -> Iterator[Reason]:
    """What the log says about the household as a whole."""
    if state.valve is None:
        yield Reason("valve unknown", None, "The log does not say where the valve stands; look before you start.",
                     PRACTICE, None)
    frost = may_be_frozen(state, garden.today, reader_of(state))
    if frost is not None:
        yield Reason("frost", None, frost, FROST_SOURCE, None)
    first = garden.today - timedelta(days=SODIUM_DAYS)
    total = count = 0
    for run in newest_first(state.loads, first):
        if run.day <= first:
            break
        if run.to_garden:
            total += sodium_mg(run.products)
            count += 1
    if count and total / count >= SODIUM_TARGET_MG:
        yield Reason("sodium of the last weeks", None,
                     f"The last four weeks brought {total / count / 1000:.0f} g of sodium a load to the garden; "
                     f"aim for less than {SODIUM_TARGET_MG / 1000:.0f} g.", SODIUM_SOURCE,
                     "Change to a liquid low in sodium, or send the powder loads to the sewer.")


def basin_warnings(
    state: State, garden: Garden, deliveries: Iterable[tuple[str, float]], read: Reader, *, aim: str,
) -> Iterator[Reason]:
    """What to know about the basins that would be watered. `deliveries`: basin and its litres."""
    from gwlog.reference.plants import find_plant
    from gwlog.reference.source import citation

    for name, litres in deliveries:
        basin = garden.basins.get(name)
        if basin is None:
            continue
        if basin.fact.edible in TOUCHES_FOOD:   # of a basin that was watered all the same
            yield Reason(FOOD, None, f"{not_allowed(basin.fact)}.",
                         f"{WASHER_CODE}s, limits of use (read in a copy)", "Move the outlet to another basin.")
        plant = find_plant(basin.fact.plants)
        if plant is not None and plant.acid_loving.value:
            yield Reason("acid-loving plants", None,
                         f"{basin.fact.plants} at {name} likes acid soil; wash water is alkaline.",
                         citation(plant.acid_loving), "Alternate with drinking water, or give this basin fewer loads.")
        if basin.spec.too_small_for(litres):
            yield Reason("small basin", None,
                         f"One load is more than the plants at {name} can use before they are dry again.",
                         "FAO-56, readily available water (read)",
                         "Enlarge the basin, or split the flow over two outlets.")
        yield from _seen(state, name)
        if aim == "garden" and (lost := percolates(basin, litres)) > 0.0:
            yield Reason("percolates", None, f"About {read.volume(lost)} of it will sink below the roots at {name}.",
                         "FAO-56 root-zone balance, eq. 88 (read)", None)


def _seen(state: State, basin: str) -> Iterator[Reason]:
    for seen in state.open_observations():
        if seen.basin == basin and seen.observed not in SAID_ELSEWHERE:
            yield Reason(seen.observed, None, f"{capital(a_seen(seen.observed))} at {basin} is not resolved.",
                         PRACTICE, None)


def percolates(basin: BasinNow, litres: float) -> float:
    """What a delivery brings beyond the deficit [L], the leaching share included."""
    return max(0.0, litres - basin.deficit_l)
