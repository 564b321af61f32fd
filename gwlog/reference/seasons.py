"""How the plants' use of water goes through the year: stages of growth and their crop coefficients.

FAO-56 table 11 gives the lengths as examples; what is seen in the garden stands above them. Landscape plants have
one plant factor for the whole year and no row here.
"""

from __future__ import annotations

from gwlog.reference.source import Sourced, Sure, assumed
from gwlog.values import dataclass

FAO_11 = "FAO Irrigation and Drainage Paper 56, table 11"
FAO_12_KC = "FAO Irrigation and Drainage Paper 56, table 12, Kc ini, mid and end"
FAO_12_OFF = "FAO Irrigation and Drainage Paper 56, table 12, footnote 18"
FAO_12_OLIVE = "FAO Irrigation and Drainage Paper 56, table 12, footnote 24"

Kc = tuple[float, float, float]
Lengths = tuple[int, int, int, int]

LOW_LATITUDE, HIGH_LATITUDE = 30.0, 42.0
"""Below the first the rows “low latitudes” hold, from the second on “high latitudes”, between them “California”
[degrees]. Working assumption: table 11 draws no lines; California lies between 32.5 and 42 N."""

LEAFLESS_KC: dict[str, Sourced[float]] = {
    "mulch": Sourced(0.20, FAO_12_OFF, "1998", "read"),
    "growing": Sourced(0.65, f"{FAO_12_OFF}: 0.50 to 0.80, the middle", "1998", "read"),
}
"""Kc after leaf fall, over mulch or dead cover and over growing cover."""

AFTER_HARVEST_DAYS = 60
"""Days for which an annual keeps its Kc end after its printed stages: the lengths are examples, and no plant is to
wilt for them. Working assumption."""


@dataclass(frozen=True, slots=True, eq=False)
class Stages:
    """A row of table 11: days of the initial, development, mid-season and late stage, and the day of the year, in the
    northern hemisphere, on which the first begins.
    """

    region: str
    lengths: Sourced[Lengths]
    start: Sourced[int]

    @property
    def days(self) -> int:
        """The whole season [days]."""
        return sum(self.lengths.value)


@dataclass(frozen=True, slots=True, eq=False)
class Season:
    """A plant's year. `kc`: its coefficients; `mild`: those without killing frost, taken at low latitudes.

    `yearly`: its stages in every year, at low latitudes, between, and at high ones; None for an annual. `first`:
    stages from the day of planting on, with their Kc, of plants that are full grown in one season. `off`: Kc outside
    the stages, None for the leafless one.
    """

    kc: Sourced[Kc]
    yearly: tuple[Stages, Stages, Stages] | None
    mild: Sourced[Kc] | None = None
    first: tuple[Stages, Sourced[Kc]] | None = None
    off: Sourced[float] | None = None

    def stages_at(self, latitude_deg: float) -> tuple[Stages, Kc] | None:
        """The yearly stages at a latitude, and the coefficients that hold there; None for an annual."""
        if self.yearly is None:
            return None
        north = abs(latitude_deg)
        band = 0 if north < LOW_LATITUDE else 1 if north < HIGH_LATITUDE else 2
        kc = self.mild if band == 0 and self.mild is not None else self.kc
        return self.yearly[band], kc.value


def _stages(region: str, start: int, *lengths: int, sure: Sure = "read") -> Stages:
    ini, dev, mid, late = lengths
    return Stages(region, Sourced((ini, dev, mid, late), FAO_11, "1998", sure),
                  assumed(start, "a day within the month that table 11 prints"))


def _like(stages: Stages, why: str) -> Stages:
    return Stages(stages.region, assumed(stages.lengths.value, why), stages.start)


def _kc(ini: float, mid: float, end: float) -> Sourced[Kc]:
    return Sourced((ini, mid, end), FAO_12_KC, "1998", "read")


def _always(stages: Stages) -> tuple[Stages, Stages, Stages]:
    return stages, stages, stages


_ORCHARD = (
    _stages("deciduous orchard, low latitudes", 60, 20, 70, 120, 60),
    _stages("deciduous orchard, California", 74, 30, 50, 130, 30),
    _stages("deciduous orchard, high latitudes", 74, 20, 70, 90, 30),
)
_VINES = (
    _stages("grape, low latitudes", 105, 20, 40, 120, 60),
    _stages("grape, California", 74, 20, 50, 75, 60),
    _stages("grape, high latitudes", 135, 20, 50, 90, 20),
)
_CITRUS_STAGES = _always(_stages("citrus, Mediterranean", 1, 60, 90, 120, 95))
_OLIVE_STAGES = _always(_stages("olive, Mediterranean", 60, 30, 90, 60, 90))
_WALNUT_STAGES = _always(_stages("walnut, Utah", 105, 20, 10, 130, 30))
_WINE_STAGES = _always(_stages("wine grape, mid latitudes", 105, 30, 60, 40, 80))
_BANANA_1 = _stages("banana, first year, Mediterranean", 74, 120, 90, 120, 60)
_BANANA_2 = _stages("banana, second year, Mediterranean", 46, 120, 60, 180, 5)
_ARTICHOKE_1 = _stages("artichoke, first year, California", 105, 40, 40, 250, 30)
_ARTICHOKE_2 = _stages("artichoke, second year, California", 135, 20, 25, 250, 30)


