"""Asks where a file is to be written: a sensible place is there already, and words say what enter would do.

A file that is there is replaced only after a second enter.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import ClassVar, NamedTuple

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Static

from gwlog import files, text
from gwlog.errors import BadInput
from gwlog.tui.hints import told
from gwlog.tui.widgets.cells import plain
from gwlog.tui.widgets.entry_line import EntryLine
from gwlog.tui.widgets.path_line import PathLine


class Chosen(NamedTuple):
    """A place for a file, whether what is there may be replaced, and what else was said."""

    path: Path
    replace: bool
    more: str = ""


class More(NamedTuple):
    """One thing more to say beside the place: its label and hint, what stands there, and who refuses it."""

    label: str
    hint: str
    start: str = ""
    judge: Callable[[str], object] = str


class FileBox(ModalScreen[Chosen | None]):
    """Asks for a path. `ending`: how it must end; empty: a folder. `more`: a further field; `mind`: what to know."""

    DEFAULT_CSS: ClassVar[str] = """
    FileBox { align: center middle; background: $background; }
    FileBox #box { width: 90; max-width: 100%; height: auto; max-height: 100%; background: $surface;
                   border: round $primary; padding: 0 1; }
    FileBox Static { height: auto; }
    FileBox #said, FileBox #how { margin-top: 1; }
    FileBox #how { color: $text-muted; }
    FileBox .row { height: auto; }
    FileBox .label { width: 13; height: 1; }
    FileBox .row EntryLine { width: 1fr; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "write", "write it there"),
        Binding("escape", "leave", "leave; nothing is written"),
        Binding("f1", "app.keys", "all keys"),
        Binding("ctrl+q", "app.leave", "quit", show=False),
    ]

    def __init__(self, title: str, start: str, ending: str, more: More | None = None, mind: Sequence[str] = ()
                 ) -> None:
        super().__init__()
        self.mind = tuple(mind)
        self.heading, self.start, self.ending, self.more = title, start, ending, more
        self.asked: Path | None = None
        self.typed = start

    def compose(self) -> ComposeResult:
        with VerticalScroll(id="box", can_focus=False):
            yield Static(plain(self.heading), classes="title", markup=False)
            yield PathLine(self.start, hint="a file" if self.ending else "a folder", id="path")
            if self.more is not None:
                with Horizontal(classes="row"):
                    yield Static(self.more.label, classes="label", markup=False)
                    yield EntryLine(self.more.start, hint=self.more.hint, id="more")
            for line in self.mind:
                yield Static(plain(f"Mind: {line}", "$text-warning"), markup=False)
            yield Static(id="said", markup=False)
            yield Static("enter writes it · → takes the path that is offered · esc leaves · F1 keys", id="how",
                         markup=False)

    def on_mount(self) -> None:
        self.query_one("#path").focus()
        self.check()

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
            words = told(fault)
            self._say(Content.assemble(("✗ ", "bold $text-error"), plain(words)))
            return
        again = "Enter again replaces it." if self.asked == where else "It will be asked once more."
        self._say(plain(f"There is a file at {where} already. {again}" if taken else f"Will write {where}"))

    def _say(self, words: Content) -> None:
        self.query_one("#said", Static).update(words)

    def _place(self) -> tuple[Path, bool]:
        """The place that is typed, and whether a file is there. Raises BadInput where nothing can be written."""
        words = text.one_line(self.query_one("#path", EntryLine).value)
        if self.more is not None:
            self.more.judge(self.said)
        if not words:
            raise BadInput("Name a file." if self.ending else "Name a folder.")
        try:
            where = Path(words).expanduser().absolute()
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
            raise BadInput(f"That is no place for a file: {fault}.") from None

    @property
    def said(self) -> str:
        """What else was said."""
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
        self.dismiss(Chosen(where, taken, self.said))

    def action_leave(self) -> None:
        self.dismiss(None)


def home_of_papers() -> Path:
    """The folder in which people look for their papers."""
    home = Path.home()
    return home / "Documents" if (home / "Documents").is_dir() else home
