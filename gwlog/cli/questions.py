"""`gwlog begin` without a site file: the questions, one at a time, each with a default and its own check.

Where it is comes first, and what is guessed from it is shown and can be changed. The answers become a site file, so
that both ways of setting up go through the same reader.
"""

from __future__ import annotations

from functools import partial

import click

from gwlog import text, units
from gwlog.cli.asking import checked, one_of
from gwlog.cli.questions_of_place import ask_guesses, ask_needed, ask_place, unsaid_of_site
from gwlog.errors import BadInput
from gwlog.journal.facts import EDIBLE, VALVE, WASHER_KINDS
from gwlog.setup.areas import area_m2
from gwlog.setup.draft import Draft, Table, names
from gwlog.setup.first_draft import (
    USUAL_LOAD,
    USUAL_MULCH,
    USUAL_OUTLET,
    USUAL_SOIL,
    USUAL_WASHER,
    described,
    listed_names,
    named_by,
    of_place,
    system_of,
)
from gwlog.setup.unsaid import Unsaid, of_basin, of_wash
from gwlog.units import M2_PER_FT2, MM_PER_INCH, System

NOT_SAID = "not said"


def ask(where: str | None = None) -> tuple[Draft, Unsaid]:
    """Ask for a household; returns the tables of its site file, and what nobody said. `where`: the place, if known."""
    click.echo("A few questions; Enter accepts the answer in brackets. Ctrl-C stops without making anything.\n")
    place = ask_place(where)
    draft = of_place(place)
    said = ask_guesses(place, draft)
    taken: dict[tuple[str, str], list[str]] = {("site", ""): unsaid_of_site(place, draft, said)}
    ask_needed(draft, said)
    click.echo("\nBasins, one after the other; an empty area ends.")
    _basins(draft, taken)
    _outlet(draft)
    _wash(draft, taken)
    _valve(draft)
    return draft, taken


def _basins(draft: Draft, taken: dict[tuple[str, str], list[str]]) -> None:
    from gwlog.reference.plants import find_plant
    from gwlog.reference.soils import SOILS

    system = system_of(draft)
    while True:
        first = not draft["basin"]

        def area(typed: str, first: bool = first) -> float | None:
            if not typed.strip() and not first:
                return None
            return area_m2(typed, system, low=0.05, high=1000.0)

        size = checked("Area of the basin, like " + ("3x4 ft" if system == "us" else "2 m across") if first else
                        "Area of the next basin", None if first else "", area)
        if size is None:
            return
        plants = checked("  Plants, or not known", None, lambda typed: text.clean_name(typed, "plants"))
        if find_plant(plants) is None:
            click.echo("  Not in the table of plants: a woody plant of a dry climate is assumed (plant factor 0.5).")
        name = checked("  Its name", named_by(plants, names(draft, "basin")), partial(_new_name, draft))
        mulch = checked(f"  Depth of mulch [{units.unit_word('length', system)}]", USUAL_MULCH[system],
                         lambda typed: units.quantity(typed, "length", system, what="depth of mulch", high=1000.0))
        soil = one_of("  Soil", list(SOILS), USUAL_SOIL)
        canopy = checked("  Area of the plants' canopy, or Enter: as large as the basin", "",
                          lambda typed: area_m2(typed, system, what="canopy", high=10_000.0) if typed.strip() else None)
        edible = checked(f"  Food ({', '.join(EDIBLE)}), or Enter: as is usual for the plants", "",
                          lambda typed: text.pick("answer", typed, EDIBLE) if typed.strip() else None)
        table: Table = {"name": name, **_measured("area", size, system), "plants": plants, "soil": soil,
                        **({"mulch_in": round(mulch / MM_PER_INCH, 2)} if system == "us" else
                           {"mulch_mm": round(mulch)}),
                        **({} if canopy is None else _measured("canopy", canopy, system)),
                        **({} if edible is None else {"edible": edible})}
        draft["basin"].append(table)
        taken["basin", name] = of_basin(table, [])


def _measured(key: str, m2: float, system: System) -> Table:
    return {f"{key}_ft2": round(m2 / M2_PER_FT2, 3)} if system == "us" else {f"{key}_m2": round(m2, 4)}


def _new_name(draft: Draft, typed: str) -> str:
    name = text.clean_name(typed)
    if name.casefold() in [known.casefold() for known in names(draft, "basin")]:
        raise BadInput(f"“{name}” is described already.")
    return name


def _outlet(draft: Draft) -> None:
    name = checked("\nName of the hose end", USUAL_OUTLET, lambda typed: text.clean_name(typed))
    known = names(draft, "basin")
    at = known[0] if len(known) == 1 else one_of("It is now at", known, known[0])
    draft["outlet"] = [{"name": name, "at": at}]


def _wash(draft: Draft, taken: dict[tuple[str, str], list[str]]) -> None:
    system = system_of(draft)
    kind = one_of("\nWashing machine", list(WASHER_KINDS), USUAL_WASHER)
    volume = checked("Water of one run (measured with a bucket), or Enter for the kind's usual figure "
                      f"[{units.unit_word('volume', system)}]", "",
                      lambda typed: units.quantity(typed, "volume", system, what="volume", high=2000.0)
                      if typed.strip() else None)
    draft["washer"] = [{"name": "washer", "kind": kind, **({} if volume is None else {"volume_l": round(volume, 3)})}]
    detergents = checked("What goes in (like: plain liquid), or Enter: not known yet", "",
                          lambda typed: listed_names(typed, "product"))
    draft["product"] = described(draft, "product", detergents)
    draft["usual_load"] = described(draft, "usual_load", checked(
        "Usual loads, with commas between", USUAL_LOAD, _loads))
    for load in draft["usual_load"]:
        if load.get("contents"):
            click.echo(f"  “{load['name']}” is assumed to contain {load['contents'][0]}, by its name.")
    taken |= of_wash(draft["washer"][0], draft["usual_load"])


def _loads(typed: str) -> list[str]:
    found = listed_names(typed, "load")
    if not found:
        raise BadInput("At least one load is needed, like towels.")
    return found


def _valve(draft: Draft) -> None:
    """Where the valve points and whether the system is new: only what somebody says."""
    click.echo("\nStand at the valve.")
    points = one_of("Which way does it point now", [*VALVE, NOT_SAID], NOT_SAID)
    if points != NOT_SAID:
        draft["site"][0]["valve"] = points
    new = one_of("Is the system new, with no load run through it yet", ["yes", "no", NOT_SAID], NOT_SAID)
    if new != NOT_SAID:
        draft["system"] = [{"new": new == "yes", **(draft["system"][0] if draft["system"] else {})}]
