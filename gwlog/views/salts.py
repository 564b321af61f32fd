"""Salt and soap as every face tells them: each usual load's water, each basin's soil, what is owed and what would help.

Figures that a label leaves open are told from..to; what is not known is named.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING, Any

from gwlog import clock
from gwlog.decisions import leaching_words
from gwlog.household import Household
from gwlog.journal.facts import Product, SoilReading
from gwlog.reference.source import citation
from gwlog.span import Span, written
from gwlog.text import listed
from gwlog.units import KG_PER_POUND
from gwlog.values import dataclass, replace

if TYPE_CHECKING:
    from gwlog.water.garden import BasinNow
    from gwlog.water.load_water import LoadWater
    from gwlog.water.soil_salt import Compared, Soil

LOAD_HEAD = ("load", "water", "sodium", "dS/m", "SAR", "adjusted", "boron mg/L")
NO_BORON = "the tap water: its boron"
BASIN_HEAD = ("basin", "ECe dS/m", "bears", "SAR", "bears", "boron mg/L", "salt", "owed", "by")


@dataclass(frozen=True, slots=True)
class LoadRow:
    """One usual load's water, and what would change it, in sentences."""

    name: str
    water: LoadWater
    changes: tuple[str, ...]


def known(home: Household) -> bool:
    """Whether a report of the tap water tells enough for figures of salt."""
    return bool(home.garden.salts)


# --- loads ------------------------------------------------------------------------------------------------------


def load_rows(home: Household) -> list[LoadRow]:
    """The usual loads, the best for the soil first."""
    from gwlog.decisions.load_rules import load_reasons
    from gwlog.water.load_water import load_water
    from gwlog.water.soil_salt import tap_of

    tap = tap_of(home.state)
    rows = []
    for name, load in home.state.usual_loads.items():
        if not load.active:
            continue
        query = home.query(name)
        water = load_water(tap, query.products, query.volume_l)
        changes = []
        bare = load_reasons(replace(query, products=()))   # what no other product makes fit for the garden
        always_sewer = any(reason.strength == "must" for reason in bare)
        for words, products in () if always_sewer else _other_ways(query.products):
            other = load_water(tap, products, query.volume_l)
            changes.append(f"{words}: {_would(water, other)}.")
        if query.products and not always_sewer:
            more = load_water(tap, query.products, 1.5 * query.volume_l)
            changes.append(f"with half as much water again: {_would(water, more)}.")
        rows.append(LoadRow(name, water, tuple(changes)))
    return sorted(rows, key=lambda row: _badness(row.water))


def _badness(water: LoadWater) -> tuple[float, float]:
    ratio = water.worst_sar
    return (ratio.middle if ratio is not None else 0.0, water.sodium_g.middle / water.litres)


