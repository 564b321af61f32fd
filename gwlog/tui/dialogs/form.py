"""A form over the screen: fields, and below them in words what would be logged or what is still wrong.

Leaving keeps what was typed; it is there when the form is opened again. What is right or wrong is judged by the
form's model.
"""

from __future__ import annotations

import asyncio
from typing import ClassVar

from textual import work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widget import Widget

from gwlog.app.forms import model
from gwlog.app.forms.model import FormSpec, Judgement, OpenField, Value, Values
from gwlog.errors import AnswerChanged, GwlogError
from gwlog.household import Household
from gwlog.tui import key_hints
from gwlog.tui.dialogs.base import KEYS, PartedDialog
from gwlog.tui.widgets.cells import marked, plain, refusal
from gwlog.tui.widgets.choice import Choice
from gwlog.tui.widgets.entry_line import EntryLine
from gwlog.tui.widgets.labelled_row import LabelledRow
from gwlog.tui.widgets.latest_result import LatestResult
from gwlog.tui.widgets.path_line import PathLine

BEFORE = "Restored what you typed earlier; ctrl+n clears it."
SHARES = {"fields": 42, "words": 25}
"""The shares of the rows [%] that the parts may take, so that what stands below them is seen."""


class FormDialog(LatestResult, PartedDialog[None]):
    """Asks for the fields of a form and logs its entries."""

    DEFAULT_CSS: ClassVar[str] = """
    FormDialog #fields, FormDialog #words { height: auto; }
    FormDialog #words { margin-top: 1; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "log", "log it"),
        Binding("pageup", "page(-1)", "what would be logged: up", show=False, priority=True),
        Binding("pagedown", "page(1)", "what would be logged: down", show=False, priority=True),
        Binding("escape", "leave", "close; what you typed is kept"),
        Binding("ctrl+n", "afresh", "clear what you typed"),
        *KEYS,
    ]
    FOOTER = "enter logs it · tab next · esc closes, keeps what you typed · F1 keys"
    PAGED = ("#words", 4)

    def __init__(self, spec: FormSpec, home: Household, preset: Values | None = None,
                 kept: Values | None = None) -> None:
        super().__init__()
        self.spec = spec
        self.heading = spec.title
        self.home = home
        self.preset: Values = preset or {}
        self.kept = kept if preset is None else None
        self.start: dict[str, Value] = {}
        self.busy = False
        self.tried = False
        self.changed = ""
        """Why nothing was logged although enter was pressed, until something else is typed."""

    def parts(self) -> ComposeResult:
        opened = model.opened(self.spec, self.home, self.preset, self.kept)
        self.start = {one.field.key: one.start for one in opened}
        yield self._part("fields", *(LabelledRow(one.field.label, _holder(one)) for one in opened))
        yield self._part("words", self.message_part())

    def _part(self, name: str, *parts: Widget) -> VerticalScroll:
        part = self.scrolled(name, *parts)
        part.styles.max_height = self.app.size.height * SHARES[name] // 100
        return part

    def on_resize(self) -> None:
        for name, share in SHARES.items():
            self.query_one(f"#{name}").styles.max_height = self.app.size.height * share // 100

    def on_mount(self) -> None:
        self.check()
        self.focus_first()

    @property
    def values(self) -> dict[str, Value]:
        """What the fields hold now."""
        return {field.key: self._holder(field.key).value for field in self.spec.fields}

    def _holder(self, key: str) -> EntryLine | Choice:
        found = self.query_one(f"#f-{key}")
        assert isinstance(found, (EntryLine, Choice))
        return found

    def on_input_changed(self) -> None:
        self.changed = ""
        self.check()

    def on_choice_changed(self) -> None:
        self.changed = ""
        self.check()

    def on_input_submitted(self) -> None:
        self.action_log()

    def household_changed(self) -> None:
        """Judge what is typed by a new look at the household."""
        if self.host.home is not None:
            self.home = self.host.home
            self.check()

    def check(self) -> None:
        """Say what would be logged, or what is wrong with what is typed."""
        if not self.query("#message"):
            return
        values = self.values
        for field in self.spec.fields:
            if field.options is not None:
                self.query_one(f"#f-{field.key}", Choice).offer(field.options(self.home, values))
        values, home, quiet = self.values, self.home, not self.tried and not self.typed
        self.compute(lambda: self.judged(home, values, quiet=quiet), self._show)

    def judged(self, home: Household, values: Values, *, quiet: bool) -> list[Content]:
        """The lines for some values. `quiet`: nothing was typed yet, so a refusal is no reproach."""
        return judgement_lines(model.judge(self.spec, home, values), quiet=quiet)

    def _show(self, lines: list[Content]) -> None:
        if self.query("#message"):
            before = [plain(BEFORE, "dim")] if self.kept is not None and self.kept == self.values else []
            before += [refusal(self.changed)] if self.changed else []
            self.say(*before, *lines)

    @property
    def typed(self) -> bool:
        """Whether anything differs from what the form opened with."""
        return any(value != self.start.get(key, "") for key, value in self.values.items())

    def action_afresh(self) -> None:
        self.host.drafts.pop(self.spec.key, None)
        self.dismiss()
        self.host.open_form(self.spec, preset=self.preset or None)

    def action_leave(self) -> None:
        self.host.drafts.pop(self.spec.key, None)
        if self.typed:
            self.host.drafts[self.spec.key] = self.values
        self.dismiss()

    def action_log(self) -> None:
        if not self.busy:
            self.busy = True
            self._log()

    @work
    async def _log(self) -> None:
        values = self.values
        try:
            seen = self.home
            done = await self.host.write(lambda home: model.agreed(
                self.spec, lambda: model.gist(self.spec, seen, values), seen.head, home, values))
        except AnswerChanged as fault:
            self.changed = str(fault)
            self.check()
            return
        except GwlogError as fault:
            self.tried = True
            self.discard()
            self.refuse(fault)
            return
        finally:
            self.busy = False
        self.host.drafts.pop(self.spec.key, None)
        self.host.say(await asyncio.to_thread(model.logged, self.spec, done.home, values, done.written))
        self.dismiss()


def _holder(one: OpenField) -> EntryLine | Choice:
    """The widget that holds a field."""
    field, name = one.field, f"f-{one.field.key}"
    if one.options is not None:
        return Choice(one.options, one.value, many=field.many, id=name)
    if field.endings:
        return PathLine(str(one.value), endings=field.endings, hint=field.hint, id=name)
    return EntryLine(str(one.value), hint=field.hint, id=name)


def judgement_lines(judgement: Judgement, *, quiet: bool) -> list[Content]:
    """A judgement in lines. `quiet`: nothing was typed yet, so what is missing is no reproach."""
    if judgement.refusal is not None:
        words = key_hints.refused(judgement.refusal)
        lines = [plain(words, "dim") if quiet else refusal(words)]
    else:
        lines = [marked("Will log:", words) for words in judgement.entries]
    return [*lines, *(plain(line) for line in judgement.advice)]
