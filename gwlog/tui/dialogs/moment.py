"""The household at another time: what was, or would be, to do then, each basin, and where each usual load goes.

It only looks. Typed words say the moment; the page is worked out in a thread a moment after the last key.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import ClassVar, NamedTuple

from rich.cells import cell_len
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Static

from gwlog import clock, text
from gwlog.errors import BadInput, GwlogError
from gwlog.household import Household
from gwlog.tui import key_hints
from gwlog.tui.dialogs.base import HELP_KEYS, PART_KEYS, PageDialog
from gwlog.tui.widgets.cells import fit, plain, stacked
from gwlog.tui.widgets.entry_line import EntryLine
from gwlog.tui.widgets.labelled_row import LabelledRow
from gwlog.tui.widgets.latest_result import LatestResult
from gwlog.tui.widgets.validation import TypingPause

WAIT_S = 0.3
"""How long after the last key the page is worked out."""

EXAMPLE = "last tue 7pm · yesterday 18:30 · 2026-05-03 · in 3 days"


class Question(NamedTuple):
    """What the page is worked out from."""

    entries: int
    words: str
    moment: datetime
    width: int


class MomentDialog(LatestResult, TypingPause, PageDialog[None]):
    """Asks for a moment and shows the household as it is at it."""

    DEFAULT_CSS: ClassVar[str] = """
    MomentDialog #page { height: 1fr; margin-top: 1; scrollbar-gutter: stable; }
    MomentDialog #page:focus { background: $surface; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "show", "show it, and let the keys move the page"),
        Binding("left", "day(-1)", "a day earlier", show=False),
        Binding("right", "day(1)", "a day later", show=False),
        Binding("a", "ask", "another time", show=False),
        Binding("up", "further(-1)", "up", show=False),
        Binding("down", "further(1)", "down", show=False),
        Binding("pageup", "page(-1)", "a page up", show=False),
        Binding("pagedown", "page(1)", "a page down", show=False),
        *PART_KEYS,
        Binding("escape", "leave", "back to the present"),
        *HELP_KEYS,
    ]
    MORE_KEYS: ClassVar[tuple[tuple[str, str], ...]] = (
        ("← →", "after enter: a day earlier, a day later"), ("a", "after enter: another time"))
    AUTO_FOCUS = "#when"
    FOOTER = "enter shows it · then ← → a day, ↑↓ scroll · a another · esc back · F1 keys"
    PAGED = ("#page", 0)
    heading = "The household at another time"

    def __init__(self, home: Household) -> None:
        super().__init__()
        self.home = home
        self.moment: datetime | None = None
        self.wanted: Question | None = None
        self.shown: Question | None = None

    def parts(self) -> ComposeResult:
        yield Static("Just a look: nothing can be logged from here.", classes="dim", markup=False)
        yield LabelledRow("moment", EntryLine(hint=EXAMPLE, id="when"), width=8)
        yield self.message_part()
        with VerticalScroll(id="page"):
            yield Static(id="lines", markup=False)

    def on_mount(self) -> None:
        self._read()

    def household_changed(self) -> None:
        """Look from the newest logbook; the same moment of the same entries is not worked out twice."""
        if self.host.home is not None:
            self.home = self.host.home
            self._read()

    def on_input_changed(self) -> None:
        self.after_pause(WAIT_S, self._read)

    def on_input_submitted(self) -> None:
        self.action_show()

    def on_resize(self) -> None:
        """Fold the page to the width there is."""
        self.call_after_refresh(self._read)

    def _read(self) -> None:
        """Say how the words are understood, and have the page for it worked out."""
        self.end_pause()
        words = text.one_line(self.query_one("#when", EntryLine).value)
        self.moment = None
        if not words:
            self.say(plain("Type a time to see what was due then, or what will be.", "dim"))
            self._clear()
            return
        try:
            self.moment = clock.moment(words, self.home.now.replace(microsecond=0), self.home.zone, forward=True)
        except BadInput as fault:
            self.refuse(str(fault))
            self._clear()
            return
        self.say(Content.assemble(("As of ", "dim"), plain(clock.echo(self.moment, self.home.zone), "bold"),
                                  plain(f": {_apart(self.moment - self.home.now)}", "dim")))
        asked = Question(len(self.home.entries), words, self.moment, self._width())
        if asked != self.wanted:
            self.wanted, then = asked, self.home.at(asked.moment)
            if self.shown is None:
                self.query_one("#lines", Static).update(plain("Working …", "dim"))
            self.compute(lambda: page(then, asked.width), lambda lines: self._show(asked, lines))

    def _width(self) -> int:
        return max(40, self.query_one("#page").size.width - 1)

    def _clear(self) -> None:
        self.discard()
        self.wanted = self.shown = None
        self.query_one("#lines", Static).update(Content(""))

    def _show(self, asked: Question, lines: list[Content]) -> None:
        # “2 hours ago” is another time every minute: whoever reads on is not sent back to the top
        same = self.shown is not None and self.shown.words == asked.words
        self.shown = asked
        self.query_one("#lines", Static).update(stacked(lines))
        if not same:
            self.query_one("#page", VerticalScroll).scroll_home(animate=False)

    def action_show(self) -> None:
        self._read()
        if self.moment is not None:
            self.query_one("#page").focus()

    def action_ask(self) -> None:
        field = self.query_one("#when", EntryLine)
        field.value = ""
        field.focus()

    def action_day(self, by: int) -> None:
        """The same time of the day before or after."""
        here = clock.local(self.moment or self.home.now, self.home.zone) + timedelta(days=by)
        with self.prevent(EntryLine.Changed):
            self.query_one("#when", EntryLine).value = f"{here:%Y-%m-%d %H:%M}"
        self._read()

    def action_further(self, by: int) -> None:
        self.query_one("#page", VerticalScroll).scroll_relative(y=by, animate=False)


