"""Three years of weather to rehearse a garden through: a hot desert, a continental year with frost, a mild winter
with rain.

Phoenix, Arizona: monthly normals 1991-2020 of mean daily maximum and minimum temperature [degF] and precipitation
[inches] (NOAA, as tabled in the encyclopedia article “Climate of Phoenix”). Days by a stated rule: every day has its
month's temperatures; the month's rain falls in showers of about SHOWER_MM, evenly spaced.
Champion, Nebraska, 2003, and Tunis, Tunisia, 1995: daily records as the package `aquacrop` 3.1.0 (MIT licence) ships
them (`champion_climate.txt`, `tunis_climate.txt`): temperatures [degC] and rain [mm] copied, its ETo left out.
ETo of all three by Hargreaves (FAO-56 eq. 52), the water's own module.
"""

from __future__ import annotations

import csv
from calendar import monthrange
from collections.abc import Iterator
from datetime import date
from pathlib import Path

from gwlog.water.evapotranspiration import hargreaves

SHOWER_MM = 8.0
MM_PER_INCH = 25.4

PHOENIX_YEAR = 2018
PHOENIX = ((68, 46, 0.9), (71, 49, 0.9), (78, 55, 0.8), (86, 61, 0.2), (95, 70, 0.1), (104, 79, 0.0),
           (107, 85, 0.9), (105, 84, 0.9), (100, 78, 0.6), (89, 66, 0.6), (77, 54, 0.6), (66, 45, 0.7))

Weather = dict[date, tuple[float, float]]
"""Each day's ETo and rain [mm]."""


def desert() -> Weather:
    """A normal year in Phoenix, Arizona (33.4 degrees north)."""
    return {day: (hargreaves(low, high, 33.43, day.timetuple().tm_yday), rain)
            for day, low, high, rain in _phoenix_days()}


def continental() -> Weather:
    """2003 in Champion, Nebraska (40.4 degrees north): frost from October to April, 297 mm of rain."""
    return _recorded("champion_2003.csv", 40.4)


def mild_winter() -> Weather:
    """1995 in Tunis (36.8 degrees north): 417 mm of rain, hardly any from May to August."""
    return _recorded("tunis_1995.csv", 36.8)


STATIONS = {"desert": desert, "continental": continental, "mild winter": mild_winter}


def _phoenix_days() -> Iterator[tuple[date, float, float, float]]:
    for month, (high_f, low_f, inches) in enumerate(PHOENIX, 1):
        days = monthrange(PHOENIX_YEAR, month)[1]
        rain = inches * MM_PER_INCH
        showers = round(rain / SHOWER_MM) or int(rain > 0.0)
        wet = {round(days * (number + 0.5) / showers) for number in range(showers)}
        for day in range(1, days + 1):
            yield (date(PHOENIX_YEAR, month, day), (low_f - 32) / 1.8, (high_f - 32) / 1.8,
                   rain / showers if day in wet else 0.0)


def _recorded(file: str, latitude: float) -> Weather:
    weather = {}
    with (Path(__file__).parent / "stations" / file).open() as lines:
        for row in csv.DictReader(lines):
            day = date.fromisoformat(row["date"])
            low, high = sorted((float(row["tmin_c"]), float(row["tmax_c"])))
            weather[day] = (hargreaves(low, high, latitude, day.timetuple().tm_yday), float(row["rain_mm"]))
    return weather
