"""A sheet of paper for the card: fonts, margins, headings, paragraphs, lists; black on white, Letter or A4.

Lengths in mm, type in points.
"""

from __future__ import annotations

import logging
from collections.abc import Sequence
from datetime import datetime
from functools import lru_cache
from itertools import pairwise
from math import sqrt
from pathlib import Path
from unicodedata import bidirectional

from fpdf import FPDF
from fpdf.bidi import BidiParagraph
from fpdf.enums import TextDirection

from gwlog.documents.render.blocks import neat

FONTS = Path(__file__).with_name("fonts")
FACE = "gwlog"
MARGIN = 18.0
FOOT = 16.0
BODY = 9.5
SMALL = 7.6
MM_PER_PT = 25.4 / 72
KEPT = 4_000
"""Of so many words their form on paper is kept: what is said again is mostly said soon."""

UNKNOWN_SIGN = "\N{REPLACEMENT CHARACTER}"


def in_order(words: str) -> str:
    """One line's signs in the order in which they are seen: Hebrew and Arabic run from right to left (Unicode TR9)."""
    if words.isascii() or not any(bidirectional(sign) in ("R", "AL") for sign in words):
        return words
    return BidiParagraph(words, base_direction=TextDirection.LTR).get_reordered_string()


class Paper(FPDF):
    """One document on paper. `foot` stands at the foot of every page, with its number if `numbered`.

    `mark`: what the file is for (see gwlog.files).
    """

    def __init__(self, *, title: str, foot: str, paper: str, made_at: datetime, lang: str = "en",
                 numbered: bool = True, mark: str = "") -> None:
        self.numbered = numbered
        super().__init__(unit="mm", format=paper)
        for style, name in (("", "DejaVuSansCondensed.ttf"), ("B", "DejaVuSansCondensed-Bold.ttf")):
            self.add_font(FACE, style, FONTS / name)
        self.encoded = lru_cache(maxsize=KEPT)(self._encoded)
        self._known = frozenset(getattr(self.fonts[FACE], "cmap", ()))
        self.signs = lru_cache(maxsize=KEPT)(self._signs)
        self.wrapped = lru_cache(maxsize=KEPT)(self._wrapped)
        self._advances: dict[bool, dict[str, float]] = {False: {}, True: {}}
        self.foot_words = self.signs(foot)
        self.head_words = self.signs(title)
        self.set_title(self.head_words)
        self.set_lang(lang)
        self.set_creator("gwlog")
        self.set_keywords(mark)
        self.set_producer("gwlog")
        self.set_creation_date(made_at)
        self.set_margins(MARGIN, MARGIN, MARGIN)
        self.set_auto_page_break(False)
        self.set_line_width(0.2)
        self.face(BODY)
        self.add_page()

    # --- signs and widths ------------------------------------------------------------------------------------

    def _signs(self, words: str) -> str:
        """Words with every sign that the typeface lacks shown as �, so that nothing vanishes unseen."""
        kept = neat(words)
        if kept.isascii():
            return kept
        return "".join(sign if ord(sign) in self._known else UNKNOWN_SIGN for sign in kept)

    def face(self, size: float, bold: bool = False) -> None:
        """Choose the type size [pt] and weight."""
        if size != self.font_size_pt or bold != ("B" in self.font_style) or self.font_family != FACE:
            self.set_font(FACE, "B" if bold else "", size)

    def width_of(self, words: str) -> float:
        """How wide words are in the present type [mm]; the typeface sets every sign by itself, without kerning."""
        known = self._advances["B" in self.font_style]
        try:
            return self.font_size_pt * sum(map(known.__getitem__, words))
        except KeyError:
            for sign in set(words) - known.keys():
                known[sign] = self.get_string_width(sign) / self.font_size_pt
            return self.width_of(words)

    def fold(self, words: str, width: float) -> tuple[str, ...]:
        """Words folded to a width [mm] in the present type; a word that is too long is cut."""
        return self.wrapped(self.signs(words), round(width, 2), self.font_size_pt, "B" in self.font_style)

    def _wrapped(self, words: str, width: float, size: float, bold: bool) -> tuple[str, ...]:
        if not words:
            return ("",)
        if self.width_of(words) <= width:
            return (words,)
        space = self.width_of(" ")
        lines: list[str] = []
        line, used = "", 0.0
        for word in words.split(" "):
            wide = self.width_of(word)
            if line and used + space + wide <= width:
                line, used = f"{line} {word}", used + space + wide
                continue
            if line:
                lines.append(line)
            while wide > width and len(word) > 1:
                cut = self._cut(word, width)
                lines.append(word[:cut])
                word = word[cut:]
                wide = self.width_of(word)
            line, used = word, wide
        lines.append(line)
        return tuple(lines)

    def _cut(self, word: str, width: float) -> int:
        """How many signs of a word fit, at least one."""
        total = 0.0
        for number, sign in enumerate(word):
            total += self.width_of(sign)
            if total > width:
                return max(1, number)
        return len(word)

    def put(self, x: float, y: float, words: str) -> None:
        """Write words on the baseline `y` [mm]; the same as text(), without encoding the same words anew."""
        self.put_all([(x, y, words)])

    def put_all(self, placed: Sequence[tuple[float, float, str]]) -> None:
        """The same of many words, each with its `x` and `y`, as a row of a table has them.

        A record of ten years repeats the same words a hundred thousand times.
        """
        if not self.current_font_is_set_on_page or self.fill_color != self.text_color:
            for x, y, words in placed:
                self.text(x, y, in_order(words))
        elif placed:
            k, high, bold = self.k, self.h, "B" in self.font_style
            self._out("\n".join([f"BT {x * k:.2f} {(high - y) * k:.2f} Td {self.encoded(words, bold)} ET"
                                 for x, y, words in placed]))

    def _encoded(self, words: str, bold: bool) -> str:
        assert self.current_font is not None
        return str(self.current_font.encode_text(in_order(words)))

    # --- the page --------------------------------------------------------------------------------------------

    @property
    def bottom(self) -> float:
        """Where the text of a page ends [mm from the top]."""
        return float(self.h) - FOOT - 2

    @property
    def measure(self) -> float:
        """The width of the text [mm]."""
        return float(self.w) - 2 * MARGIN

    def header(self) -> None:
        """The title in small type, from the second page on."""
        if self.page_no() == 1:
            return
        self.face(SMALL)
        self.text(MARGIN, 11, self.head_words)
        self.line(MARGIN, 13, self.w - MARGIN, 13)
        self.set_y(MARGIN)

    def footer(self) -> None:
        """The foot line and the page's number."""
        self.face(SMALL)
        y = self.h - FOOT + 6
        self.line(MARGIN, y - 4, self.w - MARGIN, y - 4)
        self.text(MARGIN, y, self.fold(self.foot_words, self.measure - 30)[0])
        if self.numbered:
            # {nb} becomes the number of pages when the file is written, which only cell() prepares
            self.set_xy(self.w - MARGIN - self.width_of(f"{self.page_no()} of 88"), y - 3)
            self.cell(20, 4, f"{self.page_no()} of {{nb}}")

    def hairline(self, y: float) -> None:
        """A thin grey line across the text, as between the rows of a table."""
        x1, x2, k = MARGIN * self.k, (self.w - MARGIN) * self.k, (self.h - y) * self.k
        self._out(f"q 0.6 G 0.28 w {x1:.2f} {k:.2f} m {x2:.2f} {k:.2f} l S Q")

    def need(self, height: float) -> None:
        """Begin a new page when `height` mm do not fit any more."""
        if self.y + height > self.bottom:
            self.add_page()
            self.set_xy(MARGIN, MARGIN)

    def gap(self, height: float) -> None:
        """Leave some space [mm]."""
        self.set_y(self.y + height)

    # --- words -----------------------------------------------------------------------------------------------

    def lines(self, words: Sequence[str], x: float, size: float, *, bold: bool = False, lead: float = 1.42) -> None:
        """Write folded lines below each other from the present height, over pages where needed."""
        height = size * MM_PER_PT * lead
        for line in words:
            self.need(height)
            self.face(size, bold)
            self.put(x, self.y + height * 0.76, line)
            self.set_y(self.y + height)

    def write_title(self, words: str, under: str) -> None:
        """The document's title and the line below it."""
        self.face(18, True)
        self.lines(self.fold(words, self.measure), MARGIN, 18, bold=True, lead=1.25)
        self.face(11)
        self.lines(self.fold(under, self.measure), MARGIN, 11)
        self.gap(2)

    def heading(self, words: str, level: int = 1) -> None:
        """A heading, kept with what follows, and an entry in the outline."""
        self.need(38 if level == 1 else 24)
        self.gap(5 if level == 1 else 3)
        if level == 1:
            self.set_line_width(0.5)
            self.line(MARGIN, self.y, self.w - MARGIN, self.y)
            self.set_line_width(0.2)
            self.gap(1.5)
        self.start_section(self.signs(words), level - 1, strict=False)
        size = 13.0 if level == 1 else 10.5
        self.face(size, True)
        self.lines(self.fold(words, self.measure), MARGIN, size, bold=True)
        self.gap(1)

    def para(self, words: str, *, strong: bool = False, size: float = BODY) -> None:
        """A paragraph; a strong one is boxed."""
        self.face(size, strong)
        if not strong:
            self.lines(self.fold(words, self.measure), MARGIN, size)
            self.gap(1.5)
            return
        folded = self.fold(words, self.measure - 6)
        height = len(folded) * size * MM_PER_PT * 1.42 + 3
        self.need(height)
        self.set_line_width(0.5)
        self.rect(MARGIN, self.y, self.measure, height)
        self.set_line_width(0.2)
        self.gap(1.5)
        self.lines(folded, MARGIN + 3, size, bold=True)
        self.gap(3.5)

    def points(self, words: Sequence[str], *, size: float = BODY, numbered: bool = False) -> None:
        """A list of sentences, with a dash or a number before each."""
        height = size * MM_PER_PT * 1.42
        for number, sentence in enumerate(words, 1):
            self.face(size)
            folded = self.fold(sentence, self.measure - 6)
            self.need(height * min(2, len(folded)))
            self.text(MARGIN, self.y + height * 0.76, f"{number}." if numbered else "–")
            self.lines(folded, MARGIN + 6, size)
            self.gap(0.6)
        self.gap(1.5)

    def finished(self) -> bytes:
        """The file's bytes. What the typeface lacks has been replaced, so there is nothing to warn of."""
        logger = logging.getLogger("fpdf.output")
        level = logger.level
        logger.setLevel(logging.ERROR)
        try:
            return bytes(self.output())
        finally:
            logger.setLevel(level)


