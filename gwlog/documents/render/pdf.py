"""The document on paper: the blocks drawn page by page, tables with their head repeated, charts without colour.
"""

from __future__ import annotations

from gwlog.documents.render.blocks import Chart, Document, Heading, Para, Points, Table
from gwlog.documents.render.html import caption
from gwlog.documents.render.paper import MARGIN, MM_PER_PT, SMALL, Paper, paper_for

PAD = 1.1
LEAD = SMALL * MM_PER_PT * 1.3
CHART_HEIGHT = 24.0


def pdf(document: Document, paper: str | None = None) -> bytes:
    """Return the file's bytes. `paper`: letter or a4; else what the household's units suggest."""
    sheet = Paper(title=document.title, foot=document.foot, paper=paper_for(document.system, paper),
                  made_at=document.made_at, lang=document.lang, mark=document.mark)
    sheet.write_title(document.title, document.subtitle)
    for block in document.blocks:
        if isinstance(block, Heading):
            sheet.heading(block.words, block.level)
        elif isinstance(block, Para):
            sheet.para(block.words, strong=block.strong)
        elif isinstance(block, Points):
            sheet.points(block.words)
        elif isinstance(block, Chart):
            draw_chart(sheet, document, block)
        else:
            draw_table(sheet, document, block)
    return sheet.finished()


def draw_table(sheet: Paper, document: Document, table: Table) -> None:
    """Draw a table over as many pages as it takes."""
    if not table.rows:
        sheet.para(table.empty)
        return
    rows = [[document.words(cell) for cell in row] for row in table.rows]
    widths = column_widths(sheet, table, rows)
    right = [column.right for column in table.columns]
    titles = [column.title for column in table.columns]
    head = any(titles)
    if head:
        _row(sheet, titles, widths, right, bold=True, keep=LEAD * 3)
    for cells in rows:
        if _row(sheet, cells, widths, right):
            continue
        sheet.add_page()
        sheet.set_xy(MARGIN, MARGIN)
        if head:
            _row(sheet, titles, widths, right, bold=True)
        _row(sheet, cells, widths, right, force=True)
    sheet.gap(3)


def column_widths(sheet: Paper, table: Table, rows: list[list[str]]) -> list[float]:
    """The widths of a table's columns [mm], together the width of the text.

    Numbers, days and the words of the head are never broken where there is space; the rest is dealt out by the
    columns' shares, to none more than it can use, and what is left goes to a last column of words,
    else to all.
    """
    least, natural = [], []
    for number, column in enumerate(table.columns):
        sheet.face(SMALL, True)
        head = max((sheet.width_of(word) for word in sheet.signs(column.title).split()), default=0.0)
        title = sheet.width_of(sheet.signs(column.title))
        sheet.face(SMALL)
        cells = {row[number] for row in rows}
        widest = max((sheet.width_of(sheet.signs(cell)) for cell in cells), default=0.0) + 2 * PAD + 0.05
        whole = all(not isinstance(row[number], str) or not row[number] for row in table.rows)
        least.append(max(head + 2 * PAD + 0.05, widest if whole else 0.0))
        natural.append(max(least[-1], widest, title * 0.6 + 2 * PAD))
    left = sheet.measure - sum(least)
    if left < 0:
        return [sheet.measure * width / sum(least) for width in least]
    widths = list(least)
    wanting = {number for number, width in enumerate(widths) if natural[number] > width}
    while wanting and left > 0.01:
        total = sum(table.columns[number].share for number in wanting)
        dealt = left
        for number in sorted(wanting):
            more = min(dealt * table.columns[number].share / total, natural[number] - widths[number])
            widths[number] += more
            left -= more
        wanting = {number for number in wanting if natural[number] > widths[number] + 0.01}
    if not table.columns[-1].right:
        widths[-1] += max(0.0, left)
        return widths
    total = sum(widths)
    return [width + max(0.0, left) * width / total for width in widths]


