"""What stands around every page of the guided setup: the row of pages, title and words, the keys, and scrolling."""

from __future__ import annotations

from typing import ClassVar

from rich.cells import cell_len
from textual.app import ComposeResult
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.style import Style
from textual.widget import Widget
from textual.widgets import Static

from gwlog.setup.draft import names
from gwlog.tui.dialogs.base import PageDialog
from gwlog.tui.dialogs.guided_words import GUESSED, TAKEN
from gwlog.tui.setup.guided_draft import DETAILS, GUESSES, LOOK_OVER, ORDER, STATION, TITLES, Guided
from gwlog.tui.setup.pages import PAGES
from gwlog.tui.widgets.cells import plain

READ_WHOLE = (GUESSES, LOOK_OVER)
"""Pages that enter does not pass before their last line was in sight."""

NOUN = {"basin": "basin", "outlet": "outlet", "product": "product", "usual_load": "usual load"}


class GuidedFrame(PageDialog[None]):
    """The frame of the guided setup. `guided`: what was answered so far."""

    DEFAULT_CSS: ClassVar[str] = """
    GuidedFrame { align: center top; }
    GuidedFrame #frame { width: 100; max-width: 100%; height: 1fr; }
    GuidedFrame #pages { background: $panel; padding: 0 1; dock: top; }
    GuidedFrame #title, GuidedFrame #fields, GuidedFrame #message { margin-top: 1; }
    """

    def __init__(self) -> None:
        super().__init__()
        self.guided = Guided()

    def compose(self) -> ComposeResult:
        yield Static(id="pages", markup=False)
        yield from super().compose()

    def frame(self) -> Widget:
        return VerticalScroll(id="frame", can_focus=False)

    def parts(self) -> ComposeResult:
        yield Static(id="about", markup=False)
        yield Static(id="faults", markup=False)
        yield Vertical(id="fields", classes="block")
        yield self.message_part()

    def _head(self) -> None:
        page, number = self.guided.at
        here = ORDER.index(STATION.get(page, page))
        parts: list[Content] = [plain(f"Setup {here + 1} of {len(ORDER)} ", "bold")]
        wide = self.size.width >= sum(cell_len(word) + 3 for word in TITLES.values()) + 18
        for at, key in enumerate(ORDER):
            if wide or abs(at - here) <= 1:
                words = f"[{TITLES[key]}]" if at == here else f" {TITLES[key]} "
                parts.append(plain(words, "bold reverse" if at == here else "" if at < here else "dim"))
        self.query_one("#pages", Static).update(Content(" ").join(parts))
        title, about = self._words(page, number)
        self.query_one("#title", Static).update(plain(title))
        self.query_one("#about", Static).update(plain(about))
        self.query_one("#about").display = bool(about)
        self._foot()

    def _foot(self) -> None:
        self.query_one("#footer", Static).update(Content("  ").join(
            Content.styled(sign, Style.from_meta({"@click": action}) + Style(bold=True, underline=True))
            + plain(f" {words}") for sign, words, action in self._keys(self.guided.at[0])))

    def _words(self, page: str, number: int) -> tuple[str, str]:
        if page == "place":
            return "Where is the garden?", (
                f"A new logbook, {self.host.path}. A few pages; enter goes on. You can leave at any of them with "
                "escape and go on later. A town, a US ZIP code, an address or a latitude: nothing is looked up outside "
                "this machine.")
        if page == GUESSES:
            return (self.guided.place.label if self.guided.place else "What is known so far"), GUESSED
        if page == LOOK_OVER:
            return "Review", TAKEN
        title, about = PAGES[page].title, PAGES[page].about
        if page in NOUN:
            known = names(self.guided.draft, page)
            title = f"{title} ({number + 1})"
            if self.guided.begins_new() and (known or page in DETAILS):
                before = f"So far: {', '.join(known)}. " if known else ""
                about = f"{before}Enter on an empty page goes on without another {NOUN[page]}. {about}"
        return title, about

    def _keys(self, page: str) -> list[tuple[str, str, str]]:
        begun = page in NOUN and not self.guided.begins_new()
        on = "make the logbook" if page == LOOK_OVER else "go on"
        if page in READ_WHOLE and not self._seen_whole():
            on = "show the rest"
        more = not self._seen_whole() and page not in READ_WHOLE
        return [("enter", on, "screen.on"),
                *([("pagedown", "more", "screen.scroll_by(1, 1)")] if more else []),
                *([("pageup", "back", "screen.back")] if page != ORDER[0] else []),
                *([("F2", "say more", "screen.details")] if page == "wash" else []),
                *([("F4", "take out", "screen.take_out")] if begun else []),
                *([("F3", "from a file instead", "app.open('from file')")] if page == ORDER[0] else []),
                ("esc", "leave, answers are kept", "screen.leave"), ("F1", "keys", "app.help")]

    def _seen_whole(self) -> bool:
        """Whether the last line of the page is in sight."""
        frame = self.query_one("#frame")
        return frame.scroll_offset.y >= frame.max_scroll_y

    def action_scroll_by(self, rows: int, screens: int = 0) -> None:
        """Scroll by so many rows, or screens less a row."""
        frame = self.query_one("#frame")
        by = screens * max(1, frame.scrollable_content_region.height - 1) if screens else rows
        frame.scroll_relative(y=by, animate=False)
        self.call_after_refresh(self._foot)
