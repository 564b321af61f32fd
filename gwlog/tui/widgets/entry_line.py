"""A one-line field to type in: what is pasted is cleaned of control signs before it reaches the screen.

Nothing typed is read as markup.
"""

from __future__ import annotations

from typing import ClassVar

from textual.widgets import Input

from gwlog import text

LONGEST = 5_000


class EntryLine(Input):
    """An input that holds cleaned words only, on one row."""

    DEFAULT_CSS: ClassVar[str] = """
    EntryLine, EntryLine.-textual-compact, EntryLine.-textual-compact:focus {
        border: none; height: 1; padding: 0 1; background: $panel;
    }
    EntryLine.-textual-compact:focus { background: $chosen; text-style: bold; }
    """

    def __init__(self, value: str = "", *, hint: str = "", id: str | None = None) -> None:  # noqa: A002
        super().__init__(value=text.one_line(value), placeholder=hint, id=id, compact=True, select_on_focus=True)
        self.cursor_blink = False

    def validate_value(self, value: str) -> str:
        """Keep what can be shown; a line this long is refused by the form anyway."""
        return text.clean(value).replace("\n", " ").replace("\t", " ")[:LONGEST]
