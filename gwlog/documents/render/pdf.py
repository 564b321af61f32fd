"""The document on paper: its blocks as plain data for the template, which sets them on pages.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC
from pathlib import Path
from typing import Any

from gwlog.documents.render import chart, faces
from gwlog.documents.render.blocks import (
    Blanks,
    Block,
    Chart,
    Column,
    Document,
    Heading,
    PageBreak,
    Para,
    Picture,
    Points,
    Signatures,
    Sourced,
    Table,
    Words,
    neat,
    said,
    source_of,
)
from gwlog.documents.render.columns import PAD, SIZE, folded, parts
from gwlog.documents.render.typeset import PAPERS, paper_for, typeset
from gwlog.errors import BadInput

TEMPLATE = Path(__file__).with_name("document.typ")
MARGIN = 18.0 * 72 / 25.4
WIDTHS = {"letter": 612.0, "a4": 595.28}
"""The papers' widths [pt]."""
BODY = 10.0
MOST_CELLS = 20_000
"""The typesetter takes some 15 kB of memory for a cell of a table."""

_LONG = 1_500
"""A row with a cell of more signs than this is parted over pages; all others stay whole."""

_FEW = 8
"""A table of no more rows than this, and of no more signs than _LONG, stands on one page."""


def pdf(document: Document, paper: str | None = None, font: Path | None = None) -> bytes:
    """Return the file's bytes. `paper`: letter or a4, else what the household's units suggest; `font`: a file of one's
    own, asked for the signs that the shipped face lacks. Raises BadInput, also for tables of hundreds of pages.
    """
    cells = sum(len(block.rows) * len(block.columns) for block in document.blocks if isinstance(block, Table))
    if cells > MOST_CELLS:
        raise BadInput(f"“{document.title}” would be a paper of {cells:,} table cells; up to {MOST_CELLS:,} are set as "
                       "PDF.", hint="Choose a shorter period, or a name that ends in .html or .csv.")
    return _Set(document, paper_for(document.system, paper), font).bytes()


def every_word(document: Document) -> Iterator[str]:
    """All words of a document that are printed, for the choice of fonts."""
    yield from (document.title, document.subtitle, document.foot)
    for block in document.blocks:
        if isinstance(block, Heading):
            yield block.words
        elif isinstance(block, Para):
            yield from (said(block.words), source_of(block.words))
        elif isinstance(block, Points):
            for words in block.words:
                yield from (said(words), source_of(words))
        elif isinstance(block, Table):
            yield from (block.caption, block.empty, *(column.title for column in block.columns))
            for row in block.rows:
                for cell in row:
                    if isinstance(cell, str | Sourced):
                        yield from (said(cell), source_of(cell))
        elif isinstance(block, Chart):
            yield from (block.title, *block.labels)
        elif isinstance(block, Picture):
            yield from (block.svg, block.words, block.caption)
        elif isinstance(block, Blanks | Signatures):
            yield from block.names


