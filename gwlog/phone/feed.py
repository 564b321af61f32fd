"""The calendar as phones fetch it: made anew where something was written, else sent as it was made."""

from __future__ import annotations

from datetime import datetime, timedelta
from threading import Lock
from typing import TYPE_CHECKING

from gwlog import files
from gwlog.journal import reader
from gwlog.phone import address

if TYPE_CHECKING:
    from gwlog.household import Household

FRESH_FOR = timedelta(minutes=15)
"""So long one that was made is sent again where nothing was written; making one plans two months."""

NAME = "calendar.ics"
"""The last one that was made, which keeps the events' identity (see documents/calendar)."""


class Feed:
    """The calendar of what is served."""

    def __init__(self, logbook: str) -> None:
        self._where = address.folder(logbook) / NAME
        self._lock = Lock()
        self._made: tuple[str, datetime, bytes] | None = None

    def content(self, home: Household) -> bytes:
        """The calendar as it is at `home.now`. Raises what the logbook and the disk deserve."""
        from gwlog.documents.calendar import updated

        with self._lock:
            version = reader.data_version(home.path)
            if self._made is not None and self._made[0] == version and \
                    timedelta(0) <= home.now - self._made[1] <= FRESH_FOR:
                return self._made[2]
            content, _ = updated(home, self._where, replace=True)
            files.make_folder(self._where.parent)
            files.write_whole(self._where, content, replace=True)
            self._made = version, home.now, content
            return content
