"""The report's chapters on other water than the machine's, and on what the graywater gave the plants."""

from __future__ import annotations

from collections.abc import Iterator

from gwlog.decisions.benefit import Given, total
from gwlog.documents.record.model import GaveLine, Record
from gwlog.documents.render.blocks import Block, Cell, Column, Heading, Para, Points, litres, table
from gwlog.text import listed, plural
from gwlog.units import Reader


def other_water(record: Record) -> Iterator[Block]:
    """Water by can, drip line, drinking-water hose or flush: by basin and month."""
    yield Heading(1, "Other water")
    yield Para("Water that did not come from the washing machine, as it was logged. A drinking-water hose is laid down "
               "at the basin by hand; it is never joined to the graywater pipe.")
    if record.other_water:
        whole = sum(one.litres for one in record.other_water)
        yield Para(f"In all {Reader(record.system).volume(whole)}, "
                   f"{plural(sum(one.times for one in record.other_water), 'time')}.")
    if record.other_water and not record.full:
        return
    yield table("other water", (
        Column("month", 0.8), Column("basin", 1.6), Column("times", 0.6, right=True),
        Column("water", 0.9, "volume", True), Column("came by", 1.6)),
        [(f"{one.month:%Y-%m}", one.basin, one.times, litres(one.litres), listed(one.ways))
         for one in record.other_water], "No other water was logged in this period.")


def gave(record: Record) -> Iterator[Block]:
    """What plants used of the graywater instead of tap water, by month and year, and how it is reckoned."""
    yield Heading(1, "What the graywater gave")
    money = any(one.saved is not None for one in record.gave)
    columns = [Column("when", 0.8), Column("graywater", 1.0, "volume", True), Column("gave", 1.0, "volume", True),
               Column("still needed", 1.0, "volume", True), Column("other water", 1.0, "volume", True)]
    if money:
        columns.append(Column(f"saved, {record.currency}" if record.currency else "saved", 1.0, right=True))
    rows: list[tuple[Cell, ...]] = []
    for year in dict.fromkeys(one.month.year for one in record.gave):
        lines = [one for one in record.gave if one.month.year == year]
        if record.full:
            rows += [_row(f"{one.month:%Y-%m}", one, money) for one in lines]
        if len(lines) > 1 or not record.full:
            rows.append(_row(f"{year}", _year(lines), money))
    yield table("what graywater gave", columns, rows,
                "No day has ended in this period since a basin's balance began.")
    if rows:
        yield Points(tuple(f"{name}: {words}" for name, words in record.gave_notes))


def _row(when: str, line: GaveLine, money: bool) -> tuple[Cell, ...]:
    cells: tuple[Cell, ...] = (when, litres(round(line.graywater_l, 3)), litres(round(max(0.0, line.gave_l), 3)),
                               litres(round(line.unmet_l, 3)), litres(round(line.other_l, 3)))
    return (*cells, f"{max(0.0, line.saved or 0.0):.2f}") if money else cells


def _year(lines: list[GaveLine]) -> GaveLine:
    whole = total(Given(one.graywater_l, one.gave_l, one.unmet_l, one.other_l) for one in lines)
    saved = [one.saved for one in lines if one.saved is not None]
    return GaveLine(lines[0].month, *whole, sum(saved) if saved else None)
