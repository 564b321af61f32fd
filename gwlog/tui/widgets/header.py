"""The two rows at the top of every screen: whose logbook this is, the day, the screens, and what is urgent.

It changes when the logbook is looked at, never by itself: there is no running clock.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from rich.cells import cell_len
from textual.content import Content
from textual.style import Style
from textual.widgets import Static

from gwlog import clock
from gwlog.tui.widgets.cells import fit

if TYPE_CHECKING:
    from gwlog.household import Household

SCREENS = (
    ("today", "1", "Today"), ("garden", "2", "Garden"), ("plan", "3", "Plan"), ("log", "4", "Log"),
    ("upkeep", "5", "Upkeep"), ("records", "6", "Records"), ("setup", "7", "Setup"),
)


class HouseholdHeader(Static):
    """Household and day on the first row, the screens on the second."""

    DEFAULT_CSS: ClassVar[str] = """
    HouseholdHeader { height: 2; dock: top; background: $panel; padding: 0 1; }
    """

    def __init__(self, screen_name: str) -> None:
        super().__init__(markup=False)
        self.screen_name = screen_name
        self.home: Household | None = None
        self.person: str | None = None

    def show(self, home: Household | None, person: str | None) -> None:
        """Show another look at the household."""
        self.home, self.person = home, person
        self.refresh()

    def render(self) -> Content:
        width = max(20, self.content_size.width)
        home = self.home
        site = home.state.site if home is not None else None
        name = site.name if site else "gwlog"
        day = ""
        if home is not None:
            told = clock.echo_date if width >= 70 else clock.echo_day
            day = told(clock.local_day(home.now, home.zone), home.system)
        after = " · ".join(word for word in (self._urgent(), day) if word)
        first = Content.assemble((fit(name, max(8, width - cell_len(after) - 1)), "bold"), " ", after)
        # loose where there is width for it, else each screen one cell from the next
        loose = sum(cell_len(word) + 5 for _, _, word in SCREENS) <= width
        parts: list[Content] = []
        for key, sign, word in SCREENS:
            here_now = key == self.screen_name
            label = f"[{sign} {word}]" if here_now else f" {sign} {word} " if loose else f"{sign} {word}"
            go = Style.from_meta({"@click": f"app.open('{key}')"})
            parts.append(Content.styled(label, go + (Style(bold=True, reverse=True) if here_now else Style())))
        return first + Content("\n") + Content(" ").join(parts)

    def _urgent(self) -> str:
        words = []
        if self.home is not None and self.home.state.site is not None:
            states: list[str] = [reminder.state for reminder in self.home.reminders]
            for state, sign, word in (("overdue", "‼", "overdue"), ("due", "!", "now")):
                if states.count(state):
                    words.append(f"{sign} {states.count(state)} {word}")
        if self.person:
            words.append(f"logging as {self.person}")
        return " · ".join(words)
