"""What the screens remember from one time to the next on this machine: light or dark. No entry, no secret.

Where nothing can be read or kept, the screens open as they usually do.
"""

from __future__ import annotations

from pathlib import Path

from gwlog import settings
from gwlog.errors import GwlogError

LOOKS = ("light", "dark")


def _file() -> Path:
    return settings.config_folder() / "screens-look"


def look() -> str | None:
    """“light” or “dark” as it was chosen last; None where it never was."""
    try:
        words = _file().read_text(encoding="utf-8")[:20].strip()
    except (OSError, ValueError):
        return None
    return words if words in LOOKS else None


def remember(chosen: str) -> None:
    """Keep what was chosen, for the next time."""
    from gwlog.files import make_folder, write_whole

    try:
        make_folder(_file().parent)
        write_whole(_file(), f"{chosen}\n".encode(), replace=True)
    except GwlogError:
        pass
