"""The guided setup: from nothing to the first answer, page by page; it can be left at any page and gone on with.

What is answered is kept in a file beside the logbook until the household is described in it.
"""

from __future__ import annotations

import asyncio
from typing import ClassVar

from textual import events, work
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from gwlog.errors import BadInput, GwlogError
from gwlog.setup.draft import judge
from gwlog.setup.first_draft import system_of
from gwlog.setup.place import local_zone
from gwlog.tui import key_hints
from gwlog.tui.dialogs.base import FIELD_KEYS, KEYS
from gwlog.tui.dialogs.guided_frame import READ_WHOLE, GuidedFrame
from gwlog.tui.dialogs.guided_words import guess_content, review_content
from gwlog.tui.setup import guided_draft
from gwlog.tui.setup.fields import FieldFault
from gwlog.tui.setup.guess_lines import guess_lines, missing
from gwlog.tui.setup.guided_draft import ASIDES, DETAILS, GUESSES, LOOK_OVER, NEEDED, TITLES, Guided
from gwlog.tui.setup.pages import PAGES, asides, cautions
from gwlog.tui.setup.rows import SetupRows, faults
from gwlog.tui.setup.special_rows import PlaceRows, ValveRows, WashRows
from gwlog.tui.widgets.cells import plain, refusal, stacked
from gwlog.tui.widgets.validation import Validation

_FIRST_FIELD = {"basin": "area"}
"""The field of a new thing's page that keys go to, where it is not the first."""

_OPENS = {"h": "site", "z": "site", "o": "code", "c": "climate", "a": "system"}


