"""What screens, dialogs and widgets may ask of the app that shows them, and the only place where they reach it.

None of them imports the app.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Protocol, TypeVar, cast

if TYPE_CHECKING:
    from textual.dom import DOMNode

    from gwlog.actions import Words
    from gwlog.app.door import Drafted, Logged
    from gwlog.app.forms.model import FormSpec, Values
    from gwlog.household import Household
    from gwlog.journal.facts import Fact
    from gwlog.tui.background_task import BackgroundTask
    from gwlog.tui.planner import Planner
    from gwlog.tui.setup.edits import Edits

    _Node = DOMNode
else:
    _Node = object


D = TypeVar("D", bound="Fact | Sequence[Fact] | Drafted")


class Host(Protocol):
    """The app, as far as what it shows may use it.

    `home`: the last look at the household; `trouble`: the words when there is none; `person`: who writes; `message`:
    the lines below the screen; `drafts`: what was typed into forms that were left, by the forms' keys.
    """

    path: Path
    now: Callable[[], datetime]
    home: Household | None
    trouble: str | None
    person: str | None
    message: list[str]
    drafts: dict[str, Values]
    planner: Planner
    background_task: BackgroundTask

    @property
    def edits(self) -> Edits:
        """Changes of the setup that are not appended yet."""

    @property
    def way_in(self) -> str:
        """What to show below the words that there is nothing to show: the keys that help."""

    def ready(self, then: Callable[[], None]) -> Household | None:
        """The household where one is described, else None, and a message says why.

        A key pressed before the first look is not lost: `then` is called after it.
        """

    def fresh(self) -> Household:
        """The household at this very moment, to date an entry by. Raises GwlogError when there is none."""

    async def write(self, decide: Callable[[Household], D], *, keep: bool = True) -> Logged[D]:
        """Append what `decide` makes of the household as it is then, all or none, and look again.

        `decide` is asked in a thread, several times where others write; app.door says more. `keep`: it can be taken
        back by undo. Raises AnswerChanged, after a new look, where `decide` does.
        """

    async def reload(self, *, forget_undo: bool = False) -> None:
        """Look at the logbook again and show it."""

    def say(self, lines: Sequence[Words], *, logged: bool = True) -> None:
        """Show what was logged (or why nothing was) below the screen, until the next time or escape."""

    def clear_message(self) -> None:
        """Put away the lines below the screen, and the notices."""

    def release_notices(self) -> None:
        """Show the notices that waited for a dialog to close."""

    def open(self, name: str) -> None:
        """Open a dialog or go to a screen by its name."""

    def open_form(self, spec: FormSpec, preset: Values | None = None) -> None:
        """Open a form; what was typed in it before is there again, unless it opens on something chosen."""


class Hosted(_Node):
    """Mixed into every screen, dialog and widget that asks something of the app."""

    @property
    def host(self) -> Host:
        return cast("Host", self.app)

    def household_changed(self) -> None:
        """There is a new look at the household, or a new message."""

    def task_changed(self) -> None:
        """The task in the background began, went on or ended."""
