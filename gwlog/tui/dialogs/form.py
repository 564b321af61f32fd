"""A small form over the screen: fields, and below them in words what would be logged or what is still wrong.

Leaving keeps what was typed; it is there when the form is opened again.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar, cast

from textual import work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Static

from gwlog import clock
from gwlog.errors import GwlogError
from gwlog.household import Household
from gwlog.journal.facts import Fact
from gwlog.tui.hints import told
from gwlog.tui.widgets.cells import plain
from gwlog.tui.widgets.choice import Choice, Option
from gwlog.tui.widgets.entry_line import EntryLine
from gwlog.tui.widgets.latest_result import Thinking
from gwlog.tui.widgets.path_line import PathLine
from gwlog.views.log import sentence

if TYPE_CHECKING:
    from gwlog.tui.app import Screens

Value = str | tuple[str, ...]
Values = Mapping[str, Value]


@dataclass(frozen=True, slots=True)
class Field:
    """One field. `options` None: typed freely; they may depend on the values so far. `many`: any number of them.

    `endings`: it is a path, of a file with such an ending.
    """

    key: str
    label: str
    options: Callable[[Household, Values], Sequence[Option]] | None = None
    hint: str = ""
    many: bool = False
    start: Callable[[Household], str] | None = None
    endings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class FormSpec:
    """A form: its fields, and how its values become entries. `advise`: lines to show above what would be logged.

    `wrote`: what to say after it was logged, else the entries' own sentences.
    """

    key: str
    title: str
    fields: tuple[Field, ...]
    build: Callable[[Household, Values], Sequence[Fact]]
    advise: Callable[[Household, Values], Sequence[str]] | None = None
    wrote: Callable[[Household, Values, Sequence[Fact]], Sequence[str]] | None = None


class Form(Thinking, ModalScreen[bool]):
    """Asks for the fields of one entry and logs it. Returns whether anything was logged."""

    DEFAULT_CSS: ClassVar[str] = """
    Form { align: center middle; background: $background; }
    Form #box { width: 76; max-width: 100%; height: auto; max-height: 100%;
                background: $surface; border: round $primary; padding: 0 1; }
    Form #fields { height: auto; }
    Form #words { height: auto; margin-top: 1; }
    Form .row { height: auto; margin-bottom: 0; }
    Form .label { width: 13; height: 1; }
    Form .row EntryLine, Form .row Choice { width: 1fr; }
    Form #said { height: auto; }
    Form #how { height: auto; margin-top: 1; color: $text-muted; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "log", "log it"),
        Binding("pageup", "page(-1)", "what would be logged: up", show=False, priority=True),
        Binding("pagedown", "page(1)", "what would be logged: down", show=False, priority=True),
        Binding("escape", "leave", "leave; what was typed is kept"),
        Binding("ctrl+n", "afresh", "start afresh"),
        Binding("f1", "app.keys", "all keys"),
        Binding("ctrl+q", "app.leave", "quit", show=False),
    ]

    def __init__(self, spec: FormSpec, home: Household, preset: Values | None = None,
                 kept: Values | None = None) -> None:
        super().__init__()
        self.spec = spec
        self.home = home
        self.preset: Values = preset or {}
        self.kept = kept if preset is None else None
        self.start: dict[str, Value] = {}
        self.busy = False
        self.tried = False

    @property
    def screens(self) -> Screens:
        return cast("Screens", self.app)

    def compose(self) -> ComposeResult:
        values: dict[str, Value] = {}
        with Vertical(id="box"):
            yield Static(self.spec.title, classes="title", markup=False)
            with self._part("fields", 42):
                for field in self.spec.fields:
                    begin: Value = self.preset.get(field.key, field.start(self.home) if field.start else "")
                    self.start[field.key] = begin
                    value = (self.kept or {}).get(field.key, begin)
                    if field.many:
                        begin, value = begin or (), value or ()
                    with Horizontal(classes="row"):
                        yield Static(field.label, classes="label", markup=False)
                        if field.endings:
                            yield PathLine(str(value), endings=field.endings, hint=field.hint, id=f"f-{field.key}")
                        elif field.options is None:
                            yield EntryLine(str(value), hint=field.hint, id=f"f-{field.key}")
                        else:
                            options = field.options(self.home, values)
                            self.start[field.key] = Choice(options, begin, many=field.many).value
                            choice = Choice(options, value, many=field.many, id=f"f-{field.key}")
                            value = choice.value
                            yield choice
                    values[field.key] = value
            with self._part("words", 25):
                yield Static(id="said", markup=False)
            yield Static("enter logs it · tab next field · esc leaves, typed words stay · F1 keys", id="how",
                         markup=False)

    def _part(self, name: str, share: int) -> VerticalScroll:
        """A part that scrolls and takes at most a share of the rows [%], so that what stands below it is seen."""
        part = VerticalScroll(id=name, can_focus=False)
        part.styles.max_height = self.app.size.height * share // 100
        return part

    def on_resize(self) -> None:
        for name, share in (("#fields", 42), ("#words", 25)):
            self.query_one(name).styles.max_height = self.app.size.height * share // 100

    def on_mount(self) -> None:
        self.check()
        first = self.query("EntryLine, Choice").first()
        first.focus()

    @property
    def values(self) -> dict[str, Value]:
        """What the fields hold now."""
        found: dict[str, Value] = {}
        for field in self.spec.fields:
            if field.options is None:
                found[field.key] = self.query_one(f"#f-{field.key}", EntryLine).value
            else:
                found[field.key] = self.query_one(f"#f-{field.key}", Choice).value
        return found

    def on_input_changed(self) -> None:
        self.check()

    def on_choice_changed(self) -> None:
        self.check()

    def on_input_submitted(self) -> None:
        self.action_log()

    def look_again(self) -> None:
        """Judge what is typed by a new look at the household."""
        if self.screens.home is not None:
            self.home = self.screens.home
            self.check()

    def check(self) -> None:
        """Say what would be logged, or what is wrong with what is typed."""
        if not self.query("#said"):
            return
        values = self.values
        for field in self.spec.fields:
            if field.options is not None:
                self.query_one(f"#f-{field.key}", Choice).offer(field.options(self.home, values))
        values, home, quiet = self.values, self.home, not self.tried and not self.typed
        self.think(lambda: self._judged(home, values, quiet=quiet), self._show)

    def _judged(self, home: Household, values: Values, *, quiet: bool) -> list[Content]:
        lines: list[Content] = []
        try:
            for fact in self.spec.build(home, values):
                lines.append(Content.assemble(("Will log: ", "bold $text-success"), plain(
                    f"{sentence(home, fact)}  ({clock.echo(fact.happened_at, home.zone)})")))
        except GwlogError as fault:
            lines = [self._fault(fault, quiet=quiet)]
        try:
            lines += [plain(line) for line in (self.spec.advise(home, values) if self.spec.advise else ())]
        except GwlogError:
            pass  # what is wrong was said above
        return lines

    def _show(self, lines: list[Content]) -> None:
        if not self.query("#said"):
            return
        if self.kept is not None and self.kept == self.values:
            lines = [plain("This is what you typed before; ctrl+n starts afresh.", "dim"), *lines]
        self.query_one("#said", Static).update(Content("\n").join(lines))

    def _fault(self, fault: GwlogError, *, quiet: bool) -> Content:
        words = told(fault)
        return plain(words, "dim") if quiet else Content.assemble(("✗ ", "bold $text-error"), plain(words))

    @property
    def typed(self) -> bool:
        """Whether anything differs from what the form opened with."""
        return any(value != self.start.get(key, "") for key, value in self.values.items())

    def action_page(self, by: int) -> None:
        self.query_one("#words").scroll_relative(y=by * 4, animate=False)

    def action_afresh(self) -> None:
        self.screens.drafts.pop(self.spec.key, None)
        self.dismiss(False)
        self.screens.open_form(self.spec, preset=self.preset or None)

    def action_leave(self) -> None:
        self.screens.drafts.pop(self.spec.key, None)
        if self.typed:
            self.screens.drafts[self.spec.key] = self.values
        self.dismiss(False)

    def action_log(self) -> None:
        if not self.busy:
            self.busy = True
            self._log()

    @work
    async def _log(self) -> None:
        values = self.values
        try:
            fresh = self.screens.fresh()
            facts = await asyncio.to_thread(lambda: list(self.spec.build(fresh, values)))
            written = await self.screens.write(facts)
        except GwlogError as fault:
            self.tried = True
            self.forget()
            self.query_one("#said", Static).update(self._fault(fault, quiet=False))
            return
        finally:
            self.busy = False
        self.screens.drafts.pop(self.spec.key, None)
        self.screens.say(await asyncio.to_thread(self._said, fresh, values, written))
        self.dismiss(True)

    def _said(self, home: Household, values: Values, written: Sequence[Fact]) -> Sequence[str]:
        if self.spec.wrote:
            return self.spec.wrote(home, values, written)
        return [f"Logged {fact.id}: {sentence(home, fact)}." for fact in written]
