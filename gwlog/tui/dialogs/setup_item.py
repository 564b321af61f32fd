"""A form over the setup screen: one thing of the household, judged while it is typed; and the dialog that appends.

Enter in the form keeps the change; nothing is in force before it is appended.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.widgets import Static

from gwlog import text
from gwlog.app.forms.entries import BY, NOTE
from gwlog.app.forms.model import FormSpec, Values, word
from gwlog.errors import BadInput, SeveralFaults
from gwlog.household import Household
from gwlog.journal.facts import Fact
from gwlog.setup.draft import Draft, Table
from gwlog.setup.first_draft import system_of
from gwlog.tui.dialogs.base import FIELD_KEYS, KEYS, QUIT, PartedDialog
from gwlog.tui.dialogs.form import BEFORE, FormDialog
from gwlog.tui.setup.edits import Edits, Thing
from gwlog.tui.setup.pages import Page, asides, cautions
from gwlog.tui.setup.rows import SetupRows, faults
from gwlog.tui.widgets.cells import marked, plain, refusal
from gwlog.tui.widgets.validation import Validation

SETUP = "the setup"
"""The key under which the app knows that changes of the setup wait."""


class SetupItemDialog(Validation, PartedDialog[None]):
    """Changes one thing, or describes a new one."""

    DEFAULT_CSS: ClassVar[str] = """
    SetupItemDialog #frame { width: 90; }
    SetupItemDialog #fields, SetupItemDialog #words { height: auto; }
    SetupItemDialog.-short #frame { height: 100%; }
    SetupItemDialog.-short #fields { height: 1fr; }
    SetupItemDialog.-short #words { max-height: 8; }
    SetupItemDialog #message { margin-top: 1; }
    """
    VERTICAL_BREAKPOINTS = [(0, "-short"), (40, "-tall")]  # noqa: RUF012 - declared by textual
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "keep", "keep this change; it is applied with the others"),
        Binding("escape", "leave", "close; what you typed is kept"),
        Binding("ctrl+n", "afresh", "clear what you typed"),
        KEYS[0], *FIELD_KEYS, QUIT,
    ]
    FOOTER = "enter keeps it · tab next · esc closes, keeps what you typed · F1 keys"

    def __init__(self, page: Page, edits: Edits, draft: Draft, number: int, thing: Thing | None) -> None:
        super().__init__()
        self.page, self.edits, self.draft, self.number, self.thing = page, edits, draft, number, thing
        self.heading = page.title + (": a new one" if thing is None else "")
        self.key = (page.id, *(thing or (page.kind, "")))
        self.tried = self.due = False

    def parts(self) -> ComposeResult:
        about = [Static(plain(self.page.about), id="about", markup=False)] if self.page.about else []
        yield self.scrolled("fields", *about, SetupRows(self.page, self.draft, self.number, {},
                                                        self.edits.typed.get(self.key), more=True))
        yield self.scrolled("words", self.message_part())

    def on_mount(self) -> None:
        self.check()
        self.focus_first()

    def on_input_submitted(self) -> None:
        self.action_keep()

    def check(self) -> None:
        """Say what is wrong with what is typed, or what it would come to."""
        self.due = False
        if not self.query("#message"):
            return
        rows = self.query_one(SetupRows)
        rows.only_what_matters()
        table, wrong, _ = rows.made(self.host.now())
        lines: list[Content] = [plain(each, "dim") for each in asides(self.page, rows.values, system_of(self.draft))]
        if wrong:
            lines += faults(wrong, quiet=not self.tried and not rows.touched)
        elif rows.touched:
            lines += self._would(table)
        if rows.kept and rows.kept == rows.values and rows.touched:
            lines.append(plain(BEFORE, "dim"))
        lines += [plain(one.value, "dim") for one in cautions(self.page, table.get("code"))]
        self.say(*lines)

    def _would(self, table: Table) -> list[Content]:
        home = self.host.home
        if home is None:
            return []
        trial = Edits(dict(self.edits.made), {}, self.edits.count)
        trial.put(self.thing, self.page.kind, table)
        found = trial.change(home)
        return change_lines(found.lines, found.warnings, found.wrong)

    def action_afresh(self) -> None:
        self.edits.typed.pop(self.key, None)
        self.app.push_screen(SetupItemDialog(self.page, self.edits, self.draft, self.number, self.thing))
        self.dismiss()

    def action_leave(self) -> None:
        rows = self.query_one(SetupRows)
        self.edits.typed.pop(self.key, None)
        if rows.touched:
            self.edits.typed[self.key] = rows.values
            self.host.drafts[SETUP] = {}
        self.dismiss()

    def action_keep(self) -> None:
        rows = self.query_one(SetupRows)
        table, wrong, _ = rows.made(self.host.now())
        if wrong:
            self.tried = True
            self.check()
            rows.focus_fault(wrong)
            return
        self.edits.typed.pop(self.key, None)
        if rows.touched:
            self.edits.put(self.thing, self.page.kind, table)
            self.host.drafts[SETUP] = {}
        self.dismiss()


def change_lines(lines: Sequence[str], warnings: Sequence[str], wrong: Sequence[str]) -> list[Content]:
    """What appending would do, what to mind, what keeps it from being appended."""
    return [*(marked("+", line) for line in lines), *(marked("check:", line) for line in warnings),
            *(refusal(line) for line in wrong)]


def appended(written: Sequence[Fact]) -> list[str]:
    """The line to show once changes of the setup are written."""
    return [f"Applied {text.plural(len(written), 'description')}. Earlier setups stay in the record."]


class AppendChangesDialog(FormDialog):
    """Shows every line of the change once more and appends it, with who says so and why."""

    def __init__(self, edits: Edits, home: Household, preset: Values) -> None:
        self.edits = edits
        super().__init__(FormSpec("setup change", "Apply these changes to the setup, from now on",
                                  (BY, NOTE), self._build, wrote=self._wrote), home, preset)

    def _build(self, home: Household, values: Values) -> list[Fact]:
        found = self.edits.change(home, by=word(values, "by") or None, note=word(values, "note") or None)
        if found.wrong:
            raise SeveralFaults("These changes cannot be applied:", found.wrong)
        if not found.drafts:
            raise BadInput("Nothing differs from the present setup.")
        return list(found.drafts)

    def _wrote(self, _home: Household, _values: Values, written: Sequence[Fact]) -> list[str]:
        self.edits.made.clear()
        if not self.edits.typed:
            self.host.drafts.pop(SETUP, None)
        return appended(written)

    def judged(self, home: Household, values: Values, *, quiet: bool) -> list[Content]:
        """The change line by line."""
        found = self.edits.change(home, by=word(values, "by") or None)
        return change_lines(found.lines, found.warnings, found.wrong) or [
            plain("Nothing differs from the present setup.")]
