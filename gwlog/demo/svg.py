"""A terminal screen as an SVG picture: one text for each stretch of cells that look alike.

Written out here so that a picture holds nothing but the screen: no window, no font or address from elsewhere.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

from rich.cells import cell_len
from rich.color import Color
from rich.segment import Segment
from rich.style import Style

CELL_WIDTH, CELL_HEIGHT, BASELINE, MARGIN = 8.4, 18, 13.5, 12
FONTS = "ui-monospace, 'DejaVu Sans Mono', 'Liberation Mono', monospace"
WORDS = re.compile(r"\S+(?: \S+)*")
"""Stretches to draw by themselves: viewers make one blank of several, so each stands at its own place."""

FAINT = 0.55
"""How much of the text's own colour is left of it where it is faint."""


@dataclass(frozen=True, slots=True)
class _Look:
    """Colours of a stretch of cells as “#rrggbb”; `ground` None where it is the screen's own."""

    ink: str
    ground: str | None
    bold: bool
    underlined: bool


def picture(rows: Sequence[Sequence[Segment]], width: int, title: str, ground: str, ink: str) -> str:
    """Draw rows of segments, `width` cells each. `ground`, `ink`: the screen's own colours as “#rrggbb”."""
    wide, high = width * CELL_WIDTH + 2 * MARGIN, len(rows) * CELL_HEIGHT + 2 * MARGIN
    grounds: list[str] = []
    texts: list[str] = []
    inks: dict[_Look, str] = {}
    for number, row in enumerate(rows):
        top = MARGIN + number * CELL_HEIGHT
        at = 0
        for words, look in _runs(row, ground, ink):
            cells = cell_len(words)
            left = MARGIN + at * CELL_WIDTH
            if look.ground is not None:
                grounds.append(f'<rect x="{left:.1f}" y="{top}" width="{cells * CELL_WIDTH:.1f}" '
                               f'height="{CELL_HEIGHT}" fill="{look.ground}"/>')
            for found in WORDS.finditer(words):
                name = inks.setdefault(look, f"k{len(inks)}")
                x = left + cell_len(words[:found.start()]) * CELL_WIDTH
                texts.append(f'<text class="{name}" x="{x:.1f}" y="{top + BASELINE}" textLength="'
                             f'{cell_len(found[0]) * CELL_WIDTH:.1f}">{escape(found[0], quote=False)}</text>')
            at += cells
    styles = "".join(
        f".{name}{{fill:{look.ink}{';font-weight:bold' if look.bold else ''}"
        f"{';text-decoration:underline' if look.underlined else ''}}}" for look, name in inks.items())
    return "\n".join([
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide:.0f} {high}" width="{wide:.0f}" height="{high}" '
        f'role="img"><title>{escape(title)}</title>',
        f"<style>text{{font:14px {FONTS}}}{styles}</style>",
        f'<rect width="100%" height="100%" rx="6" fill="{ground}"/>', *grounds, *texts, "</svg>", ""])


def _runs(row: Sequence[Segment], ground: str, ink: str) -> list[tuple[str, _Look]]:
    """The row's words, joined where they look alike."""
    runs: list[tuple[str, _Look]] = []
    for segment in row:
        look = _look(segment.style or Style(), ground, ink)
        if runs and runs[-1][1] == look:
            runs[-1] = (runs[-1][0] + segment.text, look)
        else:
            runs.append((segment.text, look))
    return runs


def _look(style: Style, ground: str, ink: str) -> _Look:
    front, back = _hex(style.color, ink), _hex(style.bgcolor, ground)
    if style.reverse:
        front, back = back, front
    if style.dim:
        front = _mixed(front, back)
    return _Look(front, None if back == ground else back, bool(style.bold), bool(style.underline))


def _hex(colour: Color | None, otherwise: str) -> str:
    return otherwise if colour is None or colour.is_default else colour.get_truecolor().hex


def _mixed(front: str, back: str) -> str:
    parts = [(int(front[at:at + 2], 16), int(back[at:at + 2], 16)) for at in (1, 3, 5)]
    return "#" + "".join(f"{round(a * FAINT + b * (1 - FAINT)):02x}" for a, b in parts)
