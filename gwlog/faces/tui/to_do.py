"""The list of things to do now, from the reminders; Enter or a click opens the form that notes one.

Each carries its urgency as a sign and a word. One may also be marked as seen, or sent to sleep.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding, BindingType
from textual.content import Content
from textual.message import Message
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from gwlog import text

if TYPE_CHECKING:
    from gwlog.faces.present.household import Household

TONE = {"overdue": "bold $text-error", "due": "bold $text-warning", "soon": "$text-muted"}


class ToDo(OptionList):
    """Reminders, the most urgent first as they come."""

    DEFAULT_CSS: ClassVar[str] = """
    ToDo, ToDo:focus { height: 1fr; min-height: 5; border: none; padding: 0; background: $background; }
    ToDo > .option-list--option-highlighted { background: $background; color: $foreground; text-style: none; }
    ToDo:focus > .option-list--option-highlighted { background: $boost; color: $foreground; text-style: bold; }
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("a", "answer(False)", "seen: this reminder is not told or shown again"),
        Binding("z", "answer(True)", "let this reminder sleep until a moment to come"),
    ]

    class Answered(Message):
        """Somebody has seen a reminder, or wants it to sleep."""

        def __init__(self, key: str, words: str, sleeps: bool) -> None:
            super().__init__()
            self.key = key
            self.words = words
            self.sleeps = sleeps

    class Picked(Message):
        """Somebody wants to note that this was done."""

        def __init__(self, action: str | None, kind: str, subject: str) -> None:
            super().__init__()
            self.action = action
            self.kind = kind
            self.subject = subject

    def __init__(self) -> None:
        super().__init__(markup=False)
        self.shown: tuple[tuple[str, str, str, str | None, str, str], ...] = ()

    def show(self, home: Household) -> None:
        """Show the reminders; the highlight stays where it was."""
        from gwlog.faces.present.today import mark

        found = tuple((r.state, r.text, r.kind, r.action, r.subject, r.key) for r in home.reminders)
        if found == self.shown and self.option_count:
            return
        at = self.highlighted
        self.shown = found
        self.clear_options()
        self.add_options([
            Option(Content.assemble((f"{mark(state):<11}", TONE[state]), text.one_line(words)), id=str(number))
            for number, (state, words, *_) in enumerate(found)
        ] or [Option(Content("Nothing to do."), disabled=True)])
        if found:
            self.highlighted = min(at or 0, len(found) - 1)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        if event.option.id is not None:
            _, _, kind, action, subject, _ = self.shown[int(event.option.id)]
            self.post_message(self.Picked(action, kind, subject))

    def action_answer(self, sleeps: bool) -> None:
        if self.highlighted is not None and self.highlighted < len(self.shown):
            _, words, *_, key = self.shown[self.highlighted]
            self.post_message(self.Answered(key, words, sleeps))
