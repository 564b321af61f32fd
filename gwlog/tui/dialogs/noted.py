"""The seal numbers that gwlog notes by itself: what they say of the logbook, and a second place to keep them.

Where the logbook is not what was noted, a key takes it as it is, after a second press.
"""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING, ClassVar

from textual import work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.widgets import Static

from gwlog import text
from gwlog.errors import GwlogError
from gwlog.household import Household
from gwlog.tui import key_hints
from gwlog.tui.dialogs.base import KEYS, Dialog
from gwlog.tui.widgets.cells import plain, refusal, stacked
from gwlog.tui.widgets.labelled_row import LabelledRow
from gwlog.tui.widgets.path_line import PathLine

if TYPE_CHECKING:
    from gwlog.app.noted import NotedNumbers


class NotedDialog(Dialog[None]):
    """Shows what is noted; enter keeps the second place that is typed."""

    DEFAULT_CSS: ClassVar[str] = """
    NotedDialog #frame { width: 90; }
    NotedDialog #words { margin-top: 1; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "keep", "keep the second place that is typed", priority=True),
        Binding("ctrl+t", "take", "take the logbook as it is; asks once more"),
        Binding("escape", "leave", "back"),
        *KEYS,
    ]
    FOOTER = "enter keeps the second place · ctrl+t takes the logbook as it is · esc back · F1 keys"
    heading = "Seal numbers noted at each entry"

    def __init__(self, home: Household) -> None:
        super().__init__()
        self.home = home
        self.found: NotedNumbers | None = None
        self.asked = False

    def parts(self) -> ComposeResult:
        yield LabelledRow("Second place", PathLine("", endings=(), id="second",
                                                   hint="a folder elsewhere, like a removable disk; empty: none"))
        yield self.message_part()
        yield Static("Reading …", id="words", markup=False)   # last: on a small screen the message must stay in sight

    def on_mount(self) -> None:
        self.focus_first()
        self._read()

    @work(exclusive=True, group="noted")
    async def _read(self) -> None:
        from gwlog.app import noted as app

        try:
            self.found = await asyncio.to_thread(app.noted, self.home.path)
        except GwlogError as trouble:
            self.query_one("#words", Static).update(refusal(key_hints.refused(trouble)))
            return
        self.query_one("#words", Static).update(stacked([plain(key_hints.words(line)) for line in self.found.told]))
        line = self.query_one("#second", PathLine)
        if not line.value and self.found.second is not None:
            line.value = str(self.found.second)

    def action_keep(self) -> None:
        from gwlog.app import noted as app

        try:
            self.say(plain(app.second_place(text.one_line(self.query_one("#second", PathLine).value), self.home.path)))
        except GwlogError as trouble:
            self.refuse(trouble)
            return
        self._read()

    def action_take(self) -> None:
        """Take the logbook as it is, where it is not what was noted; after a second press."""
        from gwlog.app import noted as app

        if self.found is None or self.found.problem is None:
            self.say(plain("The logbook holds everything that was noted."))
        elif not self.asked:
            self.asked = True
            self.say(plain("Was it put into this state on purpose? ctrl+t again takes it as it is."))
        else:
            self.asked = False
            try:
                self.say(plain(app.as_it_is(self.home.path, self.host.now())))
            except GwlogError as trouble:
                self.refuse(trouble)
                return
            self._read()
