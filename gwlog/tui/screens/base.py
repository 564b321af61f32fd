"""The base of the screens that show the household: header on top, keys at the bottom, a message above them.

Each shows one look at the household and is handed a new one whenever the logbook changes.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.screen import Screen
from textual.widget import Widget
from textual.widgets import Static

from gwlog.errors import GwlogError
from gwlog.tui import key_hints
from gwlog.tui.host import Hosted
from gwlog.tui.keys import EVERYWHERE
from gwlog.tui.widgets.cells import plain
from gwlog.tui.widgets.footer import KeyFooter
from gwlog.tui.widgets.header import HouseholdHeader

if TYPE_CHECKING:
    from gwlog.household import Household


class HouseholdScreen(Hosted, Screen[None]):
    """A subclass gives `parts()` and `fill(home)`."""

    DEFAULT_CSS: ClassVar[str] = """
    HouseholdScreen #trouble { padding: 1 2; height: auto; display: none; }
    HouseholdScreen #body { height: 1fr; padding: 0 1; }
    HouseholdScreen.-trouble #trouble { display: block; }
    HouseholdScreen.-trouble #body { display: none; }
    HouseholdScreen #message { height: auto; max-height: 7; overflow-y: auto; padding: 0 1; background: $surface;
                               border-top: solid $primary; display: none; }
    HouseholdScreen.-message #message { display: block; }
    """
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (110, "-wide")]  # noqa: RUF012 - declared by textual
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "clear_message", "close the message"),
        Binding("tab", "app.focus_next", "the next part", show=False),
        Binding("shift+tab", "app.focus_previous", "the part before", show=False),
    ]
    NAME: ClassVar[str] = ""
    FOOTER_KEYS: ClassVar[Sequence[tuple[str, str, str]]] = EVERYWHERE
    ONCE: ClassVar[bool] = False
    """Whether what it shows follows from the look alone, so that the same look is shown once."""

    filled: Household | None = None
    _resumed = False

    def __init__(self) -> None:
        super().__init__(classes="-trouble")   # until there is something to show
        # A new screen takes the styles as they are. Where these two differ, textual reads every style sheet anew, twice
        # for a new screen: 50 ms of the key that opens it.
        self._css_update_count = self.app._css_update_count

    def compose(self) -> ComposeResult:
        yield HouseholdHeader(self.NAME)
        yield Static(plain("Reading the logbook …"), id="trouble", markup=False)
        yield self.body()
        yield Static(id="message", markup=False)
        yield KeyFooter(self.FOOTER_KEYS)

    def body(self) -> Widget:
        """The middle of the screen."""
        return VerticalScroll(*self.parts(), id="body", can_focus=False)

    def parts(self) -> Sequence[Widget]:
        """What the middle is made of."""
        return ()

    def fill(self, home: Household) -> None:
        """Show a household that is described."""

    def action_clear_message(self) -> None:
        """Put away the message and the notices."""
        self.host.clear_message()
        self.household_changed()

    def on_screen_resume(self) -> None:
        # a screen that is new resumes twice, and is filled once
        if not self._resumed:
            self._resumed = True
            self.call_later(self._show_again)

    def _show_again(self) -> None:
        self._resumed = False
        self.household_changed()
        self.host.release_notices()

    def household_changed(self) -> None:
        """Show what the app knows now: a household, or the words that say why there is none."""
        if not self.is_mounted:
            return
        host = self.host
        self.query_one(HouseholdHeader).show(host.home, host.person)
        self.query_one("#message", Static).update(plain("\n".join(host.message)))
        self.set_class(bool(host.message), "-message")
        trouble = self.query_one("#trouble", Static)
        if host.trouble is not None:
            trouble.update(plain(host.trouble + host.way_in))
        elif host.home is not None and host.home.state.site is None:
            from gwlog.views import welcome

            trouble.update(plain("\n".join(welcome.welcome(host.home)) + host.way_in))
        elif host.home is not None:
            try:
                if not self.ONCE or self.filled is not host.home:
                    self.fill(host.home)
                self.filled = host.home
            except GwlogError as fault:
                trouble.update(plain(key_hints.refused(fault)))
            else:
                self.remove_class("-trouble")
                return
        self.add_class("-trouble")
