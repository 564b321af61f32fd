"""What the letter says of who else can tell that the record existed."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING

from gwlog import clock
from gwlog.decisions.witnessed import of_state

if TYPE_CHECKING:
    from gwlog.documents.record.model import Seal
    from gwlog.documents.record.privacy import Privacy
    from gwlog.household import Household


def witness_state(home: Household, seal: Seal, words: Privacy) -> str:
    """In a sentence or two: up to which entry somebody outside the household saw the record's seal number.

    A reader who is told no names is told of “a witness”; one who is told no days, of the end of the week.
    """
    if seal.number is None:
        return "Nothing is sealed yet."
    graded = of_state(home.state, seal.seq)
    if not words.names:
        graded = replace(graded, by="a witness")
    if words.by_week and graded.until_day is not None:
        today = clock.local_day(home.now, home.zone)
        graded = replace(graded, until_day=min(today, clock.monday(graded.until_day) + timedelta(days=6)))
    keep = "" if graded.witnessed else " Keep this letter: from now on its seal number is such a witness."
    return f"{graded.sentence(home.system)}{keep}"
