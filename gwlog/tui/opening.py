"""The part of the app that opens boxes over a place: what is logged, looked up, or comes in from a file.

Each box is a room of its own, loaded when it is first wanted.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING, Any

from textual.app import SystemCommand
from textual.screen import ModalScreen

from gwlog.tui.setting_up import SettingUp

if TYPE_CHECKING:
    from gwlog.household import Household
    from gwlog.journal.facts import Fact
    from gwlog.tui.dialogs.form import FormSpec, Values


class Opening(SettingUp):
    """The app as far as it opens boxes."""

    writer: str | None
    drafts: dict[str, Values]
    batches: list[list[Fact]]

    def ready(self, then: Callable[[], None]) -> Household | None:
        """The household where one is described."""
        raise NotImplementedError

    def say(self, lines: Sequence[str], *, logged: bool = True) -> None:
        """Say what was done below the place."""
        raise NotImplementedError

    async def reload(self) -> None:
        """Look at the logbook again."""
        raise NotImplementedError

    def open_form(self, spec: FormSpec, preset: Values | None = None) -> None:
        """Open a form; what was typed in it before is there again, unless it opens on something chosen."""
        from gwlog.tui.dialogs.form import Form

        home = self.ready(lambda: self.open_form(spec, preset))
        if home is not None:
            if self.writer is not None:
                preset = None if preset is None and spec.key in self.drafts else {"by": self.writer, **(preset or {})}
            self.push_screen(Form(spec, home, preset, self.drafts.get(spec.key)))

    def action_form(self, key: str) -> None:
        from gwlog.tui.forms.entries import FORMS

        self.open_form(FORMS[key])

    def action_log_load(self) -> None:
        from gwlog.tui.dialogs.load import LoadBox

        if (home := self.ready(self.action_log_load)) is not None:
            self.push_screen(LoadBox(home))

    def action_catch_up(self) -> None:
        from gwlog.tui.dialogs.quick_entry import CatchUpBox

        if (home := self.ready(self.action_catch_up)) is not None:
            self.push_screen(CatchUpBox(home))

    def action_figures(self) -> None:
        from gwlog.tui.dialogs.figures import FiguresBox

        self.push_screen(FiguresBox())

    def action_moment(self) -> None:
        from gwlog.tui.dialogs.moment import MomentBox

        if (home := self.ready(self.action_moment)) is not None:
            self.push_screen(MomentBox(home))

    def action_tellings(self) -> None:
        from gwlog.tui.dialogs.notifications import TellingsBox

        if (home := self.ready(self.action_tellings)) is not None:
            self.push_screen(TellingsBox(home))

    def action_take_site_file(self) -> None:
        from gwlog.tui.dialogs.site_file import SiteFileBox

        if (home := self.ready(self.action_take_site_file)) is not None:
            self.push_screen(SiteFileBox(home, kept=self.drafts.get("site file")))

    def action_from_file(self) -> None:
        """Begin a logbook from a file, or put a backup back where the logbook cannot be read."""
        from gwlog.tui.dialogs.import_file import TAKES, TakeBox

        if self.home is None and self.trouble is None:
            return
        if not self.undescribed and self.home is not None:
            self.say(["This logbook describes a household. What comes in from a file: 6 Records, “To take in”."],
                     logged=False)
            return
        over, take = self.screen, TAKES["begin" if self.undescribed else "restore"]

        def done(outcome: dict[str, Any] | None) -> None:
            if outcome is not None:
                if isinstance(over, ModalScreen):
                    over.dismiss(False)
                self.say([f"The logbook {self.path} is there again." if take.work == "restore" else
                          f"The logbook {self.path} is made.", *outcome["lines"][-3:]], logged=False)
                self.taken_in()

        self.push_screen(TakeBox(take), done)

    def taken_in(self) -> None:
        """Look again after something came in from a file; what was logged here before cannot be taken back by a key."""
        self.batches.clear()
        self.run_worker(self.reload(), group="look")

    def action_record(self, work: str) -> None:
        """Go to Records and do one of its works."""
        from gwlog.tui.screens.records import RecordsPlace

        def choose() -> None:
            if isinstance(self.screen, RecordsPlace):
                self.screen.choose(work)

        self.switch_mode("records")
        self.call_after_refresh(choose)

    def record_commands(self, run: Callable[[str], Callable[[], Any]]) -> Iterable[SystemCommand]:
        """Every work of the records, for the list of everything by name."""
        from gwlog.tui.screens.records_tasks import GROUPS

        for group, works in GROUPS:
            for work in works:
                yield SystemCommand(f"{group}: {work.title}", work.about, run(f"record({work.id!r})"))
