"""What became of entries, by the corrections and withdrawals alone: the few rows that change what the others say.

The same answers as facts.standing_entries() gives by reading all; a test holds the two together.
"""

from __future__ import annotations

from collections.abc import Iterator
from sqlite3 import Connection

from gwlog.journal.facts import KINDS, Fact
from gwlog.values import dataclass, field


@dataclass(frozen=True, slots=True)
class Fates:
    """`replaced_by`, `withdrawn` and `root` as in facts.Standing, of what was written up to now.

    `last`: number of a corrected entry's first wording -> number of the wording that stands. `struck`: the first
    wordings of the entries that were withdrawn.
    """

    replaced_by: dict[int, int] = field(default_factory=dict)
    withdrawn: dict[int, int] = field(default_factory=dict)
    root: dict[int, int] = field(default_factory=dict)
    last: dict[int, int] = field(default_factory=dict)
    struck: set[int] = field(default_factory=set)

    def first(self, number: int) -> int:
        """The number of an entry's first wording, by the number of any wording."""
        return self.root.get(number, number)

    def standing(self, number: int) -> int | None:
        """The number under which a wording stands; None where another wording does, or where it was withdrawn.

        A withdrawal is no wording of anything: who lists what stands leaves that kind out.
        """
        first = self.root.get(number, number)
        return None if first in self.struck or self.last.get(first, first) != number else first

    def wordings(self, number: int) -> list[int]:
        """The numbers of every wording of an entry and of its withdrawals, by any of its numbers, first to last."""
        first = self.first(number)
        found = {first, *(each for each, of in self.root.items() if of == first)}
        return sorted(found | {by for each, by in self.withdrawn.items() if self.first(each) == first})

    def told(self, fact: Fact, *, stands: bool) -> str:
        """In words: “”, “corrected by 14”, “withdrawn by 15”, “corrects 12”. `stands`: it is shown as the entry that
        stands, under its first number, and not as one wording among others.
        """
        if fact.id in self.withdrawn:
            return f"withdrawn by {self.withdrawn[fact.id]}"
        if fact.id in self.root:
            return f"corrects {fact.corrects_id}"
        if fact.id in self.replaced_by:
            return f"corrected by {self.last[fact.id] if stands else self.replaced_by[fact.id]}"
        return ""


def fates(connection: Connection) -> Fates:
    """Read them: one row for each correction and each withdrawal, found by the indexes that keep those unique."""
    found = Fates()
    for number, corrects, withdraws in sorted(_changes(connection)):
        if corrects is not None:
            first = found.root[number] = found.first(corrects)
            found.replaced_by[corrects] = number
            if first not in found.struck:
                found.last[first] = number
        else:
            first = found.first(withdraws)
            found.withdrawn[withdraws] = number
            if first not in found.struck:
                found.withdrawn[first] = number
                found.struck.add(first)
    return found


def _changes(connection: Connection) -> Iterator[tuple[int, int | None, int]]:
    """Number, what it corrects, what it withdraws."""
    for kind in KINDS:
        # “> 0” and not “IS NOT NULL”: so the index is used
        yield from connection.execute(f"SELECT id, corrects_id, 0 FROM {kind} WHERE corrects_id > 0")
    yield from connection.execute("SELECT id, NULL, withdraws_id FROM withdrawal")
