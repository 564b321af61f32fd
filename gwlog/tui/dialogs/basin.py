"""One basin over the whole screen: the detail that a wide screen shows beside the garden."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widgets import Static

from gwlog.household import Household
from gwlog.tui.dialogs.base import HELP_KEYS, Dialog
from gwlog.tui.widgets.basin_detail import BasinDetail


class BasinDialog(Dialog[None]):
    """Shows a basin; it scrolls with the arrows."""

    DEFAULT_CSS: ClassVar[str] = """
    BasinDialog #frame { width: 100%; height: 100%; border: none; background: $background; }
    BasinDialog #footer { margin-top: 0; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,enter", "dismiss", "back to the garden"),
        *HELP_KEYS,
    ]

    def __init__(self, home: Household, name: str) -> None:
        super().__init__()
        self.home = home
        self.basin = name

    def compose(self) -> ComposeResult:
        with VerticalScroll(id="frame"):
            yield BasinDetail()
            yield Static("esc back · ↑↓ scroll", id="footer", markup=False)

    def on_mount(self) -> None:
        self.call_after_refresh(self._show)

    def _show(self) -> None:
        self.query_one(BasinDetail).show(self.home, self.basin)

    def household_changed(self) -> None:
        """Show the newest look at the household."""
        home = self.host.home
        if home is not None and home.state.site is not None and self.query("#facts"):
            self.home = home
            self._show()
