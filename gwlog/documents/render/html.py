"""The document as one HTML file: no scripts, no outside links, everything that people wrote as text.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from functools import lru_cache
from html import escape

from gwlog.documents.render.blocks import Block, Chart, Document, Heading, Para, Points, Table, neat
from gwlog.units import Reader

WHOLE = '"whole"'

# The page asks the browser itself to load and run nothing.
POLICY = "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'"

STYLE = """
body { font: 15px/1.45 Georgia, 'DejaVu Serif', serif; color: #111; background: #fff;
  margin: 2rem auto; max-width: 68rem; padding: 0 1.2rem; }
h1 { font-size: 1.7rem; margin: 0; } h2 { font-size: 1.25rem; margin: 2.2rem 0 .5rem; border-top: 2px solid #111;
  padding-top: .5rem; } h3 { font-size: 1.05rem; margin: 1.2rem 0 .4rem; }
p.under, footer { color: #444; } .strong { font-weight: bold; border: 2px solid #111; padding: .5rem .7rem; }
.wide { overflow-x: auto; } table { border-collapse: collapse; width: 100%; margin: .4rem 0 1rem;
  font: .8rem/1.35 system-ui, 'DejaVu Sans', sans-serif; }
th, td { text-align: left; vertical-align: top; padding: .2rem .4rem; border-bottom: 1px solid #bbb;
  overflow-wrap: break-word; max-width: 26rem; } th { border-bottom: 2px solid #111; }
.right { text-align: right; } td.right, td.whole { white-space: nowrap; }
figure { margin: .8rem 0; } figcaption { font-size: .87rem; } svg { width: 100%; height: auto; }
@media print { body { margin: 0; max-width: none; font-size: 10pt; } table { font-size: 7pt; }
  tr, figure { break-inside: avoid; } }
""".strip()


def html(document: Document) -> str:
    """Return the whole page."""
    body = "\n".join(part for block in document.blocks for part in _block(document, block))
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
<h1>{title}</h1>
<p class="under">{under}</p>
{body}
<footer>{foot}</footer>
</body>
</html>
"""


@lru_cache(maxsize=20_000)
def _text(words: str) -> str:
    return escape(neat(words))


def _block(document: Document, block: Block) -> Iterator[str]:
    if isinstance(block, Heading):
        yield f"<h{block.level + 1}>{_text(block.words)}</h{block.level + 1}>"
    elif isinstance(block, Para):
        strong = ' class="strong"' if block.strong else ""
        yield f"<p{strong}>{_text(block.words)}</p>"
    elif isinstance(block, Points):
        yield "<ul>" + "".join(f"<li>{_text(words)}</li>" for words in block.words) + "</ul>"
    elif isinstance(block, Chart):
        yield from _chart(document, block)
    else:
        yield from _table(document, block)


def _table(document: Document, table: Table) -> Iterator[str]:
    if not table.rows:
        yield f"<p>{_text(table.empty)}</p>"
        return
    right = [' class="right"' if column.right else "" for column in table.columns]
    yield '<div class="wide"><table>'
    if any(column.title for column in table.columns):
        heads = (f"<th{side}>{_text(column.title)}</th>" for column, side in zip(table.columns, right, strict=True))
        yield f"<thead><tr>{''.join(heads)}</tr></thead>"
    yield "<tbody>"
    for row in table.rows:
        # A day or a moment is never broken between its parts.
        cells = (f"<td{side or (' class=' + WHOLE if isinstance(cell, date) else '')}>"
                 f"{_text(document.words(cell))}</td>" for cell, side in zip(row, right, strict=True))
        yield f"<tr>{''.join(cells)}</tr>"
    yield "</tbody></table></div>"


WIDTH, HEIGHT, FOOT = 900.0, 120.0, 18.0


def _chart(document: Document, chart: Chart) -> Iterator[str]:
    """Bars grey with an outline, the plants' use as a short black line, the allowance dashed: no colour is needed."""
    step, top = WIDTH / max(1, len(chart.bars)), chart.top
    wide = max(1.0, step * 0.7)

    def y(value: float) -> float:
        return HEIGHT - HEIGHT * value / top

    shapes = []
    for number, litres in enumerate(chart.bars):
        x = number * step + (step - wide) / 2
        if litres > 0:
            shapes.append(f'<rect x="{x:.1f}" y="{y(litres):.1f}" width="{wide:.1f}" '
                          f'height="{HEIGHT - y(litres):.1f}" fill="#999" stroke="#111" stroke-width=".6"/>')
        used = chart.used[number]
        if used is not None:
            shapes.append(f'<path d="M{number * step:.1f} {y(used):.1f}h{step:.1f}" stroke="#111" stroke-width="2"/>')
        if 0 < chart.allowance[number] <= top:
            shapes.append(f'<path d="M{number * step:.1f} {y(chart.allowance[number]):.1f}h{step:.1f}" stroke="#111" '
                          'stroke-dasharray="5 3"/>')
        if chart.labels[number]:
            shapes.append(f'<text x="{number * step:.1f}" y="{HEIGHT + 13:.1f}" font-size="10">'
                          f"{_text(chart.labels[number])}</text>")
    title = f"{chart.title}: {'gallons' if document.system == 'us' else 'liters'} per {chart.per}"
    yield (f'<figure><svg viewBox="0 -2 {WIDTH:.0f} {HEIGHT + FOOT:.0f}" role="img" aria-label="{_text(title)}">'
           f'{"".join(shapes)}<path d="M0 {HEIGHT}H{WIDTH}" stroke="#111"/></svg>'
           f"<figcaption>{_text(caption(document, chart))}</figcaption></figure>")


def caption(document: Document, chart: Chart, *, drawn: bool = True) -> str:
    """What a chart shows, in words; the same in every form. `drawn`: the chart stands above it."""
    read = Reader(document.system)
    above = ", above the top of this chart" if drawn and not chart.allowance_fits else ""
    return (f"{chart.title}: up to {read.volume(max(chart.bars, default=0.0))} a {chart.per}. Its soil can absorb up "
            f"to {read.volume(max(chart.allowance, default=0.0))} a {chart.per}{above}.")
