"""`gwlog` alone: the terminal screens, where there is a terminal that can show them."""

from __future__ import annotations

import os
import sys

from gwlog import settings, stopping
from gwlog.errors import BadInput


def open_screens(logbook: str | None) -> None:
    """Open the screens. Raises BadInput with a hint where there is no terminal for them."""
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        raise BadInput("The screens need a terminal.", hint="Use a command, like: gwlog today")
    if os.environ.get("TERM", "") in ("dumb", ""):
        raise BadInput("This terminal (TERM=dumb) cannot show the screens.", hint="Use a command, like: gwlog today")
    path = settings.logbook_path(logbook)
    # whether the logbook can be read is said on the screens, which paint before it is opened
    from gwlog.tui.app import run

    stopping.let_clean_up()
    run(path)
