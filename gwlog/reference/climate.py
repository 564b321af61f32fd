"""Monthly reference evapotranspiration of California's eighteen zones, for days without measured weather.

Inches per month as published, the year being the sum of the row; millimetres for the balance.
"""

from __future__ import annotations

from gwlog.errors import BadInput
from gwlog.reference.source import Sourced
from gwlog.units import MM_PER_INCH
from gwlog.values import dataclass

ETO_SOURCE = "California DWR and UC Davis, Reference Evapotranspiration Zones"


@dataclass(frozen=True, slots=True, eq=False)
class EtoZone:
    """Its number, the land it covers, ETo [in/month] January first, the year's sum."""

    number: int
    name: str
    monthly_in: Sourced[tuple[float, ...]]
    year_in: Sourced[float]


def _zone(number: int, name: str, months: tuple[float, ...], year: float) -> EtoZone:
    return EtoZone(
        number, name,
        Sourced(months, ETO_SOURCE, "1999", "memory"),
        Sourced(year, ETO_SOURCE, "1999", "memory"),
    )


ETO_ZONES: dict[int, EtoZone] = {
    zone.number: zone
    for zone in (
        _zone(1, "coastal plains, heavy fog belt",
              (0.93, 1.40, 2.48, 3.30, 4.03, 4.50, 4.65, 4.03, 3.30, 2.48, 1.20, 0.62), 32.92),
        _zone(2, "coastal mixed fog area",
              (1.24, 1.68, 3.10, 3.90, 4.65, 5.10, 4.96, 4.65, 3.90, 2.79, 1.80, 1.24), 39.01),
        _zone(3, "coastal valleys and plains, north coast mountains",
              (1.86, 2.24, 3.72, 4.80, 5.27, 5.70, 5.58, 5.27, 4.20, 3.41, 2.40, 1.86), 46.31),
        _zone(4, "south coast inland plains",
              (1.86, 2.24, 3.41, 4.50, 5.27, 5.70, 5.89, 5.58, 4.50, 3.41, 2.40, 1.86), 46.62),
        _zone(5, "northern inland valleys",
              (0.93, 1.68, 2.79, 4.20, 5.58, 6.30, 6.51, 5.89, 4.50, 3.10, 1.50, 0.93), 43.91),
        _zone(6, "upland central coast, southern coastal basin",
              (1.86, 2.24, 3.41, 4.80, 5.58, 6.30, 6.51, 6.20, 4.80, 3.72, 2.40, 1.86), 49.68),
        _zone(7, "northeastern plains",
              (0.62, 1.40, 2.48, 3.90, 5.27, 6.30, 7.44, 6.51, 4.80, 2.79, 1.20, 0.62), 43.33),
        _zone(8, "inland San Francisco Bay area",
              (1.24, 1.68, 3.41, 4.80, 6.20, 6.90, 7.44, 6.51, 5.10, 3.41, 1.80, 0.93), 49.42),
        _zone(9, "south coast marine to desert transition",
              (2.17, 2.80, 4.03, 5.10, 5.89, 6.60, 7.44, 6.82, 5.70, 4.03, 2.70, 1.86), 55.14),
        _zone(10, "north central plateau, central coast range",
              (0.93, 1.68, 3.10, 4.50, 5.89, 7.20, 8.06, 7.13, 5.10, 3.10, 1.50, 0.93), 49.12),
        _zone(11, "central Sierra Nevada",
              (1.55, 2.24, 3.10, 4.50, 5.89, 7.20, 8.06, 7.44, 5.70, 3.72, 2.10, 1.55), 53.05),
        _zone(12, "east side Sacramento-San Joaquin valley",
              (1.24, 1.96, 3.41, 5.10, 6.82, 7.80, 8.06, 7.13, 5.40, 3.72, 1.80, 0.93), 53.37),
        _zone(13, "northern Sierra Nevada",
              (1.24, 1.96, 3.10, 4.80, 6.51, 7.80, 8.99, 7.75, 5.70, 3.72, 1.80, 0.93), 54.30),
        _zone(14, "mid-central valley, southern Sierra, Tehachapi, high desert",
              (1.55, 2.24, 3.72, 5.10, 6.82, 7.80, 8.68, 7.75, 5.70, 4.03, 2.10, 1.55), 57.04),
        _zone(15, "northern and southern San Joaquin valley",
              (1.24, 2.24, 3.72, 5.70, 7.44, 8.10, 8.68, 7.75, 5.70, 4.03, 2.10, 1.24), 57.94),
        _zone(16, "westside San Joaquin valley, mountains east and west of Imperial valley",
              (1.55, 2.52, 4.03, 5.70, 7.75, 8.70, 9.30, 8.37, 6.30, 4.34, 2.40, 1.55), 62.51),
        _zone(17, "high desert valleys",
              (1.86, 2.80, 4.65, 6.00, 8.06, 9.00, 9.92, 8.68, 6.60, 4.34, 2.70, 1.86), 66.47),
        _zone(18, "Imperial, Death and Palo Verde valleys",
              (2.48, 3.36, 5.27, 6.90, 8.68, 9.60, 9.61, 8.68, 6.90, 4.96, 3.00, 2.17), 71.61),
    )
}
"""The zones by number, 1 to 18."""


def monthly_eto_mm(zone: int) -> tuple[float, ...]:
    """Return the zone's reference evapotranspiration [mm/month], January first, twelve numbers.

    Raises BadInput when there is no zone of that number.
    """
    known = ETO_ZONES.get(zone)
    if known is None:
        raise BadInput(f"There is no evapotranspiration zone {zone}; 1 to {len(ETO_ZONES)} are accepted.")
    return tuple(inches * MM_PER_INCH for inches in known.monthly_in.value)
