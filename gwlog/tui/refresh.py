"""One look at the logbook for the screens: read, folded and judged, all of it away from the screen.

Called in a thread; what costs time is worked out here, so that nobody who presses a key has to wait for it.
"""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from gwlog.app import entries
from gwlog.errors import GwlogError
from gwlog.household import Household, look
from gwlog.journal import reader


def version_and_look(path: Path, now: datetime, known: tuple[str, Household] | None = None) -> tuple[str, Household]:
    """The logbook's version, and the household as it is at `now`. Raises as the file deserves.

    `known`: what this gave before; what was read then is not read again where the version is still the same.
    """
    version, moment = reader.data_version(path), now.replace(microsecond=0)
    home = known[1].at(moment) if known is not None and known[0] == version else look(path, moment)
    if home.state.site is not None:
        _ = home.garden, home.reminders, home.upkeep
        _answer_loads(home)
    return version, home


def _answer_loads(home: Household) -> None:
    """Answer the loads to come and each usual load now; what cannot be answered is refused where it is asked for."""
    _ = home.advice.loads
    for name in entries.usual_load_names(home):
        try:
            home.answer(home.query(name))
        except GwlogError:
            continue
