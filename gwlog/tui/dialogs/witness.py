"""The seal number for a witness: the line, the words to read out, a code for a camera; enter logs to whom it went."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widgets import Static

from gwlog.app.forms.witness import GIVE
from gwlog.app.witness import this_number
from gwlog.household import Household
from gwlog.text import wrap
from gwlog.tui.dialogs.base import HELP_KEYS, PageDialog
from gwlog.tui.widgets.cells import plain, stacked
from gwlog.views.this_number import qr


class WitnessDialog(PageDialog[None]):
    """Shows this moment's seal number in every form that a terminal can."""

    DEFAULT_CSS: ClassVar[str] = """
    WitnessDialog #words { height: 1fr; }
    WitnessDialog #code { width: auto; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "give", "log to whom it was given"),
        Binding("down", "page(1)", "scroll down", show=False),
        Binding("up", "page(-1)", "scroll up", show=False),
        Binding("escape", "leave", "back"),
        *HELP_KEYS,
    ]
    PAGED = ("#words", 3)
    FOOTER = "enter logs to whom · ↑↓ scroll · esc back · F1 keys"
    heading = "Have the seal number witnessed"

    def __init__(self, home: Household) -> None:
        super().__init__()
        self.home, self.this = home, this_number(home)

    def parts(self) -> ComposeResult:
        with VerticalScroll(id="words", can_focus=False):
            yield Static(id="number", markup=False)
            yield Static(qr(self.this.number.short.upper()).rstrip(), id="code", markup=False)
            yield Static(id="ask", markup=False)

    def on_mount(self) -> None:
        self.call_after_refresh(self._show)

    def on_resize(self) -> None:
        """Wrap the words again."""
        self._show()

    def _show(self) -> None:
        if not self.query("#ask"):
            return
        width = max(20, self.size.width - 6)
        self.query_one("#number", Static).update(stacked([
            plain(self.this.number.short, "bold"), *map(plain, wrap(self.this.words, width))]))
        self.query_one("#ask", Static).update(stacked([
            *map(plain, wrap(self.this.ask, width)),
            *map(plain, wrap(f"The line that is signed or stamped: {self.this.line}", width))]))

    def action_give(self) -> None:
        self.dismiss()
        self.host.open_form(GIVE)