def _apart(span: timedelta) -> str:
    """How far a moment lies from the present, and what the page for it goes by."""
    minutes = round(abs(span).total_seconds() / 60)
    if minutes < 1:
        return "now."
    far = text.plural(minutes, "minute") if minutes < 120 else text.plural(round(minutes / 60), "hour") \
        if minutes < 2880 else text.plural(round(minutes / 1440), "day")
    if span < timedelta(0):
        return f"{far} ago, by the log as it is today."
    return f"in {far}, if nothing more is logged until then and the weather is as usual."


def page(then: Household, width: int) -> list[Content]:
    """What `gwlog today`, `gwlog basins` and `gwlog where` say of that moment, in lines of `width` columns."""
    from gwlog.views import welcome

    if then.state.site is None:
        return [plain(line) for line in welcome.welcome(then)[:1]]
    try:
        return [*_to_do(then, width), *_basins(then, width), *_loads(then, width)]
    except GwlogError as trouble:
        return [plain(key_hints.refused(trouble))]


def _to_do(then: Household, width: int) -> list[Content]:
    from gwlog.views import today, valve_and_outlets

    lines = [plain(valve_and_outlets.valve_line(then)),
             *(plain(line) for line in valve_and_outlets.outlet_lines(then)), Content(""),
             plain("To do" if then.reminders else "Nothing to do.", "bold $primary")]
    for one in then.reminders:
        lines += _folded(f"{today.mark(one.state)} {key_hints.words(one.text)}", width)
    if then.problems:
        lines += _folded(f"{text.plural(len(then.problems), 'odd entry', 'odd entries')} in the log by then.", width)
    return lines


def _basins(then: Household, width: int) -> list[Content]:
    from gwlog.views import basins

    lines = [Content(""), plain("Basins", "bold $primary")]
    views = basins.basin_views(then)
    rows, shapes = [view.cells for view in views], {view.name: view.shape for view in views}
    grid = [basins.HEAD, *rows]
    widths = [max(cell_len(text.one_line(row[column])) for row in grid) for column in range(len(basins.HEAD))]
    if sum(widths) + 2 * len(widths) <= width:
        lines += [plain("  ".join(fit(cell, size) for cell, size in zip(row, widths, strict=True)).rstrip(),
                       "dim" if row is basins.HEAD else "") for row in grid]
    else:
        for name, standing, *cells in rows:
            lines.append(plain(f"{name}: {shapes[name]} {standing}", "bold"))
            # a figure stays on one line with its words
            pairs = [f"{word} {cell}".replace(" ", "\u00a0") for word, cell in zip(basins.HEAD[2:], cells, strict=True)]
            lines += _folded(" · ".join(pairs), width)
    for remark in basins.remarks(then):
        lines += _folded(remark, width)
    return lines if rows else [*lines, plain("No basin is in use then.")]


def _loads(then: Household, width: int) -> list[Content]:
    from gwlog.app import entries
    from gwlog.views import answers

    lines = [Content(""), plain("Where each usual load goes", "bold $primary")]
    names = entries.usual_load_names(then)
    for name in names:
        try:
            answer = answers.lines(then, then.answer(then.query(name)), width)
        except GwlogError as trouble:
            answer = [f"{name}: {trouble}"]
        lines += [plain(line, "bold" if number == 0 else "") for number, line in enumerate(answer)]
    return lines if names else [*lines, plain("No usual load is described then.")]


def _folded(words: str, width: int) -> list[Content]:
    return [plain(line) for line in text.wrap(text.one_line(words), width, indent="  ", hang="    ")]
