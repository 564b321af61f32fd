"""What is said of a basin that the plan leaves short of water: how much other water, from when."""

from __future__ import annotations

from gwlog.actions import Action, Hint
from gwlog.clock import echo_day
from gwlog.decisions.shortage import Short
from gwlog.units import Reader


def short_text(short: Short, read: Reader) -> str:
    """The sentence."""
    return (f"{short.basin} is short of water from {echo_day(short.first)} on: no planned load cures that. It needs "
            f"about {read.volume(short.other_water_l)} of other water in the coming two weeks.")


def short_hint(short: Short, read: Reader) -> Hint:
    """The sentence, and how to note the water once it was brought."""
    return Hint(short_text(short, read) + " When it was brought: ", noted(short, read), ".")


def noted(short: Short, read: Reader) -> Action:
    """The entry that notes other water."""
    return Action("water", basin=short.basin, amount=read.volume(short.other_water_l).replace(" ", ""))
