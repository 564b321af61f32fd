"""A climate guessed from its square degree, or from four temperatures, against stations with measured ETo.

Stations: daily files of the package aquacrop 3.0.11 (aquacrop/data/*_climate.txt), whose ETo is FAO-56
Penman-Monteith; monthly means over all their years, so that the package need not be there. “Cordoba” is taken for the
one in Argentina: its summer is in January.
"""

from __future__ import annotations

from dataclasses import dataclass
from statistics import mean, median

import pytest

from gwlog.reference.climate import ETO_ZONES
from gwlog.reference.places.normals import normals
from gwlog.setup.place import places
from gwlog.units import MM_PER_INCH
from gwlog.water.climate_guess import WITHIN_SHARE, eto_from_means, year_from_four
from gwlog.water.monthly import DAYS, monthly_eto_mm


@dataclass(frozen=True)
class Station:
    """Degrees north and east, ETo of the months [mm/day], rain of the year [mm], and the mean low and high of the
    coldest and the hottest month [degC]."""

    name: str
    latitude: float
    longitude: float
    eto: tuple[float, ...]
    rain: float
    four: tuple[float, float, float, float]

    @property
    def year(self) -> float:
        return sum(one * days for one, days in zip(self.eto, DAYS, strict=True))


STATIONS = (
    Station("Champion, Nebraska, 1982-2018", 40.40, -101.72,
            (1.52, 1.88, 2.87, 3.74, 4.67, 5.98, 6.52, 5.79, 4.72, 3.27, 2.13, 1.49), 411, (-10.8, 5.1, 15.1, 32.1)),
    Station("Tunis, 1979-2002", 36.83, 10.23,
            (1.39, 1.89, 2.74, 3.74, 4.92, 5.97, 6.46, 5.90, 4.39, 2.95, 1.88, 1.34), 454, (7.2, 16.0, 21.6, 33.9)),
    Station("Hyderabad, 2000-2010", 17.38, 78.48,
            (3.71, 4.67, 5.52, 6.23, 6.74, 5.35, 4.37, 3.91, 3.97, 3.72, 3.47, 3.26), 955, (12.1, 28.7, 24.3, 38.7)),
    Station("Brussels, 1976-2005", 50.80, 4.35,
            (0.37, 0.64, 1.19, 2.04, 2.93, 3.27, 3.34, 2.98, 1.83, 0.97, 0.44, 0.30), 840, (0.7, 5.4, 13.6, 22.5)),
    Station("Cordoba, 1991-2021", -31.42, -64.18,
            (6.95, 6.08, 5.15, 3.79, 2.83, 2.45, 2.60, 3.48, 4.44, 5.42, 6.43, 7.04), 870, (3.2, 16.5, 16.7, 32.0)),
    Station("Cambridge, 1991-2021", 52.20, 0.12,
            (0.68, 1.04, 1.74, 2.67, 3.48, 3.90, 4.09, 3.59, 2.68, 1.60, 0.88, 0.59), 691, (1.3, 6.6, 12.1, 22.1)),
    Station("Northumberland, 1991-2021", 55.20, -2.00,
            (0.49, 0.80, 1.42, 2.29, 3.17, 3.50, 3.58, 3.04, 2.17, 1.23, 0.64, 0.44), 838, (1.3, 5.2, 10.8, 18.3)),
)


def guessed(latitude: float, longitude: float) -> tuple[tuple[float, ...], float]:
    """ETo of the months [mm/day] and the rain of the year [mm] by the square degree."""
    found = normals(latitude, longitude)
    assert found is not None
    months = eto_from_means(found.tmean_c, found.rain_mm, latitude)
    return tuple(one / days for one, days in zip(months, DAYS, strict=True)), sum(found.rain_mm)


def off(months: tuple[float, ...], station: Station) -> float:
    """How far a year of ETo [mm/day by month] is off, as a share."""
    return sum(one * days for one, days in zip(months, DAYS, strict=True)) / station.year - 1


def test_the_guess_from_the_square_degree_at_seven_stations() -> None:
    """Median 9 %, worst 29 %; what people are told is a quarter."""
    errors = [abs(off(guessed(one.latitude, one.longitude)[0], one)) for one in STATIONS]
    assert median(errors) < 0.10 and max(errors) < 0.30
    assert sum(error <= WITHIN_SHARE for error in errors) >= 5
    each = [abs(guess - true) for one in STATIONS
            for guess, true in zip(guessed(one.latitude, one.longitude)[0], one.eto, strict=True)]
    assert mean(each) < 0.6      # mm/day, month by month


def test_rain_at_seven_stations() -> None:
    for one in STATIONS:
        assert guessed(one.latitude, one.longitude)[1] == pytest.approx(one.rain, rel=0.15), one.name


def test_four_temperatures_at_seven_stations() -> None:
    """Better than the square degree where that is worst: median 13 %, worst 23 %."""
    errors = []
    for one in STATIONS:
        lows, highs = year_from_four(*one.four, one.latitude)
        months = monthly_eto_mm(lows, highs, one.latitude)
        errors.append(abs(sum(months) / one.year - 1))
    assert median(errors) < 0.14 and max(errors) < 0.23


@pytest.mark.parametrize(("town", "zone", "most"), [
    ("Davis, CA", 14, 0.12), ("Fresno, CA", 15, 0.2), ("El Centro, CA", 18, 0.2), ("Palmdale, CA", 17, 0.3),
    ("Riverside, CA", 9, 0.2), ("Bakersfield, CA", 15, 0.2),
])
def test_californian_towns_against_the_states_zones(town: str, zone: int, most: float) -> None:
    """The zone of a town from memory; its year by the state's table (California DWR 1999)."""
    place = places(town)[0]
    assert place.longitude is not None
    months, _ = guessed(place.latitude, place.longitude)
    year = sum(one * days for one, days in zip(months, DAYS, strict=True)) / MM_PER_INCH
    assert year == pytest.approx(ETO_ZONES[zone].year_in.value, rel=most)


def test_four_temperatures_south_of_the_equator_are_turned_round() -> None:
    lows, highs = year_from_four(3.0, 16.0, 17.0, 32.0, -31.4)
    assert (lows[0], highs[0], lows[6], highs[6]) == (17.0, 32.0, 3.0, 16.0)
    lows, _ = year_from_four(3.0, 16.0, 17.0, 32.0, 31.4)
    assert (lows[0], lows[6]) == (3.0, 17.0)


def test_the_same_towns_temperatures_as_are_published() -> None:
    """Long-term means as almanacs give them, from memory: Berlin 9 to 10 degC a year, Phoenix above 22 degC."""
    for latitude, longitude, low, high in ((52.52, 13.40, 9.0, 11.0), (33.45, -112.07, 21.0, 25.0),
                                           (21.31, -157.86, 23.0, 26.0)):
        found = normals(latitude, longitude)
        assert found is not None and low <= mean(found.tmean_c) <= high


def test_there_is_no_climate_in_the_open_sea() -> None:
    assert normals(30.0, -40.0) is None
