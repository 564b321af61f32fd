"""Which usual load goes where and why, by what is in it alone, as the manual tells it for years."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from gwlog.decisions.cautions import load_warnings
from gwlog.decisions.load_rules import load_reasons
from gwlog.decisions.query import query_for
from gwlog.text import listed

if TYPE_CHECKING:
    from gwlog.state import State

ALWAYS_SEWER = (
    "diapers, and anything soiled with excreta, blood or vomit",
    "everything, while somebody in the household is ill",
    "chlorine bleach and disinfectants",
    "solvents, paint, oil, grease, pesticides",
    "cleaning runs of the machine's drum",
    "everything, while water stands or runs off at the outlet, or the line leaks",
)
BETTER_SEWER = (
    "borax", "fabric softener", "powders rich in sodium", "new, strongly dyed things",
)


@dataclass(frozen=True, slots=True)
class UsualLoadWay:
    """A usual load and its way: “garden”, “sewer” always, “better sewer”."""

    name: str
    litres: float
    holds: str
    way: Literal["garden", "sewer", "better sewer"]
    why: str


def usual_load_ways(state: State) -> list[UsualLoadWay]:
    """Every usual load in use, in the order of the setup."""
    ways = []
    for name, load in state.usual_loads.items():
        if not load.active:
            continue
        query = query_for(state, name)
        reasons = load_reasons(query)
        way: Literal["garden", "sewer", "better sewer"] = "garden"
        if reasons:
            way = "sewer" if reasons[0].strength == "must" else "better sewer"
        texts = [reason.text for reason in (*reasons, *load_warnings(query))]
        ways.append(UsualLoadWay(name, query.volume_l, listed([*load.products, *load.contents]) or "—", way,
                                 " ".join(texts)))
    return ways
