"""Takes a site file into the setup in force: every line of the change is shown before it is appended.

What was in force before stays in the record.
"""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from textual.widgets import Static

from gwlog import text
from gwlog.app import entries
from gwlog.app.setup_changes import Taken, compared, in_force_from
from gwlog.errors import BadInput, GwlogError
from gwlog.household import Household
from gwlog.journal.facts import Fact
from gwlog.tui.dialogs.form import Field, Form, FormSpec, Values
from gwlog.tui.dialogs.setup_item import change_lines
from gwlog.tui.forms.entries import BY, NOTE
from gwlog.tui.widgets.cells import plain, stacked

if TYPE_CHECKING:
    from gwlog.setup.read import SiteFile

PATH = Field("path", "Site file", hint="a path ending in .toml; → takes what is offered", endings=(".toml",))
FROM = Field("from", "In force", hint="from now; or like: 2026-05-03, mon 9:00")


class SiteFileBox(Form):
    """A form with the file, the moment, who and why."""

    def __init__(self, home: Household, preset: Values | None = None, kept: Values | None = None) -> None:
        super().__init__(FormSpec("site file", "Change the setup by a site file", (PATH, FROM, BY, NOTE),
                                  self._drafts, wrote=self._wrote), home, preset, kept)

    def _taken(self, home: Household, values: Values) -> Taken:
        words = text.one_line(str(values.get("path", "")))
        if not words:
            raise BadInput("Name a site file.", hint="Records writes one of the setup in force: change what differs.")
        try:
            file = Path(words).expanduser()
            stamp = file.stat().st_mtime_ns if file.is_file() else 0
        except (OSError, ValueError, RuntimeError) as fault:
            raise BadInput(f"That is no path: {fault}.") from None
        if not stamp:
            raise BadInput(f"There is no file {file}.")
        who = entries.read_author(home, by=str(values.get("by", "")) or None, note=str(values.get("note", "")) or None)
        return compared(home, _site(file, stamp), in_force_from(home, str(values.get("from", "")).strip()), who)

    def _drafts(self, home: Household, values: Values) -> list[Fact]:
        found = self._taken(home, values)
        if not found.drafts:
            raise BadInput("Nothing in it differs from the setup in force.")
        return list(found.drafts)

    def _wrote(self, _home: Household, _values: Values, written: object) -> list[str]:
        count = len(written) if isinstance(written, list) else 0
        return [f"Appended {text.plural(count, 'description')}; what was in force before stays in the record."]

    def check(self) -> None:
        """Show the change line by line, or what is wrong."""
        if not self.query("#said"):
            return
        try:
            found = self._taken(self.home, self.values)
            lines = change_lines(found.lines, found.warnings, ()) if found.drafts else [
                plain("Nothing in it differs from the setup in force.")]
        except GwlogError as fault:
            lines = [self._fault(fault, quiet=not self.tried and not self.typed)]
        if self.kept is not None and self.kept == self.values:
            lines.append(plain("This is what you typed before; ctrl+n starts afresh.", "dim"))
        self.query_one("#said", Static).update(stacked(lines))

    def action_afresh(self) -> None:
        self.screens.drafts.pop(self.spec.key, None)
        self.app.push_screen(SiteFileBox(self.home))
        self.dismiss(False)


@lru_cache(maxsize=4)
def _site(file: Path, _stamp: int) -> SiteFile:
    """The file as it was written last; read once while the other fields are typed in."""
    from gwlog import clock
    from gwlog.setup.read import read_site_path

    return read_site_path(file, now=clock.now())
