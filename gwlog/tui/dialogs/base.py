"""What every dialog has: the frame, the keys for help and for leaving, a message, and the line of keys at its foot.

A subclass gives `heading`, `parts()` and `FOOTER`.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar, TypeVar

from textual.app import ComposeResult
from textual.await_complete import AwaitComplete
from textual.binding import Binding
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.widget import Widget
from textual.widgets import Static

from gwlog.errors import GwlogError
from gwlog.tui import key_hints
from gwlog.tui.host import Hosted
from gwlog.tui.widgets.cells import plain, refusal, stacked

T = TypeVar("T")

QUIT = Binding("ctrl+q", "app.leave", "quit", show=False)
KEYS = (Binding("f1", "app.help", "all keys"), QUIT)
"""The last keys of a dialog with fields; where nothing is typed, `HELP_KEYS`."""

HELP_KEYS = (Binding("f1,question_mark", "app.help", "all keys"), QUIT)
PART_KEYS = (Binding("tab", "app.focus_next", "the next part", show=False),
             Binding("shift+tab", "app.focus_previous", "the part before", show=False))
FIELD_KEYS = (
    # before any field sees them: the letter typed right after belongs to the next field
    Binding("tab", "app.focus_next", "the next field", show=False, priority=True),
    Binding("shift+tab", "app.focus_previous", "the field before", show=False, priority=True))


class Dialog(Hosted, ModalScreen[T]):
    """A frame in the middle of the screen, as high as it needs to be."""

    DEFAULT_CSS: ClassVar[str] = """
    Dialog { align: center middle; background: $background; }
    Dialog #frame { width: 76; max-width: 100%; height: auto; max-height: 100%;
                  background: $surface; border: round $primary; padding: 0 1; }
    Dialog Static { height: auto; }
    Dialog #about { color: $text-muted; }
    Dialog #footer { margin-top: 1; color: $text-muted; }
    """
    FOOTER: ClassVar[str] = ""
    PAGED: ClassVar[tuple[str, int]] = ("#words", 0)
    """The part that page up and page down scroll, and by how many rows; 0: as many as it shows, less one."""

    heading = ""

    def compose(self) -> ComposeResult:
        with self.frame():
            yield Static(plain(self.heading), id="title", classes="title", markup=False)
            yield from self.parts()
            yield self.footer()

    def frame(self) -> Widget:
        """What holds the parts: it scrolls where they need more rows than there are."""
        return VerticalScroll(id="frame", can_focus=False)

    def parts(self) -> ComposeResult:
        """What the dialog is made of, from top to bottom."""
        yield from ()

    def footer(self) -> Widget:
        """The line of keys."""
        return Static(self.keys_line(), id="footer", markup=False)

    def keys_line(self) -> Content:
        """The keys that matter most, in words."""
        return plain(self.FOOTER)

    def message_part(self) -> Widget:
        """Where `say` and `refuse` show their lines."""
        return Static(id="message", markup=False)

    def say(self, *lines: Content) -> None:
        """Show lines as the message; nothing while the dialog is being put together or left."""
        for part in self._messages():
            part.update(stacked(list(lines)))

    def refuse(self, fault: GwlogError | str) -> None:
        """Show as the message why something cannot be."""
        self.say(refusal(key_hints.refused(fault) if isinstance(fault, GwlogError) else fault))

    def _messages(self) -> Iterator[Static]:
        return iter(self.query("#message").results(Static))

    def focus_first(self) -> None:
        """Let keys go to the first field."""
        self.query("EntryLine, Choice").first().focus()

    def action_page(self, by: int) -> None:
        name, rows = self.PAGED
        part = self.query_one(name)
        part.scroll_relative(y=by * (rows or max(1, part.size.height - 1)), animate=False)

    def dismiss(self, result: T | None = None) -> AwaitComplete:
        """Leave, once, with whatever was opened over this dialog.

        What is under way may end after a key has left the dialog, or while the help is open over it.
        """
        if self not in self.app.screen_stack:
            return AwaitComplete()
        while (over := self.app.screen) is not self:
            over.dismiss()
        return super().dismiss(result)

    def action_leave(self) -> None:
        self.dismiss()


class PartedDialog(Dialog[T]):
    """A frame whose parts scroll by themselves, each within its share of the rows, so that those below are seen."""

    def frame(self) -> Widget:
        return Vertical(id="frame")

    def scrolled(self, name: str, *parts: Widget) -> VerticalScroll:
        """A part that scrolls."""
        return VerticalScroll(*parts, id=name, can_focus=False)


class PageDialog(Dialog[T]):
    """A dialog over the whole screen, with its keys on the last row."""

    DEFAULT_CSS: ClassVar[str] = """
    PageDialog #frame { width: 100%; height: 1fr; padding: 0 1; background: $background; border: none; }
    PageDialog #footer { background: $panel; padding: 0 1; margin-top: 0; dock: bottom; }
    """
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (110, "-wide")]  # noqa: RUF012 - declared by textual

    def compose(self) -> ComposeResult:
        with self.frame():
            yield Static(plain(self.heading), id="title", classes="title", markup=False)
            yield from self.parts()
        yield self.footer()

    def frame(self) -> Widget:
        return Vertical(id="frame")
