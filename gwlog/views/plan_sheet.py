"""The plan drawn as a sheet: days down, basins across, and a mark where each outlet is.

Plain text of a given width, so that it reads on any terminal; the grid itself comes from plan.py.
"""

from __future__ import annotations

from dataclasses import dataclass
from textwrap import wrap
from typing import TYPE_CHECKING

from gwlog.clock import echo_day
from gwlog.household import Household
from gwlog.views.plan import CAME_SHAPE, IS_SHAPE, SEWER_SHAPE, grid

if TYPE_CHECKING:
    from gwlog.decisions.rotation import Plan

DAY_WIDTH, LEAST_COLUMN, WIDEST_COLUMN, LEAST_SEWER = 14, 6, 20, 16


@dataclass(frozen=True, slots=True)
class SheetRow:
    """One day: its label, the cells of the basins, and what goes to the sewer."""

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
    rows = []
    for number, row in enumerate(made.rows):
        cells = "".join(_fitting(cell, column - 1).ljust(column) for cell in row.cells)
        rows.append(SheetRow(echo_day(row.day, home.system), cells, _cut(row.sewer, last), number == 0,
                             not row.sewer and not any(" " in cell for cell in row.cells)))
    return Sheet(tuple(head), tuple(rows))


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
    return (f"{names}   {IS_SHAPE} outlet is here  {CAME_SHAPE} moved here that day  "
            f"{SEWER_SHAPE} valve to sewer for that load")


__all__ = ["Sheet", "SheetRow", "legend", "sheet"]
