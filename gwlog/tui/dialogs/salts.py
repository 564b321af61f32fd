"""Salt of the garden: each basin over its years, how long its plants can bear it, and the usual loads, best first."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widgets import Static

from gwlog.household import Household
from gwlog.tui.dialogs.base import HELP_KEYS, PageDialog
from gwlog.tui.widgets.cells import labelled, plain, stacked
from gwlog.tui.widgets.salt_plot import SIGNS, SaltPlot
from gwlog.views import salts


class SaltsDialog(PageDialog[None]):
    """Shows the salt of one basin; the arrows left and right choose another."""

    DEFAULT_CSS: ClassVar[str] = """
    SaltsDialog #words { height: 1fr; }
    SaltsDialog .gap { margin-top: 1; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left", "basin(-1)", "the basin before"),
        Binding("right", "basin(1)", "the next basin"),
        Binding("down", "page(1)", "scroll down", show=False),
        Binding("up", "page(-1)", "scroll up", show=False),
        Binding("escape,enter", "leave", "back to the garden"),
        *HELP_KEYS,
    ]
    PAGED = ("#words", 3)
    FOOTER = "←→ basin · ↑↓ scroll · S log a soil test · esc back · F1 keys"
    heading = "Salt in the soil"

    def __init__(self, home: Household, name: str) -> None:
        super().__init__()
        self.home, self.names = home, list(home.garden.basins)
        self.number = self.names.index(name) if name in self.names else 0

    def parts(self) -> ComposeResult:
        with VerticalScroll(id="words", can_focus=False):
            yield Static(id="basin", markup=False)
            yield SaltPlot("ece", id="ece")
            yield SaltPlot("sar", id="sar")
            yield Static(id="loads", classes="gap", markup=False)
            yield Static(id="notes", classes="gap", markup=False)

    def on_mount(self) -> None:
        self.call_after_refresh(self._show)

    def on_resize(self) -> None:
        """Wrap the words anew."""
        self._show()

    def action_basin(self, by: int) -> None:
        if self.names:
            self.number = (self.number + by) % len(self.names)
            self.query_one("#words").scroll_home(animate=False)
            self._show()

    def household_changed(self) -> None:
        """Show the newest look at the household."""
        home = self.host.home
        if home is not None and home.state.site is not None:
            self.home, self.names = home, list(home.garden.basins)
            self.number = min(self.number, max(0, len(self.names) - 1))
            self._show()

    def _show(self) -> None:
        if not self.query("#notes"):
            return
        home, width = self.home, max(20, self.size.width - 6)
        name = self.names[self.number] if self.names else None
        lines = [plain("No basin is described.")]
        years = None
        if name is not None:
            basin = home.garden.basins[name]
            lines = [plain(f"{name} ({self.number + 1} of {len(self.names)})", "bold"),
                     labelled("", salts.outlook(home, basin), width)]
            years = salts.years(home, name)
            if years is not None:
                cells = salts.basin_cells(home, basin)
                lines += [plain(", ".join(f"{head} {cell}" for head, cell in
                                          zip(salts.BASIN_HEAD[1:], cells[1:], strict=True) if cell != "—"), "dim"),
                          plain(SIGNS, "dim")]
        self.query_one("#basin", Static).update(stacked(lines))
        for plot in self.query(SaltPlot):
            plot.display = years is not None
            if years is not None:
                plot.show(years)
        rows = salts.load_rows(home)
        self.query_one("#loads", Static).update(stacked([
            plain("Usual loads, the best for the soil first", "bold"),
            *(labelled(row.name, _row(home, row), width) for row in rows)]))
        self.query_one("#notes", Static).update(
            stacked([labelled("", note, width) for note in salts.notes(home, rows)]))


def _row(home: Household, row: salts.LoadRow) -> str:
    """A usual load's water and what would change it, as a paragraph."""
    cells = salts.load_cells(home, row)
    told = ", ".join(f"{head} {cell}" for head, cell in zip(salts.LOAD_HEAD[1:], cells[1:], strict=True))
    return " ".join([f"{told}.", *(f"{change[:1].upper()}{change[1:]}" for change in row.changes)])
