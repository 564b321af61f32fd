"""Changes of the setup that are not appended yet: kept by thing, on top of whatever setup is in force by then.

So a change that somebody else appends meanwhile is never taken back by them.
"""

from __future__ import annotations

import copy
from dataclasses import dataclass, field, replace

from gwlog.app import entries
from gwlog.app.forms.model import Values
from gwlog.errors import BadInput, SeveralFaults
from gwlog.household import Household
from gwlog.journal.facts import Fact
from gwlog.setup.draft import Draft, Table, in_words, judge, of_text, renamed, text_of
from gwlog.setup.keys import tables

Thing = tuple[str, str]
"""Kind and the name in force; “+1”, “+2” for things that are not in force yet; ("site", "") for the household,
("system", "") and the like for what there is one of."""

_ONCE = frozenset(kind for kind, table in tables().items() if not table.several)
"""The kinds of which there is one table, without a name."""


@dataclass(frozen=True, slots=True)
class Change:
    """What appending would do: the drafts, each in a line; what to mind; what keeps it from being appended."""

    drafts: tuple[Fact, ...]
    lines: tuple[str, ...]
    warnings: tuple[str, ...]
    wrong: tuple[str, ...]


@dataclass
class Edits:
    """`made`: thing -> its table, None where it is to be retired. `typed`: forms that were left with words in them."""

    made: dict[Thing, Table | None] = field(default_factory=dict)
    typed: dict[tuple[str, str, str], Values] = field(default_factory=dict)
    count: int = 0

    def put(self, thing: Thing | None, kind: str, table: Table | None) -> None:
        """Keep a change of a thing; with None for a thing: a new one."""
        if thing is None:
            self.count += 1
            thing = (kind, f"+{self.count}")
        if table is None and thing[1].startswith("+"):
            del self.made[thing]
        else:
            self.made[thing] = table

    def things(self, home: Household) -> tuple[Draft, dict[str, list[Thing]]]:
        """The setup in force with the changes, and for each kind the thing that each of its tables tells of."""
        from gwlog.setup.show import show

        draft = of_text(show(home.state))
        whose = {kind: [(kind, "" if kind in _ONCE else str(table["name"])) for table in listing]
                 for kind, listing in draft.items()}
        for thing, table in self.made.items():
            kind, name = thing
            if table is None or not name.startswith("+"):
                new = None if table is None else str(table.get("name", name))
                if kind not in _ONCE and new != name:
                    draft = renamed(draft, kind, name, new)
        for thing, table in self.made.items():
            at = whose[thing[0]].index(thing) if thing in whose[thing[0]] else None
            if at is None and table is not None:
                draft[thing[0]].append(copy.deepcopy(table))
                whose[thing[0]].append(thing)
            elif at is not None and table is not None:
                draft[thing[0]][at] = self._with_new_names(thing, table)
            elif at is not None:
                del draft[thing[0]][at]
                del whose[thing[0]][at]
        return draft, whose

    def _with_new_names(self, thing: Thing, table: Table) -> Draft | Table:
        """A changed table that still uses a name which another change gave up."""
        one: Draft = {kind: [] for kind in ("usual_load", "outlet", "planned_load", thing[0])}
        one[thing[0]] = [copy.deepcopy(table)]
        for (kind, name), other in self.made.items():
            new = None if other is None else str(other.get("name", name))
            if kind not in _ONCE and not name.startswith("+") and new != name:
                one = renamed(one, kind, name, new)
        return one[thing[0]][0]

    def change(self, home: Household, *, by: str | None = None, note: str | None = None) -> Change:
        """What appending all of it at `home.now` would do."""
        from gwlog.setup.change import changes
        from gwlog.setup.describe import describe
        from gwlog.setup.read import read_site_file

        draft, _ = self.things(home)
        judged = judge(draft, home.now)
        if judged.site_file is None:
            return Change((), (), (), tuple(_told(draft, one.kind, one.number, one.words) for one in judged.wrong))
        before = read_site_file(text_of(Edits().things(home)[0]), now=home.now).warnings
        try:
            who = entries.read_author(home, by=by, note=note)
            made = entries.noted_once([replace(one, recorded_by=who.by) for one in changes(
                home.state, judged.site_file, in_force=home.now)], who.note)
        except SeveralFaults as faults:
            return Change((), (), (), faults.faults)
        except BadInput as fault:
            return Change((), (), (), (str(fault),))
        new = tuple(in_words(one) for one in judged.site_file.warnings if one not in before)
        return Change(tuple(made), tuple(describe(made, home.state)), new, ())


def to_mind(home: Household) -> tuple[str, ...]:
    """What to mind about the setup in force: what would work badly, and what had to be assumed."""
    site_file = judge(Edits().things(home)[0], home.now).site_file
    return () if site_file is None else tuple(in_words(one) for one in site_file.warnings)


def _told(draft: Draft, kind: str, number: int, words: str) -> str:
    name = draft[kind][number].get("name", "") if number < len(draft[kind]) else ""
    return f"{kind.replace('_', ' ')} “{name}”: {words}"
