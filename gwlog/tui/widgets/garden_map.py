"""The garden from above: a box for each basin, one of them chosen; arrows and the mouse choose another.

The chosen box has a heavy edge, so that it reads without colour.
"""

from __future__ import annotations

from typing import ClassVar

from rich.cells import cell_len
from textual import events
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.geometry import Size
from textual.message import Message
from textual.widget import Widget

from gwlog.household import Household
from gwlog.tui.theme import STANDING_TONES
from gwlog.tui.widgets.cells import fit
from gwlog.views.basins import BasinView, basin_views
from gwlog.views.garden_map import BOX_WIDTH, Drawing, draw, neighbour

LIGHT, HEAVY = ("╭", "─", "╮", "│", "╰", "╯"), ("┏", "━", "┓", "┃", "┗", "┛")


class GardenMap(Widget, can_focus=True):
    """Shows and chooses basins."""

    DEFAULT_CSS: ClassVar[str] = "GardenMap { height: auto; }"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left", "go(-1,0)", "the basin to the left"),
        Binding("right", "go(1,0)", "the basin to the right"),
        Binding("up", "go(0,-1)", "the basin above"),
        Binding("down", "go(0,1)", "the basin below"),
        Binding("enter", "open", "this basin, its water day by day"),
    ]

    class Chosen(Message):
        """Another basin was chosen; `opened`: it should be shown by itself."""

        def __init__(self, name: str, opened: bool) -> None:
            super().__init__()
            self.name = name
            self.opened = opened

    def __init__(self) -> None:
        super().__init__()
        self.home: Household | None = None
        self.rows: dict[str, BasinView] = {}
        self.chosen = ""
        self.room = 10
        self._drawn: tuple[int, int, int, Drawing] | None = None

    def show(self, home: Household) -> None:
        """Show a look at the household; the chosen basin stays chosen."""
        self.home, self._drawn = home, None
        self.rows = {row.name: row for row in basin_views(home)}
        if self.chosen not in self.rows:
            self.chosen = next(iter(self.rows), "")
        self.refresh(layout=True)

    def drawing(self, width: int) -> Drawing:
        """The arrangement at a width; made once for each look."""
        assert self.home is not None
        if self._drawn is None or self._drawn[:3] != (id(self.home), width, self.room):
            self._drawn = (id(self.home), width, self.room, draw(self.home, width, self.room))
        return self._drawn[3]

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        self.room = max(9, min(24, viewport.height - 14))
        return self.drawing(width).height if self.home is not None else 1

    def choose(self, name: str, *, opened: bool = False) -> None:
        """Choose a basin, and tell it."""
        self.chosen = name
        self.refresh()
        self.post_message(self.Chosen(name, opened))

    def action_go(self, dx: int, dy: int) -> None:
        if self.rows:
            self.choose(neighbour(self.drawing(self.content_size.width), self.chosen, dx, dy))

    def action_open(self) -> None:
        if self.chosen:
            self.choose(self.chosen, opened=True)

    def on_click(self, event: events.Click) -> None:
        if self.home is None:
            return
        for box in self.drawing(self.content_size.width).boxes:
            if box.holds(event.x, event.y):
                self.choose(box.name, opened=box.name == self.chosen)
                return

    def render(self) -> Content:
        if self.home is None or not self.rows:
            return Content.styled("No basin is described yet.", "dim")
        drawing = self.drawing(self.content_size.width)
        pieces: list[list[tuple[int, Content]]] = [[] for _ in range(drawing.height)]
        for box in drawing.boxes:
            for down, line in enumerate(self._box(box.name)):
                pieces[box.y + down].append((box.x, line))
        for name, x, y in drawing.marks:
            pieces[y].append((x, Content.styled(fit(f"◇ {name}", 18), "dim")))
        lines = []
        for row in pieces:
            line, at = Content(""), 0
            for x, piece in sorted(row, key=lambda one: one[0]):
                line += Content(" " * (x - at)) + piece
                at = x + piece.cell_length
            lines.append(line)
        return Content("\n").join(lines)

    def _box(self, name: str) -> list[Content]:
        row, here = self.rows[name], name == self.chosen
        a, line, b, side, c, d = HEAVY if here else LIGHT
        inner = BOX_WIDTH - 2
        edge = ("bold " if here else "") + ("$accent" if here and self.has_focus else "$text-muted")
        title = fit(row.name, min(cell_len(row.name), inner - 3))
        foot = fit(f"◆ {row.outlets}", min(cell_len(row.outlets) + 2, inner - 3)) if row.outlets else ""
        foot_line = f"{line * (inner - cell_len(foot) - 3)} {foot} {line}" if foot else line * inner
        takes = row.tail if row.never else row.room
        words = row.standing if row.standing != "resting" else row.rest_short
        return [
            Content.assemble((f"{a}{line} ", edge), (title, "bold reverse" if here else "bold"),
                             (f" {line * (inner - cell_len(title) - 3)}{b}", edge)),
            Content.assemble((side, edge), (fit(f"{row.shape} {words}", inner), STANDING_TONES[row.standing]),
                             (side, edge)),
            Content.assemble((side, edge), fit(f"{row.gauge(11)} {takes}", inner), (side, edge)),
            Content.styled(f"{c}{foot_line}{d}", edge),
        ]
