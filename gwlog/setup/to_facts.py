"""Turns the clean values of a faultless site file into description facts, ready to be appended.

Keys that are left out get the published default of the plant, the soil or the machine here, and nowhere else.
"""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from gwlog.clock import day_start
from gwlog.journal.facts import (
    Basin,
    Fact,
    Outlet,
    Person,
    PlannedLoad,
    Product,
    Site,
    UpkeepTask,
    UsualLoad,
    Washer,
)
from gwlog.setup.cross_checks import Entries, local_rule
from gwlog.setup.read_table import Entry

ASSUMED_ROOT_DEPTH_MM = 600
"""Roots of a planting that is not in the plant table [mm]. Working assumption: a young shrub or small tree."""

ASSUMED_DEPLETION_MILLI = 500
"""p of a planting that is not in the plant table, in thousandths: FAO-56 table 22 gives .50 to most rows."""

UNKNOWN_CLASS = "woody plants and perennials, arid climate"
"""The class of ANSI/ASABE S623 taken for a planting that is not in the plant table."""


def facts_of(entries: Entries) -> list[Fact]:
    """The facts, references first: site, people, washers, basins, products, loads, outlets, plans, upkeep."""
    site = entries["site"][0]
    since: date = site.get("since")
    common: dict[str, Any] = {
        "happened_at": day_start(since, site.get("timezone")), "zone": site.get("timezone"),
    }
    made: list[Fact] = [_site(site, entries, common)]
    made += [Person(name=person.get("name"), **common) for person in entries["person"]]
    made += [_washer(washer, common) for washer in entries["washer"]]
    made += [_basin(basin, since, common) for basin in entries["basin"]]
    made += [_product(product, common) for product in entries["product"]]
    made += [_usual_load(load, common) for load in entries["usual_load"]]
    made += [_outlet(outlet, common) for outlet in entries["outlet"]]
    made += [_planned_load(plan, common) for plan in entries["planned_load"]]
    made += [_upkeep(task, site.get("code"), common) for task in entries["upkeep"]]
    return made


def _site(site: Entry, entries: Entries, common: dict[str, Any]) -> Site:
    from gwlog.reference.codes import PROFILES
    from gwlog.reference.codes.local_rules import line_of

    rules = tuple(line_of(local_rule(rule)) for rule in entries["local_rule"])
    climate: Entry = site.get("climate")
    return Site(
        name=site.get("name"), latitude_udeg=round(site.get("latitude") * 1e6), units=site.get("units"),
        occupants=site.get("occupants"), code=site.get("code"), aim=site.get("aim") or "plants",
        valve=site.get("valve") or "unknown", eto_zone=climate.get("eto_zone"),
        monthly_eto_um=climate.get("monthly_eto"), monthly_rain_um=climate.get("monthly_rain"),
        monthly_tmean_mdegc=climate.get("monthly_tmean"),
        softened_water=bool(site.get("softened_water")), rain=site.get("rain"),
        water_price_milli=site.get("water_price"), currency=site.get("currency"),
        code_edition=site.get("code_edition") or PROFILES[site.get("code")].as_of,
        system_answers=_answers(entries), local_rules=rules or None,
        tap_water=_report(site.get("tap_water")), as_built=_as_built(entries), **common,
    )


def _answers(entries: Entries) -> tuple[str, ...] | None:
    """What was answered of the system itself, question by question; None where nothing was."""
    from gwlog.reference.codes.system import QUESTIONS, line_of

    answers = entries["system"][0].values if entries["system"] else {}
    lines = []
    for key in QUESTIONS:
        answer = answers.get(key)
        if answer is not None:
            lines.append(line_of(key, ("yes" if answer else "no") if isinstance(answer, bool) else str(answer)))
    return tuple(lines) or None


def _as_built(entries: Entries) -> tuple[str, ...] | None:
    """What was stated of how the system was built; None where nothing was."""
    from gwlog.reference.as_built import STATED, line_of

    lines = []
    for one in STATED.values():
        value = entries[one.table][0].get(one.key) if entries[one.table] else None
        if value is not None:
            lines.append(line_of(one.table, one.key, value))
    return tuple(lines) or None


def _report(report: Entry | None) -> tuple[str, ...] | None:
    """The lines of a water report, in the order of their names; None without any."""
    return tuple(report.values[name] for name in sorted(report.values)) or None if report is not None else None


