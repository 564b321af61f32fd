"""The parts of a document, whatever its form: headings, sentences, tables, charts, pictures; without appearance.

Cells keep their type (a quantity in SI, a moment, a day), so that each form formats them itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import lru_cache

from gwlog import clock
from gwlog.text import one_line
from gwlog.units import Dimension, System, show, unit_word

DASH = "—"


@dataclass(frozen=True, slots=True)
class Amount:
    """A quantity in SI: L, mm, m2."""

    si: float
    dimension: Dimension


@dataclass(frozen=True, slots=True)
class Sourced:
    """Words that rest on a source, which stands in a footnote on paper and at the end of the page in HTML."""

    words: str
    source: str


Words = str | Sourced
Cell = Words | int | Amount | datetime | date | None


@dataclass(frozen=True, slots=True)
class Column:
    """A table's column. `share`: its part of the width; `dimension`: what its amounts are; `right`: aligned right.

    The unit of its amounts stands in the head, so that the cells hold figures alone.
    """

    title: str
    share: float = 1.0
    dimension: Dimension | None = None
    right: bool = False

    def head(self, system: System) -> str:
        """The title with the household's unit of its amounts."""
        if self.dimension is None:
            return self.title
        unit = unit_word(self.dimension, system)
        return f"{self.title}, {unit}" if self.title else unit

    @property
    def si_title(self) -> str:
        """The title with the SI unit of its amounts, for forms that write plain numbers."""
        return f"{self.title} [{_SI[self.dimension]}]" if self.dimension else self.title


_SI: dict[Dimension, str] = {"volume": "L", "length": "mm", "rain": "mm", "area": "m2", "temperature": "degC"}


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading of level 1 (chapter) or 2."""

    level: int
    words: str


@dataclass(frozen=True, slots=True)
class Para:
    """A paragraph; `strong` where it must not be overlooked, `of_charts` where it explains drawings."""

    words: Words
    strong: bool = False
    of_charts: bool = False


@dataclass(frozen=True, slots=True)
class Points:
    """A list of sentences; `numbered` where they are steps in an order."""

    words: tuple[Words, ...]
    numbered: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under a head; `empty`: what is said when there are none; `name`: what the table is called in a CSV file.

    `caption`: what stands above it, where the heading does not say it. A table without titles is one of names and what
    they stand for.
    """

    name: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    empty: str = "None in this period."
    caption: str = ""

    @property
    def headed(self) -> bool:
        """Whether its columns have titles."""
        return any(column.title for column in self.columns)


@dataclass(frozen=True, slots=True)
class Chart:
    """Bars over time [L] with two marks: what the plants used (short line) and the allowance (dashed, where it fits).

    `labels`: one word under some of the bars, "" under the others; `per`: what a bar stands for, “week” or “month”.
    Drawn by chart.drawn().
    """

    title: str
    bars: tuple[float, ...]
    used: tuple[float | None, ...]
    allowance: tuple[float, ...]
    labels: tuple[str, ...]
    per: str

    @property
    def top(self) -> float:
        """The highest value that has to fit [L]: an allowance far above the bars would make them too small to read."""
        highest = max((*self.bars, *(one for one in self.used if one is not None), 1.0))
        allowed = max(self.allowance, default=0.0)
        return allowed if highest < allowed <= 2.5 * highest else highest

    @property
    def allowance_fits(self) -> bool:
        """Whether the allowance can be drawn within the chart."""
        return any(0 < one <= self.top for one in self.allowance)


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing in SVG, the same on paper and on the screen; `words`: what it shows, for those who cannot see it.

    `width_share`: its part of the width of the text. Its units are points where it takes the whole width of a Letter
    page (510), so that letters of 9.5 units stay above 9 points on A4.
    """

    svg: str
    words: str
    width_share: float = 1.0
    caption: str = ""


@dataclass(frozen=True, slots=True)
class Blanks:
    """Lines to be filled in by hand, each behind its name; a name may be empty."""

    names: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Signatures:
    """A line to sign on and one for the date, for each of those named."""

    names: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PageBreak:
    """What follows begins a new page, where there are pages."""


Block = Heading | Para | Points | Table | Chart | Picture | Blanks | Signatures | PageBreak


@dataclass(frozen=True, slots=True)
class Document:
    """A whole document: title, a line below it, its blocks; the household's zone and units; when it was made.

    `mark`: what the file is for, in a place that no reader of it sees; files.write_whole() knows its own by it.
    `compact`: less room around headings, and signatures side by side, where a page has to hold all of it.
    """

    title: str
    subtitle: str
    foot: str
    blocks: tuple[Block, ...]
    zone: str
    system: System
    made_at: datetime
    lang: str = "en"
    mark: str = ""
    compact: bool = False

    def words(self, cell: Cell) -> str:
        """A cell as the household reads it."""
        if cell is None:
            return DASH
        if isinstance(cell, Sourced):
            return neat(cell.words)
        if isinstance(cell, Amount):
            return show(cell.si, cell.dimension, self.system)
        if isinstance(cell, datetime):
            here = clock.local(cell, self.zone)
            return f"{_day(here.date(), self.system)}, {clock.echo_hour(here, self.system)}"
        if isinstance(cell, date):
            return _day(cell, self.system)
        return f"{cell:,}" if isinstance(cell, int) else neat(cell)

    def under(self, column: Column, cell: Cell) -> str:
        """A cell as it stands in its column: an amount without the unit that is in the column's head."""
        words = self.words(cell)
        if isinstance(cell, Amount) and cell.dimension == column.dimension:
            return words.removesuffix(unit_word(cell.dimension, self.system)).rstrip()
        return words

    def plain(self, cell: Cell) -> str:
        """A cell for programs: SI numbers without unit, ISO 8601 days and moments."""
        if cell is None:
            return ""
        if isinstance(cell, Sourced):
            return f"{neat(cell.words)} ({neat(cell.source)})"
        if isinstance(cell, Amount):
            return f"{round(cell.si, 3):.15g}"
        if isinstance(cell, datetime):
            return clock.iso(cell)
        if isinstance(cell, date):
            return cell.isoformat()
        return str(cell) if isinstance(cell, int) else neat(cell)


@lru_cache(maxsize=5_000)
def _day(day: date, system: str) -> str:
    return clock.short_date(day, system)


@lru_cache(maxsize=20_000)
def neat(words: str) -> str:
    """Words on one line without control characters; a document says the same words many times."""
    return one_line(words)


def source_of(words: Words) -> str:
    """The source of words, "" where they have none."""
    return neat(words.source) if isinstance(words, Sourced) else ""


def said(words: Words) -> str:
    """Words without their source."""
    return neat(words.words if isinstance(words, Sourced) else words)


def litres(value: float | None) -> Amount | None:
    """A volume as a cell."""
    return None if value is None else Amount(value, "volume")


def table(name: str, columns: Sequence[Column], rows: Sequence[Sequence[Cell]], empty: str = "") -> Table:
    """A table from any sequences."""
    return Table(name, tuple(columns), tuple(map(tuple, rows)), empty or "None in this period.")
