"""United States ZIP codes by their first three digits: the state, the time zone and the middle of the area.

Source: see gwlog.reference.places.ZIP_AREAS. Half of the codes are within 26 km of their area's middle.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from gwlog.reference.places import unpacked
from gwlog.reference.places.regions import US_STATES


@dataclass(frozen=True, slots=True)
class ZipArea:
    """An area: its three digits, state (as letters), zone, degrees north and east, the name met most in it."""

    digits: str
    state: str
    zone: str
    latitude: float
    longitude: float
    around: str

    @property
    def label(self) -> str:
        """The area in words: “ZIP codes 956.., California”."""
        return f"ZIP codes {self.digits}.., {US_STATES.get(self.state, self.state)}"


@lru_cache(maxsize=1)
def _areas() -> dict[str, ZipArea]:
    found = {}
    for line in unpacked("zip_areas").decode().split("\n"):
        digits, state, zone, latitude, longitude, around = line.split("\t")
        found[digits] = ZipArea(digits, state, zone, float(latitude), float(longitude), around)
    return found


def area_of(code: str) -> ZipArea | None:
    """The area of a ZIP code or of its first three digits; None where no code begins so."""
    return _areas().get(code[:3])
