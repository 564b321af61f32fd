"""A drawing in the theme's colours, drawn anew when the theme changes."""

from __future__ import annotations

from typing import Any, Generic, TypeVar

from textual.color import Color
from textual.theme import Theme
from textual_plotext import PlotextPlot

Shown = TypeVar("Shown")


class ThemedPlot(PlotextPlot, Generic[Shown]):
    """Draws what it was shown last; a subclass says how in `draw`."""

    def __init__(self, id: str | None = None) -> None:  # noqa: A002 - as textual has it
        super().__init__(id=id)
        self.shown: Shown | None = None

    def on_mount(self) -> None:
        self.app.theme_changed_signal.subscribe(self, self._colours_changed)

    def _colours_changed(self, _theme: Theme) -> None:
        if self.shown is not None:
            self.show(self.shown)

    def colour(self, name: str) -> tuple[int, int, int]:
        """A colour of the theme by its name there."""
        return Color.parse(getattr(self.app.current_theme, name)).rgb

    def show(self, shown: Shown) -> None:
        """Draw this in place of what was drawn before."""
        self.shown = shown
        plot: Any = self.plt
        plot.clear_data()
        plot.clear_figure()
        self.draw(plot, shown)
        self.refresh()

    def draw(self, plot: Any, shown: Shown) -> None:
        """Draw on an empty figure."""
        raise NotImplementedError
