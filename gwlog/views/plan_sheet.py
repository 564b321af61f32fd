"""The plan drawn as a sheet: days down, basins across, and the way of each outlet as a line between them.

Plain text of a given width, so that it reads on any terminal; the grid itself comes from plan.py.
"""

from __future__ import annotations

from dataclasses import dataclass
from textwrap import wrap
from typing import TYPE_CHECKING

from gwlog.clock import echo_day
from gwlog.household import Household
from gwlog.views.plan import COMES_SHAPE, SEWER_SHAPE, GridRow, grid

if TYPE_CHECKING:
    from gwlog.decisions.rotation import Plan

COMES_FROM_RIGHT, WAY = "◀", "╌"
DAY_WIDTH, LEAST_COLUMN, WIDEST_COLUMN, LEAST_SEWER = 13, 6, 20, 16


@dataclass(frozen=True, slots=True)
class SheetRow:
    """One day: its label, the cells of the basins with the ways between them, and what goes to the sewer."""

    label: str
    basins: str
    sewer: str
    today: bool
    quiet: bool


@dataclass(frozen=True, slots=True)
class Sheet:
    """Head lines (day, basins, sewer) and a row for each day, all within the width asked for."""

    head: tuple[str, ...]
    rows: tuple[SheetRow, ...]


def sheet(home: Household, plan: Plan, width: int) -> Sheet:
    """Draw the plan in `width` cells."""
    made = grid(home, plan)
    count = max(1, len(made.basins))
    sewer = max((len(row.sewer) for row in made.rows), default=0)
    room = width - DAY_WIDTH
    column = min(WIDEST_COLUMN, max(LEAST_COLUMN, (room - max(LEAST_SEWER, min(sewer, room // 4))) // count))
    last = max(0, room - column * count)
    names = [_heading(name, column - 1) for name in made.basins]
    height = max((len(lines) for lines in names), default=1)
    head = []
    for number in range(height):
        cells = "".join(_at(lines, number - height + len(lines)).ljust(column) for lines in names)
        ends = number == height - 1
        head.append(f"{'day' if ends else '':{DAY_WIDTH}}{cells}{'sewer' if ends else ''}"[:width].rstrip())
    letters = {name: letter for letter, name in made.outlets}
    rows = []
    for number, row in enumerate(made.rows):
        ways = [(letters[move.outlet], made.basins.index(move.origin), made.basins.index(move.basin))
                for move in plan.moves if move.day == row.day
                and move.origin in made.basins and move.basin in made.basins]
        rows.append(SheetRow(echo_day(row.day), _cells(row, ways, column), _cut(row.sewer, last), number == 0,
                             not row.sewer and not any(" " in cell for cell in row.cells)))
    return Sheet(tuple(head), tuple(rows))


def _cells(row: GridRow, ways: list[tuple[str, int, int]], column: int) -> str:
    """The cells side by side, and dashes from where an outlet lay to where it is carried."""
    cells = list(row.cells)
    for letter, origin, place in ways:
        if origin > place:
            cells[place] = cells[place].replace(COMES_SHAPE + letter, COMES_FROM_RIGHT + letter)
    line = list("".join(_fitting(cell, column - 1).ljust(column) for cell in cells))
    for _, origin, place in ways:
        low, high = sorted((origin, place))
        for at in range(low * column, high * column):
            # between an outlet and its litres a dash would read as part of them
            if line[at] == " " and not line[at + 1].isdigit():
                line[at] = WAY
    return "".join(line)


def _fitting(cell: str, width: int) -> str:
    """The cell without its unit, and then without its litres, where there is no room for them."""
    for words in (cell, cell.rsplit(" ", 1)[0] if cell.count(" ") > 1 else cell, cell.split(" ", 1)[0]):
        if len(words) <= width:
            return words
    return _cut(cell, width)


def _heading(name: str, width: int) -> list[str]:
    """A basin's name in at most three lines."""
    lines = wrap(name, width, break_long_words=False)
    return [_cut(line, width) for line in lines[:3]] if lines else [""]


def _at(lines: list[str], number: int) -> str:
    return lines[number] if 0 <= number < len(lines) else ""


def _cut(words: str, width: int) -> str:
    return words if len(words) <= width else words[:max(0, width - 1)] + "…" * (width > 0)


def legend(home: Household, plan: Plan) -> str:
    """What the signs of the sheet mean."""
    names = "  ".join(f"{letter} {name}" for letter, name in grid(home, plan).outlets)
    return (f"{names}   │ lies there  {COMES_SHAPE} {COMES_FROM_RIGHT} carried there that day  "
            f"{SEWER_SHAPE} valve to sewer for that load")


__all__ = ["Sheet", "SheetRow", "legend", "sheet"]
