"""One page for the wall by the machine: the valve, the loads, the outlets of two weeks, a table for the pencil, labels.

Words and shapes, no color; one page whatever the size of the household, the pencil table fills the rest.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta

from gwlog import clock
from gwlog.actions import Action, Hint
from gwlog.decisions.rotation import DAYS
from gwlog.decisions.told import first_word
from gwlog.documents.render.paper import MM_PER_PT, Paper, arrow, shortened
from gwlog.documents.render.typeset import paper_for
from gwlog.documents.usual_loads import UsualLoadWay, usual_load_ways
from gwlog.errors import BadInput, GwlogError
from gwlog.files import made_for
from gwlog.household import Household
from gwlog.reference.laundry import LABEL_EVERY_FT
from gwlog.reference.source import CHECK_LOCAL
from gwlog.text import listed

MARK = made_for("card")
EDGE = 12.0
MOST_LOADS = 12
MOST_TURNS = 11
SIZE = 8.6
LEAD = SIZE * MM_PER_PT * 1.45
ROW = 7.0
LABELS_HIGH = 27.0
WAYS = {"garden": "▶ garden", "sewer": "▼ SEWER", "better sewer": "▼ better sewer", "sewer for now": "▼ sewer now"}
PIPE_LABEL = "CAUTION: NONPOTABLE WATER, DO NOT DRINK"


def card(home: Household, *, paper: str | None = None) -> bytes:
    """The card as PDF, one page. Raises GwlogError when the logbook describes no household."""
    if home.state.site is None:
        raise GwlogError("The logbook describes no household that a card can be made of.",
                         hint=Hint("Describe it with: ", Action("setup apply", file="SITE.toml")))
    return _Card(home, paper).bytes()


def schedule(home: Household) -> tuple[list[tuple[str, str]], str | None]:
    """The turns of two weeks as (days, what is where), and a remark; without a plan, where the outlets are now."""
    state = home.state
    places = [("now", f"{name} at {state.outlet_at[name].basin}") for name in state.active_outlets()]
    try:
        plan = home.plan
    except BadInput:
        return places, None
    if not plan.turns:
        return places, plan.note
    rows = [(_days(turn.first, turn.last, home.system), f"{turn.outlet} at {turn.basin}") for turn in plan.turns]
    return rows, plan.note


def after_label(products: tuple[str, ...]) -> str:
    """What comes before a load may go to the garden: “after the label of “market pods” is checked”."""
    return f"after the label of {listed([f'“{name}”' for name in products])} is checked"


def _days(first: date, last: date, system: str) -> str:
    if first == last:
        return clock.echo_day(first, system)
    return f"{clock.echo_day(first, system)} to {clock.echo_day(last, system)}"


class _Card:
    def __init__(self, home: Household, paper: str | None) -> None:
        site = home.state.site
        assert site is not None
        self.home, self.state, self.site = home, home.state, site
        self.day = clock.local_day(home.now, home.zone)
        self.sheet = Paper(title=f"Card for the washing machine: {site.name}",
                           foot=f"{site.name} · made {clock.long_date(self.day, home.system)} · {CHECK_LOCAL}",
                           paper=paper_for(home.system, paper), made_at=home.now, numbered=False, mark=MARK)

    def bytes(self) -> bytes:
        sheet = self.sheet
        self.wide = float(sheet.w) - 2 * EDGE
        sheet.set_y(EDGE)
        self._title()
        self._valve()
        self._two_columns()
        self._pencil()
        self._labels()
        return sheet.finished()

    def _write(self, x: float, words: str, *, size: float = SIZE, bold: bool = False, wide: float = 0.0) -> None:
        """A line at the present height, cut to `wide` mm where given."""
        self.sheet.face(size, bold)
        shown = shortened(self.sheet, words, wide) if wide else self.sheet.signs(words)
        self.sheet.put(x, self.sheet.y + size * MM_PER_PT, shown)

    def _title(self) -> None:
        self._write(EDGE, "Before you start the washing machine", size=17, bold=True, wide=self.wide)
        self.sheet.gap(9)
        first = first_word(self.site)
        if first is not None:
            self._sentences(EDGE, self.wide, (first,), self.sheet.y + 3 * LEAD)

    def _valve(self) -> None:
        sheet, half = self.sheet, (self.wide - 4) / 2
        top, high = sheet.y, 47.0
        loads = usual_load_ways(self.state, self.home.advice.loads)
        to_garden = ", ".join(one.name for one in loads if one.way == "garden" and not one.unchecked) or "plain washes"
        panels = (
            (EDGE, "GARDEN", self._garden_sign, (
                f"{to_garden}.", "When the ground is not soaked or frozen, and everybody is well.",
                "First check that the outlets are where the list below says.")),
            (EDGE + half + 4, "SEWER", self._sewer_sign, (
                "Diapers, soiled or infectious; everything while somebody is ill. Bleach, disinfectant, solvent, "
                "paint, oil, pesticide; drum cleaning. Rain-soaked or frozen ground. Water that stands, runs off "
                "or leaks.",
                "When in doubt: SEWER. Afterward turn back to GARDEN.")),
        )
        for x, name, sign, sentences in panels:
            sheet.set_line_width(0.8)
            sheet.rect(x, top, half, high)
            sheet.set_line_width(0.2)
            sign(x + 12, top + 11)
            sheet.set_y(top + 4.5)
            self._write(x + 26, name, size=20, bold=True)
            sheet.set_y(top + 22)
            self._sentences(x + 3, half - 6, sentences, top + high)
        sheet.set_y(top + high + 3)

    def _sentences(self, x: float, wide: float, sentences: tuple[str, ...], end: float) -> None:
        self.sheet.face(SIZE)
        for sentence in sentences:
            self.sheet.face(SIZE)
            for line in self.sheet.fold(sentence, wide):
                if self.sheet.y + LEAD > end:
                    return
                self._write(x, line)
                self.sheet.gap(LEAD)
            self.sheet.gap(0.6)

    def _garden_sign(self, x: float, y: float) -> None:
        """The valve seen from the front: the water goes on to the right, the way down is shut."""
        sheet = self.sheet
        sheet.set_line_width(0.6)
        sheet.circle(x, y, 6)
        arrow(sheet, ((x - 10, y), (x + 11, y)))
        sheet.set_line_width(0.9)
        sheet.line(x - 3, y + 6, x + 3, y + 6)
        sheet.set_line_width(0.2)

    def _sewer_sign(self, x: float, y: float) -> None:
        """The water goes down, the way to the right is shut."""
        sheet = self.sheet
        sheet.set_line_width(0.6)
        sheet.circle(x, y, 6)
        arrow(sheet, ((x - 10, y), (x, y), (x, y + 9.5)))
        sheet.set_line_width(0.9)
        sheet.line(x + 6, y - 3, x + 6, y + 3)
        sheet.set_line_width(0.2)

    def _two_columns(self) -> None:
        sheet, half = self.sheet, (self.wide - 6) / 2
        top = sheet.y
        self._write(EDGE, "The usual loads", size=11, bold=True)
        sheet.gap(6)
        loads = usual_load_ways(self.state, self.home.advice.loads)
        if not loads:
            self._row(EDGE, half, lambda: self._write(EDGE + 1, "None is described; plain washes with a mild liquid."))
        for one in loads[:MOST_LOADS]:
            def line(one: UsualLoadWay = one) -> None:
                self._write(EDGE + 1, one.name, bold=one.way == "sewer", wide=half - 32)
                self._write(EDGE + half - 28, WAYS[one.way], bold=one.way == "sewer")
                if one.way == "garden" and one.unchecked:
                    sheet.gap(LEAD)
                    self._write(EDGE + 4, after_label(one.unchecked), wide=half - 5)

            self._row(EDGE, half, line)
        if len(loads) > MOST_LOADS:
            self._row(EDGE, half, lambda: self._write(
                EDGE + 1, f"and {len(loads) - MOST_LOADS} more: see the manual"))
        end = sheet.y
        sheet.set_y(top)
        self._schedule(EDGE + half + 6, half)
        sheet.set_y(max(end, sheet.y) + 3)

    def _schedule(self, x: float, wide: float) -> None:
        sheet = self.sheet
        last = self.day + timedelta(days=DAYS - 1)
        self._write(x, f"The outlets until {clock.echo_day(last, self.home.system)}", size=11, bold=True)
        sheet.gap(6)
        rows, remark = schedule(self.home)
        if not rows:
            self._row(x, wide, lambda: self._write(x + 1, "No outlet is described."))
        for when, what in rows[:MOST_TURNS]:
            def line(when: str = when, what: str = what) -> None:
                sheet.rect(x + 0.5, sheet.y + 0.7, 2.8, 2.8)
                self._write(x + 5, when, wide=37)
                self._write(x + 43, what, bold=True, wide=wide - 43)

            self._row(x, wide, line)
        if len(rows) > MOST_TURNS:
            self._row(x, wide, lambda: self._write(x + 5, f"and {len(rows) - MOST_TURNS} turns more: gwlog plan"))
        if remark:
            sheet.gap(0.8)
            self._sentences(x, wide, (remark,), sheet.y + 3 * LEAD)

    def _row(self, x: float, wide: float, draw: Callable[[], object]) -> None:
        draw()
        self.sheet.gap(LEAD + 0.7)
        self.sheet.set_draw_color(150)
        self.sheet.set_line_width(0.1)
        self.sheet.line(x, self.sheet.y - 0.5, x + wide, self.sheet.y - 0.5)
        self.sheet.set_draw_color(0)
        self.sheet.set_line_width(0.2)

    def _pencil(self) -> None:
        sheet = self.sheet
        self._write(EDGE, "Write here by hand; type it into the logbook later (screens: t)", size=11, bold=True)
        sheet.gap(6)
        heads = (("day, time", 0.16), ("load", 0.2), ("went to", 0.12), ("outlet moved to", 0.22), ("who", 0.1),
                 ("note", 0.2))
        bottom = sheet.bottom - LABELS_HIGH
        x = EDGE
        for head, share in heads:
            sheet.face(SIZE, True)
            sheet.put(x + 1, sheet.y + SIZE * MM_PER_PT, head)
            x += share * self.wide
        sheet.gap(5)
        top = sheet.y
        while sheet.y + ROW <= bottom:
            self._write(EDGE + 0.36 * self.wide + 1, "▶☐   ▼☐", size=10)
            sheet.gap(ROW)
            sheet.line(EDGE, sheet.y - 1.2, EDGE + self.wide, sheet.y - 1.2)
        x = EDGE
        for _, share in heads[:-1]:
            x += share * self.wide
            sheet.line(x, top - 1, x, sheet.y - 1.2)

    def _labels(self) -> None:
        sheet = self.sheet
        top = sheet.bottom - LABELS_HIGH + 5
        sheet.set_y(top - 4)
        self._write(EDGE, f"Labels to cut out: the first on the pipe, every {LABEL_EVERY_FT.value:g} ft where it "
                          "shows; the second at the valve.")
        sheet.set_dash_pattern(dash=1.5, gap=1.2)
        half = (self.wide - 4) / 2
        for number, (first, second) in enumerate((
                (PIPE_LABEL, "laundry graywater to the garden"),
                ("▶ GARDEN     ▼ SEWER", "washing machine water; turn before the start; in doubt: SEWER"))):
            x = EDGE + number * (half + 4)
            sheet.rect(x, top + 1.5, half, 15)
            for words, size, y, bold in ((first, 10.5, top + 4, True), (second, SIZE, top + 10.5, False)):
                sheet.set_y(y)
                sheet.face(size, bold)
                # A label is never cut short: it is written smaller where the paper is narrow.
                fitting = size * min(1.0, (half - 4) / sheet.width_of(sheet.signs(words)))
                sheet.face(fitting, bold)
                wide = sheet.width_of(sheet.signs(words))
                self._write(x + (half - wide) / 2, words, size=fitting, bold=bold)
        sheet.set_dash_pattern()
