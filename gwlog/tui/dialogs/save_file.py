"""Asks where a file is to be written: a sensible place is there already, and words say what enter would do.

A file that is there is replaced only after a second enter.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import ClassVar, NamedTuple

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Static

from gwlog import files, text
from gwlog.errors import BadInput, GwlogError
from gwlog.settings import typed_path
from gwlog.tui.dialogs.base import KEYS, Dialog
from gwlog.tui.widgets.cells import plain, refusal, stacked
from gwlog.tui.widgets.entry_line import EntryLine
from gwlog.tui.widgets.labelled_row import LabelledRow
from gwlog.tui.widgets.path_line import PathLine


class Chosen(NamedTuple):
    """A place for a file, whether what is there may be replaced, and what the further field holds."""

    path: Path
    replace: bool
    more: str = ""


class More(NamedTuple):
    """One more field beside the place: its label and hint, what stands there, and a function that refuses."""

    label: str
    hint: str
    start: str = ""
    judge: Callable[[str], object] = str


class SaveFileDialog(Dialog[Chosen]):
    """Asks for a path. `ending`: how it must end; empty: a folder. `more`: a further field; `mind`: what to know;
    `told`: makes lines that are read before anything is written, beside the keys since it may take a while.
    """

    DEFAULT_CSS: ClassVar[str] = """
    SaveFileDialog #frame { width: 90; }
    SaveFileDialog #message { margin-top: 1; }
    SaveFileDialog #told { height: auto; max-height: 35vh; margin-top: 1; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "write", "write it there"),
        Binding("escape", "leave", "close; nothing is written"),
        Binding("pagedown", "page(1)", "scroll what the reader learns"),
        Binding("pageup", "page(-1)", "scroll it back", show=False),
        *KEYS,
    ]
    PAGED = ("#told", 0)
    FOOTER = "enter writes it · → fills in the path offered · esc closes · F1 keys"

    def __init__(self, title: str, start: str, ending: str, more: More | None = None, mind: Sequence[str] = (),
                 told: Callable[[], list[str]] | None = None) -> None:
        super().__init__()
        self.told = told
        self.mind = tuple(mind)
        self.heading, self.start, self.ending, self.more = title, start, ending, more
        self.asked: Path | None = None
        self.typed = start

    def parts(self) -> ComposeResult:
        yield PathLine(self.start, hint="a file" if self.ending else "a folder", id="path")
        if self.more is not None:
            yield LabelledRow(self.more.label, EntryLine(self.more.start, hint=self.more.hint, id="more"))
        for line in self.mind:
            yield Static(plain(f"Check: {line}", "$text-warning"), markup=False)
        yield self.message_part()
        if self.told is not None:
            yield VerticalScroll(Static(plain("Looking up what this reader learns.", "dim"), id="learns",
                                        markup=False), id="told", can_focus=False)

    def on_mount(self) -> None:
        self.focus_first()
        self.check()
        if self.told is not None:
            self.run_worker(self._tell(self.told))

    async def _tell(self, told: Callable[[], list[str]]) -> None:
        try:
            lines = [plain(line) for line in await asyncio.to_thread(told)]
        except GwlogError as fault:
            lines = [refusal(str(fault))]
        if self.is_mounted:
            self.query_one("#learns", Static).update(stacked(lines))

    def keys_line(self) -> Content:
        return plain(f"{self.FOOTER} · page down: what the reader learns" if self.told is not None else self.FOOTER)

    def on_input_changed(self) -> None:
        self.asked = None
        self.typed = self.query_one("#path", EntryLine).value
        self.check()

    def on_input_submitted(self) -> None:
        self.action_write()

    def check(self) -> None:
        """Say what enter would do."""
        try:
            where, taken = self._place()
        except BadInput as fault:
            self.refuse(fault)
            return
        again = "Enter again replaces it." if self.asked == where else "You will be asked once more."
        self.say(plain(f"There is a file at {where} already. {again}" if taken else f"Will write {where}"))

    def _place(self) -> tuple[Path, bool]:
        """The place that is typed, and whether a file is there. Raises BadInput where nothing can be written."""
        words = text.one_line(self.query_one("#path", EntryLine).value)
        if self.more is not None:
            self.more.judge(self.more_typed)
        if not words:
            raise BadInput("Name a file." if self.ending else "Name a folder.")
        try:
            where = typed_path(words).absolute()
            if not self.ending:
                if where.exists() and not where.is_dir():
                    raise BadInput(f"{where} is a file; name a folder.")
                return where, False
            if where.is_dir():
                raise BadInput(f"{where} is a folder; name a file in it.")
            if where.suffix.casefold() != self.ending:
                raise BadInput(f"The name must end in {self.ending}.")
            if not where.parent.is_dir():
                raise BadInput(f"There is no folder {where.parent}.")
            files.refuse_taken(where, replace=True)
            return where, where.exists()
        except (OSError, ValueError, RuntimeError) as fault:
            raise BadInput(f"A file cannot be written there: {fault}.") from None

    @property
    def more_typed(self) -> str:
        """What the further field holds."""
        return text.one_line(self.query_one("#more", EntryLine).value) if self.more is not None else ""

    def action_write(self) -> None:
        try:
            where, taken = self._place()
        except BadInput:
            self.check()
            return
        if taken and self.asked != where:
            self.asked = where
            self.check()
            return
        self.dismiss(Chosen(where, taken, self.more_typed))


def home_of_papers() -> Path:
    """The folder in which people look for their papers."""
    home = Path.home()
    return home / "Documents" if (home / "Documents").is_dir() else home
