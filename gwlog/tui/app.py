"""The terminal screens: one app that looks at the logbook, shows it on screens, and writes entries.

It paints first and reads then; the writer's libraries are loaded in the background after that.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Iterable, Sequence
from datetime import datetime
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar

from textual import work
from textual.app import App, SystemCommand
from textual.binding import BindingType
from textual.screen import ModalScreen, Screen

from gwlog import clock, text
from gwlog.errors import GwlogError
from gwlog.tui import appearance, key_hints
from gwlog.tui.background_task import BackgroundTask
from gwlog.tui.dialog_opener import DialogOpener
from gwlog.tui.host import Hosted
from gwlog.tui.keys import KEYS
from gwlog.tui.live_notices import LiveNotices
from gwlog.tui.logbook_watch import LogbookWatch
from gwlog.tui.planner import Planner
from gwlog.tui.screens.base import HouseholdScreen
from gwlog.tui.screens.today import TodayScreen
from gwlog.tui.setup_session import SetupSession
from gwlog.tui.theme import DAY, DEFAULTS, NIGHT, SHARED_CSS
from gwlog.tui.undo import Undo

if TYPE_CHECKING:
    from gwlog.actions import Words
    from gwlog.household import Household
    from gwlog.journal.facts import Fact
    from gwlog.tui.forms.model import FormSpec, Values
    from gwlog.tui.setup.edits import Edits

POLL_SECONDS = 1.0


def _screen(module: str, name: str) -> Callable[[], Screen[Any]]:
    """A screen whose module is loaded when somebody first goes there."""
    def make() -> Screen[Any]:
        found: Screen[Any] = getattr(import_module(f"gwlog.tui.screens.{module}"), name)()
        return found

    return make


class GwlogApp(App[None]):
    """The app; `Host` says what screens and dialogs may use of it."""

    TITLE = "gwlog"
    CSS = SHARED_CSS
    ENABLE_COMMAND_PALETTE = True
    DEFAULT_MODE = "today"
    MODES: ClassVar[dict[str, str | Callable[[], Screen[Any]]]] = {
        "today": TodayScreen, "garden": _screen("garden", "GardenScreen"), "plan": _screen("plan", "PlanScreen"),
        "log": _screen("log", "LogScreen"), "upkeep": _screen("upkeep", "UpkeepScreen"),
        "records": _screen("records", "RecordsScreen"), "setup": _screen("setup", "SetupScreen"),
    }
    BINDINGS: ClassVar[list[BindingType]] = KEYS

    def __init__(self, path: Path, now: Callable[[], datetime] = clock.now, *, poll: bool = True) -> None:
        super().__init__()
        self.path = path
        self.now = now
        self.poll = poll
        self.home: Household | None = None
        self.trouble: str | None = None
        self.person: str | None = None
        self.message: list[str] = []
        self.drafts: dict[str, Values] = {}
        self.planner = Planner()
        self.background_task = BackgroundTask(self, self._task_changed)
        self.notices = LiveNotices(self, self)
        self.undo = Undo(self)
        self.setup_session = SetupSession(self)
        self.dialogs = DialogOpener(self, self, self.setup_session, poll=poll)
        self.logbook_watch = LogbookWatch(path, now, self._show)
        self._warned = False
        self._waiting: Callable[[], None] | None = None

    @property
    def edits(self) -> Edits:
        """Changes of the setup that are not appended yet."""
        return self.setup_session.edits

    @property
    def way_in(self) -> str:
        """The keys that help where there is nothing to show."""
        return self.setup_session.way_in

    def get_theme_variable_defaults(self) -> dict[str, str]:
        return DEFAULTS

    def on_mount(self) -> None:
        """Choose the colours and paint; what is read comes after that."""
        self.register_theme(NIGHT)
        self.register_theme(DAY)
        self.theme = DAY.name if appearance.look() == "light" else NIGHT.name
        self.call_after_refresh(self._begin)

    def _begin(self) -> None:
        self._first_look()
        if self.poll:
            self.set_interval(POLL_SECONDS, self._look_for_change)

    @work(group="look")
    async def _first_look(self) -> None:
        from gwlog.tui import writer

        await self.reload()
        writer.load_in_background()
        if self.poll:
            await self.notices.begin()

    def on_unmount(self) -> None:
        self.notices.end()

    def _look_for_change(self) -> None:
        self.run_worker(self.logbook_watch.look_for_change(), group="poll", exclusive=True)

    async def reload(self, *, forget_undo: bool = False) -> None:
        """Look at the logbook again and show it. `forget_undo`: its entries may be others than those logged here."""
        if forget_undo:
            self.undo.clear()
        await self.logbook_watch.look()

    def _show(self, home: Household | None, trouble: GwlogError | None) -> None:
        self.home, self.trouble = home, key_hints.refused(trouble, "\n→ ") if trouble is not None else None
        if self.setup_session.undescribed and home is None:
            self.trouble = f"There is no logbook at {self.path} yet."
        if home is not None and self.notices.running:
            self.run_worker(self.notices.check(), group="ring")
        self._household_changed()
        if self._waiting is not None and (home is not None or trouble is not None):
            waiting, self._waiting = self._waiting, None
            waiting()
        self.setup_session.offer()

    def _household_changed(self) -> None:
        for screen in self.screen_stack:
            if isinstance(screen, Hosted):
                screen.household_changed()

    def _task_changed(self) -> None:
        for screen in self.screen_stack:
            if isinstance(screen, Hosted):
                screen.task_changed()

    def fresh(self) -> Household:
        """The household at this very moment, to date an entry by. Raises GwlogError when there is none."""
        if self.home is None:
            raise GwlogError(self.trouble or "The logbook is still being read.")
        from gwlog.household import Household

        return Household(self.path, self.now().replace(microsecond=0), self.home.entries)

    async def write(self, facts: Sequence[Fact], *, keep: bool = True) -> list[Fact]:
        """Append entries, look again, and remember them (unless `keep` is off) as what undo takes back."""
        from gwlog.tui import writer

        written = await asyncio.to_thread(writer.write, self.path, list(facts), self.now())
        if keep:
            self.undo.remember(written)
        await self.reload()
        return written

    def say(self, lines: Sequence[Words], *, logged: bool = True) -> None:
        """Show what was logged (or why nothing was) below the screen, until the next time or escape."""
        self.message = [text.clean(key_hints.words(line)) for line in lines]
        self.message += ["  b takes it back."] if logged else []
        self._warned = False
        for screen in self.screen_stack:
            if isinstance(screen, HouseholdScreen):
                screen.household_changed()

    def clear_message(self) -> None:
        """Put away the lines below the screen, and the notices."""
        self.message = []
        self.clear_notifications()

    def release_notices(self) -> None:
        """Show the notices that waited for a dialog to close."""
        self.notices.release()

    def ready(self, then: Callable[[], None]) -> Household | None:
        """The household where one is described, else None and a message.

        A key pressed before the first look is not lost: `then` is called after it.
        """
        if self.home is not None and self.home.state.site is not None:
            return self.home
        if self.home is None and self.trouble is None:
            self._waiting = then
        else:
            self.say([self.trouble or "This logbook describes no household yet, so nothing can be logged."],
                     logged=False)
        return None

    def open(self, name: str) -> None:
        """Go to a screen, or open a dialog, by its name."""
        if name == "setup" and self.setup_session.undescribed:
            name = "guided setup"
        if name not in self.MODES:
            self.dialogs.open(name)
        elif name != self.current_mode:
            self.switch_mode(name)

    def open_form(self, spec: FormSpec, preset: Values | None = None) -> None:
        """Open a form; what was typed in it before is there again, unless it opens on something chosen."""
        self.dialogs.open_form(spec, preset)

    def action_open(self, name: str) -> None:
        self.open(name)

    def action_form(self, key: str) -> None:
        from gwlog.tui.forms.entries import FORMS

        self.open_form(FORMS[key])

    def action_record(self, work: str) -> None:
        """Go to Records and do one of its works."""
        from gwlog.tui.screens.records import RecordsScreen

        def choose() -> None:
            if isinstance(self.screen, RecordsScreen):
                self.screen.choose(work)

        self.switch_mode("records")
        self.call_after_refresh(choose)

    def action_next_person(self) -> None:
        if (home := self.ready(self.action_next_person)) is not None:
            names: list[str | None] = [None, *(n for n, person in home.state.people.items() if person.active)]
            at = names.index(self.person) if self.person in names else 0
            self.person = names[(at + 1) % len(names)]
            self._household_changed()

    def action_undo(self) -> None:
        if self.ready(self.action_undo) is not None:
            self.run_worker(self.undo.undo(), group="undo", exclusive=True)

    def action_help(self) -> None:
        from gwlog.tui.dialogs.help import HelpDialog, keys_of

        self.push_screen(HelpDialog(keys_of(self, self.screen)))

    def action_leave(self) -> None:
        if isinstance(self.screen, ModalScreen) and (leave := getattr(self.screen, "action_leave", None)):
            leave()
        if self.drafts and not self._warned:
            self.say([f"What was typed in {text.listed(sorted(self.drafts))} is not logged yet.",
                      "The same key again leaves without it."], logged=False)
            self._warned = True
            return
        self.exit()

    async def action_quit(self) -> None:
        self.action_leave()

    def action_command_palette(self) -> None:
        """Show everything by name, unless it is shown already."""
        from textual.command import CommandPalette

        from gwlog.tui.palette import by_name

        if not isinstance(self.screen, CommandPalette):
            self.push_screen(by_name())

    def get_system_commands(self, screen: Screen[Any]) -> Iterable[SystemCommand]:
        from gwlog.tui.palette import commands

        return commands(self, described=self.home is not None)

    def action_light_or_dark(self) -> None:
        light = self.theme == NIGHT.name
        self.theme = DAY.name if light else NIGHT.name
        self.run_worker(asyncio.to_thread(appearance.remember, "light" if light else "dark"), group="remember")


def run(path: Path, now: Callable[[], datetime] = clock.now) -> None:
    """Open the screens on a logbook, until the person leaves."""
    GwlogApp(path, now).run()
