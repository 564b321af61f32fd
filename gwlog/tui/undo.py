"""Undo of what was logged last from these screens: a withdrawal of each of its entries, with its reason."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gwlog.errors import GwlogError
from gwlog.tui import key_hints
from gwlog.tui.host import Host

SCREEN = "screen"

if TYPE_CHECKING:
    from gwlog.journal.facts import Fact



class Undo:
    """`batches`: what was logged together from here and not taken back, the latest last."""

    def __init__(self, host: Host) -> None:
        self.batches: list[list[Fact]] = []
        self._host = host

    def remember(self, written: list[Fact]) -> None:
        """These entries can be taken back; a withdrawal cannot."""
        if all(fact.KIND != "withdrawal" for fact in written):
            self.batches.append(written)

    def clear(self) -> None:
        """Nothing that was logged before can be taken back by a key any more."""
        self.batches.clear()

    async def undo(self) -> None:
        """Withdraw the last batch, and say what was withdrawn or why nothing was."""
        from gwlog.app import entries
        from gwlog.views.log import taken_back

        host = self._host
        if not self.batches:
            host.say(["You have logged nothing here that could be taken back.",
                      "Withdraw older entries in the log: 4, then w."], logged=False)
            return
        batch = self.batches.pop()
        try:
            by = host.person
            home = (await host.write(lambda home: entries.take_back(home, batch, by, SCREEN), keep=False)).home
        except GwlogError as trouble:
            host.say([key_hints.refused(trouble, "\n→ ")], logged=False)
            return
        host.say(taken_back(home, batch), logged=False)
