"""A field for a path: what fits in the folder is offered in grey behind what is typed, and → takes it.

Also the files that somebody probably means: the latest ones of a kind in the folders where people look.
"""

from __future__ import annotations

import asyncio
import os
from collections.abc import Sequence
from itertools import islice
from pathlib import Path

from textual.suggester import Suggester

from gwlog import text
from gwlog.tui.widgets.entry_line import EntryLine

MOST_LOOKED_AT = 2_000
MOST_SHOWN = 5


class PathLine(EntryLine):
    """Types a path. `endings`: of the files that are offered besides folders; none: folders alone."""

    def __init__(self, value: str = "", *, endings: Sequence[str] = (), hint: str = "",
                 id: str | None = None) -> None:  # noqa: A002
        super().__init__(value, hint=hint, id=id)
        self.suggester = PathSuggester(endings)
        self.cursor_position = len(self.value)


class PathSuggester(Suggester):
    """Goes on with a path as far as one name."""

    def __init__(self, endings: Sequence[str]) -> None:
        super().__init__(use_cache=False, case_sensitive=True)
        self.endings = tuple(endings)

    async def get_suggestion(self, value: str) -> str | None:
        return await asyncio.to_thread(completed, value, self.endings)


def completed(typed: str, endings: Sequence[str]) -> str | None:
    """What is typed with the rest of the first name that fits it; None where nothing does."""
    folder, name = os.path.split(typed)
    if not folder or not name:
        return None
    try:
        with os.scandir(Path(folder).expanduser()) as found:
            fits = sorted(one.name + ("/" if one.is_dir() else "") for one in islice(found, MOST_LOOKED_AT)
                          if one.name.startswith(name) and one.name == text.one_line(one.name)
                          and (one.is_dir() or Path(one.name).suffix.casefold() in endings))
    except (OSError, ValueError, RuntimeError):
        return None
    return typed + fits[0][len(name):] if fits and fits[0] != name else None


def likely(folders: Sequence[Path], endings: Sequence[str]) -> list[Path]:
    """The latest files with such an ending in the folders, the newest first."""
    found: dict[Path, float] = {}
    for folder in dict.fromkeys(folders):
        try:
            with os.scandir(folder) as inside:
                for one in islice(inside, MOST_LOOKED_AT):
                    if (Path(one.name).suffix.casefold() in endings and not one.name.startswith(".")
                            and one.name == text.one_line(one.name) and one.is_file()):
                        found[Path(one.path)] = one.stat().st_mtime
        except OSError:
            continue
    return sorted(found, key=lambda path: -found[path])[:MOST_SHOWN]


def where_people_look(logbook: Path) -> list[Path]:
    """The folders in which people look for a file: downloads, papers, desktop, home, beside the logbook."""
    home = Path.home()
    return [home / "Downloads", home / "Documents", home / "Desktop", home, logbook.absolute().parent]
