"""The published figures behind everything: tables, the names in one, and each figure with its source in full.

Words are searched over all tables. It only shows.
"""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING, ClassVar

from textual import work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.content import Content
from textual.widgets import Static
from textual.widgets.option_list import Option

from gwlog import text
from gwlog.app.forms.model import Option as Pick
from gwlog.tui.dialogs.base import HELP_KEYS, PART_KEYS, PageDialog
from gwlog.tui.widgets.cells import plain, stacked
from gwlog.tui.widgets.choice import Choice
from gwlog.tui.widgets.entry_line import EntryLine
from gwlog.tui.widgets.labelled_row import LabelledRow
from gwlog.tui.widgets.plain_list import PlainList
from gwlog.tui.widgets.validation import TypingPause
from gwlog.views import figures

if TYPE_CHECKING:
    from gwlog.units import System

WAIT_S = 0.15
"""How long after the last key the words are looked for."""


class FiguresDialog(TypingPause, PageDialog[None]):
    """Looks figures up by table and name, or by words."""

    DEFAULT_CSS: ClassVar[str] = """
    FiguresDialog #both { height: 1fr; margin-top: 1; }
    FiguresDialog PlainList {
        width: 25; height: 1fr; margin-right: 1; text-wrap: nowrap; text-overflow: ellipsis; }
    FiguresDialog.-wide PlainList { width: 40; }
    FiguresDialog #page { width: 1fr; height: 1fr; scrollbar-gutter: stable; padding-left: 1; }
    FiguresDialog #page:focus { background: $surface; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("slash", "search", "search: any words, over all tables"),
        Binding("left", "table(-1)", "the table before", show=False),
        Binding("right", "table(1)", "the next table", show=False),
        Binding("down", "names", "to the names", show=False),
        Binding("space", "further", "scroll the figures; from their end back to the top"),
        Binding("escape", "leave", "back: from the search, from what was found, from here"),
        *PART_KEYS, *HELP_KEYS,
    ]
    MORE_KEYS: ClassVar[tuple[tuple[str, str], ...]] = (
        ("↑ ↓", "the name above, below"), ("← →", "the table before, the next"),
        ("⏎", "to the figures, where the arrows scroll"))
    AUTO_FOCUS = "#names"
    FOOTER = "↑↓ name · ←→ table · / search · space scroll · esc back · F1 keys"
    heading = "The published figures behind everything"

    def __init__(self) -> None:
        super().__init__()
        self.every: tuple[figures.Block, ...] = ()
        self.shown: list[figures.Block] = []
        self.system: System | None = None

    def parts(self) -> ComposeResult:
        yield LabelledRow("table", Choice([Pick(name, name) for name in figures.NAMES], id="table"), width=8)
        yield LabelledRow("search", EntryLine(hint="/ then any words, like: fig salt, or: california well",
                                              id="words-in"), width=8)
        yield Static(id="about", markup=False)
        with Horizontal(id="both"):
            yield PlainList(id="names", finds=False)
            with VerticalScroll(id="page"):
                yield Static(id="figures", markup=False)

    def on_mount(self) -> None:
        self.query_one("#about", Static).update("Reading the tables …")
        self.household_changed()

    def household_changed(self) -> None:
        """Show figures in the household's units too, as soon as it is known which those are."""
        home = self.host.home
        system: System = home.system if home is not None else "us"
        if system != self.system:
            self.system = system
            self._read(system)

    @work(exclusive=True, group="tables")
    async def _read(self, system: System) -> None:
        self.every = await asyncio.to_thread(figures.blocks, system)
        self._list()

    @property
    def words(self) -> str:
        """What is searched for."""
        return text.one_line(self.query_one("#words-in", EntryLine).value)

    @property
    def table(self) -> str:
        """The table that is chosen."""
        return str(self.query_one("#table", Choice).value)

    def _list(self) -> None:
        """Show the names of the table, or of what was found, and the figures of the first."""
        if not self.every:
            return
        words = self.words
        if words:
            self.shown = figures.found(self.every, words)
            count = sum(len(block.figures) for block in self.shown)
            about = f"{text.plural(count, 'figure')} in all tables with “{words[:60]}”" if count else \
                f"No figure in any table holds all of “{words[:60]}”. Fewer or other words may find it."
        else:
            self.shown = [block for block in self.every if block.table == self.table]
            count = sum(len(block.figures) for block in self.shown)
            about = f"{self.table}: {figures.ABOUT.get(self.table, '')} · {text.plural(count, 'figure')}"
        self.query_one("#about", Static).update(plain(about))
        names = self.query_one("#names", PlainList)
        names.clear_options()
        names.add_options([Option(Content(f"{block.name} · {block.table}" if words else block.name))
                           for block in self.shown])
        names.highlighted = 0 if self.shown else None
        self._draw()

    def _draw(self) -> None:
        """Show every figure of the name under the cursor, with its source."""
        at = self.query_one("#names", PlainList).highlighted
        page = self.query_one("#page", VerticalScroll)
        lines: list[Content] = []
        if at is not None and at < len(self.shown):
            block = self.shown[at]
            lines = [Content.assemble(plain(block.heading, "bold $primary"), plain(f"  in {block.table}", "dim"))]
            for one in block.figures:
                own = f" = {one.own}" if one.own else ""
                lines += [Content(""), Content.assemble(plain(f"{one.what}: "), plain(one.value, "bold"), plain(own))]
                lines += [plain(line) for line in one.more]
                lines.append(plain(f"source: {one.source} ({one.sure})", "dim"))
        self.query_one("#figures", Static).update(stacked(lines))
        page.scroll_home(animate=False)

    def on_option_list_option_highlighted(self) -> None:
        self._draw()

    def on_option_list_option_selected(self) -> None:
        self.query_one("#page").focus()

    def on_choice_changed(self) -> None:
        """Another table: what was searched for is put away."""
        with self.prevent(EntryLine.Changed):
            self.query_one("#words-in", EntryLine).value = ""
        self._list()

    def on_input_changed(self) -> None:
        self.after_pause(WAIT_S, self._list)

    def on_input_submitted(self) -> None:
        self.action_names()

    def action_search(self) -> None:
        self.query_one("#words-in").focus()

    def action_names(self) -> None:
        self.query_one("#names").focus()

    def action_table(self, by: int) -> None:
        self.query_one("#table", Choice).action_step(by)

    def action_further(self) -> None:
        page = self.query_one("#page", VerticalScroll)
        if page.scroll_offset.y >= page.max_scroll_y:
            page.scroll_home(animate=False)
        else:
            page.scroll_page_down(animate=False)

    def action_leave(self) -> None:
        """Leave step by step: the field or the figures, then the words, then the dialog."""
        field, names = self.query_one("#words-in", EntryLine), self.query_one("#names")
        if not names.has_focus:
            names.focus()
        elif field.value:
            field.value = ""
        else:
            self.dismiss()
