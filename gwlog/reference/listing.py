"""Every table as plain rows with value, unit, source, edition and how sure: for the commands and the documents.

One row per figure, all of the same keys, ready for JSON. Imports the tables only when they are asked for.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import TYPE_CHECKING

from gwlog.errors import UnknownName
from gwlog.reference.source import Cited, Sourced, assumed

if TYPE_CHECKING:
    from gwlog.reference.codes import Profile
    from gwlog.reference.seasons import Stages

Row = dict[str, object]

# field of a table's row -> what it is, unit
_FIELDS: dict[str, tuple[str, str]] = {
    "ft2_per_100gal": ("area the code asks for", "ft² per 100 gal/day"),
    "allowance_gal_per_ft2": ("absorption allowance", "gal/ft²/day"),
    "utah_gal_per_ft2": ("absorption allowance, Utah", "gal/ft²/day"),
    "default_texture": ("texture taken for it", ""),
    "field_capacity_range": ("field capacity", "m³/m³"),
    "wilting_point_range": ("wilting point", "m³/m³"),
    "available_range": ("available water", "m³/m³"),
    "plant_factor": ("plant factor", ""),
    "root_depth_m": ("root depth", "m"),
    "depletion_fraction": ("depletion fraction", ""),
    "salt_threshold": ("salt threshold ECe", "dS/m"),
    "salt_slope": ("yield lost beyond it", "% per dS/m"),
    "boron_range": ("boron limit", "mg/L"),
    "acid_loving": ("acid-loving", ""),
    "edible": ("edible part", ""),
    "cover_mm": ("least cover", "mm"),
    "storage_h": ("longest storage", "h"),
    "laundry_gpcd": ("laundry expected per occupant", "gal/day"),
    "laundry_gpcd_efficient": ("the same, water-saving machine", "gal/day"),
    "season_months": ("months of use", ""),
}


def row(name: str, what: str, value: object, unit: str, cited: Cited) -> Row:
    """One figure with its source. Tuples become lists."""
    plain = list(value) if isinstance(value, tuple) else value
    return {
        "name": name, "what": what, "value": plain, "unit": unit,
        "source": cited.source, "edition": cited.edition, "sure": cited.sure,
    }


def _fields_of(name: str, item: object) -> Iterator[Row]:
    """A row for each sourced field of a table's row, in the order of _FIELDS."""
    for field, (what, unit) in _FIELDS.items():
        sourced = getattr(item, field, None)
        if isinstance(sourced, Sourced):
            yield row(name, what, sourced.value, unit, sourced)


def _named(figures: Mapping[str, Sourced[object]], what: str, unit: str) -> Iterator[Row]:
    for name, sourced in figures.items():
        yield row(name, what, sourced.value, unit, sourced)


def _soils() -> Iterator[Row]:
    from gwlog.reference.soils import SOILS

    for soil in SOILS.values():
        yield from _fields_of(soil.name, soil)


def _textures() -> Iterator[Row]:
    from gwlog.reference.soils import TEXTURES

    for texture in TEXTURES.values():
        yield from _fields_of(texture.name, texture)


def _plants() -> Iterator[Row]:
    from gwlog.reference.plants import PLANTS

    for plant in PLANTS.values():
        yield from _fields_of(plant.name, plant)


def _seasons() -> Iterator[Row]:
    from gwlog.reference import seasons as s

    for cover, leafless in s.LEAFLESS_KC.items():
        yield row(f"leafless, over {cover}", "Kc", leafless.value, "", leafless)
    for name, season in s.SEASONS.items():
        yield row(name, "Kc ini, mid, end", season.kc.value, "", season.kc)
        if season.mild is not None:
            yield row(name, "Kc without killing frost", season.mild.value, "", season.mild)
        if season.off is not None:
            yield row(name, "Kc outside the stages", season.off.value, "", season.off)
        for stages in dict.fromkeys(season.yearly or ()):
            yield from _stages(name, stages)
        if season.first is not None:
            yield from _stages(f"{name}, from planting on", season.first[0])


def _stages(name: str, stages: Stages) -> Iterator[Row]:
    yield row(name, f"stages: {stages.region}", stages.lengths.value, "days", stages.lengths)
    yield row(name, f"first day: {stages.region}", stages.start.value, "day of the year", stages.start)


def _classes() -> Iterator[Row]:
    from gwlog.reference.plants import PLANT_FACTOR_CLASSES, WATER_USE_CLASSES

    yield from _named(PLANT_FACTOR_CLASSES, "plant factor", "")
    yield from _named(WATER_USE_CLASSES, "plant factor", "")


def _climate() -> Iterator[Row]:
    from gwlog.reference.climate import ETO_ZONES

    for zone in ETO_ZONES.values():
        name = f"{zone.number} {zone.name}"
        yield row(name, "ETo by month", zone.monthly_in.value, "in", zone.monthly_in)
        yield row(name, "ETo of the year", zone.year_in.value, "in", zone.year_in)


