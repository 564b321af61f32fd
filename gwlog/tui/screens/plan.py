"""Plan: the fortnight as a sheet, its turns and sewer days with the reasons, and what the garden can use.

Lines to type in suppose something else; the plan is then made anew and nothing is logged. Loads to come are
expected, left out for a day and expected no longer from here.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, ClassVar

from textual import work
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.css.query import NoMatches
from textual.timer import Timer
from textual.widget import Widget
from textual.widgets import Static

from gwlog import text
from gwlog.errors import BadInput
from gwlog.household import Household
from gwlog.tui import hints
from gwlog.tui.planner import FORTNIGHT, Asked, Planned, judge, supposing
from gwlog.tui.screens.base import EVERYWHERE, Place
from gwlog.tui.widgets.cells import fit, plain, stacked
from gwlog.tui.widgets.entry_line import EntryLine
from gwlog.views import plan as plan_page
from gwlog.views import plan_sheet

if TYPE_CHECKING:
    from gwlog.decisions.plan_cost import Totals

WAIT_S = 0.3
"""How long after the last key the plan is made anew."""

EXAMPLE = "3 loads on saturday, or: no outlet moves before sunday"
WEIGHTS = "move=15,sewer=2 (unmet, percolated, left)"
FIELDS = ("#suppose", "#days", "#weights")


class PlanPlace(Place):
    """The third place."""

    DEFAULT_CSS: ClassVar[str] = """
    PlanPlace #body { padding: 0 1; layout: vertical; }
    PlanPlace #ask, PlanPlace #more { height: 1; }
    PlanPlace #more { display: none; }
    PlanPlace.-more #more { display: block; }
    PlanPlace #ask Static, PlanPlace #more Static { width: 9; }
    PlanPlace EntryLine { width: 1fr; }
    PlanPlace #more #days { width: 12; margin-right: 2; }
    PlanPlace Static { height: auto; }
    PlanPlace #heard { margin-bottom: 1; }
    PlanPlace #parts { height: 1fr; scrollbar-gutter: stable; }
    PlanPlace #sheet { text-wrap: nowrap; text-overflow: clip; }
    PlanPlace #left, PlanPlace #right { height: auto; }
    PlanPlace.-wide #both { layout: horizontal; height: auto; }
    PlanPlace.-wide #left { width: 3fr; padding-right: 2; }
    PlanPlace.-wide #right { width: 2fr; }
    PlanPlace #both { height: auto; }
    PlanPlace.-narrow #turns { margin-top: 1; }
    """
    KEY = "plan"
    AUTO_FOCUS = "#parts"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("w", "suppose", "suppose something and see the plan for it; nothing is logged"),
        Binding("g", "more", "other days or weights: see the plan for them; nothing is logged"),
        Binding("a", "expect", "expect a load, once or again and again"),
        Binding("k", "skip", "leave out a day of a planned load"),
        Binding("x", "drop", "expect a planned load no longer"),
    ]
    STRIP = (("w", "what if", "screen.suppose"), ("g", "days, weights", "screen.more"),
             ("a", "expect a load", "screen.expect"), ("k", "skip a day", "screen.skip"),
             ("x", "no longer", "screen.drop"), ("↑↓", "further", "screen.further"),
             *EVERYWHERE[:3], *EVERYWHERE[-3:])

    def __init__(self) -> None:
        super().__init__()
        self.made: Planned | None = None
        self.asked = self.made_for = Asked()
        self.seen: Household | None = None
        self.timer: Timer | None = None

    def body(self) -> Widget:
        return Vertical(*self.parts(), id="body")

    def parts(self) -> Sequence[Widget]:
        return (
            Horizontal(Static("what if", markup=False), EntryLine(hint=f"w, then: {EXAMPLE}", id="suppose"), id="ask"),
            Horizontal(Static("days", markup=False), EntryLine(hint=str(FORTNIGHT), id="days"),
                       Static("weights", markup=False), EntryLine(hint=WEIGHTS, id="weights"), id="more"),
            Static(id="heard", markup=False),
            VerticalScroll(
                Widget(
                    Vertical(Static(id="sheet", markup=False), Static(id="legend", classes="dim", markup=False),
                             Static(id="capacity", classes="gap", markup=False), id="left"),
                    Vertical(Static(id="turns", markup=False), id="right"),
                    id="both",
                ), id="parts"),
        )

    def fill(self, home: Household) -> None:
        if self.seen is not home:
            self.seen = home
            if self.made is None:
                self.query_one("#heard", Static).update(plain("Working the fortnight out …", "dim"))
            self._work_out(home)
        else:
            self._draw()

    def on_resize(self) -> None:
        """Draw anew for the width there is."""
        self.call_after_refresh(self._draw)

    @work(exclusive=True, group="plan")
    async def _work_out(self, home: Household) -> None:
        usual = await self.screens.planner.plans(home)
        asked = self.asked
        made = await supposing(home, asked) if asked else usual
        if self.seen is home and self.asked == asked:
            self.made, self.made_for = made, asked
            self._draw()

    def _draw(self) -> None:
        home, made = self.seen, self.made
        if home is None or made is None:
            return
        try:
            left, right = self.query_one("#left").size.width, self.query_one("#right").size.width
            heard = self.query_one("#heard", Static)
        except NoMatches:
            return
        width = (left - 2 if self.has_class("-wide") else left) or self.size.width - 4
        heard.update(self._heard(home))
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
        told = plan_page.lines(home, made.plan, (right or width) - 1)
        self.query_one("#turns", Static).update(stacked([
            plain("Turns", "bold $primary"),
            *(plain(line, "bold $primary" if line == "To the sewer" else "") for line in told)]))

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

    def _heard(self, home: Household) -> Content:
        made = self.made
        plan = made.plan if made else None
        if not self.asked:
            note = "as the household follows it since Monday" if plan and plan.kept else "as it is best now"
            return plain(f"The coming {len(plan.days)} days, {note}." if plan else "", "dim")
        if self.made_for != self.asked:
            return plain("Planning anew …", "dim")
        if made is None or plan is None:
            return plain(made.trouble or "" if made else "", "$text-error")
        days = "" if len(plan.days) == FORTNIGHT else f" for {text.plural(len(plan.days), 'day')}"
        new = _figures(home, plan.totals)
        old = _figures(home, made.before) if made.before else new
        told = ", ".join(f"{word} {then} → {now}" if made.before else f"{word} {now}" for word, then, now
                         in zip(("sewer", "moves", "sinks away"), old, new, strict=True))
        return Content.assemble((f"Supposed{days}, not logged: ", "bold $accent"), plain(f"{told}.  esc: as it is"))

    def on_input_changed(self) -> None:
        """Plan anew a moment after the last key."""
        if self.timer is not None:
            self.timer.stop()
        self.timer = self.set_timer(WAIT_S, self._hear)

    def on_input_submitted(self) -> None:
        """Plan anew at once, and let the keys move the sheet again."""
        if self._hear():
            self.query_one("#parts").focus()

    def _hear(self) -> bool:
        """Take what is typed as supposed where it is understood, else say what would be."""
        if self.timer is not None:
            self.timer.stop()
        home = self.seen
        asked = Asked(*(text.one_line(self.query_one(field, EntryLine).value) for field in FIELDS))
        if home is None or asked == self.asked:
            return home is not None
        try:
            judge(home, asked)
        except BadInput as fault:
            self.query_one("#heard", Static).update(plain(hints.told(fault, " "), "$text-warning"))
            return False
        self.asked = asked
        if asked:
            self.query_one("#heard", Static).update(self._heard(home))
        self._work_out(home)
        return True

    def action_suppose(self) -> None:
        self.query_one("#suppose", EntryLine).focus()

    def action_more(self) -> None:
        self.add_class("-more")
        self.query_one("#days", EntryLine).focus()

    def action_expect(self) -> None:
        from gwlog.tui.forms.planned_loads import EXPECT

        self.screens.open_form(EXPECT)

    def action_skip(self) -> None:
        from gwlog.tui.forms.planned_loads import SKIP

        self.screens.open_form(SKIP)

    def action_drop(self) -> None:
        from gwlog.tui.forms.planned_loads import DROP

        self.screens.open_form(DROP)

    def action_further(self) -> None:
        self.query_one("#parts", VerticalScroll).scroll_page_down()

    def action_hush(self) -> None:
        """Back to the plan as it is, and to its keys; then put away what was said."""
        fields = [self.query_one(field, EntryLine) for field in FIELDS]
        if self.has_class("-more") or any(field.has_focus or field.value for field in fields):
            for field in fields:
                field.value = ""
            self.query_one("#parts").focus()
            self.remove_class("-more")
            self._hear()
            if not self.asked:
                self._draw()
        else:
            super().action_hush()


def _figures(home: Household, totals: Totals) -> tuple[str, str, str]:
    read = home.reader
    return read.volume(totals.sewer_l), str(totals.moves), read.volume(totals.percolated_l)
