"""A pen for drawings in SVG: lines, boxes and words, black on white and the other way round in the dark.

A unit is a point where the drawing takes the whole width of a Letter page; letters have 9.5 of them.
"""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from itertools import pairwise
from math import hypot

from gwlog.documents.render.blocks import neat
from gwlog.documents.render.chart import FACE, INK, SIZE, WIDE
from gwlog.documents.render.columns import folded
from gwlog.documents.render.faces import widths

LEAD = 12.0
Point = tuple[float, float]

__all__ = ["LEAD", "SIZE", "WIDE", "Pen", "lines_of"]


def lines_of(words: str, wide: float, *, bold: bool = False) -> tuple[str, ...]:
    """Words folded to a width; a word stays whole unless it alone is wider."""
    face = widths(bold=bold)
    lines: list[str] = []
    for word in folded(neat(words), wide, SIZE, bold=bold).replace("\n", " ").split(" "):
        if lines and SIZE * face.of(f"{lines[-1]} {word}") <= wide:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return tuple(lines)


class Pen:
    """Collects what is drawn."""

    def __init__(self) -> None:
        self._shapes: list[str] = []

    def svg(self, high: float, wide: float = WIDE) -> str:
        """The drawing."""
        return (f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide:g} {high:.1f}" {FACE} '
                f'font-size="{SIZE:g}" stroke-linejoin="round">{"".join(self._shapes)}</svg>')

    def path(self, data: str, *, thick: float = 1.2, dashed: bool = False, filled: bool = False) -> None:
        """A path; `filled` with ink."""
        dash = ' stroke-dasharray="3.4 2.8"' if dashed else ""
        self._shapes.append(f'<path d="{data}" fill="{INK if filled else "none"}" stroke="{INK}" '
                            f'stroke-width="{thick:g}"{dash}/>')

    def circle(self, x: float, y: float, radius: float, *, thick: float = 1.2) -> None:
        """A circle."""
        self._shapes.append(f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius:.1f}" fill="none" stroke="{INK}" '
                            f'stroke-width="{thick:g}"/>')

    def words(self, x: float, y: float, words: str, *, bold: bool = False, anchor: str = "start") -> None:
        """Words on one line, the baseline at `y`; `anchor`: start, middle or end."""
        weight = ' font-weight="bold"' if bold else ""
        self._shapes.append(f'<text x="{x:.1f}" y="{y:.1f}" fill="{INK}" text-anchor="{anchor}"{weight}>'
                            f"{escape(neat(words))}</text>")

    def box(self, x: float, y: float, wide: float, high: float, lines: Sequence[tuple[str, bool]], *,
            rounded: float = 0.0) -> None:
        """A box with lines of words in its middle: (words, bold)."""
        self._shapes.append(f'<rect x="{x:.1f}" y="{y:.1f}" width="{wide:.1f}" height="{high:.1f}" rx="{rounded:g}" '
                            f'fill="none" stroke="{INK}" stroke-width="1.1"/>')
        top = y + (high - LEAD * len(lines)) / 2
        for number, (words, bold) in enumerate(lines):
            self.words(x + wide / 2, top + LEAD * (number + 0.78), words, bold=bold, anchor="middle")

    def arrow(self, points: Sequence[Point], *, dashed: bool = False, tip: bool = True) -> None:
        """A line through points; at its end a filled tip in the direction of the last stretch."""
        start, *others = points
        data = f"M{start[0]:.1f} {start[1]:.1f}" + "".join(f"L{x:.1f} {y:.1f}" for x, y in others)
        self.path(data, thick=0.7 if dashed else 1.4, dashed=dashed)
        if tip:
            (x1, y1), (x2, y2) = list(pairwise(points))[-1]
            long = hypot(x2 - x1, y2 - y1) or 1.0
            ux, uy = 6 * (x2 - x1) / long, 6 * (y2 - y1) / long
            self.path(f"M{x2:.1f} {y2:.1f}L{x2 - ux - uy / 2:.1f} {y2 - uy + ux / 2:.1f}"
                      f"L{x2 - ux + uy / 2:.1f} {y2 - uy - ux / 2:.1f}Z", thick=0.2, filled=True)
