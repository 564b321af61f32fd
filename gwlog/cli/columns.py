"""Tables that fit the terminal: columns that fold at words, headings too, or one block of lines for each row.

Pure; nothing is cut: a table that does not fit even folded is told row by row, each cell behind its heading.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence

from gwlog.text import TOGETHER

GAP, TIGHT = 2, 1
LONGEST_WORD = 28
"""A word longer than this may be parted in a column, like an address of a page."""
NARROWEST_BESIDE = 40
"""Below this width a table of more than two columns is told row by row."""

_BREAKS = re.compile(r"(?<=[^\W\d]/)(?=[^\W\d])")
"""A word may be parted behind a stroke, like “need/week”."""


def lines(head: Sequence[str], rows: Sequence[Sequence[str]], width: int, right: Sequence[int] = ()) -> list[str]:
    """The table in lines of at most `width` terminal columns. `right`: columns set to the right, never folded."""
    columns = list(range(len(head)))
    natural = [max(cell_width(row[one]) for row in (head, *rows)) for one in columns]
    if _taken(natural) > width:   # what holds nothing gives its room away
        columns = [one for one in columns if any(row[one] for row in rows)] or columns
    least = [max([_longest_word(head[one]), *(cell_width(row[one]) if one in right else _longest_word(row[one])
                                              for row in rows)]) for one in columns]
    widths = [natural[one] if one not in right else max([least[place], *(cell_width(row[one]) for row in rows)])
              for place, one in enumerate(columns)]
    if width < NARROWEST_BESIDE and len(columns) > 2 and _taken(natural) > width:
        return _row_by_row(head, rows, width)
    gap = GAP if _taken(least) <= width else TIGHT
    if _taken(widths, gap) > width:
        widths = _shrunk(widths, least, width, gap)
    if not widths:
        return _row_by_row(head, rows, width)
    made = _beside([head[one] for one in columns], widths, right, columns, gap, foot=True)
    made.append((" " * gap).join("─" * one for one in widths))
    for row in rows:
        made += _beside([row[one] for one in columns], widths, right, columns, gap)
    return made


def _taken(widths: Sequence[int], gap: int = GAP) -> int:
    return sum(widths) + gap * (len(widths) - 1)


def _shrunk(widths: list[int], least: Sequence[int], width: int, gap: int) -> list[int]:
    """Narrower columns, the widest first, none below its longest word; empty where that is too wide."""
    if _taken(least, gap) > width:
        return []
    widths = list(widths)
    while _taken(widths, gap) > width:
        at = max((one for one in range(len(widths)) if widths[one] > least[one]), key=lambda one: widths[one])
        widths[at] -= 1
    return widths


def _beside(cells: Sequence[str], widths: Sequence[int], right: Sequence[int], columns: Sequence[int],
            gap: int, *, foot: bool = False) -> list[str]:
    """One row, its cells folded. `foot`: what is shorter stands at the bottom, as headings do."""
    folded = [fold(cell, width) for cell, width in zip(cells, widths, strict=True)]
    height = max(len(one) for one in folded)
    made = []
    for number in range(height):
        parts = []
        for column, one, width in zip(columns, folded, widths, strict=True):
            at = number - (height - len(one)) if foot else number
            words = one[at] if 0 <= at < len(one) else ""
            room = " " * (width - cell_width(words))
            parts.append(room + words if column in right else words + room)
        made.append((" " * gap).join(parts).rstrip())
    return made


def _row_by_row(head: Sequence[str], rows: Sequence[Sequence[str]], width: int) -> list[str]:
    """Each row as a block: its first cell, and the others below it behind their headings."""
    made: list[str] = []
    for row in rows:
        made += [""] if made else []
        made += fold(row[0], width)
        for name, cell in zip(head[1:], row[1:], strict=True):
            if cell:
                first, *more = fold(f"{name}: {cell}" if name else cell, max(8, width - GAP))
                made += [" " * GAP + first]
                made += [" " * GAP + one for one in more]
    return made or fold(", ".join(one for one in head if one), width)


def fold(words: str, width: int) -> list[str]:
    """Words in lines of at most `width` columns, a figure beside its unit; a longer word is parted."""
    made: list[str] = []
    line = ""
    for word, apart in _words(words):
        longer = f"{line}{apart}{word}" if line else word
        if cell_width(longer) <= width:
            line = longer
            continue
        if line:
            made.append(line)
        while cell_width(word) > width:
            count = _fitting(word, width)
            made.append(word[:count])
            word = word[count:]
        line = word
    return [one.replace("\N{NO-BREAK SPACE}", " ") for one in (*made, line)]


def folded(line: str, width: int) -> list[str]:
    """A line of text within so many columns; what is folded stands two columns further in than its beginning."""
    if cell_width(line) <= width:
        return [line]
    lead = " " * min(len(line) - len(line.lstrip()), width // 2)
    first, *more = fold(line.strip(), max(8, width - len(lead)))
    rest = fold(line.strip()[len(first):].strip(), max(8, width - len(lead) - GAP)) if more else []
    return [lead + first, *(" " * GAP + lead + one for one in rest)]


def _fitting(word: str, width: int) -> int:
    """How many signs of a word fit; one at the least."""
    count = 1
    while count < len(word) and cell_width(word[:count + 1]) <= width:
        count += 1
    return count


def _longest_word(words: str) -> int:
    return max((2 if _wide(part) else min(cell_width(part), LONGEST_WORD) for part, _ in _words(words)), default=0)


def _words(words: str) -> list[tuple[str, str]]:
    """What may stand on lines of its own, and what is between it and what is before it."""
    parts = []
    for word in TOGETHER.sub("\N{NO-BREAK SPACE}", words).split(" "):
        for number, part in enumerate(_BREAKS.split(word)):
            parts.append((part, "" if number else " "))
    return parts


def _wide(word: str) -> bool:
    """Whether a word is of a script that is written without spaces, and may be parted anywhere."""
    return not word.isascii() and any(unicodedata.east_asian_width(sign) in "WF" for sign in word)


def cell_width(words: str) -> int:
    """Terminal columns that words take: wide East Asian signs count two, marks on other signs none."""
    if words.isascii():
        return len(words)
    return sum(0 if unicodedata.category(sign) in ("Mn", "Me", "Cf") else
               2 if unicodedata.east_asian_width(sign) in "WF" else 1 for sign in words)
