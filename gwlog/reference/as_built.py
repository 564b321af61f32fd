"""How a system was built, as the household states it: places of its parts, distances, whom to call, permit or notice.

The lines that are kept with the site, “places.valve=behind the machine”; distances in whole millimetres.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Literal

from gwlog.values import dataclass


@dataclass(frozen=True, slots=True)
class Stated:
    """One thing that can be stated: its table and key in the site file, what it is in words, and its kind."""

    table: str
    key: str
    words: str
    kind: Literal["text", "distance", "day", "choice"] = "text"
    choices: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """Its name in a line that is kept."""
        return f"{self.table}.{self.key}"


PLACES, SETBACKS, CONTACTS, PERMIT = "places", "setbacks", "contacts", "permit_or_notice"

DISTANCES = (
    "building", "property line", "water-supply well", "public water-supply well", "ungrouted water-supply well",
    "stream or lake", "ditch", "septic tank", "sewage disposal field", "seepage pit", "public water main",
    "domestic service line",
)
"""The names under which code profiles hold distances (profile.setbacks_ft); groundwater is asked with the system."""


def key_of(distance: str) -> str:
    """The site file's key of a distance: “water-supply well” is water_supply_well."""
    return distance.replace("-", "_").replace(" ", "_")


STATED: dict[str, Stated] = {one.name: one for one in (
    Stated(PLACES, "valve", "the diverter valve"),
    Stated(PLACES, "pipe", "the line: where it runs, how deep, through which walls"),
    Stated(PLACES, "vent", "the air vent"),
    Stated(PLACES, "clean_out", "the clean-out, or where the line is opened to be flushed"),
    Stated(PLACES, "drain", "where the sewer side of the valve ends"),
    Stated(PLACES, "shutoff", "the taps that shut the machine's water off"),
    Stated(PLACES, "breaker", "the breaker that switches the machine's outlet off"),
    *(Stated(SETBACKS, key_of(name), f"from the nearest basin's edge: {name}", "distance") for name in DISTANCES),
    Stated(CONTACTS, "installer", "who built the system: name and how to reach them"),
    Stated(CONTACTS, "installed", "the day on which it was finished", "day"),
    Stated(CONTACTS, "maker", "the maker of the machine or of the valve: model, number, how to reach them"),
    Stated(CONTACTS, "owner", "the owner or manager of the building"),
    Stated(CONTACTS, "plumber", "a licensed plumber"),
    Stated(CONTACTS, "agency", "the agency that looks after graywater"),
    Stated(CONTACTS, "water_utility", "the water utility"),
    Stated(PERMIT, "kind", "whether it is a permit or a notice", "choice", ("permit", "notice")),
    Stated(PERMIT, "number", "its number, or what it is filed under"),
    Stated(PERMIT, "office", "the office that gave it or was told"),
    Stated(PERMIT, "day", "its day", "day"),
)}
TABLES: dict[str, tuple[Stated, ...]] = {
    table: tuple(one for one in STATED.values() if one.table == table)
    for table in (PLACES, SETBACKS, CONTACTS, PERMIT)}


def line_of(table: str, key: str, value: str | int | date) -> str:
    """A statement as it is kept."""
    return f"{table}.{key}={value.isoformat() if isinstance(value, date) else value}"


def stated(lines: Iterable[str] | None) -> dict[str, str | int | date]:
    """The statements by name, as they are kept: words, distances [mm], days; what cannot be read is passed over."""
    found: dict[str, str | int | date] = {}
    for line in lines or ():
        name, _, value = line.partition("=")
        one = STATED.get(name)
        if one is None or not value:
            continue
        if one.kind == "distance":
            if value.isdecimal() and value.isascii() and len(value) < 9:
                found[name] = int(value)
        elif one.kind == "day":
            try:
                found[name] = date.fromisoformat(value)
            except ValueError:
                continue
        elif one.kind != "choice" or value in one.choices:
            found[name] = value
    return found


def of_table(found: Mapping[str, str | int | date], table: str) -> dict[str, str | int | date]:
    """The statements of one table by key."""
    return {one.key: found[one.name] for one in TABLES[table] if one.name in found}


def damaged(lines: Iterable[str] | None) -> tuple[str, ...]:
    """The lines that cannot be read as statements."""
    return tuple(line for line in lines or () if not stated((line,)))
