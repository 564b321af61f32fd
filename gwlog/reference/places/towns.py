"""Towns by name, with their time zones: found as people write them, offered with their regions where there are several.

Source: see gwlog.reference.places.TOWNS.
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from difflib import get_close_matches
from functools import lru_cache

from gwlog.reference.places import unpacked
from gwlog.reference.places.regions import OTHER_NAMES, STATES

KM_PER_DEGREE = 111.2
SHORTEST_BEGINNING = 4
"""From so many letters on the beginning of a name finds it."""

_LETTERS = str.maketrans({"ø": "o", "ł": "l", "đ": "d", "æ": "ae", "œ": "oe", "ı": "i", "’": "'", "ʻ": "'"})


@dataclass(frozen=True, slots=True)
class Town:
    """A town: its state where states are kept (as letters), country, degrees north and east, zone, people [1000]."""

    name: str
    state: str
    country: str
    country_name: str
    latitude: float
    longitude: float
    zone: str
    thousands: int

    @property
    def state_name(self) -> str:
        """The state in full; empty where states are not kept."""
        known = STATES.get(self.country, {})
        return next((name for letters, name in known.values() if letters == self.state), "")

    @property
    def region(self) -> str:
        """What tells it from another of its name: its state, and the country outside the United States."""
        parts = [self.state_name, "" if self.country == "US" else self.country_name]
        return ", ".join(part for part in parts if part)

    @property
    def label(self) -> str:
        """Its name and its region: “Davis, California”."""
        return f"{self.name}, {self.region}"


class _Table:
    """The columns of the table of towns."""

    def __init__(self) -> None:
        countries, zones, *columns = (part.split("\n") for part in unpacked("towns").decode().split("\0"))
        self.countries = dict(one.split("=", 1) for one in countries[0].split("\t"))
        self.zones = zones[0].split("\t")
        self.names, self.country, self.state, self.zone, self.latitude, self.longitude, self.thousands = columns
        self.rows: dict[str, list[int]] = {}
        for row, name in enumerate(self.names):
            self.rows.setdefault(folded(name), []).append(row)

    def town(self, row: int) -> Town:
        country = self.country[row]
        letters = STATES.get(country, {}).get(self.state[row], (self.state[row], ""))[0]
        return Town(self.names[row], letters, country, self.countries[country], int(self.latitude[row]) / 50,
                    int(self.longitude[row]) / 50, self.zones[int(self.zone[row])], int(self.thousands[row]))


@lru_cache(maxsize=1)
def _table() -> _Table:
    return _Table()


def folded(words: str) -> str:
    """A name as it is compared: small letters without accents and signs, “St” for “Saint”, without “City”."""
    if not words.isascii():
        words = unicodedata.normalize("NFKD", words.casefold().translate(_LETTERS))
        words = "".join(sign for sign in words if not unicodedata.combining(sign))
    words = re.sub(r"[^a-z0-9]+", " ", words.casefold().replace("'", "").replace(".", "")).strip()
    words = "st" + words[5:] if words.startswith("saint ") else words
    return words.removesuffix(" city") or words


def find(words: str) -> list[Town]:
    """The towns that the words may mean, the largest first: “Davis”, “Portland, OR”, “Paris France”, “san fran”.

    A region behind the name narrows them. Empty where there is none.
    """
    name, comma, region = words.partition(",")
    found = list(_called(folded(name), folded(region.partition(",")[0]))) if comma else []
    if not found:
        parts = folded(words).split()
        for count in range(len(parts), 0, -1):
            found = list(_called(" ".join(parts[:count]), " ".join(parts[count:])))
            if found:
                break
    if not found and len(folded(words)) >= SHORTEST_BEGINNING:
        table = _table()
        begins = folded(words)
        found = [table.town(row) for name, rows in table.rows.items() if name.startswith(begins) for row in rows]
    return sorted(found, key=lambda town: -town.thousands)


def _called(name: str, region: str) -> Iterator[Town]:
    """Towns of exactly this name, within the region where one is named."""
    table = _table()
    for row in table.rows.get(name, ()) if name else ():
        town = table.town(row)
        if not region or _within(town, region):
            yield town


def _within(town: Town, region: str) -> bool:
    """Whether a folded region names the town's state or country, whole or by its beginning."""
    if OTHER_NAMES.get(region) == town.country or region in (town.state.casefold(), town.country.casefold()):
        return True
    return len(region) >= SHORTEST_BEGINNING - 1 and any(
        one.startswith(region) for one in (folded(town.state_name), folded(town.country_name)))


def like(words: str) -> list[str]:
    """Names of towns that are written much like this, at most three."""
    wanted = folded(words.partition(",")[0])
    table = _table()
    near = [name for name in table.rows if name[:1] == wanted[:1] and abs(len(name) - len(wanted)) <= 2]
    return [table.names[table.rows[name][0]] for name in get_close_matches(wanted, near, 3, 0.8)]


def nearest(latitude: float, longitude: float) -> tuple[Town, float]:
    """The town nearest to a point, and how far it is [km]."""
    table = _table()
    north, east = latitude * 50, longitude * 50
    narrower = math.cos(math.radians(latitude))

    def squared(row: int) -> float:
        over = abs(int(table.longitude[row]) - east)
        return (int(table.latitude[row]) - north) ** 2 + (min(over, 18_000 - over) * narrower) ** 2

    row = min(range(len(table.names)), key=squared)
    return table.town(row), math.sqrt(squared(row)) / 50 * KM_PER_DEGREE


def apart_km(latitude: float, longitude: float, other_latitude: float, other_longitude: float) -> float:
    """Roughly how far two points are from each other [km]."""
    over = abs(longitude - other_longitude)
    east = min(over, 360 - over) * math.cos(math.radians((latitude + other_latitude) / 2))
    return math.hypot(latitude - other_latitude, east) * KM_PER_DEGREE


def largest_in(zone: str) -> Town | None:
    """The largest town of a time zone; None where there is none."""
    table = _table()
    if zone not in table.zones:
        return None
    number = str(table.zones.index(zone))
    rows = [row for row, at in enumerate(table.zone) if at == number]
    return table.town(max(rows, key=lambda row: int(table.thousands[row]))) if rows else None
