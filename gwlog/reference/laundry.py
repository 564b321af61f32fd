"""Water of a washing machine's run, how often a household washes, and what an outlet and its pipe need.

A volume measured with a bucket beats every figure here.
"""

from __future__ import annotations

from gwlog.reference.source import Sourced
from gwlog.units import LITRES_PER_GALLON

UC_ANR = "University of California Agriculture and Natural Resources, laundry graywater"
OWASA = "Orange Water and Sewer Authority, water use of clothes washers"
VALLEY_WATER = "Valley Water, laundry-to-landscape guidance"
ENERGY_STAR = "ENERGY STAR clothes washer water factor"

WASHER_GAL: dict[str, Sourced[float]] = {
    "top-load-agitator": Sourced(40.0, UC_ANR, "", "read"),
    "top-load-efficient": Sourced(
        20.0, f"working assumption: 4.3 gal/ft3 ({ENERGY_STAR}, 2018) x a 4.5 ft3 drum", "", "assumption"),
    "front-load": Sourced(15.0, f"{UC_ANR}, within the 10-25 gal it gives", "", "read"),
}
"""Water of one run [gal] by kind of washer."""

TOP_LOAD_LOGGED_GAL = Sourced(40.9, "Residential End Uses of Water, logged mean", "1999", "memory")
FRONT_LOAD_RANGE_GAL = Sourced((10.0, 25.0), UC_ANR, "", "read")

EFFICIENT_FACTOR_GAL_PER_FT3 = Sourced(4.3, ENERGY_STAR, "2018", "read")
FRONT_FACTOR_GAL_PER_FT3 = Sourced(3.2, ENERGY_STAR, "2018", "read")
DRUM_FT3 = Sourced(4.5, "working assumption: a family-sized drum", "", "assumption")

LOADS_PER_YEAR = Sourced(400.0, f"{OWASA}, a typical family", "", "read")
LOADS_PER_WEEK_OF_FOUR = Sourced(8.0, f"{UC_ANR}, a family of four", "", "read")
SAVED_GAL_PER_LOAD = Sourced((15.0, 25.0), f"{OWASA}, front-load instead of top-load", "", "read")
SAVED_GAL_PER_YEAR = Sourced((6_000.0, 10_000.0), OWASA, "", "read")

TREES_PER_WEEKLY_LOAD: dict[str, Sourced[tuple[float, float]]] = {
    "front-load": Sourced((1.0, 1.0), VALLEY_WATER, "", "read"),
    "top-load": Sourced((2.0, 3.0), VALLEY_WATER, "", "read"),
}
"""How many trees one load a week waters."""

MOST_OUTLETS: dict[str, Sourced[int]] = {
    "front-load": Sourced(8, VALLEY_WATER, "", "read"),
    "top-load": Sourced(12, VALLEY_WATER, "", "read"),
}
"""The most open ends one line should feed, by kind of washer."""

LABEL_EVERY_FT = Sourced(5.0, f"{VALLEY_WATER}, label exposed pipe as nonpotable", "", "read")
LEAST_BORE_IN = Sourced(1.0, f"{VALLEY_WATER}, the washer hose's bore or larger", "", "read")


def washer_litres(kind: str) -> float:
    """Return the water of one run [L] of a kind of washer named in WASHER_GAL."""
    return WASHER_GAL[kind].value * LITRES_PER_GALLON
