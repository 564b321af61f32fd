"""The list of things to do now, from the reminders; Enter or a click opens the form that notes one.

Each carries its urgency as a sign and a word. One may also be marked as seen, or put off; those that were are
shown on request, dimmed, with what was answered.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, NamedTuple

from textual.binding import Binding, BindingType
from textual.content import Content
from textual.message import Message
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from gwlog import text
from gwlog.actions import Action
from gwlog.tui.widgets.plain_list import PlainList

if TYPE_CHECKING:
    from gwlog.household import Household


class Shown(NamedTuple):
    """A reminder as it is listed; `answer`: what somebody answered to it, “” where nobody has."""

    state: str
    text: str
    kind: str
    action: Action | None
    subject: str
    key: str
    answer: str


TONE = {"overdue": "bold $text-error", "due": "bold $text-warning", "soon": "$text-muted"}


class ReminderList(PlainList):
    """Reminders, the most urgent first as they come."""

    DEFAULT_CSS: ClassVar[str] = """
    ReminderList { height: 1fr; min-height: 5; }
    ReminderList > .option-list--option-highlighted { background: $background; color: $foreground; text-style: none; }
    ReminderList:focus > .option-list--option-highlighted { background: $chosen; color: $foreground; text-style: bold; }
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("a", "answer(False)", "mark as seen: not shown or sent again"),
        Binding("z", "answer(True)", "remind me of this later"),
    ]

    class Answered(Message):
        """Somebody has seen a reminder, or puts it off until later."""

        def __init__(self, key: str, words: str, later: bool) -> None:
            super().__init__()
            self.key = key
            self.words = words
            self.later = later

    class Picked(Message):
        """Somebody wants to note that this was done."""

        def __init__(self, action: Action | None, kind: str, subject: str) -> None:
            super().__init__()
            self.action = action
            self.kind = kind
            self.subject = subject

    def __init__(self) -> None:
        super().__init__()
        self.shown: tuple[Shown, ...] = ()

    def show(self, home: Household, everything: bool = False) -> None:
        """Show the reminders; the highlight stays where it was. `everything`: also those seen or put off."""
        from gwlog.decisions.acknowledgements import said
        from gwlog.tui import key_hints

        answered = [(one, answer) for one in (home.every_reminder if everything else ())
                    if (answer := said(home.state, one.key, home.now)) is not None]
        found = tuple(Shown(one.state, key_hints.words(one.text), one.kind, one.action, one.subject, one.key, answer)
                      for one, answer in [*((one, "") for one in home.reminders), *answered])
        if found == self.shown and self.option_count:
            return
        at = self.highlighted
        self.shown = found
        self.clear_options()
        self.add_options([Option(_line(one), id=str(number)) for number, one in enumerate(found)]
                         or [Option(Content("Nothing to do."), disabled=True)])
        if found:
            self.highlighted = min(at or 0, len(found) - 1)
            self.call_after_refresh(self.scroll_to_highlight)

    def on_resize(self) -> None:
        # the message below takes rows away: the chosen line must not be among them
        self.call_after_refresh(self.scroll_to_highlight)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        if event.option.id is not None:
            one = self.shown[int(event.option.id)]
            self.post_message(self.Picked(one.action, one.kind, one.subject))

    def action_answer(self, later: bool) -> None:
        if self.highlighted is not None and self.highlighted < len(self.shown):
            one = self.shown[self.highlighted]
            self.post_message(self.Answered(one.key, one.text, later))


def _line(one: Shown) -> Content:
    from gwlog.views.today import mark

    words = text.one_line(one.text)
    if one.answer:
        return Content.styled(f"{text.one_line(one.answer)}: {words}", "dim")
    return Content.assemble((f"{mark(one.state):<11}", TONE[one.state]), words)
