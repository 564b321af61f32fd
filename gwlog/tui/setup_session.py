"""The setup while the screens are open: changes that wait to be appended, and the offer of the guided setup.

Where nothing is described yet, the guided setup opens by itself, once.
"""

from __future__ import annotations

import os
from functools import cached_property
from typing import TYPE_CHECKING

from gwlog.tui.host import Host

if TYPE_CHECKING:
    from gwlog.tui.setup.edits import Edits

WAY_IN = "\n\n7 opens the guided setup: a few pages, from nothing to the first answer. F3 begins from a file instead."
WAY_BACK = "\n\nF3 restores a backup."


class SetupSession:
    """What the app knows about the setup besides what is in the logbook."""

    def __init__(self, host: Host) -> None:
        self._host = host
        self._offered = False

    @cached_property
    def edits(self) -> Edits:
        """Changes that are not appended yet."""
        from gwlog.tui.setup.edits import Edits

        return Edits()

    @property
    def undescribed(self) -> bool:
        """Whether there is no logbook, or one that describes no household, not even later."""
        home = self._host.home
        if home is None:
            return self._host.trouble is not None and not os.path.lexists(self._host.path)
        return not any(fact.KIND == "site" for fact in home.standing.facts)

    @property
    def way_in(self) -> str:
        """The keys that help where there is nothing to show."""
        if self.undescribed:
            return WAY_IN
        return WAY_BACK if self._host.home is None and self._host.trouble else ""

    def offer(self) -> None:
        """Open the guided setup the first time that nothing is described."""
        if not self._offered and self.undescribed:
            self._offered = True
            self._host.open("guided setup")