class _Set:
    def __init__(self, document: Document, paper: str, font: Path | None) -> None:
        self.document, self.paper = document, paper
        self.room = WIDTHS[paper] - 2 * MARGIN
        self.fonts = faces.chosen(every_word(document), font)
        self.known: dict[str, str] = {}
        self.notes = 0

    def bytes(self) -> bytes:
        document = self.document
        made = document.made_at.astimezone(UTC)
        return typeset(TEMPLATE, {
            "title": self.shown(document.title), "subtitle": self.shown(document.subtitle),
            "foot": self.shown(document.foot), "lang": document.lang, "mark": document.mark,
            "compact": document.compact,
            "paper": PAPERS[self.paper], "families": self.fonts.families,
            "made": [made.year, made.month, made.day, made.hour, made.minute, made.second],
            "blocks": [self.block(block) for block in document.blocks],
        }, fonts=self.fonts.files)

    def shown(self, words: str, room: float | None = None, size: float = BODY, *, bold: bool = False) -> str:
        return folded(self.fonts.shown(neat(words)), room or self.room, size, bold=bold)

    def words(self, words: Words, room: float | None = None, size: float = BODY, *,
              bold: bool = False) -> str | dict[str, Any]:
        plain = self.shown(said(words), room, size, bold=bold)
        if not isinstance(words, Sourced):
            return plain
        source = self.shown(words.source, size=SIZE)
        if (key := self.known.get(source)) is not None:
            return {"words": plain, "note": None, "key": key}
        self.notes += 1
        self.known[source] = key = f"source {self.notes}"
        return {"words": plain, "note": source, "key": key}

    def block(self, block: Block) -> dict[str, Any]:
        if isinstance(block, Heading):
            if block.level == 1:
                self.known = {}   # each chapter brings its sources anew, so that nobody has to turn back far
            return {"kind": "heading", "level": block.level, "words": self.shown(block.words, size=13, bold=True)}
        if isinstance(block, Para):
            return {"kind": "para", "strong": block.strong,
                    "words": self.words(block.words, self.room - 14, bold=block.strong)}
        if isinstance(block, Points):
            return {"kind": "points", "numbered": block.numbered,
                    "words": [self.words(words, self.room - 24) for words in block.words]}
        if isinstance(block, Chart):
            return self.picture(chart.drawn(self.document, block), chart.spoken(self.document, block),
                                chart.heading(self.document, block), chart.caption(self.document, block))
        if isinstance(block, Picture):
            return self.picture(block.svg, block.words, "", block.caption, block.width_share)
        if isinstance(block, Blanks | Signatures):
            return {"kind": "blanks" if isinstance(block, Blanks) else "signatures",
                    "names": [self.shown(name, self.room * 0.32) for name in block.names]}
        if isinstance(block, PageBreak):
            return {"kind": "break"}
        return self.table(block)

    def picture(self, svg: str, alt: str, title: str, caption: str, share: float = 1.0) -> dict[str, Any]:
        return {"kind": "picture", "svg": self.fonts.shown(svg), "alt": self.fonts.shown(neat(alt)), "share": share,
                "title": self.shown(title, bold=True), "caption": self.shown(caption, size=SIZE)}

    def table(self, table: Table) -> dict[str, Any]:
        if not table.rows:
            return {"kind": "para", "strong": False, "words": self.words(table.empty)}
        return {"kind": "table", "pad": PAD, "caption": self.shown(table.caption, bold=True),
                "parts": [self.part(table, part.columns, part.widths)
                          for part in parts(self.document, table, self.room)]}

    def part(self, table: Table, numbers: tuple[int, ...], widths: tuple[float, ...]) -> dict[str, Any]:
        columns = [table.columns[number] for number in numbers]
        rooms = [width - 2 * PAD for width in widths]
        titles = [self.shown(column.head(self.document.system), room, SIZE, bold=True)
                  for column, room in zip(columns, rooms, strict=True)] if table.headed else None
        rows: list[Any] = []
        signs = 0
        for row in table.rows:
            cells = [self.cell(column, row[number], room)
                     for number, column, room in zip(numbers, columns, rooms, strict=True)]
            signs += sum(len(cell if isinstance(cell, str) else cell["words"]) for cell in cells)
            long = any(len(cell if isinstance(cell, str) else cell["words"]) > _LONG for cell in cells)
            rows.append({"long": cells} if long else cells)
        return {"widths": [round(width, 2) for width in widths], "right": [column.right for column in columns],
                "titles": titles, "rows": rows, "whole": len(rows) <= _FEW and signs <= _LONG}

    def cell(self, column: Column, cell: Any, room: float) -> str | dict[str, Any]:
        if isinstance(cell, Sourced):
            return self.words(cell, room, SIZE)
        return self.shown(self.document.under(column, cell), room, SIZE)
