"""The annex for its reader: without the columns that are empty for them, and with days where hours are not told."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from gwlog import clock
from gwlog.documents.record.model import Record
from gwlog.documents.render.blocks import Block, Cell, Table

OF_NAMES = frozenset({"by", "load"})
OF_NOTES = frozenset({"note", "how"})


def for_reader(record: Record, block: Block) -> Block:
    """A block as the record's reader is shown it."""
    if not isinstance(block, Table) or (record.names and record.notes):
        return block
    closed = (OF_NAMES if not record.names else frozenset()) | (OF_NOTES if not record.notes else frozenset())
    kept = [number for number, column in enumerate(block.columns) if column.title not in closed]

    def shown(cell: Cell) -> Cell:
        return clock.local_day(cell, record.zone) if isinstance(cell, datetime) and not record.names else cell

    return replace(block, columns=tuple(block.columns[number] for number in kept),
                   rows=tuple(tuple(shown(row[number]) for number in kept) for row in block.rows))
