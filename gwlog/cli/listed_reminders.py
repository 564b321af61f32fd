"""Which reminder a number means: the one beside it in the list that was printed last on this machine.

Reminders come and go between the list and the answer; its keys are remembered in a small file beside the settings.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path

from gwlog import settings
from gwlog.actions import Action, Hint
from gwlog.errors import BadInput, GwlogError


def remember(logbook: Path, keys: Sequence[str]) -> None:
    """Keep the keys of a list in its order. A list that cannot be kept is shown all the same."""
    from gwlog.files import make_folder, write_whole

    where = settings.listed_path(logbook)
    if where is None or _kept(where) == list(keys):
        return
    try:
        make_folder(where.parent)
        write_whole(where, json.dumps(list(keys)).encode(), replace=True)
    except GwlogError:
        with suppress(OSError):   # an older list would give the numbers another meaning
            where.unlink(missing_ok=True)


def meant(logbook: Path, typed: str) -> str:
    """The key that a typed number stands for in the last list; anything else as it was typed.

    Raises BadInput where the last list has no such number. Without a list the number is left to the one that stands.
    """
    words = typed.strip()
    if not (words.isdecimal() and len(words) < 4):
        return typed
    where = settings.listed_path(logbook)
    keys = None if where is None else _kept(where)
    if keys is None:
        return typed
    if not 1 <= int(words) <= len(keys):
        raise BadInput(f"There is no reminder {int(words)} in the list that was printed last; it has {len(keys)}.",
                       hint=Hint("See them with: ", Action("reminders")))
    return keys[int(words) - 1]


def _kept(where: Path) -> list[str] | None:
    try:
        found = json.loads(where.read_bytes())
    except (OSError, ValueError):
        return None
    return found if isinstance(found, list) and all(isinstance(one, str) for one in found) else None
