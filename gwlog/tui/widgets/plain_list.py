"""A list of lines to choose from, without a frame; the highlighted line keeps its place when the lines are renewed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.widgets import OptionList
from textual.widgets.option_list import Option


class PlainList(OptionList):
    """An option list that looks like the screen around it."""

    DEFAULT_CSS: ClassVar[str] = """
    PlainList, PlainList:focus { border: none; padding: 0; background: $background; }
    PlainList:focus > .option-list--option-highlighted { background: $chosen; color: $foreground; }
    """

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id, markup=False)

    def renew(self, options: Sequence[Option]) -> None:
        """Show other options; the highlight stays at the same line."""
        at = self.highlighted or 0
        self.clear_options()
        self.add_options(options)
        self.highlighted = min(at, len(options) - 1) if options else None
