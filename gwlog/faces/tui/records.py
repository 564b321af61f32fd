"""Records: the seal verified, the record of a period, manual, card, pack and backup; each made beside the screens.

Long work shows a bar and stops at a key; where a file was written is said.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, ClassVar

from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.content import Content
from textual.css.query import NoMatches
from textual.widget import Widget
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from gwlog import clock
from gwlog.errors import BadInput, GwlogError
from gwlog.faces import job
from gwlog.faces.present.household import Household
from gwlog.faces.tui.cells import fit, plain, stacked
from gwlog.faces.tui.choice import Choice
from gwlog.faces.tui.choice import Option as Pick
from gwlog.faces.tui.entry_line import EntryLine
from gwlog.faces.tui.file_box import Chosen, FileBox, home_of_papers
from gwlog.faces.tui.place import EVERYWHERE, Place


@dataclass(frozen=True, slots=True)
class Work:
    """One thing to make: the job's name, its words, how the file ends and is named; `period`: of the period."""

    id: str
    work: str
    title: str
    about: str
    ending: str = ""
    named: str = ""
    period: bool = False


WORKS = (
    Work("verify", "verify", "Verify the seal", "every entry against its link, and what no seal can show"),
    Work("pdf", "report", "Record, PDF", "what was run, by whom, with the evidence for it", ".pdf",
         "record", True),
    Work("html", "report", "Record, HTML", "the same for a browser", ".html", "record", True),
    Work("md", "report", "Record, Markdown", "the same as plain text", ".md", "record", True),
    Work("csv", "report", "Record, CSV", "the same for a spreadsheet", ".csv", "record", True),
    Work("manual", "manual", "Manual", "operation and maintenance of this very system", ".pdf", "manual"),
    Work("card", "card", "Card for the wall", "one page by the machine", ".pdf", "card"),
    Work("pack", "pack", "Record pack", "all entries with their seal, verified without gwlog", ".zip", "record pack"),
    Work("handover", "handover", "Handover", "everything for the next household, without your notes", ".zip",
         "handover"),
    Work("export", "export", "Export", "every entry, to be imported again with the same seal", ".jsonl", "export"),
    Work("backup", "backup", "Backup", "a verified copy of the logbook put away"),
    Work("rehearse", "", "Rehearse a season", "the plan beside simpler habits; logs nothing"),
)
PERIODS = (Pick("year", "this year"), Pick("12", "last 12 months"), Pick("all", "everything"), Pick("typed", "typed"))
LEFT_OUT = (Pick("quiet", "every note"), Pick("roles", "names (roles instead)"))


