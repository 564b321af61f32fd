"""A form over the setup place: one thing of the household, judged while it is typed; and the box that appends.

Enter in the form keeps the change; nothing is in force before it is appended.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, cast

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Static

from gwlog.errors import BadInput, SeveralFaults
from gwlog.household import Household
from gwlog.journal.facts import Fact
from gwlog.setup.draft import Draft, Table
from gwlog.tui.dialogs.form import Form, FormSpec, Values
from gwlog.tui.forms.entries import BY, NOTE
from gwlog.tui.setup.edits import Edits, Thing
from gwlog.tui.setup.pages import Page, asides, cautions, system_of
from gwlog.tui.setup.rows import SetupRows, faults
from gwlog.tui.widgets.cells import plain, stacked
from gwlog.tui.widgets.validation import Judging

if TYPE_CHECKING:
    from gwlog.tui.app import Screens

SETUP = "the setup"
"""The key under which the app knows that changes of the setup wait."""


class SetupBox(Judging, ModalScreen[bool]):
    """Changes one thing, or describes a new one. Returns whether a change is kept."""

    DEFAULT_CSS: ClassVar[str] = """
    SetupBox { align: center middle; background: $background; }
    SetupBox #box { width: 90; max-width: 100%; height: auto; max-height: 100%; background: $surface;
                    border: round $primary; padding: 0 1; }
    SetupBox #fields { height: auto; }
    SetupBox.-short #box { height: 100%; }
    SetupBox.-short #fields { height: 1fr; }
    SetupBox.-short #words { max-height: 8; }
    SetupBox #words { height: auto; }
    SetupBox Static { height: auto; }
    SetupBox .about { color: $text-muted; }
    SetupBox #said, SetupBox #how { margin-top: 1; }
    SetupBox #how { color: $text-muted; }
    """
    VERTICAL_BREAKPOINTS = [(0, "-short"), (40, "-tall")]  # noqa: RUF012 - declared by textual
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "keep", "keep this change; it is appended with the others"),
        Binding("escape", "leave", "leave; what was typed is kept"),
        Binding("ctrl+n", "afresh", "start afresh"),
        Binding("f1", "app.keys", "all keys"),
        # the letter typed right after it belongs to the next field
        Binding("tab", "app.focus_next", "the next field", show=False, priority=True),
        Binding("shift+tab", "app.focus_previous", "the field before", show=False, priority=True),
        Binding("ctrl+q", "app.leave", "quit", show=False),
    ]

    def __init__(self, page: Page, edits: Edits, draft: Draft, number: int, thing: Thing | None) -> None:
        super().__init__()
        self.page, self.edits, self.draft, self.number, self.thing = page, edits, draft, number, thing
        self.key = (page.id, *(thing or (page.kind, "")))
        self.tried = self.due = False

    @property
    def screens(self) -> Screens:
        return cast("Screens", self.app)

    def compose(self) -> ComposeResult:
        new = self.thing is None
        with Vertical(id="box"):
            yield Static(self.page.title + (": a new one" if new else ""), classes="title", markup=False)
            with VerticalScroll(id="fields", can_focus=False):
                if self.page.about:
                    yield Static(plain(self.page.about), classes="about", markup=False)
                yield SetupRows(self.page, self.draft, self.number, {}, self.edits.typed.get(self.key), more=True)
            with VerticalScroll(id="words", can_focus=False):
                yield Static(id="said", markup=False)
            yield Static("enter keeps the change · tab next · esc leaves, typed words stay · F1 keys",
                         id="how", markup=False)

    def on_mount(self) -> None:
        self.check()
        self.query("EntryLine, Choice").first().focus()

    def on_input_submitted(self) -> None:
        self.action_keep()

    def check(self) -> None:
        """Say what is wrong with what is typed, or what it would come to."""
        self.due = False
        if not self.query("#said"):
            return
        rows = self.query_one(SetupRows)
        rows.only_what_matters()
        table, wrong, _ = rows.made(self.screens.now())
        lines: list[Content] = [plain(each, "dim") for each in asides(self.page, rows.values, system_of(self.draft))]
        if wrong:
            lines += faults(wrong, quiet=not self.tried and not rows.touched)
        elif rows.touched:
            lines += self._would(table)
        if rows.kept and rows.kept == rows.values and rows.touched:
            lines.append(plain("This is what you typed before; ctrl+n starts afresh.", "dim"))
        lines += [plain(one.value, "dim") for one in cautions(self.page, table.get("code"))]
        self.query_one("#said", Static).update(stacked(lines))

    def _would(self, table: Table) -> list[Content]:
        home = self.screens.home
        if home is None:
            return []
        trial = Edits(dict(self.edits.made), {}, self.edits.count)
        trial.put(self.thing, self.page.kind, table)
        found = trial.change(home)
        return change_lines(found.lines, found.warnings, found.wrong)

    def action_afresh(self) -> None:
        self.edits.typed.pop(self.key, None)
        self.app.push_screen(SetupBox(self.page, self.edits, self.draft, self.number, self.thing))
        self.dismiss(False)

    def action_leave(self) -> None:
        rows = self.query_one(SetupRows)
        self.edits.typed.pop(self.key, None)
        if rows.touched:
            self.edits.typed[self.key] = rows.values
            self.screens.drafts[SETUP] = {}
        self.dismiss(False)

    def action_keep(self) -> None:
        rows = self.query_one(SetupRows)
        table, wrong, _ = rows.made(self.screens.now())
        if wrong:
            self.tried = True
            self.check()
            return
        self.edits.typed.pop(self.key, None)
        if rows.touched:
            self.edits.put(self.thing, self.page.kind, table)
            self.screens.drafts[SETUP] = {}
        self.dismiss(rows.touched)


def change_lines(lines: tuple[str, ...], warnings: tuple[str, ...], wrong: tuple[str, ...]) -> list[Content]:
    """What appending would do, what to mind, what keeps it from being appended."""
    return [*(Content.assemble(("+ ", "bold $text-success"), plain(line)) for line in lines),
            *(Content.assemble(("mind: ", "bold $text-warning"), plain(line)) for line in warnings),
            *(Content.assemble(("✗ ", "bold $text-error"), plain(line)) for line in wrong)]


class ChangesBox(Form):
    """Shows every line of the change once more and appends it, with who says so and why."""

    def __init__(self, edits: Edits, home: Household, preset: Values) -> None:
        self.edits = edits
        super().__init__(FormSpec("setup change", "Append these changes of the setup, in force from now",
                                  (BY, NOTE), self._drafts, wrote=self._wrote), home, preset)

    def _drafts(self, home: Household, values: Values) -> list[Fact]:
        found = self.edits.change(home, by=str(values.get("by", "")) or None, note=str(values.get("note", "")) or None)
        if found.wrong:
            raise SeveralFaults("These changes cannot be appended:", found.wrong)
        if not found.drafts:
            raise BadInput("Nothing differs from the setup in force.")
        return list(found.drafts)

    def _wrote(self, _home: Household, _values: Values, written: object) -> list[str]:
        self.edits.made.clear()
        if not self.edits.typed:
            self.screens.drafts.pop(SETUP, None)
        count = len(written) if isinstance(written, list) else 0
        return [f"Appended {count} {'description' if count == 1 else 'descriptions'}; what was in force before "
                "stays in the record."]

    def check(self) -> None:
        """Show the change line by line."""
        if not self.query("#said"):
            return
        values = self.values
        found = self.edits.change(self.home, by=str(values.get("by", "")) or None)
        lines = change_lines(found.lines, found.warnings, found.wrong)
        self.query_one("#said", Static).update(stacked(lines or [plain("Nothing differs from the setup in force.")]))
