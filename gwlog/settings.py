"""Where files live on this machine: the logbook, and the settings that are the machine's and not the log's."""

from __future__ import annotations

import os
from pathlib import Path

from gwlog.errors import BadInput
from gwlog.text import one_line

LONGEST_NAME, LONGEST_PATH = 255, 4095
"""What file systems bear in a name and in a path [bytes]."""

LOGBOOK_VARIABLE, CHECKPOINTS_VARIABLE, NOTED_VARIABLE = "GWLOG_LOGBOOK", "GWLOG_CHECKPOINTS", "GWLOG_NOTED"


def data_folder() -> Path:
    """The folder for the logbook and its backups (created by the writer, not here)."""
    import platformdirs

    return Path(platformdirs.user_data_dir("gwlog", appauthor=False))


def config_folder() -> Path:
    """The folder for this machine's settings and secrets."""
    import platformdirs

    return Path(platformdirs.user_config_dir("gwlog", appauthor=False))


def signers_file() -> Path:
    """The SSH keys of witnesses that this machine knows, as ssh-keygen reads allowed signers; it may not be there."""
    return config_folder() / "witnesses"


def authorities_file() -> Path:
    """The certificates (PEM) of time-stamp authorities that this machine trusts; it may not be there."""
    return config_folder() / "authorities.pem"


def logbook_path(chosen: str | None = None) -> Path:
    """The logbook to use: the one named on the command line, else GWLOG_LOGBOOK, else the usual place."""
    named = chosen or os.environ.get(LOGBOOK_VARIABLE)
    return typed_path(named) if named else data_folder() / "logbook.db"


def typed_path(typed: str) -> Path:
    """The path that somebody typed, “~” and “~name” read. Raises BadInput for what can be no path."""
    shown = one_line(typed)[:40]
    if not typed.strip():
        raise BadInput("The path is empty; name a file or a folder.")
    if "\0" in typed:
        raise BadInput(f"“{shown}” holds a sign that no path can hold.")
    try:
        path = Path(typed).expanduser()
        longest = max((len(os.fsencode(part)) for part in path.parts), default=0)
    except RuntimeError:
        raise BadInput(f"“{shown}” names the folder of somebody who has none on this machine.") from None
    except UnicodeError:
        raise BadInput(f"“{shown}” holds a sign that no path can hold.") from None
    if longest > LONGEST_NAME or len(os.fsencode(path)) > LONGEST_PATH:
        raise BadInput(f"“{shown}…” is too long for a path; names of up to {LONGEST_NAME} and paths of up to "
                       f"{LONGEST_PATH:,} bytes are accepted.")
    return path


def checkpoint_path(logbook: str) -> Path | None:
    """The file with the checkpoints of the logbook of that id, None where none are to be kept."""
    folder = derived_folder()
    return None if folder is None else folder / f"{logbook}.json"


def listed_path(logbook: Path) -> Path | None:
    """The file that remembers which reminders of a logbook were listed last, None where nothing is to be kept."""
    from hashlib import sha256

    folder = derived_folder()
    name = sha256(os.fsencode(logbook.absolute())).hexdigest()[:16]
    return None if folder is None else folder / f"listed-{name}.json"


def received_path() -> Path:
    """Where the last seal number of each home is kept of which records were received."""
    return config_folder() / "received.json"


def derived_folder() -> Path | None:
    """Where what can be made again is kept: a folder beside the settings, or the one that GWLOG_CHECKPOINTS names.

    None where that variable is empty: nothing is kept.
    """
    named = os.environ.get(CHECKPOINTS_VARIABLE)
    if named == "":
        return None
    return config_folder() / "checkpoints" if named is None else Path(named).expanduser()


def noted_folder() -> Path | None:
    """Where a seal number is noted at each commit: a folder beside the settings, or the one that GWLOG_NOTED names.

    Never beside the logbook: what takes the end of the one must not take that of the other. None where that variable
    is empty: nothing is noted.
    """
    named = os.environ.get(NOTED_VARIABLE)
    if named == "":
        return None
    return config_folder() / "noted" if named is None else Path(named).expanduser()