def _washer(washer: Entry, common: dict[str, Any]) -> Washer:
    from gwlog.reference.laundry import washer_litres

    volume = washer.get("volume")
    return Washer(
        name=washer.get("name"), machine=washer.get("kind"),
        volume_ml=round(washer_litres(washer.get("kind")) * 1000) if volume is None else volume,
        run_minutes=washer.get("run_minutes"), **common,
    )


def _basin(basin: Entry, since: date, common: dict[str, Any]) -> Basin:
    from gwlog.reference.plants import PLANT_FACTOR_CLASSES, find_plant
    from gwlog.reference.soils import SOILS

    plant = find_plant(basin.get("plants"))
    factor = PLANT_FACTOR_CLASSES[UNKNOWN_CLASS].value if plant is None else plant.plant_factor.value
    root = ASSUMED_ROOT_DEPTH_MM if plant is None else round(plant.root_depth_m.value * 1000)
    depletion = ASSUMED_DEPLETION_MILLI if plant is None else round(plant.depletion_fraction.value * 1000)
    edible = "none" if plant is None else plant.edible.value
    x, y = basin.get("position") or (None, None)
    return Basin(
        name=basin.get("name"), area_cm2=basin.get("area"), mulch_mm=basin.get("mulch"), soil=basin.get("soil"),
        texture=basin.get("texture") or SOILS[basin.get("soil")].default_texture.value,
        plants=basin.get("plants"), canopy_cm2=basin.get("canopy") or basin.get("area"),
        wetted_cm2=basin.get("wetted"), plant_factor_milli=_milli(basin.get("plant_factor"), round(factor * 1000)),
        root_depth_mm=basin.get("root_depth") or root,
        depletion_milli=_milli(basin.get("depletion_fraction"), depletion),
        edible=basin.get("edible") or edible, started=basin.get("started") or since,
        start_deficit_ml=basin.get("deficit"), at_x_mm=x, at_y_mm=y, planted=basin.get("planted"),
        planted_canopy_cm2=basin.get("planted_canopy"), planted_root_mm=basin.get("planted_root"),
        ground_cover=basin.get("ground_cover"), **common,
    )


def _product(product: Entry, common: dict[str, Any]) -> Product:
    sodium = product.get("sodium_g_per_load")
    return Product(
        name=product.get("name"), product_kind=product.get("kind"), form=product.get("form"),
        chlorine_bleach=product.get("chlorine_bleach"), borax=product.get("borax"),
        sodium_mg=None if sodium is None else round(sodium * 1000), label=product.get("label"),
        dose_mg=product.get("dose"), **common,
    )


def _usual_load(load: Entry, common: dict[str, Any]) -> UsualLoad:
    return UsualLoad(
        name=load.get("name"), washer=load.get("washer"), products=load.get("products") or (),
        contents=load.get("contents") or (), volume_ml=load.get("volume"),
        run_minutes=load.get("run_minutes"), **common,
    )


def _outlet(outlet: Entry, common: dict[str, Any]) -> Outlet:
    x, y = outlet.get("position") or (None, None)
    return Outlet(
        name=outlet.get("name"), reaches=outlet.get("reaches"), basin=outlet.get("at"),
        share_milli=_milli(outlet.get("share"), 1000), at_x_mm=x, at_y_mm=y, **common,
    )


def _planned_load(plan: Entry, common: dict[str, Any]) -> PlannedLoad:
    return PlannedLoad(
        name=plan.get("name"), load=plan.get("load"), starts=wall_text(plan.get("starts")),
        every=plan.get("every"), skips=plan.get("skips") or (), **common,
    )


def _upkeep(task: Entry, code: str, common: dict[str, Any]) -> UpkeepTask:
    from gwlog.reference.codes import PROFILES

    name = task.get("name")
    usual = {default.name.casefold(): default.name for default in PROFILES[code].upkeep}
    return UpkeepTask(
        name=usual.get(name.casefold(), name), every=task.get("every"), months=task.get("months"),
        source=task.get("source"), **common,
    )


def wall_text(wall: datetime) -> str:
    """A local wall time as it is stored: to the minute, or to the second where one was given."""
    return wall.isoformat(timespec="seconds" if wall.second else "minutes")


def _milli(number: float | None, otherwise: int) -> int:
    return otherwise if number is None else round(number * 1000)
