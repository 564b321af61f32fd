"""Records: the seal verified, the record of a period, manual, card, pack and backup; each made beside the screens.

Long work shows a bar and stops at a key; where a file was written is shown.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from contextlib import suppress
from datetime import date
from typing import Any, ClassVar

from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.css.query import NoMatches
from textual.widget import Widget
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from gwlog import actions, clock
from gwlog.app.forms.entries import FORMS
from gwlog.app.forms.model import Option as Pick
from gwlog.app.forms.model import Values
from gwlog.errors import BadInput, GwlogError
from gwlog.household import Household
from gwlog.journal.disclosure import EVERYTHING
from gwlog.journal.facts import KINDS
from gwlog.journal.listing import asking
from gwlog.settings import typed_path
from gwlog.tui import key_hints
from gwlog.tui.dialogs.save_file import Chosen, More, SaveFileDialog, home_of_papers
from gwlog.tui.dialogs.verify import ToVerify, VerifyDialog
from gwlog.tui.keys import EVERYWHERE
from gwlog.tui.screens.base import HouseholdScreen
from gwlog.tui.screens.records_orders import Selection, ToCheck, order_of, period_of
from gwlog.tui.screens.records_tasks import GROUPS, WORKS, Work
from gwlog.tui.widgets.cells import REFUSED, fit, plain, refusal, stacked
from gwlog.tui.widgets.choice import Choice
from gwlog.tui.widgets.entry_line import EntryLine
from gwlog.tui.widgets.labelled_row import LabelledRow
from gwlog.tui.widgets.plain_list import PlainList

PERIODS = (Pick("year", "this year"), Pick("12", "last 12 months"), Pick("all", "everything"), Pick("typed", "typed"))
LEFT_OUT = (Pick("quiet", "all notes"), Pick("some", "some notes"), Pick("roles", "names (use roles)"))
READER = (Pick("landlord", "landlord"), Pick("inspector", "inspector"), Pick("next-tenant", "next tenant"),
          Pick("everything", "everything"))
PAPER = (Pick("", "usual"), Pick("letter", "letter"), Pick("a4", "A4"))
MOST_KEPT = 1000


def _count(words: str) -> None:
    if not (words.isascii() and words.isdecimal() and 1 <= int(words[:6]) <= MOST_KEPT):
        raise BadInput(f"Keep must be a whole number from 1 to {MOST_KEPT}, not “{words[:20]}”.")


def _folder(words: str) -> None:
    if not typed_path(words).is_dir():
        raise BadInput(f"“{words[:40]}” is no folder; name the one in which the records are.")


ENTRIES = ("pack", "handover", "export", "spreadsheets")
"""The works that hold the entries themselves."""

LETTERS = ("report", "annex", "full annex", "pack")
"""The works for one reader."""

KEEP = More("Keep", "how many backups stay there; older ones are removed", "10", _count)
FOLDER = More("Records in", "the folder in which the records of the homes are", "", _folder)
NOTED = More("Noted", "seal numbers noted earlier, like 412:9f3a… , spaces between; empty: none")


class RecordsScreen(HouseholdScreen):
    """Records."""

    DEFAULT_CSS: ClassVar[str] = """
    RecordsScreen #span { height: 1; color: $text-muted; }
    RecordsScreen PlainList { height: 1fr; min-height: 4; text-wrap: nowrap; text-overflow: ellipsis; }
    RecordsScreen #progress { height: 1; display: none; margin-bottom: 1; }
    RecordsScreen #results { height: auto; }
    RecordsScreen #both { height: 1fr; margin-top: 1; }
    RecordsScreen #beside { height: auto; max-height: 11; }
    RecordsScreen.-wide #both { layout: horizontal; }
    RecordsScreen.-wide PlainList { width: 84; height: 100%; }
    RecordsScreen.-wide #beside { width: 1fr; height: 100%; max-height: 100%; padding-left: 2; }
    """
    NAME = "records"
    AUTO_FOCUS = "PlainList"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("x", "stop", "stop the work that is running"),
        Binding("full_stop", "further(1)", "scroll the result down"),
        Binding("comma", "further(-1)", "scroll the result up"),
    ]
    FOOTER_KEYS = (("enter", "make it", "screen.choose"), ("tab", "period", "app.focus_next"),
             ("x", "stop", "screen.stop"), (", .", "scroll result", "screen.further(1)"), EVERYWHERE[0],
             *EVERYWHERE[-2:])

    def __init__(self) -> None:
        super().__init__()
        self.results: list[str] = []
        self.paths: dict[str, str] = {}
        self.kept: dict[str, Values] = {}
        self.verified: ToVerify | None = None

    def body(self) -> Widget:
        return Vertical(*self.parts(), id="body")

    def parts(self) -> Sequence[Widget]:
        works = PlainList(id="works")
        for title, group in GROUPS:
            works.add_option(Option(plain(title, "bold"), disabled=True))
            works.add_options([Option(Content.assemble("  ", fit(work.title, 19), plain(work.about, "dim")), id=work.id)
                               for work in group])
        works.highlighted = 1
        return (
            LabelledRow("Period", Choice(PERIODS, "year", id="period")),
            LabelledRow("from, to", EntryLine(hint="2026-03-01; empty: the first day", id="from"),
                        EntryLine(hint="2026-06-30; empty: today", id="to"), id="typed"),
            Static(id="span", markup=False),
            LabelledRow("For", Choice(READER, "landlord", id="reader")),
            LabelledRow("Leave out", Choice(LEFT_OUT, (), many=True, id="left-out")),
            LabelledRow("notes of", Choice((), (), many=True, id="kinds"), id="some"),
            LabelledRow("Paper, font", Choice(PAPER, "", id="paper"),
                        EntryLine(hint="font file, if names need one", id="font")),
            Vertical(works, VerticalScroll(Static(id="progress", markup=False), Static(id="results", markup=False),
                                           id="beside", can_focus=False), id="both"),
        )

    def fill(self, home: Household) -> None:
        self._check(home)
        self.task_changed()
        self.query_one("#results", Static).update(stacked([plain(line) for line in self.results]))

    def on_choice_changed(self) -> None:
        if self.host.home is not None:
            self._check(self.host.home)

    def on_input_changed(self) -> None:
        self.on_choice_changed()

    def on_input_submitted(self) -> None:
        self.query_one(PlainList).focus()

    def _check(self, home: Household) -> None:
        kinds = self.query_one("#kinds", Choice)
        with suppress(GwlogError), asking(home.path, home.now) as lists:
            kinds.offer([Pick(kind, kind.replace("_", " ")) for kind in lists.noted_kinds()])
        self.query_one("#some").display = "some" in self.query_one("#left-out", Choice).value
        self.query_one("#typed").display = self.query_one("#period", Choice).value == "typed"
        try:
            first, last = self.period(home)
        except BadInput as fault:
            self.query_one("#span", Static).update(refusal(str(fault)))
            return
        begin = f"{clock.echo_date(first, home.system)}" if first else "the logbook's first day"
        self.query_one("#span", Static).update(plain(f"{begin} to {clock.echo_date(last, home.system)}"))

    def period(self, home: Household) -> tuple[date | None, date]:
        """The chosen period: first day (None: the logbook's first) and last day. Raises BadInput."""
        typed = (self.query_one(key, EntryLine).value.strip() for key in ("#from", "#to"))
        return period_of(home, str(self.query_one("#period", Choice).value), *typed)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        self._choose(next(work for work in WORKS if work.id == event.option.id))

    def action_choose(self) -> None:
        self.query_one(PlainList).action_select()

    def choose(self, work: str) -> None:
        """Do the work of that id, as if it were chosen in the list."""
        works = self.query_one("#works", PlainList)
        works.highlighted = works.get_option_index(work)
        self._choose(next(one for one in WORKS if one.id == work))

    def _choose(self, work: Work) -> None:
        home = self.host.ready(lambda: self._choose(work))
        if home is None:
            return
        if work.takes:
            self._take(work)
        elif work.opens:
            self.host.open(work.opens)
        elif work.form:
            self.host.open_form(FORMS[work.form])
        elif work.work == "check":
            self._begin(work, ToCheck(work.id == "repair"))
        elif work.id == "verify":
            self._begin(work, ToVerify("", ""))
        elif work.id == "verify other":
            self._ask_what_to_verify(work)
        else:
            try:
                if work.period:
                    self.period(home)
                if work.period or work.id in ENTRIES:
                    self._check_left_out()
            except BadInput as fault:
                self.host.say([str(fault)], logged=False)
                return
            self._ask(work, home)

    def _check_left_out(self) -> None:
        if "some" in self.query_one("#left-out", Choice).value and not self.query_one("#kinds", Choice).value:
            raise BadInput("Mark after “notes of” whose notes are left out, or take the mark from “some notes”.")

    def _take(self, work: Work) -> None:
        from gwlog.tui.dialogs.import_file import IMPORTS, ImportFileDialog
        from gwlog.tui.dialogs.import_loads import ImportLoadsDialog

        kept = self.kept.get(work.id)
        dialog = ImportLoadsDialog(kept) if work.id == "loads" else ImportFileDialog(IMPORTS[work.id], kept)

        def answered(outcome: dict[str, Any] | None) -> None:
            self.kept[work.id] = dialog.typed
            if outcome is not None:
                self._done(work, outcome)

        self.app.push_screen(dialog, answered)

    def _ask_what_to_verify(self, work: Work) -> None:
        def answered(chosen: ToVerify | None) -> None:
            if chosen is not None:
                self.verified = chosen
                self._begin(work, chosen)

        self.app.push_screen(VerifyDialog(self.verified), answered)

    def _ask(self, work: Work, home: Household) -> None:
        more = {"backup": KEEP, "pack": NOTED, "received": FOLDER}.get(work.id)
        told = self._preview(work, home) if work.work in LETTERS else None
        place = self.paths.get(f"{work.id} {self._reader}") or self._usual(work, home)
        dialog = SaveFileDialog(f"Where to write it: {work.title}", place, work.ending, more, self._mind(work), told)

        def answered(chosen: Chosen | None) -> None:
            self.paths[f"{work.id} {self._reader}"] = dialog.typed
            if chosen is not None:
                self._begin(work, chosen)

        self.app.push_screen(dialog, answered)

    @property
    def _reader(self) -> str:
        return str(self.query_one("#reader", Choice).value)

    def _preview(self, work: Work, home: Household) -> Callable[[], list[str]]:
        """What the reader of a letter learns and what not: made when it is asked for, beside the keys."""
        from gwlog.documents import disclosed

        first, last = self.period(home) if work.period else (None, None)
        reader, kinds, roles = self._reader, self._kinds(), "roles" in self.query_one("#left-out", Choice).value
        return lambda: disclosed.lines(home, reader, first, last, without_notes=kinds, roles=roles)

    def _kinds(self) -> tuple[str, ...]:
        """The kinds of entry whose notes are left out."""
        left_out = self.query_one("#left-out", Choice).value
        return tuple(KINDS) if "quiet" in left_out else \
            tuple(self.query_one("#kinds", Choice).value) if "some" in left_out else ()

    def _mind(self, work: Work) -> list[str]:
        """What to know before it is written, of what is to be left out."""
        left_out, mind = self.query_one("#left-out", Choice).value, []
        if work.id in ENTRIES:
            if "roles" in left_out and (work.id != "pack" or self._reader == EVERYTHING):
                mind.append("people's names stay in it: who wrote an entry is part of what was sealed.")
            if "quiet" in left_out or "some" in left_out:
                mind.append("the words of those notes are not in it, and nobody gets them back from it.")
        return mind

    def _usual(self, work: Work, home: Household) -> str:
        if work.folder == "backups":
            from gwlog.journal.backup import FOLDER

            return str(self.host.path.absolute().parent / FOLDER)
        site = home.state.site.name if home.state.site else "household"
        name = re.sub(r"[^\w-]+", "-", site).strip("-")[:40] or "household"
        whom = f"-for-{self._reader}" if work.work in LETTERS else ""
        named = f"{name}-{work.named.replace(' ', '-')}{whom}"
        if work.id == "calendar":
            # always the same file, so that calendars that follow it are updated
            return str(home_of_papers() / f"{named}{work.ending}")
        first, last = self.period(home) if work.period else (None, clock.local_day(home.now, home.zone))
        span = f"{first}-to-{last}" if first else f"to-{last}" if work.period else str(last)
        return str(home_of_papers() / f"{named}-{span}{work.ending}")

    def _begin(self, work: Work, chosen: Chosen | ToVerify | ToCheck) -> None:
        try:
            home = self.host.fresh()
            first, last = self.period(home) if work.period else (None, None)
        except GwlogError as trouble:
            self.host.say([str(trouble)], logged=False)
            return
        left_out = self.query_one("#left-out", Choice).value
        order = order_of(work.work, self.host.path, home.now, chosen, Selection(
            first, last, self._kinds(), "roles" in left_out, str(self.query_one("#paper", Choice).value) or None,
            typed_path(font) if (font := self.query_one("#font", EntryLine).value.strip()) else None, self._reader))
        self.results = []
        if not self.host.background_task.begin(work.title, order, lambda outcome: self._done(work, outcome)):
            self.host.say(["Other work is still running; x stops it."], logged=False)

    def _done(self, work: Work, outcome: dict[str, Any]) -> None:
        if "refused" in outcome:
            self.results = [f"{REFUSED} {work.title}: " + key_hints.refused_outcome(outcome, "\n→ ")]
        else:
            self.results = [f"{'✓' if outcome['fine'] else REFUSED} {work.title}",
                            *(key_hints.words(actions.of_json(line) or "") for line in outcome["lines"])]
        if work.takes or work.id == "repair":
            self.run_worker(self.host.reload(forget_undo=True), group="look")
        if self.app.screen is not self:
            self.host.say(self.results[:3], logged=False)
        if self.host.home is not None and self.is_mounted:
            self.fill(self.host.home)
            self.query_one("#beside").scroll_home(animate=False)

    def task_changed(self) -> None:
        """Show how far the work under way is."""
        try:
            line = self.query_one("#progress", Static)
        except NoMatches:
            return
        progress = self.host.background_task.progress
        line.display = progress is not None
        if progress is not None:
            line.update(progress.bar(self.query_one("#beside").size.width or self.size.width))

    def action_clear_message(self) -> None:
        """Put away the results too, so that the list has its room again."""
        self.results = []
        super().action_clear_message()

    def action_further(self, by: int) -> None:
        self.query_one("#beside").scroll_relative(y=by * 6, animate=False)

    def action_stop(self) -> None:
        self.host.background_task.stop()