def _other_ways(products: tuple[Product, ...]) -> list[tuple[str, tuple[Product, ...]]]:
    """What could be put in instead: a liquid for a powder, no borax, no booster."""
    found = []
    powders = [one for one in products if one.form == "powder"]
    if powders:
        named = listed([f"“{one.name}”" for one in powders])
        found.append((f"a liquid for {named}", tuple(_liquid(one) if one in powders else one for one in products)))
    if len(products) > 1:
        strongest = max(products, key=lambda one: _sodium(one).middle)
        found.append((f"without “{strongest.name}”", tuple(one for one in products if one is not strongest)))
    halves = [one for one in products if one.dose_mg is not None and one.label]
    if halves:
        named = listed([f"“{one.name}”" for one in halves])
        found.append((f"half the dose of {named}", tuple(
            replace(one, dose_mg=max(1, (one.dose_mg or 0) // 2)) if one in halves else one for one in products)))
    return found


def _liquid(powder: Product) -> Product:
    return replace(powder, form="liquid", label=None, dose_mg=None, sodium_mg=None, product_kind="detergent")


def _sodium(product: Product) -> Span:
    from gwlog.water.dose import dose_of

    return dose_of(product).sodium_g


def _would(now: LoadWater, other: LoadWater) -> str:
    """What of a load's water would be different."""
    before, after = now.worst_sar, other.worst_sar
    if before is not None and after is not None and now.ecw is not None and other.ecw is not None:
        return f"SAR {written(after)} for {written(before)}, {written(other.ecw, 2)} for {written(now.ecw, 2)} dS/m"
    per, other_per = now.sodium_g.times(1000 / now.litres), other.sodium_g.times(1000 / other.litres)
    return f"{written(other_per, 0)} mg/L of added sodium for {written(per, 0)}"


def product_lines(home: Household) -> list[str]:
    """What one dose of each product brings, as far as its label tells, a sentence for each."""
    lines = []
    for product in home.state.products.values():
        if not product.active:
            continue
        brings = brought(product)
        told = listed([f"{written(span, 1 if unit == 'g' else 0)} {unit} of {what}" for what, (span, unit) in
                       brings.items() if span.high > 0.0])
        lines.append(f"“{product.name}” brings a dose {told}." if told else f"“{product.name}” brings no salt.")
    return lines


def brought(product: Product) -> dict[str, tuple[Span, str]]:
    """What one dose of a product brings: the figure and its unit, by what it is."""
    from gwlog.water.dose import dose_of
    from gwlog.water.load_water import BORON_MG_PER_MMOL

    dose = dose_of(product)
    content = dose.content
    return {"sodium": (dose.sodium_g, "g"), "boron": (content.boron.times(BORON_MG_PER_MMOL), "mg"),
            "chlorine": (content.chlorine, "mg"), "alkali": (content.alkalinity, "me")}


def load_cells(home: Household, row: LoadRow) -> tuple[str, ...]:
    """A usual load's row; the columns are LOAD_HEAD."""
    water = row.water
    return (row.name, home.reader.volume(water.litres), f"{written(water.sodium_g)} g", _told(water.ecw, 2),
            _told(water.sar), _told(water.sar_adjusted), _told(water.boron, 2))


def _told(span: Span | None, digits: int = 1) -> str:
    return "?" if span is None else written(span, digits)


# --- basins -----------------------------------------------------------------------------------------------------


def basin_cells(home: Household, basin: BasinNow) -> tuple[str, ...]:
    """A basin's row; the columns are BASIN_HEAD."""
    stands = basin.owed
    if stands is None:
        return (basin.name, *("?" for _ in BASIN_HEAD[1:]))
    soil = stands.soil
    limits = {trend.what: trend.limit.value for trend in stands.trends}
    return (basin.name, written(soil.ece), f"{limits['salt']:g}", _told(soil.sar),
            f"{limits['sodium']:g}" if "sodium" in limits else "?", _boron(home, basin.name, soil), _salt(home, soil),
            home.reader.volume(stands.litres) if stands.litres > 0.0 else "—",
            f"{clock.short_date(stands.by, home.system)}" if stands.by is not None else "—")


def _boron(home: Household, name: str, soil: Soil) -> str:
    """The soil's boron; a question mark where the tap water's own is not known and nothing else brought any."""
    if NO_BORON not in home.garden.salts[name].not_known:
        return written(soil.boron, 2)
    return "?" if soil.boron.high <= 0.0 else f"≥ {soil.boron.low:.2f}"


def _salt(home: Household, soil: Soil) -> str:
    kg = soil.salt_kg.middle
    return f"{kg / KG_PER_POUND:.1f} lb" if home.system == "us" else f"{kg:.1f} kg"


def outlook(home: Household, basin: BasinNow) -> str:
    """How long a basin's plants can bear it, and what would settle it, in a sentence or two."""
    return leaching_words.outlook(basin, home.garden.today, home.reader, home.garden.sky)


def notes(home: Household, rows: Sequence[LoadRow]) -> list[str]:
    """What the figures rest on and what is not known, in sentences. `rows`: load_rows."""
    if not known(home):
        return [leaching_words.NO_REPORT]
    lines = []
    wanted = dict.fromkeys(words for salt in home.garden.salts.values() for words in salt.not_known)
    wanted |= dict.fromkeys(words for row in rows for words in row.water.not_known)
    if wanted:
        lines.append(f"Not known, so the figures are from..to or left out: {listed(list(wanted))}.")
    limits = {basin.fact.plants: basin.owed.trends[0].limit for basin in home.garden.basins.values()
              if basin.owed is not None}
    lines += [f"{plants}: {limit.value:g} dS/m ({citation(limit)})." for plants, limit in limits.items()]
    lines.append("ECe and SAR are those of a saturated paste, as in soil tests; nothing is taken to fall out.")
    return lines


def reading_lines(home: Household, reading: SoilReading) -> list[str]:
    """What a soil reading says against what was reckoned for that basin."""
    from gwlog.water.soil_salt import measured, texture_of

    salt = home.garden.salts.get(reading.basin)
    if salt is None:
        return [f"There is no calculated value to compare it with. {leaching_words.NO_REPORT}"]
    day = clock.local_day(reading.happened_at, home.zone)
    then = min(salt.history, key=lambda one: abs((one.day - day).days))
    found = measured(reading, day, then, texture_of(home.state.basins[reading.basin]))
    return _against(found, NO_BORON in salt.not_known)


def _against(found: Compared, no_boron: bool) -> list[str]:
    """A reading beside what was reckoned, a line for each measure; `no_boron`: the tap water's own is not known."""
    reckoned = found.reckoned
    rows = (("ECe", found.measured_ece, reckoned.ece, 1, " dS/m"), ("SAR", found.measured_sar, reckoned.sar, 1, ""),
            ("boron", found.measured_boron, None if no_boron else reckoned.boron, 2, " mg/L"))
    return [f"{word}: measured {value:.2g}{unit}, "
            + ("not calculated" if span is None else f"reckoned {written(span, digits)}{unit}")
            + "; the measurement counts from now on." for word, value, span, digits, unit in rows if value is not None]


def as_json(home: Household) -> dict[str, Any]:
    """Loads and basins for programs."""
    rows = load_rows(home)
    return {
        "loads": [{"load": row.name, "volume_l": round(row.water.litres, 3), **row.water.as_json(),
                   "sodium_g": [round(end, 3) for end in row.water.sodium_g], "changes": list(row.changes)}
                  for row in rows],
        "products": [{"product": name, **{f"{what}_{unit}": [round(end, 3) for end in span]
                                          for what, (span, unit) in brought(product).items()}}
                     for name, product in home.state.products.items() if product.active],
        "basins": [{"name": name, **basin_json(basin), "outlook": outlook(home, basin)}
                   for name, basin in home.garden.basins.items()],
        "notes": notes(home, rows),
    }


def soil_facts(basin: BasinNow, today: date) -> list[tuple[str, str]]:
    """The soil's salts in one line for the page of a basin; nothing where they are not known."""
    stands = basin.owed
    if stands is None:
        return []
    limits = {trend.what: trend.limit.value for trend in stands.trends}
    ratio = f", SAR {written(stands.soil.sar)} of {limits['sodium']:g}" if stands.soil.sar is not None else ""
    when = "" if stands.passes is None else \
        "; more than is borne" if stands.passes[1] <= today else \
        f"; borne for {leaching_words.span_words((stands.passes[1] - today).days)} more"
    return [("salt", f"ECe {written(stands.soil.ece)} of {limits['salt']:g} dS/m{ratio}{when}")]


def basin_json(basin: BasinNow) -> dict[str, Any]:
    """A basin's salts with the keys that other programs rely on; null where they are not known."""
    stands = basin.owed
    if stands is None:
        return dict.fromkeys(("ece_ds_m", "soil_sar", "salt_kg", "leaching_owed_l", "leaching_by"))
    soil = stands.soil
    return {
        "ece_ds_m": round(soil.ece.middle, 3), "soil_sar": None if soil.sar is None else round(soil.sar.middle, 3),
        "salt_kg": round(soil.salt_kg.middle, 6), "leaching_owed_l": round(stands.litres, 3),
        "leaching_by": stands.by.isoformat() if stands.by is not None else None,
    }


# --- years ------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Years:
    """A basin's salts month by month, from..to, with what is borne: for a picture."""

    days: tuple[date, ...]
    ece: tuple[Span, ...]
    sar: tuple[Span | None, ...]
    ece_limit: float
    sar_limit: float | None
    measured: tuple[tuple[date, float], ...]
    boron: tuple[Span | None, ...]


def years(home: Household, name: str) -> Years | None:
    """The salts of a basin over its years; None where they are not known."""
    salt, basin = home.garden.salts.get(name), home.garden.basins.get(name)
    if salt is None or basin is None or basin.owed is None:
        return None
    limits = {trend.what: trend.limit.value for trend in basin.owed.trends}
    told = NO_BORON not in salt.not_known
    return Years(
        tuple(one.day for one in salt.history), tuple(one.ece for one in salt.history),
        tuple(one.sar for one in salt.history), limits["salt"], limits.get("sodium"),
        tuple((one.day, one.measured_ece) for one in salt.compared if one.measured_ece is not None),
        tuple(one.boron if told or one.boron.high > 0.0 else None for one in salt.history))


def month_cells(found: Years) -> list[tuple[date, tuple[str, ...]]]:
    """The months of a basin, each as cells: month, ECe, borne, SAR, borne, boron."""
    ratio = "?" if found.sar_limit is None else f"{found.sar_limit:g}"
    return [(day, (f"{day:%Y-%m}", written(ece, 2), f"{found.ece_limit:g}", _told(sar), ratio, _told(boron, 2)))
            for day, ece, sar, boron in zip(found.days, found.ece, found.sar, found.boron, strict=True)]


def soil_cells(soil: Soil) -> str:
    """What was reckoned of a soil, in a few words."""
    return f"EC {written(soil.ece, 2)} dS/m, SAR {_told(soil.sar)}"
