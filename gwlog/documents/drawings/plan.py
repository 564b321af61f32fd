"""Draws the basins from above where the setup says where they lie, and the sheet to sketch them on where it does not.
"""

from __future__ import annotations

from math import pi, sqrt
from typing import TYPE_CHECKING

from gwlog.documents.drawings.pen import SIZE, WIDE, Pen
from gwlog.documents.render.blocks import Picture
from gwlog.documents.render.faces import widths
from gwlog.text import listed

if TYPE_CHECKING:
    from gwlog.state import State

MOST_HEIGHT = 190.0
EDGE = 30.0


def plan_view(state: State) -> Picture | None:
    """The basins as circles of their area, with a scale; None where fewer than two have a place."""
    placed = [(basin.name, basin.at_x_mm / 1000, basin.at_y_mm / 1000, sqrt(basin.area_cm2 / 1e4 / pi))
              for basin in state.active_basins().values() if basin.at_x_mm is not None and basin.at_y_mm is not None]
    if len(placed) < 2:
        return None
    feet = state.site is None or state.site.units != "metric"
    left, right = min(x - r for _, x, _, r in placed), max(x + r for _, x, _, r in placed)
    low, up = min(y - r for _, _, y, r in placed), max(y + r for _, _, y, r in placed)
    scale = min((WIDE - 2 * EDGE) / max(0.1, right - left), MOST_HEIGHT / max(0.1, up - low))
    pen, top = Pen(), 6.0
    for name, x, y, radius in placed:
        at_x, at_y = EDGE + (x - left) * scale, top + (up - y) * scale
        pen.circle(at_x, at_y, radius * scale)
        half = SIZE * widths(bold=True).of(name) / 2
        pen.words(min(max(half, at_x), WIDE - half), at_y + radius * scale + 10, name, bold=True, anchor="middle")
    end = top + (up - low) * scale + 26
    bar, words = (3.048, "10 ft") if feet else (3.0, "3 m")
    pen.path(f"M{EDGE} {end:.1f}h{bar * scale:.1f}m0 -3v6M{EDGE} {end - 3:.1f}v6", thick=1.4)
    pen.words(EDGE + bar * scale + 6, end + 3, words)
    return Picture(pen.svg(end + 8), f"Plan of the basins from above: {listed([name for name, *_ in placed])}.")


def sheet_to_sketch_on() -> Picture:
    """An empty frame."""
    pen = Pen()
    pen.path(f"M.6 .6H{WIDE - 0.6}V179.4H.6Z", thick=1.0)
    return Picture(pen.svg(180), "An empty frame for a sketch by hand.")
