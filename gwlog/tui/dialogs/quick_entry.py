"""Catching up by typing, over the screen: what each line means is shown; all of them are logged together at the end.

Leaving keeps the lines.
"""

from __future__ import annotations

import asyncio
from typing import ClassVar

from textual import work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.widgets import Static

from gwlog import text
from gwlog.app import quick_entry
from gwlog.app.entries import with_facts
from gwlog.errors import AnswerChanged, GwlogError
from gwlog.household import Household
from gwlog.tui.dialogs.base import KEYS, Dialog
from gwlog.tui.widgets.cells import marked, plain, stacked
from gwlog.tui.widgets.entry_line import EntryLine
from gwlog.tui.widgets.latest_result import LatestResult
from gwlog.views import consequences

KEPT = "typed lines"


class QuickEntryDialog(LatestResult, Dialog[None]):
    """Reads lines and logs them."""

    DEFAULT_CSS: ClassVar[str] = "QuickEntryDialog #frame { width: 78; }"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "next", "add the line; on an empty line: log them all"),
        Binding("up", "last", "change the last line", priority=True),
        Binding("escape", "leave", "close; the lines are kept"),
        Binding("ctrl+n", "afresh", "clear the lines"),
        *KEYS,
    ]
    FOOTER = "enter adds it · enter on an empty line logs all · ↑ last line · esc · F1"
    heading = "Catch up: one line for each thing"

    def __init__(self, home: Household) -> None:
        super().__init__()
        self.home = home
        self.caught: list[quick_entry.Caught] = []
        self.busy = False
        self.understood: tuple[str, quick_entry.Caught] | None = None
        """The line that was understood last, as long as the lines before it are the same."""

    def parts(self) -> ComposeResult:
        yield Static(id="caught", markup=False)
        yield EntryLine(hint="mon 9 towels", id="line")
        yield self.message_part()

    def on_mount(self) -> None:
        kept = self.host.drafts.get(KEPT, {}).get("lines", ())
        if isinstance(kept, tuple) and kept:
            *lines, last = kept
            try:
                self.caught = quick_entry.read_lines(self.home, lines, by=self.host.person)
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
            return quick_entry.read_line(with_facts(self.home, before), line, by=self.host.person)
        except GwlogError as fault:
            return fault

    def _draw(self) -> None:
        self.understood = None
        self.query_one("#caught", Static).update(stacked([plain(f"✓ {one.said}") for one in self.caught]))
        if line := self.line.strip():
            self.compute(lambda: self._read(line), lambda found: self._show(line, found))
            return
        self.discard()
        self.say(plain(f"enter logs {text.plural(len(self.caught), 'line')}.", "bold") if self.caught else
                 plain("Like:\n  " + "\n  ".join(quick_entry.SHAPES), "dim"))

    def _show(self, line: str, found: quick_entry.Caught | GwlogError) -> None:
        if isinstance(found, GwlogError):
            self.refuse(found)
            return
        self.understood = (line, found)
        self.say(marked("Understood:", found.said))

    def say(self, *lines: Content) -> None:
        """Show lines as the message, where they are seen."""
        super().say(*lines)
        for frame in self.query("#frame"):
            frame.scroll_end(animate=False)

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
            self.refuse(found)
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

    def _read_anew(self) -> None:
        """Show what the lines say on the newest look; those from the first that cannot be read any more are left."""
        self.home = self.host.home or self.home
        lines, self.caught = self.caught, []
        for one in lines:
            found = self._read(one.line)
            if isinstance(found, GwlogError):
                break
            self.caught.append(found)
        self._draw()

    def action_leave(self) -> None:
        if self.caught or self.line.strip():
            self.host.drafts[KEPT] = {"lines": (*(one.line for one in self.caught), self.line)}
        else:
            self.host.drafts.pop(KEPT, None)
        self.dismiss()

    @work
    async def _log(self) -> None:
        try:
            lines = tuple(self.caught)
            done = await self.host.write(lambda home: quick_entry.read_again(home, lines))
        except AnswerChanged as changed:
            self._read_anew()
            self.refuse(changed)
            return
        except GwlogError as fault:
            self.refuse(fault)
            return
        finally:
            self.busy = False
        self.host.drafts.pop(KEPT, None)
        since = await asyncio.to_thread(consequences.missing_now, done.home, done.written)
        self.host.say([f"Logged {text.plural(len(done.written), 'entry', 'entries')} from "
                       f"{text.plural(len(self.caught), 'line')}.", *(f"  {one.said}" for one in self.caught[-3:]),
                       *since])
        self.dismiss()
