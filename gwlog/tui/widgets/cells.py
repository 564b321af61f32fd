"""Words in terminal cells: cleaned, cut and padded to columns, and put on the screen without any markup.

Wide signs take two cells, so lengths are counted in cells and never in characters.
"""

from __future__ import annotations

from textwrap import wrap

from rich.cells import cell_len, set_cell_size
from textual.content import Content

from gwlog import text


def fit(words: str, width: int) -> str:
    """One cleaned line of exactly `width` cells: padded, or cut with an ellipsis."""
    line = text.one_line(words)
    if width < 1:
        return ""
    return set_cell_size(line, width) if cell_len(line) <= width else set_cell_size(line, width - 1) + "…"


def right(words: str, width: int) -> str:
    """As `fit`, with the words at the right end."""
    line = text.one_line(words)
    return " " * (width - cell_len(line)) + line if cell_len(line) <= width else fit(line, width)


def plain(words: str, style: str = "") -> Content:
    """Cleaned words of any number of lines; nothing in them is read as markup."""
    return Content.styled(text.clean(words).expandtabs(4), style) if style else Content(text.clean(words).expandtabs(4))


def labelled(label: str, words: str, width: int) -> Content:
    """A dim label and words beside it, wrapped so that further rows stand under the words."""
    rows = wrap(text.one_line(words), max(20, width - 10), break_on_hyphens=False) or [""]
    return Content.assemble((f"{label:<10}", "dim"), plain(("\n" + " " * 10).join(rows)))


def stacked(lines: list[Content]) -> Content:
    """Contents under one another."""
    return Content("\n").join(lines)


REFUSED = "✗"
"""Stands before what is refused or wrong."""

_TONES = {REFUSED: "$text-error", "check:": "$text-warning"}


def marked(mark: str, words: str) -> Content:
    """Words after a mark that says what they are: “+”, “✓”, “mind:”, “Will log:” ..."""
    return Content.assemble((f"{mark} ", f"bold {_TONES.get(mark, '$text-success')}"), plain(words))


def refusal(words: str) -> Content:
    """Why something cannot be."""
    return marked(REFUSED, words)


def heading(words: str) -> Content:
    """A title over lines; one that begins with the mark of what is wrong stands out."""
    return plain(words, f"bold {_TONES[REFUSED] if words.startswith(REFUSED) else '$primary'}")
