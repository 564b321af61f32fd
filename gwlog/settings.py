"""Where files live on this machine: the logbook, and the settings that are the machine's and not the log's."""

from __future__ import annotations

import os
from pathlib import Path

from gwlog import files

LOGBOOK_VARIABLE = "GWLOG_LOGBOOK"


def data_folder() -> Path:
    """The folder for the logbook and its backups (created by the writer, not here)."""
    import platformdirs

    return Path(platformdirs.user_data_dir("gwlog", appauthor=False))


def config_folder() -> Path:
    """The folder for this machine's settings and secrets."""
    import platformdirs

    return Path(platformdirs.user_config_dir("gwlog", appauthor=False))


def logbook_path(chosen: str | None = None) -> Path:
    """The logbook to use: the one named on the command line, else GWLOG_LOGBOOK, else the usual place.

    Raises BadInput where what is named is no path.
    """
    named = chosen or os.environ.get(LOGBOOK_VARIABLE)
    return files.typed_path(named) if named else data_folder() / "logbook.db"
