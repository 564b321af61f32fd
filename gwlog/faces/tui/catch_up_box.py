"""Catching up by typing, over the screen: each line is said back; all of them are logged together at the end.

Leaving keeps the lines.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, cast

from textual import work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Static

from gwlog import text
from gwlog.errors import GwlogError
from gwlog.faces import catchup
from gwlog.faces.advised import with_facts
from gwlog.faces.present.household import Household
from gwlog.faces.tui.cells import plain, stacked
from gwlog.faces.tui.entry_line import EntryLine
from gwlog.faces.tui.hints import told

if TYPE_CHECKING:
    from gwlog.faces.tui.app import Screens

KEPT = "typed lines"


class CatchUpBox(ModalScreen[bool]):
    """Reads lines and logs them. Returns whether anything was logged."""

    DEFAULT_CSS: ClassVar[str] = """
    CatchUpBox { align: center middle; background: $background; }
    CatchUpBox #box { width: 78; max-width: 100%; height: auto; max-height: 100%; overflow-y: auto;
                      background: $surface; border: round $primary; padding: 0 1; }
    CatchUpBox Static { height: auto; }
    CatchUpBox #how { color: $text-muted; margin-top: 1; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "next", "take the line; on an empty line: log them all"),
        Binding("up", "last", "the last line again, to change it", priority=True),
        Binding("escape", "leave", "leave; the lines are kept"),
        Binding("ctrl+n", "afresh", "forget the lines"),
        Binding("f1", "app.keys", "all keys"),
        Binding("ctrl+q", "app.leave", "quit", show=False),
    ]

    def __init__(self, home: Household) -> None:
        super().__init__()
        self.home = home
        self.caught: list[catchup.Caught] = []
        self.busy = False

    @property
    def screens(self) -> Screens:
        return cast("Screens", self.app)

    def compose(self) -> ComposeResult:
        with VerticalScroll(id="box", can_focus=False):
            yield Static("What happened, line by line", classes="title", markup=False)
            yield Static(id="caught", markup=False)
            yield EntryLine(hint="mon 9 towels", id="line")
            yield Static(id="said", markup=False)
            yield Static(id="how", markup=False)

    def on_mount(self) -> None:
        kept = self.screens.drafts.get(KEPT, {}).get("lines", ())
        if isinstance(kept, tuple) and kept:
            *lines, last = kept
            try:
                self.caught = catchup.read_lines(self.home, lines, by=self.screens.writer)
            except GwlogError:
                last = ""
            self.query_one("#line", EntryLine).value = last
        self.query_one("#line", EntryLine).focus()
        self._draw()

    @property
    def line(self) -> str:
        """What is being typed."""
        return self.query_one("#line", EntryLine).value

    def _read(self) -> catchup.Caught:
        before = [fact for one in self.caught for fact in one.facts]
        return catchup.read_line(with_facts(self.home, before), self.line, by=self.screens.writer)

    def _draw(self) -> None:
        self.query_one("#caught", Static).update(stacked([plain(f"✓ {one.said}") for one in self.caught]))
        if self.line.strip():
            try:
                said = Content.assemble(("Understood: ", "bold $text-success"), plain(self._read().said))
            except GwlogError as fault:
                said = self._fault(fault)
        elif self.caught:
            said = plain(f"enter logs {text.plural(len(self.caught), 'line')}.", "bold")
        else:
            said = plain("Like:\n  " + "\n  ".join(catchup.SHAPES), "dim")
        self.query_one("#said", Static).update(said)
        self.query_one("#how", Static).update(plain(
            "enter takes the line, an empty one logs all · ↑ last line · esc leaves · F1 keys"))
        self.query_one("#box").scroll_end(animate=False)

    def _fault(self, fault: GwlogError) -> Content:
        return Content.assemble(("✗ ", "bold $text-error"),
                                plain(told(fault)))

    def on_input_changed(self) -> None:
        self._draw()

    def on_input_submitted(self) -> None:
        self.action_next()

    def action_next(self) -> None:
        if not self.line.strip():
            if self.caught and not self.busy:
                self.busy = True
                self._log()
            return
        try:
            self.caught.append(self._read())
        except GwlogError as fault:
            self.query_one("#said", Static).update(self._fault(fault))
            return
        self.query_one("#line", EntryLine).value = ""
        self._draw()

    def action_last(self) -> None:
        if self.caught and not self.line.strip():
            self.query_one("#line", EntryLine).value = self.caught.pop().line
            self._draw()

    def action_afresh(self) -> None:
        self.caught = []
        self.query_one("#line", EntryLine).value = ""
        self._draw()

    def action_leave(self) -> None:
        if self.caught or self.line.strip():
            self.screens.drafts[KEPT] = {"lines": (*(one.line for one in self.caught), self.line)}
        else:
            self.screens.drafts.pop(KEPT, None)
        self.dismiss(False)

    @work
    async def _log(self) -> None:
        try:
            written = await self.screens.write([fact for one in self.caught for fact in one.facts])
        except GwlogError as fault:
            self.query_one("#said", Static).update(self._fault(fault))
            return
        finally:
            self.busy = False
        self.screens.drafts.pop(KEPT, None)
        self.screens.say([f"Logged {text.plural(len(written), 'entry', 'entries')} from "
                          f"{text.plural(len(self.caught), 'line')}.", *(f"  {one.said}" for one in self.caught[-3:])])
        self.dismiss(True)
