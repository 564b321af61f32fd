"""The first description of a household put together from few words: its place, basins, loads and detergents.

Both ways of asking, the screens' pages and the command's questions, fill the tables of a site file by it.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from gwlog import text
from gwlog.errors import BadInput
from gwlog.setup.areas import EXAMPLES, area_m2
from gwlog.setup.draft import Draft, Table, empty, names
from gwlog.setup.guesses import site_of
from gwlog.setup.place import Place
from gwlog.setup.unsaid import Unsaid, contents_of, of_basin, of_wash
from gwlog.units import M2_PER_FT2, System

PEOPLE = 2
"""People in a household where nobody said how many. Working assumption."""

USUAL_SOIL, USUAL_WASHER, USUAL_OUTLET, USUAL_LOAD = "sandy loam", "front-load", "Hose", "towels"
USUAL_MULCH = {"us": "4 in", "metric": "100 mm"}
"""What is offered where nothing is known. Working assumptions; told before anything is written."""

_BASIN = re.compile(r"(\D*?)[\s:=,]+((?:\d|\.\d).*)")


def of_place(place: Place) -> Draft:
    """A draft that holds what follows from a place."""
    draft = empty()
    draft["site"] = [{**site_of(place), "occupants": PEOPLE}]
    return draft


def system_of(draft: Draft) -> System:
    """The household's units as the draft has them."""
    return "metric" if draft["site"] and draft["site"][0].get("units") == "metric" else "us"


def listed_names(words: str, what: str) -> list[str]:
    """Names with commas between, each once. Raises BadInput."""
    found: dict[str, str] = {}
    for part in words.split(","):
        if part.strip():
            name = text.clean_name(part, f"{what}'s name")
            if not any(sign.isalpha() for sign in name):
                raise BadInput(f"“{name[:20]}” is no {what}'s name; a name has a letter, like towels.")
            found.setdefault(name.casefold(), name)
    return list(found.values())


def described(draft: Draft, kind: str, named: Sequence[str]) -> list[Table]:
    """The tables of these things: those that are described already, and new ones with what their names tell."""
    known = {str(table.get("name", "")).casefold(): table for table in draft[kind]}
    made: list[Table] = []
    products = names(draft, "product")
    for name in named:
        new: Table = {"name": name}
        if kind == "product":
            new["kind"] = "detergent"
        else:
            if products:
                new["products"] = list(products)
            if (contents := contents_of(name)) is not None:
                new["contents"] = [contents]
        table = {**known.get(name.casefold(), new), "name": name}
        if kind == "usual_load" and "products" in table:
            table["products"] = [one for one in table["products"] if one in products]
        elif kind == "usual_load" and products:
            table["products"] = list(products)
        made.append(table)
    return made


def named_by(plants: str, known: Sequence[str]) -> str:
    """What a basin is called by its plants: “Fig”, and “Fig 2” where there is one of that name already."""
    first = name = plants[:1].upper() + plants[1:]
    taken, count = {one.casefold() for one in known}, 2
    while name.casefold() in taken:
        name, count = f"{first} {count}", count + 1
    return name


def basin_of(words: str, draft: Draft) -> Table:
    """A basin said in one go, like “fig 4x6 ft” or “rose: 12 square feet”. Raises BadInput."""
    system = system_of(draft)
    match = _BASIN.fullmatch(text.one_line(words))
    if match is None or not match[1].strip():
        raise BadInput(f"“{words[:40]}” must say what grows in the basin and how large it is, like "
                       f"“fig {EXAMPLES[system].split('“')[1].split('”')[0]}”.")
    plants = text.clean_name(match[1], "plants")
    return basin_table(named_by(plants, names(draft, "basin")), area_m2(match[2], system, low=0.05, high=1000.0),
                       plants, system)


def basin_table(name: str, area: float, plants: str, system: System) -> Table:
    """A basin's table with what is offered where nothing is known; `area` [m2]."""
    key, size = ("area_ft2", area / M2_PER_FT2) if system == "us" else ("area_m2", area)
    mulch: Table = {"mulch_in": 4} if system == "us" else {"mulch_mm": 100}
    return {"name": name, key: round(size, 3), **mulch, "soil": USUAL_SOIL, "plants": plants}


def taken_of_basin(table: Table, system: System) -> list[str]:
    """What nobody said of a basin that was said in one go."""
    return of_basin(table, [f"mulch depth {USUAL_MULCH[system]}", f"soil {USUAL_SOIL}"])


def in_few_words(place: Place, basins: Sequence[str], loads: Sequence[str]) -> tuple[Draft, Unsaid]:
    """A whole household from a place, basins in one go each and the loads' names; and what nobody said of it.

    One outlet reaches every basin and is at the first. Raises BadInput.
    """
    draft = of_place(place)
    if not draft["site"][0]["climate"] or not place.zone:
        raise BadInput(f"No climate and time zone are known for {place.label}: write a town or a US ZIP code.",
                       hint="The questions ask for what is missing: gwlog begin, in a terminal.")
    taken: dict[tuple[str, str], list[str]] = {
        ("site", ""): [f"units, time zone, code profile, climate guessed from {place.label}", f"{PEOPLE} people"]}
    for words in basins:
        table = basin_of(words, draft)
        draft["basin"].append(table)
        taken["basin", str(table["name"])] = taken_of_basin(table, system_of(draft))
    draft["washer"] = [{"name": "washer", "kind": USUAL_WASHER}]
    draft["usual_load"] = described(draft, "usual_load", listed_names(",".join(loads) or USUAL_LOAD, "load"))
    draft["outlet"] = [{"name": USUAL_OUTLET, "at": draft["basin"][0]["name"]}]
    taken |= of_wash(draft["washer"][0], draft["usual_load"])
    taken["washer", "washer"].insert(0, f"kind {USUAL_WASHER}")
    taken["outlet", USUAL_OUTLET] = [f"is now at {draft['basin'][0]['name']}"]
    return draft, taken
