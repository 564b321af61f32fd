"""What this command line has written for good, so that no later failure says otherwise.

Where neither stdout nor stderr can tell it, the next command does, by a note beside the logbook.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path

from gwlog.cli.output import note
from gwlog.journal.facts import Fact

MOST_TOLD = 2000

_said: list[str] = []
_where: list[Path] = []


def begin() -> None:
    """A new command line has written nothing yet."""
    _said.clear()
    _where.clear()


def entries(written: Sequence[Fact]) -> None:
    """These entries are in the logbook."""
    if len(written) == 1:
        _said.append(f"Entry {written[0].id} is kept")
    elif written:
        _said.append(f"Entries {written[0].id} to {written[-1].id} are kept")


def said() -> str | None:
    """What is kept, in words without the stop at their end; None where nothing is."""
    return "; ".join(_said) or None


def something(words: str) -> None:
    """Something else than entries is done for good: “The note of entry 12 is erased”."""
    _said.append(words)


def of(logbook: Path) -> None:
    """The command is about this logbook."""
    _where[:] = [logbook]


def leave_note(words: str) -> None:
    """Leave it to the next command to tell."""
    for logbook in _where:
        try:
            place = os.open(_note_of(logbook), os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
        except OSError:
            continue  # there is no way left to tell it; gwlog entries shows the entry
        with os.fdopen(place, "w", encoding="utf-8") as file:
            file.write(words + "\n")


def tell_untold(logbook: Path) -> None:
    """Tell on stderr what an earlier command could not, once."""
    of(logbook)
    place = _note_of(logbook)
    if not os.path.exists(place):  # noqa: PTH110 - Path.exists() raises where a folder may not be entered
        return
    try:
        words = place.read_text(encoding="utf-8", errors="replace")[:MOST_TOLD]
        if note("\n".join(f"An earlier command could not say this: {line}" for line in words.splitlines())):
            place.unlink(missing_ok=True)
    except OSError:
        return


def _note_of(logbook: Path) -> Path:
    return logbook.parent / f"{logbook.name}.untold"
