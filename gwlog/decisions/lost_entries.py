"""In words: a logbook that is not what was noted of it, and the way out."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from gwlog import clock
from gwlog.actions import Action, Hint
from gwlog.state import Problem
from gwlog.text import plural

if TYPE_CHECKING:
    from gwlog.journal.noted_number import Difference


def problem(found: Difference, holder: Path | None, zone: str) -> Problem:
    """The difference as a problem. `holder`: a copy of the logbook that holds what was noted, None for none."""
    return Problem(0, words(found, zone), way_out(holder))


def words(found: Difference, zone: str) -> str:
    """What is different, and how that comes about."""
    when = clock.echo(found.noted.moment, zone)
    if found.found is None:
        gone = plural(found.noted.number - found.head, "entry", "entries")
        return (f"{gone} at the end {'is' if gone.startswith('1 ') else 'are'} gone: this logbook ends at entry "
                f"{found.head}, and entry {found.noted.number} was noted on {when}. An older copy was put in its "
                "place, its end was cut off, or the file beside it that ends in -wal was deleted.")
    return (f"Entry {found.noted.number} is not the one that was noted on {when}: somebody went on writing in an "
            "older copy, or the logbook was rewritten from some entry on.")


def way_out(holder: Path | None) -> Hint:
    """What to do: restore the copy that holds it, or say that it was meant."""
    meant = (" If it was meant so, say it once: ", Action("noted", as_it_is=""))
    if holder is None:
        return Hint("No backup beside the logbook holds what was noted; look for another copy, and restore it: ",
                    Action("restore", file="FILE"), ".", *meant)
    return Hint("Restore the copy that holds it: ", Action("restore", file=holder), ".", *meant)
