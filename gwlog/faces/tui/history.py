"""Every wording of one entry, first to last, over the screen: who wrote what when, and whether it was struck out."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Static

from gwlog import clock
from gwlog.faces.present.entries_list import history, sentence
from gwlog.faces.present.household import Household
from gwlog.faces.tui.cells import plain, stacked
from gwlog.journal.facts import Withdrawal


class HistoryBox(ModalScreen[None]):
    """Shows the wordings of an entry."""

    DEFAULT_CSS: ClassVar[str] = """
    HistoryBox { align: center middle; background: $background; }
    HistoryBox #box { width: 76; max-width: 100%; height: auto; max-height: 100%; background: $surface;
                      border: round $primary; padding: 0 1; }
    HistoryBox Static { height: auto; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,enter,q", "dismiss", "back to the log"),
        Binding("f1,question_mark", "app.keys", "all keys"),
        Binding("ctrl+q", "app.leave", "quit", show=False),
    ]

    def __init__(self, home: Household, number: int) -> None:
        super().__init__()
        self.home = home
        self.number = number

    def compose(self) -> ComposeResult:
        home = self.home
        parts: list[Content] = []
        for count, fact in enumerate(history(home, self.number)):
            word = "struck out" if isinstance(fact, Withdrawal) else "first wording" if count == 0 else "corrected"
            who = f" by {fact.recorded_by}" if fact.recorded_by else ""
            parts.append(plain(f"{fact.id}  {word}{who}, written {clock.echo(fact.recorded_at, home.zone)}", "bold"))
            parts.append(plain(f"    {sentence(home, fact)}"))
            parts.append(plain(f"    happened {clock.echo(fact.happened_at, home.zone)}"))
            if fact.note:
                parts.append(plain(f"    “{fact.note}”"))
        with VerticalScroll(id="box"):
            yield Static("Every wording of this entry", classes="title", markup=False)
            yield Static(stacked(parts), markup=False)
            yield Static("esc back", classes="dim gap", markup=False)