def _chemistry() -> Iterator[Row]:
    from gwlog.reference import chemistry as c
    from gwlog.reference import salinity as s
    from gwlog.reference.formulas import ATOMIC_WEIGHTS, mg_per_me

    for threshold in c.THRESHOLDS.values():
        yield row(threshold.hazard, "no hazard below", threshold.none.value, threshold.unit, threshold.none)
        yield row(threshold.hazard, "severe above", threshold.severe.value, threshold.unit, threshold.severe)
    for band in c.INFILTRATION:
        name = f"infiltration, SAR {band.sar_from:g}-{band.sar_to:g}"
        yield row(name, "no hazard above", band.none.value, "dS/m (ECw)", band.none)
        yield row(name, "severe below", band.severe.value, "dS/m (ECw)", band.severe)
    yield row("pH", "normal", c.PH_NORMAL.value, "", c.PH_NORMAL)
    yield row("sodium", "less per wash than", c.SODIUM_TARGET_G.value, "g", c.SODIUM_TARGET_G)
    yield row("washing powder", "sodium salts as filler up to", c.POWDER_FILLER_SHARE.value, "", c.POWDER_FILLER_SHARE)
    yield from _named(ATOMIC_WEIGHTS, "atomic weight", "g/mol")
    yield from _named(c.BORON_CLASSES, "boron borne", "mg/L")
    bleach = assumed(round(c.bleach_mg_per_l(240.0, 0.06, 75.0)), "a cup (240 mL) of 6 % bleach in 75 L, none used up")
    yield row("a load with bleach", "chlorine at first", bleach.value, "mg/L", bleach)
    # FAO-29's worked examples by the formulas that gwlog uses, for whoever checks them by hand
    yield from _named(s.SOIL_SAR_LIMITS, "SAR of its extract borne", "")
    yield from _named(s.EXTRACT_FACTORS, "ECe over a 1:5 extract", "")
    water, salty, paper = "example: Na 178, Ca 46.5, Mg 17.5 mg/L", "example: ECw 1.2, ECe 2.5 dS/m", s.FAO_29
    ratio = s.sar(178.0 / mg_per_me("sodium"), 46.5 / mg_per_me("calcium"), 17.5 / mg_per_me("magnesium"))
    leached = s.leaching_requirement(1.2, 2.5)
    adjusted = s.adjusted_sar(178.0 / mg_per_me("sodium"), 46.5 / mg_per_me("calcium"), 17.5 / mg_per_me("magnesium"),
                              223.0 / mg_per_me("bicarbonate"), 1.15)
    for name, what, value, unit, chapter in (
        (water, "SAR", round(ratio, 1), "", 3),
        (f"{water}, HCO3 223 mg/L, ECw 1.15 dS/m", "adjusted SAR", round(adjusted, 1), "", 3),
        (water, "infiltration hazard at ECw 0.7 dS/m", c.infiltration_hazard(ratio, 0.7), "", 3),
        (salty, "leaching requirement", round(leached, 2), "", 2),
        (salty, "to apply for 800 mm of use", round(s.water_applied(800.0, leached)), "mm", 2),
    ):
        yield row(name, what, value, unit, Sourced(value, f"{paper}, chapter {chapter}, computed", "1985", "memory"))


def _codes() -> Iterator[Row]:
    from gwlog.reference.codes import MANUAL_HOLDS, PERMISSIONS, PROFILES

    for profile in PROFILES.values():
        document = Sourced(profile.place, profile.document, profile.edition, profile.sure)
        yield row(profile.id, "where it holds", profile.place, "", document)
        yield row(profile.id, "edition of the profile", profile.as_of, "", document)
        yield row(profile.id, "what comes first", PERMISSIONS[profile.permission], "",
                  profile.condition("permit") or document)
        if profile.until is not None:
            yield row(profile.id, "in force until", profile.until.isoformat(), "", document)
        yield from _volumes(profile)
        yield from _fields_of(profile.id, profile)
        if profile.id == "us-ca-washer":
            yield row(profile.id, "a manual holds", MANUAL_HOLDS.value, "", MANUAL_HOLDS)
        if profile.unread:
            yield row(profile.id, "may hold more", profile.unread, "", document)


def _volumes(profile: Profile) -> Iterator[Row]:
    """How many gallons a day a code speaks of, and what that figure is."""
    names = {"limit a day": "daily limit", "average": "average of the days", "design flow": "flow it is sized for",
             "open question": "strictest daily limit known"}
    for told in (*profile.limits, profile.told_volume):
        if told is not None and told.kind in names:
            yield row(profile.id, names[told.kind] + (", to stay below" if told.below else ""), told.value, told.unit,
                      told)
    if profile.flow_per_bedroom is not None:
        yield row(profile.id, "added by each bedroom past the second", profile.flow_per_bedroom.value, "gal/day",
                  profile.flow_per_bedroom)


def _conditions() -> Iterator[Row]:
    from gwlog.reference.codes import EVIDENCE, KINDS, PROFILES

    for profile in PROFILES.values():
        for condition in profile.conditions:
            yield {
                **row(profile.id, condition.id, condition.text, "", condition),
                "kind": condition.kind, "kind_is": KINDS[condition.kind],
                "evidence": condition.evidence, "evidence_is": EVIDENCE[condition.evidence], "mind": condition.mind,
            }


