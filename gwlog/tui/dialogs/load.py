"""The list of usual loads over the screen, each with its answer; one more key logs one.

Where something must be moved or turned first, a further key says whether that was done.
"""

from __future__ import annotations

from typing import ClassVar

from rich.cells import cell_len
from textual import events, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.style import Style
from textual.widgets import Static

from gwlog.app import entries
from gwlog.errors import AnswerChanged, GwlogError
from gwlog.household import Household
from gwlog.tui import key_hints
from gwlog.tui.dialogs.base import HELP_KEYS, PartedDialog
from gwlog.tui.widgets.cells import fit, plain, refusal, stacked
from gwlog.views import answers, load_list
from gwlog.views.valve_and_outlets import as_it_stands

SIGNS = "123456789"


class LoadDialog(PartedDialog[None]):
    """Choose a usual load and log it."""

    DEFAULT_CSS: ClassVar[str] = """
    LoadDialog #frame { width: 78; }
    LoadDialog #choice, LoadDialog #reasons { height: auto; }
    LoadDialog #answer { margin-top: 1; }
    LoadDialog #message { margin-top: 1; display: none; }
    LoadDialog.-asking #message, LoadDialog #message.-refused { display: block; }
    LoadDialog.-asking #footer { margin-top: 0; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("pageup", "page(-1)", "the reasons: up"),
        Binding("pagedown", "page(1)", "the reasons: down"),
        Binding("up", "highlight(-1)", "the load above", show=False),
        Binding("down", "highlight(1)", "the load below", show=False),
        Binding("enter", "choose", "log the highlighted load"),
        Binding("a", "as_advised", "do the steps first, log all"),
        Binding("s", "as_it_stands", "no steps: log only the load"),
        Binding("e", "details", "details of this load"),
        Binding("escape", "back", "back, nothing is logged"),
        *HELP_KEYS,
    ]
    MORE_KEYS: ClassVar[tuple[tuple[str, str], ...]] = (
        ("1-9", "log the load with that number"), ("letters", "the first letters of a load's name find it"))
    PAGED = ("#reasons", 5)
    heading = "Which load?"

    def __init__(self, home: Household) -> None:
        super().__init__()
        self.home = home
        self.names: list[str] = []
        self.rows: list[load_list.LoadRow] = []
        self.at = 0
        self.asking = False
        self.busy = False
        self.typed = ""
        """The letters typed to find a load."""

    def parts(self) -> ComposeResult:
        # filled before they are put on the screen, so that it is laid out once
        fault = self._judge()
        for name, words in (("choice", Static(self._loads(), id="loads", markup=False)),
                            ("reasons", Static(self._answer(), id="answer", markup=False))):
            part = self.scrolled(name, words)
            part.styles.max_height = self._rows(name)
            yield part
        message = Static(self._question() if fault is None else refusal(key_hints.refused(fault)), id="message",
                         markup=False)
        message.set_class(fault is not None, "-refused")
        yield message

    def _rows(self, part: str) -> int:
        """How many rows a part may take, so that the question and the keys below it are seen."""
        share = {"choice": 20, "reasons": 23} if self.asking else {"choice": 36, "reasons": 38}
        return self.app.size.height * share[part] // 100

    def on_resize(self) -> None:
        for part in ("choice", "reasons"):
            self.query_one(f"#{part}").styles.max_height = self._rows(part)

    def household_changed(self) -> None:
        """Judge the loads by the newest look at the household."""
        fault = self._judge()
        self._draw()
        if fault is not None:
            self.refuse(fault)

    def refuse(self, fault: GwlogError | str) -> None:
        """Show why it cannot be, where the question would stand."""
        super().refuse(fault)
        self.query_one("#message").add_class("-refused")

    def _judge(self) -> GwlogError | None:
        if self.host.home is not None:
            self.home = self.host.home
        self.names = entries.usual_load_names(self.home)
        self.at = min(self.at, max(0, len(self.names) - 1))
        self.rows = []
        try:
            self.rows = load_list.load_rows(self.home, self.names)
        except GwlogError as fault:
            return fault
        return None

    def _draw(self) -> None:
        if self.asking != self.has_class("-asking"):
            self.set_class(self.asking, "-asking")
            self.on_resize()
        for part, words in (("#loads", self._loads()), ("#answer", self._answer()), ("#message", self._question()),
                            ("#footer", self.keys_line())):
            self.query_one(part, Static).update(words)
        self.query_one("#reasons").scroll_home(animate=False)
        self.call_after_refresh(self._keep_in_sight)

    def _keep_in_sight(self) -> None:
        """Scroll the list so that the highlighted load is seen."""
        choice = self.query_one("#choice")
        top, high = round(choice.scroll_y), choice.size.height
        if not top <= self.at < top + high:
            choice.scroll_to(y=max(0, self.at - high // 2), animate=False)

    @property
    def _width(self) -> int:
        """Columns inside the frame."""
        return min(72, self.app.size.width - 6)

    def _loads(self) -> Content:
        name = min(26, max((cell_len(row.name) for row in self.rows), default=0))
        lines = []
        for number, row in enumerate(self.rows):
            click = Style.from_meta({"@click": f"screen.pick({number})"})
            here = number == self.at
            sign = SIGNS[number:number + 1] or " "
            words = (f"{'▸' if here else ' '} {sign}  {fit(row.name, name)}  {fit(row.volume, 8)}"
                     f"{row.shape} {fit(row.answer, max(10, self._width - 17 - name))}")
            lines.append(Content.styled(words, click + Style(bold=here, reverse=here)))
        return stacked(lines) if lines else plain(
            "No usual load is described yet. Describe one under Setup: 7.")

    def keys_line(self) -> Content:
        if self.typed and not self.asking:
            return plain(f"found by “{self.typed}” · enter logs it · esc shows all")
        return plain("a do the steps first, log all · s log only the load · 1-8 another load" if self.asking else
                     "1-8 or enter logs it · letters find · page down: why · e details · esc")

    def _answer(self) -> Content:
        if not self.rows:
            return Content("")
        name = self.names[self.at]
        found = answers.lines(self.home, self.home.answer(self.home.query(name)), width=self._width)
        return stacked([plain(line, "bold" if number == 0 else "") for number, line in enumerate(found)])

    def _question(self) -> Content:
        if not self.asking or not self.rows:
            return Content("")
        steps = answers.before(self.home.answer(self.home.query(self.names[self.at])))
        lines = (("a", "The steps were done: " + " ".join(steps) + " Log all.", "screen.as_advised"),
                 ("s", f"It ran as things are now: {as_it_stands(self.home)}. Log only the load.",
                  "screen.as_it_stands"))
        return stacked([Content.assemble(("Did you do the steps first?", "bold $accent"))] + [
            Content.styled(sign, Style.from_meta({"@click": action}) + Style(bold=True, underline=True))
            + plain(f"  {words}") for sign, words, action in lines])

    def on_key(self, event: events.Key) -> None:
        sign = event.character or ""
        if sign and sign in SIGNS[: len(self.names)]:
            event.stop()
            self.action_pick(SIGNS.index(sign))
        elif sign.isprintable() and sign and not self.asking and self._find(self.typed + sign):
            event.stop()
            event.prevent_default()

    def _find(self, typed: str) -> bool:
        """Highlight the first load whose name, or a word of it, begins with what was typed; False where none does."""
        wanted = typed.casefold()
        found = [number for number, name in enumerate(self.names) if name.casefold().startswith(wanted)] or \
            [number for number, name in enumerate(self.names)
             if any(word.startswith(wanted) for word in name.casefold().split())]
        if found:
            self.typed, self.at = typed, found[0]
            self._draw()
        return bool(found)

    def action_highlight(self, by: int) -> None:
        if self.names:
            self.at = (self.at + by) % len(self.names)
            self.asking, self.typed = False, ""
            self._draw()

    def action_pick(self, number: int) -> None:
        """A load was chosen: log it, or ask first whether what must be done before was done."""
        self.at, self.asking = number, False
        if self.rows[number].must_prepare:
            self.asking = True
            self._draw()
            self.query_one("#frame").scroll_end(animate=False)
        else:
            self._start(as_advised=False)

    def action_choose(self) -> None:
        if self.asking:
            self.action_as_advised()
        elif self.names:
            self.action_pick(self.at)

    def action_as_advised(self) -> None:
        if self.asking:
            self._start(as_advised=True)

    def action_as_it_stands(self) -> None:
        if self.asking:
            self._start(as_advised=False)

    def action_details(self) -> None:
        from gwlog.app.forms.entries import load_form

        name = self.names[self.at] if self.names else ""
        self.dismiss()
        spec = load_form(name)
        self.host.open_form(spec, None if spec.key in self.host.drafts or not name else {"load": name})

    def action_back(self) -> None:
        if self.asking or self.typed:
            self.asking, self.typed = False, ""
            self._draw()
        else:
            self.dismiss()

    def _start(self, *, as_advised: bool) -> None:
        if not self.busy:
            self.busy = True
            self._log(self.names[self.at], as_advised)

    @work
    async def _log(self, name: str, as_advised: bool) -> None:
        try:
            by, seen = self.host.person, answers.agreed_to(self.home, self.home.query(name))

            def decide(home: Household) -> entries.LoadDraft:
                answers.refuse_changed(seen, home, home.query(name))
                make = entries.load_as_advised if as_advised else entries.load
                return make(home, name, entries.read_author(home, by=by))

            done = await self.host.write(decide)
        except AnswerChanged as changed:
            self.asking = False
            self._draw()
            self.refuse(changed)
            return
        except GwlogError as fault:
            self.refuse(fault)
            return
        finally:
            self.busy = False
        self.host.say(answers.logged_lines(done.home, done.draft.answer, done.written))
        self.dismiss()
