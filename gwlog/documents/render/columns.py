"""The widths of a table's columns on paper [pt]: no word is broken, and a table that is too wide becomes several.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from gwlog.documents.render.blocks import Document, Sourced, Table
from gwlog.documents.render.faces import Widths, widths

SIZE = 9.0
PAD = 3.0
MARK = 2.4
"""The room that the mark of a footnote takes behind a word [em]."""
_SHORT = 80.0
"""A head that is not wider than this [pt] stands on one line where there is space."""
_ROOMY = 96.0
"""A column of sentences is not narrower than this [pt] where there is space."""


@dataclass(frozen=True, slots=True)
class Part:
    """What of a table stands side by side: numbers of the columns, and their widths [pt]."""

    columns: tuple[int, ...]
    widths: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class _Needs:
    """What a column needs: `least`: no word broken; `headed`: a short title on one line, too; `roomy`: comfortable to
    read; `natural`: each cell on one line.
    """

    least: float
    headed: float
    roomy: float
    natural: float
    share: float


def parts(document: Document, table: Table, room: float) -> list[Part]:
    """The table's columns in as many parts as it takes, each within `room` [pt].

    The first column stands in each of them, since it says what a row is about. A single word that is wider than a
    third of the room does not part a table; it is parted itself.
    """
    needs = [_needs(document, table, number) for number in range(len(table.columns))]
    groups = _groups(needs, room, room)
    if len(groups) > 1:
        # As few parts as it takes, and about as wide as each other.
        groups = next(evener for step in range(1, 21)
                      if len(evener := _groups(needs, room * step / 20, room)) == len(groups))
    return [Part(tuple(group), tuple(_dealt([needs[number] for number in group], room))) for group in groups]


def _groups(needs: Sequence[_Needs], most: float, room: float) -> list[list[int]]:
    groups: list[list[int]] = [[]]
    used = 0.0
    for number, need in enumerate(needs):
        wanted = min(need.least, room / 3)
        if len(groups[-1]) > (len(groups) > 1) and used + wanted > most + 0.01:
            groups.append([0])
            used = min(needs[0].least, room / 3)
        groups[-1].append(number)
        used += wanted
    return groups


def _needs(document: Document, table: Table, number: int) -> _Needs:
    column = table.columns[number]
    plain, bold = widths(), widths(bold=True)
    head = column.head(document.system)
    title = SIZE * bold.of(head)
    least = SIZE * max((bold.of(word) for word in head.split()), default=0.0)
    natural = 0.0
    for cell in {row[number] for row in table.rows}:
        mark = MARK if isinstance(cell, Sourced) else 0.0
        shown = document.under(column, cell)
        whole = SIZE * (plain.of(shown) + mark)
        natural = max(natural, whole)
        if isinstance(cell, str | Sourced):
            least = max(least, SIZE * (_longest(plain, shown) + mark))
        else:
            least = max(least, whole)   # a figure, a day or a moment stands on one line
    edge = 2 * PAD + 0.5
    headed = max(least, title if title <= _SHORT else 0.0) + edge
    natural = max(natural + edge, headed, title * 0.6 + edge)
    return _Needs(least + edge, headed, min(natural, max(headed, _ROOMY)), natural, column.share)


def _longest(face: Widths, words: str) -> float:
    return max((face.of(word) for word in words.split(" ")), default=0.0)


def _dealt(needs: Sequence[_Needs], room: float) -> list[float]:
    """Widths that fill the room: one level of need after the other, the last one that is begun by the columns' shares.

    Where even single words do not fit, the widest columns give way.
    """
    given = [need.least for need in needs]
    if sum(given) > room:
        return _narrowed(given, room)
    for level in ("headed", "roomy", "natural"):
        wanted = [getattr(need, level) for need in needs]
        if sum(wanted) > room:
            return _shared(given, wanted, [need.share for need in needs], room)
        given = wanted
    total = sum(given)
    return [width * room / total for width in given]


def _shared(given: Sequence[float], wanted: Sequence[float], shares: Sequence[float], room: float) -> list[float]:
    """What is left of the room dealt out by shares, to none more than is wanted."""
    widths = list(given)
    left = room - sum(widths)
    wanting = {number for number, width in enumerate(widths) if wanted[number] > width}
    while wanting and left > 0.01:
        total, dealt = sum(shares[number] for number in wanting), left
        for number in sorted(wanting):
            more = min(dealt * shares[number] / total, wanted[number] - widths[number])
            widths[number] += more
            left -= more
        wanting = {number for number in wanting if wanted[number] > widths[number] + 0.01}
    return widths


def _narrowed(given: list[float], room: float) -> list[float]:
    """The widest columns cut to one width so that all fit."""
    rest, count = room, len(given)
    for width in sorted(given):
        if width * count > rest:
            break
        rest -= width
        count -= 1
    most = rest / max(1, count)
    return [min(width, most) for width in given]


def folded(words: str, room: float, size: float = SIZE, *, bold: bool = False) -> str:
    """Words in which a single one that is wider than `room` [pt] is parted into lines; all others stay whole."""
    face = widths(bold=bold)
    if size * face.of(words) <= room:
        return words
    return " ".join(_cut(face, word, room / size) if size * face.of(word) > room else word
                    for word in words.split(" "))


def _cut(face: Widths, word: str, room: float) -> str:
    lines, line, used = [], "", 0.0
    for sign in word:
        wide = face.of(sign)
        if line and used + wide > room:
            lines.append(line)
            line, used = "", 0.0
        line += sign
        used += wide
    return "\n".join((*lines, line))

