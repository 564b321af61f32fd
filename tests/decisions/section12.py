"""The garden in which the rotation was measured to pay: one hose, four basins, six loads a week for a year.

Weather: Seattle 2012-2015 (NOAA daily data as shipped in vega_datasets), and a dry-summer climate made of an
inland valley's ETo normals (zone 12) and half of the same winters' rain, none from May to October.
"""

from __future__ import annotations

import csv
import random
from datetime import date, timedelta
from importlib.util import find_spec
from pathlib import Path

from gwlog.decisions.plan_cost import PlanBasin, PlanDay, PlanLoad, PlanOutlet
from gwlog.decisions.simulation import Foresight, Scenario
from gwlog.reference.climate import monthly_eto_mm
from gwlog.units import LITRES_PER_GALLON, M2_PER_FT2
from gwlog.water.basin import BasinSpec
from gwlog.water.evapotranspiration import hargreaves
from gwlog.water.weather import Climate, normals

LATITUDE = 47.45
LOAD_L = 20 * LITRES_PER_GALLON
GAL_PER_FT2 = LITRES_PER_GALLON / M2_PER_FT2
# area ft2, canopy ft2, gal/ft2/day, plant factor, root depth m, available water, depletion fraction
ROWS = ((20, 60, 2.5, 0.5, 0.6, 0.13, 0.5), (12, 30, 1.7, 0.7, 0.5, 0.15, 0.5),
        (30, 100, 1.1, 0.4, 0.8, 0.15, 0.5), (8, 20, 2.5, 0.8, 0.4, 0.13, 0.4))
DRY_MONTHS = (5, 6, 7, 8, 9, 10)
DRY_ZONE = 12


def basins():
    """Storage over the whole canopy, no leaching share, mulch without limit (it was not part of the measurement)."""
    made = []
    for number, (area, canopy, soak, factor, root, water, share) in enumerate(ROWS, 1):
        taw = 1000 * water * root
        spec = BasinSpec(f"basin {number}", area * M2_PER_FT2, canopy * M2_PER_FT2, canopy * M2_PER_FT2, 1000.0,
                         taw, share * taw, factor, soak * GAL_PER_FT2)
        made.append(PlanBasin(spec, 0.0, leaching_share=0.0))
    return tuple(made)


def seattle():
    """Daily (ETo, rain) [mm] by day."""
    found = find_spec("vega_datasets")   # importing it would import pandas
    assert found is not None and found.origin is not None
    path = Path(found.origin).parent / "_data" / "seattle-weather.csv"
    weather = {}
    with path.open() as lines:
        for row in csv.DictReader(lines):
            day = date.fromisoformat(row["date"].replace("/", "-"))
            low, high = float(row["temp_min"]), float(row["temp_max"])
            eto = hargreaves(low, high, LATITUDE, day.timetuple().tm_yday)
            weather[day] = (eto, float(row["precipitation"]))
    return weather


def dry_summer(weather):
    """The same winters with half the rain, no rain from May to October, and the ETo of an inland valley."""
    climate = Climate(monthly_eto_mm(DRY_ZONE), (0.0,) * 12)
    return {day: (normals(climate, day)[0], 0.0 if day.month in DRY_MONTHS else rain / 2)
            for day, (_, rain) in weather.items()}


def scenario(weather, first, days, seed):
    """`days` days from `first`; six loads a week on changing days, up to three a day."""
    rng = random.Random(seed)
    counts = {}
    for week in range(days // 7 + 1):
        while True:
            wash = [rng.choice((0, 0, 1, 1, 2, 3)) for _ in range(7)]
            if sum(wash) == 6:
                break
        for weekday, count in enumerate(wash):
            counts[first + timedelta(7 * week + weekday)] = count
    made = [PlanDay(day := first + timedelta(n), *weather[day], (PlanLoad("wash", LOAD_L),) * counts[day])
            for n in range(days)]
    beds = basins()
    hose = PlanOutlet("hose", tuple(b.name for b in beds), beds[0].name)
    return Scenario(beds, (hose,), tuple(made), PlanLoad("wash", LOAD_L), None, (6 / 7,) * 7,
                    Foresight(rain_days=3, rain_after="none", eto="last week"), rest=False, fits=False)
