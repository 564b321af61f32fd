"""Takes a site file into the setup in force: every line of the change is shown before it is appended.

What was in force before stays in the record.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from textual.content import Content

from gwlog import text
from gwlog.app.forms.entries import BY, NOTE, author_of
from gwlog.app.forms.model import Field, FormSpec, Judgement, Values, word
from gwlog.app.setup_changes import Taken, compared, in_force_from
from gwlog.errors import BadInput, GwlogError
from gwlog.household import Household
from gwlog.journal.facts import Fact
from gwlog.settings import typed_path
from gwlog.tui.dialogs.form import FormDialog, judgement_lines
from gwlog.tui.dialogs.setup_item import appended, change_lines
from gwlog.tui.widgets.cells import plain

if TYPE_CHECKING:
    from gwlog.setup.read import SiteFile

PATH = Field("path", "Site file", hint="a path ending in .toml; → fills in the one offered", endings=(".toml",))
FROM = Field("from", "In force", hint="from now; or like: 2026-05-03, mon 9:00")
NOTHING = "Nothing in it differs from the present setup."


def changes(home: Household, values: Values) -> Taken:
    """What a site file would change. Raises BadInput, SeveralFaults where it cannot be used."""
    typed = text.one_line(word(values, "path"))
    if not typed:
        raise BadInput("Name a site file.", hint="Records writes one of the setup in force: change what differs.")
    try:
        file = typed_path(typed)
        stamp = file.stat().st_mtime_ns if file.is_file() else 0
    except (OSError, ValueError) as fault:
        raise BadInput(f"That is not a path: {fault}.") from None
    if not stamp:
        raise BadInput(f"There is no file {file}.")
    return compared(home, _site(file, stamp), in_force_from(home, word(values, "from")), author_of(home, values))


def build(home: Household, values: Values) -> Sequence[Fact]:
    """The descriptions that appending the site file would add."""
    found = changes(home, values)
    if not found.drafts:
        raise BadInput(NOTHING)
    return found.drafts


SITE_FILE = FormSpec("site file", "Change the setup by a site file", (PATH, FROM, BY, NOTE), build,
                     wrote=lambda _home, _values, written: appended(written))


class SiteFileDialog(FormDialog):
    """A form with the file, the moment, who and why."""

    def __init__(self, home: Household, preset: Values | None = None, kept: Values | None = None) -> None:
        super().__init__(SITE_FILE, home, preset, kept)

    def judged(self, home: Household, values: Values, *, quiet: bool) -> list[Content]:
        """The change line by line, or what is wrong."""
        try:
            found = changes(home, values)
        except GwlogError as fault:
            return judgement_lines(Judgement(refusal=fault), quiet=quiet)
        return change_lines(found.lines, found.warnings, ()) if found.drafts else [plain(NOTHING)]

    def action_afresh(self) -> None:
        self.host.drafts.pop(self.spec.key, None)
        self.app.push_screen(SiteFileDialog(self.home))
        self.dismiss()


@lru_cache(maxsize=4)
def _site(file: Path, _stamp: int) -> SiteFile:
    """The file as it was written last; read once while the other fields are typed in."""
    from gwlog import clock
    from gwlog.setup.read import read_site_path

    return read_site_path(file, now=clock.now())
