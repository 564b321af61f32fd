"""The document as one HTML file: no scripts, nothing from outside, everything that people wrote as text.

Landmarks (header, contents, main, footer), headings in order, tables with captions; what scrolls sideways can be
reached by the keyboard (WCAG 2.2, success criteria 1.3.1, 1.4.10, 2.1.1).
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from functools import lru_cache
from html import escape

from gwlog.documents.render import chart
from gwlog.documents.render.blocks import (
    Blanks,
    Block,
    Chart,
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
)
from gwlog.documents.render.html_style import POLICY, STYLE

LONG = 6
"""A document with more chapters than this gets a table of contents."""


def html(document: Document) -> str:
    """Return the whole page."""
    return _Page(document).written()


@lru_cache(maxsize=20_000)
def _text(words: str) -> str:
    return escape(neat(words))


class _Page:
    def __init__(self, document: Document) -> None:
        self.document = document
        self.sources: dict[str, int] = {}
        self.chapters: list[tuple[str, str]] = []
        self.about = document.title
        """What the present part of the page is about: its last heading."""
        self.regions: dict[str, int] = {}

    def written(self) -> str:
        document = self.document
        body = "\n".join(part for block in document.blocks for part in self._block(block))
        title, under, foot = (_text(words) for words in (document.title, document.subtitle, document.foot))
        return f"""<!DOCTYPE html>
<html lang="{escape(document.lang)}">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="{escape(POLICY)}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="keywords" content="{escape(document.mark)}">
<title>{title}</title>
<style>
{STYLE}
</style>
</head>
<body>
<header>
<h1>{title}</h1>
<p class="under">{under}</p>
</header>
{self._contents()}<main>
{body}
{self._sources()}</main>
<footer>{foot}</footer>
</body>
</html>
"""

    def _contents(self) -> str:
        if len(self.chapters) <= LONG:
            return ""
        lines = "".join(f'<li><a href="#{anchor}">{_text(words)}</a></li>' for anchor, words in self.chapters)
        return f'<nav aria-label="Contents"><ul>{lines}</ul></nav>\n'

    def _sources(self) -> str:
        if not self.sources:
            return ""
        lines = "".join(f'<li id="source{number}">{_text(words)}</li>' for words, number in self.sources.items())
        return f'<h2 id="sources">Sources</h2>\n<ol>{lines}</ol>\n'

    def _words(self, words: Words) -> str:
        if not isinstance(words, Sourced):
            return _text(words)
        number = self.sources.setdefault(neat(words.source), len(self.sources) + 1)
        return (f'{_text(words.words)}<sup><a href="#source{number}" aria-label="source {number}">'
                f"[{number}]</a></sup>")

    def _block(self, block: Block) -> Iterator[str]:
        if isinstance(block, Heading):
            self.about = neat(block.words)
            anchor = ""
            if block.level == 1:
                name = f"part{len(self.chapters) + 1}"
                self.chapters.append((name, block.words))
                anchor = f' id="{name}"'
            yield f"<h{block.level + 1}{anchor}>{_text(block.words)}</h{block.level + 1}>"
        elif isinstance(block, Para):
            strong = ' class="strong"' if block.strong else ""
            yield f"<p{strong}>{self._words(block.words)}</p>"
        elif isinstance(block, Points):
            kind = "ol" if block.numbered else "ul"
            yield f"<{kind}>" + "".join(f"<li>{self._words(words)}</li>" for words in block.words) + f"</{kind}>"
        elif isinstance(block, Chart):
            yield from self._figure(chart.drawn(self.document, block), chart.spoken(self.document, block),
                                    chart.heading(self.document, block), chart.caption(self.document, block))
        elif isinstance(block, Picture):
            yield from self._figure(block.svg, block.words, "", block.caption, block.width_share)
        elif isinstance(block, Table):
            yield from self._table(block)
        elif isinstance(block, PageBreak):
            yield '<div class="newpage"></div>'
        else:
            yield from _lines(block)

    def _region(self, about: str) -> str:
        """The beginning of a part that may scroll sideways; each has a name of its own."""
        count = self.regions[about] = self.regions.get(about, 0) + 1
        name = about if count == 1 else f"{about}, {count}"
        return f'<div class="wide" role="region" tabindex="0" aria-label="{_text(name)}">'

    def _table(self, table: Table) -> Iterator[str]:
        if not table.rows:
            yield f"<p>{_text(table.empty)}</p>"
            return
        document, columns = self.document, table.columns
        right = [' class="right"' if column.right else "" for column in columns]
        named = table.caption or f"{self.about}: {table.name}"
        unseen = "" if table.caption else ' class="unseen"'
        yield f"{self._region(f'Table: {named}')}<table><caption{unseen}>{_text(named)}</caption>"
        if table.headed:
            # A column without a title holds signs that belong to the one before it.
            heads = (f'<th scope="col"{side}>{_text(title)}</th>' if (title := column.head(document.system)) else
                     f"<td{side}></td>" for column, side in zip(columns, right, strict=True))
            yield f"<thead><tr>{''.join(heads)}</tr></thead>"
        yield "<tbody>"
        for row in table.rows:
            cells = []
            for place, (column, cell, side) in enumerate(zip(columns, row, right, strict=True)):
                words = self._words(cell) if isinstance(cell, Sourced) else _text(document.under(column, cell))
                # A day or a moment is never broken between its parts.
                side = side or (' class="whole"' if isinstance(cell, date) else "")
                first = place == 0 and not table.headed and len(columns) > 1
                cells.append(f'<th scope="row"{side}>{words}</th>' if first else f"<td{side}>{words}</td>")
            yield f"<tr>{''.join(cells)}</tr>"
        yield "</tbody></table></div>"

    def _figure(self, svg: str, words: str, title: str, caption: str, share: float = 1.0) -> Iterator[str]:
        start = f'<svg role="img" aria-label="{_text(words)}" width="{share * 100:g}%"'
        head = f"<strong>{_text(title)}</strong>" if title else ""
        below = f"<figcaption>{_text(caption)}</figcaption>" if caption else ""
        yield (f"<figure>{head}{self._region(f'Drawing: {title or self.about}')}"
               f"{start}{said(svg).removeprefix('<svg')}</div>{below}</figure>")


def _lines(block: Blanks | Signatures) -> Iterator[str]:
    for name in block.names:
        yield f'<p class="blank"><span>{_text(name)}</span><span></span></p>'
        if isinstance(block, Signatures):
            yield '<p class="blank"><span>date</span><span></span></p>'
