"""What a record leaves out on request: notes, whole or by kind of entry, and people's names.

Withholding words leaves the seal as it is: a note enters it only as a salted digest.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable
from dataclasses import dataclass, field

from gwlog import text
from gwlog.errors import BadInput
from gwlog.journal.facts import KINDS, Fact, Person
from gwlog.journal.noted_together import withheld_with

WITHHELD = "(note withheld)"


@dataclass(slots=True)
class Privacy:
    """Passes people's words into the record. `withheld`: how many notes were kept back so far."""

    kinds: frozenset[str] = frozenset()
    roles: dict[str, str] = field(default_factory=dict)
    withheld: int = 0
    copies: frozenset[int] = frozenset()
    """The entries of other kinds that hold a note of these kinds as well."""
    _names: re.Pattern[str] | None = None

    def __post_init__(self) -> None:
        if self.roles:
            longest = sorted(self.roles, key=len, reverse=True)
            self._names = re.compile(rf"(?<!\w)(?:{'|'.join(map(re.escape, longest))})(?!\w)", re.IGNORECASE)

    def words(self, raw: str) -> str:
        """People's words on one line, cleaned, with names replaced by roles."""
        kept = text.one_line(raw)
        if self._names is None:
            return kept
        folded = {name.casefold(): role for name, role in self.roles.items()}
        # Case-blind matching also takes signs like ı for i, which casefold() keeps apart.
        return self._names.sub(lambda found: folded.get(found[0].casefold(), "a resident"), kept)

    def by(self, fact: Fact) -> str:
        """Who wrote an entry, by name or role."""
        return self.words(fact.recorded_by or "")

    def note(self, fact: Fact) -> str:
        """An entry's note, or that it is withheld."""
        if not fact.note:
            return ""
        if fact.KIND in self.kinds or fact.id in self.copies:
            self.withheld += 1
            return WITHHELD
        return self.words(fact.note)


def privacy(entries: Iterable[Fact], *, without_notes: bool | Collection[str] = False, roles: bool = False) -> Privacy:
    """Make the filter. `without_notes`: all notes, or those of some kinds of entry (“wash_load”, “observation”).

    Raises BadInput for a kind that does not exist.
    """
    if isinstance(without_notes, bool):
        kinds = frozenset(KINDS) if without_notes else frozenset()
    else:
        kinds = frozenset(_kind(name) for name in without_notes)
    known = list(entries)
    return Privacy(kinds, _roles(known) if roles else {}, copies=withheld_with(known, kinds))


def _kind(name: str) -> str:
    wanted = name.strip().casefold().replace(" ", "_").replace("-", "_")
    if wanted not in KINDS:
        raise BadInput(f"“{name[:40]}” is not a kind of entry; "
                       f"{text.listed([kind.replace('_', ' ') for kind in KINDS], 'or')} is accepted.")
    return wanted


def _roles(entries: Iterable[Fact]) -> dict[str, str]:
    """Each person's role, numbered in the order in which they first appear."""
    numbers: dict[str, int] = {}
    roles: dict[str, str] = {}
    for entry in entries:
        for name in (entry.name if isinstance(entry, Person) else "", entry.recorded_by or ""):
            kept = text.one_line(name)
            if kept:
                number = numbers.setdefault(kept.casefold(), len(numbers) + 1)
                roles[kept] = f"resident {number}"
    return roles