def _borrowed(rows: tuple[Stages, Stages, Stages], why: str) -> tuple[Stages, Stages, Stages]:
    low, between, high = rows
    return _like(low, why), _like(between, why), _like(high, why)


def _annual(kc: Kc, region: str, *lengths: int) -> Season:
    row = _kc(*kc)
    return Season(row, None, first=(_stages(region, 105, *lengths), row))


_POME_YEAR = Season(_kc(0.45, 0.95, 0.70), _ORCHARD, mild=_kc(0.60, 0.95, 0.75))
_STONE_YEAR = Season(_kc(0.45, 0.90, 0.65), _ORCHARD, mild=_kc(0.55, 0.90, 0.65))
_HARDY_YEAR = Season(
    assumed((0.45, 0.90, 0.65), "the course of stone fruit"),
    _borrowed(_ORCHARD, "the stages of a deciduous orchard"),
    mild=assumed((0.55, 0.90, 0.65), "the course of stone fruit"))
_CITRUS_YEAR = Season(_kc(0.70, 0.65, 0.70), _CITRUS_STAGES,
                      off=assumed(0.70, "the stages fill the year but for a leap day: its Kc end"))
_BERRY_YEAR = Season(_kc(0.30, 1.05, 0.50), _borrowed(_ORCHARD, "the stages of a deciduous orchard"))

SEASONS: dict[str, Season] = {
    **dict.fromkeys(("orange", "lemon", "lime", "grapefruit", "mandarin", "citrus"), _CITRUS_YEAR),
    "avocado": Season(_kc(0.60, 0.85, 0.75), _always(_like(_CITRUS_STAGES[0], "the stages of citrus, evergreen too")),
                      off=assumed(0.75, "the stages fill the year but for a leap day: its Kc end")),
    "olive": Season(_kc(0.65, 0.70, 0.70), _OLIVE_STAGES, off=Sourced(0.50, FAO_12_OLIVE, "1998", "read")),
    **dict.fromkeys(("apple", "pear", "cherry"), _POME_YEAR),
    **dict.fromkeys(("peach", "apricot", "plum", "stone fruit"), _STONE_YEAR),
    **dict.fromkeys(("fig", "pomegranate", "persimmon", "mulberry"), _HARDY_YEAR),
    "almond": Season(_kc(0.40, 0.90, 0.65), _ORCHARD),
    "walnut": Season(_kc(0.50, 1.10, 0.65), _WALNUT_STAGES),
    "kiwi": Season(_kc(0.40, 1.05, 1.05), _borrowed(_VINES, "the stages of grape")),
    "grape": Season(_kc(0.30, 0.85, 0.45), _VINES),
    "wine grape": Season(_kc(0.30, 0.70, 0.45), _WINE_STAGES),
    **dict.fromkeys(("blackberry", "raspberry", "currant", "blueberry"), _BERRY_YEAR),
    "banana": Season(_kc(1.00, 1.20, 1.10), _always(_BANANA_2), first=(_BANANA_1, _kc(0.50, 1.10, 1.00)),
                     off=assumed(1.00, "bananas never rest: their Kc ini")),
    "artichoke": Season(_kc(0.50, 1.00, 0.95), _always(_ARTICHOKE_2), first=(_ARTICHOKE_1, _kc(0.50, 1.00, 0.95)),
                        off=assumed(0.50, "cut back: its Kc ini")),
    "tomato": _annual((0.60, 1.15, 0.80), "tomato, California", 35, 40, 50, 30),
    "pepper": _annual((0.60, 1.05, 0.90), "sweet pepper, Europe and Mediterranean", 30, 35, 40, 20),
    "cucumber": _annual((0.60, 1.00, 0.75), "cucumber, arid region", 20, 30, 40, 15),
    "squash": _annual((0.50, 0.95, 0.75), "zucchini, Mediterranean and arid region", 25, 35, 25, 15),
    "pumpkin": _annual((0.50, 1.00, 0.80), "pumpkin and winter squash, Mediterranean", 20, 30, 30, 20),
    "bean": _annual((0.50, 1.05, 0.90), "green bean, California and Mediterranean", 20, 30, 30, 10),
    "pea": _annual((0.50, 1.15, 1.10), "pea, Mediterranean", 20, 30, 35, 15),
    "lettuce": _annual((0.70, 1.00, 0.95), "lettuce, Mediterranean", 20, 30, 15, 10),
    "spinach": _annual((0.70, 1.00, 0.95), "spinach, Mediterranean", 20, 20, 20, 5),
    "carrot": _annual((0.70, 1.05, 0.95), "carrot, Mediterranean", 30, 40, 60, 20),
    "potato": _annual((0.50, 1.15, 0.75), "potato, Europe", 30, 35, 50, 30),
    "sweet potato": _annual((0.50, 1.15, 0.65), "sweet potato, Mediterranean", 20, 30, 60, 40),
    "beet": _annual((0.50, 1.05, 0.95), "table beet, Mediterranean", 15, 25, 20, 10),
    "radish": _annual((0.70, 0.90, 0.85), "radish, Mediterranean and Europe", 5, 10, 15, 5),
    "onion": _annual((0.70, 1.05, 0.75), "dry onion, Mediterranean", 15, 25, 70, 40),
}
"""The plants that have stages, by the names of the plant table. A bed of an annual follows them from the day that it
was planted; where nobody has said, its plant factor holds all year, since beds are sown one after the other."""
