"""What the manual's chapters look at: the household with its code, as it is on the manual's day."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from gwlog import clock
from gwlog.decisions.query import profile_of
from gwlog.documents.render.blocks import Sourced
from gwlog.reference.as_built import of_table, stated
from gwlog.reference.source import Cited, citation, marked

if TYPE_CHECKING:
    from gwlog.household import Household
    from gwlog.journal.facts import Site
    from gwlog.reference.codes import Profile
    from gwlog.state import State
    from gwlog.units import Reader, System


@dataclass(frozen=True, slots=True)
class About:
    """A household that is described."""

    home: Household
    site: Site
    profile: Profile
    day: date

    @classmethod
    def of(cls, home: Household) -> About:
        """What is known of a household whose site is described."""
        assert home.state.site is not None
        return cls(home, home.state.site, profile_of(home.state), clock.local_day(home.now, home.zone))

    @property
    def state(self) -> State:
        return self.home.state

    @property
    def read(self) -> Reader:
        return self.home.reader

    @property
    def system(self) -> System:
        return self.home.system

    def built(self, table: str) -> dict[str, str | int | date]:
        """What was stated of how the system was built, by key of one table."""
        return of_table(stated(self.site.as_built), table)

    def said(self, value: str | int | date | None) -> str:
        """Something stated in words: a day as the household writes it."""
        return clock.long_date(value, self.system) if isinstance(value, date) else str(value or "")


def cited(words: str, item: Cited) -> Sourced:
    """Words with their source for a footnote."""
    return Sourced(words, marked(citation(item)))
