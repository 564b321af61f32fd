"""Where a household says it is, read without any network: a town, a United States ZIP code, an address, a latitude.

What cannot be told apart is offered; what is not known is refused in one sentence with the way on.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

from gwlog import text
from gwlog.errors import BadInput
from gwlog.reference.places import towns, zip_areas
from gwlog.reference.places.regions import US_STATES
from gwlog.reference.places.towns import Town
from gwlog.reference.places.zip_areas import ZipArea

EXAMPLES = "a town like “Davis, CA”, a US ZIP code like 95616, or a latitude like 38.5"
WAY_ON = "Write the next larger town, the first three digits of a US ZIP code, or the latitude, like 38.5."
MOST_OFFERED = 8
FARTHEST_LATITUDE = 66.0
NEAR_KM = 300.0
"""A point has the time zone and the state of the nearest town within so many km. Working assumption."""

_POINT = re.compile(r"([+-]?\d{1,2}(?:\.\d+)?)\s*°?\s*([ns])?(?:[,;\s]+([+-]?\d{1,3}(?:\.\d+)?)\s*°?\s*([ew])?)?")
_ZIP = re.compile(r"(?<![\d.-])(\d{5})(?:-\d{4})?(?![\d.])")


@dataclass(frozen=True, slots=True)
class Place:
    """A place: its words, degrees north and (where known) east, time zone, country and state as letters, or empty.

    `name`: what the household may be called by it. `kind`: what was typed: “town”, “ZIP”, “point” or “latitude”.
    """

    label: str
    name: str
    kind: str
    latitude: float
    longitude: float | None
    zone: str
    country: str
    state: str


def places(typed: str, own_zone: str = "", *, misspelt: bool = True) -> tuple[Place, ...]:
    """The places that the words may mean, the likeliest first; several only where a person must choose.

    `own_zone`: the time zone of this machine, or empty: towns in it come first, a bare latitude is taken to be in it.
    `misspelt`: look for towns of a like name where there is none, which takes longer.
    Raises BadInput with the way on.
    """
    words = text.one_line(typed)
    if not words:
        raise BadInput(f"The place of the garden is missing; use {EXAMPLES}.")
    if len(words) > 200:
        raise BadInput(f"That has {len(words)} characters; use up to 200: {EXAMPLES}.")
    point = _point(words, own_zone)
    if point is not None:
        return (point,)
    code = _zip(words)
    if code is not None:
        return _of_zip(code, words, own_zone)
    if re.fullmatch(r"[\d\s-]+", words):
        raise BadInput(f"“{words[:20]}” is neither a US ZIP code, which has five digits, nor a latitude.",
                       hint="In another country write the town, like “Melbourne, Australia”.")
    found = _towns(words, own_zone)
    if found:
        return tuple(_of_town(town, words) for town in found[:MOST_OFFERED])
    raise BadInput(_unknown(words, misspelt), hint=WAY_ON)


def _unknown(words: str, misspelt: bool) -> str:
    if any(sign.isdigit() for sign in words):
        return f"“{words[:40]}” names no town that is known here and no US ZIP code."
    like = towns.like(words) if misspelt else []
    meant = f" Did you mean {text.listed(like, 'or')}?" if like else ""
    return f"No town of 15,000 people (in the US 5,000) is known here as “{words[:40]}”.{meant}"


def _point(words: str, own_zone: str) -> Place | None:
    """A latitude, with or without a longitude behind it."""
    words = re.sub(r"^([+-]?\d{1,2}),(\d+)$", r"\1.\2", words.casefold())
    match = _POINT.fullmatch(words)
    if match is None:
        return None
    latitude = float(match[1]) * (-1 if match[2] == "s" else 1)
    if abs(latitude) > FARTHEST_LATITUDE:
        raise BadInput(f"The latitude “{match[1]}” is out of range; use -66 to 66 degrees, south negative.")
    told = f"{abs(latitude):g}° {'N' if latitude >= 0 else 'S'}"
    if match[3] is None:
        country = next((town.country for town in (towns.largest_in(own_zone),) if town is not None), "")
        return Place(f"latitude {told}", f"latitude {told}", "latitude", latitude, None, own_zone, country, "")
    longitude = float(match[3]) * (-1 if match[4] == "w" else 1)
    if abs(longitude) > 180:
        raise BadInput(f"The longitude “{match[3]}” is out of range; use -180 to 180 degrees, west negative.")
    told += f", {abs(longitude):g}° {'E' if longitude >= 0 else 'W'}"
    town, far = towns.nearest(latitude, longitude)
    if far > NEAR_KM:
        return Place(told, told, "point", latitude, longitude, own_zone, "", "")
    return Place(f"{told}, near {town.label}", f"near {town.name}", "point", latitude, longitude, town.zone,
                 town.country, town.state)


def _zip(words: str) -> str | None:
    """The ZIP code in the words: five digits anywhere, or three alone."""
    found = _ZIP.findall(words)
    return found[-1] if found else words if re.fullmatch(r"\d{3}", words) else None


def _of_zip(code: str, words: str, own_zone: str) -> tuple[Place, ...]:
    """A ZIP code's area, or the town beside it where it is in that state; of another country, its towns."""
    area = zip_areas.area_of(code)
    rest = " ".join(re.sub(r"(?<![\d.-])\d{3,5}(?:-\d{4})?(?![\d.])", " ", words).split()).strip(" ,")
    beside = _towns(rest, own_zone) if rest else []
    if area is None:
        if beside:
            return tuple(_of_town(town, words) for town in beside[:MOST_OFFERED])
        raise BadInput(f"No US ZIP code begins with {code[:3]}.", hint=WAY_ON)
    here = _of_area(area, words if rest else "", code)
    if not beside or folded_is_state(rest, area.state):
        return (here,)
    same = [town for town in beside if town.country == "US" and town.state == area.state]
    if same:
        return (_of_town(same[0], words),)
    return (*(_of_town(town, words) for town in beside[: MOST_OFFERED - 1]), here)


def folded_is_state(words: str, state: str) -> bool:
    """Whether the words are nothing but the name or the letters of a state of the United States."""
    return towns.folded(words) in (state.casefold(), towns.folded(US_STATES.get(state, "")))


def _of_area(area: ZipArea, words: str, code: str) -> Place:
    return Place(area.label, words or f"ZIP {code}", "ZIP", area.latitude, area.longitude, area.zone, "US", area.state)


def _of_town(town: Town, words: str) -> Place:
    # an address names the household better than its town does
    name = words if any(sign.isdigit() for sign in words) and len(words) <= text.NAME_LIMIT else town.label
    return Place(town.label, name, "town", town.latitude, town.longitude, town.zone, town.country, town.state)


def _towns(words: str, own_zone: str) -> list[Town]:
    """The towns that the words, or the last parts of an address, name; those of the own time zone first."""
    parts = [part.strip() for part in words.split(",") if part.strip()]
    for start in range(len(parts)):
        tail = ", ".join(parts[start:])
        bare = " ".join(word for word in tail.split() if not any(sign.isdigit() for sign in word)).strip(" ,")
        found = towns.find(tail) or (towns.find(bare) if bare else [])
        if found:
            return sorted(found, key=lambda town: (town.zone != own_zone, -town.thousands))
    return []


def local_zone() -> str:
    """This machine's time zone by its settings, or nothing where they do not tell."""
    import os
    from zoneinfo import available_timezones

    named = os.environ.get("TZ", "").removeprefix(":") or "/".join(
        Path("/etc/localtime").resolve().parts).partition("zoneinfo/")[2]
    return named if "/" in named and named in available_timezones() and not named.startswith("Etc/") else ""
