"""Asks what else to verify: another logbook, a backup, a record pack; and which seal number was noted earlier.

Nothing is changed by it.
"""

from __future__ import annotations

from typing import ClassVar, NamedTuple

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.widgets import Static

from gwlog import text
from gwlog.errors import BadInput
from gwlog.settings import typed_path
from gwlog.tui.dialogs.base import KEYS, Dialog
from gwlog.tui.widgets.entry_line import EntryLine
from gwlog.tui.widgets.labelled_row import LabelledRow
from gwlog.tui.widgets.path_line import PathLine


class ToVerify(NamedTuple):
    """A file, empty for this logbook; and a seal number like “412:9f3a…”, empty for none."""

    file: str
    noted: str


class VerifyDialog(Dialog[ToVerify]):
    """Asks for both."""

    DEFAULT_CSS: ClassVar[str] = """
    VerifyDialog #frame { width: 90; }
    VerifyDialog #about { margin-bottom: 1; }
    VerifyDialog #message { margin-top: 1; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "verify", "verify it", priority=True),
        Binding("escape", "leave", "back"),
        *KEYS,
    ]
    FOOTER = "enter verifies · → fills in the path offered · esc back · F1 keys"
    heading = "Verify something else, or with a seal number"

    def __init__(self, kept: ToVerify | None = None) -> None:
        super().__init__()
        self.kept = kept or ToVerify("", "")

    def parts(self) -> ComposeResult:
        yield Static("A seal number noted earlier also shows what was cut off or rewritten since.",
                     id="about", markup=False)
        yield LabelledRow("File", PathLine(self.kept.file, endings=(".db", ".zip"), id="file",
                                           hint="a logbook, backup or record pack; empty: this logbook"))
        yield LabelledRow("Seal number", EntryLine(self.kept.noted, hint="like 412:9f3a… ; empty: none", id="noted"))
        yield self.message_part()

    def on_mount(self) -> None:
        self.focus_first()

    def on_input_changed(self) -> None:
        self.say()

    def action_verify(self) -> None:
        file, noted = (text.one_line(self.query_one(f"#{key}", EntryLine).value) for key in ("file", "noted"))
        try:
            file = str(typed_path(file).absolute()) if file else ""
        except BadInput as trouble:
            self.refuse(str(trouble))
            return
        self.dismiss(ToVerify(file, noted))
