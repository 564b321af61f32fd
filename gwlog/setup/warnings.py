"""Warnings about a site file that can be used: what would work badly, and what had to be assumed.

None of them keeps the file from being used.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from statistics import median

from gwlog.decisions.garden_rules import passed_limit
from gwlog.decisions.query import profile_at
from gwlog.journal.facts import RAIN_AS_LOGGED, Basin, Fact, Outlet, PlannedLoad, Site, UpkeepTask, UsualLoad, Washer
from gwlog.reference.upkeep import NEW_SYSTEM
from gwlog.setup.code_warnings import code_warnings
from gwlog.setup.cross_checks import Entries
from gwlog.setup.keys import NEVER
from gwlog.setup.read_table import Entry
from gwlog.setup.sizes import never_fits
from gwlog.setup.to_facts import ASSUMED_ROOT_DEPTH_MM, UNKNOWN_CLASS
from gwlog.text import listed
from gwlog.units import Reader, System
from gwlog.water.basin import BasinSpec, wetted_area
from gwlog.water.report import tap_water
from gwlog.water.tap import oddities

FROST_LATITUDE = 40.0
"""From how far north or south the ground may freeze where nothing more is known [degrees]. Working assumption."""


def warnings_of(facts: Sequence[Fact], entries: Entries, today: date) -> tuple[list[str], list[str]]:
    """Warnings about a file without faults: what can never work, and the others, the most important first."""
    site = next(fact for fact in facts if isinstance(fact, Site))
    basins = [fact for fact in facts if isinstance(fact, Basin)]
    outlets = [fact for fact in facts if isinstance(fact, Outlet)]
    system: System = "metric" if site.units == "metric" else "us"
    reader = Reader(system)
    load_l = _usual_litres(facts)
    never = [*_nowhere(basins, outlets), *_over_limit(facts, site, reader)]
    for basin in basins:
        never += _never(basin, outlets, load_l, reader)
    found = [*code_warnings(site, today)]
    found += _missing(site, any(isinstance(fact, Washer) for fact in facts))
    found += oddities(tap_water(site.tap_water, site.softened_water))
    for basin, entry in zip(basins, entries["basin"], strict=True):
        found += _basin(basin, entry, site, reader)
    found += _doubled([fact for fact in facts if isinstance(fact, PlannedLoad)])
    found += _upkeep(site, [fact for fact in facts if isinstance(fact, UpkeepTask)])
    return never, found


def spec_in_setup(basin: Basin) -> BasinSpec:
    """A described basin in SI units, before any weather or load is known."""
    from gwlog.reference.soils import SOILS, TEXTURES

    area, canopy = basin.area_cm2 / 1e4, basin.canopy_cm2 / 1e4
    wetted = wetted_area(area, canopy) if basin.wetted_cm2 is None else basin.wetted_cm2 / 1e4
    taw_mm = TEXTURES[basin.texture].available * basin.root_depth_mm
    return BasinSpec(
        basin.name, area, canopy, wetted, float(basin.mulch_mm), taw_mm, taw_mm * basin.depletion_milli / 1000,
        basin.plant_factor_milli / 1000, SOILS[basin.soil].allowance_l_per_m2,
    )


def _nowhere(basins: list[Basin], outlets: list[Outlet]) -> list[str]:
    if not basins:
        return ["There is no [[basin]] yet: no load can go to the garden."]
    return [] if outlets else ["There is no [[outlet]] yet: no load can go to the garden."]


def _missing(site: Site, washers: bool) -> list[str]:
    found = []
    if not washers:
        found.append("There is no [[washer]] yet: the volume of a load is assumed.")
    if site.water_price_milli is not None and not site.currency:
        found.append("The price of water has no currency, so money is shown as a bare number. Add currency, like USD.")
    if site.monthly_rain_um is None:
        days = "the coming days count" if site.rain == RAIN_AS_LOGGED else "a day without measured rain counts"
        found.append(f"The climate has no monthly_rain_in or monthly_rain_mm: {days} as dry.")
    if site.monthly_tmean_mdegc is None and abs(site.latitude_udeg) >= FROST_LATITUDE * 1e6:
        found.append("The climate has no monthly_tmean_c or monthly_tmean_f: frozen ground is known only where it is "
                     "logged as seen, or where temperatures are imported.")
    return found


def _usual_litres(facts: Sequence[Fact]) -> float | None:
    """The median volume of the usual loads, else the first machine's [L]."""
    of = {fact.name: fact.volume_ml for fact in facts if isinstance(fact, Washer)}
    loads = [
        of[fact.washer] if fact.volume_ml is None else fact.volume_ml
        for fact in facts if isinstance(fact, UsualLoad)
    ]
    volumes = [float(median(loads))] if loads else [float(volume) for volume in of.values()]
    return volumes[0] / 1000.0 if volumes else None


