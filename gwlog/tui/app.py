"""The terminal screens: one app that looks at the logbook, shows it on screens, and writes entries.

It paints first and reads then; the writer's libraries are loaded in the background after that.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Iterable, Sequence
from datetime import datetime
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar, TypeVar

from textual import events, work
from textual.app import App, SystemCommand
from textual.binding import BindingType
from textual.screen import ModalScreen, Screen

from gwlog import clock, text
from gwlog.errors import AnswerChanged, GwlogError
from gwlog.tui import appearance, key_hints
from gwlog.tui.background_task import BackgroundTask
from gwlog.tui.dialog_opener import DialogOpener
from gwlog.tui.failure import failed
from gwlog.tui.host import Hosted
from gwlog.tui.keys import KEYS
from gwlog.tui.live_notices import LiveNotices
from gwlog.tui.logbook_watch import LogbookWatch
from gwlog.tui.planner import Planner
from gwlog.tui.quick_keys import QuickKeys, load_ahead
from gwlog.tui.screens.base import HouseholdScreen
from gwlog.tui.screens.today import TodayScreen
from gwlog.tui.setup_session import SetupSession
from gwlog.tui.theme import DAY, DEFAULTS, NIGHT, SHARED_CSS
from gwlog.tui.undo import Undo

if TYPE_CHECKING:
    from gwlog.actions import Words
    from gwlog.app.door import Drafted, Logged
    from gwlog.app.forms.model import FormSpec, Values
    from gwlog.household import Household
    from gwlog.journal.facts import Fact
    from gwlog.tui.setup.edits import Edits

D = TypeVar("D", bound="Fact | Sequence[Fact] | Drafted")
POLL_SECONDS = 1.0
STYLE_SHEETS = 500


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
        self._choose_colours()
        self.path = path
        self.now = now
        self.poll = poll
        self.home: Household | None = None
        self.trouble: str | None = None
        self.person: str | None = None
        self.message: list[str] = []
        self.drafts: dict[str, Values] = {}
        self.planner = Planner()
        self.quick_keys = QuickKeys()
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

    def _choose_colours(self) -> None:
        """Before anything is mounted, so that no style sheet is read in other colours first."""
        chosen = DAY if appearance.look() == "light" else NIGHT
        self.register_theme(NIGHT)
        self.register_theme(DAY)
        self.set_reactive(GwlogApp.theme, chosen.name)
        self.update_classes({f"-theme-{chosen.name}": True, "-dark-mode": chosen.dark, "-light-mode": not chosen.dark},
                            update=False)
        self.stylesheet.set_variables(self.get_css_variables())
        # It keeps 64 style sheets as they were read, and there are more: each new widget would have all read anew.
        self.stylesheet._parse_cache.maxsize = STYLE_SHEETS

    def on_mount(self) -> None:
        """Paint; what is read comes after that."""
        self.call_after_refresh(self._begin)

    def _begin(self) -> None:
        self._first_look()
        if self.poll:
            self.quick_keys.begin()
            self.set_interval(POLL_SECONDS, self._look_for_change)

    @work(group="look")
    async def _first_look(self) -> None:
        from gwlog.tui import writer

        await self.reload()
        loading = writer.load_in_background()
        if self.poll and self.home is not None:
            await self._quick_check()
        if self.poll:
            load_ahead(loading)
            await self.notices.begin()

    async def _quick_check(self) -> None:
        """Tell what a look at next to no cost finds wrong with the file, the guards or the clock."""
        from gwlog.app.check import quick

        for part in await asyncio.to_thread(quick, self.path, self.now()):
            self.notify("\n".join([part.detail, *([key_hints.words(part.hint)] if part.hint else [])]),
                        title=f"The logbook: {part.name}", severity="warning", timeout=30, markup=False)

    def on_unmount(self) -> None:
        self.notices.end()
        self.quick_keys.end()

    async def on_event(self, event: events.Event) -> None:
        if isinstance(event, events.Key):
            self.quick_keys.key()
        await super().on_event(event)

    def _look_for_change(self) -> None:
        self.quick_keys.tick()
        self.run_worker(self.logbook_watch.look_for_change(), group="poll")

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
        return self.home.at(self.now().replace(microsecond=0))

    async def write(self, decide: Callable[[Household], D], *, keep: bool = True) -> Logged[D]:
        """Append what `decide` makes of the household, look again, and remember it (unless `keep` is off) for undo."""
        from gwlog.app import door

        fresh = self.fresh()
        try:
            done = await asyncio.to_thread(lambda: door.log(fresh, decide, now=self.now, mind=self._mind))
        except AnswerChanged:
            await self.reload()
            raise
        if keep and done.written:
            self.undo.remember(done.written)
        await self.reload()
        return done

    def _mind(self, words: Words) -> None:
        self.call_from_thread(self.notify, key_hints.words(words), severity="warning", markup=False)

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
        from gwlog.app.forms.entries import FORMS

        self.open_form(FORMS[key])

    def action_record(self, work: str) -> None:
        """Go to Records and do one of its works."""
        from gwlog.tui.screens.records import RecordsScreen

        def choose() -> None:
            if isinstance(self.screen, RecordsScreen):
                self.screen.choose(work)

        self.switch_mode("records")
        self.call_after_refresh(choose)

    def _fatal_error(self) -> None:
        """Leave the screens without textual's page, whose listing of every variable would show people's notes."""
        self._close_messages_no_wait()

    @property
    def fault(self) -> Exception | None:
        """The mistake that ended the screens."""
        return self._exception

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
            self.say([f"What you typed in {text.listed(sorted(self.drafts))} is not logged yet.",
                      "Press the same key again to leave without it."], logged=False)
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
    """Open the screens on a logbook, until the person leaves. Raises ScreensFailed where a mistake of ours ends it."""
    app = GwlogApp(path, now)
    app.run()
    if app.fault is not None:
        raise failed(app.fault)
