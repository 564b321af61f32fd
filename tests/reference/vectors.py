"""The check values for salt and plants: each with its source and whether it was read, recalled or computed."""

from __future__ import annotations

import json
from functools import lru_cache
from pathlib import Path
from typing import Any


@lru_cache(maxsize=1)
def vectors() -> dict[str, dict[str, Any]]:
    """Every check value by its id."""
    whole = json.loads((Path(__file__).parent / "salt_and_plants_vectors.json").read_text(encoding="utf-8"))
    return {one["id"]: one for one in whole["vectors"]}


def vector(name: str) -> tuple[Any, Any, Any]:
    """What goes in, what is expected, and within what."""
    one = vectors()[name]
    return one["inputs"], one["expected"], one["tolerance"]


def about(topic: str) -> list[str]:
    """The ids of a topic."""
    return [name for name, one in vectors().items() if one["topic"] == topic]
