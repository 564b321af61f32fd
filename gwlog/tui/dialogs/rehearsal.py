"""A rehearsal of a season: how long and through which weather, a bar while it runs, then the table and the plots.

It logs nothing. Stopped early, it shows the habits that were finished by then.
"""

from __future__ import annotations

import asyncio
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar

from rich.text import Text
from textual import work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widget import Widget
from textual.widgets import DataTable, Static

from gwlog import text
from gwlog.errors import GwlogError
from gwlog.tui import key_hints
from gwlog.tui.dialogs.base import KEYS, PageDialog
from gwlog.tui.widgets.cells import plain, stacked
from gwlog.tui.widgets.entry_line import EntryLine
from gwlog.tui.widgets.labelled_row import LabelledRow
from gwlog.views import rehearsal as page
from gwlog.worker.orders import Rehearse

if TYPE_CHECKING:
    from gwlog.decisions.simulation import Rehearsal

USUAL_DAYS = "365"
LONGEST_DAYS = 1830
TABLE_FROM = 126


class RehearsalDialog(PageDialog[None]):
    """Asks, runs, shows."""

    DEFAULT_CSS: ClassVar[str] = """
    RehearsalDialog #message, RehearsalDialog #plots, RehearsalDialog DataTable { margin-top: 1; }
    RehearsalDialog DataTable { height: auto; background: $background; display: none; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "begin", "begin"),
        Binding("x", "stop", "stop it and show what is finished"),
        Binding("escape", "leave", "back; a running trial is stopped"),
        Binding("pageup", "page(-1)", "up", show=False),
        Binding("pagedown", "page(1)", "down: the plots", show=False),
        *KEYS,
    ]
    FOOTER = "enter begins · x stops · esc back · page down: the plots · F1 keys"
    PAGED = ("#frame", 0)
    heading = "Try a season: the plan against simpler ways"

    def __init__(self) -> None:
        super().__init__()
        self.result: Rehearsal | None = None
        self.mine = False
        """Whether the background task is this dialog's."""

    def frame(self) -> Widget:
        return VerticalScroll(id="frame", can_focus=False)

    def parts(self) -> ComposeResult:
        yield LabelledRow("Days", EntryLine(USUAL_DAYS, hint=f"1 to {LONGEST_DAYS}", id="days"))
        yield LabelledRow("Weather", EntryLine(hint="a CSV of daily weather; empty: the climate's normals",
                                               id="weather"))
        yield LabelledRow("From", EntryLine(hint="a day gone by, like 2025-01-31; empty: today", id="from"))
        yield self.message_part()
        yield DataTable[Text](cursor_type="none", id="habits")
        yield Static(id="plots", markup=False)

    def on_mount(self) -> None:
        table = self.query_one(DataTable)
        for label in page.HEAD:
            table.add_column(Text(label))
        self.focus_first()
        self.say(plain("The same loads and weather through each way of running it, day by day; logs nothing.", "dim"))

    def on_input_submitted(self) -> None:
        self.action_begin()

    def action_begin(self) -> None:
        if self.host.ready(self.action_begin) is None:
            return
        days = self.query_one("#days", EntryLine).value.strip()
        if not (days.isascii() and days.isdecimal() and 1 <= int(days[:6]) <= LONGEST_DAYS):
            self.refuse(f"Days must be a whole number from 1 to {LONGEST_DAYS}, not “{days[:40]}”.")
            return
        weather = self.query_one("#weather", EntryLine).value.strip()
        try:
            first = page.first_day(self.query_one("#from", EntryLine).value)
        except GwlogError as fault:
            self.refuse(key_hints.refused(fault, " "))
            return
        order = Rehearse(logbook=self.host.path, now=self.host.now(), days=int(days),
                         weather=Path(weather) if weather else None, first=first)
        if self.host.background_task.begin("Rehearsing", order, self._done):
            self.mine = True
            # away from the fields, so that a single key stops it
            self.set_focus(None)
        else:
            self.refuse("Other work is still running.")

    def task_changed(self) -> None:
        """Show how far it is."""
        progress = self.host.background_task.progress
        if self.mine and progress is not None and self.is_mounted:
            self.say(progress.bar(self.size.width), plain("x stops it.", "dim"))

    def action_stop(self) -> None:
        if self.mine:
            self.host.background_task.stop()

    def action_leave(self) -> None:
        self.action_stop()
        self.dismiss()

    def _done(self, outcome: dict[str, Any]) -> None:
        self.mine = False
        if not self.is_mounted or self not in self.app.screen_stack:
            return
        if "refused" in outcome:
            self.refuse(key_hints.refused_outcome(outcome))
            return
        self.result = page.of_json(outcome["rehearsal"])
        self._show(self.result)

    @work(exclusive=True, group="plots")
    async def _show(self, result: Rehearsal) -> None:
        try:
            home = self.host.fresh()
        except GwlogError as trouble:
            self.say(plain(str(trouble)))
            return
        width = max(40, self.size.width - 4)
        table = self.query_one(DataTable)
        table.clear()
        for row in page.rows(home, result):
            table.add_row(Text(row[0]), *(Text(cell, justify="right") for cell in row[1:]))
        lines = [plain(line) for line in page.summary(home, result, width)]
        table.display = bool(result.results) and self.size.width >= TABLE_FROM
        if not table.display:
            for habit, *cells in page.rows(home, result):
                # a figure stays on one line with its words
                pairs = zip(page.HEAD[1:], cells, strict=True)
                cells_line = " · ".join(f"{word} {cell}".replace(" ", "\u00a0") for word, cell in pairs)
                lines += [plain(habit, "bold"), *(plain(f"  {line}") for line in text.wrap(cells_line, width - 2))]
        self.say(*lines)
        plots = await asyncio.to_thread(page.plots, home, result, width)
        self.query_one("#plots", Static).update(stacked([plain(line) for line in plots]))

    def on_resize(self) -> None:
        if self.result is not None:
            self._show(self.result)
