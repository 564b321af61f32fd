"""A place: one of the screens that show the household, with its masthead on top and its keys below.

Each place shows one look at the household and is handed a new one whenever the logbook changes.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, ClassVar, cast

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.screen import Screen
from textual.widget import Widget
from textual.widgets import Static

from gwlog.errors import GwlogError
from gwlog.tui.hints import told
from gwlog.tui.widgets.cells import plain
from gwlog.tui.widgets.footer import KeyStrip
from gwlog.tui.widgets.header import Masthead

if TYPE_CHECKING:
    from gwlog.household import Household
    from gwlog.tui.app import Screens

EVERYWHERE = (
    ("l", "load", "app.log_load"), ("v", "valve", "app.form('valve')"), ("m", "move", "app.form('move')"),
    ("c", "cover", "app.form('mulch')"), ("r", "rain", "app.form('rain')"), ("o", "observe", "app.form('observe')"),
    ("s", "settle", "app.form('resolve')"), ("d", "done", "app.form('done')"), ("t", "type", "app.catch_up"),
    ("b", "take back", "app.take_back"), ("?", "keys", "app.keys"), ("q", "quit", "app.leave"),
)


class Place(Screen[None]):
    """The base of the places. A subclass gives `parts()` and `fill(home)`."""

    DEFAULT_CSS: ClassVar[str] = """
    Place #words { padding: 1 2; height: auto; display: none; }
    Place #body { height: 1fr; }
    Place.wordy #words { display: block; }
    Place.wordy #body { display: none; }
    Place #said { height: auto; max-height: 7; overflow-y: auto; padding: 0 1; background: $surface;
                  border-top: solid $primary; display: none; }
    Place.saying #said { display: block; }
    """
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (110, "-wide")]  # noqa: RUF012 - declared by textual
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "hush", "put away what was said"),
        Binding("tab", "app.focus_next", "the next part", show=False),
        Binding("shift+tab", "app.focus_previous", "the part before", show=False),
    ]
    KEY: ClassVar[str] = ""
    STRIP: ClassVar[Sequence[tuple[str, str, str]]] = EVERYWHERE
    ONCE: ClassVar[bool] = False
    """Whether what it shows follows from the look alone, so that the same look is shown once."""

    filled: Household | None = None

    def compose(self) -> ComposeResult:
        yield Masthead(self.KEY)
        yield Static(plain("Reading the logbook …"), id="words", markup=False)
        yield self.body()
        yield Static(id="said", markup=False)
        yield KeyStrip(self.STRIP)

    def body(self) -> Widget:
        """The middle of the screen."""
        return VerticalScroll(*self.parts(), id="body", can_focus=False)

    def parts(self) -> Sequence[Widget]:
        """What the middle is made of."""
        return ()

    def fill(self, home: Household) -> None:
        """Show a household that is described."""

    @property
    def screens(self) -> Screens:
        return cast("Screens", self.app)

    def on_mount(self) -> None:
        self.add_class("wordy")

    def action_hush(self) -> None:
        """Put away what was said about the last entry, and the notices."""
        self.screens.said = []
        self.screens.clear_notifications()
        self.look_again()

    def on_screen_resume(self) -> None:
        self.look_again()
        self.screens.live.release()

    def look_again(self) -> None:
        """Show what the app knows now: a household, or the words that say why there is none."""
        if not self.is_mounted:
            return
        app = self.screens
        self.query_one(Masthead).show(app.home, app.writer)
        self.query_one("#said", Static).update(plain("\n".join(app.said)))
        self.set_class(bool(app.said), "saying")
        words = self.query_one("#words", Static)
        if app.trouble is not None:
            words.update(plain(app.told + app.way_in))
        elif app.home is not None and app.home.state.site is None:
            from gwlog.views import welcome

            words.update(plain("\n".join(welcome.welcome(app.home)) + app.way_in))
        elif app.home is not None:
            try:
                if not self.ONCE or self.filled is not app.home:
                    self.fill(app.home)
                self.filled = app.home
            except GwlogError as trouble:
                words.update(plain(told(trouble)))
            else:
                self.remove_class("wordy")
                return
        self.add_class("wordy")
