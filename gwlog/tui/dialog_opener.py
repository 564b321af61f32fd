"""Opens dialogs over the screens by their names. Each is loaded when it is first wanted."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from textual.app import App
from textual.screen import ModalScreen

from gwlog.tui.host import Host
from gwlog.tui.setup_session import SetupSession

if TYPE_CHECKING:
    from gwlog.app.forms.model import FormSpec, Values
    from gwlog.household import Household


class DialogOpener:
    """Holds the names of the dialogs, and what each needs to be opened."""

    def __init__(self, app: App[Any], host: Host, setup: SetupSession, *, poll: bool) -> None:
        self._app = app
        self._host = host
        self._setup = setup
        self._poll = poll
        self._openers: dict[str, Callable[[], None]] = {
            "figures": self._figures, "from file": self._from_file, "guided setup": self._guided_setup,
            "rehearsal": self._rehearsal,
        }
        self._of_household: dict[str, Callable[[Household], None]] = {
            "load": self._load, "quick entry": self._quick_entry, "moment": self._moment,
            "notifications": self._notifications, "noted": self._noted, "phones": self._phones,
            "site file": self._site_file, "witness": self._witness, "answer": self._answer,
        }

    def open(self, name: str) -> None:
        """Open the dialog of that name; where it needs a household and there is none, a message says so."""
        if name in self._openers:
            self._openers[name]()
        elif (home := self._host.ready(lambda: self.open(name))) is not None:
            self._of_household[name](home)

    def open_form(self, spec: FormSpec, preset: Values | None = None) -> None:
        """Open a form. `preset`: what is known already; else what was typed in it before is there again."""
        from gwlog.tui.dialogs.form import FormDialog

        home = self._host.ready(lambda: self.open_form(spec, preset))
        if home is None:
            return
        drafts, person = self._host.drafts, self._host.person
        if person is not None:
            preset = None if preset is None and spec.key in drafts else {"by": person, **(preset or {})}
        self._app.push_screen(FormDialog(spec, home, preset, drafts.get(spec.key)))

    def _load(self, home: Household) -> None:
        from gwlog.tui.dialogs.load import LoadDialog

        self._app.push_screen(LoadDialog(home))

    def _quick_entry(self, home: Household) -> None:
        from gwlog.tui.dialogs.quick_entry import QuickEntryDialog

        self._app.push_screen(QuickEntryDialog(home))

    def _moment(self, home: Household) -> None:
        from gwlog.tui.dialogs.moment import MomentDialog

        self._app.push_screen(MomentDialog(home))

    def _notifications(self, home: Household) -> None:
        from gwlog.tui.dialogs.notifications import NotificationsDialog

        self._app.push_screen(NotificationsDialog(home, poll=self._poll))

    def _noted(self, home: Household) -> None:
        from gwlog.tui.dialogs.noted import NotedDialog

        self._app.push_screen(NotedDialog(home))

    def _phones(self, home: Household) -> None:
        from gwlog.tui.dialogs.phones import PhonesDialog

        self._app.push_screen(PhonesDialog(home, poll=self._poll))

    def _site_file(self, home: Household) -> None:
        from gwlog.tui.dialogs.site_file import SiteFileDialog

        self._app.push_screen(SiteFileDialog(home, kept=self._host.drafts.get("site file")))

    def _witness(self, home: Household) -> None:
        from gwlog.tui.dialogs.witness import WitnessDialog

        self._app.push_screen(WitnessDialog(home))

    def _answer(self, _home: Household) -> None:
        from gwlog.app.forms.witness import STORE

        self.open_form(STORE)

    def _figures(self) -> None:
        from gwlog.tui.dialogs.figures import FiguresDialog

        self._app.push_screen(FiguresDialog())

    def _rehearsal(self) -> None:
        from gwlog.tui.dialogs.rehearsal import RehearsalDialog

        if not isinstance(self._app.screen, RehearsalDialog):
            self._app.push_screen(RehearsalDialog())

    def _guided_setup(self) -> None:
        from gwlog.tui.dialogs.guided_setup import GuidedSetupDialog

        if not isinstance(self._app.screen, GuidedSetupDialog):
            self._app.push_screen(GuidedSetupDialog())

    def _from_file(self) -> None:
        """Begin a logbook from a file, or put a backup back where the logbook cannot be read."""
        from gwlog.tui.dialogs.import_file import IMPORTS, ImportFileDialog

        host, undescribed = self._host, self._setup.undescribed
        if host.home is None and host.trouble is None:
            return
        if not undescribed and host.home is not None:
            host.say(["This logbook describes a household. What comes from a file: 6 Records, “Bring in”."],
                     logged=False)
            return
        over, source = self._app.screen, IMPORTS["begin" if undescribed else "restore"]

        def done(outcome: dict[str, Any] | None) -> None:
            if outcome is not None:
                if isinstance(over, ModalScreen):
                    over.dismiss()
                host.say([f"The logbook {host.path} is there again." if source.work == "restore" else
                          f"The logbook {host.path} is made.", *outcome["lines"][-3:]], logged=False)
                self._app.run_worker(host.reload(forget_undo=True), group="look")

        self._app.push_screen(ImportFileDialog(source), done)
