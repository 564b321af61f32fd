"""Which tables and keys a site file may hold, and what each accepts: kind, range, choices.

Quantities are kept in whole small units: mm, cm2, ml, 0.001 mm (um) for monthly depths, thousandths of the currency
per m3 for prices.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from typing import Literal

from gwlog.journal import facts
from gwlog.units import LITRES_PER_CCF, LITRES_PER_GALLON, M2_PER_FT2, MM_PER_FOOT, MM_PER_INCH
from gwlog.values import dataclass

Kind = Literal[
    "name", "text", "choice", "whole", "number", "flag", "day", "days", "wall", "zone", "names", "choices",
    "months", "interval", "rule", "length", "area", "volume", "monthly", "means", "position", "table", "price", "code",
    "dose", "label", "report", "distance",
]

SUFFIXES: dict[str, dict[str, float]] = {
    "length": {"in": MM_PER_INCH, "ft": MM_PER_FOOT, "mm": 1.0, "m": 1000.0},
    "area": {"ft2": M2_PER_FT2 * 1e4, "m2": 1e4},
    "volume": {"gal": LITRES_PER_GALLON * 1000.0, "l": 1000.0},
    "monthly": {"in": MM_PER_INCH * 1000.0, "mm": 1000.0},
    "means": {"c": 1000.0, "f": 1000.0 / 1.8},
    "position": {"ft": MM_PER_FOOT, "m": 1000.0},
    "price": {"per_m3": 1000.0, "per_1000_gal": 1000.0 / LITRES_PER_GALLON, "per_ccf": 1e6 / LITRES_PER_CCF},
    "distance": {"ft": MM_PER_FOOT, "m": 1000.0},
    "dose": {"g": 1000.0, "oz": 28_349.523125, "ml": 1000.0},
}
"""Suffix of a quantity's key -> how many of its small unit one is."""

ZERO = {"c": 0.0, "f": 32.0}
"""Suffix of a temperature's key -> where its scale has the freezing point, 0 degC."""

_FARTHEST_MM = 10_000_000
"""The longest distance that is taken [mm], 10 km."""

NEVER = "never"
"""The interval that drops a task of upkeep which the code profile would bring."""


@dataclass(frozen=True, slots=True)
class Key:
    """One key. `low`..`high`: the range accepted, in small units where the key carries a unit."""

    name: str
    kind: Kind
    meaning: str
    required: bool = False
    low: float = 0.0
    high: float = 0.0
    choices: tuple[str, ...] = ()

    @property
    def spellings(self) -> tuple[str, ...]:
        """The names under which the key may stand: one, or one for each unit."""
        if self.kind == "report":
            from gwlog.water.report import spellings_of

            return spellings_of(self.name)
        suffixes = SUFFIXES.get(self.kind)
        return tuple(f"{self.name}_{unit}" for unit in suffixes) if suffixes else (self.name,)

    def unit_of(self, spelling: str) -> str:
        """The unit that a spelling of the key names; empty for a key without one."""
        return spelling[len(self.name) + 1:]


@dataclass(frozen=True, slots=True)
class Table:
    """A table of the site file; `several`: written [[name]], once for each."""

    name: str
    several: bool
    keys: tuple[Key, ...]

    @property
    def heading(self) -> str:
        """The table's heading as it is written."""
        return f"[[{self.name}]]" if self.several else f"[{self.name}]"

    def spellings(self) -> dict[str, Key]:
        """Every accepted spelling of a key -> the key."""
        return {spelling: key for key in self.keys for spelling in key.spellings}


def _asked() -> Iterator[Key]:
    """What is asked of the system itself."""
    from gwlog.reference.codes.system import QUESTIONS, YES_NO

    for one in QUESTIONS.values():
        if one.unit:
            yield Key(one.key, "length", one.words, low=0, high=100_000)
        elif not one.answers:
            yield Key(one.key, "whole", one.words, low=1, high=50)
        elif one.answers == YES_NO:
            yield Key(one.key, "flag", one.words)
        else:
            yield Key(one.key, "choice", one.words, choices=one.answers)


