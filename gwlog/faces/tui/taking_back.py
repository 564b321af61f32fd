"""Taking back what was logged last from these screens: a withdrawal of each of its entries, with its reason."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gwlog.errors import GwlogError
from gwlog.faces import entries
from gwlog.faces.present.entries_list import sentence

if TYPE_CHECKING:
    from gwlog.faces.tui.app import Screens

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
        writer = entries.author(home, by=app.writer, note=TAKEN_BACK)
        await app.write([entries.withdraw(home, fact.id, writer) for fact in reversed(batch)], keep=False)
    except GwlogError as trouble:
        app.say([f"{trouble}\n→ {trouble.hint}" if trouble.hint else str(trouble)], logged=False)
        return
    app.say([f"Taken back {fact.id}: {sentence(home, fact)}." for fact in batch], logged=False)
