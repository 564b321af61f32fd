"""The answer to a load in the shape that the faces still ask for; see advice."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from gwlog.decisions.load_rules import LoadQuery, Reason, Strength
from gwlog.decisions.query import profile_named, profile_of, query_for, reader_of

if TYPE_CHECKING:
    from gwlog.decisions.answer import Answer


@dataclass(frozen=True, slots=True)
class Verdict:
    """Where a load should go; the fields of Answer under their older names. `moves`: outlets to move first, as
    (outlet, basin); `deliveries`: (outlet, basin, litres).
    """

    verdict: Literal["garden", "sewer"]
    strength: Strength | None
    basin: str | None
    outlet: str | None
    move_first: bool
    moves: tuple[tuple[str, str], ...]
    deliveries: tuple[tuple[str, str, float], ...]
    turn_valve: Literal["garden", "sewer"] | None
    turn_back: bool
    volume_l: float
    reasons: tuple[Reason, ...]
    warnings: tuple[Reason, ...]
    percolates_l: float


def verdict_of(answer: Answer) -> Verdict:
    """An answer as a verdict."""
    return Verdict(
        answer.verdict, answer.strength, answer.basin, answer.outlet, answer.move_first,
        tuple((one.outlet, one.basin) for one in answer.moves),
        tuple((one.outlet, one.basin, one.litres) for one in answer.deliveries), answer.turn_valve, answer.turn_back,
        answer.volume_l, answer.reasons, answer.warnings, answer.percolates_l,
    )


__all__ = ["LoadQuery", "Reason", "Verdict", "profile_named", "profile_of", "query_for", "reader_of", "verdict_of"]