def _row(sheet: Paper, cells: list[str], widths: list[float], right: list[bool], *, bold: bool = False,
         keep: float = 0.0, force: bool = False) -> bool:
    """Draw one row and the line below it. Without `force`, returns False when it does not fit on the page.

    A row longer than a page is written over several. `keep`: what has to fit below it.
    """
    sheet.face(SMALL, bold)
    folded = [sheet.fold(cell, width - 2 * PAD) if cell else () for cell, width in zip(cells, widths, strict=True)]
    count = max(1, max(map(len, folded)))
    height = count * LEAD + PAD
    if bold:
        sheet.need(height + keep)
    elif not force and sheet.y + _room_to_begin(sheet, height) > sheet.bottom:
        return False
    line = 0
    while line < count:
        fits = max(1, int((sheet.bottom - sheet.y) / LEAD))
        part = min(count, line + fits)
        sheet.face(SMALL, bold)
        _lines(sheet, folded, widths, right, line, part)
        sheet.set_y(sheet.y + (part - line) * LEAD)
        line = part
        if line < count:
            sheet.add_page()
            sheet.set_xy(MARGIN, MARGIN)
    y = sheet.y + PAD
    if bold:
        sheet.set_line_width(0.4)
        sheet.line(MARGIN, y, MARGIN + sheet.measure, y)
        sheet.set_line_width(0.2)
    else:
        sheet.hairline(y)
    sheet.set_y(y + 0.2)
    return True


def _room_to_begin(sheet: Paper, height: float) -> float:
    """A row of half a page or more begins where there is room for four lines of it; a smaller one stays whole."""
    return 4 * LEAD if height >= (sheet.bottom - MARGIN) / 2 else height


def _lines(sheet: Paper, folded: list[tuple[str, ...]], widths: list[float], right: list[bool], first: int,
           last: int) -> None:
    x, y, placed = MARGIN, sheet.y, []
    for words, width, to_right in zip(folded, widths, right, strict=True):
        for number, line in enumerate(words[first:last]):
            if line:
                at = x + width - PAD - sheet.width_of(line) if to_right else x + PAD
                placed.append((at, y + number * LEAD + LEAD * 0.85, line))
        x += width
    sheet.put_all(placed)


def draw_chart(sheet: Paper, document: Document, chart: Chart) -> None:
    """Grey bars with an outline, the plants' use as a short black line, the allowance dashed."""
    sheet.face(SMALL)
    words = sheet.fold(caption(document, chart), sheet.measure)
    sheet.need(CHART_HEIGHT + 8 + len(words) * LEAD)
    top, base = sheet.y + 1, sheet.y + 1 + CHART_HEIGHT
    step = sheet.measure / max(1, len(chart.bars))
    wide = step * 0.7

    def height(value: float) -> float:
        return CHART_HEIGHT * value / chart.top

    sheet.set_fill_color(170)
    sheet.set_line_width(0.1)
    for number, litres in enumerate(chart.bars):
        if litres > 0:
            sheet.rect(MARGIN + number * step + (step - wide) / 2, base - height(litres), wide, height(litres), "DF")
    sheet.set_fill_color(0)
    sheet.set_line_width(0.45)
    for number, used in enumerate(chart.used):
        if used is not None:
            sheet.line(MARGIN + number * step, base - height(used), MARGIN + (number + 1) * step, base - height(used))
    sheet.set_line_width(0.2)
    sheet.set_dash_pattern(dash=1.4, gap=0.9)
    for number, allowed in enumerate(chart.allowance):
        if 0 < allowed <= chart.top:
            y = base - height(allowed)
            sheet.line(MARGIN + number * step, y, MARGIN + (number + 1) * step, y)
    sheet.set_dash_pattern()
    sheet.line(MARGIN, base, MARGIN + sheet.measure, base)
    sheet.line(MARGIN, base, MARGIN, top)
    for number, label in enumerate(chart.labels):
        if label:
            sheet.line(MARGIN + number * step, base, MARGIN + number * step, base + 1.2)
            sheet.text(MARGIN + number * step + 0.6, base + 3.2, sheet.signs(label))
    sheet.set_y(base + 4)
    sheet.lines(words, MARGIN, SMALL, lead=1.3)
    sheet.gap(2.5)
