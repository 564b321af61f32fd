"""One basin by itself: its water drawn over the last thirty days and the coming fortnight, and its facts.

Shown beside the plan of the garden or over it. The coming days wait for the plan, which is worked out elsewhere.
"""

from __future__ import annotations

from typing import ClassVar

from textual import work
from textual.app import ComposeResult
from textual.widget import Widget
from textual.widgets import Static

from gwlog.household import Household
from gwlog.tui.host import Hosted
from gwlog.tui.widgets.cells import labelled, plain, stacked
from gwlog.tui.widgets.water_plot import WaterPlot, signs
from gwlog.views import benefit
from gwlog.views.basin_outlook import COMING_DAYS, PAST_DAYS, outlook
from gwlog.views.basins import facts

LEAST_ROWS, FIRST_ROWS = 12, 17


class BasinDetail(Hosted, Widget):
    """Drawing and facts of one basin."""

    DEFAULT_CSS: ClassVar[str] = """
    BasinDetail { height: auto; layout: vertical; }
    BasinDetail Static { height: auto; }
    """

    def __init__(self) -> None:
        super().__init__()
        self.shown: tuple[Household, str] | None = None

    def compose(self) -> ComposeResult:
        yield Static(id="name", classes="title", markup=False)
        yield Static(id="signs", markup=False)
        yield WaterPlot()
        yield Static(id="facts", classes="gap", markup=False)

    def on_resize(self) -> None:
        """Wrap the facts anew, and use the height there is."""
        if self.shown is not None:
            self.show(*self.shown)

    def show(self, home: Household, name: str) -> None:
        """Show a basin, or nothing where there is none of that name."""
        if name not in home.garden.basins:
            self.display = False
            return
        self.display, self.shown = True, (home, name)
        if self.size.width == 0:
            return
        bar = 30 if self.size.width >= 68 else 16
        told = [*facts(home, name, bar), *benefit.basin_facts(home, name)]
        words = stacked([labelled(label, value, self.size.width - 2) for label, value in told])
        self.query_one("#facts", Static).update(words)
        room = self.parent.size.height if isinstance(self.parent, Widget) else 0
        rest = room - words.plain.count("\n") - 6
        self.query_one(WaterPlot).styles.height = max(LEAST_ROWS, min(FIRST_ROWS, room - 5), rest)
        known = self.host.planner.known(home)
        self._draw(home, name, ahead=bool(known))
        if not known:
            self._look_ahead(home, name)

    @work(exclusive=True, group="outlook")
    async def _look_ahead(self, home: Household, name: str) -> None:
        await self.host.planner.plans(home)
        if self.shown is not None and self.shown[0] is home and self.shown[1] == name:
            self._draw(home, name, ahead=True)

    def _draw(self, home: Household, name: str, *, ahead: bool) -> None:
        known = self.host.planner.known(home)
        series = outlook(home, name, known.plan, ahead=ahead)
        self.query_one("#name", Static).update(plain(
            f"{name}: its last {PAST_DAYS} days and the {COMING_DAYS} to come"))
        self.query_one("#signs", Static).update(plain(signs(series), "dim"))
        self.query_one(WaterPlot).show(series)
