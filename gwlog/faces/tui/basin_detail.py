"""One basin by itself: its facts, and the last thirty days drawn; beside the plan or over it.

The drawing tells its series apart by signs, not only by colour.
"""

from __future__ import annotations

from typing import Any, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widget import Widget
from textual.widgets import Static
from textual_plotext import PlotextPlot

from gwlog.faces.present.basin_page import Month, facts, month
from gwlog.faces.present.household import Household
from gwlog.faces.tui.cells import labelled, plain, stacked


class WaterPlot(PlotextPlot):
    """Missing water as a line; graywater W, rain R and percolation P as letters."""

    DEFAULT_CSS: ClassVar[str] = "WaterPlot { height: 15; }"

    def show(self, series: Month) -> None:
        """Draw a month."""
        plot: Any = self.plt
        plot.clear_data()
        plot.clear_figure()
        if not series.days:
            plot.title("no closed day yet")
            self.refresh()
            return
        days = list(range(len(series.days)))
        plot.plot(days, list(series.missing), marker="•")
        for sign, values in (("W", series.graywater), ("R", series.rain), ("P", series.percolated)):
            came = [(day, value) for day, value in zip(days, values, strict=True) if value > series.taw / 100]
            if came:
                plot.scatter([day for day, _ in came], [value for _, value in came], marker=sign)
        plot.plot([days[0], days[-1] or 1], [series.raw, series.raw], marker="-")
        step = max(1, len(days) // 5)
        ticks = days[::-step][::-1]
        plot.xticks(ticks, [f"{series.days[at].day} {series.days[at]:%b}" for at in ticks])
        top = max(series.taw, *series.graywater, *series.rain, 1.0)
        plot.ylim(0, top)
        plot.yticks([top * part / 4 for part in range(5)], [f"{top * part / 4:.0f}" for part in range(5)])
        self.refresh()


class BasinDetail(Widget):
    """Facts and drawing of one basin."""

    DEFAULT_CSS: ClassVar[str] = """
    BasinDetail { height: auto; layout: vertical; }
    BasinDetail Static { height: auto; }
    """

    def __init__(self) -> None:
        super().__init__()
        self.shown: tuple[Household, str] | None = None

    def on_resize(self) -> None:
        """Wrap the facts anew."""
        if self.shown is not None:
            self.show(*self.shown)

    def compose(self) -> ComposeResult:
        yield Static(id="name", classes="title", markup=False)
        yield Static(id="facts", markup=False)
        yield Static("The last 30 days", classes="title gap", markup=False)
        yield Static(id="signs", markup=False)
        yield WaterPlot()

    def show(self, home: Household, name: str) -> None:
        """Show a basin, or nothing where there is none of that name."""
        if name not in home.garden.basins:
            self.display = False
            return
        self.display, self.shown = True, (home, name)
        self.query_one("#name", Static).update(plain(name))
        bar = 30 if (self.size.width or 70) >= 68 else 16
        self.query_one("#facts", Static).update(stacked([
            labelled(label, words, (self.size.width or 76) - 2) for label, words in facts(home, name, bar)]))
        series = month(home, name)
        self.query_one("#signs", Static).update(plain(
            f"{series.unit}: • missing  - plants feel it  W graywater  R rain  P sank past the roots", "dim"))
        self.query_one(WaterPlot).show(series)


class BasinBox(ModalScreen[None]):
    """A basin over the whole screen."""

    DEFAULT_CSS: ClassVar[str] = """
    BasinBox #box { padding: 0 1; height: 100%; background: $background; }
    BasinBox #how { color: $text-muted; height: auto; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,enter", "dismiss", "back to the garden"),
        Binding("f1,question_mark", "app.keys", "all keys"),
        Binding("ctrl+q", "app.leave", "quit", show=False),
    ]

    def __init__(self, home: Household, name: str) -> None:
        super().__init__()
        self.home = home
        self.basin = name

    def compose(self) -> ComposeResult:
        with VerticalScroll(id="box"):
            yield BasinDetail()
            yield Static("esc back · ↑ ↓ further", id="how", markup=False)

    def on_mount(self) -> None:
        self.call_after_refresh(self._show)

    def _show(self) -> None:
        self.query_one(BasinDetail).show(self.home, self.basin)

    def look_again(self) -> None:
        """Show the newest look at the household."""
        home = getattr(self.app, "home", None)
        if isinstance(home, Household) and home.state.site is not None and self.query("#facts"):
            self.home = home
            self._show()
