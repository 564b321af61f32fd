"""Distances from basins: the two tables that are held, and the farther of them for codes whose own were not read.

In feet from the thing named to the edge of the irrigation field or mulch basin.
"""

from __future__ import annotations

from gwlog.reference.source import Sourced, Sure, assumed

CPC = "California Plumbing Code (24 CCR part 5), graywater chapter"
CPC_EDITION = "chapter 16 in 2013, 15 since 2016"
UTAH = "Utah Administrative Code R317-401"
UTAH_TABLE = "text of 1 November 2019"


def _california(feet: float, sure: Sure = "copy") -> Sourced[float]:
    return Sourced(feet, f"{CPC}, location table", CPC_EDITION, sure)


CALIFORNIA_FT: dict[str, Sourced[float]] = {
    "building": _california(2.0),
    "property line": _california(1.5),
    "water-supply well": _california(100.0),
    "stream or lake": _california(100.0),
    "septic tank": _california(5.0, "memory"),
    "sewage disposal field": _california(4.0, "memory"),
    "public water main": _california(10.0),
    "domestic service line": _california(0.0, "memory"),
}

UTAH_FT: dict[str, Sourced[float]] = {
    name: Sourced(feet, f"{UTAH}-5, table 2", UTAH_TABLE, "read")
    for name, feet in (
        ("building", 2.0),
        ("property line", 5.0),
        ("water-supply well", 100.0),
        ("ungrouted water-supply well", 200.0),
        ("stream or lake", 100.0),
        ("ditch", 100.0),
        ("seepage pit", 10.0),
        ("septic tank", 5.0),
        ("sewage disposal field", 10.0),
        ("domestic service line", 10.0),
    )
}

GROUNDWATER_FT = Sourced(
    5.0, "New Mexico 20.7.3.810 NMAC; Arizona R18-9-711; a county code of 1995; taken where nothing else is stated", "",
    "copy")
"""Least depth from the irrigation point down to groundwater [ft]; California's 3 or 5 ft is still open."""


def _farther(name: str) -> Sourced[float]:
    both = [table[name] for table in (CALIFORNIA_FT, UTAH_FT) if name in table]
    far = max(both, key=lambda distance: distance.value)
    return assumed(far.value, f"the strictest known, here {far.source}")


STRICTEST_FT: dict[str, Sourced[float]] = {
    name: _farther(name) for name in dict.fromkeys((*CALIFORNIA_FT, *UTAH_FT))
}
"""The farther of the two tables, for codes whose own distances are not held here."""
