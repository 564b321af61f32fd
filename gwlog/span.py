"""A figure that is only known from..to: what a label or a report leaves open stays open, and is never zero for it."""

from __future__ import annotations

from gwlog.values import NamedTuple


class Span(NamedTuple):
    """Everything from `low` to `high`, both included; the two are one where the figure is exact."""

    low: float
    high: float

    @property
    def middle(self) -> float:
        """Halfway between the ends: the figure to show where there is room for one only."""
        return (self.low + self.high) / 2.0

    @property
    def exact(self) -> bool:
        """Whether the ends are one, but for rounding."""
        return self.high - self.low <= 1e-9 * max(1.0, abs(self.high))

    def plus(self, other: Span) -> Span:
        """The sum."""
        return Span(self.low + other.low, self.high + other.high)

    def minus(self, other: Span) -> Span:
        """The difference, where nothing ties the one to the other."""
        return Span(self.low - other.high, self.high - other.low)

    def times(self, other: Span | float) -> Span:
        """The product of two that are not negative."""
        other = other if isinstance(other, Span) else Span(other, other)
        return Span(self.low * other.low, self.high * other.high)

    def within(self, least: float, most: float) -> Span:
        """The same, no end outside of least..most."""
        return Span(min(max(self.low, least), most), min(max(self.high, least), most))


NOTHING = Span(0.0, 0.0)


def only(value: float) -> Span:
    """An exact figure."""
    return Span(value, value)


def hull(*spans: Span) -> Span:
    """The least span that holds them all."""
    return Span(min(span.low for span in spans), max(span.high for span in spans))


def written(span: Span, digits: int = 1) -> str:
    """“4.2” or “3.1 to 7.0”."""
    low, high = f"{span.low:.{digits}f}", f"{span.high:.{digits}f}"
    return low if low == high else f"{low} to {high}"
