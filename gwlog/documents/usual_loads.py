"""Which usual load goes where and why: by what is in it, and for now by what the advice does with it.

The manual stays with the building and tells the first alone; the card hangs for two weeks and tells both.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from gwlog.decisions.cautions import load_warnings
from gwlog.decisions.load_rules import is_unassessed, load_reasons
from gwlog.decisions.query import query_for
from gwlog.text import listed

if TYPE_CHECKING:
    from gwlog.decisions.answer import Answer
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
    """A usual load and its way: “garden”, “sewer” always, “better sewer”; “sewer for now”: its contents may go to the
    garden, and every run of it that is expected goes to the sewer. `unchecked`: products whose label nobody has read.
    """

    name: str
    litres: float
    holds: str
    way: Literal["garden", "sewer", "better sewer", "sewer for now"]
    why: str
    unchecked: tuple[str, ...] = ()


def usual_load_ways(state: State, advised: Sequence[Answer] = ()) -> list[UsualLoadWay]:
    """Every usual load in use, in the order of the setup. `advised`: the answers to the loads of the coming days."""
    ways = []
    for name, load in state.usual_loads.items():
        if not load.active:
            continue
        query = query_for(state, name)
        reasons = load_reasons(query)
        way: Literal["garden", "sewer", "better sewer", "sewer for now"] = "garden"
        coming = [one for one in advised if one.expected is not None and one.expected.usual_load == name]
        if reasons:
            way = "sewer" if reasons[0].strength == "must" else "better sewer"
        elif coming and all(one.verdict == "sewer" for one in coming):
            way = "sewer for now"
        texts = [reason.text for reason in (*reasons, *load_warnings(query))]
        ways.append(UsualLoadWay(name, query.volume_l, listed([*load.products, *load.contents]) or "—", way,
                                 " ".join(texts), tuple(one.name for one in query.products if is_unassessed(one))))
    return ways