class GuidedSetupDialog(Validation, GuidedFrame):
    """Asks for the household page by page."""

    BINDINGS: ClassVar[list[BindingType]] = [
        # before any field sees it, so that what is typed next waits for the next page
        Binding("enter", "on", "keep this page and go on; in the review: show the rest, then make the logbook",
                priority=True),
        Binding("pageup", "up", "up a screen; from the top: the page before", priority=True),
        Binding("ctrl+b", "back", "the page before"),
        Binding("pagedown", "scroll_by(1, 1)", "down a screen", priority=True),
        Binding("down", "scroll_by(1)", "down", show=False),
        Binding("up", "scroll_by(-1)", "up", show=False),
        Binding("f2", "details", "more about each product and load"),
        Binding("f4", "take_out", "take out what this page describes"),
        Binding("ctrl+n", "afresh", "clear all answers and begin again"),
        Binding("f3", "app.open('from file')", "begin from a file instead: an export, a pack, a handover, a backup"),
        Binding("escape", "leave", "leave; every answer is kept"),
        KEYS[0], *FIELD_KEYS,
        Binding("ctrl+q", "app.leave", "quit; every answer is kept", show=False),
    ]

    def __init__(self) -> None:
        super().__init__()
        self.zone = local_zone()
        self.resumed = False
        self.tried = self.busy = self.sure = self.due = False
        self.fault = ""

    async def on_mount(self) -> None:
        kept = guided_draft.load(self.host.path)
        if kept is not None:
            self.guided, self.resumed = kept, True
        await self._turn()

    def _rows(self) -> Widget | None:
        """The fields of the page at hand; None where it has none."""
        guided, (page, number) = self.guided, self.guided.at
        kept, start = guided.typed.get(guided.key), guided.start(self.zone)
        if page == "place":
            words = str((kept or {}).get("where") or (guided.place.label if guided.place else ""))
            return PlaceRows(self.zone, words)
        if page == "wash":
            return WashRows(PAGES["wash"], guided.draft, start, kept)
        if page == "valve":
            return ValveRows(PAGES["valve"], guided.draft, kept)
        return None if page in (GUESSES, LOOK_OVER) else SetupRows(PAGES[page], guided.draft, number, start, kept)

    async def _turn(self) -> None:
        """Show the page that is at hand."""
        self.tried, self.sure = False, False
        holder = self.query_one("#fields", Vertical)
        await holder.remove_children()
        self._head()
        rows = self._rows()
        holder.display = rows is not None
        if rows is not None:
            await holder.mount(rows)
            fields = rows.query("EntryLine, Choice")
            if not fields:
                return  # the screens are being left
            if isinstance(rows, SetupRows):
                rows.only_what_matters()
                first = _FIRST_FIELD.get(self.guided.at[0], "") if self.guided.begins_new() else ""
                rows.holders.get(first, fields.first()).focus()
            else:
                fields.first().focus()
        else:
            self.set_focus(None)
        self.query_one("#frame").scroll_home(animate=False)
        self.check()

    def on_resize(self) -> None:
        if self.is_mounted:
            self._head()
            if self.guided.at[0] == GUESSES:
                self.check()
            self.call_after_refresh(self._foot)

    def check(self) -> None:
        """Say what is wrong with the page, what the tables say to it, and the cautions that belong to it."""
        self.due = False
        page = self.guided.at[0]
        lines: list[Content] = []
        above: list[Content] = []
        if self.resumed and page != LOOK_OVER:
            lines.append(plain("You are where you stopped; ctrl+n begins again.", "dim"))
        if page == LOOK_OVER:
            lines += review_content(judge(self.guided.draft, self.host.now()), self.guided.unsaid(), TITLES)
        elif page == GUESSES:
            lines += guess_content(guess_lines(self.guided), min(100, self.size.width) - 4)
        elif self.query(PlaceRows):
            lines += self._of_place(self.query_one(PlaceRows))
        elif self.query(SetupRows):
            rows = self.query_one(SetupRows)
            rows.only_what_matters()
            table, wrong, draft = rows.made(self.host.now())
            lines += [plain(each) for each in asides(PAGES[page], rows.values, system_of(draft))]
            if self.tried:    # above the fields, where they are seen beside the one that is wrong
                above = faults(self._told(rows, wrong), quiet=False)
            elif not self._passes(rows):    # what is still to be typed is no fault yet
                lines += faults([one for one in wrong if " is missing" not in one.words], quiet=not rows.touched)
            lines += [plain(f"! {one.value}", "dim") for one in cautions(PAGES[page], table.get("code"))]
        if self.fault:
            lines.insert(0, refusal(self.fault))
        self.query_one("#faults", Static).update(stacked(above))
        self.query_one("#faults").display = bool(above)
        self.call_after_refresh(self._foot)
        self.say(*lines)

    def _told(self, rows: SetupRows, wrong: list[FieldFault]) -> list[FieldFault]:
        """The faults without that of a basin's name, which follows from its plants."""
        named = self.guided.at[0] == "basin" and not str(rows.values.get("name", "")).strip()
        return [one for one in wrong if not (named and one.field == "name")] or wrong

    def _of_place(self, rows: PlaceRows) -> list[Content]:
        """The place that is meant so far, or once enter was pressed what keeps it from being found."""
        rows.check()
        if rows.which.display:
            return [plain("There are several of that name: choose with its number or the arrows, then enter.")]
        if not rows.typed and not self.tried:
            return []
        try:
            found = rows.found(misspelt=self.tried)
        except BadInput as fault:
            return [refusal(key_hints.refused(fault))] if self.tried else []
        return [plain(f"{'→' if len(found) == 1 else 'Several, like'} {found[0].label}", "dim")]

    def _passes(self, rows: SetupRows) -> bool:
        """Whether the page stands for a further thing and is left as it opened."""
        return self.guided.begins_new() and not any(
            str(rows.values.get(key, "")).strip() for key in ("name", "area", "plants")
            if key != "name" or rows.values.get(key) != rows.start.get(key))

    async def on_key(self, event: events.Key) -> None:
        """On the page of guesses a letter changes one."""
        await self.action_change(event.character or "")

    async def action_change(self, sign: str) -> None:
        """Change a guess by the letter before it: the other units, or the page on which it is said."""
        if self.guided.at[0] != GUESSES:
            return
        if sign == "u":
            self.guided.put_units("us" if self.guided.site.get("units") == "metric" else "metric")
            self._keep()
            self.check()
        elif sign in _OPENS:
            self.guided.at = (_OPENS[sign], 0)
            await self._turn()

    async def action_on(self) -> None:
        page = self.guided.at[0]
        self.resumed, self.fault = False, ""
        if page in READ_WHOLE and not self._seen_whole():
            self.action_scroll_by(1, 1)
            return
        if page == LOOK_OVER:
            if not self.busy:
                self.busy = True
                self._make()
            return
        if page == GUESSES:
            aside = missing(self.guided)
            if aside is None:
                self.guided.step(1)
            else:
                self.guided.at = (aside, 0)
        elif self.query(PlaceRows):
            if not self._put_place(self.query_one(PlaceRows)):
                return
        elif self.query(SetupRows):
            if not self._put(self.query_one(SetupRows)):
                return
        else:
            return
        self._keep()
        await self._turn()

    def _put_place(self, rows: PlaceRows) -> bool:
        self.tried = True
        try:
            place = rows.decided()
        except BadInput:
            rows.line.focus()
            self.check()
            return False
        if place is None:
            self.check()
            return False
        self.guided.put_place(place)
        self.guided.typed.pop(self.guided.key, None)
        self.guided.step(1)
        return True

    def _put(self, rows: SetupRows) -> bool:
        page, guided = self.guided.at[0], self.guided
        if self._passes(rows) and (page not in NEEDED or guided.draft[page]):
            guided.typed.pop(guided.key, None)
            guided.skip()
            return True
        if page == "basin":
            rows.name_by("plants")
        table, wrong, draft = rows.made(self.host.now())
        if wrong:
            self._faulty(rows, wrong)
            return False
        if page in ASIDES:
            guided.say(*rows.said(table))
        guided.put(draft, table, rows.taken(table), rows.changed)
        guided.step(1)
        return True

    def _faulty(self, rows: SetupRows, wrong: list[FieldFault]) -> None:
        self.tried = True
        self.query_one("#frame").scroll_home(animate=False)
        self.check()
        rows.focus_fault(self._told(rows, wrong))

    async def action_up(self) -> None:
        if self.query_one("#frame").scroll_offset.y > 0:
            self.action_scroll_by(-1, -1)
        else:
            await self.action_back()

    def _keep(self) -> None:
        try:
            guided_draft.save(self.host.path, self.guided)
        except GwlogError as fault:
            self.fault = f"Your answers cannot be kept: {fault}"

    def _hold(self) -> None:
        """Hold on to what the page has so far, right or wrong."""
        if self.query(PlaceRows):
            self.guided.typed[self.guided.key] = {"where": self.query_one(PlaceRows).typed}
        elif self.query(SetupRows):
            rows = self.query_one(SetupRows)
            if rows.touched:
                self.guided.typed[self.guided.key] = rows.values
        self._keep()

    async def action_back(self) -> None:
        self.resumed, self.fault = False, ""
        self._hold()
        self.guided.step(-1)
        await self._turn()

    async def action_details(self) -> None:
        """Say more of each product and load, a page for each."""
        if self.guided.at[0] == "wash" and self._put(self.query_one(SetupRows)):
            self.guided.at = (DETAILS[0], 0)
            self._keep()
            await self._turn()

    async def action_take_out(self) -> None:
        self.guided.take_out()
        self._keep()
        await self._turn()

    async def action_afresh(self) -> None:
        if not self.sure:
            self.sure, self.fault = True, ""
            self.say(plain("Press ctrl+n again to clear all answers; any other key keeps them."))
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
        self.host.say([f"The logbook {self.host.path} is made, with {count} descriptions. What to check, and what "
                       "to change later: 7 Setup."], logged=False)
        if self.host.home is not None:
            from gwlog.tui.dialogs.practice import PracticeDialog

            self.app.push_screen(PracticeDialog(self.host.home))
