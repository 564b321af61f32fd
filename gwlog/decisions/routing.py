"""Where a load goes, and why: the rules' reasons and the outlets' places put together into one verdict.

Pure: the state, the garden as it stands, what is in the load, and `now`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Literal

from gwlog.clock import local_day
from gwlog.decisions.cautions import basin_warnings, household_warnings, load_warnings, percolates
from gwlog.decisions.garden_rules import GARDEN_RULES, Case
from gwlog.decisions.load_rules import LOAD_RULES, LoadQuery, Reason, Strength, load_reasons, strongest_first
from gwlog.decisions.outlet_assignment import Arrangement, Placing, closures, place
from gwlog.errors import UnknownName
from gwlog.journal.facts import Product, UsualLoad
from gwlog.units import Reader

if TYPE_CHECKING:
    from gwlog.reference.codes import Profile
    from gwlog.state import State
    from gwlog.water.garden import Garden

GENERIC = "generic"
_OF_THE_LOAD = frozenset(rule.id for rule in LOAD_RULES) | {
    rule.id for rule in GARDEN_RULES if rule.about == "load"
}


@dataclass(frozen=True, slots=True)
class Verdict:
    """Where a load should go.

    `strength` None: the garden takes it. `moves`: outlets to move first, as (outlet, basin). `deliveries`:
    (outlet, basin, litres). `basin`, `outlet`: the moved outlet's, else the one with the largest share.
    `turn_valve`: how to turn it before the load, None when it stands right; `turn_back`: afterwards, to garden.
    `percolates_l`: what would sink below the roots.
    """

    verdict: Literal["garden", "sewer"]
    strength: Strength | None
    basin: str | None
    outlet: str | None
    move_first: bool
    moves: tuple[tuple[str, str], ...]
    deliveries: tuple[tuple[str, str, float], ...]
    turn_valve: Literal["garden", "sewer"] | None
    turn_back: bool
    volume_l: float
    reasons: tuple[Reason, ...]
    warnings: tuple[Reason, ...]
    percolates_l: float


def query_for(
    state: State,
    name: str | None,
    *,
    volume_l: float | None = None,
    extra_products: Sequence[Product] = (),
    extra_contents: Sequence[str] = (),
) -> LoadQuery:
    """Return what is known about a load: the usual load `name` (None: an unnamed one) and what differs today.

    Its water [L] is `volume_l`, else the usual load's, else its washer's. Raises UnknownName.
    """
    usual: UsualLoad | None = None
    if name is not None:
        usual = state.usual_loads.get(name)
        if usual is None:
            raise UnknownName("usual load", name, [n for n, load in state.usual_loads.items() if load.active])
    products = [_product(state, usual, product) for product in usual.products] if usual is not None else []
    contents = list(usual.contents) if usual is not None else []
    products += [product for product in extra_products if all(product.name != known.name for known in products)]
    contents += [what for what in extra_contents if what not in contents]
    litres = _usual_volume_l(state, usual) if volume_l is None else volume_l
    return LoadQuery(name, litres, tuple(products), tuple(contents))


def _product(state: State, usual: UsualLoad, name: str) -> Product:
    known = state.products.get(name)
    return known or Product(happened_at=usual.happened_at, zone=usual.zone, name=name, product_kind="other")


def _usual_volume_l(state: State, usual: UsualLoad | None) -> float:
    if usual is not None and usual.volume_ml is not None:
        return usual.volume_ml / 1000.0
    washer = state.washers.get(usual.washer) if usual is not None else None
    if washer is None:
        washer = next((machine for machine in state.washers.values() if machine.active), None)
    if washer is not None:
        return washer.volume_ml / 1000.0
    from gwlog.reference.laundry import washer_litres

    return washer_litres("front-load")


def profile_of(state: State) -> Profile:
    """The household's code profile; the generic one where its own is not in the table."""
    return profile_named(state.site.code if state.site is not None else GENERIC)


