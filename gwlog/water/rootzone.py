"""The water that a root zone holds for its plants, and how they slow down when it runs short.

Source: FAO Irrigation and Drainage Paper 56 (Allen et al. 1998), chapter 8, eq. 82-84 and
the note to table 22, all read.
"""

from __future__ import annotations


def taw_mm(field_capacity: float, wilting_point: float, root_depth_m: float) -> float:
    """Return the total available water [mm] (eq. 82): 1000 (FC - WP) Zr; FC and WP [m3/m3], Zr [m]."""
    return 1000.0 * (field_capacity - wilting_point) * root_depth_m


def raw_mm(depletion_fraction: float, taw: float) -> float:
    """Return the readily available water (eq. 83): p TAW, in the unit of `taw`."""
    return depletion_fraction * taw


def stress_coefficient(deficit: float, taw: float, raw: float) -> float:
    """Return Ks (eq. 84), 0..1: 1 up to RAW, then falling in a line to 0 at TAW. All three in one unit."""
    if deficit <= raw:
        return 1.0
    return max(0.0, (taw - deficit) / (taw - raw)) if taw > raw else 0.0


LEAST_DEPLETION, MOST_DEPLETION = 0.1, 0.8


def depletion_fraction(table_p: float, etc_mm: float) -> float:
    """Return a day's p (table 22's note): p + 0.04 (5 - ETc), held to 0.1 and 0.8; ETc [mm/day]."""
    p = table_p + 0.2 - 0.04 * etc_mm
    return LEAST_DEPLETION if p < LEAST_DEPLETION else MOST_DEPLETION if p > MOST_DEPLETION else p
