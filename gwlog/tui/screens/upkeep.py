"""Upkeep: recurring tasks with when they are due, and what was seen or went wrong and is not settled yet.

Enter on a row opens the form that notes it.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual.widget import Widget
from textual.widgets import DataTable, OptionList, Static
from textual.widgets.option_list import Option

from gwlog import clock, text
from gwlog.app.forms.entries import FORMS, to_settle
from gwlog.household import Household
from gwlog.tui.keys import EVERYWHERE
from gwlog.tui.screens.base import HouseholdScreen
from gwlog.tui.widgets.cells import plain
from gwlog.tui.widgets.plain_list import PlainList

if TYPE_CHECKING:
    from gwlog.decisions.upkeep import UpkeepItem

SHAPE = {"overdue": "‼ overdue", "due": "! now", "soon": "· soon", "later": "  later"}


class UpkeepScreen(HouseholdScreen):
    """Upkeep."""

    DEFAULT_CSS: ClassVar[str] = """
    UpkeepScreen DataTable { height: auto; background: $background; }
    UpkeepScreen #source { height: auto; padding: 0 1; color: $text-muted; }
    UpkeepScreen PlainList { height: auto; }
    """
    NAME = "upkeep"
    ONCE = True
    AUTO_FOCUS = "DataTable"
    FOOTER_KEYS = (("enter", "log it as done", "screen.choose"), *EVERYWHERE)

    def parts(self) -> Sequence[Widget]:
        table: DataTable[Text] = DataTable(cursor_type="row")
        return (
            Static("Tasks", classes="title gap", markup=False),
            table,
            Static(id="source", markup=False),
            Static("Not resolved yet", classes="title gap", markup=False),
            PlainList(id="open"),
        )

    def fill(self, home: Household) -> None:
        table = self.query_one(DataTable)
        if not table.columns:
            for label in ("state", "task", "due", "last done", "every", "interval from"):
                table.add_column(Text(label), key=label)
        at = table.cursor_row
        table.clear()
        for item in home.upkeep:
            table.add_row(Text(SHAPE[item.state]), Text(text.one_line(item.name)), Text(_day(home, item.due)),
                          Text(_day(home, item.last_done) if item.last_done else "never"), Text(item.every),
                          Text(_source(item)), key=item.name)
        table.move_cursor(row=min(at, max(0, table.row_count - 1)))
        matters = self.query_one("#open", PlainList)
        matters.clear_options()
        matters.add_options([Option(plain(option.label), id=option.value) for option in to_settle(home, {})]
                            or [Option(plain("Nothing: no observation is open, no load waits for a follow-up."),
                                       disabled=True)])

    def on_data_table_row_highlighted(self, event: DataTable.RowHighlighted) -> None:
        """Say all of the task under the cursor, which a narrow screen cuts off."""
        home = self.host.home
        item = next((one for one in home.upkeep if one.name == event.row_key.value), None) if home else None
        if home is not None and item is not None:
            done = f"last done {_day(home, item.last_done)}" if item.last_done else "never done"
            self.query_one("#source", Static).update(plain(
                f"{item.name}: {item.often}, {done}. The interval comes from: {_source(item)}."))

    def on_data_table_row_selected(self, event: DataTable.RowSelected) -> None:
        self.host.open_form(FORMS["done"], {"task": str(event.row_key.value)})

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        if event.option.id is not None:
            self.host.open_form(FORMS["resolve"], {"number": event.option.id})

    def action_choose(self) -> None:
        self.query_one(DataTable).action_select_cursor()


def _source(item: UpkeepItem) -> str:
    return text.one_line(item.source or "") or "this household"


def _day(home: Household, day: date) -> str:
    return clock.echo_date(day, home.system)