def _as_built(table: str) -> tuple[Key, ...]:
    """What can be stated of how the system was built."""
    from gwlog.reference.as_built import TABLES

    return tuple(Key(one.key, one.kind, one.words, high=_FARTHEST_MM if one.kind == "distance" else 0.0,
                     choices=one.choices) for one in TABLES[table])


def _name(meaning: str) -> Key:
    return Key("name", "name", meaning, required=True)


@lru_cache(maxsize=1)
def tables() -> dict[str, Table]:
    """The tables of a site file by name, in the order in which they are shown."""
    from gwlog.reference.as_built import TABLES as AS_BUILT
    from gwlog.reference.codes import OFFERED
    from gwlog.reference.soils import SOILS, TEXTURES

    listing = (
        Table("site", False, (
            _name("what you call the place"),
            Key("timezone", "zone", "the local time zone, such as America/Los_Angeles", required=True),
            Key("latitude", "number", "degrees, south negative", required=True, low=-66.0, high=66.0),
            Key("units", "choice", "units of screens and of bare numbers", required=True, choices=facts.UNITS),
            Key("occupants", "whole", "people living there", required=True, low=1, high=50),
            Key("code", "code", "profile of the local code", required=True, choices=OFFERED),
            Key("code_edition", "text", "edition of the profile; left out: the newest, or the one in use"),
            Key("aim", "choice", "give plants what they use, or keep the water on the land", choices=facts.AIMS),
            Key("valve", "choice", "where the valve is turned at the start; left out: nobody has said",
                choices=facts.VALVE),
            Key("since", "day", "the first setup is in force from this day"),
            Key("softened_water", "flag", "whether the machine runs on softened water"),
            Key("water_price", "price", "price of drinking water", low=0, high=1e9),
            Key("currency", "text", "what that price is in, such as USD; up to 12 letters", high=12),
            Key("rain", "choice", "what a day without logged rain had: none, or the climate's usual rain; default: "
                                  "the usual", choices=facts.RAIN_DAYS),
            Key("climate", "table", "the climate's normals", required=True),
            Key("tap_water", "table", "what a water report says of the tap water; left out: not known"),
        )),
        Table("system", False, tuple(_asked())),
        *(Table(name, False, _as_built(name)) for name in AS_BUILT),
        Table("local_rule", True, (
            _name("what the rule of the place is called"),
            Key("source", "text", "where it stands, such as a city's ordinance and its section", required=True),
            Key("limit", "volume", "the most that may go out a day", low=1000, high=1e7),
            Key("cover", "length", "the least depth of mulch", low=10, high=1000),
            Key("months", "months", "the only months of use, 1-12"),
            Key("text", "text", "what it asks for besides, in words"),
        )),
        Table("person", True, (_name("somebody who logs"),)),
        Table("washer", True, (
            _name("the machine"),
            Key("kind", "choice", "kind of machine", required=True, choices=facts.WASHER_KINDS),
            Key("volume", "volume", "water of one run; a bucket beats the kind's default", low=1000, high=1e6),
            Key("run_minutes", "whole", "minutes until a run has drained; left out: 60 are assumed", low=1, high=600),
        )),
        Table("basin", True, (
            _name("the basin"),
            Key("area", "area", "area of the basin", required=True, low=500, high=1e7),
            Key("mulch", "length", "depth of mulch over the outlet", required=True, low=10, high=1000),
            Key("soil", "choice", "the code table's soil", required=True, choices=tuple(SOILS)),
            Key("texture", "choice", "FAO-56 texture; a default for each soil", choices=tuple(TEXTURES)),
            Key("plants", "name", "what grows in it", required=True),
            Key("canopy", "area", "ground that the grown-up canopy covers; default: the basin's",
                low=500, high=1e8),
            Key("planted", "day", "the day on which the plants were set; left out: they are grown up"),
            Key("planted_canopy", "area", "ground that they covered then; default: 0.2 m2", low=100, high=1e8),
            Key("planted_root", "length", "depth of the root ball then; default: 0.3 m", low=50, high=10_000),
            Key("ground_cover", "choice", "what is or grows under them while leafless; default: mulch",
                choices=facts.GROUND_COVERS),
            Key("wetted", "area", "wetted root zone; default: 0.3 m beyond the basin's edge", low=500, high=1e8),
            Key("plant_factor", "number", "share of ETo; default: the plant's", low=0.05, high=2.0),
            Key("root_depth", "length", "depth of the roots; default: the plant's", low=50, high=10_000),
            Key("depletion_fraction", "number", "share of the water the plant takes freely; default: the plant's",
                low=0.05, high=0.95),
            Key("edible", "choice", "what is eaten; default: the plant's", choices=facts.EDIBLE),
            Key("started", "day", "the balance starts here; default: the day the basin is first in force"),
            Key("deficit", "volume", "water missing at the start; default: the climate's steady state",
                low=0, high=1e9),
            Key("at", "position", "place in the plan view, [x, y]", low=-1e6, high=1e6),
        )),
        Table("product", True, (
            _name("what is put in with a load"),
            Key("kind", "choice", "kind of product", required=True, choices=facts.PRODUCT_KINDS),
            Key("form", "choice", "liquid or powder", choices=facts.FORMS),
            Key("chlorine_bleach", "flag", "contains chlorine bleach; left out: not checked yet"),
            Key("borax", "flag", "contains borax or boron; left out: not checked yet"),
            Key("sodium_g_per_load", "number", "sodium of one dose, g; left out: by its label", low=0, high=1000),
            Key("label", "label", "its ingredients, line by line as the label has them"),
            Key("dose", "dose", "weight of one dose; a liquid's mL count as grams", low=1, high=2_000_000),
        )),
        Table("usual_load", True, (
            _name("short name of a load done often"),
            Key("washer", "name", "the machine; needed when there are several"),
            Key("products", "names", "products that go in"),
            Key("contents", "choices", "what makes it special", choices=facts.CONTENTS),
            Key("volume", "volume", "water of this load; default: the washer's", low=1000, high=1e6),
            Key("run_minutes", "whole", "minutes until it has drained; default: the washer's", low=1, high=600),
        )),
        Table("outlet", True, (
            _name("the hose end"),
            Key("reaches", "names", "basins that it can be moved to; default: every basin"),
            Key("at", "name", "basin it is at to begin with; needed when it reaches several"),
            Key("share", "number", "its part of a load; default 1", low=0.001, high=100.0),
            Key("at", "position", "place in the plan view, [x, y]", low=-1e6, high=1e6),
        )),
        Table("planned_load", True, (
            Key("name", "name", "tells plans of one load apart; default: the load's name"),
            Key("load", "name", "the usual load", required=True),
            Key("starts", "wall", "local day and time of the first", required=True),
            Key("every", "rule", "RFC 5545 rule; left out: once"),
            Key("skips", "days", "local days left out"),
        )),
        Table("upkeep", True, (
            _name("the task; a default task's name changes that task"),
            Key("every", "interval", "how often, or “never” to drop a default task", required=True),
            Key("months", "months", "months in which it applies, 1-12; default: all"),
            Key("source", "text", "where the interval comes from"),
        )),
    )
    return {table.name: table for table in listing}


CLIMATE = Table("climate", False, (
    Key("eto_zone", "whole", "California's reference ETo zone", low=1, high=18),
    Key("monthly_eto", "monthly", "reference ETo of the 12 months", low=0, high=600_000),
    Key("monthly_rain", "monthly", "rain of the 12 months", low=0, high=3_000_000),
    Key("monthly_tmean", "means", "mean temperature of the 12 months, for frost", low=-60_000, high=60_000),
))
"""The table inside [site] that holds the climate's normals."""


@lru_cache(maxsize=1)
def tap_water_table() -> Table:
    """The table inside [site] that holds a water report."""
    from gwlog.reference.water_units import REPORT

    return Table("tap_water", False, tuple(
        Key(name, "report", words, high=most) for name, (_, most, words) in REPORT.items()))
