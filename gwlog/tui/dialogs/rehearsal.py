"""A rehearsal of a season: how long and through which weather, a bar while it runs, then the table and the plots.

It logs nothing. Stopped early, it shows the habits that were finished by then.
"""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING, Any, ClassVar, cast

from rich.text import Text
from textual import work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import DataTable, Static

from gwlog import text
from gwlog.errors import GwlogError
from gwlog.tui.hints import here
from gwlog.tui.widgets.cells import plain, stacked
from gwlog.tui.widgets.entry_line import EntryLine
from gwlog.views import rehearsal as page

if TYPE_CHECKING:
    from gwlog.decisions.simulation import Rehearsal
    from gwlog.tui.app import Screens

USUAL_DAYS = "365"
LONGEST_DAYS = 1830
TABLE_FROM = 126


class RehearsalBox(ModalScreen[None]):
    """Asks, runs, shows."""

    DEFAULT_CSS: ClassVar[str] = """
    RehearsalBox { align: center top; background: $background; }
    RehearsalBox #box { width: 100%; height: 100%; padding: 0 1; }
    RehearsalBox Static { height: auto; }
    RehearsalBox .row { height: 1; }
    RehearsalBox .row Static { width: 13; }
    RehearsalBox .row EntryLine { width: 1fr; }
    RehearsalBox #said, RehearsalBox #plots, RehearsalBox DataTable { margin-top: 1; }
    RehearsalBox DataTable { height: auto; background: $background; display: none; }
    RehearsalBox #how { height: auto; background: $panel; padding: 0 1; dock: bottom; color: $text-muted; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "begin", "begin"),
        Binding("x", "stop", "stop it; what is finished is shown"),
        Binding("escape", "leave", "back; a rehearsal under way is stopped"),
        Binding("pageup", "page(-1)", "up", show=False),
        Binding("pagedown", "page(1)", "down: the plots", show=False),
        Binding("f1", "app.keys", "all keys"),
        Binding("ctrl+q", "app.leave", "quit", show=False),
    ]

    def __init__(self) -> None:
        super().__init__()
        self.result: Rehearsal | None = None
        self.mine = False

    @property
    def screens(self) -> Screens:
        return cast("Screens", self.app)

    def compose(self) -> ComposeResult:
        with VerticalScroll(id="box", can_focus=False):
            yield Static("Rehearse a season: the plan beside simpler habits", classes="title", markup=False)
            with Horizontal(classes="row"):
                yield Static("Days", markup=False)
                yield EntryLine(USUAL_DAYS, hint=f"1 to {LONGEST_DAYS}", id="days")
            with Horizontal(classes="row"):
                yield Static("Weather", markup=False)
                yield EntryLine(hint="a CSV of daily weather; empty: the climate's normals", id="weather")
            yield Static(id="said", markup=False)
            yield DataTable[Text](cursor_type="none", id="habits")
            yield Static(id="plots", markup=False)
        yield Static("enter begins · x stops · esc back · page down: the plots · F1 keys", id="how",
                     markup=False)

    def on_mount(self) -> None:
        table = self.query_one(DataTable)
        for label in page.HEAD:
            table.add_column(Text(label))
        self.query_one("#days").focus()
        self._say([plain("The same loads and weather through each habit, day by day; it logs nothing.", "dim")])

    def _say(self, lines: list[Content]) -> None:
        self.query_one("#said", Static).update(stacked(lines))

    def on_input_submitted(self) -> None:
        self.action_begin()

    def action_page(self, by: int) -> None:
        box = self.query_one("#box", VerticalScroll)
        box.scroll_relative(y=by * (self.size.height - 4), animate=False)

    def action_begin(self) -> None:
        if self.screens.ready(self.action_begin) is None:
            return
        days = self.query_one("#days", EntryLine).value.strip()
        if not (days.isascii() and days.isdecimal() and 1 <= int(days[:6]) <= LONGEST_DAYS):
            self._say([Content.assemble(("✗ ", "bold $text-error"), plain(
                f"Days: a whole number from 1 to {LONGEST_DAYS} is wanted, not “{days[:40]}”."))])
            return
        order: dict[str, Any] = {"work": "rehearse", "logbook": str(self.screens.path), "days": int(days),
                                 "now": self.screens.now().isoformat(),
                                 "weather": self.query_one("#weather", EntryLine).value.strip() or None}
        if self.screens.begin_work("Rehearsing", order, self._done):
            self.mine = True
            # away from the fields, so that a single key stops it
            self.set_focus(None)
        else:
            self._say([Content.assemble(("✗ ", "bold $text-error"), "Other work is still under way.")])

    def show_running(self) -> None:
        """Show how far it is."""
        if self.mine and self.screens.running is not None and self.is_mounted:
            self._say([self.screens.running.bar(self.size.width), plain("x stops it.", "dim")])

    def action_stop(self) -> None:
        if self.mine:
            self.screens.stop_work()

    def action_leave(self) -> None:
        self.action_stop()
        self.dismiss()

    def _done(self, outcome: dict[str, Any]) -> None:
        self.mine = False
        if not self.is_mounted or self not in self.app.screen_stack:
            return
        if "refused" in outcome:
            hint = f"\n{here(outcome['hint'])}" if outcome.get("hint") else ""
            self._say([Content.assemble(("✗ ", "bold $text-error"), plain(outcome["refused"] + hint))])
            return
        self.result = page.of_json(outcome["rehearsal"])
        self._show(self.result)

    @work(exclusive=True, group="plots")
    async def _show(self, result: Rehearsal) -> None:
        try:
            home = self.screens.fresh()
        except GwlogError as trouble:
            self._say([plain(str(trouble))])
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
                told = " · ".join(f"{word} {cell}".replace(" ", "\u00a0") for word, cell in pairs)
                lines += [plain(habit, "bold"), *(plain(f"  {line}") for line in text.wrap(told, width - 2))]
        self._say(lines)
        plots = await asyncio.to_thread(page.plots, home, result, width)
        self.query_one("#plots", Static).update(stacked([plain(line) for line in plots]))

    def on_resize(self) -> None:
        if self.result is not None:
            self._show(self.result)
