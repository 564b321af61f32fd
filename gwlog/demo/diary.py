"""Collects the demo's entries: drafted when they happen, numbered and dated when they are written down.

No database here; demo_seed.py appends `batches`, one after the other.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any

from gwlog.journal.facts import Fact, Resolution, Withdrawal

Key = str


@dataclass(frozen=True, slots=True)
class Batch:
    """What was written at one sitting, in order; the facts carry the numbers they will get."""

    recorded_at: datetime
    facts: tuple[Fact, ...]


@dataclass(slots=True)
class _Draft:
    fact: Fact
    key: Key | None = None
    refers: Key | None = None
    corrects: bool = False


@dataclass(slots=True)
class Diary:
    """Entries by their sittings. A `key` names an entry so that a later one can refer to it."""

    zone: str
    batches: list[Batch] = field(default_factory=list)
    _drafts: list[_Draft] = field(default_factory=list)
    _known: dict[Key, Fact] = field(default_factory=dict)
    _next: int = 1

    def add(self, kind: type[Fact], at: datetime, by: str | None = None, *, note: str | None = None,
            key: Key | None = None, refers: Key | None = None, **columns: Any) -> None:
        """Draft an entry that happened at `at`. `refers`: the entry that a resolution or withdrawal points at."""
        if kind is Resolution:
            columns["resolves_id"] = 0
        elif kind is Withdrawal:
            columns["withdraws_id"] = 0
        fact = kind(happened_at=at, zone=self.zone, recorded_by=by, note=note, **columns)
        self._drafts.append(_Draft(fact, key, refers))

    def add_facts(self, facts: Sequence[Fact]) -> None:
        """Draft entries that are complete already (descriptions)."""
        self._drafts.extend(_Draft(fact) for fact in facts)

    def correct(self, key: Key, by: str, note: str, **changed: Any) -> None:
        """Draft a correction of a recorded entry: the same entry with changed columns."""
        first = self._known[key]
        draft = replace(first, id=0, recorded_by=by, note=note, corrects_id=first.id, **changed)
        self._drafts.append(_Draft(draft, corrects=True))

    def recorded(self, key: Key) -> bool:
        """Whether the entry called `key` has been written down."""
        return key in self._known

    @property
    def facts(self) -> list[Fact]:
        """Every entry written so far, in order of its number."""
        return [fact for batch in self.batches for fact in batch.facts]

    def write(self, recorded_at: datetime) -> None:
        """Write all drafts down at one sitting: in the order in which they happened, corrections last."""
        drafts = sorted(self._drafts, key=lambda draft: (draft.corrects, draft.fact.happened_at))
        self._drafts = []
        written = []
        for draft in drafts:
            fact = replace(draft.fact, id=self._next, recorded_at=recorded_at)
            self._next += 1
            if draft.refers is not None:
                target = self._known[draft.refers].id
                if isinstance(fact, Resolution):
                    fact = replace(fact, resolves_id=target)
                elif isinstance(fact, Withdrawal):
                    fact = replace(fact, withdraws_id=target)
            if draft.key is not None:
                self._known[draft.key] = fact
            written.append(fact)
        if written:
            self.batches.append(Batch(recorded_at, tuple(written)))
