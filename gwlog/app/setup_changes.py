"""A site file taken into a logbook that has a setup already: what it would append, in force from when.

The commands and the screens both go through here; nothing is written here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from gwlog import clock
from gwlog.app.entries import Author, noted_once
from gwlog.errors import BadInput
from gwlog.household import Household
from gwlog.journal.facts import DESCRIPTIONS, NOT_YET, Fact, Site
from gwlog.reference.codes import newer
from gwlog.setup.change import changes
from gwlog.setup.code_warnings import code_warnings, newer_edition
from gwlog.setup.describe import describe
from gwlog.setup.read import SiteFile

DESCRIBED = frozenset(kind.KIND for kind in DESCRIPTIONS)


@dataclass(frozen=True, slots=True)
class Taken:
    """What a site file changes: the drafts, each in a line; what to mind; from when it is in force."""

    drafts: tuple[Fact, ...]
    lines: tuple[str, ...]
    warnings: tuple[str, ...]
    in_force: datetime

    @property
    def facts(self) -> tuple[Fact, ...]:
        """What is to be appended."""
        return self.drafts


def compared(home: Household, site: SiteFile, in_force: datetime, who: Author) -> Taken:
    """What a site file that was read changes. Raises BadInput with every fault that the present setup finds in it."""
    drafts = noted_once([replace(draft, recorded_by=who.by)
                         for draft in changes(home.state, site, in_force=in_force)], who.note)
    site_then = next((one for one in drafts if isinstance(one, Site)), home.state.site)
    offer = newer_edition(site_then)[:1] if site_then is not None else []
    return Taken(tuple(drafts), tuple(describe(drafts, home.state)), (*site.warnings, *offer), in_force)


def newest_code(home: Household, who: Author) -> Taken:
    """The newest edition of the household's code profile, in force from now. Raises BadInput where it has that one."""
    site = home.state.site
    later = newer(site.code, site.code_edition) if site is not None else None
    if site is None or later is None:
        held = f"The profile {site.code} is in its newest edition" if site is not None else "No site is described"
        raise BadInput(f"{held}; nothing was written.")
    draft = replace(site, id=0, happened_at=home.now, recorded_at=NOT_YET, corrects_id=None, recorded_by=who.by,
                    note=who.note, code_edition=later.as_of)
    today = clock.local_day(home.now, home.zone)
    return Taken((draft,), tuple(describe([draft], home.state)), tuple(code_warnings(draft, today)), home.now)


def in_force_from(home: Household, typed: str | None) -> datetime:
    """The moment from which a setup is to be in force: now, or an earlier one after which nothing was described.

    Raises BadInput.
    """
    if not typed:
        return home.now
    moment = clock.moment(typed, home.now, home.zone)
    if moment > home.now:
        raise BadInput(f"{clock.echo(moment, home.zone)} is in the future; a setup is in force from now or before.")
    latest = _latest_description(home.standing.facts)
    if latest is not None and moment < latest:
        raise BadInput(f"A later description is in force from {clock.echo(latest, home.zone)}; "
                       "the past is not rewritten.", hint="Choose a later moment.")
    return moment


def _latest_description(facts: Sequence[Fact]) -> datetime | None:
    return max((fact.happened_at for fact in facts if fact.KIND in DESCRIBED), default=None)
