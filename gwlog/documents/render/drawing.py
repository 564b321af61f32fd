"""Draws the system from the setup: washer, valve, vent, line, outlets and basins; and a plan of where they lie.

Black lines on white. A solid line is where an outlet lies at the drawing's date, a dashed one where it can be put.
"""

from __future__ import annotations

from itertools import pairwise
from math import pi, sqrt
from typing import TYPE_CHECKING

from gwlog.decisions.outlet_assignment import TOUCHES_FOOD
from gwlog.documents.render.paper import MARGIN, MM_PER_PT, SMALL, Paper
from gwlog.units import Reader

if TYPE_CHECKING:
    from gwlog.state import State

BASIN_WIDE, OUTLET_WIDE, WASHER_WIDE = 52.0, 30.0, 34.0
LEAST_HEIGHT = 62.0
MOST_HEIGHT = 190.0
PLAN_HEIGHT = 78.0


def box(sheet: Paper, x: float, y: float, wide: float, high: float, words: tuple[tuple[str, bool], ...], *,
        size: float = SMALL, round_corners: bool = False) -> None:
    """A box with lines of words in its middle, each cut to its width: (words, bold)."""
    sheet.set_line_width(0.4)
    sheet.rect(x, y, wide, high, round_corners=round_corners, corner_radius=min(2.5, high / 3))
    sheet.set_line_width(0.2)
    lead = size * MM_PER_PT * 1.25
    top = y + (high - lead * len(words)) / 2
    for number, (line, bold) in enumerate(words):
        sheet.face(size, bold)
        folded = sheet.fold(line, wide - 2)
        shown = folded[0] if len(folded) == 1 else shortened(sheet, line, wide - 2)
        sheet.put(x + (wide - sheet.width_of(shown)) / 2, top + number * lead + lead * 0.8, shown)


def shortened(sheet: Paper, words: str, wide: float) -> str:
    """Words cut with an ellipsis so that they fit a width in the present type."""
    kept = sheet.signs(words)
    if sheet.width_of(kept) <= wide:
        return kept
    while kept and sheet.width_of(f"{kept}…") > wide:
        kept = kept[:-1]
    return f"{kept.rstrip()}…"


def arrow(sheet: Paper, points: tuple[tuple[float, float], ...], *, dashed: bool = False, tip: bool = True) -> None:
    """A line through points; at its end a filled tip in the direction of the last stretch."""
    if dashed:
        sheet.set_dash_pattern(dash=1.2, gap=1.0)
    sheet.set_line_width(0.25 if dashed else 0.5)
    for (x1, y1), (x2, y2) in pairwise(points):
        sheet.line(x1, y1, x2, y2)
    sheet.set_dash_pattern()
    sheet.set_line_width(0.2)
    if tip:
        (x1, y1), (x2, y2) = points[-2:]
        long = sqrt((x2 - x1) ** 2 + (y2 - y1) ** 2) or 1.0
        ux, uy = (x2 - x1) / long, (y2 - y1) / long
        sheet.set_fill_color(0)
        sheet.polygon([(x2, y2), (x2 - 2.2 * ux - uy, y2 - 2.2 * uy + ux), (x2 - 2.2 * ux + uy, y2 - 2.2 * uy - ux)],
                      style="F")


def label(sheet: Paper, x: float, y: float, words: str, *, bold: bool = False, size: float = SMALL) -> None:
    """A word beside a line, baseline at y."""
    sheet.face(size, bold)
    sheet.put(x, y, sheet.signs(words))


def schematic(sheet: Paper, state: State) -> None:
    """Draw the parts from the washer on the left to the basins on the right."""
    read = Reader("metric" if state.site is not None and state.site.units == "metric" else "us")
    basins, outlets = list(state.active_basins().values()), list(state.active_outlets().values())
    washers = [one for one in state.washers.values() if one.active]
    row = min(15.0, MOST_HEIGHT / max(1, len(basins)))
    high = max(LEAST_HEIGHT, row * len(basins), 17.0 * len(washers), 11.0 * len(outlets))
    sheet.need(high + 12)
    top = sheet.y + 3
    pipe = top + 14.0
    for number, washer in enumerate(washers):
        y = top + 7 + 17.0 * number
        box(sheet, MARGIN, y, WASHER_WIDE, 14, ((washer.name, True), (f"{read.volume(washer.volume_ml / 1000)} a run",
                                                                      False)))
        if number:
            arrow(sheet, ((MARGIN + WASHER_WIDE, y + 7), (MARGIN + WASHER_WIDE + 4, y + 7),
                          (MARGIN + WASHER_WIDE + 4, pipe)), tip=False)
    valve = MARGIN + WASHER_WIDE + 15
    arrow(sheet, ((MARGIN + WASHER_WIDE, pipe), (valve - 4, pipe)))
    sheet.set_line_width(0.5)
    sheet.polygon([(valve - 4, pipe), (valve, pipe - 4), (valve + 4, pipe), (valve, pipe + 4)], style="D")
    label(sheet, valve - 5, pipe - 6, "VALVE", bold=True)
    label(sheet, valve + 5, pipe - 1.5, "garden")
    label(sheet, valve + 2, pipe + 9, "sewer")
    arrow(sheet, ((valve, pipe + 4), (valve, pipe + 22)))
    box(sheet, valve - 15, pipe + 22, 30, 10, (("SEWER", True), ("the house's drain", False)))
    vent = valve + 20
    trunk = vent + 9
    arrow(sheet, ((valve + 4, pipe), (trunk, pipe)), tip=False)
    arrow(sheet, ((vent, pipe), (vent, pipe - 8)), tip=False)
    sheet.circle(vent, pipe - 9.2, 1.2)
    label(sheet, vent - 7, pipe - 11.5, "AIR VENT", bold=True)
    label(sheet, vent - 1, pipe + 4.5, "LINE", bold=True)
    _branches(sheet, state, top, high, pipe, trunk, row, read)
    sheet.set_y(top + high + 2)
    sheet.para("Solid line: where an outlet is on the date of this manual. Dashed: where else it can reach. The far "
               "ends stay open: no valve, nozzle or plug there.", size=SMALL)


