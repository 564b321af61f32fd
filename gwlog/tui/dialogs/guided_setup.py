"""The guided setup: from nothing to the first verdict, page by page; it can be left at any page and gone on with.

What is answered is kept in a file beside the logbook until the household is described in it.
"""

from __future__ import annotations

import asyncio
from typing import ClassVar

from rich.cells import cell_len
from textual import work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.style import Style
from textual.widget import Widget
from textual.widgets import Static

from gwlog.errors import GwlogError
from gwlog.setup.draft import in_words, judge, names
from gwlog.tui import key_hints
from gwlog.tui.dialogs.base import FIELD_KEYS, KEYS, PageDialog
from gwlog.tui.setup import guided_draft
from gwlog.tui.setup.guided_draft import LOOK_OVER, NEEDED, ORDER, TITLES, Guided
from gwlog.tui.setup.pages import PAGES, VALVE, asides, cautions, system_of
from gwlog.tui.setup.rows import SetupRows, faults
from gwlog.tui.widgets.cells import marked, plain, refusal
from gwlog.tui.widgets.validation import Validation

_NOUN = {"basin": "basin", "outlet": "outlet", "product": "product", "usual_load": "usual load"}


class GuidedSetupDialog(Validation, PageDialog[None]):
    """Asks for the household page by page."""

    DEFAULT_CSS: ClassVar[str] = """
    GuidedSetupDialog { align: center top; }
    GuidedSetupDialog #frame { width: 100; max-width: 100%; height: 100%; }
    GuidedSetupDialog #pages { background: $panel; padding: 0 1; dock: top; }
    GuidedSetupDialog #title, GuidedSetupDialog #fields, GuidedSetupDialog #message { margin-top: 1; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        # before any field sees it, so that what is typed next waits for the next page
        Binding("enter", "on", "keep this page and go on", priority=True),
        Binding("pageup,ctrl+b", "back", "the page before"),
        Binding("f4", "take_out", "take out what this page describes"),
        Binding("ctrl+n", "afresh", "forget all answers and begin again"),
        Binding("f3", "app.open('from file')", "begin from a file instead: an export, a pack, a handover, a backup"),
        Binding("escape", "leave", "leave; every answer is kept"),
        KEYS[0], *FIELD_KEYS,
        Binding("ctrl+q", "app.leave", "quit; every answer is kept", show=False),
    ]

    def __init__(self) -> None:
        super().__init__()
        self.guided = Guided()
        self.resumed = False
        self.tried = self.busy = self.sure = self.due = False
        self.fault = ""

    def compose(self) -> ComposeResult:
        yield Static(id="pages", markup=False)
        yield from super().compose()

    def frame(self) -> Widget:
        return VerticalScroll(id="frame", can_focus=False)

    def parts(self) -> ComposeResult:
        yield Static(id="about", markup=False)
        yield Vertical(id="fields", classes="block")
        yield self.message_part()

    async def on_mount(self) -> None:
        kept = guided_draft.load(self.host.path)
        if kept is not None:
            self.guided, self.resumed = kept, True
        await self._turn()

    async def _turn(self) -> None:
        """Show the page that is at hand."""
        guided, (page, number) = self.guided, self.guided.at
        self.tried, self.sure = False, False
        holder = self.query_one("#fields", Vertical)
        await holder.remove_children()
        self._head()
        if page != LOOK_OVER:
            besides = (VALVE,) if page == "code" else ()
            rows = SetupRows(PAGES[page], guided.draft, number, guided.start(guided_draft.local_zone()),
                             guided.typed.get(guided.key), besides=besides)
            await holder.mount(rows)
            rows.only_what_matters()
            fields = rows.query("EntryLine, Choice")
            if not fields:
                return  # the screens are being left
            fields.first().focus()
        self.query_one("#frame").scroll_home(animate=False)
        self.check()

    def _head(self) -> None:
        page, number = self.guided.at
        here = ORDER.index(page)
        parts: list[Content] = [plain(f"Setting up {here + 1}/{len(ORDER)} ", "bold")]
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
        self.query_one("#footer", Static).update(Content("  ").join(
            Content.styled(sign, Style.from_meta({"@click": action}) + Style(bold=True, underline=True))
            + plain(f" {words}") for sign, words, action in self._keys(page)))

    def _words(self, page: str, number: int) -> tuple[str, str]:
        if page == LOOK_OVER:
            return "Look it over", f"Enter makes the logbook {self.host.path} and shows where your loads may go."
        title, about = PAGES[page].title, PAGES[page].about
        if page == "site" and not self.guided.draft["site"]:
            about = (f"A new logbook, {self.host.path}. A few pages; enter goes on. You can leave at any of them "
                     f"with escape and go on later. {about}")
        if page in _NOUN:
            known = names(self.guided.draft, page)
            title = f"{title} ({number + 1})"
            if self.guided.begins_new() and (known or page == "product"):
                before = f"So far: {', '.join(known)}. " if known else ""
                about = f"{before}Leave the name empty to go on without another {_NOUN[page]}. {about}"
        return title, about

    def _keys(self, page: str) -> list[tuple[str, str, str]]:
        begun = page in _NOUN and not self.guided.begins_new()
        return [("enter", "make the logbook" if page == LOOK_OVER else "go on", "screen.on"),
                *([("pageup", "back", "screen.back")] if page != ORDER[0] else []),
                *([("F4", "take out", "screen.take_out")] if begun else []),
                *([("F3", "from a file instead", "app.open('from file')")] if page == ORDER[0] else []),
                ("esc", "leave, answers are kept", "screen.leave"), ("F1", "keys", "app.help")]

    def on_resize(self) -> None:
        if self.is_mounted:
            self._head()

    def check(self) -> None:
        """Say what is wrong with the page, what the tables say to it, and the cautions that belong to it."""
        self.due = False
        page = self.guided.at[0]
        lines: list[Content] = []
        if self.resumed and page != LOOK_OVER:
            lines.append(plain("You are where you left; ctrl+n begins again.", "dim"))
        if page == LOOK_OVER:
            lines += self._whole()
        elif self.query(SetupRows):
            rows = self.query_one(SetupRows)
            rows.only_what_matters()
            table, wrong, draft = rows.made(self.host.now())
            lines += [plain(each) for each in asides(PAGES[page], rows.values, system_of(draft))]
            if self.tried or not self._passes(rows):
                lines += faults(wrong, quiet=not self.tried and not rows.touched)
            lines += [plain(f"! {one.value}", "dim") for one in cautions(PAGES[page], table.get("code"))]
        if self.fault:
            lines.insert(0, refusal(self.fault))
        self.say(*lines)

    def _whole(self) -> list[Content]:
        """The household in lines, and what to mind about it."""
        from gwlog.setup.describe import describe
        from gwlog.state import fold

        judged = judge(self.guided.draft, self.host.now())
        if judged.site_file is None:
            return [refusal(f"{TITLES.get(one.kind, one.kind)}: {one.words}. Go back with page up.")
                    for one in judged.wrong]
        lines = [plain(line) for line in describe(judged.site_file.facts, fold([]))]
        return [*lines, *(marked("mind:", in_words(line)) for line in judged.site_file.warnings)]

    def _passes(self, rows: SetupRows) -> bool:
        """Whether the page stands for a further thing and is left empty."""
        return self.guided.begins_new() and not str(rows.values.get("name", "")).strip()

    async def action_on(self) -> None:
        page = self.guided.at[0]
        self.resumed, self.fault = False, ""
        if page == LOOK_OVER:
            if not self.busy:
                self.busy = True
                self._make()
            return
        if not self.query(SetupRows):
            return
        rows = self.query_one(SetupRows)
        if self._passes(rows) and (page not in NEEDED or self.guided.draft[page]):
            self.guided.typed.pop(self.guided.key, None)
            self.guided.skip()
        else:
            table, wrong, draft = rows.made(self.host.now())
            if wrong:
                self.tried = True
                self.check()
                self.query_one("#message").scroll_visible(animate=False)
                return
            self.guided.put(draft, table)
            self.guided.step(1)
        self._keep()
        await self._turn()

    def _keep(self) -> None:
        try:
            guided_draft.save(self.host.path, self.guided)
        except GwlogError as fault:
            self.fault = f"Your answers cannot be kept: {fault}"

    def _hold(self) -> None:
        """Hold on to what the page has so far, right or wrong."""
        if self.query(SetupRows):
            rows = self.query_one(SetupRows)
            if rows.touched:
                self.guided.typed[self.guided.key] = rows.values
        self._keep()

    async def action_back(self) -> None:
        self.resumed, self.fault = False, ""
        self._hold()
        self.guided.step(-1)
        await self._turn()

    async def action_take_out(self) -> None:
        self.guided.take_out()
        self._keep()
        await self._turn()

    async def action_afresh(self) -> None:
        if not self.sure:
            self.sure, self.fault = True, ""
            self.say(plain("ctrl+n again forgets all answers; any other key does not."))
            return
        self.guided, self.resumed = Guided(), False
        guided_draft.remove(self.host.path)
        await self._turn()

    def action_leave(self) -> None:
        """Leave and keep every answer; where they cannot be kept, say so first."""
        if self.busy:
            return
        before = self.fault
        self._hold()
        if self.fault and not before:
            self.fault += " Escape again leaves without them."
            self.check()
            return
        self.dismiss()

    @work
    async def _make(self) -> None:
        self.say(plain("Making the logbook …"))
        try:
            count = await asyncio.to_thread(guided_draft.finish, self.host.path, self.guided, self.host.now())
        except GwlogError as fault:
            self.fault = key_hints.refused(fault)
            self.check()
            return
        finally:
            self.busy = False
        await self.host.reload()
        self.dismiss()
        self.host.say([f"The logbook {self.host.path} is made, with {count} descriptions. What to mind, and what "
                       "to change later: 7 Setup."], logged=False)
        self.host.open("load")
