"""Phones: whether their pages are served, who comes in; a phone or a calendar added by a code, and removed."""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING, ClassVar

from textual import work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from gwlog.errors import GwlogError
from gwlog.household import Household
from gwlog.tui import key_hints
from gwlog.tui.dialogs.base import HELP_KEYS, PageDialog
from gwlog.tui.dialogs.phone_code import PhoneCodeDialog
from gwlog.tui.widgets.cells import marked, plain, refusal, stacked
from gwlog.tui.widgets.plain_list import PlainList

if TYPE_CHECKING:
    from gwlog.phone.overview import Overview

LOOK_S = 2.0
"""How often it is looked whether they answer, and who was added."""



class PhonesDialog(PageDialog[None]):
    """Shows the phones; enter does what a line says, x removes."""

    DEFAULT_CSS: ClassVar[str] = """
    PhonesDialog #state, PhonesDialog #message { height: auto; max-height: 5; overflow-y: auto; margin-bottom: 1; }
    PhonesDialog PlainList { height: 1fr; text-wrap: nowrap; text-overflow: ellipsis; }
    PhonesDialog #message { margin: 1 0 0 0; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "choose", "do what the line says"),
        Binding("x", "remove", "let the phone on the line in no more; asks once more"),
        Binding("c", "copy", "copy the line that starts the pages with the machine"),
        Binding("g", "read", "look again"),
        Binding("escape", "leave", "back"),
        *HELP_KEYS,
    ]
    AUTO_FOCUS = "PlainList"
    FOOTER = "enter does it · x removes · c copies · esc back · F1 keys"
    heading = "Phones: pages for them on your own network"

    def __init__(self, home: Household, *, poll: bool = True) -> None:
        super().__init__()
        self.home = home
        self.poll = poll
        self.found: Overview | None = None
        self.asked: int | None = None
        """The number of the phone that x was pressed on once."""

    def parts(self) -> ComposeResult:
        yield Static("Looking …", id="state", markup=False)
        yield PlainList(id="phones")
        yield self.message_part()

    def on_mount(self) -> None:
        self.action_read()
        if self.poll:
            self.set_interval(LOOK_S, self.action_read)

    def household_changed(self) -> None:
        """Show the people of the newest look at the household."""
        if self.host.home is not None:
            self.home = self.host.home
            self.action_read()

    def action_read(self) -> None:
        self._read(self.home)

    @work(exclusive=True, group="phones")
    async def _read(self, home: Household) -> None:
        from gwlog.phone.overview import overview

        try:
            found = await asyncio.to_thread(overview, home)
        except GwlogError as trouble:
            self.query_one("#state", Static).update(refusal(key_hints.refused(trouble)))
            return
        if found != self.found:
            self.found = found
            self._draw(found)

    def _draw(self, found: Overview) -> None:
        from gwlog.phone.overview import phone_line

        self.query_one("#state", Static).update(stacked([plain(line) for line in found.lines]))
        rows = [Option(plain(phone_line(one, self.home)), id=f"phone {one.number}") for one in found.phones]
        if not rows:
            rows.append(Option(plain("No phone is added yet.", "dim"), disabled=True))
        if found.url is not None:
            for kind, words in (("add", "+ a phone of {}"), ("calendar", "+ the calendar, for the phone of {}")):
                rows += [Option(plain(words.format(name)), id=f"{kind} {name}") for name in found.people]
            if not found.people:
                rows.append(Option(plain("A phone is somebody's: describe the people in Setup first.", "dim"),
                                   disabled=True))
            rows.append(Option(plain("  the address as a code, without any key"), id="address"))
        rows.append(Option(plain("  what starts them with this machine"), id="start"))
        phones = self.query_one("#phones", PlainList)
        phones.renew(rows)
        phones.highlighted = next((number for number in range(phones.highlighted or 0, len(rows))
                                   if not rows[number].disabled), None)

    def action_choose(self) -> None:
        self.query_one(PlainList).action_select()

    def on_option_list_option_highlighted(self) -> None:
        self.asked = None

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        kind, _, name = (event.option.id or "").partition(" ")
        if kind in ("add", "calendar"):
            self._show(kind, name)
        elif kind == "address" and self.found is not None and self.found.url is not None:
            self.app.push_screen(PhoneCodeDialog("The pages' address", self.found.url, [
                plain(self.found.url, "bold"), plain(""),
                plain("It holds no key: only a phone that was added sees more than a question for a phrase.")]))
        elif kind == "start":
            what, line = self._start()
            self.app.push_screen(PhoneCodeDialog("What starts them with this machine", "", [
                plain(what), plain(line, "bold"), plain("c on the page before copies it.", "dim")]))
        else:
            self.say(plain("x removes it."))

    @work(exclusive=True, group="add")
    async def _show(self, kind: str, name: str) -> None:
        """Make a phrase, or an address of the calendar, and show its code."""
        from gwlog.phone import pairing

        home = self.home.at(self.host.now())
        try:
            if kind == "add":
                made = await asyncio.to_thread(pairing.invite, home, name)
                title, link, lines = f"A phone of {made.offer.person}", made.link, pairing.invitation_lines(made, home)
            else:
                address = await asyncio.to_thread(pairing.calendar, home, name)
                title, link = f"The calendar, for {address.phone.person}", address.link
                lines = pairing.calendar_lines(address)
        except GwlogError as trouble:
            self.refuse(trouble)
            return
        shown: list[Content] = [plain(line, "bold" if line.startswith("  ") else "") for line in lines]
        self.app.push_screen(PhoneCodeDialog(title, link, shown), lambda _: self.action_read())

    def action_remove(self) -> None:
        """Remove the phone on the line, after a second press."""
        from gwlog.phone.keys import removed_line
        from gwlog.phone.overview import remove

        phones = self.query_one("#phones", PlainList)
        at = phones.highlighted
        kind, _, number = (phones.get_option_at_index(at).id or "" if at is not None else "").partition(" ")
        if kind != "phone":
            self.say(plain("Go to a phone first: x removes it."))
        elif self.asked != int(number):
            self.asked = int(number)
            self.say(plain(f"x again removes phone {number}: it comes in no more, at once."))
        else:
            self.asked = None
            try:
                self.say(marked("✓", removed_line(remove(self.home.path, int(number)))))
            except GwlogError as trouble:
                self.refuse(trouble)
            self.action_read()

    def _start(self) -> tuple[str, str]:
        from gwlog.notify import overview, service_files

        return overview.start_lines(overview.starter(), self.home.path, service_files.phone(watch=True))

    def action_copy(self) -> None:
        self.app.copy_to_clipboard(self._start()[1])
        self.say(plain("Copied, where the terminal allows it. Otherwise: gwlog phone serve --print-unit "
                       "systemd, launchd, cron or task-scheduler."))
