"""The rows at the bottom of every screen: the keys that matter here, each of which can be clicked.

Every key, these and the others, is in the help (?).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from rich.cells import cell_len
from textual.content import Content
from textual.geometry import Size
from textual.style import Style
from textual.widget import Widget


class KeyFooter(Widget):
    """Keys with their words, wrapped into as many rows as they need."""

    DEFAULT_CSS: ClassVar[str] = """
    KeyFooter { height: auto; dock: bottom; background: $panel; padding: 0 1; }
    """

    def __init__(self, keys: Sequence[tuple[str, str, str]]) -> None:
        """`keys`: the key as it is written, its word, and the action that a click runs."""
        super().__init__()
        self.keys = tuple(keys)

    def _rows(self, width: int) -> list[list[tuple[str, str, str]]]:
        rows: list[list[tuple[str, str, str]]] = [[]]
        used = 0
        for key in self.keys:
            size = cell_len(f"{key[0]} {key[1]}")
            if used and used + size > width:
                rows.append([])
                used = 0
            rows[-1].append(key)
            used += size + 2
        return rows

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        return len(self._rows(width))

    def render(self) -> Content:
        lines = []
        for row in self._rows(self.content_size.width or 78):
            parts: list[Content] = []
            for sign, word, action in row:
                click = Style.from_meta({"@click": action})
                parts.append(Content.styled(sign, click + Style(bold=True, underline=True))
                             + Content.styled(f" {word}", click))
            lines.append(Content("  ").join(parts))
        return Content("\n").join(lines)
