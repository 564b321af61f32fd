"""Who is notified of what, when and by which channel, on this machine; a test message, and files to begin with.

Addresses and passwords of channels are never shown: a channel is spoken of by its name and kind.
"""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Sequence
from typing import TYPE_CHECKING, ClassVar

from textual import work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Container, VerticalScroll
from textual.content import Content
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from gwlog import text
from gwlog.errors import GwlogError
from gwlog.household import Household
from gwlog.tui import key_hints
from gwlog.tui.dialogs.base import HELP_KEYS, PART_KEYS, PageDialog
from gwlog.tui.widgets.cells import REFUSED, fit, heading, labelled, marked, plain, refusal, stacked
from gwlog.tui.widgets.plain_list import PlainList

if TYPE_CHECKING:
    from gwlog.notify.channels import Channel
    from gwlog.notify.overview import Page
    from gwlog.notify.weather_command import WeatherCommand

LOOK_S = 2.0
"""How often the two files are looked at again while the dialog is open."""

SPACE = Content("")


class NotificationsDialog(PageDialog[None]):
    """Shows who is notified; enter tests a channel, w writes examples."""

    DEFAULT_CSS: ClassVar[str] = """
    NotificationsDialog #words { height: 1fr; scrollbar-gutter: stable; }
    NotificationsDialog #words:focus { background: $surface; }
    NotificationsDialog #both, NotificationsDialog #left, NotificationsDialog #right { height: auto; }
    NotificationsDialog #right { margin-top: 1; }
    NotificationsDialog.-wide #both { layout: horizontal; }
    NotificationsDialog.-wide #left { width: 3fr; padding-right: 3; }
    NotificationsDialog.-wide #right { width: 2fr; margin-top: 0; }
    NotificationsDialog #head { margin-top: 1; }
    NotificationsDialog PlainList { height: auto; max-height: 5; display: none; }
    NotificationsDialog #message { max-height: 6; overflow-y: auto; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "test", "send a test message by the channel"),
        Binding("w", "write", "write examples of settings.toml and channels.toml where there are none"),
        Binding("g", "read", "read the files again"),
        Binding("r", "weather", "run the weather command and look at what it gives; again: take that in"),
        Binding("c", "copy", "copy the line that starts gwlog watch"),
        Binding("pageup", "page(-1)", "up", show=False, priority=True),
        Binding("pagedown", "page(1)", "down", show=False, priority=True),
        *PART_KEYS,
        Binding("x", "stop", "stop the test message that hangs"),
        Binding("escape", "leave", "back"),
        *HELP_KEYS,
    ]
    AUTO_FOCUS = "#words"
    FOOTER = "page up, down · enter tests · w examples · c copies · esc back · F1 keys"
    heading = "Notifications: who, what, when, how"

    def __init__(self, home: Household, *, poll: bool = True) -> None:
        super().__init__()
        self.home = home
        self.poll = poll
        self.page: Page | None = None
        self.sending: Channel | None = None
        self.running: threading.Event | None = None
        """Set to stop the weather command that runs."""
        self.shown = False
        """Whether what the weather command gives was shown; then r takes it in."""
        self.attempt = 0
        """The number of the test message at hand; what becomes of those before is not told any more."""

    def parts(self) -> ComposeResult:
        with VerticalScroll(id="words"), Container(id="both"):
            yield Static("Reading the settings …", id="left", markup=False)
            yield Static(id="right", markup=False)
        yield Static(id="head", markup=False)
        yield PlainList(id="channels")
        yield self.message_part()

    def on_mount(self) -> None:
        self.action_read()
        if self.poll:
            self.set_interval(LOOK_S, self._look_at_files)

    def on_unmount(self) -> None:
        """Let no command of a channel go on unseen."""
        self._end()

    def _end(self) -> bool:
        """End the test message that is under way; False where its channel cannot be ended, only left alone."""
        stop = getattr(self.sending, "stop", None)
        if stop is not None:
            stop()
        if self.running is not None:
            self.running.set()
        return stop is not None

    def action_stop(self) -> None:
        """Stop a test message that hangs, and stay."""
        if self.sending is None:
            self.say(plain("No test message is being sent."))
            return
        ended = self._end()
        self.attempt += 1
        self.sending = None
        self.say(plain("Stopped: the test message was not sent." if ended else
                       "No longer waiting for the test message; it may still arrive."))

    def household_changed(self) -> None:
        """Show who would be notified by the newest look at the household."""
        if self.host.home is not None:
            self.home = self.host.home
            self.action_read()

    def action_read(self) -> None:
        self._read(self.home)

    @work(exclusive=True, group="notifications")
    async def _read(self, home: Household) -> None:
        from gwlog.notify.overview import read_page

        try:
            self.page = await asyncio.to_thread(read_page, home)
        except GwlogError as trouble:
            self.query_one("#left", Static).update(refusal(key_hints.refused(trouble)))
            return
        self._draw(self.page)

    @work(exclusive=True, group="files")
    async def _look_at_files(self) -> None:
        from gwlog.notify.overview import signs

        if self.page is not None and await asyncio.to_thread(signs) != self.page.signs:
            self.action_read()

    def _draw(self, page: Page) -> None:
        room = max(20, self.query_one("#left").content_size.width)
        left: list[Content] = []
        for title, lines in (
            (f"{REFUSED} What is wrong in the files", page.files.faults), ("Who is notified", page.who),
            (f"{REFUSED} What has not arrived", page.failed),
            ("What would be sent next, by the log as it is now", page.coming),
            ("The weather command; r runs it by hand", page.weather),
        ):
            left += _section(title, lines, room) if lines else []
        what, line = page.start
        wide = max(20, self.query_one("#right").size.width - 1)
        right = [
            plain("While these screens are closed", "bold $primary"),
            plain("These screens notify only while they are open. To notify people at any time, gwlog watch must "
                  f"run on a machine that is always on. {what}"),
            plain(line, "bold"), plain("c copies that line.", "dim"), SPACE,
            plain("Where it is kept", "bold $primary"),
            *(labelled(word, place, wide) for word, place in page.places),
            plain("Change settings and channels with any editor; what is saved counts at once. Another logbook: "
                  "gwlog --logbook PATH, or GWLOG_LOGBOOK.", "dim"),
        ]
        self.query_one("#left", Static).update(stacked(left[1:]))
        self.query_one("#right", Static).update(stacked(right))
        self._draw_channels(page)

    def _draw_channels(self, page: Page) -> None:
        from gwlog.notify.overview import way

        names = page.files.tried
        channels = self.query_one("#channels", PlainList)
        wide = min(30, max((len(name) for name in names), default=0))
        described = page.files.channels
        offered = [Option(Content.assemble(fit(name, wide), "  ", plain(way(described[name]), "dim")), id=name)
                   for name in names]
        at = channels.highlighted or 0
        begun = channels.display and bool(channels.option_count)
        if [option.id for option in channels.options] != list(names):
            channels.clear_options()
            channels.add_options(offered)
        channels.display = bool(names)
        channels.highlighted = min(at, len(names) - 1) if names else None
        self.query_one("#head", Static).update(Content.assemble(
            ("Channels ", "bold $primary"), plain("enter sends a test message" if names else
                                                  "none but stdout, which prints where gwlog watch runs", "dim")))
        if names and not begun:
            channels.focus()
        elif not names and channels.has_focus:
            self.query_one("#words").focus()

    def on_resize(self) -> None:
        """Fold to the width there is."""
        if self.page is not None:
            self.call_after_refresh(self._draw, self.page)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        self._test(event.option.id or "")

    def action_test(self) -> None:
        self.query_one("#channels", PlainList).action_select()

    def _test(self, name: str) -> None:
        channel = self.page.files.channels.get(name) if self.page is not None else None
        if channel is None:
            return
        if self.sending is not None:
            self.say(plain("The last test is still running; x stops it."))
            return
        self.sending = channel
        self.attempt += 1
        self.say(plain(f"Sending a test message by {name} … x stops it.", "dim"))
        self._send(name, channel, self.attempt)

    @work(group="test")
    async def _send(self, name: str, channel: Channel, attempt: int) -> None:
        from gwlog.notify.channels import NotSent
        from gwlog.notify.overview import TEST

        fault: GwlogError | str | None = None
        try:
            await asyncio.to_thread(channel.send, TEST)
        except NotSent as trouble:
            fault = trouble
        except Exception as bug:  # what a channel says of itself may be secret
            fault = f"The channel “{name}” failed ({type(bug).__name__})."
        if attempt != self.attempt:
            return
        self.sending = None
        if fault is not None:
            self.refuse(fault)
        else:
            self.say(marked("✓", f"Sent a test message by {name}."))

    def action_weather(self) -> None:
        command = self.page.files.settings.weather if self.page is not None and self.page.files.settings else None
        if command is None:
            self.refuse("settings.toml has no weather command; w writes an example if there is no file.")
        elif self.running is not None:
            self.say(plain("It is still running."))
        else:
            self.running = threading.Event()
            self.say(plain("Running the weather command …", "dim"))
            self._run_weather(command, self.running, dry=not self.shown)

    @work(group="weather")
    async def _run_weather(self, command: WeatherCommand, stopped: threading.Event, *, dry: bool) -> None:
        from gwlog.notify import weather_command
        from gwlog.notify.settings_file import settings_path
        from gwlog.views.import_summary import weather_lines

        run = weather_command.tried if dry else weather_command.taken
        try:
            await asyncio.to_thread(weather_command.refuse_strangers, settings_path())
            done = await asyncio.to_thread(run, self.host.path, command, self.host.now(), stopped)
        except GwlogError as trouble:
            self.shown = False
            self.refuse(trouble)
        else:
            self.shown = dry and bool(done.found.days)
            self.say(*(plain(line) for line in weather_lines(done.home, done.found, dry=dry)),
                     *([plain("r again logs it.", "bold")] if self.shown else []))
        finally:
            self.running = None
        if not dry:
            self.action_read()

    def action_write(self) -> None:
        self._write(self.home)

    @work(exclusive=True, group="write")
    async def _write(self, home: Household) -> None:
        from gwlog.notify.overview import write_examples

        lines = await asyncio.to_thread(write_examples, home)
        self.say(*(plain(line) for line in lines))
        self.action_read()

    def action_copy(self) -> None:
        if self.page is not None:
            self.app.copy_to_clipboard(self.page.start[1])
            self.say(plain("Copied, where the terminal allows it. Otherwise: gwlog watch --print-unit "
                           "systemd, launchd or cron."))


def _section(title: str, lines: Sequence[str], width: int) -> list[Content]:
    """A title and its lines; what stands indented keeps its indent where it is folded."""
    found = [SPACE, heading(title)]
    for line in lines:
        indent = line[:len(line) - len(line.lstrip())]
        hang = indent + "  " if indent else ""
        found += [plain(part) for part in text.wrap(line.strip(), width, indent=indent, hang=hang)]
    return found
