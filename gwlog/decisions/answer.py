"""The answer to one load: where it goes, what to turn and carry before and after, and what could be done instead."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, Any, Literal

from gwlog.clock import iso
from gwlog.decisions.load_rules import Reason, Strength
from gwlog.values import NamedTuple

if TYPE_CHECKING:
    from gwlog.decisions.expected import ExpectedLoad
    from gwlog.state import State
    from gwlog.water.load_water import LoadWater

Side = Literal["garden", "sewer"]

RUN_MINUTES = 60
"""How long a run takes from its start until the machine has drained, where nobody has stated it. Working assumption;
it errs on the side of waiting."""


NO_WATER: dict[str, None] = dict.fromkeys(("ecw_ds_m", "sar", "sar_adjusted", "boron_mg_l"))
"""What is known of a load's water where the tap water is not."""


class Walk(NamedTuple):
    """An outlet carried from one basin to another."""

    outlet: str
    origin: str
    basin: str


class Delivery(NamedTuple):
    """What an outlet brings to a basin of one load [L]."""

    outlet: str
    basin: str
    litres: float


class OtherWay(NamedTuple):
    """What could be done with the load instead. `costs`: what that would cost over the plan, in words."""

    verdict: Side
    moves: tuple[Walk, ...]
    deliveries: tuple[Delivery, ...]
    costs: str


class Answer(NamedTuple):
    """Where a load goes when it runs at `at` (UTC), and what to do about it.

    `strength` of what sends it to the sewer, None for the garden. `turn_valve`: how to turn it before, None when it
    stands right. `turn_back`: it goes back to garden some time; `turn_back_at`: when the machine has drained, None
    when it is not turned back then. `percolates_l`: what would sink below the roots. `reasons`: the most important
    first, each once. `other_way`: only for the next load that is free to go to the garden. `expected`: the load to
    come that is answered, None for one that somebody asks about. `water`: what the load's water holds, None where the
    tap water is not known.
    """

    load: str
    at: datetime
    verdict: Side
    strength: Strength | None
    moves: tuple[Walk, ...]
    deliveries: tuple[Delivery, ...]
    turn_valve: Side | None
    turn_back: bool
    turn_back_at: datetime | None
    volume_l: float
    percolates_l: float
    reasons: tuple[Reason, ...]
    warnings: tuple[Reason, ...]
    other_way: OtherWay | None
    run_minutes: int = RUN_MINUTES
    expected: ExpectedLoad | None = None
    water: LoadWater | None = None

    @property
    def move_first(self) -> bool:
        """Whether an outlet has to be carried before."""
        return bool(self.moves)

    @property
    def outlet(self) -> str | None:
        """The outlet to speak of: the one that is carried, else the one that brings most; None for the sewer."""
        if self.moves:
            return self.moves[0].outlet
        return max(self.deliveries, key=lambda one: one.litres).outlet if self.deliveries else None

    @property
    def basin(self) -> str | None:
        """The basin to speak of: that outlet's."""
        outlet = self.outlet
        return next((one.basin for one in self.deliveries if one.outlet == outlet), None)

    @property
    def why(self) -> str:
        """The most important reason, one sentence."""
        return self.reasons[0].text

    def as_json(self) -> dict[str, Any]:
        """The answer for programs, in SI units; the older keys of `where --json` among them."""
        other = self.other_way
        return {
            "load": self.load, "at": iso(self.at), "verdict": self.verdict, "strength": self.strength,
            "basin": self.basin, "outlet": self.outlet, "move_first": self.move_first,
            "moves": _moves_json(self.moves), "deliveries": _deliveries_json(self.deliveries),
            "turn_valve": self.turn_valve, "turn_back": self.turn_back,
            "turn_back_at": iso(self.turn_back_at) if self.turn_back_at is not None else None,
            "volume_l": round(self.volume_l, 3), "percolates_l": round(self.percolates_l, 3),
            "reasons": [_reason_json(one) for one in self.reasons],
            "warnings": [_reason_json(one) for one in self.warnings],
            "other_way": None if other is None else {
                "verdict": other.verdict, "moves": _moves_json(other.moves),
                "deliveries": _deliveries_json(other.deliveries), "costs": other.costs,
            },
            "water": NO_WATER if self.water is None else self.water.as_json(),
        }


def _moves_json(moves: tuple[Walk, ...]) -> list[dict[str, Any]]:
    # `basin` is the older key of `to`
    return [{"outlet": one.outlet, "from": one.origin, "to": one.basin, "basin": one.basin} for one in moves]


def _deliveries_json(deliveries: tuple[Delivery, ...]) -> list[dict[str, Any]]:
    return [{"outlet": one.outlet, "basin": one.basin, "volume_l": round(one.litres, 3)} for one in deliveries]


def _reason_json(reason: Reason) -> dict[str, Any]:
    return {"rule": reason.rule, "strength": reason.strength, "text": reason.text, "source": reason.source,
            "aftercare": reason.aftercare}


def run_minutes(state: State, load: str | None) -> int:
    """How long a run takes until the machine has drained [min]: the usual load's figure, else its washer's, else
    RUN_MINUTES.
    """
    usual = state.usual_loads.get(load) if load is not None else None
    washer = state.washers.get(usual.washer) if usual is not None else None
    if washer is None:
        washer = next((one for one in state.washers.values() if one.active), None)
    for stated in (getattr(usual, "run_minutes", None), getattr(washer, "run_minutes", None)):
        if stated is not None:
            return int(stated)
    return RUN_MINUTES
