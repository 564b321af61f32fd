"""The manual's chapters on how the system was built: what it is, the drawings, places, parts, distances."""

from __future__ import annotations

from collections.abc import Iterator

from gwlog.decisions.setbacks import setbacks
from gwlog.documents.drawings.plan import plan_view, sheet_to_sketch_on
from gwlog.documents.drawings.system import schematics
from gwlog.documents.manual import words
from gwlog.documents.manual.about import About, cited
from gwlog.documents.render.blocks import (
    Amount,
    Blanks,
    Block,
    Cell,
    Column,
    Heading,
    PageBreak,
    Para,
    Points,
    litres,
    table,
)
from gwlog.reference.as_built import PLACES
from gwlog.units import MM_PER_FOOT, distance
from gwlog.water.growth import spec_of

STANDING = {"kept": "kept", "nearer": "NEARER than the code asks", "not measured": "not measured yet",
            "not asked": "not asked by this code"}
PENCIL = "________"


def what_it_is(_about: About) -> Iterator[Block]:
    """What this system is."""
    yield PageBreak()
    yield Heading(1, "What this system is")
    yield Points(words.WHAT)


def places(about: About) -> Iterator[Block]:
    """The drawing, where each part is, and the basins from above."""
    yield Heading(1, "The parts and their places")
    yield from schematics(about.state)
    said = about.built(PLACES)
    yield Heading(2, "Where to find them")
    known = [(label, about.said(said[key])) for key, label in words.PARTS if key in said]
    if known:
        yield table("places", (Column("", 1.4), Column("", 3.0)), known)
    yield Blanks(tuple(label for key, label in words.PARTS if key not in said))
    yield Heading(2, "The basins from above")
    if (plan := plan_view(about.state)) is not None:
        yield plan
    else:
        yield Para("The setup does not say where the basins are. Sketch house, street, valve, line and basins here:")
        yield sheet_to_sketch_on()


def parts(about: About) -> Iterator[Block]:
    """Machines, outlets and basins with their figures."""
    state, read = about.state, about.read
    yield Heading(2, "Machines, outlets and basins")
    yield table("washers", (
        Column("washing machine", 1.5), Column("kind", 1.5), Column("water of a run", 1.0)), [
        (one.name, one.machine.replace("-", " "), read.volume(one.volume_ml / 1000))
        for one in state.washers.values() if one.active], "No washing machine is described.")
    yield table("outlets", (Column("outlet", 1.2), Column("is at now", 1.2), Column("share of a load", 0.8),
                            Column("can reach", 3.0)), [
        (name, state.outlet_at[name].basin, f"{state.shares()[name] * 100:.0f} %", ", ".join(state.reach(name)))
        for name in state.active_outlets()], "No outlet is described.")
    rows: list[tuple[Cell, ...]] = []
    for name, basin in state.active_basins().items():
        spec = spec_of(basin)
        rows.append((name, basin.plants, basin.soil, Amount(spec.area_m2, "area"), litres(spec.allowance_l),
                     litres(spec.surge_room_l), Amount(spec.mulch_mm, "length"), basin.edible))
    yield table("basins", (
        Column("basin", 1.2), Column("plants", 1.2), Column("soil", 1.4), Column("area", 0.6, "area", True),
        Column("soil limit per day", 0.9, "volume", True), Column("mulch holds at once", 0.9, "volume", True),
        Column("mulch at start", 0.7, "length", True), Column("edible parts", 0.9)), rows, "No basin is described.")


def distances(about: About) -> Iterator[Block]:
    """The distances as built beside those that the code asks for."""
    rows: list[tuple[Cell, ...]] = []
    for one in setbacks(about.site, about.profile):
        asked: Cell = "—" if one.asked is None else cited(distance(one.asked.value * MM_PER_FOOT, about.system),
                                                         one.asked)
        built = PENCIL if one.built_mm is None else distance(one.built_mm, about.system)
        rows.append((one.name, asked, built, STANDING[one.standing]))
    yield Heading(1, "Distances from the basins, as built")
    yield table("setbacks", (Column("from the edge of a basin to", 1.8), Column("at least", 0.8),
                             Column("as built", 0.8), Column("", 1.8)), rows, "None is held here.")
