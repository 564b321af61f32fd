"""Checks across the tables of a site file: names that refer to others, doubled names, days, the climate.

Names are found whatever their case and are put into the spelling of the table that declares them.
"""

from __future__ import annotations

from datetime import date, datetime
from typing import TYPE_CHECKING

from gwlog.clock import local_day
from gwlog.setup.faults import Faults, nearest
from gwlog.setup.keys import CLIMATE, tap_water_table
from gwlog.setup.read_table import Entry, read_table
from gwlog.setup.rules import never_comes

if TYPE_CHECKING:
    from gwlog.reference.codes.local_rules import LocalRule

Entries = dict[str, list[Entry]]


def check(entries: Entries, now: datetime, faults: Faults) -> None:
    """Put the names used into their declared spelling, fill defaults that depend on other tables, note faults."""
    sites = entries["site"]
    since = _site(sites[0], now, faults) if sites else None
    for plan in entries["planned_load"]:
        load = plan.get("load")
        if "name" not in plan.spelt and load is not None:
            plan.values["name"] = _declared(entries, "usual_load").get(load.casefold(), load)
    for kind, listing in entries.items():
        if kind != "site":
            _twins(kind, listing, faults)
    if sites:
        _edition(sites[0], faults)
        for rule in entries["local_rule"]:
            _local_rule(rule, sites[0], faults)
    for table in ("contacts", "permit_or_notice"):
        for entry in entries[table]:
            _built(entry, now, sites, faults)
    for basin in entries["basin"]:
        _started(basin, since, now, sites, faults)
        _planted(basin, now, sites, faults)
    for load in entries["usual_load"]:
        _use_all(load, "products", "product", entries, faults)
        _washer(load, entries, faults)
    for outlet in entries["outlet"]:
        _outlet(outlet, entries, faults)
    for plan in entries["planned_load"]:
        _use(plan, "load", "usual_load", entries, faults)
        if plan.get("every") is not None and plan.get("starts") is not None:
            wrong = never_comes(plan.get("every"), plan.get("starts"), _zone_of(sites))
            if wrong is not None:
                faults.add(plan.at("every"), *wrong)


def _zone_of(sites: list[Entry]) -> str:
    return (sites[0].get("timezone") if sites else None) or "UTC"


def _site(site: Entry, now: datetime, faults: Faults) -> date | None:
    today = local_day(now, _zone_of([site]))
    since: date | None = site.values.setdefault("since", today) if "since" not in site.faulty else None
    if since is not None and since > today:
        faults.add(site.at("since"), "in the future", f"use a day up to today, {today}")
        since = None
    raw = site.get("climate")
    if raw is not None:
        climate = read_table(CLIMATE, raw, site.at("climate"), faults)
        _climate(climate, faults)
        site.values["climate"] = climate
    report = site.get("tap_water")
    if report is not None:
        site.values["tap_water"] = read_table(tap_water_table(), report, site.at("tap_water"), faults)
    return since


def _climate(climate: Entry, faults: Faults) -> None:
    spelt = climate.spelt
    if "eto_zone" in spelt and "monthly_eto" in spelt:
        faults.add(climate.at("monthly_eto"), f"given twice, eto_zone stands on line "
                   f"{faults.lines.of(climate.at('eto_zone'))}", "keep one of the two")
    elif "eto_zone" not in spelt and "monthly_eto" not in spelt:
        faults.add(climate.path, "no reference evapotranspiration",
                   "use eto_zone = 1 to 18, or monthly_eto_in or monthly_eto_mm = twelve numbers")


def _built(entry: Entry, now: datetime, sites: list[Entry], faults: Faults) -> None:
    """A day on which something was finished, given or told is no day to come."""
    today = local_day(now, _zone_of(sites))
    for key in ("installed", "day"):
        day = entry.get(key)
        if day is not None and day > today:
            faults.add(entry.at(key), "in the future", f"use a day up to today, {today}")


def _edition(site: Entry, faults: Faults) -> None:
    """The edition has to be one in which the chosen profile is held."""
    from gwlog.reference.codes import editions

    code, edition = site.get("code"), site.get("code_edition")
    known = editions(code) if code is not None else ()
    if edition is None or code is None or edition in known:
        return
    faults.add(site.at("code_edition"), f"no edition in which {code} is held",
               f"use {' or '.join(f'“{one}”' for one in known)}, or leave the key out")
    site.faulty.add("code_edition")
    del site.values["code_edition"]


def _local_rule(entry: Entry, site: Entry, faults: Faults) -> None:
    """A rule of the place asks for something, and never for less than the code does."""
    from gwlog.reference.codes import PROFILES, held
    from gwlog.reference.codes.local_rules import looser

    if not any(key in entry.spelt for key in ("limit", "cover", "months", "text")):
        faults.add(entry.path, "it asks for nothing",
                   "use limit_gal or limit_l, cover_in or cover_mm, months or text")
        return
    code = site.get("code")
    if code is None or entry.get("name") is None or entry.get("source") is None:
        return
    profile = held(code, site.get("code_edition") or PROFILES[code].as_of)
    for key, wrong, accepted in looser(profile, local_rule(entry), site.get("occupants") or 1):
        faults.add(entry.at(key), wrong, accepted)


