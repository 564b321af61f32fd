"""Today: the next load and its answer, where the valve and the outlets stand, what is due, how each basin stands.

One key logs the next load as advised. Things to do can be chosen: Enter opens the form that notes them.
"""

from __future__ import annotations

import asyncio
from collections.abc import Sequence
from typing import TYPE_CHECKING, ClassVar

from rich.cells import cell_len
from textual import work
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from gwlog import text
from gwlog.errors import AnswerChanged, GwlogError
from gwlog.tui.keys import EVERYWHERE
from gwlog.tui.screens.base import HouseholdScreen
from gwlog.tui.theme import STANDING_TONES
from gwlog.tui.widgets.cells import fit, plain, stacked
from gwlog.tui.widgets.reminder_list import ReminderList

if TYPE_CHECKING:
    from gwlog.household import Household
    from gwlog.views.basins import BasinView


LOW = 20
"""Rows of a screen on which why an answer is as it is has to be asked for."""


class Basins(Static):
    """The basins, a row each; wider screens show more of each."""

    DEFAULT_CSS: ClassVar[str] = "Basins { height: auto; text-wrap: nowrap; text-overflow: ellipsis; }"

    def __init__(self) -> None:
        super().__init__(markup=False)
        self.rows: list[BasinView] = []

    def show(self, rows: list[BasinView]) -> None:
        self.rows = rows
        self.refresh(layout=True)

    def get_content_height(self, *_: object) -> int:
        return max(1, len(self.rows) + 1)

    def render(self) -> Content:
        if not self.rows:
            return Content.styled("No basin is described yet.", "dim")
        width = self.content_size.width or 76
        longest = max(cell_len(row.name) for row in self.rows)
        stand = max(8, *(cell_len(row.short_standing) for row in self.rows))
        name = min(longest, max(10, width - (57 if width >= 70 else 43)))
        tails = [row.tail.removeprefix("room ") for row in self.rows]
        tail = max(8, *map(cell_len, tails))
        # a narrow screen leaves out the figure that the bar shows
        missing = max(7, *(cell_len(row.missing) for row in self.rows)) if width >= 70 else 0
        fixed = stand + name + tail + missing + 7   # two columns of the sign, five of space
        wide = width >= fixed + 50
        bar = 25 if wide else max(5, min(13, width - fixed))
        beyond = width - fixed - bar - 10
        head = (f"{'standing':{stand + 2}} {'basin':{name}} {'can take':{tail}} {fit('root zone', bar)} "
                f"{fit('missing', missing)} " + ("mulch    outlet" if wide else ""))
        lines = [Content.styled(head[:width], "dim")]
        for row, room in zip(self.rows, tails, strict=True):
            lines.append(Content.assemble(
                (f"{row.shape} {fit(row.short_standing, stand)}", f"bold {STANDING_TONES[row.standing]}"), " ",
                (fit(row.name, name), "bold"), " ", fit(room, tail), " ",
                fit(row.gauge(bar), bar), " ", fit(row.missing, missing), " ",
                fit(row.cover, 9) + fit(f"◆ {row.outlets}" if row.outlets else "", beyond) if wide else ""))
        return stacked(lines)


