"""The large libraries of the writer and of the scheduler: imported here by name, one thread at a time.

They import each other in circles. Of two threads that begin at different ends of one, the second gets half a module.
"""

from __future__ import annotations

import logging
from importlib import import_module
from threading import RLock
from typing import Any

_ONE_AT_A_TIME = RLock()

WRITER = ("sqlalchemy.exc", "sqlmodel", "gwlog.journal.tables")
UPGRADE = ("sqlalchemy", "alembic.command", "alembic.config")


def scheduler(kind: str) -> Any:
    """The scheduler's module of that kind. Its own log is for nobody's eyes: whoever uses it is told by its events."""
    log = logging.getLogger("apscheduler")
    log.addHandler(logging.NullHandler())
    log.propagate = False
    return load("apscheduler.events", f"apscheduler.schedulers.{kind}")


def load(*names: str) -> Any:
    """Import modules, and give the last one. Whoever asks meanwhile waits, in whichever thread."""
    with _ONE_AT_A_TIME:
        return [import_module(name) for name in names][-1]
