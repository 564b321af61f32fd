"""The drawing of a basin's salt over its years: what the soil holds month by month; what is borne as a line."""

from __future__ import annotations

from typing import Any, ClassVar

from gwlog.tui.widgets.themed_plot import ThemedPlot
from gwlog.views.salts import Years

SALT, MOST, SODIUM, BEARS, MEASURED = "×", "·", "+", "─", "M"
SIGNS = f"{SALT} salt ECe dS/m  {MOST} at most  {SODIUM} sodium SAR  {BEARS} borne  {MEASURED} measured"
MOST_TICKS = 6


class SaltPlot(ThemedPlot[Years]):
    """Draws one measure over the years; the other has its own drawing, since their scales differ."""

    DEFAULT_CSS: ClassVar[str] = "SaltPlot { height: 9; }"

    def __init__(self, measure: str, id: str) -> None:  # noqa: A002 - as textual has it
        super().__init__(id)
        self.measure = measure

    def draw(self, plot: Any, years: Years) -> None:
        """Draw the months there are, the limit through all of them."""
        spans = years.ece if self.measure == "ece" else years.sar
        limit = years.ece_limit if self.measure == "ece" else years.sar_limit
        known = [(number, span) for number, span in enumerate(spans) if span is not None]
        if not known or limit is None:
            plot.title("not known")
            return
        last = max(1, len(spans) - 1)
        plot.plot([0, last], [limit, limit], marker=BEARS, color=self.colour("warning"))
        at, middle, high = zip(*((number, span.middle, span.high) for number, span in known), strict=True)
        if any(not span.exact for _, span in known):
            plot.scatter(list(at), list(high), marker=MOST, color=self.colour("foreground"))
        plot.plot(list(at), list(middle), marker=SALT if self.measure == "ece" else SODIUM,
                  color=self.colour("accent"))
        if self.measure == "ece":
            for day, value in years.measured:
                place = min(range(len(years.days)), key=lambda number: abs((years.days[number] - day).days))
                plot.scatter([place], [value], marker=MEASURED, color=self.colour("success"))
        step = max(1, -(-len(spans) // MOST_TICKS))
        ticks = list(range(0, len(spans), step))
        plot.xticks(ticks, [f"{years.days[number]:%b %Y}" for number in ticks])
        plot.xlim(0, last)
        top = 1.1 * max(limit, *high, *(value for _, value in years.measured), 0.1)
        plot.ylim(0, top)
