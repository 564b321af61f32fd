"""What one dose of a product brings: by its label, by the sodium that was stated, else by what its kind usually holds.

A product that nobody has looked at is not a product without salt: it brings what its kind usually brings, from..to.
"""

from __future__ import annotations

from functools import lru_cache

from gwlog.errors import BadInput
from gwlog.journal.facts import Product
from gwlog.reference.formulas import mg_per_me
from gwlog.reference.ingredients import Content, find_ingredient
from gwlog.reference.labels import brought, read_label
from gwlog.reference.source import Sourced, assumed
from gwlog.span import NOTHING, Span, hull, only
from gwlog.values import NamedTuple

USUAL_DOSE_G: dict[str, Sourced[Span]] = {
    "powder": assumed(Span(40.0, 100.0), "one dose of washing powder, compact to ordinary"),
    "liquid": assumed(Span(30.0, 70.0), "one dose of liquid"),
    "bleach": assumed(Span(60.0, 120.0), "a quarter to half a cup"),
    "booster": assumed(Span(30.0, 60.0), "two to four spoons"),
}
"""One dose [g], where nobody has weighed it."""

USUAL_SODIUM: dict[str, Sourced[Span]] = {
    "powder": Sourced(Span(0.10, 0.21), "the reference powders of ISO 105-C08 and AATCC, computed from their recipes",
                      "2010", "read"),
    "liquid": Sourced(Span(0.01, 0.03), "handbooks of the detergent trade", "", "memory"),
}
"""Share of sodium in a detergent of a form."""

USUAL_ALKALINITY: dict[str, Sourced[Span]] = {
    "powder": Sourced(Span(2.2, 5.7), "carbonate of 12 to 30 % in powders, computed", "", "memory"),
    "liquid": assumed(Span(0.1, 0.8), "soap and citrate of liquids"),
}
"""Acid that a gram of a detergent of a form takes up [me/g]."""

USUAL_BORAX = Sourced(0.03, "handbooks of the detergent trade: borax of 0 to 3 % in liquids", "", "memory")
USUAL_BLEACH = Sourced(Span(0.0525, 0.0825), "household bleach, by its strength on the bottle", "", "common practice")
_SODIUM_ME_PER_G = 1000.0 / mg_per_me("sodium")


class Dose(NamedTuple):
    """What one dose brings [mmol, me, mg], and the products or lines of a label that are not known."""

    content: Content
    not_known: tuple[str, ...]

    @property
    def sodium_g(self) -> Span:
        """Sodium [g], without what a zeolite would give."""
        return self.content.sodium.times(mg_per_me("sodium") / 1000.0)


def dose_of(product: Product) -> Dose:
    """Return what one dose of a product brings."""
    return _dose(product.name, product.product_kind, product.form, product.chlorine_bleach, product.borax,
                 product.sodium_mg, product.label, product.dose_mg)


def together(products: tuple[Product, ...]) -> Dose:
    """Return what one dose of each product brings together."""
    content, not_known = Content(), []
    for product in products:
        dose = dose_of(product)
        content = content.plus(dose.content)
        not_known += list(dose.not_known)
    return Dose(content, tuple(dict.fromkeys(not_known)))


@lru_cache(maxsize=256)
def _dose(
    name: str, kind: str, form: str | None, chlorine: bool | None, borax: bool | None, sodium_mg: int | None,
    label: tuple[str, ...] | None, dose_mg: int | None,
) -> Dose:
    grams = only(dose_mg / 1000.0) if dose_mg is not None else _usual_dose(kind, form)
    read = None
    if label:
        try:
            read = brought(read_label(label), grams)
        except BadInput:
            read = None  # a later gwlog reads more kinds of lines
    if read is not None:
        content, not_known = read.content, tuple(f"“{line}” of {name}" for line in read.not_known)
        if dose_mg is None:
            not_known = (*not_known, f"the weight of a dose of {name}")
    else:
        content, not_known = _usual(kind, form, chlorine, borax, grams), (f"what {name} is made of",)
    if sodium_mg is not None:
        sodium = only(sodium_mg / 1000.0 * _SODIUM_ME_PER_G)
        if read is None:
            # the alkalis of laundry are sodium's: no more of them than of it
            content = content._replace(alkalinity=content.alkalinity.within(0.0, sodium.high))
            not_known = (f"the boron of {name}",) if borax is None else ()
        content = content._replace(sodium=sodium, exchange=NOTHING)
    if borax is False:
        content = content._replace(boron=NOTHING)
    return Dose(content, not_known)


def _usual_dose(kind: str, form: str | None) -> Span:
    if kind in ("bleach", "booster"):
        return USUAL_DOSE_G[kind].value
    forms = (form,) if form in USUAL_DOSE_G else ("powder", "liquid")
    return hull(*(USUAL_DOSE_G[one].value for one in forms if one is not None))


def _usual(kind: str, form: str | None, chlorine: bool | None, borax: bool | None, grams: Span) -> Content:
    """What products of a kind usually bring, nobody having read this one's label."""
    if kind == "bleach" and chlorine is not False:
        return _of("sodium hypochlorite").times(grams.times(USUAL_BLEACH.value))
    if kind == "booster":
        if borax:
            return _of("borax").times(grams)
        usual = (_of("washing soda"), _of("sodium percarbonate"), _of("borax"))
        return Content(*(hull(*each) for each in zip(*usual, strict=True))).times(grams)
    if kind in ("softener", "disinfectant"):
        return Content(sodium=Span(0.0, 0.005 * _SODIUM_ME_PER_G)).times(grams)
    forms = (form,) if form in USUAL_SODIUM else ("powder", "liquid")
    sodium = hull(*(USUAL_SODIUM[one].value for one in forms if one is not None)).times(_SODIUM_ME_PER_G)
    alkalinity = hull(*(USUAL_ALKALINITY[one].value for one in forms if one is not None))
    most = _of("borax").boron.high * USUAL_BORAX.value
    return Content(sodium=sodium, alkalinity=alkalinity,
                   boron=Span(0.1 * most if borax else 0.0, most)).times(grams)


def _of(name: str) -> Content:
    found = find_ingredient(name)
    assert found is not None
    return found.content
