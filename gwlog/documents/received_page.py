"""The page about the records of many homes: one table, the faults before it."""

from __future__ import annotations

from collections.abc import Iterator

from gwlog.documents.render.blocks import Block, Column, Document, Heading, Para, Points, table
from gwlog.journal.received import Received
from gwlog.views import received as words

SHARES = (1.8, 2.2, 1.1, 1.4, 0.9, 0.9, 1.1, 1.2)


def document(found: Received, mark: str = "") -> Document:
    """The page; days ISO 8601, since homes of several habits stand on it."""
    return Document(
        f"Records received: {found.folder.resolve().name}", words.headline(found),
        f"Received {found.at.date().isoformat()} (UTC)", tuple(_blocks(found)), "UTC", "us", found.at, mark=mark)


def _blocks(found: Received) -> Iterator[Block]:
    faults = [(fault,) for fault in words.faults(found)]
    if faults:
        yield Heading(1, "What to look into")
        yield table("faults", [Column("fault", 1.0)], faults)
    yield Heading(1, "Home by home")
    yield table("received", [Column(title, share) for title, share in zip(words.HEAD, SHARES, strict=True)],
                words.rows(found), "No record was found.")
    yield Para(words.CLAIMED)
    if others := tuple(words.passed_over(found)):
        yield Heading(1, "Passed over")
        yield Points(others)