def _over_limit(facts: Sequence[Fact], site: Site, reader: Reader) -> list[str]:
    """That single loads pass the daily limit, so that they can never go to the garden, and what would help."""
    profile = profile_at(site)
    of = {fact.name: fact.volume_ml for fact in facts if isinstance(fact, Washer)}
    loads = {fact.name: of[fact.washer] if fact.volume_ml is None else fact.volume_ml
             for fact in facts if isinstance(fact, UsualLoad)} or of
    found: dict[str, list[str]] = {}
    for name, volume_ml in loads.items():
        allowed = passed_limit(profile, site, volume_ml / 1000.0, reader)
        if allowed is not None:
            found.setdefault(allowed, []).append(f"“{name}” ({reader.volume(volume_ml / 1000.0)})")
    return [f"{listed(names)} can never go to the garden: {allowed} in a day, and one load alone is more. A smaller "
            "load would help, or another limit where the code allows it." for allowed, names in found.items()]


def _never(basin: Basin, outlets: list[Outlet], load_l: float | None, reader: Reader) -> list[str]:
    """What keeps a basin from ever getting a usual load as it is described."""
    found = []
    name = f"Basin “{basin.name}”"
    total = sum(outlet.share_milli for outlet in outlets)
    reached = [outlet for outlet in outlets if outlet.reaches is None or basin.name in outlet.reaches]
    if outlets and not reached:
        found.append(f"{name} is out of reach of every outlet: no load can ever go there. Name it in the reaches of "
                     "one that can be carried to it, or leave the basin out.")
    if load_l is not None and reached:
        shares = [outlet.share_milli / total for outlet in reached]
        found += never_fits(name, spec_in_setup(basin), load_l, load_l * min(shares), load_l * max(shares),
                            wetted_stated=basin.wetted_cm2 is not None, read=reader)
    if basin.edible == "root crop" and reached:
        found.append(
            f"{name} holds a root crop, and {listed([f'“{o.name}”' for o in reached])} can reach it: graywater must "
            "not go to root crops. Leave the basin out of the outlet's reaches.")
    return found


def _basin(basin: Basin, entry: Entry, site: Site, reader: Reader) -> list[str]:
    found = []
    name = f"Basin “{basin.name}”"
    spec = spec_in_setup(basin)
    least = profile_at(site).cover_mm.value
    if basin.mulch_mm < int(least):
        found.append(
            f"{name} has {reader.length(basin.mulch_mm)} of mulch; {site.code} asks for at least "
            f"{reader.length(least)} over the discharge point.")
    if basin.start_deficit_ml is not None and basin.start_deficit_ml / 1000.0 > spec.taw_l:
        found.append(
            f"{name} starts with missing water of {reader.volume(basin.start_deficit_ml / 1000.0)}, more than its root "
            f"zone can lack ({reader.volume(spec.taw_l)}); the smaller figure is used.")
    return found + _assumed(basin, entry, name, reader)


def _assumed(basin: Basin, entry: Entry, name: str, reader: Reader) -> list[str]:
    from gwlog.reference.plants import find_plant

    if find_plant(basin.plants) is not None:
        return []
    taken = {
        "plant_factor": f"plant_factor {basin.plant_factor_milli / 1000:g} ({UNKNOWN_CLASS})",
        "root_depth": f"root depth {reader.length(ASSUMED_ROOT_DEPTH_MM)}",
        "depletion_fraction": f"depletion_fraction {basin.depletion_milli / 1000:g}",
        "edible": "edible “none”",
    }
    words = [text for key, text in taken.items() if key not in entry.spelt]
    return [f"{name}: “{basin.plants}” is not in the plant table; assumed: {listed(words)}."] if words else []


def _doubled(plans: Sequence[PlannedLoad]) -> list[str]:
    """Planned loads of one usual load that come at the same times."""
    seen: dict[tuple[str, str, str | None], str] = {}
    found = []
    for plan in plans:
        first = seen.setdefault((plan.load, plan.starts, plan.every), plan.name)
        if first != plan.name:
            found.append(f"“{plan.load}” is planned twice at the same times, as “{first}” and as “{plan.name}”: is "
                         "that one load? Then remove one of the two.")
    return found


def _upkeep(site: Site, tasks: list[UpkeepTask]) -> list[str]:
    known = {default.name for default in profile_at(site).upkeep} | {one.name for one in NEW_SYSTEM}
    return [
        f"Upkeep “{task.name}” is set to never, but {site.code} brings no task of that name."
        for task in tasks if task.every == NEVER and task.name not in known
    ]
