"""A choice among a few words, laid out in lines that wrap; arrows, first letters and the mouse choose.

The chosen one carries a filled dot, so that it reads without colour.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar, NamedTuple

from rich.cells import cell_len
from textual import events
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.geometry import Size
from textual.message import Message
from textual.widget import Widget

from gwlog import text
from gwlog.app.forms.model import Option


class _Spot(NamedTuple):
    row: int
    start: int
    end: int


class Choice(Widget, can_focus=True):
    """Choose one option, or with `many` any number of them."""

    DEFAULT_CSS: ClassVar[str] = """
    Choice { height: auto; padding: 0 1; background: $panel; }
    Choice:focus { background: $chosen; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left,up", "step(-1)", "the one before", show=False),
        Binding("right,down", "step(1)", "the next one", show=False),
        Binding("space", "mark", "mark or unmark", show=False),
    ]

    class Changed(Message):
        """Another value was chosen."""

        def __init__(self, choice: Choice) -> None:
            super().__init__()
            self.choice = choice

        @property
        def control(self) -> Choice:
            return self.choice

    def __init__(self, options: Sequence[Option], value: str | tuple[str, ...] = "", *, many: bool = False,
                 id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id)
        self.options = tuple(options)
        self.many = many
        self.at = 0
        self.picked = bool(value)
        """Whether somebody chose; else the first option is the usual one, whichever that is."""
        self.marked: set[str] = set(value) if isinstance(value, tuple) else set()
        if isinstance(value, str):
            self.at = next((n for n, o in enumerate(self.options) if o.value == value), 0)

    @property
    def value(self) -> str | tuple[str, ...]:
        """The chosen value; with `many`, those marked in the order of the options."""
        if self.many:
            return tuple(option.value for option in self.options if option.value in self.marked)
        return self.options[self.at].value if self.options else ""

    def offer(self, options: Sequence[Option]) -> None:
        """Offer other options; what was chosen stays chosen where it still can be."""
        if tuple(options) == self.options:
            return
        before = self.options[self.at].value if self.options and self.picked else ""
        self.options = tuple(options)
        self.at = next((n for n, o in enumerate(self.options) if o.value == before), 0)
        self.marked &= {option.value for option in self.options}
        self.refresh(layout=True)

    def choose(self, index: int) -> None:
        """Choose (or go to) the option of that number."""
        if not self.options:
            return
        self.at = index % len(self.options)
        self.picked = True
        self.refresh()
        if not self.many:
            self.post_message(self.Changed(self))

    def action_step(self, by: int) -> None:
        self.choose(self.at + by)

    def action_mark(self) -> None:
        if not self.many or not self.options:
            return
        self.marked ^= {self.options[self.at].value}
        self.refresh()
        self.post_message(self.Changed(self))

    def on_key(self, event: events.Key) -> None:
        sign = (event.character or "").casefold()
        if not sign.isalnum() or not self.options:
            return
        order = [*range(self.at + 1, len(self.options)), *range(self.at + 1)]
        hit = next((n for n in order if self.options[n].label.casefold().startswith(sign)), None)
        if hit is not None:
            self.choose(hit)
            event.stop()

    def on_click(self, event: events.Click) -> None:
        offset = event.get_content_offset(self)
        if offset is None:
            return
        for number, spot in enumerate(self._spots(self.content_size.width)):
            if spot.row == offset.y and spot.start <= offset.x < spot.end:
                self.choose(number)
                self.action_mark()

    def _label(self, number: int, width: int) -> str:
        option = self.options[number]
        on = option.value in self.marked if self.many else number == self.at
        dot = "■" if on else "□"
        label = text.one_line(option.label)
        room = max(4, width - 3)
        if cell_len(label) > room:
            label = label[: room - 1] + "…"
        return f"{dot} {label}"

    def _spots(self, width: int) -> list[_Spot]:
        spots, row, column = [], 0, 0
        for number in range(len(self.options)):
            size = cell_len(self._label(number, width))
            if column and column + size > width:
                row, column = row + 1, 0
            spots.append(_Spot(row, column, column + size))
            column += size + 3
        return spots

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        spots = self._spots(width)
        return spots[-1].row + 1 if spots else 1

    def render(self) -> Content:
        width = self.content_size.width or 60
        if not self.options:
            return Content.styled("nothing to choose", "dim")
        parts: list[Content | tuple[str, str]] = []
        row = column = 0
        for number, spot in enumerate(self._spots(width)):
            if spot.row != row:
                parts.append(("\n", ""))
                row, column = spot.row, 0
            parts.append((" " * (spot.start - column), ""))
            here = number == self.at
            style = "bold reverse" if here and self.has_focus else "bold" if here and not self.many else ""
            parts.append((self._label(number, width), style))
            column = spot.end
        return Content.assemble(*parts)
