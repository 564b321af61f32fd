"""The terminal screens: one app that looks at the logbook, shows it in places, and writes entries.

It paints first and reads then; the pen (the writer's libraries) is fetched in the background after that.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Iterable, Sequence
from datetime import datetime, timedelta
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar

from textual import work
from textual.app import SystemCommand
from textual.binding import Binding, BindingType
from textual.screen import ModalScreen, Screen

from gwlog import clock, text
from gwlog.errors import GwlogError
from gwlog.tui import appearance
from gwlog.tui.background_task import LongWork
from gwlog.tui.hints import here, told
from gwlog.tui.live_notices import Live
from gwlog.tui.opening import Opening
from gwlog.tui.planner import Planner
from gwlog.tui.screens.base import Place
from gwlog.tui.screens.today import Today
from gwlog.tui.theme import DAY, DEFAULTS, NIGHT, SHARED_CSS

if TYPE_CHECKING:
    from gwlog.household import Household
    from gwlog.journal.facts import Fact
    from gwlog.tui.dialogs.form import Values

POLL_SECONDS = 1.0
LOOK_AT_LEAST = timedelta(seconds=60)


def _place(room: str, name: str) -> Callable[[], Screen[Any]]:
    """A place whose room is opened when somebody first goes there."""
    def make() -> Screen[Any]:
        found: Screen[Any] = getattr(import_module(f"gwlog.tui.{room}"), name)()
        return found

    return make


class Screens(LongWork, Opening):
    """The app. `home` is the last look at the household, `trouble` the words when there is none."""

    TITLE = "gwlog"
    CSS = SHARED_CSS
    ENABLE_COMMAND_PALETTE = True
    DEFAULT_MODE = "today"
    MODES: ClassVar[dict[str, str | Callable[[], Screen[Any]]]] = {
        "today": Today, "garden": _place("screens.garden", "GardenPlace"), "plan": _place("screens.plan", "PlanPlace"),
        "log": _place("screens.log", "LogPlace"), "upkeep": _place("screens.upkeep", "UpkeepPlace"),
        "records": _place("screens.records", "RecordsPlace"), "setup": _place("screens.setup", "SetupPlace"),
    }
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("1", "go('today')", "go to Today"),
        Binding("2", "go('garden')", "go to Garden"),
        Binding("3", "go('plan')", "go to Plan"),
        Binding("4", "go('log')", "go to Log"),
        Binding("5", "go('upkeep')", "go to Upkeep"),
        Binding("6", "go('records')", "go to Records"),
        Binding("7", "go('setup')", "go to Setup"),
        Binding("l", "log_load", "log a load: see where it may go, then one more key"),
        Binding("v", "form('valve')", "the valve was turned"),
        Binding("m", "form('move')", "an outlet was moved"),
        Binding("c", "form('mulch')", "mulch topped up, or the cover measured"),
        Binding("r", "form('rain')", "rain of a day"),
        Binding("o", "form('observe')", "something was seen"),
        Binding("s", "form('resolve')", "settle an observation or follow up an exception"),
        Binding("d", "form('done')", "a task of upkeep was done"),
        Binding("t", "catch_up", "type several entries, line by line"),
        Binding("b", "take_back", "take back what was logged last from here"),
        Binding("e", "rehearse", "rehearse a season: the plan beside simpler habits"),
        Binding("p", "next_writer", "who writes: the next person"),
        Binding("f3", "from_file", "begin a logbook from a file; put a backup back where it cannot be read"),
        Binding("n", "light_or_dark", "light or dark"),
        Binding("question_mark,f1", "keys", "this help"),
        Binding("ctrl+p", "command_palette", "everything by name"),
        Binding("q,ctrl+q", "leave", "quit"),
    ]

    def __init__(self, path: Path, now: Callable[[], datetime] = clock.now, *, poll: bool = True) -> None:
        super().__init__()
        self.path = path
        self.now = now
        self.poll = poll
        self.home: Household | None = None
        self.trouble: str | None = None
        self.writer: str | None = None
        self.said: list[str] = []
        self.planner = Planner()
        self.live = Live(self)
        self.drafts: dict[str, Values] = {}
        self.batches: list[list[Fact]] = []
        self._version = ""
        self._asked = 0
        self._warned = False
        self._waiting: Callable[[], None] | None = None

    def get_theme_variable_defaults(self) -> dict[str, str]:
        return DEFAULTS

    def on_mount(self) -> None:
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
        writer.fetch_behind()
        if self.poll:
            await self.live.begin()

    def on_unmount(self) -> None:
        self.live.end()

    @work(group="poll", exclusive=True)
    async def _look_for_change(self) -> None:
        from gwlog.journal import reader

        try:
            version = await asyncio.to_thread(reader.data_version, self.path)
        except GwlogError as trouble:
            self._show(None, _words(trouble))
            self._version = ""
            return
        old = self.home is None or abs(self.now() - self.home.now) >= LOOK_AT_LEAST
        if version != self._version or old:
            await self.reload()

    async def reload(self) -> None:
        """Look at the logbook again and show it."""
        self._asked += 1
        asked = self._asked
        try:
            version, home = await asyncio.to_thread(self._look)
        except GwlogError as trouble:
            if asked == self._asked:
                self._show(None, _words(trouble))
            return
        if asked == self._asked:
            self._version = version
            self._show(home, None)

    def _look(self) -> tuple[str, Household]:
        from gwlog.tui.refresh import version_and_look

        return version_and_look(self.path, self.now())

    def _show(self, home: Household | None, trouble: str | None) -> None:
        self.home, self.trouble = home, trouble
        if home is not None and self.live.running:
            self.run_worker(self.live.look(), group="ring")
        for screen in self.screen_stack:
            again = getattr(screen, "look_again", None)
            if again is not None:
                again()
        if self._waiting is not None and (home is not None or trouble is not None):
            waiting, self._waiting = self._waiting, None
            waiting()
        self.offer_setup()

    def fresh(self) -> Household:
        """The household at this very moment, to date an entry by. Raises GwlogError when there is none."""
        if self.home is None:
            raise GwlogError(self.trouble or "The logbook is still being read.")
        from gwlog.household import Household

        return Household(self.path, self.now().replace(microsecond=0), self.home.entries)

    async def write(self, facts: Sequence[Fact], *, keep: bool = True) -> list[Fact]:
        """Append entries, look again, and remember them (unless `keep` is off) as what can be taken back."""
        from gwlog.tui import writer

        written = await asyncio.to_thread(writer.write, self.path, list(facts), self.now())
        if keep and all(fact.KIND != "withdrawal" for fact in written):
            self.batches.append(written)
        await self.reload()
        return written

    def say(self, lines: Sequence[str], *, logged: bool = True) -> None:
        """Say what was done (or why nothing was) below the place, until the next time or escape."""
        self.said = [here(text.clean(line)) for line in lines]
        self.said += ["  b takes it back."] if logged else []
        self._warned = False
        for screen in self.screen_stack:
            if isinstance(screen, Place):
                screen.look_again()

    def ready(self, then: Callable[[], None]) -> Household | None:
        """The household where one is described; else say why nothing can be logged.

        A key pressed before the first look is not lost: `then` is done after it.
        """
        if self.home is not None and self.home.state.site is not None:
            return self.home
        if self.home is None and self.trouble is None:
            self._waiting = then
        else:
            self.say([self.told or "This logbook describes no household yet, so nothing can be logged."], logged=False)
        return None

    def action_go(self, place: str) -> None:
        if place == "setup" and self.undescribed:
            self.open_guided()
        elif place != self.current_mode:
            self.switch_mode(place)

    def action_next_writer(self) -> None:
        if (home := self.ready(self.action_next_writer)) is not None:
            names: list[str | None] = [None, *(n for n, person in home.state.people.items() if person.active)]
            at = names.index(self.writer) if self.writer in names else 0
            self.writer = names[(at + 1) % len(names)]
            self._show(self.home, self.trouble)

    def action_take_back(self) -> None:
        from gwlog.tui.undo import take_back

        if self.ready(self.action_take_back) is not None:
            self.run_worker(take_back(self), group="take back", exclusive=True)

    def action_keys(self) -> None:
        from gwlog.tui.dialogs.help import KeysBox, keys_of

        self.push_screen(KeysBox(keys_of(self, self.screen)))

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

    def get_system_commands(self, screen: Screen[Any]) -> Iterable[SystemCommand]:
        for binding in self.BINDINGS:
            if isinstance(binding, Binding) and binding.action != "command_palette" and (
                    binding.action != "from_file" or self.home is None):
                words = binding.description
                yield SystemCommand(words[0].upper() + words[1:], f"key {binding.key.split(',')[0]}",
                                    self._runner(binding.action))
        yield from self.record_commands(self._runner)

    def _runner(self, action: str) -> Callable[[], Any]:
        async def run_it() -> None:
            await self.run_action(action)

        return run_it

    def action_light_or_dark(self) -> None:
        light = self.theme == NIGHT.name
        self.theme = DAY.name if light else NIGHT.name
        self.run_worker(asyncio.to_thread(appearance.remember, "light" if light else "dark"), group="remember")


def _words(trouble: GwlogError) -> str:
    return told(trouble, "\n→ ")


def run(path: Path, now: Callable[[], datetime] = clock.now) -> None:
    """Open the screens on a logbook, until the person leaves."""
    Screens(path, now).run()
