"""The rows of the guided setup's own pages: where the garden is, what is washed, and where the valve points.

Each fills several tables of the draft at once, and judges them by the site file's own reader.
"""

from __future__ import annotations

from datetime import datetime
from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import Vertical

from gwlog import text
from gwlog.app.forms.model import Option, Value, Values
from gwlog.errors import BadInput
from gwlog.reference.codes.system import NEW
from gwlog.setup.draft import Draft, Table, names
from gwlog.setup.first_draft import described, listed_names
from gwlog.setup.place import EXAMPLES, Place, places
from gwlog.tui.setup.fields import FieldFault
from gwlog.tui.setup.pages import Page
from gwlog.tui.setup.rows import SetupRows
from gwlog.tui.widgets.choice import Choice
from gwlog.tui.widgets.entry_line import EntryLine
from gwlog.tui.widgets.labelled_row import LabelledRow


class PlaceRows(Vertical):
    """Where the garden is; towns of one name are offered, numbered."""

    DEFAULT_CSS: ClassVar[str] = "PlaceRows { height: auto; }"

    def __init__(self, zone: str, typed: str) -> None:
        super().__init__()
        self.zone = zone
        self.line = EntryLine(typed, hint=EXAMPLES, id="f-where")
        self.choice = Choice((), id="f-which")
        self.which = LabelledRow("Which", self.choice, id="row-which")
        self.offered: tuple[Place, ...] = ()
        self.asked_for = ""

    def compose(self) -> ComposeResult:
        yield LabelledRow("Where", self.line, id="row-where")
        self.which.display = False
        yield self.which

    @property
    def typed(self) -> str:
        """What stands in the field."""
        return text.one_line(self.line.value)

    def check(self) -> None:
        """Put the offered towns away once other words are typed."""
        if self.which.display and self.typed != self.asked_for:
            self.which.display = False
            self.offered = ()

    def found(self, *, misspelt: bool = False) -> tuple[Place, ...]:
        """The places that the words may mean. Raises BadInput."""
        return places(self.typed, self.zone, misspelt=misspelt)

    def decided(self) -> Place | None:
        """The place that is meant; None where a person has to choose first, who is then asked. Raises BadInput."""
        if self.offered and self.typed == self.asked_for:
            return self.offered[self.choice.at]
        found = self.found()
        if len(found) == 1:
            return found[0]
        self.offered, self.asked_for = found, self.typed
        self.choice.offer([Option(str(number), f"{number} {place.label}") for number, place in enumerate(found, 1)])
        self.choice.at = 0
        self.which.display = True
        self.choice.focus()
        return None


class WashRows(SetupRows):
    """The machine, the loads by their names, and the detergent."""

    def __init__(self, page: Page, draft: Draft, start: Values, kept: Values | None) -> None:
        loads = {} if "loads" in start else {"loads": ", ".join(names(draft, "usual_load"))}
        super().__init__(page, draft, 0, {"detergent": ", ".join(names(draft, "product")), **loads, **start}, kept)

    def compose(self) -> ComposeResult:
        yield from super().compose()
        yield self._row("loads", "Loads", None, "what is washed, like: towels, shirts, diapers", many=False)
        yield self._row("detergent", "Products", None, "like: plain liquid; empty: not known yet", many=False)

    def made(self, now: datetime) -> tuple[Table, list[FieldFault], Draft]:
        """The machine's table, what is wrong, and the draft with machine, loads and products."""
        table, wrong, draft = super().made(now)
        table.setdefault("name", "washer")
        for key, kind, what in (("detergent", "product", "product"), ("loads", "usual_load", "load")):
            try:
                named = listed_names(str(self.values.get(key, "")), what)
            except BadInput as fault:
                wrong.append(FieldFault(key, str(fault)))
                continue
            if kind == "usual_load" and not named:
                wrong.append(FieldFault(key, "Loads: at least one is needed, like towels."))
            draft[kind] = described(draft, kind, named)
        return table, wrong, draft


class ValveRows(SetupRows):
    """Where the valve points, and whether the system is new."""

    def __init__(self, page: Page, draft: Draft, kept: Values | None) -> None:
        system = draft["system"][0] if draft["system"] else {}
        new: Value = "" if NEW not in system else "yes" if system[NEW] else "no"
        super().__init__(page, draft, 0, {NEW: new}, kept)

    def compose(self) -> ComposeResult:
        yield from super().compose()
        yield self._row(NEW, "The system", [Option("", "not said"), Option("yes", "new: nothing has run through it"),
                                            Option("no", "in use")], "", many=False)

    def made(self, now: datetime) -> tuple[Table, list[FieldFault], Draft]:
        """The site's table, what is wrong, and the draft with the answer among those about the system."""
        table, wrong, draft = super().made(now)
        system = {key: value for key, value in (draft["system"][0] if draft["system"] else {}).items() if key != NEW}
        said = self.values.get(NEW)
        if said:
            system = {NEW: said == "yes", **system}
        draft["system"] = [system] if system else []
        return table, wrong, draft
