"""The drawing of one basin's water: what was missing and what will be, with the loads, the rain and what sank away.

Series are distinguished by signs, not only by colour: capital letters happened, small ones are to come.
"""

from __future__ import annotations

from typing import Any, ClassVar

from gwlog.clock import short_day
from gwlog.tui.widgets.themed_plot import ThemedPlot
from gwlog.views.basin_outlook import Outlook

WAS, WILL_BE, FEELS_IT, ALL_GONE, TODAY = "×", "·", "─", "═", "┊"
LETTERS = (("W", "graywater", "success"), ("R", "rain", "foreground"), ("P", "percolated", "error"))
"""Sign, series and colour of the theme; the colours repeat what the signs say."""

WORTH_SHOWING = 0.02
"""Water below this share of the scale is not marked: its letter would stand on the axis."""


def signs(series: Outlook) -> str:
    """What the signs of the drawing mean."""
    words = [f"{WAS} missing", f"{WILL_BE} to come", f"{FEELS_IT} plants go short"]
    if series.near_taw:
        words.append(f"{ALL_GONE} nothing left")
    return f"{series.unit}: " + "  ".join([*words, "W w graywater", "R r rain", "P p sank below the roots"])


class WaterPlot(ThemedPlot[Outlook]):
    """Draws an outlook."""

    DEFAULT_CSS: ClassVar[str] = "WaterPlot { height: 15; }"

    def draw(self, plot: Any, series: Outlook) -> None:
        """Draw the days there are; the lines for plants' limits run through all of them."""
        if not series.days:
            plot.title("no day to draw yet")
            return
        last, top = len(series.days) - 1, series.top
        days = list(range(last + 1))
        if 0 < series.today <= last:
            plot.plot([series.today - 0.5] * 2, [0, top], marker=TODAY, color=self.colour("foreground"))
        plot.plot([0, last or 1], [series.raw] * 2, marker=FEELS_IT, color=self.colour("warning"))
        if series.near_taw:
            plot.plot([0, last or 1], [series.taw] * 2, marker=ALL_GONE, color=self.colour("error"))
        for marker, part in ((WAS, days[:series.today]), (WILL_BE, days[series.today:])):
            if part:
                plot.plot(part, [series.missing[day] for day in part], marker=marker, color=self.colour("accent"))
        for letter, name, colour in LETTERS:
            values: tuple[float, ...] = getattr(series, name)
            for sign, part in ((letter, days[:series.today]), (letter.lower(), days[series.today:])):
                came = [day for day in part if values[day] > top * WORTH_SHOWING]
                if came:
                    plot.scatter(came, [values[day] for day in came], marker=sign, color=self.colour(colour))
        ticks = [day for day in days if (day - series.today) % 7 == 0]
        plot.xticks(ticks, ["today" if day == series.today else short_day(series.days[day], series.system)
                            for day in ticks])
        plot.xlim(0, last or 1)
        plot.ylim(0, top)
        plot.yticks([top * part / 4 for part in range(5)], [_tick(top * part / 4, top) for part in range(5)])


def _tick(value: float, top: float) -> str:
    return f"{value:.0f}" if top >= 8 else f"{value:.1f}"
