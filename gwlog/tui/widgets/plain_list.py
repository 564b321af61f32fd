"""A list of lines to choose from, without a frame; the highlighted line keeps its place when the lines are renewed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual import events
from textual.binding import Binding, BindingType
from textual.widgets import OptionList
from textual.widgets.option_list import Option


class PlainList(OptionList):
    """An option list that looks like the screen around it."""

    DEFAULT_CSS: ClassVar[str] = """
    PlainList, PlainList:focus { border: none; padding: 0; background: $background; }
    PlainList:focus > .option-list--option-highlighted { background: $chosen; color: $foreground; }
    """

    BINDINGS: ClassVar[list[BindingType]] = [Binding("slash", "find", "find a line by its letters; esc ends it")]

    def __init__(self, *, id: str | None = None, finds: bool = True) -> None:  # noqa: A002
        """`finds`: the list is searched itself; not where the screen around it has a search."""
        super().__init__(id=id, markup=False)
        self._finds = finds
        self._sought: str | None = None

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Leave the key to the screen that has a search of its own."""
        return self._finds if action == "find" else super().check_action(action, parameters)

    def action_find(self) -> None:
        """From here on letters are looked for in the lines, until another key."""
        self._sought = ""

    def on_key(self, event: events.Key) -> None:
        """Go to the next line with the letters typed so far; a letter that fits no line is left out."""
        if self._sought is None:
            return
        if event.is_printable and event.character is not None:
            sought = self._sought + event.character.casefold()
        elif event.key == "backspace":
            sought = self._sought[:-1]
        else:
            self._sought = None
            if event.key == "escape":
                event.stop()
                event.prevent_default()
            return
        event.stop()
        event.prevent_default()
        found = self._line_with(sought)
        if found is None:
            self.app.bell()
        else:
            self._sought, self.highlighted = sought, found

    def _line_with(self, sought: str) -> int | None:
        """The first line that can be chosen and begins a word with these letters, from the highlighted one on."""
        start: int = self.highlighted or 0
        count: int = self.option_count
        places: list[int] = [*range(start, count), *range(start)]
        for place in places:
            option: Option = self.get_option_at_index(place)
            words = f" {option.prompt}".casefold()
            if not option.disabled and f" {sought}" in words:
                return place
        return None

    def on_blur(self) -> None:
        """Letters are keys again."""
        self._sought = None

    def renew(self, options: Sequence[Option]) -> None:
        """Show other options; the highlight stays at the same line."""
        at = self.highlighted or 0
        self.clear_options()
        self.add_options(options)
        self.highlighted = min(at, len(options) - 1) if options else None
