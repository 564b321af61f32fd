"""Records: the seal verified, the record of a period, manual, card, pack and backup; each made beside the screens.

Long work shows a bar and stops at a key; where a file was written is said.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any, ClassVar

from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.css.query import NoMatches
from textual.widget import Widget
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from gwlog import clock
from gwlog.errors import BadInput, GwlogError
from gwlog.household import Household
from gwlog.journal.facts import KINDS
from gwlog.tui.dialogs.form import Values
from gwlog.tui.dialogs.save_file import Chosen, FileBox, More, home_of_papers
from gwlog.tui.dialogs.verify import ToVerify, VerifyBox
from gwlog.tui.hints import here
from gwlog.tui.screens.base import EVERYWHERE, Place
from gwlog.tui.screens.records_tasks import GROUPS, WORKS, Work
from gwlog.tui.widgets.cells import fit, plain, stacked
from gwlog.tui.widgets.choice import Choice
from gwlog.tui.widgets.choice import Option as Pick
from gwlog.tui.widgets.entry_line import EntryLine

PERIODS = (Pick("year", "this year"), Pick("12", "last 12 months"), Pick("all", "everything"), Pick("typed", "typed"))
LEFT_OUT = (Pick("quiet", "every note"), Pick("some", "some notes"), Pick("roles", "names (roles instead)"))
PAPER = (Pick("", "as the units suggest"), Pick("letter", "letter"), Pick("a4", "A4"))



def _count(words: str) -> None:
    if not (words.isascii() and words.isdecimal() and 1 <= int(words[:6]) <= MOST_KEPT):
        raise BadInput(f"Keep: a whole number from 1 to {MOST_KEPT} is wanted, not “{words[:20]}”.")


MOST_KEPT = 1000
ENTRIES = ("pack", "handover", "export", "spreadsheets")
"""The works that hold the entries themselves."""

KEEP = More("Keep", "how many backups stay there; older ones are removed", "10", _count)
HEADS = More("Heads", "noted earlier, like 412:9f3a… , with spaces between; empty: none")


class RecordsPlace(Place):
    """The sixth place."""

    DEFAULT_CSS: ClassVar[str] = """
    RecordsPlace #body { padding: 0 1; }
    RecordsPlace .row { height: auto; }
    RecordsPlace .row Static { width: 13; height: 1; }
    RecordsPlace .row EntryLine, RecordsPlace .row Choice { width: 1fr; }
    RecordsPlace #span { height: 1; color: $text-muted; }
    RecordsPlace OptionList, RecordsPlace OptionList:focus {
        height: 1fr; min-height: 6; border: none; padding: 0; background: $background;
        text-wrap: nowrap; text-overflow: ellipsis;
    }
    RecordsPlace OptionList:focus > .option-list--option-highlighted { background: $chosen; color: $foreground; }
    RecordsPlace #running { height: 1; display: none; margin-bottom: 1; }
    RecordsPlace #told { height: auto; }
    RecordsPlace #both { height: 1fr; margin-top: 1; }
    RecordsPlace #beside { height: auto; max-height: 11; }
    RecordsPlace.-wide #both { layout: horizontal; }
    RecordsPlace.-wide OptionList { width: 84; height: 100%; }
    RecordsPlace.-wide #beside { width: 1fr; height: 100%; max-height: 100%; padding-left: 2; }
    """
    KEY = "records"
    AUTO_FOCUS = "OptionList"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("x", "stop", "stop the work under way"),
        Binding("full_stop", "further(1)", "what was told: further down"),
        Binding("comma", "further(-1)", "what was told: further up"),
    ]
    STRIP = (("enter", "make it", "screen.choose"), ("tab", "period", "app.focus_next"),
             ("x", "stop", "screen.stop"), (", .", "told: up, down", "screen.further(1)"), EVERYWHERE[0],
             *EVERYWHERE[-2:])

    def __init__(self) -> None:
        super().__init__()
        self.told: list[str] = []
        self.paths: dict[str, str] = {}
        self.kept: dict[str, Values] = {}
        self.verified: ToVerify | None = None

    def body(self) -> Widget:
        return Vertical(*self.parts(), id="body")

    def parts(self) -> Sequence[Widget]:
        works = OptionList(id="works", markup=False)
        for title, group in GROUPS:
            works.add_option(Option(plain(title, "bold"), disabled=True))
            works.add_options([Option(Content.assemble("  ", fit(work.title, 19), plain(work.about, "dim")), id=work.id)
                               for work in group])
        works.highlighted = 1
        return (
            Horizontal(Static("Period", markup=False), Choice(PERIODS, "year", id="period"), classes="row"),
            Horizontal(Static("from, to", markup=False), EntryLine(hint="2026-03-01; empty: the first day", id="from"),
                       EntryLine(hint="2026-06-30; empty: today", id="to"), classes="row", id="typed"),
            Static(id="span", markup=False),
            Horizontal(Static("Left out", markup=False), Choice(LEFT_OUT, (), many=True, id="left-out"),
                       classes="row"),
            Horizontal(Static("notes of", markup=False), Choice((), (), many=True, id="kinds"), classes="row",
                       id="some"),
            Horizontal(Static("Paper", markup=False), Choice(PAPER, "", id="paper"), classes="row"),
            Vertical(works, VerticalScroll(Static(id="running", markup=False), Static(id="told", markup=False),
                                           id="beside", can_focus=False), id="both"),
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
        kinds = self.query_one("#kinds", Choice)
        kinds.offer([Pick(kind, kind.replace("_", " ")) for kind in sorted({f.KIND for f in home.entries if f.note})])
        self.query_one("#some").display = "some" in self.query_one("#left-out", Choice).value
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

    def action_choose(self) -> None:
        self.query_one(OptionList).action_select()

    def choose(self, work: str) -> None:
        """Do the work of that id, as if it were chosen in the list."""
        works = self.query_one("#works", OptionList)
        works.highlighted = works.get_option_index(work)
        self._choose(next(one for one in WORKS if one.id == work))

    def _choose(self, work: Work) -> None:
        home = self.screens.ready(lambda: self._choose(work))
        if home is None:
            return
        if work.takes:
            self._take(work)
        elif work.id in ("take site file", "rehearse", "moment", "figures", "tellings"):
            getattr(self.screens, "action_" + work.id.replace(" ", "_"))()
        elif work.id == "verify":
            self._begin(work, {})
        elif work.id == "verify other":
            self._ask_what_to_verify(work)
        else:
            try:
                if work.period:
                    self.period(home)
                if work.period or work.id in ENTRIES:
                    self._check_left_out()
            except BadInput as fault:
                self.screens.say([str(fault)], logged=False)
                return
            self._ask(work, home)

    def _check_left_out(self) -> None:
        if "some" in self.query_one("#left-out", Choice).value and not self.query_one("#kinds", Choice).value:
            raise BadInput("Mark after “notes of” whose notes are left out, or take the mark from “some notes”.")

    def _take(self, work: Work) -> None:
        from gwlog.tui.dialogs.import_file import TAKES, TakeBox
        from gwlog.tui.dialogs.import_loads import LoadsBox

        kept = self.kept.get(work.id)
        box = LoadsBox(kept) if work.id == "loads" else TakeBox(TAKES[work.id], kept)

        def answered(outcome: dict[str, Any] | None) -> None:
            self.kept[work.id] = box.typed
            if outcome is not None:
                self._done(work, outcome)

        self.app.push_screen(box, answered)

    def _ask_what_to_verify(self, work: Work) -> None:
        def answered(chosen: ToVerify | None) -> None:
            if chosen is not None:
                self.verified = chosen
                self._begin(work, {"file": chosen.file or None, "against": chosen.against or None})

        self.app.push_screen(VerifyBox(self.verified), answered)

    def _ask(self, work: Work, home: Household) -> None:
        more = {"backup": KEEP, "pack": HEADS}.get(work.id)
        box = FileBox(f"Where to write it: {work.title}", self.paths.get(work.id) or self._usual(work, home),
                      work.ending, more, self._mind(work))

        def answered(chosen: Chosen | None) -> None:
            self.paths[work.id] = box.typed
            if chosen is not None:
                self._begin(work, {"out": str(chosen.path), "replace": chosen.replace, "keep": chosen.more or None,
                                   "anchors": chosen.more.split()})

        self.app.push_screen(box, answered)

    def _mind(self, work: Work) -> list[str]:
        """What to know before it is written, of what is to be left out."""
        left_out, told = self.query_one("#left-out", Choice).value, []
        if work.id in ENTRIES:
            if "roles" in left_out:
                told.append("people's names stay in it: who wrote an entry is part of what was sealed.")
            if "quiet" in left_out or "some" in left_out:
                told.append("the words of those notes are not in it, and nobody gets them back from it.")
        return told

    def _usual(self, work: Work, home: Household) -> str:
        if work.folder == "backups":
            from gwlog.journal.backup import FOLDER

            return str(self.screens.path.absolute().parent / FOLDER)
        site = home.state.site.name if home.state.site else "household"
        name = re.sub(r"[^\w-]+", "-", site).strip("-")[:40] or "household"
        named = f"{name}-{work.named.replace(' ', '-')}"
        if work.id == "calendar":
            # always the same file, so that calendars that follow it are updated
            return str(home_of_papers() / f"{named}{work.ending}")
        first, last = self.period(home) if work.period else (None, clock.local_day(home.now, home.zone))
        span = f"{first}-to-{last}" if first else f"to-{last}" if work.period else str(last)
        return str(home_of_papers() / f"{named}-{span}{work.ending}")

    def _begin(self, work: Work, said: dict[str, Any]) -> None:
        try:
            home = self.screens.fresh()
            first, last = self.period(home) if work.period else (None, None)
        except GwlogError as trouble:
            self.screens.say([str(trouble)], logged=False)
            return
        left_out = self.query_one("#left-out", Choice).value
        order: dict[str, Any] = {
            "work": work.work, "logbook": str(self.screens.path), "now": home.now.isoformat(),
            "start": str(first) if first else None, "end": str(last) if last else None,
            "withhold": list(KINDS) if "quiet" in left_out else
            list(self.query_one("#kinds", Choice).value) if "some" in left_out else [],
            "roles": "roles" in left_out,
            "paper": self.query_one("#paper", Choice).value or None, **said,
        }
        self.told = []
        if not self.screens.begin_work(work.title, order, lambda outcome: self._done(work, outcome)):
            self.screens.say(["Other work is still under way; x stops it."], logged=False)

    def _done(self, work: Work, outcome: dict[str, Any]) -> None:
        if "refused" in outcome:
            hint = outcome.get("hint")
            self.told = [f"✗ {work.title}: {outcome['refused']}", *([f"→ {here(hint)}"] if hint else [])]
        else:
            self.told = [("✓ " if outcome["fine"] else "✗ ") + work.title, *outcome["lines"]]
        if work.takes:
            self.screens.taken_in()
        if self.app.screen is not self:
            self.screens.say(self.told[:3], logged=False)
        if self.screens.home is not None and self.is_mounted:
            self.fill(self.screens.home)
            self.query_one("#beside").scroll_home(animate=False)

    def show_running(self) -> None:
        """Show how far the work under way is."""
        try:
            line = self.query_one("#running", Static)
        except NoMatches:
            return
        running = self.screens.running
        line.display = running is not None
        if running is not None:
            line.update(running.bar(self.query_one("#beside").size.width or self.size.width))

    def action_hush(self) -> None:
        """Put away what was told, so that the list has its room again."""
        self.told = []
        super().action_hush()

    def action_further(self, by: int) -> None:
        self.query_one("#beside").scroll_relative(y=by * 6, animate=False)

    def action_stop(self) -> None:
        self.screens.stop_work()