def shortened(sheet: Paper, words: str, wide: float) -> str:
    """Words cut with an ellipsis so that they fit a width in the present type."""
    kept = sheet.signs(words)
    if sheet.width_of(kept) <= wide:
        return kept
    while kept and sheet.width_of(f"{kept}…") > wide:
        kept = kept[:-1]
    return f"{kept.rstrip()}…"


def arrow(sheet: Paper, points: tuple[tuple[float, float], ...], *, dashed: bool = False, tip: bool = True) -> None:
    """A line through points; at its end a filled tip in the direction of the last stretch."""
    if dashed:
        sheet.set_dash_pattern(dash=1.2, gap=1.0)
    sheet.set_line_width(0.25 if dashed else 0.5)
    for (x1, y1), (x2, y2) in pairwise(points):
        sheet.line(x1, y1, x2, y2)
    sheet.set_dash_pattern()
    sheet.set_line_width(0.2)
    if tip:
        (x1, y1), (x2, y2) = points[-2:]
        long = sqrt((x2 - x1) ** 2 + (y2 - y1) ** 2) or 1.0
        ux, uy = (x2 - x1) / long, (y2 - y1) / long
        sheet.set_fill_color(0)
        sheet.polygon([(x2, y2), (x2 - 2.2 * ux - uy, y2 - 2.2 * uy + ux), (x2 - 2.2 * ux + uy, y2 - 2.2 * uy - ux)],
                      style="F")
