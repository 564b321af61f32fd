"""Plan: the fortnight as a sheet, its turns and sewer days with the reasons, and what the garden can use.

Lines to type in suppose something else; the plan is then made anew and nothing is logged. Loads to come are
expected, left out for a day and expected cancel a planned load from here.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, ClassVar

from textual import work
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.css.query import NoMatches
from textual.widget import Widget
from textual.widgets import Static

from gwlog import text
from gwlog.errors import BadInput
from gwlog.household import Household
from gwlog.tui import key_hints
from gwlog.tui.keys import EVERYWHERE
from gwlog.tui.planner import FORTNIGHT, Asked, Planned, judge, supposing
from gwlog.tui.screens.base import HouseholdScreen
from gwlog.tui.widgets.cells import fit, plain, stacked
from gwlog.tui.widgets.entry_line import EntryLine
from gwlog.tui.widgets.labelled_row import LabelledRow
from gwlog.tui.widgets.validation import TypingPause
from gwlog.views import plan as plan_page
from gwlog.views import plan_sheet

if TYPE_CHECKING:
    from gwlog.decisions.plan_cost import Totals

WAIT_S = 0.3
"""How long after the last key the plan is made again."""

EXAMPLE = "3 loads on saturday, or: no outlet moves before sunday"
WEIGHTS = "move=15,sewer=2 (thirst, sinking, left)"
FIELDS = ("#suppose", "#days", "#weights")


class PlanScreen(TypingPause, HouseholdScreen):
    """Plan."""

    DEFAULT_CSS: ClassVar[str] = """
    PlanScreen #body { layout: vertical; }
    PlanScreen #more { display: none; }
    PlanScreen.-more #more { display: block; }
    PlanScreen #more #days { width: 12; margin-right: 2; }
    PlanScreen #weights-label { width: 9; }
    PlanScreen Static { height: auto; }
    PlanScreen #about { margin-bottom: 1; }
    PlanScreen #parts { height: 1fr; scrollbar-gutter: stable; }
    PlanScreen #sheet { text-wrap: nowrap; text-overflow: clip; }
    PlanScreen #left, PlanScreen #right { height: auto; }
    PlanScreen.-wide #both { layout: horizontal; height: auto; }
    PlanScreen.-wide #left { width: 3fr; padding-right: 2; }
    PlanScreen.-wide #right { width: 2fr; }
    PlanScreen #both { height: auto; }
    PlanScreen.-narrow #turns { margin-top: 1; }
    """
    NAME = "plan"
    AUTO_FOCUS = "#parts"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("w", "suppose", "try a “what if” and see its plan; nothing is logged"),
        Binding("g", "more", "plan for other days or weights; nothing is logged"),
        Binding("a", "expect", "add a planned load, once or repeated"),
        Binding("k", "skip", "skip a day of a planned load"),
        Binding("x", "drop", "cancel a planned load"),
    ]
    FOOTER_KEYS = (("w", "what if", "screen.suppose"), ("g", "days, weights", "screen.more"),
             ("a", "add a load", "screen.expect"), ("k", "skip a day", "screen.skip"),
             ("x", "cancel a load", "screen.drop"), ("↑↓", "scroll", "screen.further"),
             *EVERYWHERE[:3], *EVERYWHERE[-3:])

    def __init__(self) -> None:
        super().__init__()
        self.made: Planned | None = None
        self.asked = self.made_for = Asked()
        self.home: Household | None = None

    def body(self) -> Widget:
        return Vertical(*self.parts(), id="body")

    def parts(self) -> Sequence[Widget]:
        return (
            LabelledRow("what if", EntryLine(hint=f"w, then: {EXAMPLE}", id="suppose"), width=9),
            LabelledRow("days", EntryLine(hint=str(FORTNIGHT), id="days"), Static("weights", id="weights-label"),
                        EntryLine(hint=WEIGHTS, id="weights"), width=9, id="more"),
            Static(id="about", markup=False),
            VerticalScroll(
                Widget(
                    Vertical(Static(id="sheet", markup=False), Static(id="legend", classes="dim", markup=False),
                             Static(id="capacity", classes="gap", markup=False), id="left"),
                    Vertical(Static(id="turns", markup=False), id="right"),
                    id="both",
                ), id="parts"),
        )

    def fill(self, home: Household) -> None:
        if self.home is not home:
            self.home = home
            if self.made is None:
                self.query_one("#about", Static).update(plain("Planning the next two weeks …", "dim"))
            self._work_out(home)
        else:
            self._draw()

    def on_resize(self) -> None:
        """Draw anew for the width there is."""
        self.call_after_refresh(self._draw)

    @work(exclusive=True, group="plan")
    async def _work_out(self, home: Household) -> None:
        usual = await self.host.planner.plans(home)
        asked = self.asked
        made = await supposing(home, asked) if asked else usual
        if self.home is home and self.asked == asked:
            self.made, self.made_for = made, asked
            self._draw()

    def _draw(self) -> None:
        home, made = self.home, self.made
        if home is None or made is None:
            return
        try:
            left, right = self.query_one("#left").size.width, self.query_one("#right").size.width
            about = self.query_one("#about", Static)
        except NoMatches:
            return
        width = (left - 2 if self.has_class("-wide") else left) or self.size.width - 4
        about.update(self._about(home))
        if made.plan is None or made.capacity is None:
            self.query_one("#sheet", Static).update(plain(made.trouble or ""))
            for part in ("#legend", "#capacity", "#turns"):
                self.query_one(part, Static).update(Content(""))
            return
        self.query_one("#sheet", Static).update(self._sheet(home, made, width))
        self.query_one("#legend", Static).update(plain(plan_sheet.legend(home, made.plan)))
        self.query_one("#capacity", Static).update(stacked([
            plain("What the garden can use", "bold $primary"),
            *(plain(line) for line in plan_page.capacity_lines(home, made.capacity, width))]))
        lines = plan_page.lines(home, made.plan, (right or width) - 1, key_hints.words)
        self.query_one("#turns", Static).update(stacked([
            plain("Turns", "bold $primary"),
            *(plain(line, "bold $primary" if line == "To the sewer" else "") for line in lines)]))

    def _sheet(self, home: Household, made: Planned, width: int) -> Content:
        assert made.plan is not None
        drawn = plan_sheet.sheet(home, made.plan, width)
        lines = [Content.styled(line, "dim") for line in drawn.head]
        for row in drawn.rows:
            label = fit(("▸ " if row.today else "  ") + row.label, plan_sheet.DAY_WIDTH)
            lines.append(Content.assemble(
                (label, "bold" if row.today else "dim" if row.quiet else ""),
                (text.clean(row.basins), ""), (text.clean(row.sewer), "$secondary")))
        return stacked(lines)

    def _about(self, home: Household) -> Content:
        made = self.made
        plan = made.plan if made else None
        if not self.asked:
            note = ("You have followed this plan since Monday." if plan and plan.kept else
                    "This is the best plan from today.")
            return plain(f"The next {len(plan.days)} days. {note}" if plan else "", "dim")
        if self.made_for != self.asked:
            return plain("Planning again …", "dim")
        if made is None or plan is None:
            return plain(made.trouble or "" if made else "", "$text-error")
        days = "" if len(plan.days) == FORTNIGHT else f" for {text.plural(len(plan.days), 'day')}"
        new = _figures(home, plan.totals)
        old = _figures(home, made.before) if made.before else new
        changes = ", ".join(f"{word} {then} → {now}" if made.before else f"{word} {now}" for word, then, now
                         in zip(("to the sewer", "moves", "sinks below the roots"), old, new, strict=True))
        return Content.assemble((f"What if{days}, nothing logged: ", "bold $accent"),
                                plain(f"{changes}.  esc: back to the real plan"))

    def on_input_changed(self) -> None:
        """Plan again a moment after the last key."""
        self.after_pause(WAIT_S, self._read)

    def on_input_submitted(self) -> None:
        """Plan again at once, and let the keys move the sheet again."""
        if self._read():
            self.query_one("#parts").focus()

    def _read(self) -> bool:
        """Take what is typed as supposed where it is understood, else say what would be."""
        self.end_pause()
        home = self.home
        asked = Asked(*(text.one_line(self.query_one(field, EntryLine).value) for field in FIELDS))
        if home is None or asked == self.asked:
            return home is not None
        try:
            judge(home, asked)
        except BadInput as fault:
            self.query_one("#about", Static).update(plain(key_hints.refused(fault, " "), "$text-warning"))
            return False
        self.asked = asked
        if asked:
            self.query_one("#about", Static).update(self._about(home))
        self._work_out(home)
        return True

    def action_suppose(self) -> None:
        self.query_one("#suppose", EntryLine).focus()

    def action_more(self) -> None:
        self.add_class("-more")
        self.query_one("#days", EntryLine).focus()

    def action_expect(self) -> None:
        from gwlog.app.forms.planned_loads import EXPECT

        self.host.open_form(EXPECT)

    def action_skip(self) -> None:
        from gwlog.app.forms.planned_loads import SKIP

        self.host.open_form(SKIP)

    def action_drop(self) -> None:
        from gwlog.app.forms.planned_loads import DROP

        self.host.open_form(DROP)

    def action_further(self) -> None:
        self.query_one("#parts", VerticalScroll).scroll_page_down()

    def action_clear_message(self) -> None:
        """Back to the plan as it is, and to its keys; then put away the message."""
        fields = [self.query_one(field, EntryLine) for field in FIELDS]
        if self.has_class("-more") or any(field.has_focus or field.value for field in fields):
            for field in fields:
                field.value = ""
            self.query_one("#parts").focus()
            self.remove_class("-more")
            self._read()
            if not self.asked:
                self._draw()
        else:
            super().action_clear_message()


def _figures(home: Household, totals: Totals) -> tuple[str, str, str]:
    read = home.reader
    return read.volume(totals.sewer_l), str(totals.moves), read.volume(totals.percolated_l)
