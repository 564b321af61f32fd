"""What several first profiles share: the setback tables and the conditions that recur in almost the same words.

Distances in feet from the thing named to the edge of the irrigation field or mulch basin.
"""

from __future__ import annotations

from gwlog.reference.codes.profile import Condition
from gwlog.reference.source import Sourced, Sure, assumed

CPC = "California Plumbing Code, graywater chapter"
CPC_EDITION = "chapter 15, editions since 2016"
UTAH = "Utah Administrative Code R317-401"


def _california(feet: float, sure: Sure = "read") -> Sourced[float]:
    return Sourced(feet, f"{CPC}, location table", CPC_EDITION, sure)


CALIFORNIA_SETBACKS_FT: dict[str, Sourced[float]] = {
    "building": _california(2.0),
    "property line": _california(1.5),
    "water-supply well": _california(100.0),
    "stream or lake": _california(100.0),
    "septic tank": _california(5.0, "memory"),
    "sewage disposal field": _california(4.0, "memory"),
    "public water main": _california(10.0),
    "domestic service line": _california(0.0, "memory"),
}

UTAH_SETBACKS_FT: dict[str, Sourced[float]] = {
    name: Sourced(feet, f"{UTAH}, separation table", "2024", "read")
    for name, feet in (
        ("building", 2.0),
        ("property line", 5.0),
        ("water-supply well", 100.0),
        ("ungrouted water-supply well", 200.0),
        ("stream or lake", 100.0),
        ("septic tank", 5.0),
        ("sewage disposal field", 10.0),
        ("domestic service line", 10.0),
    )
}

GROUNDWATER_BELOW_FT = Sourced(
    5.0, "New Mexico 20.7.3.810 NMAC; a county code of 1995; taken where nothing else is stated", "", "read")

def _farther(name: str) -> Sourced[float]:
    both = [table[name] for table in (CALIFORNIA_SETBACKS_FT, UTAH_SETBACKS_FT) if name in table]
    far = max(both, key=lambda distance: distance.value)
    return assumed(far.value, f"the strictest known, here {far.source}")


STRICTEST_SETBACKS_FT: dict[str, Sourced[float]] = {
    name: _farther(name) for name in dict.fromkeys((*CALIFORNIA_SETBACKS_FT, *UTAH_SETBACKS_FT))
}
"""The farther of the two tables, for codes whose own distances are not held here."""


def no_ponding(source: str, edition: str, sure: Sure = "read") -> Condition:
    """No standing water, no runoff."""
    text = "No water stands on the surface or runs off."
    return Condition("ponding", text, "ponding", source, edition, sure)


def on_the_lot(source: str, edition: str, sure: Sure = "read") -> Condition:
    """The water stays on the lot."""
    return Condition("lot", "The water stays on the lot it comes from.", "ponding", source, edition, sure)


def contact(source: str, edition: str, sure: Sure = "read") -> Condition:
    """Little contact."""
    return Condition(
        "contact", "People and pets touch the water as little as can be.", "cover", source, edition, sure)


def diapers(source: str, edition: str, sure: Sure = "read") -> Condition:
    """Soiled wash to the sewer."""
    return Condition(
        "diapers", "The wash of diapers and of similarly soiled or infectious things goes to the sewer.",
        "diapers", source, edition, sure)


def hazardous(source: str, edition: str, sure: Sure = "read") -> Condition:
    """No hazardous chemicals."""
    return Condition(
        "hazardous",
        "Nothing from cleaning parts, oily rags or photographic work, nor other hazardous chemicals.",
        "hazardous", source, edition, sure)


def below(
    gallons: int, source: str, edition: str, sure: Sure = "read", *, at_most: bool = False,
) -> Condition:
    """The daily limit."""
    text = f"The garden gets {'at most' if at_most else 'less than'} {gallons} gallons a day."
    return Condition("volume", text, "volume", source, edition, sure, "limit a day", float(gallons), "gal/day",
                     not at_most)
