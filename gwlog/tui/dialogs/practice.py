"""After the guided setup: a load for practice, of which nothing is logged, and the screens at a glance."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.widgets import Static

from gwlog.tui.dialogs.base import HELP_KEYS, Dialog
from gwlog.tui.dialogs.load import LoadDialog
from gwlog.tui.widgets.cells import plain, stacked

TOUR = (
    ("l", "a load: where it may go, and one more key logs it"),
    ("v m", "the valve was turned, an outlet was moved"),
    ("o", "something was seen: standing water, a leak, a smell, a sick plant"),
    ("t", "type what happened, line by line; b takes the last entry back"),
    ("1", "Today: the next load, and what to do now"),
    ("2 3", "Garden: each basin; Plan: the next two weeks"),
    ("4 5", "Log: every entry; Upkeep: what comes round, and what a new system asks for once"),
    ("6 7", "Records: papers for wall and landlord, backups; Setup: change anything said so far"),
    ("?", "all keys, wherever you are"),
)
"""The keys of the tour, and what each is for."""


class PracticeDialog(LoadDialog):
    """Choose a usual load and see what would be done; nothing is logged."""

    heading = "For practice: which load? Nothing is logged."

    def keys_line(self) -> Content:
        if self.asking:
            return super().keys_line()
        return plain("1-8 or enter tries it · page down: reasons · esc goes on to the tour")

    def _start(self, *, as_advised: bool) -> None:
        row = self.rows[self.at]
        done = " with the steps before it" if as_advised else ""
        self.asking = False
        self._draw()
        self.say(plain(f"Practice: “{row.name}” would be logged{done} ({row.answer.strip()}). Nothing was logged. "
                       "Escape goes on.", "bold"))
        self.query_one("#message").add_class("-refused")    # shown where a refusal would stand

    def action_details(self) -> None:
        """There are no details of a practice load."""

    def action_back(self) -> None:
        leaves = not self.asking and not self.typed
        super().action_back()
        if leaves:
            self.app.push_screen(TourDialog())


class TourDialog(Dialog[None]):
    """The keys that matter most, on one screen."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,enter,q", "leave", "close"), *HELP_KEYS]
    FOOTER = "enter or esc closes · ? all keys"
    heading = "The screens at a glance"

    def parts(self) -> ComposeResult:
        yield Static(stacked([Content.assemble((f"{key:<4}", "bold"), plain(words)) for key, words in TOUR]),
                     id="words", markup=False)
