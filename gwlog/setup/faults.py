"""Collects every fault of a site file, each with its line and what to use instead.

All are raised together, so that a person corrects the file once.
"""

from __future__ import annotations

from collections.abc import Iterable

from gwlog.errors import SeveralFaults
from gwlog.setup.line_numbers import Lines, Path
from gwlog.text import listed, one_line, plural

SHOWN = 100
VALUE_LIMIT = 40


class Faults:
    """Faults of one site file, in the order of its lines."""

    def __init__(self, lines: Lines) -> None:
        self.lines = lines
        self._found: list[tuple[int, str]] = []

    def __len__(self) -> int:
        return len(self._found)

    def add(self, path: Path, wrong: str, accepted: str) -> None:
        """Note a fault of the key at `path`: what is wrong, what to use."""
        line = self.lines.of(path)
        self._found.append((line, f"line {line}: {self._label(path)} — {wrong}; {accepted}"))

    def tell(self) -> None:
        """Raise SeveralFaults when there is any fault."""
        if not self._found:
            return
        lines = [text for _, text in sorted(self._found, key=lambda found: found[0])]
        if len(lines) > SHOWN:
            lines = [*lines[:SHOWN], f"and {len(lines) - SHOWN} more"]
        raise refused(lines, len(self._found))

    def _label(self, path: Path) -> str:
        written = self.lines.written(path)
        if written is not None:
            return f"{short(str(path[-1]))} = {short(written)}"
        last = path[-1]
        if isinstance(last, int):
            return f"[[{short(str(path[-2]))}]]"
        return f"[{short(last)}]" if len(path) == 1 else short(last)


def refused(lines: list[str], count: int) -> SeveralFaults:
    """The error for `count` faults; nothing of the file is used."""
    return SeveralFaults(
        f"The site file has {plural(count, 'fault')}; nothing was written.", lines,
        hint="Fix these lines and try again.",
    )


def short(written: str) -> str:
    """Words from the file, on one line and cut for a message."""
    line = one_line(written[:4 * VALUE_LIMIT])
    return line if len(line) <= VALUE_LIMIT else line[:VALUE_LIMIT - 1] + "…"


def nearest(name: str, known: Iterable[str], otherwise: str = "") -> str:
    """“did you mean X?” when a known name is near, else what is known (or `otherwise`)."""
    from difflib import get_close_matches

    names = list(known)
    folded = {k.casefold(): k for k in reversed(names)}
    near = get_close_matches(name[:60].casefold(), list(folded), n=1, cutoff=0.6)
    if near:
        return f"did you mean “{folded[near[0]]}”?"
    if otherwise:
        return otherwise
    if not names:
        return "there is none in this file yet"
    few = [*names[:12], *(["…"] if len(names) > 12 else [])]
    return f"use {listed(few, 'or')}"
