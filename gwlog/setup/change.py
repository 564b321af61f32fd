"""Compares a site file with the setup in force and drafts the descriptions to append.

The past is left as it is: changes are in force from the moment of the change on.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from typing import Any

from gwlog.clock import local_day
from gwlog.errors import BadInput, SeveralFaults
from gwlog.journal.facts import NOT_YET, Basin, Fact, Outlet, OutletMove, Product, Site, UsualLoad
from gwlog.setup.compare import ORDER, in_force_by_name, is_active, name_of, same
from gwlog.setup.describe import describe
from gwlog.setup.read import SiteFile
from gwlog.setup.show import first_day, reach_in_use
from gwlog.state import State

__all__ = ["changes", "describe"]


def changes(state: State, site_file: SiteFile, *, in_force: datetime) -> list[Fact]:
    """The drafts that bring the setup to what the file says; empty when nothing differs.

    `state`: the fold up to `in_force`. The first setup is in force from the file's `since`, later ones from
    `in_force` (UTC). What the file no longer names is retired (active=False). An outlet that lies at a basin
    which this change takes from its reach is moved to the file's `at`.
    Raises SeveralFaults when the file contradicts what the logbook already holds.
    """
    if state.site is None:
        return list(site_file.facts)
    wanted = [_settled(fact, state, site_file, in_force) for fact in site_file.facts]
    _refuse(state, site_file, wanted, in_force)
    made: list[Fact] = []
    for fact in wanted:
        if isinstance(fact, Site):
            if not same(state.site, fact):
                made.append(fact)
            continue
        old = in_force_by_name(state, type(fact)).get(name_of(fact))
        if old is None or not is_active(old) or not same(old, fact):
            made.append(fact)
    made += _moves(state, site_file, wanted, in_force)
    kept = {(type(fact), name_of(fact)) for fact in wanted}
    for kind in reversed(ORDER):
        for name, old in in_force_by_name(state, kind).items():
            if is_active(old) and (kind, name) not in kept:
                made.append(_retired(old, site_file.zone, in_force))
    return made


def _settled(fact: Fact, state: State, site_file: SiteFile, in_force: datetime) -> Fact:
    """A draft as it would be appended at `in_force`; what the file leaves out is filled in from the logbook."""
    fact = replace(fact, happened_at=in_force)
    in_file = {name_of(other) for other in site_file.facts if isinstance(other, (Basin, Product))}
    if isinstance(fact, Site):
        fact = _kept_by_the_logbook(fact, state, site_file)
    elif isinstance(fact, Basin):
        basin = state.basins.get(fact.name)
        in_use = basin is not None and basin.active
        if fact.name not in site_file.started_given:
            today = local_day(in_force, site_file.zone)
            fact = replace(fact, started=basin.started if basin is not None and in_use else today)
        if basin is not None and in_use and fact.started == basin.started and fact.start_deficit_ml is None:
            fact = replace(fact, start_deficit_ml=basin.start_deficit_ml)
    elif isinstance(fact, Outlet):
        outlet = state.outlets.get(fact.name)
        if outlet is not None and outlet.active:
            # moves since then are entries of the log; the description keeps the outlet's first place
            fact = replace(fact, basin=outlet.basin)
        if outlet is not None and None not in (outlet.reaches, fact.reaches):
            fact = replace(fact, reaches=_kept(outlet.reaches or (), fact.reaches or (), in_file))
    elif isinstance(fact, UsualLoad):
        load = state.usual_loads.get(fact.name)
        if load is not None:
            fact = replace(fact, products=_kept(load.products, fact.products, in_file))
    return fact


def _kept_by_the_logbook(fact: Site, state: State, site_file: SiteFile) -> Site:
    """A site with the valve of the start, and with the edition of its code profile that is kept until one is said."""
    from gwlog.reference.codes import editions

    if fact.valve == "unknown":
        fact = replace(fact, valve=state.sites[0].valve)
    site = state.site
    if site is None or site.code != fact.code:
        return fact
    known = editions(site.code)
    kept = site.code_edition if site.code_edition in known else next(iter(known), None)
    if not site_file.edition_given or fact.code_edition == kept:
        fact = replace(fact, code_edition=site.code_edition)
    return fact


def _kept(old: tuple[str, ...], new: tuple[str, ...], in_file: set[str]) -> tuple[str, ...]:
    """The old names where they differ from the new ones only by things that the file no longer holds."""
    return old if set(old) & in_file == set(new) else new


def _refuse(state: State, site_file: SiteFile, wanted: list[Fact], in_force: datetime) -> None:
    """Raise SeveralFaults where the file contradicts the logbook: names, first day, balances, places of outlets."""
    since = first_day(state)
    if in_force < state.sites[0].happened_at:
        raise BadInput(f"A change cannot be in force before the first setup ({since}).",
                       hint="Leave the moment out, or give a later one.")
    found = []
    if site_file.since_given and site_file.since != since:
        found.append(f"since = {site_file.since} — the first setup is in force from {since} already; "
                     f"keep since = {since} or leave it out")
    for fact in wanted:
        if isinstance(fact, Site):
            if fact.valve != state.sites[0].valve:
                first = state.sites[0].valve
                starts = "without anybody having said where the valve stood; leave it out" if first == "unknown" else \
                    f"with the valve at {first}; keep that"
                found.append(f'valve = "{fact.valve}" — the logbook starts {starts}, and log a turn with: '
                             f"gwlog valve {fact.valve}")
            continue
        known = in_force_by_name(state, type(fact))
        name = name_of(fact)
        other = next((old for old in known if old.casefold() == name.casefold()), None)
        if name not in known and other is not None:
            found.append(f"name = “{name}” — the logbook calls it “{other}”; write it so")
        if isinstance(fact, Basin):
            found += _balance(fact, state, site_file, in_force)
    for outlet in site_file.facts:
        if isinstance(outlet, Outlet):
            found += _lies(outlet, state, wanted)
    if found:
        raise SeveralFaults("The site file contradicts the logbook; nothing was written.", found,
                            hint="Fix these lines and try again.")


def _balance(basin: Basin, state: State, site_file: SiteFile, in_force: datetime) -> list[str]:
    """Faults of a basin whose balance would start before the change: a running balance can start over only after it."""
    old = state.basins.get(basin.name)
    today = local_day(in_force, site_file.zone)
    if old is None or (basin.started >= today and basin.started != old.started):
        return []
    label = f"basin “{basin.name}”: "
    if basin.started != old.started:
        return [f"{label}started = {basin.started} — its balance runs from {old.started} already; "
                f"keep that, or write started = {today} to start it over"]
    if basin.start_deficit_ml != old.start_deficit_ml:
        return [f"{label}deficit — it tells the start of a balance, and this one runs from {old.started} already; "
                f"leave it as it was, or write started = {today} to start it over"]
    return []


def _lies(outlet: Outlet, state: State, wanted: list[Fact]) -> list[str]:
    """Faults of an outlet that the file puts elsewhere than the log: a move is an entry, not a description."""
    old, place = state.outlets.get(outlet.name), state.outlet_at.get(outlet.name)
    if old is None or not old.active or place is None or _taken_away(outlet, state, wanted):
        return []
    within = _within(outlet, wanted)
    accepted = [lies for lies in (old.basin, place.basin) if lies in within]
    if not accepted or outlet.basin in accepted:
        return []
    return [f"at = “{outlet.basin}” — by the log “{outlet.name}” is at “{place.basin}”; keep at = "
            f"“{accepted[0]}”, and log the move with: gwlog move “{outlet.name}” “{outlet.basin}”"]


def _within(outlet: Outlet, wanted: list[Fact]) -> list[str]:
    return [
        basin.name for basin in wanted
        if isinstance(basin, Basin) and (outlet.reaches is None or basin.name in outlet.reaches)
    ]


def _taken_away(outlet: Outlet, state: State, wanted: list[Fact]) -> bool:
    """Whether this very change takes the basin at which the outlet lies out of its reach."""
    old, place = state.outlets.get(outlet.name), state.outlet_at.get(outlet.name)
    if old is None or not old.active or place is None:
        return False
    return place.basin in reach_in_use(state, old) and place.basin not in _within(outlet, wanted)


def _moves(state: State, site_file: SiteFile, wanted: list[Fact], in_force: datetime) -> list[Fact]:
    return [
        OutletMove(happened_at=in_force, zone=site_file.zone, outlet=outlet.name, basin=outlet.basin)
        for outlet in site_file.facts
        if isinstance(outlet, Outlet) and _taken_away(outlet, state, wanted)
    ]


def _retired(old: Fact, zone: str, in_force: datetime) -> Fact:
    anew: dict[str, Any] = {
        "id": 0, "happened_at": in_force, "recorded_at": NOT_YET, "recorded_by": None, "note": None,
        "corrects_id": None, "zone": zone, "active": False,
    }
    return replace(old, **anew)
