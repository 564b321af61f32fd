"""Looks at the logbook for the screens, away from the screen: when asked, when the file changes, as time passes."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from gwlog.errors import GwlogError

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
        self._seen: datetime | None = None

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
        from gwlog.journal import reader

        try:
            version = await asyncio.to_thread(reader.data_version, self._path)
        except GwlogError as trouble:
            self._shown("", None, trouble)
            return
        if version != self._version or self._seen is None or abs(self._now() - self._seen) >= LOOK_AT_LEAST:
            await self.look()

    def _look(self) -> tuple[str, Household]:
        from gwlog.tui.refresh import version_and_look

        return version_and_look(self._path, self._now())

    def _shown(self, version: str, home: Household | None, trouble: GwlogError | None) -> None:
        self._version, self._seen = version, None if home is None else home.now
        self._show(home, trouble)
