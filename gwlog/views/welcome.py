"""What the screens say of a logbook that describes no household, or not yet."""

from __future__ import annotations

from gwlog import clock
from gwlog.household import Household


def welcome(home: Household) -> list[str]:
    """Lines shown instead of the pages: how to describe a household, or from when one is described."""
    later = next((fact for fact in home.standing.facts if fact.KIND == "site"), None)
    if later is not None:
        return [f"This logbook begins on {clock.echo(later.happened_at, home.zone)}; until then there is nothing here."]
    return [
        "This logbook describes no household yet.",
        "",
        "Write a site file, starting from an example:",
        "  gwlog begin --example > site.toml",
        "Change it to your washer, basins and outlets, then:",
        "  gwlog setup apply site.toml",
        "",
        "The screens pick it up by themselves.",
    ]
