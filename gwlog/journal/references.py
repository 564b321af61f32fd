"""Checks what corrections, withdrawals and resolutions refer to, before they are written."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gwlog.actions import Action, Hint
from gwlog.errors import BadInput
from gwlog.journal.facts import Fact, Resolution, Site, Withdrawal

if TYPE_CHECKING:
    from sqlalchemy import Connection

_HINT = Hint("Nothing was logged. See the numbers with: ", Action("entries"))


class References:
    """Checks the references of entries about to be written, earlier ones of the same call included."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        self._kinds: dict[int, str] = {}
        self._corrects: dict[int, int] = {}
        self._corrected_by: dict[int, int] = {}
        self._withdrawn_by: dict[int, int] = {}
        self._first_site: int | None = None

    def admit(self, fact: Fact) -> None:
        """Check what a numbered fact points at, and remember it. Raises BadInput with the way out."""
        if isinstance(fact, Withdrawal):
            self._withdraws(fact)
            self._withdrawn_by[fact.withdraws_id] = fact.id
        elif isinstance(fact, Resolution):
            self._resolves(fact)
        if fact.corrects_id is not None:
            self._corrects_one(fact, fact.corrects_id)
            self._corrects[fact.id] = fact.corrects_id
            self._corrected_by[fact.corrects_id] = fact.id
        if isinstance(fact, Site) and self._first_site is None:
            self._first_site = fact.id
        self._kinds[fact.id] = fact.KIND

    def kind(self, entry_id: int) -> str | None:
        """The kind of an entry, None when there is none of that number."""
        if entry_id not in self._kinds:
            kind = self._one("SELECT entry_kind FROM seal WHERE seq = ?", entry_id)
            if kind is None:
                return None
            self._kinds[entry_id] = str(kind)
        return self._kinds[entry_id]

    def _one(self, sql: str, *values: int) -> object:
        return self._connection.exec_driver_sql(sql, values).scalar()

    def _step(self, known: dict[int, int], sql: str, entry_id: int) -> int | None:
        if entry_id in known:
            return known[entry_id]
        found = self._one(sql, entry_id)
        return found if isinstance(found, int) else None

    def wordings(self, entry_id: int) -> list[int]:
        """Every wording of an entry, the first one first: what it corrects and what corrects it."""
        kind = self.kind(entry_id)
        first, line = entry_id, []
        back = f"SELECT corrects_id FROM {kind} WHERE id = ?"
        while (earlier := self._step(self._corrects, back, first)) is not None:
            first = earlier
        step: int | None = first
        while step is not None:
            line.append(step)
            step = self._step(self._corrected_by, f"SELECT id FROM {kind} WHERE corrects_id = ?", step)
        return line

    def withdrawal_of(self, entry_id: int) -> int | None:
        """The withdrawal that struck out an entry, by whichever of its wordings."""
        for wording in self.wordings(entry_id):
            by = self._step(self._withdrawn_by, "SELECT id FROM withdrawal WHERE withdraws_id = ?", wording)
            if by is not None:
                return by
        return None

    def _known(self, entry_id: int, doing: str) -> str:
        kind = self.kind(entry_id)
        if kind is None:
            raise BadInput(f"There is no entry {entry_id} to {doing}.", hint=_HINT)
        struck = None if kind == "withdrawal" else self.withdrawal_of(entry_id)
        if struck is not None:
            raise BadInput(f"Entry {entry_id} was withdrawn already (by entry {struck}).",
                           hint="Nothing was logged. Log it again if it was right after all.")
        return kind

    def _corrects_one(self, fact: Fact, entry_id: int) -> None:
        kind = self._known(entry_id, "correct")
        if kind == "withdrawal" or fact.KIND == "withdrawal":
            raise BadInput(f"Entry {entry_id} cannot be corrected by this one: a withdrawal stays as it is.",
                           hint="Nothing was logged. Log the withdrawn entry again if it was right after all.")
        if kind != fact.KIND:
            raise BadInput(f"Entry {entry_id} is a {_kind_words(kind)}; a {_kind_words(fact.KIND)} cannot correct it.",
                           hint=_HINT)
        latest = self.wordings(entry_id)[-1]
        if latest != entry_id:
            raise BadInput(f"Entry {entry_id} was corrected already; its latest version is entry {latest}.",
                           hint=f"Nothing was logged. Correct entry {latest}.")

    def _withdraws(self, fact: Withdrawal) -> None:
        kind = self._known(fact.withdraws_id, "withdraw")
        if kind == "withdrawal":
            raise BadInput(f"Entry {fact.withdraws_id} is a withdrawal itself, and stays.",
                           hint="Nothing was logged. Log the withdrawn entry again if it was right after all.")
        if kind == "site":
            first = self._first_site
            stored = self._one("SELECT min(id) FROM site")
            if self.wordings(fact.withdraws_id)[0] == (stored if isinstance(stored, int) else first):
                raise BadInput("The first description of the site cannot be withdrawn: everything rests on it.",
                               hint=Hint("Nothing was logged. Change it instead: ",
                                         Action("setup apply", file="SITE.toml")))

    def _resolves(self, fact: Resolution) -> None:
        kind = self._known(fact.resolves_id, "resolve")
        if kind not in ("observation", "wash_load"):
            raise BadInput(f"Entry {fact.resolves_id} is a {_kind_words(kind)}; only an observation or a load that "
                           "broke a rule is resolved.", hint=_HINT)


def _kind_words(kind: str) -> str:
    return kind.replace("_", " ")
