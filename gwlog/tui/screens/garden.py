"""Garden: the basins as on a plan, and one of them in detail beside it where the screen is wide enough.

On a narrow screen Enter opens the detail.
"""

from __future__ import annotations

import asyncio
from collections.abc import Sequence
from typing import ClassVar

from textual import work
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from gwlog.household import Household
from gwlog.tui.dialogs.basin import BasinDialog
from gwlog.tui.dialogs.salts import SaltsDialog
from gwlog.tui.keys import EVERYWHERE
from gwlog.tui.screens.base import HouseholdScreen
from gwlog.tui.widgets.basin_detail import BasinDetail
from gwlog.tui.widgets.cells import labelled, plain, stacked
from gwlog.tui.widgets.garden_map import GardenMap
from gwlog.views import benefit
from gwlog.views.basins import facts, remarks

SHORT = ("standing", "root zone", "can take", "cover", "plants")


class GardenScreen(HouseholdScreen):
    """Garden."""

    DEFAULT_CSS: ClassVar[str] = """
    GardenScreen #body { layout: vertical; }
    GardenScreen #left, GardenScreen #right { height: auto; }
    GardenScreen Static { height: auto; }
    GardenScreen #right { display: none; }
    GardenScreen.-wide #body { layout: horizontal; }
    GardenScreen.-wide #left { width: 1fr; height: 100%; padding-right: 2; }
    GardenScreen.-wide #right { width: 1fr; height: 100%; display: block; }
    GardenScreen.-wide #short { display: none; }
    """
    NAME = "garden"
    ONCE = True
    AUTO_FOCUS = "GardenMap"
    BINDINGS: ClassVar[list[BindingType]] = [Binding("k", "salt", "salt in this basin over the years; the usual loads")]
    FOOTER_KEYS = (("↑↓←→", "choose", "app.focus_next"), ("enter", "its water", "screen.open"),
                   ("k", "salt", "screen.salt"), *EVERYWHERE)

    def parts(self) -> Sequence[Widget]:
        return (
            VerticalScroll(
                GardenMap(),
                Static(id="short", classes="gap", markup=False),
                Static(id="remarks", classes="gap dim", markup=False),
                Static(id="gave", classes="gap", markup=False),
                id="left", can_focus=False,
            ),
            VerticalScroll(BasinDetail(), id="right", can_focus=False),
        )

    def fill(self, home: Household) -> None:
        plan = self.query_one(GardenMap)
        plan.show(home)
        lines = list(remarks(home))
        if home.garden.basins and not plan.drawing(80).placed:
            lines.append("Some basins have no place on the plan; “Place” in their form under 7 Setup gives them one.")
        self.query_one("#remarks", Static).update(plain("\n".join(lines)))
        self._detail(home, plan.chosen)
        self._tell_what_it_gave(home)

    @work(exclusive=True, group="gave")
    async def _tell_what_it_gave(self, home: Household) -> None:
        """Every day since the beginning is reckoned twice for it."""
        words = await asyncio.to_thread(lambda: benefit.sentence(home, benefit.of_home(home)))
        if self.filled is home and self.is_mounted:
            self.query_one("#gave", Static).update(plain(words))

    def _detail(self, home: Household, name: str) -> None:
        if name not in home.garden.basins:
            self.query_one("#short", Static).update(Content(""))
            return
        found = [(label, words) for label, words in facts(home, name, 20) if label in SHORT]
        self.query_one("#short", Static).update(stacked([plain(name, "bold")] + [
            labelled(label, words, self.size.width - 4) for label, words in found]))
        self.query_one(BasinDetail).show(home, name)

    def on_garden_map_chosen(self, event: GardenMap.Chosen) -> None:
        """Show the basin that was chosen; by itself when it was opened."""
        home = self.host.home
        if home is None:
            return
        self._detail(home, event.name)
        if event.opened:
            self.app.push_screen(BasinDialog(home, event.name))

    def action_salt(self) -> None:
        home = self.host.home
        if home is not None and home.state.site is not None:
            self.app.push_screen(SaltsDialog(home, self.query_one(GardenMap).chosen))

    def action_open(self) -> None:
        self.query_one(GardenMap).action_open()
