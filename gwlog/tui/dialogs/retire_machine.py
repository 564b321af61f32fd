"""A machine taken out of use while loads run on it: asks once what becomes of those loads."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.widgets import Static

from gwlog.app.forms.model import Option
from gwlog.text import listed, plural
from gwlog.tui.dialogs.base import FIELD_KEYS, KEYS, Dialog
from gwlog.tui.widgets.cells import plain
from gwlog.tui.widgets.choice import Choice

WITH_IT = ""
"""The answer that takes the loads out of use with their machine; any other is the machine that runs them."""


class RetireMachineDialog(Dialog[str | None]):
    """Returns the machine that runs the loads from now on, or WITH_IT; None where nothing is to be changed."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "take", "retire it", priority=True),
        Binding("escape", "leave", "keep the machine"),
        *KEYS, *FIELD_KEYS,
    ]
    FOOTER = "enter does it · arrows choose · esc keeps the machine"

    def __init__(self, machine: str, loads: Sequence[str], others: Sequence[str]) -> None:
        super().__init__()
        self.heading = f"{machine} is retired"
        self.loads = loads
        self.choice = Choice([*(Option(other, f"they run on {other}") for other in others),
                              Option(WITH_IT, "they are retired too")], others[0] if others else WITH_IT,
                             id="f-instead")

    def parts(self) -> ComposeResult:
        runs = "load runs" if len(self.loads) == 1 else "loads run"
        yield Static(plain(f"{plural(len(self.loads), runs, runs)} on it: {listed(list(self.loads))}. What becomes of "
                           "them?" + ("" if len(self.choice.options) > 1 else " To run them on another machine, leave "
                                      "here and describe that one first.")), id="about", markup=False)
        yield self.choice

    def on_mount(self) -> None:
        self.choice.focus()

    def action_take(self) -> None:
        self.dismiss(str(self.choice.value))
