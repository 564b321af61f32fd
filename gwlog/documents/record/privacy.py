"""What a paper leaves out for its reader, and on request: notes, whole or by kind of entry, names, moments.

Withholding words leaves the seal as it is: a note enters it only as a salted digest. What a reader without names is
shown never depends on a name or a note, so that the same paper can be made again from a copy that holds neither; the
landlord's alone does, by what it leaves out.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable
from dataclasses import dataclass, field

from gwlog import text
from gwlog.documents.record.private_words import (
    holds_phrase,
    names_somebody,
    names_unknown,
    of_health,
    tells_of_people,
)
from gwlog.errors import BadInput
from gwlog.journal.disclosure import DISCLOSURES, EVERYTHING, LANDLORD, WHO
from gwlog.journal.facts import KINDS, Basin, Fact, Outlet, Person, Product, UsualLoad
from gwlog.journal.noted_together import withheld_with
from gwlog.reference.codes import PROFILES
from gwlog.reference.upkeep import CLEAN_FILTER, DEFAULT_UPKEEP, HAVE_WITNESSED, NEW_SYSTEM

WITHHELD = "(note withheld)"
LONGEST_SHOWN = 240
"""A longer note about an exception is not shown to the landlord [signs]."""


@dataclass(slots=True)
class Privacy:
    """Passes people's words into a paper. `withheld`: how many notes were kept back so far.

    `beside`: entries that hold the note of another one, which is withheld. For the landlord,
    `people`: every name of a person; `own_words`: of a usual load or product; `places`: how basins and outlets are
    called whose own name tells of somebody; `known`: the names of all of them.
    """

    reader: str = EVERYTHING
    kinds: frozenset[str] = frozenset()
    roles: dict[str, str] = field(default_factory=dict)
    people: frozenset[str] = frozenset()
    own_words: frozenset[str] = frozenset()
    places: dict[str, str] = field(default_factory=dict)
    known: frozenset[str] = frozenset()
    beside: frozenset[int] = frozenset()
    withheld: int = 0
    shown_sentences: list[str] = field(default_factory=list)
    _names: re.Pattern[str] | None = None
    _tasks: frozenset[str] = frozenset()

    def __post_init__(self) -> None:
        replaced = {**self.roles, **self.places}
        if replaced:
            longest = sorted(replaced, key=len, reverse=True)
            self._names = re.compile(rf"(?<!\w)(?:{'|'.join(map(re.escape, longest))})(?!\w)", re.IGNORECASE)
        if not self.names:
            self._tasks = known_tasks()

    @property
    def names(self) -> bool:
        """Whether the reader is shown who wrote an entry, and what the household called its loads."""
        return WHO in DISCLOSURES[self.reader].parts

    @property
    def notes(self) -> bool:
        """Whether the reader is shown notes at all."""
        return DISCLOSURES[self.reader].notes

    @property
    def by_week(self) -> bool:
        """Whether the reader is told weeks, and no day."""
        return self.reader == LANDLORD

    def words(self, raw: str) -> str:
        """People's words on one line, cleaned, with names replaced by roles."""
        kept = text.one_line(raw)
        if self._names is None:
            return kept
        folded = {name.casefold(): role for name, role in {**self.roles, **self.places}.items()}
        # Case-blind matching also takes signs like ı for i, which casefold() keeps apart.
        return self._names.sub(lambda found: folded.get(found[0].casefold(), "a resident"), kept)

    def by(self, fact: Fact) -> str:
        """Who wrote an entry, by name or role; nothing for a reader who is told no names."""
        return self.words(fact.recorded_by or "") if self.names else ""

    def note(self, fact: Fact) -> str:
        """An entry's note, or that it is withheld; nothing for a reader who is shown no notes."""
        if not fact.note:
            return ""
        if not self.notes or fact.KIND in self.kinds or fact.id in self.beside:
            self.withheld += 1
            return WITHHELD if self.notes else ""
        return self.words(fact.note)

    def about_exception(self, fact: Fact) -> str:
        """What the landlord is shown of the note on what was done about an exception: all of it, or nothing.

        Each sentence that is shown is kept in `shown_sentences`, for the preview.
        """
        said = text.one_line(fact.note or "")
        if not said or fact.KIND in self.kinds or fact.id in self.beside \
                or len(said) > LONGEST_SHOWN or not self.harmless(said):
            return ""
        if said not in self.shown_sentences:
            self.shown_sentences.append(said)
        return said

    def harmless(self, said: str) -> bool:
        """Whether words name nobody and tell nothing of people, by the list and by the household's own words."""
        return not (tells_of_people(said) or names_somebody(said, self.people)
                    or holds_phrase(said, self.own_words | self.places.keys()) or names_unknown(said, self.known))

    def load(self, name: str | None) -> str:
        """What the household calls a load; nothing for a reader who is told no names."""
        return self.words(name or "load") if self.names else ""

    def task(self, name: str) -> str:
        """A task of upkeep: as published; for a reader who is told no names, one's own only as such."""
        return self.words(name) if self.names or name.casefold() in self._tasks else "a task of the household's own"

    def home(self, name: str) -> str:
        """What the place is called, where that tells the reader of nobody."""
        telling = self.by_week and (names_somebody(name, self.people) or of_health(name))
        return "this household" if telling else self.words(name)

    def rule(self, said: str) -> str:
        """A rule of the place in the household's words, where they tell the reader of nobody."""
        telling = self.by_week and (names_somebody(said, self.people) or tells_of_people(said))
        return "A rule of the place, in words of the household that are left out here." if telling else self.words(said)


