"""What is said of a basin that the plan leaves short of water: how much other water, from when."""

from __future__ import annotations

from gwlog.actions import Action, Hint
from gwlog.clock import echo_day
from gwlog.decisions.shortage import Short
from gwlog.units import Reader

YOUNG_BELOW = 0.8
"""From this share of the basin reached by the roots on, nothing is said of young roots."""


def short_text(short: Short, read: Reader) -> str:
    """The sentence."""
    return (f"{short.basin} lacks water from {echo_day(short.first, read.system)} on, and no planned load cures that. "
            f"It needs about {read.volume(short.other_water_l)} of other water in the next two weeks{_spread(short)}.")


def _spread(short: Short) -> str:
    """Why a young plant's basin asks for so much; nothing where the roots have reached nearly all of it."""
    if short.share > YOUNG_BELOW:
        return ""
    return f", spread over the whole basin: its young roots have reached {max(1, round(100 * short.share))}% of it"


def short_hint(short: Short, read: Reader) -> Hint:
    """The sentence, and how to log the water once it was brought."""
    return Hint(short_text(short, read) + " When you have brought it: ", noted(short, read), ".")


def noted(short: Short, read: Reader) -> Action:
    """The entry that logs other water."""
    return Action("water", basin=short.basin, amount=read.volume(short.other_water_l).replace(" ", ""))