def _branches(sheet: Paper, state: State, top: float, high: float, pipe: float, trunk: float, row: float,
              read: Reader) -> None:
    basins, outlets = list(state.active_basins().values()), list(state.active_outlets().values())
    right = float(sheet.w) - MARGIN
    middle = {basin.name: top + (high - row * len(basins)) / 2 + row * (number + 0.5)
              for number, basin in enumerate(basins)}
    for basin in basins:
        words: tuple[tuple[str, bool], ...] = ((basin.name, True),)
        if row >= 9:
            remark = "no graywater: food in the soil" if basin.edible in TOUCHES_FOOD else \
                f"{basin.plants}, {read.area(basin.area_cm2 / 1e4)}"
            words += ((remark, False),)
        box(sheet, right - BASIN_WIDE, middle[basin.name] - row / 2 + 0.8, BASIN_WIDE, row - 1.6, words,
            size=min(SMALL, row / 1.3), round_corners=True)
    step = high / max(1, len(outlets))
    for number, outlet in enumerate(outlets):
        y = top + step * (number + 0.5)
        arrow(sheet, ((trunk, pipe), (trunk, y), (trunk + 6, y)))
        box(sheet, trunk + 6, y - 4.5, OUTLET_WIDE, 9, ((outlet.name, True), ("outlet, open end", False)))
        lies = state.outlet_at[outlet.name].basin
        start = trunk + 6 + OUTLET_WIDE
        for name in state.reach(outlet.name):
            if name in middle and (name == lies or state.basins[name].edible not in TOUCHES_FOOD):
                arrow(sheet, ((start, y), (right - BASIN_WIDE, middle[name])), dashed=name != lies)
        if lies in middle and lies not in state.reach(outlet.name):
            arrow(sheet, ((start, y), (right - BASIN_WIDE, middle[lies])))


def plan_view(sheet: Paper, state: State) -> bool:
    """Draw the basins from above where the setup says where they lie; False when it says so for fewer than two."""
    read = Reader("metric" if state.site is not None and state.site.units == "metric" else "us")
    placed = [(basin.name, basin.at_x_mm / 1000, basin.at_y_mm / 1000, sqrt(basin.area_cm2 / 1e4 / pi))
              for basin in state.active_basins().values() if basin.at_x_mm is not None and basin.at_y_mm is not None]
    if len(placed) < 2:
        return False
    left, right = min(x - r for _, x, _, r in placed), max(x + r for _, x, _, r in placed)
    low, up = min(y - r for _, _, y, r in placed), max(y + r for _, _, y, r in placed)
    scale = min((sheet.measure - 20) / max(0.1, right - left), (PLAN_HEIGHT - 14) / max(0.1, up - low))
    sheet.need((up - low) * scale + 18)
    top = sheet.y + 6
    for name, x, y, radius in placed:
        at_x, at_y = MARGIN + 10 + (x - left) * scale, top + (up - y) * scale
        sheet.set_line_width(0.4)
        sheet.circle(at_x, at_y, radius * scale)
        sheet.face(SMALL, True)
        wide = sheet.width_of(sheet.signs(name))
        sheet.put(min(max(MARGIN, at_x - wide / 2), sheet.w - MARGIN - wide), at_y + radius * scale + 3.2,
                  sheet.signs(name))
    sheet.set_y(top + (up - low) * scale + 6)
    bar = 3.048 if read.system == "us" else 3.0
    sheet.set_line_width(0.5)
    sheet.line(MARGIN + 10, sheet.y, MARGIN + 10 + bar * scale, sheet.y)
    label(sheet, MARGIN + 12 + bar * scale, sheet.y + 1, "10 ft" if read.system == "us" else "3 m")
    sheet.set_line_width(0.2)
    sheet.gap(4)
    return True
