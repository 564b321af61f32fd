"""Takes something from a file into the logbook: the first enter tells what it would bring, the second brings it.

The reading is done beside the screens; escape stops it, and then nothing is written.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, ClassVar

from textual import work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from gwlog import text
from gwlog.app.forms.model import Option, Value, Values
from gwlog.errors import BadInput
from gwlog.settings import typed_path
from gwlog.tui import key_hints
from gwlog.tui.dialogs.base import KEYS, PartedDialog
from gwlog.tui.widgets.cells import plain
from gwlog.tui.widgets.choice import Choice
from gwlog.tui.widgets.entry_line import EntryLine
from gwlog.tui.widgets.labelled_row import LabelledRow
from gwlog.tui.widgets.path_line import PathLine, likely, where_people_look
from gwlog.worker import orders

TYPED = Option("", "as typed")
UNSAID = Option("", "not said")
QUESTIONS = {"units": "Units", "format": "Format", "station": "Station"}
"""What a weather file may leave open."""
REFUSE, LEAVE_OUT = Option("", "refuse the file"), Option("yes", "skip them")


@dataclass(frozen=True, slots=True)
class Import:
    """One thing to take in: the job's name, words, the endings of its files, what the second enter does.

    `rows`: whether single rows of the file may be left out; `folders`: where such files lie besides the usual places.
    """

    work: str
    title: str
    about: str
    endings: tuple[str, ...]
    does: str
    rows: bool = False
    folders: Callable[[Path], Sequence[Path]] = lambda _: ()


def _backups(logbook: Path) -> list[Path]:
    from gwlog.journal.backup import FOLDER

    return [logbook.absolute().parent / FOLDER]


IMPORTS = {one.work: one for one in (
    Import("weather", "Weather from a file", "A table in text, by the day or by the hour: of a weather service, or "
           "your own with units in the titles, like date,rain_mm,tmin_c,tmax_c. What it does not say is asked. Days "
           "already in the logbook with the same figures are skipped.", (".csv", ".txt", ".dly"), "logs it",
           rows=True),
    Import("loads", "Past loads from a spreadsheet", "Save the sheet as CSV: a header, then one line per load. Next "
           "you say which column holds what. Loads already in the logbook are skipped.", (".csv", ".txt"),
           "logs it", rows=True),
    Import("restore", "Restore a backup", "The backup is verified first. The logbook as it is now is kept beside it.",
           (".db",), "restores it", folders=_backups),
    Import("begin", "Begin from a file", "An export (.jsonl), a record pack or a handover (.zip), a backup (.db) or a "
           "site file (.toml). It is verified first; a logbook that describes a household is never filled.",
           (".jsonl", ".zip", ".db", ".toml"), "makes the logbook", folders=_backups),
)}


class ImportFileDialog(PartedDialog[dict[str, Any]]):
    """Asks for a file. Returns the outcome when it was taken in, None when the dialog was left."""

    DEFAULT_CSS: ClassVar[str] = """
    ImportFileDialog #frame { width: 90; }
    ImportFileDialog #fields { height: auto; max-height: 24; }
    ImportFileDialog.-short #fields { max-height: 11; }
    ImportFileDialog #words { height: auto; max-height: 16; margin-top: 1; }
    ImportFileDialog.-short #words { max-height: 7; }
    ImportFileDialog #asked { height: auto; }
    """
    VERTICAL_BREAKPOINTS = [(0, "-short"), (46, "-tall")]  # noqa: RUF012 - declared by textual
    BINDINGS: ClassVar[list[BindingType]] = [
        # before any field sees it: one key reads the file, and the same again takes it in
        Binding("enter", "on", "preview the file; again: bring it in", priority=True),
        Binding("escape", "leave", "back; reading is stopped, and nothing is written"),
        Binding("pageup", "page(-1)", "scroll the preview up", show=False, priority=True),
        Binding("pagedown", "page(1)", "scroll the preview down", show=False, priority=True),
        *KEYS,
    ]
    PAGED = ("#words", 6)

    def __init__(self, source: Import, kept: Values | None = None) -> None:
        super().__init__()
        self.source = source
        self.heading = source.title
        self.kept = dict(kept or {})
        self.mine = False
        """Whether the background task is this dialog's."""
        self.ready_for: dict[str, Value] | None = None
        """What the fields held when the file was found fit to be taken in."""
        self.typed: Values = self.kept
        """What the fields held last."""
        self.asked_of = ""
        """The file that leaves something open."""

    def parts(self) -> ComposeResult:
        fields: list[Widget] = [
            Static(plain(self.source.about), id="about", markup=False),
            LabelledRow("File", PathLine(str(self.kept.get("path", "")), endings=self.source.endings,
                                         hint="a path; → fills in the one offered", id="path")),
            LabelledRow("Recent files", Choice([TYPED], id="found"), id="lately"),
        ]
        if self.source.rows:
            fields.append(LabelledRow("Bad rows", Choice([REFUSE, LEAVE_OUT], self.kept.get("leave_out", ""),
                                                         id="leave_out")))
        yield self.scrolled("fields", *fields, Vertical(id="asked"))
        yield self.scrolled("words", self.message_part())

    def keys_line(self) -> Content:
        return plain(f"enter previews it · enter again {self.source.does} · tab next · page down: more · esc back")

    def on_mount(self) -> None:
        self.focus_first()
        self.say(plain("Nothing is written before you have seen what it would be.", "dim"))
        self._look_for_files()

    @work(group="files")
    async def _look_for_files(self) -> None:
        path = self.host.path
        folders = [*self.source.folders(path), *where_people_look(path)]
        found = [one for one in await asyncio.to_thread(likely, folders, self.source.endings)
                 if one.absolute() != path.absolute()]
        choice = self.query_one("#found", Choice)
        choice.offer([TYPED, *(Option(str(one), one.name) for one in found)])
        self.query_one("#lately").display = bool(found)

    @property
    def values(self) -> dict[str, Value]:
        """What the fields hold now, by their ids."""
        found: dict[str, Value] = {"path": self.query_one("#path", PathLine).value}
        found |= {str(one.id): one.value for one in self.query("#fields Choice").results(Choice) if one.id != "found"}
        return found

    def order(self, file: Path, values: Values, *, dry: bool) -> orders.Order:
        """What is ordered for these values."""
        logbook, now = self.host.path, self.host.now()
        if self.source.work == "weather":
            units, form, station = (str(values.get(name) or "") or None for name in QUESTIONS)
            return orders.Weather(logbook=logbook, now=now, file=file, dry=dry, units=units, format=form,
                                  station=station, leave_out=values.get("leave_out") == "yes")
        kind = orders.Restore if self.source.work == "restore" else orders.Begin
        return kind(logbook=logbook, now=now, file=file, dry=dry)

    def on_choice_changed(self, event: Choice.Changed) -> None:
        if event.control.id == "found":
            if event.control.value:
                self.query_one("#path", PathLine).value = str(event.control.value)
            return
        self.changed()

    def on_input_changed(self, event: EntryLine.Changed) -> None:
        if event.input.id == "path":
            choice = self.query_one("#found", Choice)
            if choice.value != event.value and choice.value:
                choice.choose(0)
        self.changed()

    def changed(self) -> None:
        """Something else is asked for now: what was found for the old does not count."""
        if self.asked_of and str(self.values["path"]) != self.asked_of:
            self.asked_of = ""
            self.query_one("#asked", Vertical).remove_children()
        self.typed = self.values
        if self.ready_for is not None and self.values != self.ready_for:
            self.ready_for = None
            self.say(plain("Enter reads it again.", "dim"))

    def say(self, *lines: Content) -> None:
        """Show lines as the message, from their first on."""
        super().say(*lines)
        for part in self.query("#words"):
            part.scroll_home(animate=False)

    def action_on(self) -> None:
        if self.mine:
            return
        values = self.values
        words = text.one_line(str(values["path"]))
        if not words:
            self.refuse(f"Name a file; use {text.listed(self.source.endings, 'or')}.")
            return
        try:
            file = typed_path(words).absolute()
        except BadInput as trouble:
            self.refuse(str(trouble))
            return
        self._begin(file, values, dry=self.ready_for != values)

    def _begin(self, file: Path, values: dict[str, Value], *, dry: bool) -> None:
        self.mine = self.host.background_task.begin(self.source.title, self.order(file, values, dry=dry),
                                                    lambda outcome: self._done(values, outcome, dry=dry))
        if not self.mine:
            self.refuse("Other work is still running; wait for it, or stop it under Records with x.")
        self.task_changed()

    def task_changed(self) -> None:
        """Show how far it is."""
        progress = self.host.background_task.progress
        if self.mine and progress is not None:
            self.say(progress.bar(min(self.size.width, 88)), plain("esc stops it.", "dim"))

    def _done(self, values: dict[str, Value], outcome: dict[str, Any], *, dry: bool) -> None:
        self.mine = False
        if not self.is_mounted:
            return
        if "refused" in outcome:
            self.ready_for = None
            self.refuse(key_hints.refused_outcome(outcome))
        elif not self.more(outcome):
            if not dry:
                self.dismiss(outcome)
                return
            waits = outcome.get("waits", False)
            self.ready_for = values if waits and self.values == values else None
            end = f"Enter again {self.source.does}." if waits else "There is nothing new in it."
            self.say(plain(end, "bold"), *(plain(line) for line in outcome["lines"]))

    def more(self, outcome: dict[str, Any]) -> bool:
        """Whether the outcome asks for something more before it can be taken in."""
        if "asks" not in outcome:
            return False
        self.asked_of = str(self.values["path"])
        self.run_worker(self._ask(outcome), group="asked")
        return True

    async def _ask(self, outcome: dict[str, Any]) -> None:
        """Offer the answers to what the file leaves open; each is spelled out below with what it would mean."""
        name, asked = outcome["asks"], self.query_one("#asked", Vertical)
        options = [UNSAID, *(Option(value, value) for value, _ in outcome["choices"])]
        if not self.query(f"#{name}"):
            await asked.mount(LabelledRow(QUESTIONS[name], Choice(options, id=name)))
        self.query_one(f"#{name}", Choice).offer(options)
        self.query_one(f"#{name}").focus()
        self.say(plain(outcome["lines"][0]), *(plain(f"{value}: {words}") for value, words in outcome["choices"]),
                 plain("Choose one; enter then reads the file that way.", "bold"))

    def action_leave(self) -> None:
        if self.mine:
            self.host.background_task.stop()
        else:
            self.dismiss()
