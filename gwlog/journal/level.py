"""One thing that was verified."""

from __future__ import annotations

from gwlog.values import dataclass


@dataclass(frozen=True, slots=True)
class Level:
    """One thing that was verified: whether it holds, and what was found."""

    name: str
    holds: bool
    detail: str
