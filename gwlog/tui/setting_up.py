"""The part of the app that describes the household: changes of the setup that wait, and the guided setup.

Where nothing is described yet, the guided setup opens by itself, once.
"""

from __future__ import annotations

import os
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from textual.app import App

if TYPE_CHECKING:
    from gwlog.household import Household
    from gwlog.tui.setup.edits import Edits

WAY_IN = "\n\n7 opens the guided setup: a few pages, from nothing to the first verdict. F3 begins from a file instead."
WAY_BACK = "\n\nF3 puts a backup back."


class SettingUp(App[None]):
    """The app as far as it sets up a household."""

    path: Path
    home: Household | None
    trouble: str | None
    _offered = False

    @cached_property
    def edits(self) -> Edits:
        """Changes of the setup that are not appended yet."""
        from gwlog.tui.setup.edits import Edits

        return Edits()

    @property
    def undescribed(self) -> bool:
        """Whether there is no logbook, or one that describes no household, not even later."""
        if self.home is None:
            return self.trouble is not None and not os.path.lexists(self.path)
        return not any(fact.KIND == "site" for fact in self.home.standing.facts)

    @property
    def way_in(self) -> str:
        """What to say below the words that there is nothing to show."""
        return WAY_IN if self.undescribed else WAY_BACK if self.home is None and self.trouble else ""

    @property
    def told(self) -> str:
        """The trouble in words; nothing where there is none."""
        nothing = self.home is None and self.undescribed
        return f"There is no logbook at {self.path} yet." if nothing else self.trouble or ""

    def offer_setup(self) -> None:
        """Open the guided setup by itself the first time that nothing is described."""
        if not self._offered and self.undescribed:
            self._offered = True
            self.open_guided()

    def open_guided(self) -> None:
        """Open the guided setup."""
        from gwlog.tui.dialogs.guided_setup import GuidedBox

        if not isinstance(self.screen, GuidedBox):
            self.push_screen(GuidedBox())
