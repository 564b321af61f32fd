"""What the letter says of who else can tell that the record existed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gwlog.decisions.witnessed import SHOWS, of_state

if TYPE_CHECKING:
    from gwlog.documents.record.model import Seal
    from gwlog.household import Household


def witness_state(home: Household, seal: Seal) -> str:
    """In a sentence: up to which entry somebody outside the household saw the record's seal number."""
    if seal.number is None:
        return "Nothing is sealed yet."
    graded = of_state(home.state, int(seal.number.partition(":")[0]))
    if graded.grade != "none":
        return f"{graded.sentence(home.system)} {SHOWS[graded.grade]}"
    return ("The entries are sealed, but not witnessed: no entry says that anybody outside the household noted a seal "
            "number, so nobody else can tell when they were written. Keep this letter: from now on it is such a note.")