def _setbacks() -> Iterator[Row]:
    from gwlog.reference.codes import PROFILES

    for profile in PROFILES.values():
        for place, distance in profile.setbacks_ft.items():
            yield row(profile.id, place, distance.value, "ft", distance)


def _laundry() -> Iterator[Row]:
    from gwlog.reference import laundry as wash
    from gwlog.reference.codes import california as code
    from gwlog.text import plural

    yield from _named(wash.WASHER_GAL, "water of one run", "gal")
    yield from _named(wash.TREES_PER_WEEKLY_LOAD, "trees that one load a week waters", "")
    yield from _named(wash.MOST_OUTLETS, "most open ends", "")
    for name, what, unit, sourced in (
        ("front-load", "water of one run, span", "gal", wash.FRONT_LOAD_RANGE_GAL),
        ("top-load-agitator", "water of one run, logged mean", "gal", wash.TOP_LOAD_LOGGED_GAL),
        ("top-load-efficient", "water by drum volume", "gal/ft3", wash.EFFICIENT_FACTOR_GAL_PER_FT3),
        ("front-load", "water by drum volume", "gal/ft3", wash.FRONT_FACTOR_GAL_PER_FT3),
        ("drum", "volume", "ft3", wash.DRUM_FT3),
        ("household", "loads a year", "", wash.LOADS_PER_YEAR),
        ("household of four", "loads a week", "", wash.LOADS_PER_WEEK_OF_FOUR),
        ("front-load instead of top-load", "saved per load", "gal", wash.SAVED_GAL_PER_LOAD),
        ("front-load instead of top-load", "saved per year", "gal", wash.SAVED_GAL_PER_YEAR),
        ("exposed pipe", "a label every", "ft", wash.LABEL_EVERY_FT),
        ("pipe", "least bore", "in", wash.LEAST_BORE_IN),
        ("bathing", "water the code expects per occupant", "gal/day", code.BATH_GPCD),
    ):
        yield row(name, what, sourced.value, unit, sourced)
    for bedrooms in range(1, 5):
        name, occupants = plural(bedrooms, "bedroom"), code.occupants_by_bedrooms(bedrooms)
        yield row(name, "occupants the code expects", occupants, "", code.FURTHER_BEDROOM_OCCUPANTS)
        yield row(name, "laundry water the code expects", code.laundry_discharge_gal(occupants), "gal/day",
                  code.LAUNDRY_GPCD)


def _upkeep() -> Iterator[Row]:
    from gwlog.reference import upkeep as u

    for task in (*u.DEFAULT_UPKEEP, u.TOP_UP_SEASON, u.CLEAN_FILTER, u.HAVE_WITNESSED):
        yield {**row(task.name, task.why, task.every, "", task), "months": list(task.months or ())}
    for one in u.NEW_SYSTEM:
        when = "before the first load" if one.after is None else f"{one.after} after it"
        yield {**row(one.name, one.why, f"once, {when}", "", one), "months": []}
    for name, what, unit, sourced in (
        ("cover", "kept", "", u.KEEP_COVER),
        ("cover", "on well-drained soil", "in", u.COVER_ON_DRAINED_SOIL_IN),
        ("cover", "on heavy soil", "in", u.COVER_ON_HEAVY_SOIL_IN),
        ("cover", "clear of the trunk", "in", u.CLEAR_OF_TRUNK_IN),
        ("cover", "porosity of wood chips", "", u.CHIP_POROSITY),
        ("cover", "lost per year until measured", "", u.SETTLING_PER_YEAR),
        ("cover", "told before the minimum by", "mm", u.COVER_MARGIN_MM),
        ("records", "kept for", "years", u.KEEP_RECORDS_YEARS),
    ):
        yield {**row(name, what, sourced.value, unit, sourced), "months": []}


def _places() -> Iterator[Row]:
    from gwlog.reference import places as p

    for name, what, sourced in (("towns", "found by name", p.TOWNS), ("climate", "guessed from", p.NORMALS),
                                ("ZIP codes", "found by three digits", p.ZIP_AREAS)):
        yield row(name, what, sourced.value, "", sourced)


def _cautions() -> Iterator[Row]:
    from gwlog.reference.cautions import CAUTIONS

    for caution in CAUTIONS:
        yield row(caution.id, "caution", caution.value, "", caution)


TABLES: dict[str, Callable[[], Iterable[Row]]] = {
    "soils": _soils, "textures": _textures, "plants": _plants, "seasons": _seasons,
    "classes": _classes, "climate": _climate,
    "chemistry": _chemistry, "codes": _codes, "conditions": _conditions, "setbacks": _setbacks,
    "laundry": _laundry, "upkeep": _upkeep, "places": _places, "cautions": _cautions,
}
"""The tables by name; iterating gives the names."""


def table(name: str) -> list[Row]:
    """Return a table as rows: name, what, value, unit, source, edition, sure (and a few more keys).

    Raises UnknownName when there is no table of that name.
    """
    make = TABLES.get(name)
    if make is None:
        raise UnknownName("table", name, list(TABLES))
    return list(make())