def local_rule(entry: Entry) -> LocalRule:
    """A rule of the place as it is kept."""
    from gwlog.reference.codes.local_rules import LocalRule

    return LocalRule(entry.get("name"), entry.get("source"), entry.get("limit"), entry.get("cover"),
                     entry.get("months"), entry.get("text"))


def _declared(entries: Entries, kind: str) -> dict[str, str]:
    names: dict[str, str] = {}
    for entry in entries[kind]:
        name = entry.get("name")
        if name is not None:
            names.setdefault(name.casefold(), name)
    return names


def _twins(kind: str, listing: list[Entry], faults: Faults) -> None:
    first: dict[str, Entry] = {}
    for entry in listing:
        name = entry.get("name")
        if name is None:
            continue
        twin = first.setdefault(name.casefold(), entry)
        if twin is not entry:
            where = entry.at("name") if "name" in entry.spelt else entry.path
            faults.add(where, f"a second [[{kind}]] called “{name}”, the first stands on line "
                       f"{faults.lines.of(twin.path)}", "give each a name of its own")


def _use(entry: Entry, key: str, kind: str, entries: Entries, faults: Faults) -> None:
    name = entry.get(key)
    if name is None:
        return
    declared = _declared(entries, kind)
    known = declared.get(name.casefold())
    if known is None:
        faults.add(entry.at(key), f"there is no [[{kind}]] of that name", nearest(name, declared.values()))
        entry.faulty.add(key)
        del entry.values[key]
    else:
        entry.values[key] = known


def _use_all(entry: Entry, key: str, kind: str, entries: Entries, faults: Faults) -> None:
    names = entry.get(key)
    if names is None:
        return
    declared = _declared(entries, kind)
    found: list[str] = []
    for name in names:
        known = declared.get(name.casefold())
        if known is None:
            faults.add(entry.at(key), f"there is no [[{kind}]] called “{name}”", nearest(name, declared.values()))
            entry.faulty.add(key)
        elif known in found:
            faults.add(entry.at(key), f"“{known}” stands twice", "name each once")
        else:
            found.append(known)
    entry.values[key] = tuple(found)


def _washer(load: Entry, entries: Entries, faults: Faults) -> None:
    if "washer" in load.spelt:
        _use(load, "washer", "washer", entries, faults)
        return
    known = list(_declared(entries, "washer").values())
    if len(known) == 1:
        load.values["washer"] = known[0]
    elif known:
        faults.add(load.path, "several machines, and the load names none", f'write washer = "{known[0]}"')
    elif not entries["washer"]:
        faults.add(load.path, "there is no [[washer]] to run it", "add the machine")


def _outlet(outlet: Entry, entries: Entries, faults: Faults) -> None:
    _use_all(outlet, "reaches", "basin", entries, faults)
    _use(outlet, "at", "basin", entries, faults)
    basins = list(_declared(entries, "basin").values())
    reaches = outlet.get("reaches")
    if "reaches" in outlet.faulty:
        return
    if reaches is not None and not reaches:
        faults.add(outlet.at("reaches"), "it reaches nothing", "name a basin, or leave the key out to reach every one")
        return
    within = basins if reaches is None else list(reaches)
    lies = outlet.get("at")
    if lies is not None:
        if lies not in within:
            faults.add(outlet.at("at"), "out of the outlet's reach", nearest(lies, within))
    elif "at" in outlet.spelt:
        return
    elif len(within) == 1:
        outlet.values["at"] = within[0]
    elif within:
        faults.add(outlet.path, "at is missing", f'write at = "{within[0]}", the basin it is at')
    elif not entries["basin"]:
        faults.add(outlet.path, "there is no [[basin]] for it to be at", "add the basin")


def _started(basin: Entry, since: date | None, now: datetime, sites: list[Entry], faults: Faults) -> None:
    started = basin.get("started")
    if started is None:
        return
    today = local_day(now, _zone_of(sites))
    if started > today:
        faults.add(basin.at("started"), "in the future", f"use a day up to today, {today}")
    elif since is not None and started < since:
        faults.add(basin.at("started"), f"before the first setup is in force ({since})",
                   f"use a day from {since} on, or leave the key out")


def _planted(basin: Entry, now: datetime, sites: list[Entry], faults: Faults) -> None:
    planted, today = basin.get("planted"), local_day(now, _zone_of(sites))
    if planted is not None and planted > today:
        faults.add(basin.at("planted"), "in the future", f"use a day up to today, {today}")
    for key in ("planted_canopy", "planted_root"):
        if basin.get(key) is not None and "planted" not in basin.spelt:
            faults.add(basin.at(key), "a size at planting without the day", "add planted = the day, like 2026-03-01")
    canopy = basin.get("canopy") or basin.get("area")
    if canopy is not None and (basin.get("planted_canopy") or 0) > canopy:
        where = basin.at("canopy") if "canopy" in basin.spelt else basin.at("planted_canopy")
        faults.add(where, "the grown-up canopy is smaller than it was at planting",
                   "use a canopy at least as large as planted_canopy")
