"""Plan: the fortnight as a sheet, its turns and sewer days with the reasons, and what the garden can use.

A line to type in supposes something else; the plan is then made anew and nothing is logged.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual import work
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.css.query import NoMatches
from textual.timer import Timer
from textual.widget import Widget
from textual.widgets import Static

from gwlog import text
from gwlog.decisions.what_if import what_if
from gwlog.errors import BadInput
from gwlog.faces.present import fortnight
from gwlog.faces.present import plan as plan_page
from gwlog.faces.present.household import Household
from gwlog.faces.tui.cells import fit, plain, stacked
from gwlog.faces.tui.entry_line import EntryLine
from gwlog.faces.tui.place import EVERYWHERE, Place
from gwlog.faces.tui.planning import Planned, supposing

WAIT_S = 0.3
"""How long after the last key the plan is made anew."""

EXAMPLE = "3 loads on saturday, or: no outlet moves before sunday"


class PlanPlace(Place):
    """The third place."""

    DEFAULT_CSS: ClassVar[str] = """
    PlanPlace #body { padding: 0 1; layout: vertical; }
    PlanPlace #ask { height: 1; }
    PlanPlace #ask Static { width: 9; }
    PlanPlace #ask EntryLine { width: 1fr; }
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
    ]
    STRIP = (("w", "what if", "screen.suppose"), ("↑↓", "further", "screen.further"), *EVERYWHERE)

    def __init__(self) -> None:
        super().__init__()
        self.usual: Planned | None = None
        self.made: Planned | None = None
        self.supposed = ""
        self.seen: Household | None = None
        self.timer: Timer | None = None

    def body(self) -> Widget:
        return Vertical(*self.parts(), id="body")

    def parts(self) -> Sequence[Widget]:
        return (
            Horizontal(Static("what if", markup=False), EntryLine(hint=f"w, then: {EXAMPLE}", id="suppose"), id="ask"),
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
        made = await supposing(home, self.supposed) if self.supposed else usual
        if self.seen is home:
            self.usual, self.made = usual, made
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
        self.query_one("#legend", Static).update(plain(fortnight.legend(home, made.plan)))
        self.query_one("#capacity", Static).update(stacked([
            plain("What the garden can use", "bold $primary"),
            *(plain(line) for line in plan_page.capacity_lines(home, made.capacity, width))]))
        told = plan_page.lines(home, made.plan, (right or width) - 1)
        self.query_one("#turns", Static).update(stacked([
            plain("Turns", "bold $primary"),
            *(plain(line, "bold $primary" if line == "To the sewer" else "") for line in told)]))

    def _sheet(self, home: Household, made: Planned, width: int) -> Content:
        assert made.plan is not None
        drawn = fortnight.sheet(home, made.plan, width)
        lines = [Content.styled(line, "dim") for line in drawn.head]
        for row in drawn.rows:
            label = fit(("▸ " if row.today else "  ") + row.label, fortnight.DAY_WIDTH)
            lines.append(Content.assemble(
                (label, "bold" if row.today else "dim" if row.quiet else ""),
                (text.clean(row.basins), ""), (text.clean(row.sewer), "$secondary")))
        return stacked(lines)

    def _heard(self, home: Household) -> Content:
        if not self.supposed:
            plan = self.made.plan if self.made else None
            note = "as the household follows it since Monday" if plan and plan.kept else "as it is best now"
            return plain(f"The coming {len(plan.days)} days, {note}." if plan else "", "dim")
        usual, made = self.usual, self.made
        if usual is None or made is None or usual.plan is None or made.plan is None:
            return plain(made.trouble or "" if made else "", "$text-error")
        read, before, after = home.reader, usual.plan.totals, made.plan.totals
        return Content.assemble(("Supposed, not logged: ", "bold $accent"), plain(
            f"sewer {read.volume(before.sewer_l)} → {read.volume(after.sewer_l)}, "
            f"moves {before.moves} → {after.moves}, "
            f"sinks away {read.volume(before.percolated_l)} → {read.volume(after.percolated_l)}.  esc: as it is"))

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
        home, words = self.seen, text.one_line(self.query_one("#suppose", EntryLine).value)
        if home is None or words == self.supposed:
            return home is not None
        try:
            if words:
                what_if(words, home.now, home.zone)
        except BadInput as fault:
            self.query_one("#heard", Static).update(plain(str(fault), "$text-warning"))
            return False
        self.supposed = words
        self._work_out(home)
        return True

    def action_suppose(self) -> None:
        self.query_one("#suppose", EntryLine).focus()

    def action_further(self) -> None:
        self.query_one("#parts", VerticalScroll).scroll_page_down()

    def action_hush(self) -> None:
        """Back to the plan as it is, and to its keys; then put away what was said."""
        field = self.query_one("#suppose", EntryLine)
        if field.has_focus or field.value:
            field.value = ""
            self.query_one("#parts").focus()
            self._hear()
            if not self.supposed:
                self._draw()
        else:
            super().action_hush()
