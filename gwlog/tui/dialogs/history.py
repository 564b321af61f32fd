"""Boxes of words over the log: every wording of one entry, and what does not fit together with a way out.

Both only show; what they show is mended from the log's own keys.
"""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Static

from gwlog import clock
from gwlog.household import Household
from gwlog.journal.facts import Withdrawal
from gwlog.tui.hints import here
from gwlog.tui.widgets.cells import plain, stacked
from gwlog.views.log import history, sentence


class WordsBox(ModalScreen[None]):
    """Shows a title and words that scroll."""

    DEFAULT_CSS: ClassVar[str] = """
    WordsBox { align: center middle; background: $background; }
    WordsBox #box { width: 76; max-width: 100%; height: auto; max-height: 100%; background: $surface;
                    border: round $primary; padding: 0 1; }
    WordsBox Static { height: auto; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,enter,q", "dismiss", "back to the log"),
        Binding("f1,question_mark", "app.keys", "all keys"),
        Binding("ctrl+q", "app.leave", "quit", show=False),
    ]

    def __init__(self, title: str, words: list[Content]) -> None:
        super().__init__()
        self.heading = title
        self.words = words

    def compose(self) -> ComposeResult:
        with VerticalScroll(id="box"):
            yield Static(plain(self.heading), classes="title", markup=False)
            yield Static(stacked(self.words), markup=False)
            yield Static("esc back", classes="dim gap", markup=False)


def history_box(home: Household, number: int) -> WordsBox:
    """Every wording of one entry, first to last: who wrote what when, and whether it was struck out."""
    parts: list[Content] = []
    for count, fact in enumerate(history(home, number)):
        word = "struck out" if isinstance(fact, Withdrawal) else "first wording" if count == 0 else "corrected"
        who = f" by {fact.recorded_by}" if fact.recorded_by else ""
        parts.append(plain(f"{fact.id}  {word}{who}, written {clock.echo(fact.recorded_at, home.zone)}", "bold"))
        parts.append(plain(f"    {sentence(home, fact)}"))
        parts.append(plain(f"    happened {clock.echo(fact.happened_at, home.zone)}"))
        if fact.note:
            parts.append(plain(f"    “{fact.note}”"))
    return WordsBox("Every wording of this entry", parts)


def odd_box(home: Household) -> WordsBox:
    """What does not fit together in the log, each with a way out."""
    parts: list[Content] = []
    for problem in home.problems:
        parts += [plain(problem.text), plain(f"    → {here(problem.way_out)}", "dim")]
    return WordsBox("What does not fit together", parts or [plain("Everything fits together.")])
