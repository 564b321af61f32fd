"""The document as Markdown, in which nothing that people wrote can become a link, a tag or a heading.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache

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
    Sourced,
    Table,
    Words,
    neat,
)
from gwlog.documents.render.chart import caption

# Signs that can begin markup inside a line. Escaping is plain in every reader; & and < as entities, which also
# holds where raw HTML is let through.
_MARKUP = re.compile(r"([\\`*_{}\[\]|~$>])")
_LINK = re.compile(r"(?i)\b(https?|ftp|mailto|javascript|data)(:)|\b(www)(\.)")
_START = re.compile(r"^(\s*)([#+=-]|\d+[.)](?=\s|$))")


def markdown(document: Document) -> str:
    """Return the whole document."""
    lines = [f"# {escaped(document.title)}", "", escaped(document.subtitle), ""]
    for block in document.blocks:
        lines += [*_block(document, block), ""]
    lines += ["---", "", escaped(document.foot), *(["", f"[//]: # ({document.mark})"] if document.mark else [])]
    return "\n".join(lines) + "\n"


@lru_cache(maxsize=20_000)
def escaped(words: str) -> str:
    """Words on one line, as text."""
    kept = neat(words).replace("&", "&amp;").replace("<", "&lt;")
    kept = _MARKUP.sub(r"\\\1", kept)
    kept = _LINK.sub(lambda found: f"{found[1] or found[3]}\\{found[2] or found[4]}", kept)
    kept = kept.replace("@", "&#64;")
    start = _START.match(kept)
    if start is None:
        return kept
    head = start[2]
    return f"{start[1]}{head[:-1]}\\{head[-1]}{kept[start.end():]}"


def _block(document: Document, block: Block) -> Iterator[str]:
    if isinstance(block, Heading):
        yield f"{'#' * (block.level + 1)} {escaped(block.words)}"
    elif isinstance(block, Para):
        if block.of_charts:
            return
        yield f"**{_sourced(block.words)}**" if block.strong else _sourced(block.words)
    elif isinstance(block, Points):
        yield from (f"{f'{number}.' if block.numbered else '-'} {_sourced(words)}"
                    for number, words in enumerate(block.words, 1))
    elif isinstance(block, Chart):
        yield escaped(caption(document, block, drawn=False))
    elif isinstance(block, Picture):
        yield escaped(block.words)
    elif isinstance(block, Table):
        yield from _table(document, block)
    elif isinstance(block, PageBreak):
        return
    elif isinstance(block, Blanks):
        yield from (f"- {escaped(name)} \\_\\_\\_" for name in block.names)
    else:
        yield from (f"- {escaped(name)} \\_\\_\\_ date \\_\\_\\_" for name in block.names)


def _sourced(words: Words) -> str:
    """Words with their source in brackets behind them."""
    return f"{escaped(words.words)} ({escaped(words.source)})" if isinstance(words, Sourced) else escaped(words)


def _table(document: Document, table: Table) -> Iterator[str]:
    if not table.rows:
        yield escaped(table.empty)
        return
    if table.caption:
        yield from (f"**{escaped(table.caption)}**", "")
    yield "| " + " | ".join(escaped(column.head(document.system)) for column in table.columns) + " |"
    yield "|" + "|".join(" ---: " if column.right else " --- " for column in table.columns) + "|"
    for row in table.rows:
        yield "| " + " | ".join(_sourced(cell) if isinstance(cell, Sourced) else escaped(document.under(column, cell))
                                for column, cell in zip(table.columns, row, strict=True)) + " |"