def privacy(entries: Iterable[Fact], *, reader: str = EVERYTHING, without_notes: bool | Collection[str] = False,
            roles: bool = False) -> Privacy:
    """Make the filter. `without_notes`: all notes, or those of some kinds of entry (“wash_load”, “observation”).

    Raises BadInput for a kind or a reader that does not exist.
    """
    if reader not in DISCLOSURES:
        raise BadInput(f"“{reader[:40]}” is not a reader; use {text.listed(list(DISCLOSURES), 'or')}.")
    if isinstance(without_notes, bool):
        kinds = frozenset(KINDS) if without_notes else frozenset()
    else:
        kinds = frozenset(_kind(name) for name in without_notes)
    every = list(entries)
    beside = withheld_with(every, kinds)
    if reader != LANDLORD:
        told_by_name = WHO in DISCLOSURES[reader].parts
        return Privacy(reader, kinds, _roles(every) if roles and told_by_name else {}, beside=beside)
    people = frozenset(_roles(every))
    own = frozenset(one.name for one in every if isinstance(one, UsualLoad | Product))
    known = frozenset(text.one_line(one.name) for one in every if isinstance(one, Basin | Outlet))
    return Privacy(reader, kinds, people=people, own_words=own, places=_places(every, people), known=known,
                   beside=beside)


def known_tasks() -> frozenset[str]:
    """The published names of upkeep, of every code."""
    published = {one.name for one in (*DEFAULT_UPKEEP, CLEAN_FILTER, HAVE_WITNESSED)} | {
        one.name for one in NEW_SYSTEM}
    return frozenset(name.casefold() for name in published.union(
        task.name for profile in PROFILES.values() for task in profile.upkeep))


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


def _places(entries: Iterable[Fact], people: Collection[str]) -> dict[str, str]:
    """Basins and outlets whose names tell of somebody -> how they are called instead."""
    numbers: dict[tuple[type[Fact], str], int] = {}
    called: dict[str, str] = {}
    for entry in entries:
        if isinstance(entry, Basin | Outlet):
            word, name = entry.KIND, text.one_line(entry.name)
            number = numbers.setdefault((type(entry), name), 1 + sum(kind is type(entry) for kind, _ in numbers))
            if names_somebody(name, people) or tells_of_people(name):
                called[name] = f"{word} {number}"
    return called
