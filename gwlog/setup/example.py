"""The commented site file from which a new household starts (`gwlog init --example`).

The place and the people in it are invented.
"""

from __future__ import annotations

from pathlib import Path

STARTER = Path(__file__).with_name("starter.toml")


def starter() -> str:
    """The text of the starter site file; it reads without a fault and without a warning."""
    return STARTER.read_text(encoding="utf-8")
