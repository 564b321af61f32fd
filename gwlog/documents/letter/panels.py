"""Small charts side by side as one drawing in SVG: each basin's water by week, with its own scale and its allowance.

Black, white and grey alone; a unit of the drawing is a point where it takes the whole width of a Letter page.
"""

from __future__ import annotations

from collections.abc import Sequence

from gwlog.documents.render.blocks import Chart, neat
from gwlog.documents.render.chart import FACE, INK, SIZE, WIDE, text, ticks
from gwlog.documents.render.faces import widths
from gwlog.units import Reader, System, to_household

ACROSS, GAP = 2, 18.0
HEAD, FOOT = 31.0, 18.0
PLOTS = {1: 110.0, 2: 84.0}
PLOT = 58.0
"""How high a panel's plot is, by the number of rows; of more rows [pt]."""
MOST_TICKS = 3
FARTHEST = 25.0
"""An allowance so many times the highest bar would leave no bar to be seen: it is told and not drawn."""


def panels(system: System, charts: Sequence[Chart]) -> str:
    """The drawing: two panels a row, one where there is only one basin."""
    across = min(ACROSS, len(charts))
    wide = (WIDE - GAP * (across - 1)) / across
    rows = -(-len(charts) // across)
    plot = PLOTS.get(rows, PLOT)
    high = HEAD + plot + FOOT
    drawn = "".join(_panel(system, chart, (number % across) * (wide + GAP), (number // across) * high, wide, plot)
                    for number, chart in enumerate(charts))
    return (f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDE:g} {rows * high:g}" {FACE} '
            f'font-size="{SIZE:g}">{drawn}</svg>')


def _panel(system: System, chart: Chart, x0: float, y0: float, wide: float, plot: float) -> str:
    read = Reader(system)
    most, allowed = max(chart.bars), max(chart.allowance)
    highest = max(most, allowed) if allowed <= FARTHEST * most else most
    scale = ticks(to_household(highest, "volume", system), MOST_TICKS)
    figures = [f"{value:,.0f}" if scale[1] >= 1 else f"{value:g}" for value in scale]
    left = x0 + SIZE * max(map(widths().of, figures)) + 6
    right, top, base = x0 + wide, y0 + HEAD, y0 + HEAD + plot
    step = (right - left) / max(1, len(chart.bars))
    bar = max(0.6, min(step * 0.7, 24.0))

    def y(value: float) -> float:
        return base - plot * value / scale[-1]

    def of(litres: float) -> float:
        return y(to_household(litres, "volume", system))

    unit = "gallons" if system == "us" else "liters"
    limit = f"{unit} a week, at most {read.volume(most)}; limit {read.volume(allowed)}"
    if highest < allowed:
        limit += ", far above"
    shapes = [text(x0, y0 + 11, shortened(chart.title, wide), bold=True), text(x0, y0 + 22, shortened(limit, wide))]
    shapes += [text(left - 4, y(value) + 3.3, figure, end=True) for value, figure in zip(scale, figures, strict=True)]
    grid = "".join(f"M{left:.1f} {y(value):.1f}H{right:.1f}" for value in scale[1:])
    bars, limits, marks, free = [], [], [], left
    for number, litres in enumerate(chart.bars):
        x = left + number * step
        if litres > 0:
            bars.append(f"M{x + (step - bar) / 2:.1f} {base:.1f}V{of(litres):.1f}h{bar:.1f}V{base:.1f}Z")
        before = chart.allowance[number - 1] if number else -1.0
        if 0 < chart.allowance[number] <= highest:
            start = "" if chart.allowance[number] == before else f"M{x:.1f} {of(chart.allowance[number]):.1f}"
            limits.append(f"{start}h{step:.2f}")
        label = neat(chart.labels[number])
        if label and x >= free and x + SIZE * widths().of(label) <= right:
            marks.append(f"M{x:.1f} {base:.1f}v4")
            shapes.append(text(x + 1.5, base + 12, label))
            free = x + SIZE * widths().of(label) + 8
    return (f'<path d="{grid}" stroke="{INK}" stroke-opacity=".3" stroke-width=".4" fill="none"/>'
            f'<path d="{"".join(bars)}" fill="#999" stroke="{INK}" stroke-width=".5"/>'
            f'<path d="{"".join(limits)}" stroke="{INK}" stroke-width=".9" stroke-dasharray="4 2.5" fill="none"/>'
            f'<path d="M{left:.1f} {top:.1f}V{base:.1f}H{right:.1f}{"".join(marks)}" stroke="{INK}" stroke-width=".8" '
            f'fill="none"/>{"".join(shapes)}')


def shortened(words: str, room: float) -> str:
    """A name that fits above its panel; a longer one ends with an ellipsis."""
    kept = neat(words)
    if SIZE * 1.1 * widths().of(kept) <= room:
        return kept
    while kept and SIZE * 1.1 * widths().of(f"{kept}…") > room:
        kept = kept[:-1]
    return f"{kept.rstrip()}…"
