"""What is left of the screens when a mistake of ours ends them: one sentence, and a file with the details."""

from __future__ import annotations

import os
import traceback

from gwlog import settings
from gwlog.errors import GwlogError

FILE = "screens-failed.txt"


class ScreensFailed(GwlogError):
    """The screens ended by a mistake of ours."""


def failed(fault: Exception) -> ScreensFailed:
    """The error to raise; where the mistake happened, but nothing of what was shown, goes into a file of one's own."""
    words = f"The screens stopped because of a bug in gwlog: {type(fault).__name__}: {fault}".rstrip(". ") + "."
    kept = "What was logged is kept."
    place = settings.data_folder() / FILE
    try:
        place.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        with os.fdopen(os.open(place, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "w", encoding="utf-8",
                       errors="replace") as file:
            file.write("".join(traceback.format_exception(fault)))
    except OSError as refused:
        return ScreensFailed(words, hint=f"{kept} The details could not be kept at {place}: {refused.strerror}.")
    return ScreensFailed(words, hint=f"{kept} The details are in {place}; please report it.")
