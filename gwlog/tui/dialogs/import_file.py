"""Takes something from a file into the logbook: the first enter tells what it would bring, the second brings it.

The reading is done beside the screens; escape stops it, and then nothing is written.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar, cast

from textual import work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.widget import Widget
from textual.widgets import Static

from gwlog import text
from gwlog.tui.dialogs.form import Value, Values
from gwlog.tui.hints import here
from gwlog.tui.widgets.cells import plain, stacked
from gwlog.tui.widgets.choice import Choice, Option
from gwlog.tui.widgets.entry_line import EntryLine
from gwlog.tui.widgets.path_line import PathLine, likely, where_people_look

if TYPE_CHECKING:
    from gwlog.tui.app import Screens

TYPED = Option("", "as typed")
REFUSE, LEAVE_OUT = Option("", "refuse the whole file"), Option("yes", "leave those rows out")


@dataclass(frozen=True, slots=True)
class Take:
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


TAKES = {take.work: take for take in (
    Take("weather", "Weather from a file", "A CSV with a header and one line per day: date, rain, lowest and highest "
         "temperature, with their units in the titles, like date,rain_mm,tmin_c,tmax_c. Days that the logbook has "
         "with the same figures are left alone.", (".csv", ".txt"), "logs it", rows=True),
    Take("loads", "Past loads from a spreadsheet", "Save the sheet as CSV: a header, then one line per load. Next you "
         "say which column holds what. Loads that the logbook has already are left alone.", (".csv", ".txt"),
         "logs it", rows=True),
    Take("restore", "Put a backup back", "The backup is verified first. The logbook as it is now is kept beside it.",
         (".db",), "puts it back", folders=_backups),
    Take("begin", "Begin from a file", "An export (.jsonl), a record pack or a handover (.zip), a backup (.db) or a "
         "site file (.toml). It is verified first; a logbook that describes a household is never filled.",
         (".jsonl", ".zip", ".db", ".toml"), "makes the logbook", folders=_backups),
)}


class TakeBox(ModalScreen[dict[str, Any] | None]):
    """Asks for a file. Returns the outcome when it was taken in, None when the box was left."""

    DEFAULT_CSS: ClassVar[str] = """
    TakeBox { align: center middle; background: $background; }
    TakeBox #box { width: 90; max-width: 100%; height: auto; max-height: 100%; background: $surface;
                   border: round $primary; padding: 0 1; }
    TakeBox #fields { height: auto; max-height: 24; }
    TakeBox.-short #fields { max-height: 11; }
    TakeBox #words { height: auto; max-height: 16; margin-top: 1; }
    TakeBox.-short #words { max-height: 7; }
    TakeBox Static { height: auto; }
    TakeBox #about, TakeBox #how { color: $text-muted; }
    TakeBox .row, TakeBox #asked { height: auto; }
    TakeBox .label { width: 13; height: 1; }
    TakeBox .row EntryLine, TakeBox .row Choice { width: 1fr; }
    TakeBox #how { margin-top: 1; }
    """
    VERTICAL_BREAKPOINTS = [(0, "-short"), (46, "-tall")]  # noqa: RUF012 - declared by textual
    BINDINGS: ClassVar[list[BindingType]] = [
        # before any field sees it: one key reads the file, and the same again takes it in
        Binding("enter", "on", "read the file; again: take it in", priority=True),
        Binding("escape", "leave", "back; reading is stopped, and nothing is written"),
        Binding("pageup", "page(-1)", "what was said: up", show=False, priority=True),
        Binding("pagedown", "page(1)", "what was said: down", show=False, priority=True),
        Binding("f1", "app.keys", "all keys"),
        Binding("ctrl+q", "app.leave", "quit", show=False),
    ]

    def __init__(self, take: Take, kept: Values | None = None) -> None:
        super().__init__()
        self.take = take
        self.kept = dict(kept or {})
        self.mine = False
        self.ready_for: dict[str, Value] | None = None
        """What the fields held when the file was found fit to be taken in."""
        self.typed: Values = self.kept
        """What the fields held last."""

    @property
    def screens(self) -> Screens:
        return cast("Screens", self.app)

    def compose(self) -> ComposeResult:
        with Vertical(id="box"):
            yield Static(plain(self.take.title), classes="title", markup=False)
            with VerticalScroll(id="fields", can_focus=False):
                yield Static(plain(self.take.about), id="about", markup=False)
                yield row("File", PathLine(str(self.kept.get("path", "")), endings=self.take.endings,
                                           hint="a path; → takes what is offered", id="path"))
                yield row("Lately", Choice([TYPED], id="found"))
                if self.take.rows:
                    yield row("Unusable", Choice([REFUSE, LEAVE_OUT], self.kept.get("leave_out", ""), id="leave_out"))
                yield Vertical(id="asked")
            with VerticalScroll(id="words", can_focus=False):
                yield Static(id="said", markup=False)
            yield Static(plain(f"enter reads it · again {self.take.does} · tab next · page down: more · esc back"),
                         id="how", markup=False)

    def on_mount(self) -> None:
        self.query_one("#path").focus()
        self.say([plain("Nothing is written before you have seen what it would be.", "dim")])
        self._look_for_files()

    @work(group="files")
    async def _look_for_files(self) -> None:
        path = self.screens.path
        folders = [*self.take.folders(path), *where_people_look(path)]
        found = [one for one in await asyncio.to_thread(likely, folders, self.take.endings)
                 if one.absolute() != path.absolute()]
        choice = self.query_one("#found", Choice)
        choice.offer([TYPED, *(Option(str(one), one.name) for one in found)])
        choice.parent.display = bool(found)  # type: ignore[union-attr]

    @property
    def values(self) -> dict[str, Value]:
        """What the fields hold now, by their ids."""
        found: dict[str, Value] = {"path": self.query_one("#path", PathLine).value}
        found |= {str(one.id): one.value for one in self.query("#fields Choice").results(Choice) if one.id != "found"}
        return found

    def order(self, values: Values) -> dict[str, Any]:
        """What is ordered for these values, besides the file."""
        return {"leave_out": values.get("leave_out") == "yes"}

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
        self.typed = self.values
        if self.ready_for is not None and self.values != self.ready_for:
            self.ready_for = None
            self.say([plain("Enter reads it anew.", "dim")])

    def say(self, lines: Sequence[Content]) -> None:
        """Say something below the fields."""
        if self.query("#said"):
            self.query_one("#said", Static).update(stacked(list(lines)))
            self.query_one("#words").scroll_home(animate=False)

    def fault(self, words: str, hint: str | None = None) -> None:
        """Say why it cannot be."""
        self.say([Content.assemble(("✗ ", "bold $text-error"), plain(words)), *([plain(here(hint))] if hint else [])])

    def action_page(self, by: int) -> None:
        self.query_one("#words", VerticalScroll).scroll_relative(y=by * 6, animate=False)

    def action_on(self) -> None:
        if self.mine:
            return
        values = self.values
        words = text.one_line(str(values["path"]))
        if not words:
            self.fault(f"Name a file; {text.listed(self.take.endings, 'or')} is accepted.")
            return
        try:
            file = Path(words).expanduser().absolute()
        except (RuntimeError, ValueError) as trouble:
            self.fault(f"That is no path: {trouble}.")
            return
        self._begin(file, values, dry=self.ready_for != values)

    def _begin(self, file: Path, values: dict[str, Value], *, dry: bool) -> None:
        order = {"work": self.take.work, "logbook": str(self.screens.path), "file": str(file), "dry": dry,
                 "now": self.screens.now().isoformat(), **self.order(values)}
        self.mine = self.screens.begin_work(self.take.title, order,
                                            lambda outcome: self._done(values, outcome, dry=dry))
        if not self.mine:
            self.fault("Other work is still under way; wait for it, or stop it under Records with x.")
        self.show_running()

    def show_running(self) -> None:
        """Show how far it is."""
        if self.mine and self.screens.running is not None:
            self.say([self.screens.running.bar(min(self.size.width, 88)), plain("esc stops it.", "dim")])

    def _done(self, values: dict[str, Value], outcome: dict[str, Any], *, dry: bool) -> None:
        self.mine = False
        if not self.is_mounted:
            return
        if "refused" in outcome:
            self.ready_for = None
            self.fault(outcome["refused"], outcome.get("hint"))
        elif not self.more(outcome):
            if not dry:
                self.dismiss(outcome)
                return
            waits = outcome.get("waits", False)
            self.ready_for = values if waits and self.values == values else None
            end = f"Enter again {self.take.does}." if waits else "There is nothing in it to take in."
            self.say([plain(end, "bold"), *(plain(line) for line in outcome["lines"])])

    def more(self, outcome: dict[str, Any]) -> bool:
        """Whether the outcome asks for something more before it can be taken in."""
        return False

    def action_leave(self) -> None:
        if self.mine:
            self.screens.stop_work()
        else:
            self.dismiss(None)


def row(label: str, field: Widget) -> Horizontal:
    """A label and its field on one row."""
    return Horizontal(Static(plain(label), classes="label", markup=False), field, classes="row")