class RecordsPlace(Place):
    """The sixth place."""

    DEFAULT_CSS: ClassVar[str] = """
    RecordsPlace #body { padding: 0 1; }
    RecordsPlace .row { height: auto; }
    RecordsPlace .row Static { width: 13; height: 1; }
    RecordsPlace .row EntryLine, RecordsPlace .row Choice { width: 1fr; }
    RecordsPlace #span { height: 1; color: $text-muted; }
    RecordsPlace OptionList, RecordsPlace OptionList:focus {
        height: auto; border: none; padding: 0; margin-top: 1; background: $background;
    }
    RecordsPlace OptionList:focus > .option-list--option-highlighted { background: $boost; color: $foreground; }
    RecordsPlace #running { height: 1; display: none; margin-top: 1; }
    RecordsPlace #told { height: auto; margin-top: 1; }
    """
    KEY = "records"
    AUTO_FOCUS = "OptionList"
    BINDINGS: ClassVar[list[BindingType]] = [Binding("x", "stop", "stop the work under way")]
    STRIP = (("enter", "make it", "screen.choose"), ("tab", "period", "app.focus_next"),
             ("x", "stop", "screen.stop"), EVERYWHERE[0], *EVERYWHERE[-2:])

    def __init__(self) -> None:
        super().__init__()
        self.told: list[str] = []
        self.paths: dict[str, str] = {}

    def parts(self) -> Sequence[Widget]:
        works = OptionList(id="works", markup=False)
        works.add_options([Option(Content.assemble(fit(work.title, 20), plain(work.about, "dim")), id=work.id)
                           for work in WORKS])
        works.highlighted = 0
        return (
            Horizontal(Static("Period", markup=False), Choice(PERIODS, "year", id="period"), classes="row"),
            Horizontal(Static("from, to", markup=False), EntryLine(hint="2026-03-01; empty: the first day", id="from"),
                       EntryLine(hint="2026-06-30; empty: today", id="to"), classes="row", id="typed"),
            Horizontal(Static("Left out", markup=False), Choice(LEFT_OUT, (), many=True, id="left-out"),
                       classes="row"),
            Static(id="span", markup=False),
            works,
            Static(id="running", markup=False),
            Static(id="told", markup=False),
        )

    def fill(self, home: Household) -> None:
        self._check(home)
        self.show_running()
        self.query_one("#told", Static).update(stacked([plain(line) for line in self.told]))

    def on_choice_changed(self) -> None:
        if self.screens.home is not None:
            self._check(self.screens.home)

    def on_input_changed(self) -> None:
        self.on_choice_changed()

    def on_input_submitted(self) -> None:
        self.query_one(OptionList).focus()

    def _check(self, home: Household) -> None:
        self.query_one("#typed").display = self.query_one("#period", Choice).value == "typed"
        try:
            first, last = self.period(home)
        except BadInput as fault:
            self.query_one("#span", Static).update(Content.assemble(("✗ ", "bold $text-error"), plain(str(fault))))
            return
        begin = f"{clock.echo_day(first)} {first.year}" if first else "the logbook's first day"
        self.query_one("#span", Static).update(plain(f"{begin} to {clock.echo_day(last)} {last.year}"))

    def period(self, home: Household) -> tuple[date | None, date]:
        """The chosen period: first day (None: the logbook's first) and last day. Raises BadInput."""
        today = clock.local_day(home.now, home.zone)
        chosen = self.query_one("#period", Choice).value
        if chosen == "year":
            return date(today.year, 1, 1), today
        if chosen == "12":
            back = today + timedelta(days=1)
            return back.replace(year=back.year - 1, day=min(back.day, 28) if back.month == 2 else back.day), today
        if chosen == "all":
            return None, today
        found = []
        for key in ("#from", "#to"):
            words = self.query_one(key, EntryLine).value.strip()
            found.append(clock.local_day(clock.moment(words, home.now, home.zone), home.zone) if words else None)
        first, last = found[0], found[1] or today
        if first is not None and first > last:
            raise BadInput("The period ends before it begins.")
        return first, last

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        self._choose(next(work for work in WORKS if work.id == event.option.id))

    def on_option_list_option_highlighted(self) -> None:
        # back to the list from what was told below it
        self.query_one("#body").scroll_home(animate=False)

    def action_choose(self) -> None:
        self.query_one(OptionList).action_select()

    def _choose(self, work: Work) -> None:
        home = self.screens.ready(lambda: self._choose(work))
        if home is None:
            return
        if work.id == "rehearse":
            self.screens.action_rehearse()
        elif work.id == "verify":
            self._begin(work, None)
        elif work.period:
            try:
                self.period(home)
            except BadInput as fault:
                self.screens.say([str(fault)], logged=False)
                return
            self._ask(work, home)
        else:
            self._ask(work, home)

    def _ask(self, work: Work, home: Household) -> None:
        box = FileBox(f"Where to write it: {work.title}", self.paths.get(work.id) or self._usual(work, home),
                      work.ending)

        def answered(chosen: Chosen | None) -> None:
            self.paths[work.id] = box.typed
            if chosen is not None:
                self._begin(work, chosen)

        self.app.push_screen(box, answered)

    def _usual(self, work: Work, home: Household) -> str:
        if not work.ending:
            from gwlog.journal.backup import FOLDER

            return str(self.screens.path.absolute().parent / FOLDER)
        site = home.state.site.name if home.state.site else "household"
        name = re.sub(r"[^\w-]+", "-", site).strip("-")[:40] or "household"
        first, last = self.period(home) if work.period else (None, clock.local_day(home.now, home.zone))
        span = f"{first}-to-{last}" if first else f"to-{last}" if work.period else str(last)
        return str(home_of_papers() / f"{name}-{work.named.replace(' ', '-')}-{span}{work.ending}")

    def _begin(self, work: Work, chosen: Chosen | None) -> None:
        try:
            home = self.screens.fresh()
            first, last = self.period(home) if work.period else (None, None)
        except GwlogError as trouble:
            self.screens.say([str(trouble)], logged=False)
            return
        left_out = self.query_one("#left-out", Choice).value
        order: dict[str, Any] = {
            "work": work.work, "logbook": str(self.screens.path), "now": job.as_of(home.now), "form": work.ending,
            "out": str(chosen.path) if chosen else "", "replace": bool(chosen and chosen.replace),
            "from": str(first) if first else None, "to": str(last) if last else None,
            "quiet": "quiet" in left_out, "roles": "roles" in left_out,
        }
        self.told = []
        if not self.screens.begin_work(work.title, order, lambda outcome: self._done(work, outcome)):
            self.screens.say(["Other work is still under way; x stops it."], logged=False)

    def _done(self, work: Work, outcome: dict[str, Any]) -> None:
        if "refused" in outcome:
            hint = outcome.get("hint")
            self.told = [f"✗ {work.title}: {outcome['refused']}", *([f"→ {hint}"] if hint else [])]
        else:
            self.told = [("✓ " if outcome["fine"] else "✗ ") + work.title, *outcome["lines"]]
        if self.app.screen is not self:
            self.screens.say(self.told[:3], logged=False)
        if self.screens.home is not None and self.is_mounted:
            self.fill(self.screens.home)
            self.query_one("#body").scroll_end(animate=False)

    def show_running(self) -> None:
        """Show how far the work under way is."""
        try:
            line = self.query_one("#running", Static)
        except NoMatches:
            return
        running = self.screens.running
        line.display = running is not None
        if running is not None:
            line.update(running.bar(self.size.width))

    def action_stop(self) -> None:
        self.screens.stop_work()
