"""Read-only views in the household's units, for people who open the logbook with another program."""

from __future__ import annotations


def views() -> dict[str, str]:
    """View name -> its SQL, in the order in which they can be made."""
    return {}
