"""What is known about a load that somebody is about to run, and by which code and in which units it is judged."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from gwlog.decisions.expected import usual_litres
from gwlog.decisions.load_rules import LoadQuery
from gwlog.errors import UnknownName
from gwlog.journal.facts import Product, Site, UsualLoad
from gwlog.units import Reader

if TYPE_CHECKING:
    from gwlog.reference.codes import Profile
    from gwlog.state import State


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
    litres = usual_litres(state, name) if volume_l is None else volume_l
    return LoadQuery(name, litres, tuple(products), tuple(contents))


def _product(state: State, usual: UsualLoad, name: str) -> Product:
    known = state.products.get(name)
    return known or Product(happened_at=usual.happened_at, zone=usual.zone, name=name, product_kind="other")


def profile_of(state: State) -> Profile:
    """The household's code profile; the generic one where its own is not in the table."""
    return profile_at(state.site)


def profile_at(site: Site | None) -> Profile:
    """The code profile by which a dwelling as described is judged."""
    from gwlog.reference.codes import held_by

    return held_by(site)


def asked_cover(state: State) -> tuple[float, Reader, str]:
    """The least cover [mm], in which units it is told, and who asks for it."""
    profile = profile_of(state)
    return profile.cover_mm.value, reader_of(state), profile.asked_by(profile.cover_mm)


def reader_of(state: State) -> Reader:
    """Shows quantities in the household's units."""
    return Reader("metric" if state.site is not None and state.site.units == "metric" else "us")


def aim_of(state: State) -> str:
    """What the household wants of its water: “plants” or “garden”."""
    return state.site.aim if state.site is not None else "plants"
