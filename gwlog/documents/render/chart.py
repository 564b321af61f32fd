"""A chart of water by week or month as one drawing in SVG, for paper and screen: bars, scale, allowance, labels.

Black, white and grey alone; a unit of the drawing is a point where it takes the whole width of a Letter page.
"""

from __future__ import annotations

from html import escape
from math import floor, log10

from gwlog.documents.render.blocks import Chart, Document, neat
from gwlog.documents.render.faces import widths
from gwlog.units import Reader, to_household

WIDE, HIGH, FOOT, HEAD = 510.0, 96.0, 16.0, 8.0
SIZE = 9.5
FACE = "font-family=\"'DejaVu Sans', 'DejaVu Sans Condensed', Arial, sans-serif\" font-stretch=\"condensed\""
INK = "currentColor"
_MOST_TICKS = 5
END, BOLD = '"end"', '"bold"'


def ticks(top: float, most: int = _MOST_TICKS) -> tuple[float, ...]:
    """The figures of a scale from 0 to at least `top`: steps of 1, 2 or 5 times a power of ten, at most `most`."""
    least = top / most
    power = 10.0 ** floor(log10(least)) if least > 0 else 1.0
    step = next((power * times for times in (1, 2, 5) if power * times >= least), power * 10)
    step = max(step, 1.0) if top > 1 else step
    count = 1
    while step * count < top * 0.999:
        count += 1
    return tuple(step * number for number in range(count + 1))


def drawn(document: Document, chart: Chart) -> str:
    """The chart as SVG, scaled in the household's unit."""
    scale = ticks(to_household(chart.top, "volume", document.system))
    figures = [f"{value:,.0f}" if scale[1] >= 1 else f"{value:g}" for value in scale]
    left = SIZE * max(map(widths().of, figures)) + 6
    step = (WIDE - left) / max(1, len(chart.bars))
    bar = max(0.6, step * 0.7)
    top = 1.0 / scale[-1]

    def y(litres: float) -> float:
        return HEAD + HIGH * (1 - to_household(litres, "volume", document.system) * top)

    base, lines, shapes = HEAD + HIGH, [], []
    for value, figure in zip(scale, figures, strict=True):
        at = HEAD + HIGH * (1 - value * top)
        lines.append(f"M{left:.1f} {at:.1f}H{WIDE:.1f}")
        shapes.append(text(left - 4, at + 3.3, figure, end=True))
    grid = f'<path d="{"".join(lines[1:])}" stroke="{INK}" stroke-opacity=".3" stroke-width=".4" fill="none"/>'
    bars, used, allowed = [], [], []
    for number, litres in enumerate(chart.bars):
        x = left + number * step
        if litres > 0:
            bars.append(f"M{x + (step - bar) / 2:.1f} {base:.1f}V{y(litres):.1f}h{bar:.1f}V{base:.1f}Z")
        if (took := chart.used[number]) is not None:
            used.append(f"M{x:.1f} {y(took):.1f}h{step:.1f}")
        if 0 < chart.allowance[number] <= chart.top:
            allowed.append(f"M{x:.1f} {y(chart.allowance[number]):.1f}h{step:.1f}")
    free = left
    marks = []
    for number, label in enumerate(chart.labels):
        x = left + number * step
        wide = SIZE * widths().of(neat(label))
        if label and x >= free and x + wide <= WIDE:
            marks.append(f"M{x:.1f} {base:.1f}v4")
            shapes.append(text(x + 1.5, base + 12, label))
            free = x + wide + 8
    return (f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDE:g} {HEAD + HIGH + FOOT:g}" {FACE} '
            f'font-size="{SIZE:g}">{grid}'
            f'<path d="{"".join(bars)}" fill="#999" stroke="{INK}" stroke-width=".5"/>'
            f'<path d="{"".join(used)}" stroke="{INK}" stroke-width="1.6" fill="none"/>'
            f'<path d="{"".join(allowed)}" stroke="{INK}" stroke-width=".9" stroke-dasharray="4 2.5" fill="none"/>'
            f'<path d="M{left:.1f} {HEAD:.1f}V{base:.1f}H{WIDE:.1f}{"".join(marks)}" stroke="{INK}" '
            f'stroke-width=".8" fill="none"/>{"".join(shapes)}</svg>')


def text(x: float, y: float, words: str, *, end: bool = False, bold: bool = False) -> str:
    """Words at a place, its baseline at `y`; `end`: they end at `x`."""
    how = f"{' text-anchor=' + END if end else ''}{' font-weight=' + BOLD if bold else ''}"
    return f'<text x="{x:.1f}" y="{y:.1f}" fill="{INK}"{how}>{escape(neat(words))}</text>'


def heading(document: Document, chart: Chart) -> str:
    """What stands above a chart: its name, and what its scale counts."""
    unit = "gallons" if document.system == "us" else "liters"
    return f"{chart.title}: {unit} a {chart.per}"


def caption(document: Document, chart: Chart, *, drawn: bool = True) -> str:
    """What a chart shows, in words; the same in every form. `drawn`: the chart stands above it."""
    read = Reader(document.system)
    above = ", above the top of this chart" if drawn and not chart.allowance_fits else ""
    return (f"{chart.title}: up to {read.volume(max(chart.bars, default=0.0))} a {chart.per}. Its soil can absorb up "
            f"to {read.volume(max(chart.allowance, default=0.0))} a {chart.per}{above}.")


def spoken(document: Document, chart: Chart) -> str:
    """The chart for those who cannot see it: what is drawn, the sum, the highest bar, and how often above the limit."""
    read = Reader(document.system)
    count = len(chart.bars)
    over = sum(bar > most > 0 for bar, most in zip(chart.bars, chart.allowance, strict=True))
    highest = max(range(count), key=chart.bars.__getitem__, default=None)
    when = ""
    if highest is not None and chart.bars[highest] > 0:
        nearest = next((chart.labels[at] for at in range(highest, -1, -1) if chart.labels[at]), "")
        when = f", the most in {'a' if count > 1 else 'the'} {chart.per} of or after {nearest}" if nearest else ""
    used = sum(one for one in chart.used if one is not None)
    return (f"Bars of water to {chart.title} for {count} {chart.per}{'' if count == 1 else 's'}: "
            f"{read.volume(sum(chart.bars))} in all, up to {read.volume(max(chart.bars, default=0.0))} a "
            f"{chart.per}{when}. Plants used {read.volume(used)}. Above what the soil can absorb: "
            f"{over} {chart.per}{'' if over == 1 else 's'}.")
