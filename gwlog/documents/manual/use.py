"""The manual's first pages: what to do at once, on every wash day, and with which loads."""

from __future__ import annotations

from collections.abc import Iterator

from gwlog.decisions.caution_words import wet_ground
from gwlog.documents import usual_loads
from gwlog.documents.manual import words
from gwlog.documents.manual.about import About
from gwlog.documents.render.blocks import (
    Blanks,
    Block,
    Column,
    Heading,
    PageBreak,
    Para,
    Points,
    Sourced,
    litres,
    table,
)
from gwlog.reference.as_built import CONTACTS, PLACES
from gwlog.reference.chemistry import SODIUM_TARGET_G
from gwlog.reference.source import citation, marked
from gwlog.text import listed

AT_HAND = (("valve", "The valve"), ("breaker", "The breaker of the machine"), ("shutoff", "The machine's water taps"))
TO_CALL = (("plumber", "Plumber"), ("owner", "Owner or manager"))


def emergency(about: About) -> Iterator[Block]:
    """What to do at once, what is within reach for it, and what to do for each trouble."""
    yield Heading(1, "In an emergency")
    yield Points(words.AT_ONCE, numbered=True)
    places, contacts = about.built(PLACES), about.built(CONTACTS)
    known = [(label, about.said(places[key])) for key, label in AT_HAND if key in places]
    known += [(label, about.said(contacts[key])) for key, label in TO_CALL if key in contacts]
    if known:
        yield table("at hand", (Column("", 1.2), Column("", 3.0)), known)
    if missing := tuple(f"{label} is" for key, label in AT_HAND[:2] if key not in places):
        yield Blanks(missing)
    yield Heading(2, "When something is wrong")
    yield table("trouble", (Column("what is seen", 1.4), Column("what to do", 4.0)), words.TROUBLE)


def wash_day(about: About) -> Iterator[Block]:
    """Every wash day: the steps, and the valve."""
    yield PageBreak()
    yield Heading(1, "How to operate it: every wash day")
    yield Points(words.wash_day(about.read.volume(about.home.garden.usual_load_l)), numbered=True)
    yield Heading(2, "The valve")
    yield Points(words.VALVE)


def loads(about: About) -> Iterator[Block]:
    """Which loads go where: the household's own, and every other."""
    yield Heading(1, "Which loads go where")
    yield table("loads", (
        Column("usual load", 1.2), Column("water", 0.7, "volume", True), Column("holds", 1.8),
        Column("goes to", 1.2), Column("why", 2.6)), [
        (one.name, litres(one.litres), one.holds, words.WAYS[one.way], one.why)
        for one in usual_loads.usual_load_ways(about.state)], "No usual load is described.")
    yield Heading(2, "Always to the sewer")
    yield Points((*usual_loads.ALWAYS_SEWER, wet_ground(about.profile, about.read, about.state)))
    yield Para(f"Better to the sewer: {listed(usual_loads.BETTER_SEWER)}.")


def how_much(about: About) -> Iterator[Block]:
    """How much a basin may get."""
    yield Heading(1, "How much a basin may get")
    least = about.read.length(about.profile.cover_mm.value)
    yield Points(words.how_much(least, "about 4 in" if about.system == "us" else "about 10 cm"))


def products(about: About) -> Iterator[Block]:
    """What is put in with a load."""
    def yes_no(value: bool | None) -> str:
        return "not known" if value is None else "yes" if value else "no"

    yield Heading(1, "Products")
    yield table("products", (
        Column("product", 1.6), Column("kind", 1.0), Column("form", 0.8), Column("chlorine bleach", 0.9),
        Column("borax", 0.8), Column("sodium a load", 1.0)), [
        (one.name, one.product_kind, one.form or "not known", yes_no(one.chlorine_bleach), yes_no(one.borax),
         "not known" if one.sodium_mg is None else f"{one.sodium_mg / 1000:g} g")
        for one in about.state.products.values() if one.active], "No product is described.")
    first, second, sodium, last = words.PRODUCTS
    yield Points((first, second, Sourced(sodium, marked(citation(SODIUM_TARGET_G))), last))


def quality(_about: About) -> Iterator[Block]:
    """How the quality of the water is kept."""
    yield Heading(1, "How the quality of the water is kept")
    yield Points(words.QUALITY)
