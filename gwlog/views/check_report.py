"""What checking a logbook found, in lines: each part, what would help, and what was repaired."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

from gwlog.actions import Words, as_json, joined
from gwlog.text import plural

if TYPE_CHECKING:
    from gwlog.journal.repair import Repaired

State = Literal["sound", "mind", "fault"]
_SIGNS = {"sound": "sound", "mind": "MIND ", "fault": "FAULT"}


@dataclass(frozen=True, slots=True)
class Part:
    """One thing that was looked at: sound, worth minding, or at fault; what was found, and what would help."""

    name: str
    state: State
    detail: str
    hint: Words | None = None

    @property
    def line(self) -> str:
        """The part in a line, without its hint."""
        return f"{_SIGNS[self.state]}  {self.name}: {self.detail}"


def lines(parts: Sequence[Part], repaired: Repaired | None) -> list[Words]:
    """What was repaired, every part, and what would help, told once where several parts ask for the same."""
    made: list[Words] = []
    if repaired is not None:
        made += repaired.done or ([] if repaired.left else ["There was nothing to repair."])
        made += [f"The logbook as it was is kept: {repaired.kept}"] if repaired.kept else []
        if repaired.left:
            made += [repaired.left, *([joined(("→", repaired.hint))] if repaired.hint else [])]
    ordered = sorted(parts, key=lambda part: -list(_SIGNS).index(part.state))   # what is wrong stands first
    for part, following in zip(ordered, (*ordered[1:], None), strict=True):
        made.append(part.line)
        if part.hint and (following is None or following.hint != part.hint):
            made.append(joined(("       →", part.hint)))
    faults = sum(part.state == "fault" for part in parts)
    return [*made, f"{plural(faults, 'fault')}." if faults else "The logbook is sound."]


def as_data(parts: Sequence[Part], repaired: Repaired | None) -> dict[str, Any]:
    """The same for other programs."""
    return {"sound": all(part.state != "fault" for part in parts),
            "parts": [{"name": part.name, "state": part.state, "detail": part.detail,
                       "hint": None if part.hint is None else str(part.hint)} for part in parts],
            "repaired": None if repaired is None else {
                "done": list(repaired.done), "kept": None if repaired.kept is None else str(repaired.kept),
                "left": repaired.left}}


def travelling(made: Sequence[Words]) -> list[Any]:
    """The lines for another process, their actions kept."""
    return [as_json(line) for line in made]
