"""Taking back what was logged last from these screens: a withdrawal of each of its entries, with its reason."""

from __future__ import annotations

import asyncio
from collections.abc import Sequence
from typing import TYPE_CHECKING

from gwlog.app import entries
from gwlog.errors import GwlogError
from gwlog.tui import hints
from gwlog.views.log import sentence

if TYPE_CHECKING:
    from gwlog.household import Household
    from gwlog.journal.facts import Fact
    from gwlog.tui.app import Screens

MOST_TOLD = 4
TAKEN_BACK = "taken back on the screen it was logged on"


async def take_back(app: Screens) -> None:
    """Strike out the last batch, and say what was struck out or why nothing was."""
    if not app.batches:
        app.say(["Nothing was logged from here that could be taken back.",
                 "Older entries are struck out in the log: 4, then w."], logged=False)
        return
    batch = app.batches.pop()
    try:
        home = app.fresh()
        await app.write(await asyncio.to_thread(_struck_out, home, batch, app.writer), keep=False)
    except GwlogError as trouble:
        app.say([hints.told(trouble, "\n→ ")], logged=False)
        return
    told = [f"Taken back {fact.id}: {sentence(home, fact)}." for fact in batch[:MOST_TOLD]]
    if len(batch) > MOST_TOLD:
        told.append(f"and {len(batch) - MOST_TOLD} more; all {len(batch)} are struck out.")
    app.say(told, logged=False)


def _struck_out(home: Household, batch: Sequence[Fact], by: str | None) -> list[Fact]:
    writer = entries.read_author(home, by=by, note=TAKEN_BACK)
    return [entries.withdraw(home, fact.id, writer) for fact in reversed(batch)]