class TodayScreen(HouseholdScreen):
    """Today."""

    DEFAULT_CSS: ClassVar[str] = """
    TodayScreen #loads-title, TodayScreen #loads { display: none; }
    TodayScreen #next { height: auto; }
    TodayScreen #undelivered { display: none; height: auto; color: $text-warning; }
    TodayScreen #undelivered.-some { display: block; }
    TodayScreen.-wide #loads-title, TodayScreen.-wide #loads { display: block; height: auto; }
    """
    NAME = "today"
    ONCE = True
    AUTO_FOCUS = "ReminderList"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("y", "next_load", "log the next load as advised"),
        Binding("A", "everything", "show or hide reminders marked seen or put off"),
    ]
    FOOTER_KEYS = (("y", "next load", "screen.next_load"), *EVERYWHERE[:-2], ("a", "seen", "screen.answer(False)"),
                   ("z", "later", "screen.answer(True)"), ("A", "all", "screen.everything"), *EVERYWHERE[-2:])

    def __init__(self) -> None:
        super().__init__()
        self.everything = False

    def parts(self) -> Sequence[Widget]:
        return (
            Static(id="next", markup=False),
            Static(id="places", classes="gap", markup=False),
            Static(id="undelivered", classes="gap", markup=False),
            Static("To do", classes="title gap", id="to-do", markup=False),
            ReminderList(),
            Static("Basins", classes="title gap", markup=False),
            Basins(),
            Static("If a load ran now", classes="title gap", id="loads-title", markup=False),
            Static(id="loads", markup=False),
        )

    def fill(self, home: Household) -> None:
        from gwlog.views.basins import basin_views
        from gwlog.views.valve_and_outlets import place_rows

        self.query_one("#next", Static).update(self._next(home))
        rows = place_rows(home)
        wide = max(cell_len(what) for what, _, _ in rows)
        stands = max(cell_len(where) for _, where, _ in rows)
        self.query_one("#places", Static).update(stacked([
            Content.assemble((fit(what, wide), ""), "  ", (fit(where, stands), "bold"), "  ", (when, "dim"))
            for what, where, when in rows]
            + ([Content.styled(f"{text.plural(len(home.problems), 'thing does', 'things do')} not fit together "
                               "in the log: 4, then i.", "$text-warning")] if home.problems else [])))
        self.query_one(Basins).show(basin_views(home))
        self._list(home)
        self._list_undelivered(home)
        self.query_one("#loads", Static).update(self._loads(home))

    def _next(self, home: Household) -> Content:
        """The next load, what to do for it, and why; what the machine still does."""
        from gwlog.tui import key_hints
        from gwlog.views import answers, next_load

        width, high = max(30, self.app.size.width - 5), self.app.size.height
        found = next_load.draining(home)
        lines = [] if found is None else [
            plain(line, "bold $warning") for line in text.wrap(
                key_hints.words(next_load.draining_line(home, found)), width, indent="↻ ", hang="  ")]
        coming = next_load.next_loads(home)
        if not coming:
            return stacked([*lines, plain("No load is expected. l says where a load may go now.", "bold")])
        answer = coming[0]
        lines += [Content.assemble((next_load.title(home, answer), "bold"), "   ", ("y", "bold underline"),
                                   " logs it as advised"),
                  plain(next_load.answer_words(answer), "bold")]
        if (first := next_load.permission_line(home, coming[:1])) is not None:
            lines += [plain(line, "$text-warning") for line in text.wrap(first, width, indent="  ", hang="    ")]
        steps = answers.before(answer)
        if not steps:
            lines.append(plain("  Nothing to do first."))
        for number, step in enumerate(steps):
            lines += [plain(line) for line in text.wrap(
                step, width, indent="  first: " if not number else "  then: ", hang="         ")]
        if high > LOW:
            lines += [plain(line, "dim") for line in text.wrap(answer.why, width, indent="  why: ", hang="       ")[:2]]
        return stacked(lines)

    def action_next_load(self) -> None:
        """Log the next load as it was shown; where it is advised otherwise by now, open the list of loads."""
        self._log_next()

    @work(exclusive=True, group="next load")
    async def _log_next(self) -> None:
        from gwlog.app import entries
        from gwlog.tui import key_hints
        from gwlog.views import answers, next_load

        shown = self.host.home
        if shown is None or shown.state.site is None:
            return
        try:
            coming = await asyncio.to_thread(next_load.next_loads, shown)
            load = coming[0].expected.usual_load if coming and coming[0].expected is not None else None
            if load is None:
                self.host.open("load")
                return
            by = self.host.person

            def decide(home: Household) -> entries.LoadDraft:
                now = home.answer(home.query(load))
                if not answers.same_advice(now, coming[0]):
                    raise AnswerChanged(answers.changed_words(coming[0], now))
                return entries.load_as_advised(home, now.load, entries.read_author(home, by=by))

            done = await self.host.write(decide)
        except AnswerChanged as changed:
            self.host.say([str(changed)], logged=False)
            self.host.open("load")
            return
        except GwlogError as trouble:
            self.host.say(key_hints.refused(trouble).split("\n"), logged=False)
            return
        self.host.say(answers.logged_lines(done.home, done.draft.answer, done.written))

    @work(exclusive=True, group="undelivered")
    async def _list_undelivered(self, home: Household) -> None:
        """Say which notifications reached nobody; that is asked of the file."""
        from gwlog.views.today import undelivered_line

        try:
            failed = await asyncio.to_thread(lambda: home.undelivered)
        except GwlogError:
            return
        if self.host.home is home and self.is_mounted and self.query("#undelivered"):
            words = self.query_one("#undelivered", Static)
            words.update(plain("\n".join(undelivered_line(home, one) for one in failed)))
            words.set_class(bool(failed), "-some")

    def action_everything(self) -> None:
        """Show also the reminders that were answered, or no longer."""
        home = self.host.home
        if home is None or home.state.site is None:
            return
        self.everything = not self.everything
        self._list(home)

    def _list(self, home: Household) -> None:
        reminders = self.query_one(ReminderList)
        reminders.show(home, self.everything)
        answered = sum(1 for one in reminders.shown if one.answer)
        more = f", and {answered or 'none'} seen or put off" if self.everything else ""
        self.query_one("#to-do", Static).update(f"To do{more}")

    def action_answer(self, later: bool) -> None:
        self.query_one(ReminderList).action_answer(later)

    def on_reminder_list_picked(self, event: ReminderList.Picked) -> None:
        """Open the form that logs the thing to do, filled in as far as its action says."""
        from gwlog.app.forms.entries import FORMS
        from gwlog.app.forms.of_action import form_for

        action = event.action
        found = form_for(action)
        if found is not None:
            key, preset = found
            if key == "load":
                self.host.open("load")
            else:
                self.host.open_form(FORMS[key], preset or None)
        elif action is not None and action.kind.startswith("setup"):
            self.host.open("setup")
        else:
            self.host.say(["No entry here resolves this one by itself.",
                              "  a: seen, it is not shown again.  z: remind me later."], logged=False)

    def on_reminder_list_answered(self, event: ReminderList.Answered) -> None:
        """Open the form that puts a reminder off, or note at once that it was seen."""
        from gwlog.app.forms.later import later_of

        if event.later:
            self.host.open_form(later_of(event.key, event.words), {})
        else:
            self._mark_seen(event.key)

    @work(group="seen")
    async def _mark_seen(self, key: str) -> None:
        from gwlog.app import entries, reminder_replies
        from gwlog.tui import key_hints
        from gwlog.views.today import seen_line

        try:
            by = self.host.person
            done = await self.host.write(
                lambda home: reminder_replies.seen(home, key, entries.read_author(home, by=by)))
            found = await asyncio.to_thread(reminder_replies.find, done.home, key)
        except GwlogError as trouble:
            self.host.say(key_hints.refused(trouble).split("\n"), logged=False)
            return
        self.host.say([seen_line(done.written[0].id, found)])

    def _loads(self, home: Household) -> Content:
        from gwlog.app import entries
        from gwlog.views.load_list import load_rows

        found = load_rows(home, entries.usual_load_names(home))
        if not found:
            return Content.styled("No usual load is described.", "dim")
        name = min(24, max(cell_len(row.name) for row in found))
        return stacked([
            Content.assemble((fit(row.name, name), "bold"), "  ", fit(row.volume, 8), f"{row.shape} {row.answer}",
                             ("  prepare first" if row.must_prepare else "", "dim"))
            for row in found])
