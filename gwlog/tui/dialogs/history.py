"""Lines over the log: every wording of one entry, and what does not fit together with a way out.

Both only show; what they show is corrected with the log's own keys.
"""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from gwlog import clock
from gwlog.household import Household
from gwlog.journal.facts import Withdrawal
from gwlog.journal.listing import asking
from gwlog.tui import key_hints
from gwlog.tui.dialogs.base import HELP_KEYS, Dialog
from gwlog.tui.widgets.cells import plain, stacked
from gwlog.views.log import sentence


class LinesDialog(Dialog[None]):
    """Shows a title and lines that scroll."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,enter,q", "dismiss", "back to the log"), *HELP_KEYS]
    FOOTER = "esc back"

    def __init__(self, title: str, lines: list[Content]) -> None:
        super().__init__()
        self.heading = title
        self.lines = lines

    def frame(self) -> Widget:
        return VerticalScroll(id="frame")

    def parts(self) -> ComposeResult:
        yield Static(stacked(self.lines), markup=False)


def history_dialog(home: Household, number: int) -> LinesDialog:
    """Every wording of one entry, first to last: who wrote what when, and whether it was withdrawn."""
    lines: list[Content] = []
    with asking(home.path, home.now) as lists:
        wordings = lists.wordings(number)
    for count, fact in enumerate(wordings):
        word = "withdrawn" if isinstance(fact, Withdrawal) else "first version" if count == 0 else "corrected"
        who = f" by {fact.recorded_by}" if fact.recorded_by else ""
        lines.append(plain(f"{fact.id}  {word}{who}, written {clock.echo(fact.recorded_at, home.zone)}", "bold"))
        lines.append(plain(f"    {sentence(home, fact)}"))
        lines.append(plain(f"    happened {clock.echo(fact.happened_at, home.zone)}"))
        if fact.note:
            lines.append(plain(f"    “{fact.note}”"))
    return LinesDialog("Versions of this entry", lines)


def problems_dialog(home: Household) -> LinesDialog:
    """Entries that contradict each other in the log, each with a way out."""
    lines: list[Content] = []
    for problem in home.problems:
        lines += [plain(problem.text), plain(f"    → {key_hints.words(problem.way_out)}", "dim")]
    return LinesDialog("Entries that contradict each other", lines or [plain("No contradictions in the log.")])
