"""Log: every entry, newest first, found by kind, words and day; its history, its correction, its withdrawal.

A page at a time is read and shown (log_rows.py); what is slow happens in a thread.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual import work
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.widget import Widget
from textual.widgets import DataTable, Static

from gwlog import clock, text
from gwlog.errors import GwlogError
from gwlog.household import Household
from gwlog.journal.listing import asking
from gwlog.tui import key_hints
from gwlog.tui.keys import EVERYWHERE
from gwlog.tui.screens.base import HouseholdScreen
from gwlog.tui.screens.log_rows import LogPages, Page, Picked
from gwlog.tui.widgets.cells import plain
from gwlog.tui.widgets.entry_line import EntryLine
from gwlog.tui.widgets.labelled_row import LabelledRow
from gwlog.views.log import marked

if TYPE_CHECKING:
    from gwlog.app.forms.model import FormSpec

PORTION, PAUSE_S = 50, 0.01
"""Rows put into the table at a time, and the pause after them in which keys are answered."""


class LogScreen(HouseholdScreen):
    """Log."""

    DEFAULT_CSS: ClassVar[str] = """
    LogScreen #go { display: none; }
    LogScreen.-going #go { display: block; }
    LogScreen #where { height: auto; color: $text-muted; }
    LogScreen DataTable { height: 1fr; background: $background; }
    """
    NAME = "log"
    ONCE = True
    AUTO_FOCUS = "DataTable"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("slash", "search", "search: any words of an entry"),
        Binding("f", "kind(1)", "only one kind of entry: the next kind"),
        Binding("F", "kind(-1)", "the kind before"),
        Binding("a", "everything", "show or hide what was corrected or withdrawn"),
        Binding("full_stop", "page(1)", "older page"),
        Binding("comma", "page(-1)", "newer page"),
        Binding("g", "go", "go to a day, or to an entry by its number"),
        Binding("h", "history", "versions of this entry"),
        Binding("i", "odd", "entries that contradict each other, and how to fix them"),
        Binding("x", "correct", "correct this entry"),
        Binding("w", "withdraw", "withdraw this entry"),
        Binding("N", "erase_note", "erase the words of this entry's note for good"),
    ]
    FOOTER_KEYS = (("/", "search", "screen.search"), ("f", "kind", "screen.kind(1)"),
             ("g", "go to a day", "screen.go"), ("a", "show corrected", "screen.everything"),
             ("enter", "versions", "screen.history"), ("x", "correct", "screen.correct"),
             ("w", "withdraw", "screen.withdraw"), ("N", "erase note", "screen.erase_note"),
             (", .", "page", "screen.page(1)"), EVERYWHERE[0], *EVERYWHERE[-3:])

    def __init__(self) -> None:
        super().__init__()
        self.pages: LogPages | None = None
        self.shown = Page()
        self.page = 0   # the one that is asked for
        self.kind = ""
        self.everything = False
        self.to_erase: int | None = None
        """The entry whose note the next N erases."""

    def body(self) -> Widget:
        return Vertical(*self.parts(), id="body")

    def parts(self) -> Sequence[Widget]:
        table: DataTable[Text] = DataTable(cursor_type="row", zebra_stripes=True)
        return (
            LabelledRow("search", EntryLine(hint="/ then any words, like: fig ponding", id="words-in"), width=8),
            LabelledRow("go to", EntryLine(hint="a day, like: 2026-05-03, 2026-05, tue, 8 weeks ago; or a number",
                                           id="day"), width=8, id="go"),
            Static(id="where", markup=False),
            table,
        )

    def fill(self, home: Household) -> None:
        table = self.query_one(DataTable)
        if not table.columns:
            for label in ("id", "when", "entry", "by", "note"):
                table.add_column(Text(label), key=label)
        self.pages = LogPages(home)
        self._show(keep=True)

    @property
    def picked(self) -> Picked:
        """What is to be listed, by the keys and the words typed."""
        words = text.one_line(self.query_one("#words-in", EntryLine).value).casefold().split()
        return Picked(self.kind, tuple(words), self.everything)

    def _find(self) -> None:
        """Begin anew at the newest of what is picked."""
        self.page = 0
        self._show()

    @work(exclusive=True, group="rows")
    async def _show(self, *, keep: bool = False, at: int | None = None) -> None:
        """Read a page and draw it. `keep`: stay at the same entry; `at`: go to this place in the whole list."""
        if self.pages is None:
            return
        stay = self.chosen if keep else None
        try:
            self.shown = await asyncio.to_thread(self.pages.page, self.picked, self.page, at)
        except GwlogError as fault:
            self._list_line(key_hints.refused(fault, " "))
            return
        self.page = self.shown.number
        self._draw(stay if at is None else self.shown.id_at(at))

    @work(exclusive=True, group="draw")
    async def _draw(self, chosen: int | None) -> None:
        """Fill the table: a screenful at once, the rest in portions between which keys are answered."""
        table = self.query_one(DataTable)
        table.clear()
        home = self.host.home
        shown = self.shown.rows
        at = next((number for number, row in enumerate(shown) if row.id == chosen), 0)
        self._list_line("")
        for number, row in enumerate(shown):
            if number and number % PORTION == 0:
                await asyncio.sleep(PAUSE_S)
            when = "" if home is None else clock.echo_near(row.happened_at, home.zone, home.now)
            table.add_row(Text(str(row.id), justify="right"), Text(when), Text(marked(row)),
                          Text(text.one_line(row.by)), Text(row.note[:200]), key=str(row.id))
            if number == at:
                table.move_cursor(row=at)

    def _list_line(self, refused: str) -> None:
        """Say what is listed, or why there is nothing at what is typed."""
        listed = (f"{self.kind or 'every kind'} · {text.plural(self.shown.total, 'entry', 'entries')}"
                  f"{' · corrected ones too' if self.everything else ''} · page {self.shown.number + 1} of "
                  f"{self.shown.pages}")
        self.query_one("#where", Static).update(plain(refused, "$text-warning") if refused else plain(listed))

    @property
    def chosen(self) -> int | None:
        """The number of the entry under the cursor."""
        at = self.query_one(DataTable).cursor_row
        return self.shown.rows[at].id if 0 <= at < len(self.shown.rows) else None

    def on_input_changed(self, event: EntryLine.Changed) -> None:
        if event.input.id == "words-in":
            self._find()
        else:
            self._list_line("")

    def on_input_submitted(self, event: EntryLine.Submitted) -> None:
        if event.input.id == "words-in":
            self.query_one(DataTable).focus()
        else:
            self._go(event.value)

    @work(exclusive=True, group="go")
    async def _go(self, typed: str) -> None:
        """Go to what is typed in the list as it is picked, or say why that cannot be."""
        if self.pages is None or not text.one_line(typed):
            return
        try:
            position = await asyncio.to_thread(self.pages.position, self.picked, text.one_line(typed))
        except GwlogError as fault:
            self._list_line(key_hints.refused(fault, " "))
            return
        self._leave_going()
        self._show(at=position)

    def _leave_going(self) -> None:
        self.remove_class("-going")
        self.query_one("#day", EntryLine).value = ""
        self.query_one(DataTable).focus()

    def action_go(self) -> None:
        self.add_class("-going")
        self.query_one("#day", EntryLine).focus()

    def action_clear_message(self) -> None:
        """Leave the day to go to, then the search: the field, then its words, then the message."""
        field = self.query_one("#words-in", EntryLine)
        if self.has_class("-going"):
            self._leave_going()
            self._list_line("")
        elif field.has_focus:
            self.query_one(DataTable).focus()
        elif field.value:
            field.value = ""
        else:
            super().action_clear_message()

    def action_search(self) -> None:
        self.query_one("#words-in", EntryLine).focus()

    def action_kind(self, by: int) -> None:
        kinds = ("", *self.shown.kinds)
        at = kinds.index(self.kind) if self.kind in kinds else 0
        self.kind = kinds[(at + by) % len(kinds)]
        self._find()

    def action_everything(self) -> None:
        self.everything = not self.everything
        self._show(keep=True)

    def action_page(self, by: int) -> None:
        if 0 <= self.page + by < self.shown.pages:
            self.page += by
            self._show()

    def on_data_table_row_selected(self) -> None:
        self.action_history()

    def action_history(self) -> None:
        from gwlog.tui.dialogs.history import history_dialog

        if (home := self.host.home) is None or self.chosen is None:
            return
        try:
            self.app.push_screen(history_dialog(home, self.chosen))
        except GwlogError as fault:
            self.host.say(key_hints.refused(fault).split("\n"), logged=False)

    def action_odd(self) -> None:
        from gwlog.tui.dialogs.history import problems_dialog

        if (home := self.host.home) is not None:
            self.app.push_screen(problems_dialog(home))

    def action_withdraw(self) -> None:
        from gwlog.app.forms.entries import withdrawal_of

        self._form(withdrawal_of)

    def action_correct(self) -> None:
        from gwlog.app.forms.correction import correction_of

        self._form(correction_of)

    def action_erase_note(self) -> None:
        """Say what erasing a note leaves; the same key again, on the same entry, erases it."""
        from gwlog.app.corrections import noted_wordings
        from gwlog.views import outcomes

        home, number = self.host.home, self.chosen
        if home is None or number is None:
            return
        try:
            with asking(home.path, home.now) as lists:
                noted_wordings(lists, number)
        except GwlogError as fault:
            self.host.say(key_hints.refused(fault).split("\n"), logged=False)
            return
        if self.to_erase != number:
            self.to_erase = number
            self.host.say([f"Press N again to erase the note of entry {number} for good.", outcomes.NOTE_STAYS],
                          logged=False)
            return
        self.to_erase = None
        self._erase(number)

    @work(group="erase")
    async def _erase(self, number: int) -> None:
        from gwlog.app import door
        from gwlog.views import outcomes

        try:
            noted = await asyncio.to_thread(door.erase_note, self.host.fresh().path, number, self.host.now)
        except GwlogError as fault:
            self.host.say(key_hints.refused(fault).split("\n"), logged=False)
            return
        await self.host.reload()
        self.host.say(outcomes.note_erased(noted), logged=False)

    def _form(self, make: Callable[[Household, int], FormSpec]) -> None:
        home = self.host.home
        if home is None or self.chosen is None:
            return
        try:
            spec = make(home, self.chosen)
        except GwlogError as fault:
            self.host.say(key_hints.refused(fault).split("\n"), logged=False)
            return
        self.host.open_form(spec)
