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
class _CellStyle:
    """Colours of a stretch of cells as “#rrggbb”; `background` None where it is the screen's own."""

    foreground: str
    background: str | None
    bold: bool
    underlined: bool


def picture(rows: Sequence[Sequence[Segment]], width: int, title: str, background: str, foreground: str) -> str:
    """Draw rows of segments, `width` cells each. `background`, `foreground`: the screen's own colours as “#rrggbb”."""
    wide, high = width * CELL_WIDTH + 2 * MARGIN, len(rows) * CELL_HEIGHT + 2 * MARGIN
    backgrounds: list[str] = []
    texts: list[str] = []
    classes: dict[_CellStyle, str] = {}
    for number, row in enumerate(rows):
        top = MARGIN + number * CELL_HEIGHT
        at = 0
        for words, shown in _runs(row, background, foreground):
            cells = cell_len(words)
            left = MARGIN + at * CELL_WIDTH
            if shown.background is not None:
                backgrounds.append(f'<rect x="{left:.1f}" y="{top}" width="{cells * CELL_WIDTH:.1f}" '
                               f'height="{CELL_HEIGHT}" fill="{shown.background}"/>')
            for found in WORDS.finditer(words):
                name = classes.setdefault(shown, f"k{len(classes)}")
                x = left + cell_len(words[:found.start()]) * CELL_WIDTH
                texts.append(f'<text class="{name}" x="{x:.1f}" y="{top + BASELINE}" textLength="'
                             f'{cell_len(found[0]) * CELL_WIDTH:.1f}">{escape(found[0], quote=False)}</text>')
            at += cells
    styles = "".join(
        f".{name}{{fill:{shown.foreground}{';font-weight:bold' if shown.bold else ''}"
        f"{';text-decoration:underline' if shown.underlined else ''}}}" for shown, name in classes.items())
    return "\n".join([
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide:.0f} {high}" width="{wide:.0f}" height="{high}" '
        f'role="img"><title>{escape(title)}</title>',
        f"<style>text{{font:14px {FONTS}}}{styles}</style>",
        f'<rect width="100%" height="100%" rx="6" fill="{background}"/>', *backgrounds, *texts, "</svg>", ""])


def _runs(row: Sequence[Segment], background: str, foreground: str) -> list[tuple[str, _CellStyle]]:
    """The row's words, joined where they look alike."""
    runs: list[tuple[str, _CellStyle]] = []
    for segment in row:
        shown = _cell_style(segment.style or Style(), background, foreground)
        if runs and runs[-1][1] == shown:
            runs[-1] = (runs[-1][0] + segment.text, shown)
        else:
            runs.append((segment.text, shown))
    return runs


def _cell_style(style: Style, background: str, foreground: str) -> _CellStyle:
    front, back = _hex(style.color, foreground), _hex(style.bgcolor, background)
    if style.reverse:
        front, back = back, front
    if style.dim:
        front = _mixed(front, back)
    return _CellStyle(front, None if back == background else back, bool(style.bold), bool(style.underline))


def _hex(colour: Color | None, otherwise: str) -> str:
    return otherwise if colour is None or colour.is_default else colour.get_truecolor().hex


def _mixed(front: str, back: str) -> str:
    parts = [(int(front[at:at + 2], 16), int(back[at:at + 2], 16)) for at in (1, 3, 5)]
    return "#" + "".join(f"{round(a * FAINT + b * (1 - FAINT)):02x}" for a, b in parts)
