"""A product's label, asked for line by line: each is told back as it is understood, and the dose at the end."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.widgets import Static

from gwlog import text
from gwlog.app.labels import line_words, read_dose
from gwlog.errors import BadInput
from gwlog.reference.labels import read_label
from gwlog.setup.draft import Table
from gwlog.tui.dialogs.base import KEYS, QUIT, Dialog
from gwlog.tui.widgets.cells import marked, plain, stacked
from gwlog.tui.widgets.entry_line import EntryLine
from gwlog.tui.widgets.labelled_row import LabelledRow

ABOUT = "Read the label out, one ingredient at a time, with its share if it is there, like: sodium carbonate " \
        "10-30 %. What is not known stays open, from none to the most there could be. An empty line ends it."


class LabelDialog(Dialog[Table | None]):
    """Takes a label; gives the product's table with it, None where it was left."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave", "close; nothing is kept"),
        Binding("ctrl+z", "take_back", "undo the last line"),
        KEYS[0], QUIT,
    ]
    FOOTER = "enter adds the line, or ends if it is empty · ctrl+z undo · esc closes · F1 keys"

    def __init__(self, table: Table) -> None:
        super().__init__()
        self.table = table
        self.heading = f"The label of {table.get('name', '')}"
        self.lines: list[str] = [str(line) for line in table.get("label", ())]
        self.asks_dose = False

    def parts(self) -> ComposeResult:
        yield Static(plain(ABOUT), id="about", markup=False)
        yield Static(id="taken", markup=False)
        yield LabelledRow("Ingredient", EntryLine(id="line", hint="like: sodium sulfate 20 %"), width=12, id="row")
        yield self.message_part()

    def on_mount(self) -> None:
        self._show()
        self.query_one("#line", EntryLine).focus()

    def _show(self) -> None:
        told: list[Content] = [marked("+", line_words(line)) for line in self.lines]
        if self.asks_dose:
            told.append(plain("One dose, by weight: like 60 g, 2 oz or 45 mL. Empty: not known.", "bold"))
        self.query_one("#taken", Static).update(stacked(told or [plain("no line yet", "dim")]))

    def on_input_submitted(self) -> None:
        """Take a line, or the dose."""
        entry = self.query_one("#line", EntryLine)
        typed = text.one_line(str(entry.value))
        try:
            if self.asks_dose:
                self._end(typed)
                return
            if not typed:
                self.asks_dose = bool(self.lines)
            else:
                read_label([*self.lines, typed])
                self.lines.append(typed)
        except BadInput as fault:
            self.refuse(fault)
            return
        entry.value = ""
        self.say()
        self._show()

    def _end(self, typed: str) -> None:
        made = {key: value for key, value in self.table.items() if not key.startswith("dose_") or not typed}
        made["label"] = list(self.lines)
        if typed:
            grams = read_dose(typed)
            made["dose_g"] = int(grams) if grams.is_integer() else round(grams, 3)
        self.dismiss(made)

    def action_take_back(self) -> None:
        if self.asks_dose:
            self.asks_dose = False
        elif self.lines:
            self.lines.pop()
        self._show()

    def action_leave(self) -> None:
        self.dismiss(None)
