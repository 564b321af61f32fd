"""Looks at the logbook for the screens, away from the screen: when asked, when the file changes, as time passes."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from gwlog import clock
from gwlog.errors import GwlogError
from gwlog.journal.changes import Writes

if TYPE_CHECKING:
    from gwlog.household import Household

LOOK_AT_LEAST = timedelta(seconds=60)
Show = Callable[["Household | None", GwlogError | None], None]


class LogbookWatch:
    """`show` gets each look, or why there is none. Of several looks under way only the one begun last is shown."""

    def __init__(self, path: Path, now: Callable[[], datetime], show: Show) -> None:
        self.looks = 0
        self._path = path
        self._now = now
        self._show = show
        self._version = ""
        self._writes = Writes(path)
        self._home: Household | None = None
        self._looking = False

    async def look(self) -> None:
        """Look at the logbook and show it."""
        self.looks += 1
        number = self.looks
        try:
            version, home = await asyncio.to_thread(self._look)
        except GwlogError as trouble:
            if number == self.looks:
                self._shown("", None, trouble)
            return
        if number == self.looks:
            self._shown(version, home, None)

    async def look_for_change(self) -> None:
        """Look at it where it was written to, or where the last look is long ago."""
        if self._looking:   # a look that takes long is left to come to its end
            return
        self._looking = True
        try:
            await self._look_for_change()
        finally:
            self._looking = False

    async def _look_for_change(self) -> None:
        from gwlog.journal import reader

        old = self._home is None or abs(self._now() - self._home.now) >= LOOK_AT_LEAST
        if not (self._writes.since_last(clock.now()) or old):
            return
        try:
            version = await asyncio.to_thread(reader.data_version, self._path)
        except GwlogError as trouble:
            self._shown("", None, trouble)
            return
        if old or version != self._version:
            await self.look()

    def _look(self) -> tuple[str, Household]:
        from gwlog.tui.refresh import version_and_look

        known = None if self._home is None else (self._version, self._home)
        return version_and_look(self._path, self._now(), known)

    def _shown(self, version: str, home: Household | None, trouble: GwlogError | None) -> None:
        self._version, self._home = version, home
        self._show(home, trouble)
