"""Ctrl-C while the program starts and ends: no traceback, exit code 130. It imports nothing that is not loaded anyway.

Until a command begins its work nothing is written, so the process may end where it stands.
"""

from __future__ import annotations

import os
import signal

STOPPED = 130

ASK: int = getattr(signal, "CTRL_BREAK_EVENT", signal.SIGINT)
"""What is sent to a process of ours in a group of its own to have it stop: Ctrl-C, on Windows Ctrl-Break."""

ASKED: int = getattr(signal, "SIGBREAK", signal.SIGINT)
"""As what it gets there."""


def end_at_once() -> None:
    """From here on Ctrl-C ends the process with one sentence. A process that ignores it goes on ignoring it."""
    if signal.getsignal(signal.SIGINT) is signal.default_int_handler:
        signal.signal(signal.SIGINT, _end)


def let_clean_up() -> None:
    """From here on Ctrl-C raises KeyboardInterrupt, so that what was begun is finished or taken away."""
    if signal.getsignal(signal.SIGINT) is _end:
        signal.signal(signal.SIGINT, signal.default_int_handler)


def too_late() -> None:
    """The work is done and told; Ctrl-C changes nothing any more."""
    if signal.getsignal(signal.SIGINT) is signal.default_int_handler:
        signal.signal(signal.SIGINT, signal.SIG_IGN)


def _end(*_: object) -> None:
    try:
        os.write(2, b"Stopped; nothing was written.\n")
    finally:
        os._exit(STOPPED)
