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
from gwlog.app import quick_entry
from gwlog.app.entries import with_facts
from gwlog.errors import GwlogError
from gwlog.household import Household
from gwlog.tui.hints import told
from gwlog.tui.widgets.cells import plain, stacked
from gwlog.tui.widgets.entry_line import EntryLine
from gwlog.tui.widgets.latest_result import Thinking

if TYPE_CHECKING:
    from gwlog.tui.app import Screens

KEPT = "typed lines"


class CatchUpBox(Thinking, ModalScreen[bool]):
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
        self.caught: list[quick_entry.Caught] = []
        self.busy = False
        self.understood: tuple[str, quick_entry.Caught] | None = None
        """The line that was understood last, as long as the lines before it are the same."""

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
                self.caught = quick_entry.read_lines(self.home, lines, by=self.screens.writer)
            except GwlogError:
                last = ""
            self.query_one("#line", EntryLine).value = last
        self.query_one("#line", EntryLine).focus()
        self._draw()

    @property
    def line(self) -> str:
        """What is being typed."""
        return self.query_one("#line", EntryLine).value

    def _read(self, line: str) -> quick_entry.Caught | GwlogError:
        before = [fact for one in self.caught for fact in one.facts]
        try:
            return quick_entry.read_line(with_facts(self.home, before), line, by=self.screens.writer)
        except GwlogError as fault:
            return fault

    def _draw(self) -> None:
        self.understood = None
        self.query_one("#caught", Static).update(stacked([plain(f"✓ {one.said}") for one in self.caught]))
        self.query_one("#how", Static).update(plain(
            "enter takes the line, an empty one logs all · ↑ last line · esc leaves · F1 keys"))
        if line := self.line.strip():
            self.think(lambda: self._read(line), lambda found: self._show(line, found))
            return
        self.forget()
        self._say(plain(f"enter logs {text.plural(len(self.caught), 'line')}.", "bold") if self.caught else
                  plain("Like:\n  " + "\n  ".join(quick_entry.SHAPES), "dim"))

    def _show(self, line: str, found: quick_entry.Caught | GwlogError) -> None:
        if isinstance(found, GwlogError):
            self._say(self._fault(found))
            return
        self.understood = (line, found)
        self._say(Content.assemble(("Understood: ", "bold $text-success"), plain(found.said)))

    def _say(self, words: Content) -> None:
        if not self.query("#said"):
            return
        self.query_one("#said", Static).update(words)
        self.query_one("#box").scroll_end(animate=False)

    def _fault(self, fault: GwlogError) -> Content:
        return Content.assemble(("✗ ", "bold $text-error"), plain(told(fault)))

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
        line = self.line.strip()
        found = self.understood[1] if self.understood and self.understood[0] == line else self._read(line)
        if isinstance(found, GwlogError):
            self._say(self._fault(found))
            return
        self.caught.append(found)
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
