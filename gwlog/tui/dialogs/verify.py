"""Asks what else to verify: another logbook, a backup, a record pack; and against which head that was noted earlier.

Nothing is changed by it.
"""

from __future__ import annotations

from pathlib import Path
from typing import ClassVar, NamedTuple

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

from gwlog import text
from gwlog.tui.dialogs.import_file import row
from gwlog.tui.widgets.cells import plain
from gwlog.tui.widgets.entry_line import EntryLine
from gwlog.tui.widgets.path_line import PathLine


class ToVerify(NamedTuple):
    """A file, empty for this logbook; and a head like “412:9f3a…”, empty for none."""

    file: str
    against: str


class VerifyBox(ModalScreen[ToVerify | None]):
    """Asks for both."""

    DEFAULT_CSS: ClassVar[str] = """
    VerifyBox { align: center middle; background: $background; }
    VerifyBox #box { width: 90; max-width: 100%; height: auto; max-height: 100%; background: $surface;
                     border: round $primary; padding: 0 1; }
    VerifyBox Static, VerifyBox .row { height: auto; }
    VerifyBox .label { width: 13; height: 1; }
    VerifyBox .row EntryLine { width: 1fr; }
    VerifyBox #about { color: $text-muted; margin-bottom: 1; }
    VerifyBox #said, VerifyBox #how { margin-top: 1; }
    VerifyBox #how { color: $text-muted; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "verify", "verify it", priority=True),
        Binding("escape", "leave", "back"),
        Binding("f1", "app.keys", "all keys"),
        Binding("ctrl+q", "app.leave", "quit", show=False),
    ]

    def __init__(self, kept: ToVerify | None = None) -> None:
        super().__init__()
        self.kept = kept or ToVerify("", "")

    def compose(self) -> ComposeResult:
        with VerticalScroll(id="box", can_focus=False):
            yield Static("Verify something else, or against a head", classes="title", markup=False)
            yield Static("A head that was noted earlier also shows what was cut off at the end or rewritten since.",
                         id="about", markup=False)
            yield row("File", PathLine(self.kept.file, endings=(".db", ".zip"),
                                       hint="a logbook, backup or record pack; empty: this logbook", id="file"))
            yield row("Head", EntryLine(self.kept.against, hint="like 412:9f3a… ; empty: none", id="against"))
            yield Static(id="said", markup=False)
            yield Static("enter verifies · → takes the path that is offered · esc back · F1 keys", id="how",
                         markup=False)

    def on_mount(self) -> None:
        self.query_one("#file").focus()

    def on_input_changed(self) -> None:
        self.query_one("#said", Static).update(plain(""))

    def action_verify(self) -> None:
        file, against = (text.one_line(self.query_one(f"#{key}", EntryLine).value) for key in ("file", "against"))
        try:
            file = str(Path(file).expanduser().absolute()) if file else ""
        except (RuntimeError, ValueError) as trouble:
            self.query_one("#said", Static).update(plain(f"✗ That is no path: {trouble}."))
            return
        self.dismiss(ToVerify(file, against))

    def action_leave(self) -> None:
        self.dismiss(None)
