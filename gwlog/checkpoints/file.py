"""The file with the checkpoints of one logbook: a line for each, the youngest first. It may be lost at any time.

What does not match is passed over in silence: another logbook's, another version's, cut short, edited, unreadable.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterator, Sequence
from contextlib import suppress
from pathlib import Path
from typing import Any

import gwlog
from gwlog import settings
from gwlog.checkpoints.keys import digest_of

LAYOUT = 1
_RULES = (".", "checkpoints", "decisions", "journal", "reference", "reference/codes", "reference/codes/first", "water")
"""The folders whose files say what a checkpoint holds and how it came about."""


def rules() -> str:
    """Which rules are at work: gwlog's version, and the name, size and time of each file that holds one."""
    root = Path(gwlog.__file__).parent
    parts = [gwlog.__version__]
    for folder in _RULES:
        with suppress(OSError), os.scandir(root / folder) as found:   # installed otherwise: the version alone tells
            for one in sorted(found, key=lambda entry: entry.name):
                if one.name.endswith(".py"):
                    about = one.stat()
                    parts.append(f"{folder}/{one.name}:{about.st_size}:{about.st_mtime_ns}")
    return digest_of("\n".join(parts))


def kept(logbook: str) -> bool:
    """Whether checkpoints are to be kept at all."""
    return settings.checkpoint_path(logbook) is not None


def read(logbook: str, known_rules: str) -> Iterator[tuple[dict[str, Any], str]]:
    """The checkpoints of a logbook that are sound and made by these rules, the youngest first, with their lines."""
    for line in lines(logbook, known_rules):
        digest, _, text = line.rstrip("\n").partition(" ")
        if digest == digest_of(text):
            yield json.loads(text), line


def lines(logbook: str, known_rules: str) -> list[str]:
    """The lines of the file, each for a checkpoint; none where it is not of this logbook and these rules."""
    where = settings.checkpoint_path(logbook)
    try:
        first, *found = where.read_text("ascii").splitlines(keepends=True) if where is not None else ("",)
    except (OSError, ValueError):
        return []
    return found if first.split() == [str(LAYOUT), logbook, known_rules] else []


def held_in(line: str) -> dict[str, Any]:
    """The checkpoint of a line that was just made."""
    held: dict[str, Any] = json.loads(line.partition(" ")[2])
    return held


def line_of(held: dict[str, Any]) -> str:
    """A checkpoint as its line."""
    text = json.dumps(held, separators=(",", ":"), allow_nan=False)
    return f"{digest_of(text)} {text}\n"


def write(logbook: str, known_rules: str, made: Sequence[str]) -> None:
    """Write the checkpoints of a logbook, whole or not at all; where that cannot be done, nothing is changed."""
    from gwlog import files
    from gwlog.errors import GwlogError

    where = settings.checkpoint_path(logbook)
    if where is None:
        return
    try:
        files.make_folder(where.parent)
        files.write_whole(where, f"{LAYOUT} {logbook} {known_rules}\n{''.join(made)}".encode("ascii"), replace=True)
    except (GwlogError, OSError):
        return
