"""Where files live on this machine: the logbook, and the settings that are the machine's and not the log's."""

from __future__ import annotations

import os
from pathlib import Path

LOGBOOK_VARIABLE, CHECKPOINTS_VARIABLE = "GWLOG_LOGBOOK", "GWLOG_CHECKPOINTS"


def data_folder() -> Path:
    """The folder for the logbook and its backups (created by the writer, not here)."""
    import platformdirs

    return Path(platformdirs.user_data_dir("gwlog", appauthor=False))


def config_folder() -> Path:
    """The folder for this machine's settings and secrets."""
    import platformdirs

    return Path(platformdirs.user_config_dir("gwlog", appauthor=False))


def logbook_path(chosen: str | None = None) -> Path:
    """The logbook to use: the one named on the command line, else GWLOG_LOGBOOK, else the usual place."""
    named = chosen or os.environ.get(LOGBOOK_VARIABLE)
    return Path(named).expanduser() if named else data_folder() / "logbook.db"


def checkpoint_path(logbook: str) -> Path | None:
    """The file with the checkpoints of the logbook of that id, None where none are to be kept.

    They stand in their own folder beside the settings, or in the one that GWLOG_CHECKPOINTS names; empty keeps none.
    """
    named = os.environ.get(CHECKPOINTS_VARIABLE)
    if named == "":
        return None
    folder = config_folder() / "checkpoints" if named is None else Path(named).expanduser()
    return folder / f"{logbook}.json"