def profile_named(code: str) -> Profile:
    """The code profile of that id; the generic one where there is none."""
    from gwlog.reference.codes import PROFILES

    return PROFILES.get(code) or PROFILES[GENERIC]


def reader_of(state: State) -> Reader:
    """Shows quantities in the household's units."""
    return Reader("metric" if state.site is not None and state.site.units == "metric" else "us")


def verdict(state: State, garden: Garden, query: LoadQuery, now: datetime) -> Verdict:
    """Return where the load `query` should go when it runs at `now`, with the garden as `garden` gives it.

    All rules that apply are among the reasons, the strongest first. A basin that is closed, resting, out of
    reach, or passes a hard limit is never proposed.
    """
    read, profile = reader_of(state), profile_of(state)
    aim = state.site.aim if state.site is not None else "plants"
    closed = closures(state, garden, profile.cover_mm.value, read)
    placing = place(state, garden, query.volume_l, closed, read, root_zone_binds=aim != "garden")
    case = Case(state, garden, query, read, profile, placing, local_day(now, state.zone))
    reasons = list(load_reasons(query))
    reasons += [reason for rule in GARDEN_RULES if (reason := rule.reason(case)) is not None]
    warnings = [*load_warnings(query), *household_warnings(state, garden)]
    diverting = strongest_first(reasons)
    watered = placing.chosen or placing.best
    if watered is not None and not any(reason.strength == "must" for reason in diverting):
        warnings += basin_warnings(state, garden, watered.litres, read, aim=aim)
    if diverting or placing.chosen is None:
        return _to_sewer(state, query, diverting, tuple(warnings))
    return _to_garden(state, garden, query, placing, placing.chosen, read, tuple(warnings))


def _to_sewer(state: State, query: LoadQuery, reasons: tuple[Reason, ...], warnings: tuple[Reason, ...]) -> Verdict:
    # On sewer already, the valve stays there unless it was only this load that had to go that way.
    turn_back = state.valve != "sewer" or all(reason.rule in _OF_THE_LOAD for reason in reasons)
    return Verdict(
        "sewer", reasons[0].strength, None, None, False, (), (), None if state.valve == "sewer" else "sewer",
        turn_back, query.volume_l, reasons, warnings, 0.0,
    )


def _to_garden(
    state: State, garden: Garden, query: LoadQuery, placing: Placing, chosen: Arrangement, read: Reader,
    warnings: tuple[Reason, ...],
) -> Verdict:
    shares = state.shares()
    places = dict(chosen.places)
    outlet = chosen.moves[0][0] if chosen.moves else max(shares, key=lambda name: shares[name])
    deliveries = tuple((name, places[name], query.volume_l * share) for name, share in shares.items())
    return Verdict(
        "garden", None, places[outlet], outlet, bool(chosen.moves), chosen.moves, deliveries,
        None if state.valve == "garden" else "garden", False, query.volume_l,
        _why(garden, placing, chosen, read), warnings,
        sum(percolates(garden.basins[name], litres) for name, litres in chosen.litres),
    )


def _why(garden: Garden, placing: Placing, chosen: Arrangement, read: Reader) -> tuple[Reason, ...]:
    """Why these basins: what hinders the present ones, else what room there is."""
    if chosen.moves:
        first = " and ".join(f"{outlet} to {basin}" for outlet, basin in chosen.moves)
        return tuple(Reason(one.rule, None, f"Move {first} first: {one.clause}.", "the basins as they stand now")
                     for one in placing.hindered)
    reasons = []
    for name, _ in chosen.litres:
        basin = garden.basins[name]
        wants = "wants water and " if basin.standing == "wants water" else ""
        reasons.append(Reason("room", None, f"{name} {wants}has room for {read.volume(basin.room_l)}.",
                              "FAO-56 root-zone balance and the code's soil table"))
    return tuple(reasons)


__all__ = ["LoadQuery", "Reason", "Verdict", "profile_of", "query_for", "reader_of", "verdict"]
