"""Until where the record is witnessed, by whom, and what that shows: the record grades itself.

The seal alone shows that nothing was changed since; since when, only somebody outside of the household can show.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, datetime
from typing import TYPE_CHECKING, Literal

from gwlog.clock import Locale, local_day, short_date
from gwlog.journal.facts import GIVEN, WITNESSED, Attestation
from gwlog.text import plural
from gwlog.values import dataclass

if TYPE_CHECKING:
    from gwlog.state import State

Grade = Literal["none", "given", "statement", "SSH signature", "noted", "time stamp"]
STRENGTH: tuple[Grade, ...] = ("none", "given", "statement", "SSH signature", "noted", "time stamp")
"""The weakest first. Noted: whoever verifies holds a number of their own and has compared it."""

SHOWS: dict[Grade, str] = {
    "none": "Nobody outside of the household has a seal number: the record may have been written at any time.",
    "given": "A seal number was given to somebody, as the household says. It shows something once that copy is "
             "compared.",
    "statement": "Somebody has stated the seal number. The statement is kept by the household: ask who made it.",
    "SSH signature": "Somebody's key has signed the seal number, so its owner has seen it. On which day is the "
                     "household's word, or the signer's.",
    "noted": "A seal number noted earlier was compared and fits: these entries were as they are when it was noted.",
    "time stamp": "An authority has stamped the seal number with the moment: these entries existed by then, whatever "
                  "the household's clock said.",
}
"""What each grade shows, in a sentence or two."""


@dataclass(frozen=True, slots=True)
class Graded:
    """Until which entry the record is witnessed. `until_day`: by which local day; `by`: whose copy or answer shows it;
    `later_entries`: how many were sealed after it.
    """

    grade: Grade
    until_number: int
    until_day: date | None
    by: str
    later_entries: int

    @property
    def witnessed(self) -> bool:
        """Whether somebody outside has answered, or a number was compared: given away alone it shows nothing yet."""
        return STRENGTH.index(self.grade) > STRENGTH.index("given")

    def sentence(self, system: str) -> str:
        """“Entries 1 to 1,124 existed by Oct 1, 2026, as the time stamp of … shows; 211 later ones are …”."""
        later = f"; {plural(self.later_entries, 'later one is', 'later ones are')} sealed but not witnessed." \
            if self.later_entries else "."
        if self.grade == "none":
            return f"No seal number is witnessed: {plural(self.later_entries, 'entry is', 'entries are')} sealed but " \
                   "not witnessed."
        which = "Entry 1" if self.until_number == 1 else f"Entries 1 to {self.until_number:,}"
        by = "" if self.until_day is None else f" by {short_date(self.until_day, system)}"
        if self.grade == "given":
            return f"{which} existed{by} if the copy of {self.by} says so: the seal number was given then and nobody " \
                   f"has compared it here{later}"
        shown = {"statement": f"as the statement of {self.by} says",
                 "time stamp": f"as the time stamp of {self.by} shows",
                 "SSH signature": f"as the signature of {self.by} and the day logged with it show",
                 "noted": "as the seal number noted then shows" if by else
                          "when the seal number that was compared was noted"}[self.grade]
        return f"{which} existed{by}{', ' if not (self.grade == 'noted' and not by) else ' '}{shown}{later}"


def witnessed(attestations: Iterable[Attestation], entries: int, zone: Locale, *,
              stamped: dict[int, datetime] | None = None, failed: Iterable[int] = (),
              noted: Sequence[tuple[int, date | None]] = ()) -> Graded:
    """Grade a record of so many `entries`. The grade that reaches farthest counts; of two, the stronger one.

    `stamped`: the moments that time stamps say, by the number of their entry; `failed`: entries whose answers do not
    verify and count for nothing; `noted`: seal numbers that were compared just now and fit, with their days.
    """
    out = set(failed)
    found: list[Graded] = []
    for one in attestations:
        if one.number is None or one.id in out:
            continue
        count = int(one.number.partition(":")[0])
        grade: Grade = "given" if one.attested == GIVEN else "statement"
        if one.attested == WITNESSED and one.means in ("SSH signature", "time stamp"):
            grade = "SSH signature" if one.means == "SSH signature" else "time stamp"
        moment = (stamped or {}).get(one.id, one.happened_at)
        found.append(Graded(grade, count, local_day(moment, zone), one.party or "somebody not named here",
                            max(0, entries - count)))
    found += [Graded("noted", count, day, "", max(0, entries - count)) for count, day in noted]
    answered = [one for one in found if one.witnessed]
    best = max(answered or found, default=None,
               key=lambda one: (one.until_number, STRENGTH.index(one.grade)))
    return best or Graded("none", 0, None, "", entries)


def of_state(state: State, entries: int) -> Graded:
    """The grade by what the log says, its answers not verified again."""
    return witnessed(state.attestations, entries, state.zone)
