"""Takes past loads from a spreadsheet: after the file come its columns, and after them the words nobody knows yet.

What the titles suggest is chosen already; each strange word is explained by one choice.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

from textual.containers import Vertical
from textual.widgets import Static

from gwlog.app.forms.model import Option, Values
from gwlog.importers.load_columns import COLUMNS
from gwlog.tui.dialogs.import_file import IMPORTS, ImportFileDialog
from gwlog.tui.widgets.cells import plain
from gwlog.tui.widgets.choice import Choice
from gwlog.tui.widgets.labelled_row import LabelledRow
from gwlog.worker import orders

HOLDS = {"date": "Day", "time": "Time", "load": "Load", "to": "Went to", "volume": "Water", "volume_gal": "Water, gal",
         "volume_l": "Water, L", "products": "Products", "contents": "Held", "by": "Who", "note": "Note"}
WHAT = {"load": "load", "to": "place", "products": "product", "by": "person"}
NOWHERE = Option("", "no column")
DAYS = (Option("ymd", "2026-05-03"), Option("dmy", "3/5/2026: day first"), Option("mdy", "5/3/2026: month first"))
MOST_WORDS = 12


class ImportLoadsDialog(ImportFileDialog):
    """Asks for the file, its columns, and its words."""

    def __init__(self, kept: Values | None = None) -> None:
        super().__init__(IMPORTS["loads"], kept)
        self.titles_of = ""
        self.unknown: list[str] = []
        """Words that are not known yet, in the order of their choices."""

    def order(self, file: Path, values: Values, *, dry: bool) -> orders.Order:
        first = orders.Loads(logbook=self.host.path, now=self.host.now(), file=file, dry=dry,
                             leave_out=values.get("leave_out") == "yes")
        if values["path"] != self.titles_of:
            return first
        return replace(first, columns={what: str(values[f"c-{what}"]) for what in COLUMNS if values.get(f"c-{what}")},
                       names={word: str(values[f"w-{number}"]) for number, word in enumerate(self.unknown)
                              if values.get(f"w-{number}")},
                       day_order=str(values.get("days", "ymd")))

    def changed(self) -> None:
        if self.titles_of and str(self.values["path"]) != self.titles_of:
            self.titles_of, self.unknown = "", []
            self.query_one("#asked", Vertical).remove_children()
        super().changed()

    def more(self, outcome: dict[str, Any]) -> bool:
        if "titles" in outcome:
            self.titles_of = str(self.values["path"])
            self.run_worker(self._ask_for_columns(outcome), group="asked")
            return True
        if outcome.get("strange"):
            self.run_worker(self._ask_for_words(outcome["strange"]), group="asked")
            return True
        return False

    async def _ask_for_columns(self, outcome: dict[str, Any]) -> None:
        titles, suggested = outcome["titles"], outcome["suggested"]
        # what was chosen before was chosen for the columns of that file
        kept = self.kept if self.kept.get("path") == self.titles_of else {}
        asked = self.query_one("#asked", Vertical)
        await asked.remove_children()
        options = [NOWHERE, *(Option(title, title) for title in dict.fromkeys(titles) if title)]
        await asked.mount(
            Static(plain("Which column holds what?", "bold"), markup=False),
            *(LabelledRow(HOLDS[what], Choice(options, kept.get(f"c-{what}", suggested.get(what, "")), id=f"c-{what}"))
              for what in COLUMNS),
            LabelledRow("Days like", Choice(DAYS, kept.get("days", "ymd"), id="days")))
        self._go_to("c-date")
        self.say(plain(f"The first row: {outcome['first']}", "dim"),
                 plain("Say which column holds what; enter then goes through the rows."))

    def _go_to(self, field: str) -> None:
        """Focus a field that has just come, where it can be seen together with those below it."""
        found = self.query_one(f"#{field}")
        found.focus(scroll_visible=False)
        self.call_after_refresh(found.scroll_visible, animate=False, top=True)

    async def _ask_for_words(self, strange: list[dict[str, Any]]) -> None:
        asked = self.query_one("#asked", Vertical)
        if not self.unknown:
            await asked.mount(Static(plain("Translate these words", "bold"), markup=False))
        fresh = [one for one in strange if one["word"] not in self.unknown][:MOST_WORDS]
        first = len(self.unknown)
        for number, one in enumerate(fresh, start=first):
            self.unknown.append(one["word"])
            options = [Option("", "not explained"), *(Option(name, name) for name in one["known"])]
            await asked.mount(Static(plain(f"“{one['word']}”"), markup=False),
                              LabelledRow("", Choice(options, id=f"w-{number}")))
        more = "" if len(fresh) == len(strange) else f" {len(strange) - len(fresh)} more come after them."
        if fresh:
            self._go_to(f"w-{first}")
            listed = ", ".join(f"“{one['word']}” ({WHAT[one['what']]}, {one['rows']}×)" for one in fresh)
            self.say(plain(f"Not known in this logbook: {listed}. Choose what each is called here; enter goes on."
                           f"{more}"))
        else:
            self.refuse("Some words are not explained yet: " + ", ".join(f"“{one['word']}”" for one in strange) +
                        ".\nChoose what each is called here, or choose to skip those rows.")
